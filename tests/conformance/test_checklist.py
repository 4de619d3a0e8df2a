"""The checklist for files of ours, line by line, on the packages of the demo bank in every dialect.

Source: the notes on the standard that lie beside its schemas, section 13 ("what to test of a file of ours").
"""

from __future__ import annotations

import re
import shutil
import zipfile
from collections import Counter
from itertools import product
from pathlib import Path, PurePosixPath
from typing import NamedTuple
from urllib.parse import unquote

import pytest
from lxml import etree

from itembank.audit.verify import verify
from itembank.build import BuildRequest, build
from itembank.writers.dialects import DIALECTS, Dialect
from tests.conformance.test_notations import MANIFESTS
from tests.conformance.test_qti2 import seen
from tests.qti_schemas import digest_faults, faults, needs_schemas, schema
from tests.qti_scorer import QTI, ScoredItem

ROOT = Path(__file__).parents[2]
MATH = "{http://www.w3.org/1998/Math/MathML}math"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
LOCATION = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"
NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*")
FITTING = {
    "qti-choice-interaction": ({"identifier"}, {"single", "multiple"}),
    "qti-order-interaction": ({"identifier"}, {"ordered"}),
    "qti-match-interaction": ({"directedPair"}, {"single", "multiple"}),
    "qti-inline-choice-interaction": ({"identifier"}, {"single"}),
    "qti-text-entry-interaction": ({"string", "integer", "float"}, {"single"}),
    "qti-extended-text-interaction": ({"string"}, {"single"}),
}
BANKS = ("quadratics", "kinds")
every = pytest.mark.parametrize("name", [f"{bank}-{name}" for bank in BANKS for name in DIALECTS])


class Package(NamedTuple):
    """A package by its members; items and quizzes under the names of 3.0 (the scorer's own renaming)."""

    path: Path
    dialect: Dialect
    members: dict[str, bytes]
    items: dict[str, ScoredItem]


@pytest.fixture(scope="module")
def packages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Package]:
    """The demo banks in every dialect, built once for all lines, away from the checkout."""
    folder = tmp_path_factory.mktemp("checklist")
    for bank in BANKS:
        shutil.copytree(ROOT / "banks" / bank, folder / bank)
        build(BuildRequest(folder / bank, folder / "out" / bank, formats=tuple(DIALECTS)))
    found = {}
    for bank, dialect in product(BANKS, DIALECTS.values()):
        path = folder / "out" / bank / "platform" / f"{bank}-{dialect.name}.zip"
        with zipfile.ZipFile(path) as archive:
            members = {each: archive.read(each) for each in archive.namelist()}
        documents_of = [each for each in members if each.startswith("items/") and each.endswith(".xml")]
        items = {each: ScoredItem(members[each]) for each in documents_of}
        assert len(items) >= 20
        found[f"{bank}-{dialect.name}"] = Package(path, dialect, members, items)
    return found


def documents(found: Package) -> dict[str, etree._Element]:
    """Every document as it stands in the file."""
    return {name: etree.fromstring(data) for name, data in found.members.items() if name.endswith(".xml")}


@every
def test_1_well_formed_utf_8_without_document_types_in_the_right_namespace(
    name: str, packages: dict[str, Package]
) -> None:
    found = packages[name]
    for member, data in found.members.items():
        text = data.decode("utf-8")
        assert not text.startswith("\ufeff")
        assert not re.search("<!(DOCTYPE|ENTITY)", text)
        assert not re.search("&(?!(amp|lt|gt|quot|apos|#[0-9]+|#x[0-9A-Fa-f]+);)", text), member
    for member, root in documents(found).items():
        is_manifest = member == "imsmanifest.xml"
        wanted = found.dialect.packaging if is_manifest else found.dialect.items
        located = dict(zip(*[iter(root.get(LOCATION, "").split())] * 2, strict=True))
        assert wanted == etree.QName(root).namespace
        assert located[wanted].endswith(".xsd")


@needs_schemas
@every
def test_2_valid_where_schemas_are_held_else_by_the_digest(name: str, packages: dict[str, Package]) -> None:
    found = packages[name]
    digest = "qti3-asi.rng" if name.endswith("qti3") else "qti2-asi.rng"
    mathml = schema("mathml-3/mathml3.xsd")
    rules = schema("qti-3.0/imsqti_responseprocessingv3p0_v1p0.xsd")
    outcomes = schema("qti-3.0/imsqti_outcomev3p0_v1p0.xsd")
    for member, root in documents(found).items():
        if member == "imsmanifest.xml":
            continue
        assert [] == digest_faults(digest, root), member
        assert [] == [fault for formula in root.iter(MATH) for fault in faults(mathml, formula)]
    for member, item in found.items.items():
        processing = item.root.find(f"{QTI}qti-response-processing")
        assert (processing is None) == is_marked_by_people(item)
        assert [] == ([] if processing is None else faults(rules, processing)), member
        for declared in item.root.iterfind(f"{QTI}qti-outcome-declaration"):
            assert [] == faults(outcomes, declared), member


