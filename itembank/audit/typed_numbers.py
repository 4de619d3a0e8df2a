"""Numbers typed as text: their spellings, all of which are to earn what the number earns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from itembank.audit.facts import Facts
from itembank.audit.numbers import Rational
from itembank.audit.part_view import PartView
from itembank.audit.probes import Probe
from itembank.audit.rule_expressions import Scalar, Value

__all__ = ["plain_number", "spelling_probes"]

_PLACES = 18


def plain_number(number: Scalar) -> str:
    """A whole number or a decimal as plain digits.

    >>> plain_number(-3), plain_number(Fraction(-5, 4))
    ('-3', '-1.25')
    """
    if not isinstance(number, Fraction) or number.denominator == 1:
        return str(number)
    digits = str(abs(number.numerator) * 10**_PLACES // number.denominator).rjust(_PLACES + 1, "0")
    sign = "-" if number < 0 else ""
    return f"{sign}{digits[:-_PLACES]}.{digits[-_PLACES:].rstrip('0')}"


def spelling_probes(
    view: PartView, facts: Facts, right: Mapping[str, Value], total: Rational
) -> Iterator[Probe]:
    """Other spellings of right numbers, which earn all; texts that are no such number, which do not."""
    least = total - Fraction(1, 1000)
    for box in view.boxes:
        declared, value = facts.response(box.response), right.get(box.response)
        if declared is None or declared.base_type != "string" or value is None:
            continue
        text = plain_number(value.items[0])
        for spelled in (
            f" {text} ",
            f"0{text}" if text[0] != "-" else f"-0{text[1:]}",
            text.replace("-", "\u2212"),
            *((f"{text}.", f"{text}.0") if "." not in text else ()),
        ):
            answers = {**right, box.response: Value("string", (spelled,))}
            message = f"the spelling {spelled!r} of the right number earns less"
            yield Probe(answers, total, True, "spelling-matters", message, box.response)
        for other in (f"{text}1", f"-{text}", f"{text} x", f"{text}/1", f"{text}.01"):
            answers = {**right, box.response: Value("string", (other,))}
            message = f"{other!r} is taken for the right number"
            if other != "-0":
                yield Probe(answers, least, False, "wrong-entry-earns", message, box.response)
