"""What the writer of QTI 3.0 writes, against the publisher's schemas and official examples.

The schemas lie in a folder `shared/standards` beside the checkout. Items are checked against a digest of the item
schema, which is not the publisher's: passing it is no proof of conformance. Response processing, outcomes, mathematics
and manifests are checked against the schemas themselves.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest
from lxml import etree

from itembank.items import Item, WrittenResponse
from itembank.publication import Publication, Statement
from itembank.writers import qti3
from tests import kinds_bank, qti_items, samples, template_items
from tests.qti_schemas import STANDARDS, digest_faults, faults, needs_examples, needs_schemas, schema
from tests.qti_scorer import QTI, NotKnown, ScoredItem

MATH = "{http://www.w3.org/1998/Math/MathML}math"
PACKAGING = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1}"
PUBLISHED = Publication(
    "evening-algebra", "Evening algebra", "en", "CC-BY-4.0", "Saltmarsh College; algebra",
    (
        Statement(
            "HSA-REI.B.4b", "Solve quadratic equations & say which roots are real", "Saltmarsh scheme", "US", "2010",
            "https://case.saltmarsh.example/ims/case/v1p0/CFItems/4f2a7c1e-58b0-4a55-9d3c-6b1f0a9e7d22",
            "4f2a7c1e-58b0-4a55-9d3c-6b1f0a9e7d22",
        ),
        Statement("HSN-RN.A.2", guid="9c1d2b44-0e7a-4f7e-8a51-3d5b6c7e8f90"),
    ),
)  # fmt: skip
KINDS = tuple(partial(lambda name: kinds_bank.items(name, 1)[0], name) for name in kinds_bank.TEMPLATES)
ITEMS = (*samples.ALL, *qti_items.MORE, *KINDS, *template_items.MAKERS)


def item_faults(root: etree._Element) -> list[str]:
    """What the digest finds wrong with an item."""
    return digest_faults("qti3-asi.rng", root)


def written(item: Item) -> etree._Element:
    """An item's document, read back."""
    return etree.fromstring(qti3.item_xml(item).encode())


def manifest(*items: Item) -> etree._Element:
    """A manifest of items, read back."""
    pieces = [
        qti3.manifest_head(PUBLISHED),
        *(qti3.manifest_resource(item, publication=PUBLISHED) for item in items),
        qti3.manifest_tail(),
    ]
    return etree.fromstring("".join(pieces).encode())


@needs_schemas
@pytest.mark.parametrize("make", ITEMS)
def test_an_item_passes_the_digest_of_the_item_schema(make: Callable[[], Item]) -> None:
    assert [] == item_faults(written(make()))


@needs_schemas
@pytest.mark.parametrize("make", ITEMS)
def test_response_processing_and_outcomes_are_valid(make: Callable[[], Item]) -> None:
    root = written(make())
    rules = schema("qti-3.0/imsqti_responseprocessingv3p0_v1p0.xsd")
    outcomes = schema("qti-3.0/imsqti_outcomev3p0_v1p0.xsd")
    processing = root.find(f"{QTI}qti-response-processing")
    declared = root.findall(f"{QTI}qti-outcome-declaration")

    by_hand = all(isinstance(part.response, WrittenResponse) for part in make().parts)
    assert (processing is None) == by_hand
    assert [] == ([] if processing is None else faults(rules, processing))
    assert len(declared) >= 3
    assert [] == [fault for each in declared for fault in faults(outcomes, each)]


@needs_schemas
@pytest.mark.parametrize("make", ITEMS)
def test_all_mathematics_is_valid_mathml(make: Callable[[], Item]) -> None:
    mathml = schema("mathml-3/mathml3.xsd")
    formulas = list(written(make()).iter(MATH))

    assert len(formulas) >= 4
    assert [] == [fault for formula in formulas for fault in faults(mathml, formula)]


@needs_schemas
def test_a_manifest_and_its_metadata_are_valid() -> None:
    packaging = schema("qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd")
    root = manifest(*(make() for make in ITEMS))

    assert len(ITEMS) == len(list(root.iter(f"{PACKAGING}resource")))
    assert [] == faults(packaging, root)


@needs_schemas
def test_a_manifest_without_items_licence_and_author_is_valid() -> None:
    text = (
        qti3.manifest_head(Publication("b", "B", "de"))
        + qti3.manifest_resource(samples.choice_item())
        + qti3.manifest_tail()
    )

    assert [] == faults(schema("qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd"), etree.fromstring(text.encode()))


