"""What an author can do about something that has no value, by the reason that it has none."""

from __future__ import annotations

__all__ = ["remedy"]

_POLYNOMIALS = (
    "expressions are polynomials in their letters: in an expression or an answer no letter stands in a denominator, "
    "under a root or in an exponent"
)
_REMEDIES = {
    "is not determined": "each alternative must say every unknown: x = p or x = q",
    "a letter stands where a number is needed": _POLYNOMIALS
    + "; an answer is told in numbers: another letter stands only in a formula for one unknown, with in_terms_of: [a]",
    "a letter under a root or in an exponent may stand in an equation only": _POLYNOMIALS
    + "; the unknown of an inequality may stand in a denominator, but under no root and in no exponent",
    "this nested root does not simplify": "`surd(k)` is the root of k already, in simplest form: write surd(k) for "
    "surd(sqrt(k)); reject values whose roots stay nested",
    "is neither given nor to be found": "problems are solved in numbers: every letter is a parameter, a derived value, "
    "one of `unknowns` or of `for_every`; to have y made the subject of a formula, name its other letters: "
    "`unknowns: [y]` with `in_terms_of: [x]`",
}


def remedy(reason: str, where: str) -> str:
    """What to do about something without a value, by the reason that it has none."""
    for told, remedy in _REMEDIES.items():
        if reason.endswith(told):
            return remedy
    return f"leave such values out, or reject them {where}"