@needs_schemas
@pytest.mark.parametrize("name", [f"{bank}-{dialect}" for bank in BANKS for dialect in MANIFESTS])
def test_2_manifests_and_their_metadata_are_valid(name: str, packages: dict[str, Package]) -> None:
    manifest = documents(packages[name])["imsmanifest.xml"]

    assert next(manifest.iter("{*}lom"), None) is not None
    assert [] == faults(schema(MANIFESTS[name.partition("-")[2]]), manifest)


def is_marked_by_people(item: ScoredItem) -> bool:
    """Whether an answer in writing is all there is."""
    return next(item.root.iter(f"{QTI}qti-extended-text-interaction"), None) is not None


@every
def test_3_identifiers_are_names_and_unique(name: str, packages: dict[str, Package]) -> None:
    found = packages[name]
    for item in found.items.values():
        variables = [*item.responses, *item.outcomes]
        assert len(variables) == len(set(variables))
        assert all(NAME.fullmatch(each) for each in variables)
        for interaction in item.root.iter(f"{QTI}qti-choice-interaction", f"{QTI}qti-order-interaction"):
            options = [each.get("identifier", "") for each in interaction.iter(f"{QTI}qti-simple-choice")]
            assert len(options) == len(set(options))
            assert all(NAME.fullmatch(each) for each in options)
        sides = [
            *item.root.iter(f"{QTI}qti-match-interaction"),
            *item.root.iter(f"{QTI}qti-inline-choice-interaction"),
        ]
        for interaction in sides:
            names = [each.get("identifier", "") for each in interaction.iter() if each.get("identifier")]
            assert len(names) == len(set(names)) >= 2
            assert all(NAME.fullmatch(each) for each in names)
    resources = [
        each.get("identifier", "") for each in documents(found)["imsmanifest.xml"].iter("{*}resource")
    ]
    styles = [name for name in found.members if name.endswith(".css")]
    assert len(resources) == len(set(resources)) == len(found.items) + len(styles) + 1
    assert all(NAME.fullmatch(each) for each in resources)
    assert 1 == max(Counter(each.lower() for each in found.members).values())


@every
def test_4_every_response_is_declared_used_and_fits(name: str, packages: dict[str, Package]) -> None:
    for item in packages[name].items.values():
        used = {}
        for kind, (bases, cardinalities) in FITTING.items():
            for interaction in item.root.iter(f"{QTI}{kind}"):
                used[interaction.get("response-identifier", "")] = (bases, cardinalities)
        assert set(item.responses) == set(used)
        for identifier, (bases, cardinalities) in used.items():
            assert item.responses[identifier].base in bases
            assert item.responses[identifier].cardinality in cardinalities


@every
def test_5_every_right_value_and_map_key_exists(name: str, packages: dict[str, Package]) -> None:
    for item in packages[name].items.values():
        for interaction in item.root.iter(f"{QTI}qti-choice-interaction"):
            declared = item.responses[interaction.get("response-identifier", "")]
            options = {each.get("identifier") for each in interaction.iter(f"{QTI}qti-simple-choice")}
            values = [
                each.text for each in declared.element.iterfind(f"{QTI}qti-correct-response/{QTI}qti-value")
            ]
            keys = [each.get("map-key") for each in declared.element.iter(f"{QTI}qti-map-entry")]
            most = int(interaction.get("max-choices", "1")) or len(options)
            assert {*values, *keys} <= options
            assert len(values) <= most
        for order in item.root.iter(f"{QTI}qti-order-interaction"):
            things = [each.get("identifier") for each in order.iter(f"{QTI}qti-simple-choice")]
            assert sorted(things) == sorted(right_values(item, order))  # type: ignore[type-var]
        for match in item.root.iter(f"{QTI}qti-match-interaction"):
            rows, targets = (
                {each.get("identifier") for each in side.iter(f"{QTI}qti-simple-associable-choice")}
                for side in match.iter(f"{QTI}qti-simple-match-set")
            )
            declared = item.responses[match.get("response-identifier", "")]
            keys = [each.get("map-key", "") for each in declared.element.iter(f"{QTI}qti-map-entry")]
            pairs = [pair.split() for pair in (*right_values(item, match), *keys)]
            assert all(len(pair) == 2 and pair[0] in rows and pair[1] in targets for pair in pairs)
            assert len(right_values(item, match)) <= int(match.get("max-associations", "1"))
        for line in item.root.iter(f"{QTI}qti-inline-choice-interaction"):
            listed = {each.get("identifier") for each in line.iter(f"{QTI}qti-inline-choice")}
            assert set(right_values(item, line)) <= listed
        for declared in item.responses.values():
            for value in declared.element.iterfind(f"{QTI}qti-correct-response/{QTI}qti-value"):
                if declared.base == "integer":
                    int(value.text or "")
                if declared.base == "float":
                    float(value.text or "")