# the schemas themselves must be able to refuse


@needs_schemas
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("qti-simple-choice", "qti-simple-choise"),
        (' identifier="K7Q2M"', ""),
        ("<qti-item-body>", "<qti-item-body>text in the body"),
        (' response-identifier="RESPONSE"', ""),
        ('cardinality="single"', 'cardinality="lonely"'),
    ],
)
def test_a_spoiled_item_does_not_pass_the_digest(old: str, new: str) -> None:
    text = qti3.item_xml(samples.choice_item())

    assert old in text
    assert [] != item_faults(etree.fromstring(text.replace(old, new).encode()))


@needs_schemas
def test_spoiled_rules_mathematics_and_manifests_are_refused() -> None:
    root = written(samples.surd_entry_item())
    processing = root.find(f"{QTI}qti-response-processing")
    formula = next(root.iter(MATH))
    assert processing is not None
    next(processing.iter(f"{QTI}qti-base-value")).set("base-type", "whole")
    formula.append(etree.Element("{http://www.w3.org/1998/Math/MathML}mbox"))
    resources = manifest(samples.choice_item(), samples.choice_item())

    assert [] != faults(schema("qti-3.0/imsqti_responseprocessingv3p0_v1p0.xsd"), processing)
    assert [] != faults(schema("mathml-3/mathml3.xsd"), formula)
    assert [] != faults(schema("qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd"), resources), (
        "one identifier stands twice"
    )


# the scorer on official examples: the answers are ours, the scores are what the examples' own words promise

EXAMPLES: list[tuple[str, dict[str, list[str]], float]] = [
    ("choice", {"RESPONSE": ["ChoiceA"]}, 1),
    ("choice", {"RESPONSE": ["ChoiceB"]}, 0),
    ("choice", {}, 0),
    ("choice_multiple", {"RESPONSE": ["H", "O"]}, 2),
    ("choice_multiple", {"RESPONSE": ["O", "H"]}, 2),
    ("choice_multiple", {"RESPONSE": ["H", "Cl"]}, 0),
    ("choice_multiple", {"RESPONSE": ["H"]}, 1),
    ("order", {"RESPONSE": ["DriverC", "DriverA", "DriverB"]}, 1),
    ("order", {"RESPONSE": ["DriverA", "DriverC", "DriverB"]}, 0),
    ("order_partial_scoring", {"RESPONSE": ["DriverC", "DriverA", "DriverB"]}, 2),
    ("order_partial_scoring", {"RESPONSE": ["DriverC", "DriverB", "DriverA"]}, 1),
    ("order_partial_scoring", {}, 0),
    ("inline_choice", {"RESPONSE": ["Y"]}, 1),
    ("match", {"RESPONSE": ["C R", "D M", "L M", "P T"]}, 3),
    ("match", {"RESPONSE": ["C R", "D M"]}, 1.5),
    ("match", {"RESPONSE": ["C R", "D T", "L M"]}, 1.5),
    ("match", {"RESPONSE": ["P M"]}, 0),
    ("match", {}, 0),
]


@needs_examples
@pytest.mark.parametrize(("name", "given", "score"), EXAMPLES)
def test_the_scorer_scores_official_examples(name: str, given: dict[str, list[str]], score: float) -> None:
    path = STANDARDS / "qti-examples" / "qtiv3-examples" / "packaging" / "items" / f"{name}.xml"

    assert score == ScoredItem(path.read_bytes()).answer(given).score


@needs_examples
def test_declared_answers_earn_marks_in_all_official_examples_the_scorer_knows() -> None:
    """An example with rules that are not known is refused, so that none is scored by accident."""
    scored = []
    for path in sorted((STANDARDS / "qti-examples").rglob("*.xml")):
        try:
            item = ScoredItem(path.read_bytes())
            if item.root.tag != f"{QTI}qti-assessment-item" or not item.key() or "SCORE" not in item.outcomes:
                continue
            if (
                item.root.find(f"{QTI}qti-template-processing") is not None
                or item.root.get("adaptive") == "true"
            ):
                continue
            right, empty = item.answer(item.key()).score, item.answer({}).score
        except (NotKnown, etree.XMLSyntaxError, KeyError, ValueError):
            continue
        scored.append((path.name, right > empty))

    assert len(scored) >= 100
    assert [] == [name for name, earned in scored if not earned]
