"""The values of a parameter: ranges, lists, fractions, decimals, rows of words."""

from __future__ import annotations

import re
from fractions import Fraction

from itembank.errors import Span
from itembank.expressions.display import Decimal, places_needed
from itembank.expressions.numbers import whole
from itembank.expressions.plan import Places
from itembank.templates.model import ParameterShape
from itembank.templates.reading import Findings, at, key_span
from itembank.templates.template import Parameter
from itembank.yaml_source import Node

MOST_VALUES = 1_000_000
LARGEST_VALUE = 10**15

_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+|/[0-9]+)?")


def number(text: str) -> Fraction | None:
    """A whole number, a decimal or a fraction written as text; None for anything else.

    >>> number("-3/4")
    Fraction(-3, 4)
    """
    text = text.replace("−", "-").strip()
    if not _NUMBER.fullmatch(text) or len(text) > 40 or re.search(r"/0+$", text):
        return None
    value = Fraction(text)
    return value if abs(value.numerator) <= LARGEST_VALUE and value.denominator <= LARGEST_VALUE else None


def tell_no_number(text: str, span: Span, findings: Findings) -> None:
    """Tells why a text is no number here: it is written as none, or it is too large."""
    if re.fullmatch(r"[-−]?[0-9]+(\.[0-9]+)?(/0*[1-9][0-9]*)?", text.strip()):
        findings.add(
            "number-too-large",
            f"`{text}` is too large or has too many digits",
            span,
            hint=f"no parameter goes beyond {LARGEST_VALUE}, nor does a denominator",
        )
        return
    findings.add("not-a-number", f"`{text}` is no number", span, hint="write 3, -1.5 or 2/3")


def places_of(text: str) -> int:
    """How many digits stand behind the point."""
    return len(text.partition(".")[2])


def parameter(name: str, shape: ParameterShape, root: Node, findings: Findings) -> Parameter | None:
    """The parameter, or None with what is wrong told at its place."""
    here = ("parameters", name)
    span = key_span(root, here)
    if not _of_one_kind(shape, here, root, findings):
        return None
    if shape.rows is not None:
        return _rows(name, shape, root, findings)
    if shape.values is not None:
        node = at(root, here)
        path = here if not hasattr(node, "get") else (*here, "values")
        values = _listed(shape.values, (*path,), root, findings)
        places = _as_listed(shape.values, values) if values is not None else None
    else:
        values, places = _ranged(shape, here, root, findings)
    if values is None:
        return None
    left_out = _listed(shape.leaving_out, (*here, "leaving_out"), root, findings)
    if left_out is None:
        return None
    for index, value in enumerate(left_out):
        if value not in values:
            findings.doubt(
                "leaves-out-nothing",
                f"{shape.leaving_out[index]} is no value of `{name}` anyway",
                at(root, (*here, "leaving_out", index)).span,
            )
    if all(value in left_out for value in values):
        findings.add("empty-range", f"`{name}` has no value left", span, hint="leave fewer values out")
        return None
    if len(set(values)) < len(values):
        findings.add(
            "repeated-value", f"a value of `{name}` stands twice", span, hint="write each value once"
        )
        return None
    return Parameter(
        name, tuple(whole(v) for v in values), frozenset(whole(v) for v in left_out), places, span
    )


_KINDS = (
    ("rows", ()),
    ("values", ("leaving_out",)),
    ("denominators", ("from", "to", "leaving_out")),
    ("places", ("from", "to", "step", "leaving_out")),
)
"""What makes a parameter one of a kind, and which other keys may stand with it."""


def _of_one_kind(shape: ParameterShape, here: tuple[str, ...], root: Node, findings: Findings) -> bool:
    """Refuses a parameter that is a range and a list at once, and the like."""
    given = list(shape.model_dump(by_alias=True, exclude_unset=True))
    for kind, others in _KINDS:
        if kind not in given:
            continue
        for key in given:
            if key != kind and key not in others:
                findings.add(
                    "mixed-parameter",
                    f"`{key}` cannot stand with `{kind}`",
                    key_span(root, (*here, key)),
                    hint="give a range {from: 1, to: 9}, a list [1, 2, 3], or rows of words",
                )
                return False
        if not getattr(shape, kind):
            findings.add("empty-range", f"`{here[-1]}` has no value", key_span(root, here))
            return False
    return True


def _listed(
    texts: list[str], path: tuple[str | int, ...], root: Node, findings: Findings
) -> list[Fraction] | None:
    values: list[Fraction] = []
    for index, text in enumerate(texts):
        value = number(text)
        if value is None:
            tell_no_number(text, at(root, (*path, index)).span, findings)
        else:
            values.append(value)
    return values if len(values) == len(texts) else None


