"""The checklist for files of ours, line by line, on cartridges of the demo banks; and one text in every dialect.

Source: the notes on the standard that lie beside its schemas, section 13 ("what to test of a file of ours"), and
section 11 for the profile of QTI 1.2.1 in a cartridge.
"""

from __future__ import annotations

import re
import shutil
import zipfile
from collections import Counter
from pathlib import Path, PurePosixPath
from typing import NamedTuple

import pytest
from lxml import etree

from itembank.audit.verify import verify
from itembank.build import BuildRequest, build
from itembank.items import Item
from itembank.writers import common_cartridge as cc
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2
from itembank.writers.qti2.translate import translate
from tests import kinds_bank, qti_items, samples, template_items
from tests.cartridge_scorer import ASI, Question
from tests.conformance.test_cartridge import MANIFEST_SCHEMA, grammar
from tests.conformance.test_checklist import LANGUAGE, LOCATION, MATH, NAME, ROOT
from tests.conformance.test_qti2 import seen
from tests.qti_schemas import faults, needs_schemas, schema
from tests.unit.writers.test_cartridge_texts import in_cartridge, in_qti, visible

MANIFEST = "imsmanifest.xml"
PACKAGING = "http://www.imsglobal.org/xsd/imsccv1p3/imscp_v1p1"
PROFILES = {
    "cc.multiple_choice.v0p1": ("response_lid", "Single", "Yes"),
    "cc.multiple_response.v0p1": ("response_lid", "Multiple", "Yes"),
    "cc.fib.v0p1": ("response_str", "Single", "Yes"),
    "cc.essay.v0p1": ("response_str", "Single", "No"),
}
BANKS = ("quadratics", "kinds")
every = pytest.mark.parametrize("name", BANKS)


class Cartridge(NamedTuple):
    """A cartridge by its members; its questions by their names, those of the banks only, where each stands once."""

    path: Path
    members: dict[str, bytes]
    questions: dict[str, Question]

    def documents(self) -> dict[str, etree._Element]:
        """Every document as it stands in the file."""
        return {name: etree.fromstring(data) for name, data in self.members.items() if name.endswith(".xml")}

    def html(self) -> list[etree._Element]:
        """Every text of every question, read as what it is after one unescaping."""
        texts = (text for question in self.questions.values() for text in question.texts("item"))
        return [etree.fromstring(f"<div>{text}</div>") for text in texts]


@pytest.fixture(scope="module")
def cartridges(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Cartridge]:
    """The demo banks as cartridges, built once for all lines, away from the checkout."""
    folder = tmp_path_factory.mktemp("checklist")
    found = {}
    for bank in BANKS:
        shutil.copytree(ROOT / "banks" / bank, folder / bank)
        build(BuildRequest(folder / bank, folder / "out" / bank, formats=("cc",)))
        path = folder / "out" / bank / "platform" / f"{bank}-cc.imscc"
        with zipfile.ZipFile(path) as archive:
            members = {each: archive.read(each) for each in archive.namelist()}
        questions = {}
        for name, data in members.items():
            if name.startswith("banks/"):
                for item in etree.fromstring(data).iter(f"{ASI}item"):
                    questions[item.get("ident", "")] = Question(etree.tostring(item))
        assert len(questions) >= 20
        found[bank] = Cartridge(path, members, questions)
    return found


