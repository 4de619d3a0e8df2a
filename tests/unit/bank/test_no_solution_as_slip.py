"""`none` among the wrong answers to a system: it is offered, proved, written and audited like any other."""

from __future__ import annotations

import pytest

from itembank.audit.verify import audit_item
from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.errors import Diagnostic, Level
from itembank.expressions.spelling import plain
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import ChoiceResponse
from itembank.proof.prover import faults, prove
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse

SYSTEM = """\
template: system
version: 1
title: Two equations
unknowns: [x, y]
parameters: {a: [1, 3, 5]}
problem: x + y = a + 2 and x - y = 1
stem: Solve $problem$.
response: {kind: choice, options: 3}
key: x = (a + 3)/2 and y = (a + 1)/2
slips:
  - {slip: turned, value: x = (a + 1)/2 and y = (a + 3)/2, pupil: Look., teacher: Look.}
  - {slip: no-solution-seen, value: none, pupil: Look., teacher: Look.}
"""
IDENTITY = """\
template: identity
version: 1
title: Two numbers
unknowns: [p, q]
for_every: [x]
parameters: {a: [1, 3, 5]}
problem: p*x + q = a*x + 2
stem: Find the numbers with $problem$ for every $x$.
response: {kind: choice, options: 3}
key: p = a and q = 2
slips:
  - {slip: turned, value: p = 2 and q = a, pupil: Look., teacher: Look.}
  - {slip: no-solution-seen, value: none, pupil: Look., teacher: Look.}
"""


def wrong(text: str) -> list[Diagnostic]:
    template = read_template(parse(text.encode(), "t.yaml"), NO_SLIPS).template
    found = review(Entry(make_recipe(template), "", "t.yaml")).diagnostics
    return [each for each in found if each.level is Level.WRONG]


@pytest.mark.parametrize("text", [SYSTEM, IDENTITY])
def test_no_solution_is_an_option_beside_a_point(text: str) -> None:
    ready = Bound(make_recipe(read_template(parse(text.encode(), "t.yaml"), NO_SLIPS).template))
    maker = Instantiator(ready, 1)

    assert [] == wrong(text)
    for drawn in walk(ready, 1):
        address = maker.address(drawn.position)
        item = maker.item(drawn.position, drawn.draft, item_code(address, OPEN_SECRET))
        response = item.parts[0].response
        assert isinstance(response, ChoiceResponse)
        assert "none" in [plain(option.content) for option in response.options]
        assert () == faults(prove(item))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=True)[1]


def test_no_solution_can_be_a_target_that_belongs_to_no_system() -> None:
    rows = "[{problem: x + y = a + 6 and x - y = 1, key: x = (a + 7)/2 and y = (a + 5)/2}]"
    text = SYSTEM.replace("{kind: choice, options: 3}", f"{{kind: match, options: 4, rows: {rows}}}")

    assert [] == wrong(text)


def test_a_template_without_parameters_speaks_of_its_only_item() -> None:
    text = (
        SYSTEM.replace("parameters: {a: [1, 3, 5]}\n", "").replace("(a + 1)/2", "2").replace("(a + 3)/2", "3")
    )
    text = text.replace("x + y = a + 2", "x + y = 5").replace("value: none", "value: x = 3 and y = 2")

    told = " ".join(each.message for each in wrong(text))

    assert "(as at the only item)" in told
    assert "(at )" not in told
