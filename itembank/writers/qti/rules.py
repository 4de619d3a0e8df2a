"""The standard's expressions for response processing, as text. Names follow QTI 3.0, section "Expressions"."""

from __future__ import annotations

from collections.abc import Sequence


def variable(name: str) -> str:
    """The value of a variable."""
    return f'<qti-variable identifier="{name}"/>'


def whole(value: object) -> str:
    """A fixed whole number."""
    return f'<qti-base-value base-type="integer">{value}</qti-base-value>'


def number(value: object) -> str:
    """A fixed decimal number."""
    return f'<qti-base-value base-type="float">{value}</qti-base-value>'


def identifier(value: str) -> str:
    """A fixed identifier."""
    return f'<qti-base-value base-type="identifier">{value}</qti-base-value>'


def equal(first: str, second: str) -> str:
    """Exactly equal numbers."""
    return f'<qti-equal tolerance-mode="exact">{first}{second}</qti-equal>'


def near(first: str, second: str, tolerance: object) -> str:
    """Numbers at most so far apart."""
    return f'<qti-equal tolerance-mode="absolute" tolerance="{tolerance} {tolerance}">{first}{second}</qti-equal>'


def product(*factors: str) -> str:
    """A product."""
    return factors[0] if len(factors) == 1 else f"<qti-product>{''.join(factors)}</qti-product>"


def above(first: str, second: str) -> str:
    """first > second."""
    return f"<qti-gt>{first}{second}</qti-gt>"


def is_null(name: str) -> str:
    """Whether nothing was entered."""
    return f"<qti-is-null>{variable(name)}</qti-is-null>"


def negated(condition: str) -> str:
    """The opposite."""
    return f"<qti-not>{condition}</qti-not>"


def every(conditions: Sequence[str]) -> str:
    """All of the conditions."""
    return conditions[0] if len(conditions) == 1 else f"<qti-and>{''.join(conditions)}</qti-and>"


def some(conditions: Sequence[str]) -> str:
    """At least one of the conditions."""
    return conditions[0] if len(conditions) == 1 else f"<qti-or>{''.join(conditions)}</qti-or>"


def matches(name: str, value: str) -> str:
    """Whether a single identifier was chosen."""
    return f"<qti-match>{variable(name)}{identifier(value)}</qti-match>"


def is_correct(name: str) -> str:
    """Whether a response matches its correct response."""
    return f'<qti-match>{variable(name)}<qti-correct identifier="{name}"/></qti-match>'


def add_score(marks: int) -> str:
    """Adds marks to SCORE."""
    total = f"<qti-sum>{variable('SCORE')}{number(marks)}</qti-sum>"
    return f'<qti-set-outcome-value identifier="SCORE">{total}</qti-set-outcome-value>'


def add_feedback(name: str) -> str:
    """Adds an identifier to FEEDBACK."""
    both = f"<qti-multiple>{variable('FEEDBACK')}{identifier(name)}</qti-multiple>"
    return f'<qti-set-outcome-value identifier="FEEDBACK">{both}</qti-set-outcome-value>'


def condition(branches: Sequence[tuple[str, str]], otherwise: str = "") -> str:
    """if, else if, ..., else: (condition, rules) pairs; branches without rules are left out."""
    kept = [(test, rules) for test, rules in branches if rules]
    if not kept:
        return otherwise
    parts = [f"<qti-response-if>{kept[0][0]}{kept[0][1]}</qti-response-if>"]
    parts += [f"<qti-response-else-if>{test}{rules}</qti-response-else-if>" for test, rules in kept[1:]]
    if otherwise:
        parts.append(f"<qti-response-else>{otherwise}</qti-response-else>")
    return f"<qti-response-condition>{''.join(parts)}</qti-response-condition>"