def _as_listed(texts: list[str], values: list[Fraction]) -> Places | None:
    """The places that show every value of a list as it is written there; None where none is a decimal."""
    written = [-1 if "/" in text else places_of(text) for text in texts]
    if max(written, default=0) <= 0:
        return None
    if len(set(written)) == 1:
        return written[0]
    if all(digits == places_needed(value.denominator) for digits, value in zip(written, values, strict=True)):
        return -1
    return tuple((v.numerator, v.denominator, digits) for v, digits in zip(values, written, strict=True))


def _ranged(
    shape: ParameterShape, here: tuple[str, ...], root: Node, findings: Findings
) -> tuple[list[Fraction] | None, Places | None]:
    ends: dict[str, Fraction] = {}
    for key, text in (("from", shape.from_), ("to", shape.to), ("step", shape.step)):
        if text is None:
            if key != "step":
                findings.add(
                    "missing-key",
                    f"`{key}` is missing",
                    key_span(root, here),
                    hint="write {from: 1, to: 9}, or a list [1, 2, 3]",
                )
            continue
        value = number(text)
        if value is None:
            tell_no_number(text, at(root, (*here, key)).span, findings)
        else:
            ends[key] = value
    if len(ends) < 2 + (shape.step is not None):
        return None, None
    low, high, step = ends["from"], ends["to"], ends.get("step", Fraction(1))
    if step <= 0:
        findings.add("wrong-step", "a step is above 0", at(root, (*here, "step")).span)
        return None, None
    if low > high:
        findings.add(
            "empty-range",
            f"nothing lies from {shape.from_} to {shape.to}",
            key_span(root, here),
            hint="let `from` be at most `to`",
        )
        return None, None
    if shape.denominators:
        return _fractions(low, high, shape.denominators, here, root, findings), None
    count = (high - low) // step + 1
    if count > MOST_VALUES:
        findings.add(
            "too-many-values",
            f"{count} values; {MOST_VALUES} are read",
            key_span(root, here),
            hint="make the range smaller",
        )
        return None, None
    values = [low + step * index for index in range(count)]
    if values[-1] != high:
        findings.doubt(
            "end-not-reached",
            f"the values end at {_as_written(values[-1])}, {shape.to} is none of them",
            at(root, (*here, "to")).span,
            hint=f"write to: {_as_written(values[-1])}, or another step",
        )
    places = shape.places
    if places is None and any(v.denominator > 1 for v in values[:2]) and "." in f"{shape.from_}{shape.step}":
        places = max(places_of(text or "") for text in (shape.from_, shape.to, shape.step))
    if places is not None and any((value * 10**places).denominator > 1 for value in values):
        findings.add(
            "too-few-places",
            f"the values need more than {places} places",
            key_span(root, here),
            hint="raise `places`",
        )
        return None, None
    return values, places


def _as_written(value: Fraction) -> str:
    """A value as an author writes it."""
    digits = places_needed(value.denominator)
    return str(Decimal(value, digits)) if digits > 0 else str(value)


def _fractions(
    low: Fraction,
    high: Fraction,
    denominators: list[int],
    here: tuple[str, ...],
    root: Node,
    findings: Findings,
) -> list[Fraction] | None:
    if sum(int((high - low) * d) + 1 for d in denominators) > MOST_VALUES or max(denominators) > 10_000:
        findings.add(
            "too-many-values",
            "too many fractions",
            at(root, (*here, "denominators")).span,
            hint="make the range smaller",
        )
        return None
    found = {
        Fraction(n, d)
        for d in denominators
        for n in range(-((-low * d).__floor__()), (high * d).__floor__() + 1)
        if Fraction(n, d).denominator == d
    }
    if not found:
        findings.add(
            "empty-range", "no fraction with these denominators lies in the range", key_span(root, here)
        )
        return None
    return sorted(found)


def _rows(name: str, shape: ParameterShape, root: Node, findings: Findings) -> Parameter | None:
    rows = shape.rows or []
    span = key_span(root, ("parameters", name))
    if not rows:
        findings.add("empty-range", f"`{name}` has no row", span)
        return None
    columns = set(rows[0])
    for index, row in enumerate(rows):
        if set(row) != columns:
            findings.add(
                "uneven-rows",
                "a row has other columns than the first",
                at(root, ("parameters", name, "rows", index)).span,
                hint=f"each row has {', '.join(sorted(columns))}",
            )
            return None
    return Parameter(name, (), frozenset(), None, span, tuple(rows))
