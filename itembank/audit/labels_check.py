"""Whether what an item's parts are called fits together: feedback and the rules that show it, answers and their notes.

The tables of staff say of each answer which option or feedback it is, in an attribute and in words, and the sentence
for the teacher follows it under the same name. `root` is in the names of 3.0.
Source: QTI 3.0, modal feedback; the rest is ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.facts import Facts
from itembank.audit.findings import Fault
from itembank.audit.page_text import seen
from itembank.audit.tongues import LANGUAGE, tongue

__all__ = ["check_labels"]

_SET: Final = f"{{{QTI}}}qti-set-outcome-value"
_VALUE: Final = f"{{{QTI}}}qti-base-value"
_FEEDBACK: Final = f"{{{QTI}}}qti-modal-feedback"
_BLOCK: Final = f"{{{QTI}}}div"
_STRONG: Final = f"{{{QTI}}}strong"


def check_labels(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Every name that leads nowhere, or to another thing than it says; feedback that says the opposite."""
    yield from _feedback(root, facts)
    yield from _sentences(root)
    for part in root.iter(_BLOCK):
        if part.get("data-shape") is not None:
            yield from _answers(part)


def _feedback(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    there = {each.identifier for each in facts.feedbacks}
    outcomes = {each.outcome for each in facts.feedbacks}
    shown = {
        (value.text or "").strip()
        for rule in root.iter(_SET)
        if rule.get("identifier") in outcomes
        for value in rule.iter(_VALUE)
    }
    for name in sorted(shown - there):
        yield Fault("no-feedback", f"the rules show the feedback {name!r}, which is not there")
    for name in sorted(there - shown):
        yield Fault("feedback-not-shown", f"no rule shows the feedback {name!r}")


def _sentences(root: etree._Element) -> Iterator[Fault]:
    """Feedback that is the same in every item says what its name means, and no other says that."""
    told = {name: "".join(said.split()) for name, said in tongue(root.get(LANGUAGE)).told.items()}
    for each in root.iter(_FEEDBACK):
        name, said = each.get("identifier") or "", seen(each)
        wanted = told.get(name.partition("_")[0])
        if wanted is not None and said != wanted:
            yield Fault("wrong-feedback", f"the feedback {name!r} does not say what it is shown for")
        elif wanted is None and said in told.values():
            yield Fault("wrong-feedback", f"the feedback {name!r} says what is said of another answer")


def _answers(part: etree._Element) -> Iterator[Fault]:
    answer = ""
    for each in part:
        role, name = each.get("data-role"), each.get("data-identifier") or ""
        if role == "option":
            answer = name
            label = each[0] if len(each) and each[0].tag == _STRONG else None
            called = seen(label).strip().removesuffix(":") if label is not None else ""
            if called and called != (name or each.get("data-feedback") or ""):
                yield Fault("misnamed-answer", f"the answer that is called {called} is named {name!r}")
        elif role == "note" and name != answer:
            yield Fault("misnamed-answer", f"the note after the answer {answer!r} is named {name!r}")
