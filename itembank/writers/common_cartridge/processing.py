"""Response processing of the profile: one condition for each answer that counts, the first that holds ends it.

Several comparisons side by side all have to hold in QTI 1.2, and the profile has no `or`: each spelling and each
option has a condition of its own. SCORE is set, never added to, and is a percentage.
Source: IMS QTI 1.2.1 ASI as profiled by Common Cartridge 1.3 (notes; from memory where they say so).
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import floor
from typing import Final

from itembank.writers.common_cartridge.markup import element, material, words

__all__ = [
    "RESPONSE", "SOLUTION", "all_of", "condition", "feedback", "is_answer", "percent", "processing", "remark",
    "unmarked",
]  # fmt: skip

RESPONSE: Final = "RESPONSE"
SOLUTION: Final = "solution"
_OTHER: Final = element("other")


def percent(marks: int | Fraction, total: int) -> str:
    """Marks as a percentage of `total` (at least 1), to two places where it is no whole number.

    >>> percent(3, 3), percent(1, 2), percent(2, 3)
    ('100', '50', '66.67')
    """
    hundredths = floor(Fraction(marks) * 10_000 / total + Fraction(1, 2))
    whole, rest = divmod(hundredths, 100)
    return f"{whole}.{rest:02d}" if rest else str(whole)


def is_answer(text: str) -> str:
    """The response is this option or this text; capitals do not matter."""
    return element("varequal", words(text), respident=RESPONSE)


def all_of(right: Iterable[str], wrong: Iterable[str]) -> str:
    """Every one of some options was chosen and none of the others; at least one is named."""
    chosen = (is_answer(each) for each in right)
    return element("and", *chosen, *(element("not", is_answer(each)) for each in wrong))


def condition(asked: str, score: str, told: str) -> str:
    """Where `asked` holds: the score ("" for none), a feedback ("" for none) and the worked solution."""
    scored = element("setvar", score, varname="SCORE", action="Set") if score else ""
    shown = element("displayfeedback", feedbacktype="Response", linkrefid=told) if told else ""
    return element(
        "respcondition", element("conditionvar", asked), scored, shown,
        element("displayfeedback", feedbacktype="Solution", linkrefid=SOLUTION),
        continue_="No",
    )  # fmt: skip


def remark(asked: str, told: str) -> str:
    """Where `asked` holds, a feedback beside what the conditions after it come to."""
    shown = element("displayfeedback", feedbacktype="Response", linkrefid=told)
    return element("respcondition", element("conditionvar", asked), shown, continue_="Yes")


def processing(conditions: Iterable[str]) -> str:
    """All conditions in turn, and what becomes of any other answer: nothing, and the worked solution."""
    return _processing(*conditions, condition(_OTHER, "0", ""))


def unmarked() -> str:
    """Whatever is answered: no score is set, and the worked solution is shown."""
    return _processing(condition(_OTHER, "", ""))


def _processing(*conditions: str) -> str:
    outcome = element("decvar", varname="SCORE", vartype="Decimal", minvalue="0", maxvalue="100")
    return element("resprocessing", element("outcomes", outcome), *conditions)


def feedback(name: str, html: str) -> str:
    """A sentence for the pupil, or the worked solution, given as HTML."""
    shown = material(html)
    if name == SOLUTION:
        shown = element("solution", element("solutionmaterial", shown))
    return element("itemfeedback", shown, ident=name)