@every
def test_1_well_formed_utf_8_without_document_types_in_the_right_namespace(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    found = cartridges[name]
    for member, data in found.members.items():
        text = data.decode("utf-8")
        assert not text.startswith("\ufeff")
        assert not re.search("<!(DOCTYPE|ENTITY)", text)
        assert not re.search("&(?!(amp|lt|gt|quot|apos|#[0-9]+|#x[0-9A-Fa-f]+);)", text), member
    for member, root in found.documents().items():
        wanted = PACKAGING if member == MANIFEST else ASI.strip("{}")
        located = dict(zip(*[iter(root.get(LOCATION, "").split())] * 2, strict=True))
        assert wanted == etree.QName(root).namespace
        assert located[wanted].endswith(".xsd")


@needs_schemas
@every
def test_2_valid_where_schemas_are_held(name: str, cartridges: dict[str, Cartridge]) -> None:
    found = cartridges[name]
    for member, root in found.documents().items():
        is_manifest = member == MANIFEST
        assert [] == faults(schema(MANIFEST_SCHEMA if is_manifest else "stand-ins/cc-qti12.xsd"), root), (
            member
        )
        ours = grammar("cartridge_manifest.rng" if is_manifest else "cartridge_questions.rng")
        assert [] == faults(ours, root), member
    formulas = [formula for text in found.html() for formula in text.iter(MATH)]
    mathml = schema("mathml-3/mathml3.xsd")
    assert len(formulas) > 100
    assert [] == [fault for formula in formulas for fault in faults(mathml, formula)]


@every
def test_3_identifiers_are_names_and_unique(name: str, cartridges: dict[str, Cartridge]) -> None:
    found = cartridges[name]
    manifest = found.documents()[MANIFEST]
    named = [each.get("identifier") for each in manifest.iter() if each.get("identifier") is not None]
    assert len(named) == len(set(named))
    assert all(NAME.fullmatch(str(each)) for each in named)
    for member, root in found.documents().items():
        idents = [each.get("ident", "") for each in root.iter(f"{ASI}item")]
        assert len(idents) == len(set(idents)), member
        assert all(NAME.fullmatch(each) for each in idents)
    for question in found.questions.values():
        feedback = [each.get("ident") for each in question.named("itemfeedback")]
        for names in (question.options, feedback):
            assert len(names) == len(set(names))
            assert all(NAME.fullmatch(str(each)) for each in names)
    assert 1 == max(Counter(each.lower() for each in found.members).values())


@every
def test_4_every_question_has_one_response_that_fits_its_kind(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    kinds = set()
    for question in cartridges[name].questions.values():
        kind, cardinality, by_computer = PROFILES[question.metadata["cc_profile"]]
        kinds.add(question.metadata["cc_profile"])
        assert etree.QName(question.response).localname == kind
        assert question.response.get("rcardinality") == cardinality
        assert question.metadata["qmd_computerscored"] == by_computer
        assert {question.response.get("ident")} >= {
            each.get("respident") for each in question.named("varequal")
        }
    assert len(kinds) >= 2
    assert name != "kinds" or kinds == set(PROFILES)


@every
def test_5_every_value_a_rule_compares_with_can_be_given(name: str, cartridges: dict[str, Cartridge]) -> None:
    for question in cartridges[name].questions.values():
        compared = question.listed()
        if question.options:
            assert set(compared) <= set(question.options)
            assert len(question.options) >= (2 if question.response.get("rcardinality") == "Multiple" else 3)
        elif question.metadata["cc_profile"] == "cc.essay.v0p1":
            assert [] == compared
        else:
            assert len(compared) == len({each.casefold() for each in compared}) >= 1
            assert all(each == each.strip() for each in compared)


@every
def test_6_feedback_is_there_and_the_score_stays_within_its_limits(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    for question in cartridges[name].questions.values():
        shown = {each.get("linkrefid") for each in question.named("displayfeedback")}
        assert shown == {each.get("ident") for each in question.named("itemfeedback")}
        (declared,) = question.named("decvar")
        assert ("0", "100") == (declared.get("minvalue"), declared.get("maxvalue"))
        assert 0 == question.answer("").score
        if question.metadata["cc_profile"] == "cc.essay.v0p1":
            assert [] == question.named("setvar")
            continue
        sets = [[e.text or "" for e in question.named("varequal", rule) if e.getparent().tag != f"{ASI}not"]
                for rule in question.named("respcondition")]  # fmt: skip
        scores = [
            question.answer(chosen if question.options else chosen[0]).score for chosen in sets if chosen
        ]
        assert max(scores) == 100
        assert min(scores) >= 0


@every
def test_7_every_address_lies_inside_and_every_file_is_in_the_manifest(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    found = cartridges[name]
    manifest = found.documents()[MANIFEST]
    listed = [each.get("href", "") for each in manifest.iter("{*}file")]
    for address in listed:
        assert ":" not in address
        assert not address.startswith("/")
        assert ".." not in PurePosixPath(address).parts
    assert MANIFEST == next(iter(found.members))
    assert sorted(listed) == sorted(set(found.members) - {MANIFEST})
    shown = {image.get("src", "") for text in found.html() for image in text.iter("img")}
    assert {each.removeprefix("$IMS-CC-FILEBASE$../") for each in shown} == {
        each for each in listed if each.endswith(".svg")
    }
    assert all(each.startswith("$IMS-CC-FILEBASE$../") for each in shown)
    assert all(each.isascii() for each in found.members)
    assert [] == [
        e for text in found.html() for e in text.iter() if {"href", "data", "action"} & set(e.attrib)
    ]


@every
def test_8_everything_has_words_and_nothing_tells_the_key(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    found = cartridges[name]
    first = Counter[int]()
    for question in found.questions.values():
        assert question.item.get(LANGUAGE)
        for text in question.texts("presentation"):
            root = etree.fromstring(f"<div>{text}</div>")
            told = [
                str(value)
                for each in root.iter()
                for key, value in each.items()
                if key not in {"alttext", "alt"}
            ]
            assert not [each for each in told if re.search("correct|right|wrong|key|slip", each)]
        if len(question.options) > 2 and question.response.get("rcardinality") == "Single":
            right = [option for option in question.options if question.answer([str(option)]).score == 100]
            first[question.options.index(*right)] += 1
    for root in found.html():
        assert all((each.get("alttext") or "").strip() for each in root.iter(MATH))
        assert all((each.get("alt") or "").strip() for each in root.iter("img"))
    assert len(first) >= 2
    assert max(first.values()) < 3 * sum(first.values()) / 4


@every
def test_9_the_audit_scores_every_question_from_the_file_alone(
    name: str, cartridges: dict[str, Cartridge]
) -> None:
    report = verify(cartridges[name].path)

    assert report.ok, report.lines()
    assert len(cartridges[name].questions) == report.items


@every
def test_no_file_holds_an_address_or_the_name_of_a_slip(name: str, cartridges: dict[str, Cartridge]) -> None:
    """A bank's file is named by its template, which staff read; questions and pictures name neither."""
    slips = set(
        re.findall(r"^ *- slip: (\S+)", (ROOT / "banks" / name / "slips.yaml").read_text("utf-8"), re.M)
    )
    secret = {each for each in slips if "-" in each}

    assert len(secret) >= 6
    for question in cartridges[name].questions.values():
        assert [] == [each for each in secret if each in etree.tostring(question.item, encoding="unicode")]


# one text in every dialect


def of_every_kind() -> list[Item]:
    """An item of each kind of response and each form of entry, of one part."""
    found = [make() for make in (*samples.ALL, *qti_items.MORE) if make is not qti_items.two_part_item]
    found += [kinds_bank.items(name, 1)[0] for name in kinds_bank.TEMPLATES]
    forms = ("interval", "interval-rays", "brackets", "brackets-scale")
    found += [next(template_items.items(name, 1)) for name in forms]
    return found


def named(item: Item) -> str:
    """The kind and the code."""
    return f"{type(item.parts[0].response).__name__}-{item.code}"


@pytest.mark.parametrize("item", of_every_kind(), ids=named)
def test_the_text_of_an_item_is_the_same_in_the_three_dialects(item: Item) -> None:
    """QTI 3.0, 2.2 and 2.1 in every character; a cartridge but for gaps, letters and how to type.

    Where inequalities are typed, the sentence on boxes is left out with the boxes.
    """
    document = qti3.item_xml(item)
    text = seen(etree.fromstring(document.encode()))
    questions = cc.written(item).items
    whole = in_qti(item)
    if questions and 'data-typed="inequalities"' in questions[0]:
        root = etree.fromstring(document.encode())
        for each in [each for each in root.iter() if each.get("class") == "instruction"]:
            each.getparent().remove(each)  # type: ignore[union-attr]
        whole = "".join(visible(root.find("{*}qti-item-body")))  # type: ignore[arg-type]

    assert len(text) > 8
    for dialect in (QTI_2_2, QTI_2_1):
        assert text == seen(etree.fromstring(translate(document, dialect).document.encode()))
    assert len(questions) >= 1
    assert {whole} == {in_cartridge(question) for question in questions}
