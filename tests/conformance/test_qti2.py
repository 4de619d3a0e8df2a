"""What the writers of QTI 2.1 and 2.2 write, against schemas, examples, and the same items in QTI 3.0.

Items are checked against a digest of the item schema, which is not the publisher's. The manifest of 2.2 is checked
against a retyped copy of the publisher's schema, that of 2.1 against Content Packaging 1.2 itself. Response processing
and outcomes have no schema of 2.x here: read back under the names of 3.0 they must be, to the letter, what stands in
the item of 3.0, which is checked against the publisher's schemas.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from lxml import etree

from itembank.errors import DomainError
from itembank.items import ChoiceResponse, Item
from itembank.publication import Publication
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, Dialect
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2, translate
from tests import qti_items, samples, template_items
from tests.qti_schemas import STANDARDS, digest_faults, faults, needs_examples, needs_schemas, schema
from tests.qti_scorer import QTI, ScoredItem

ITEMS = (*samples.ALL, *qti_items.MORE, *template_items.MAKERS)
PUBLISHED = Publication("algebra", "Algebra", "en", "CC-BY-4.0", "Saltmarsh College")
WRITERS = (WRITER_2_1, WRITER_2_2)
MATH = "{http://www.w3.org/1998/Math/MathML}math"
both = pytest.mark.parametrize("writer", WRITERS, ids=lambda writer: writer.FORMAT)
every_item = pytest.mark.parametrize("make", ITEMS)


def written(writer: object, item: Item) -> etree._Element:
    """An item's document, read back."""
    return etree.fromstring(writer.item_xml(item).encode())  # type: ignore[attr-defined]


def manifest(dialect: Dialect, *items: Item) -> etree._Element:
    """A manifest of items, read back."""
    head = qti3.manifest_head(PUBLISHED, dialect=dialect)
    resources = (qti3.manifest_resource(item, dialect=dialect, publication=PUBLISHED) for item in items)
    return etree.fromstring((head + "".join(resources) + qti3.manifest_tail()).encode())


@needs_schemas
@both
@every_item
def test_an_item_passes_the_digest_of_the_item_schema(writer: object, make: Callable[[], Item]) -> None:
    assert [] == digest_faults("qti2-asi.rng", written(writer, make()))


@needs_schemas
@both
@every_item
def test_all_mathematics_is_valid_mathml(writer: object, make: Callable[[], Item]) -> None:
    mathml = schema("mathml-3/mathml3.xsd")
    formulas = list(written(writer, make()).iter(MATH))

    assert len(formulas) >= 4
    assert [] == [fault for formula in formulas for fault in faults(mathml, formula)]


def told(element: etree._Element) -> list[tuple[object, ...]]:
    """Every element below with its attributes and text, in order."""
    return [(each.tag, dict(each.attrib), each.text) for each in element.iter()]


@both
@every_item
def test_declarations_and_rules_are_those_of_3_0(writer: object, make: Callable[[], Item]) -> None:
    item = make()
    older, newer = ScoredItem(writer.item_xml(item)).root, ScoredItem(qti3.item_xml(item)).root  # type: ignore[attr-defined]

    for name in ("response-declaration", "outcome-declaration", "response-processing"):
        mine, theirs = older.findall(f"{QTI}qti-{name}"), newer.findall(f"{QTI}qti-{name}")
        assert [told(each) for each in theirs] == [told(each) for each in mine]
    assert older.find(f"{QTI}qti-response-processing") is not None


@both
@every_item
def test_what_2_x_wants_written_is_written(writer: object, make: Callable[[], Item]) -> None:
    root = written(writer, make())
    space = root.nsmap[None]

    assert writer.dialect.items == space  # type: ignore[attr-defined]
    assert "false" == root.get("adaptive") == root.get("timeDependent")
    for choice in root.iter(f"{{{space}}}choiceInteraction"):
        assert choice.get("shuffle") in {"true", "false"}
        assert choice.get("maxChoices") is not None
    names = {str(name) for element in root.iter(f"{{{space}}}*") for name in element.attrib}
    assert not {name for name in names if "-" in name and not name.startswith(("{", "aria-"))}
    if writer is WRITER_2_1:
        assert not {name for name in names if name.startswith("aria-")}


def seen(root: etree._Element) -> str:
    """The text of a document without what it declares: formulas by their alternative text, blanks as one."""
    found: list[str] = []

    def visit(element: etree._Element) -> None:
        name = etree.QName(element).localname
        if name == "math":
            found.append(str(element.get("alttext")))
            return
        if name.lower().replace("qti-", "") not in {"responsedeclaration", "outcomedeclaration"}:
            found.append(element.text or "")
            for child in element:
                visit(child)
                found.append(child.tail or "")

    for child in root:
        if etree.QName(child).localname in {
            "itemBody",
            "qti-item-body",
            "modalFeedback",
            "qti-modal-feedback",
        }:
            visit(child)
    return " ".join("".join(found).split())


@every_item
def test_the_text_of_an_item_is_the_same_in_all_dialects(make: Callable[[], Item]) -> None:
    item = make()
    newer = seen(etree.fromstring(qti3.item_xml(item).encode()))

    assert len(newer) > 60
    assert newer == seen(written(WRITER_2_2, item)) == seen(written(WRITER_2_1, item))


