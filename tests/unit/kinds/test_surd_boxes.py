"""A surd has boxes for what some item of its template needs, and the pupil is told what to write into the others."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.generator.one_of import in_a_line
from itembank.items import EntryResponse
from itembank.library import draw

TEMPLATE = """
template: roots
version: 1
title: Roots
unknowns: [x]
parameters:
  a: {{from: 1, to: 3}}
  h: {{from: -4, to: 4}}
  k: {{from: 2, to: 15, leaving_out: [4, 9]}}
derived: {{b: -2*h, c: h^2 - k}}
guarantees: [irrational_roots(problem)]
problem: {problem}
stem: Solve $problem$.
response: {{kind: entry, marks: 1, blanks: {{x: {{form: surd}}}}}}
key: {key}
"""


def asked(folder: Path, problem: str, key: str) -> tuple[set[tuple[str, ...]], str]:
    """Boxes and instruction of items of a template."""
    path = folder / "roots.yaml"
    path.write_text(TEMPLATE.format(problem=problem, key=key), "utf-8")
    responses = [each.item.parts[0].response for each in draw(path, count=12)]
    assert len(responses) == 12
    boxes, told = set(), set()
    for response in responses:
        assert isinstance(response, EntryResponse)
        boxes.add(response.blanks[0].boxes)
        told.add(in_a_line(response.instruction))
    (instruction,) = told
    return boxes, instruction


MONIC = "x^2 + b*x + c = 0"


@pytest.mark.parametrize(
    ("problem", "key", "boxes"),
    [
        (MONIC, "x = h ± surd(k)", "pqr"),
        (MONIC, "problem", "pqr"),
        (MONIC, "(x - h)^2 = k", "pqr"),
        (MONIC, "2*(x - h)^2 - 2*k = 0", "pqr"),
        (MONIC, "x = (-b ± sqrt(b^2 - 4*c))/2", "pqr"),
        (MONIC, "x = -b/2 ± sqrt(k)", "pqr"),
        ("4*x^2 = 4*k", "problem", "qr"),
        ("a*x^2 = a*k", "x = ± sqrt(k)", "qr"),
        ("a*x^2 - 2*a*h*x + h^2*a = k", "problem", "pqrs"),
        ("x^2 + h*x - k = 0", "x = (-h ± sqrt(h^2 + 4*k))/2", "pqrs"),
        ("x^2 + 2*h*x - k = 0", "x = (-4*h ± 2*sqrt(4*h^2 + 4*k))/4", "pqr"),
    ],
)
def test_a_denominator_has_a_box_only_where_some_item_has_one(
    tmp_path: Path, problem: str, key: str, boxes: str
) -> None:
    shown, told = asked(tmp_path, problem, key)

    assert {tuple(boxes)} == shown
    assert ("1 or 0 where nothing would be written" in told) == ("p" in boxes)
    assert "1 where nothing would be written" in told or "p" in boxes