def right_values(item: ScoredItem, interaction: etree._Element) -> list[str]:
    """The values of the correct response of an interaction."""
    declared = item.responses[interaction.get("response-identifier", "")].element
    return [each.text or "" for each in declared.iterfind(f"{QTI}qti-correct-response/{QTI}qti-value")]


@every
def test_6_outcomes_are_declared_and_the_score_stays_within_its_limits(
    name: str, packages: dict[str, Package]
) -> None:
    for item in packages[name].items.values():
        maximum = float(item.outcomes["SCORE"].element.get("normal-maximum", ""))
        named = [each.get("outcome-identifier") for each in item.root.iter(f"{QTI}qti-modal-feedback")]
        named += [each.get("identifier") for each in item.root.iter(f"{QTI}qti-set-outcome-value")]
        assert set(named) <= set(item.outcomes)
        if is_marked_by_people(item):
            continue
        assert maximum == item.answer(item.key()).score
        assert 0 == item.answer({}).score
        for interaction in item.root.iter(f"{QTI}qti-choice-interaction"):
            for option in interaction.iter(f"{QTI}qti-simple-choice"):
                chosen = {interaction.get("response-identifier", ""): [option.get("identifier", "")]}
                assert 0 <= item.answer({**item.key(), **chosen}).score <= maximum


@every
def test_7_every_address_lies_inside_and_every_file_is_in_the_manifest(
    name: str, packages: dict[str, Package]
) -> None:
    found = packages[name]
    listed = set()
    for member, root in documents(found).items():
        for element in root.iter():
            for attribute in ("href", "src", "data"):
                address = unquote(element.get(attribute, ""))
                if not address:
                    continue
                assert ":" not in address
                assert not address.startswith("/")
                assert ".." not in PurePosixPath(address).parts
                assert str(PurePosixPath(member).parent / address) in found.members
                if member == "imsmanifest.xml":
                    listed.add(address)
    assert set(found.members) - {"imsmanifest.xml"} == listed
    assert "imsmanifest.xml" == next(iter(found.members))
    assert all(each.isascii() for each in found.members)


@every
def test_8_everything_has_words_and_nothing_tells_the_key(name: str, packages: dict[str, Package]) -> None:
    found = packages[name]
    first = Counter()
    for item in found.items.values():
        root = item.root
        assert root.get(LANGUAGE)
        assert all((each.get("alttext") or "").strip() for each in root.iter(MATH))
        assert all((each.get("alt") or "").strip() for each in root.iter(f"{QTI}img"))
        body = root.find(f"{QTI}qti-item-body")
        assert body is not None
        for block in list(body.iter(f"{QTI}qti-rubric-block")):
            assert not {"candidate"} & set(block.get("view", "").split())
            block.getparent().remove(block)  # type: ignore[union-attr]
        told = [
            str(value)
            for element in body.iter()
            for key, value in element.items()
            if key not in {"alttext", "aria-label", "alt"}
        ]
        assert not [each for each in told if re.search("correct|right|wrong|key|slip", each)]
        for interaction in body.iter(f"{QTI}qti-choice-interaction"):
            right = item.key().get(interaction.get("response-identifier", ""))
            options = [each.get("identifier") for each in interaction.iter(f"{QTI}qti-simple-choice")]
            if right and len(right) == 1 and len(options) > 2:
                first[options.index(right[0])] += 1
    assert len(first) >= 2
    assert max(first.values()) < 3 * sum(first.values()) / 4


@every
def test_no_file_holds_an_address_or_the_name_of_a_slip(name: str, packages: dict[str, Package]) -> None:
    """A template's name is the first part of an item's address."""
    bank = ROOT / "banks" / name.partition("-")[0]
    secret = {path.stem for path in (bank / "templates").rglob("*.yaml")}
    secret |= set(re.findall(r"^ *- slip: (\S+)", (bank / "slips.yaml").read_text("utf-8"), re.MULTILINE))
    secret = {each for each in secret if "-" in each}

    assert len(secret) >= 6
    for member, data in packages[name].members.items():
        assert [] == [each for each in secret if each in data.decode("utf-8")], member


@every
def test_9_the_audit_scores_every_item_from_the_file_alone(name: str, packages: dict[str, Package]) -> None:
    report = verify(packages[name].path)

    assert report.ok, report.lines()
    assert len(packages[name].items) == report.items


@pytest.mark.parametrize("bank", BANKS)
def test_the_text_of_every_item_is_the_same_in_all_dialects(bank: str, packages: dict[str, Package]) -> None:
    newer, *older = (packages[f"{bank}-{name}"] for name in DIALECTS)

    assert 2 == len(older)
    for member, data in newer.members.items():
        if member in newer.items:
            text = seen(etree.fromstring(data))
            assert len(text) > 60
            assert {text} == {seen(etree.fromstring(each.members[member])) for each in older}, member