@both
@every_item
def test_an_item_is_marked_alike_in_all_dialects(writer: object, make: Callable[[], Item]) -> None:
    item = make()
    older = ScoredItem(writer.item_xml(item))  # type: ignore[attr-defined]
    newer = ScoredItem(qti3.item_xml(item))

    assert item.marks == older.answer(older.key()).score
    assert 0 == older.answer({}).score
    for part in item.parts:
        if isinstance(part.response, ChoiceResponse):
            name = f"RESPONSE_{part.label}" if part.label else "RESPONSE"
            for option in part.response.options:
                given = {name: option.identifier}
                assert newer.answer(given).score == older.answer(given).score
                assert newer.answer(given).feedback == older.answer(given).feedback


# manifests


@needs_schemas
@pytest.mark.parametrize(
    ("dialect", "name"),
    [(QTI_2_2, "stand-ins/qti22-manifest.xsd"), (QTI_2_1, "content-packaging-1.2/imscp_v1p2.xsd")],
    ids=["qti22", "qti21"],
)
def test_a_manifest_is_valid(dialect: Dialect, name: str) -> None:
    root = manifest(dialect, *(make() for make in ITEMS))
    if dialect is QTI_2_1:
        _without_metadata(root)

    assert len(ITEMS) == len(list(root.iter("{*}resource")))
    assert [] == faults(schema(name), root)


def _without_metadata(root: etree._Element) -> None:
    """Content Packaging lets any known element into metadata; the schemas of what 2.1 says are not held here."""
    lom = schema("lom-1.3.2/imsmd_loose_v1p3p2.xsd")
    for metadata in list(root.iter("{*}metadata")):
        assert [] == [fault for each in metadata.iterfind("{*}lom") for fault in faults(lom, each)]
        for each in metadata:
            if etree.QName(each).localname not in {"schema", "schemaversion"}:
                metadata.remove(each)


@needs_schemas
def test_metadata_of_2_2_is_valid() -> None:
    found = list(manifest(QTI_2_2, *(make() for make in ITEMS)).iter("{*}qtiMetadata"))

    assert len(ITEMS) == len(found)
    assert [] == [
        fault for each in found for fault in faults(schema("qti-2.2/imsqti_metadata_v2p2.xsd"), each)
    ]


# what cannot be carried


def test_names_that_are_in_no_table_are_refused() -> None:
    for strange in ("<qti-marvel/>", '<qti-match colour="red"/>', '<p onclick="x"/>', "<audio/>"):
        with pytest.raises(DomainError):
            translate(strange, QTI_2_2)


def test_prompts_are_lines_and_catalogs_are_told() -> None:
    prompt = '<qti-prompt class="q"><p>Put in order.</p><p>First the smallest.</p></qti-prompt>'
    catalog = '<p data-catalog-idref="c1">x</p><qti-catalog-info><qti-catalog id="c1"/></qti-catalog-info>'
    formula = '<math xmlns="m" alttext="√2"><mi>x</mi></math>'
    listed = f'<qti-inline-choice identifier="A">{formula}</qti-inline-choice>'

    assert (
        '<prompt class="q">Put in order.<br/>First the smallest.</prompt>'
        == translate(prompt, QTI_2_1).document
    )
    assert "<p>x</p>" == translate(catalog, QTI_2_1).document
    assert 1 == len(translate(catalog, QTI_2_1).lost)
    assert f'<inlineChoice identifier="A">{formula}</inlineChoice>' == translate(listed, QTI_2_2).document
    assert ('<inlineChoice identifier="A">√2</inlineChoice>', 1) == (
        translate(listed, QTI_2_1).document,
        len(translate(listed, QTI_2_1).lost),
    )
    with pytest.raises(DomainError):
        translate("<qti-prompt><p>a</p><table/></qti-prompt>", QTI_2_2)


def test_a_shortfall_names_what_is_lost() -> None:
    item = samples.surd_entry_item()

    assert set(qti3.shortfalls(item)) < set(WRITER_2_2.shortfalls(item)) < set(WRITER_2_1.shortfalls(item))


# the scorer on official examples of 2.2: the answers are ours, the scores are what the examples' own words promise

EXAMPLES: list[tuple[str, dict[str, list[str]], float]] = [
    ("choice", {"RESPONSE": ["ChoiceA"]}, 1),
    ("choice", {"RESPONSE": ["ChoiceC"]}, 0),
    ("choice_multiple", {"RESPONSE": ["H", "O"]}, 2),
    ("choice_multiple", {"RESPONSE": ["H", "Cl"]}, 0),
    ("order", {"RESPONSE": ["DriverC", "DriverA", "DriverB"]}, 1),
    ("order", {"RESPONSE": ["DriverA", "DriverC", "DriverB"]}, 0),
    ("order_partial_scoring", {"RESPONSE": ["DriverC", "DriverB", "DriverA"]}, 1),
    ("match", {"RESPONSE": ["C R", "D M"]}, 1.5),
    ("math", {"RESPONSE": ["E"]}, 1),
    ("Example01-modalFeedback", {"RESPONSE": ["true"]}, 10),
    ("Example01-modalFeedback", {"RESPONSE": ["false"]}, 0),
]


@needs_examples
@pytest.mark.parametrize(("name", "given", "score"), EXAMPLES)
def test_the_scorer_scores_official_examples(name: str, given: dict[str, list[str]], score: float) -> None:
    path = STANDARDS / "qti-examples" / "qtiv2p2-examples" / "items" / f"{name}.xml"

    assert score == ScoredItem(path.read_bytes()).answer(given).score
