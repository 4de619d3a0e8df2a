"""A quiz: sections, selection, the rules of a sitting, and a total that is right; in every dialect, read back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from itembank.audit.verify import verify
from itembank.items import Item
from itembank.publication import Publication, Quiz, Section
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, QTI_3_0, Dialect
from itembank.writers.qti2 import translate
from itembank.writers.qti_manifest import quiz_resource
from itembank.writers.qti_test import QUIZ_FILE, quiz_identifier, quiz_xml, total_marks
from tests import samples
from tests.audit_samples import spoiled, write_zip
from tests.qti_schemas import digest_faults, faults, needs_schemas, schema
from tests.qti_scorer import QTI, ScoredItem

BANK = Publication("evening-algebra", "Evening algebra", "en", "CC-BY-4.0", "Saltmarsh College")
FULL = Quiz(
    "Roots & surds",
    "template",
    1,
    (("entries", 2),),
    True,
    True,
    True,
    3,
    45,
    True,
    False,
    True,
    False,
    False,
    True,
)
DIALECTS = (QTI_3_0, QTI_2_2, QTI_2_1)
every_dialect = pytest.mark.parametrize("dialect", DIALECTS, ids=lambda dialect: dialect.name)


def items() -> list[Item]:
    return [make() for make in samples.ALL]


def sections() -> list[Section]:
    """The samples in two sections."""
    whole = [(item.code, item.marks) for item in items()]
    return [Section("choices", "Choices", tuple(whole[:3])), Section("entries", "Entries", tuple(whole[3:]))]


def document(dialect: Dialect, quiz: Quiz = FULL, part: int = 0) -> str:
    written = quiz_xml(BANK, quiz, sections(), part)
    return written if dialect is QTI_3_0 else translate(written, dialect).document


def root_of(text: str) -> etree._Element:
    return etree.fromstring(text.encode())


@needs_schemas
@every_dialect
@pytest.mark.parametrize("quiz", [Quiz(), FULL, Quiz(select=2, minutes=10, attempts=0)])
def test_a_quiz_passes_the_digest_of_the_schema(dialect: Dialect, quiz: Quiz) -> None:
    name = "qti3-asi.rng" if dialect is QTI_3_0 else "qti2-asi.rng"

    assert [] == digest_faults(name, root_of(document(dialect, quiz)))


@needs_schemas
def test_the_quizs_outcomes_are_valid() -> None:
    declared = root_of(document(QTI_3_0)).findall(f"{QTI}qti-outcome-declaration")

    assert 2 == len(declared)
    outcomes = schema("qti-3.0/imsqti_outcomev3p0_v1p0.xsd")
    assert [] == [fault for each in declared for fault in faults(outcomes, each)]


def test_every_rule_of_a_sitting_is_written() -> None:
    root = root_of(document(QTI_2_1))
    (control,) = root.iter("{*}itemSessionControl")
    (limits,) = root.iter("{*}timeLimits")
    (part,) = root.iter("{*}testPart")

    assert {
        "maxAttempts": "3", "showFeedback": "false", "allowReview": "false", "showSolution": "true",
        "allowComment": "true", "allowSkipping": "false",
    } == dict(control.attrib)  # fmt: skip
    assert {"maxTime": "2700", "allowLateSubmission": "true"} == dict(limits.attrib)
    assert ("linear", "simultaneous") == (part.get("navigationMode"), part.get("submissionMode"))
    assert "Roots & surds" == root.get("title")
    assert ["1", "2"] == [each.get("select") for each in root.iter("{*}selection")]
    assert ["true", "true"] == [each.get("shuffle") for each in root.iter("{*}ordering")]


def test_a_quiz_without_rules_takes_every_item_in_the_order_given() -> None:
    root = root_of(document(QTI_3_0, Quiz()))
    names = [each.get("href") for each in root.iter(f"{QTI}qti-assessment-item-ref")]

    assert [qti3.item_name(item) for item in items()] == names
    assert not list(root.iter(f"{QTI}qti-selection", f"{QTI}qti-ordering", f"{QTI}qti-time-limits"))
    assert "Evening algebra" == root.get("title")
    assert ["Choices", "Entries"] == [each.get("title") for each in root.iter(f"{QTI}qti-assessment-section")]


def test_identifiers_stay_the_same_and_name_the_part() -> None:
    assert "quiz-evening-algebra" == root_of(document(QTI_3_0)).get("identifier") == quiz_identifier(BANK, 0)
    second = root_of(document(QTI_3_0, part=2))
    assert ("quiz-evening-algebra-2", "Roots & surds (2)") == (second.get("identifier"), second.get("title"))


def test_the_total_is_known_only_where_chance_does_not_change_it() -> None:
    like, unlike = Section("a", "A", (("X", 2), ("Y", 2))), Section("b", "B", (("Z", 1), ("W", 4)))

    assert 9 == total_marks(Quiz(), [like, unlike])
    assert 2 == total_marks(Quiz(select=1), [like])
    assert total_marks(Quiz(select=1), [like, unlike]) is None
    assert 7 == total_marks(Quiz(select_of=(("a", 1),)), [like, unlike])
    assert 9 == total_marks(Quiz(select=5), [like, unlike])
    assert "normal-maximum" not in quiz_xml(BANK, Quiz(select=1), [unlike]).partition("MAXSCORE")[0]


def summed(root: etree._Element, results: list[dict[str, Any]]) -> dict[str, float]:
    """Outcome processing by the standard's words: `sum` of `test-variables`, for each outcome that is set."""
    found = {}
    for rule in root.iterfind(f"{QTI}qti-outcome-processing/{QTI}qti-set-outcome-value"):
        (variables,) = rule.iterfind(f"{QTI}qti-sum/{QTI}qti-test-variables")
        found[rule.get("identifier", "")] = sum(
            each[variables.get("variable-identifier")] for each in results
        )
    return found


@every_dialect
def test_the_outcomes_are_the_items_added_up(dialect: Dialect) -> None:
    """All keys give the stated maximum, no answers give nothing; MAXSCORE is there whatever was answered."""
    root = ScoredItem(document(dialect, Quiz())).root
    results = []
    for given in (lambda item: item.key(), lambda item: {}):
        scored = [ScoredItem(qti3.item_xml(item)) for item in items()]
        outcomes = [each.answer(given(each)).outcomes for each in scored]
        results.append(
            [
                {name: value.only for name, value in each.items() if value and value.base == "float"}
                for each in outcomes
            ]
        )
    total = float(sum(item.marks for item in items()))

    assert {"SCORE": total, "MAXSCORE": total} == summed(root, results[0])
    assert {"SCORE": 0.0, "MAXSCORE": total} == summed(root, results[1])
    (score,) = (
        each for each in root.iterfind(f"{QTI}qti-outcome-declaration") if each.get("identifier") == "SCORE"
    )
    assert total == float(score.get("normal-maximum", ""))


# the audit


def package(dialect: Dialect, quiz: Quiz = FULL) -> dict[str, str]:
    """A whole package with its quiz as texts by name."""
    whole = items()
    resources = "".join(qti3.manifest_resource(item, dialect=dialect, publication=BANK) for item in whole)
    resources += quiz_resource(BANK, [item.code for item in whole], dialect=dialect)
    head = qti3.manifest_head(BANK, dialect=dialect, quiz=True)
    texts = {"imsmanifest.xml": head + resources + qti3.manifest_tail(), QUIZ_FILE: document(dialect, quiz)}
    for item in whole:
        written = qti3.item_xml(item)
        if dialect is not QTI_3_0:
            written = translate(written, dialect).document
        texts[qti3.item_name(item)] = written
    return texts


def codes(path: Path, texts: dict[str, str]) -> set[str]:
    return {finding.code for finding in verify(write_zip(path / "quiz.zip", texts)).findings}


@every_dialect
@pytest.mark.parametrize("quiz", [Quiz(), FULL, Quiz(select=1)])
def test_a_package_with_a_quiz_passes(dialect: Dialect, quiz: Quiz, tmp_path: Path) -> None:
    assert set() == codes(tmp_path, package(dialect, quiz))


@needs_schemas
@pytest.mark.parametrize(
    ("dialect", "name"),
    [(QTI_3_0, "qti-3.0/imsqtiv3p0_imscpv1p2_v1p0.xsd"), (QTI_2_2, "stand-ins/qti22-manifest.xsd")],
    ids=["qti3", "qti22"],
)
def test_the_manifest_of_a_package_with_a_quiz_is_valid(dialect: Dialect, name: str) -> None:
    assert [] == faults(schema(name), root_of(package(dialect)["imsmanifest.xml"]))


SPOILED = [
    ("missing-file", 'href="items/', 'href="iterns/', 1),
    ("missing-file", 'href="items/', 'href="../items/', 1),
    ("duplicate-identifier", "item-T4W9C", "item-K7Q2M", 1),
    ("wrong-identifier", 'identifier="item-T4W9C"', 'identifier="1 item"', 1),
    ("wrong-selection", '<qti-selection select="1"/>', '<qti-selection select="9"/>', 1),
    ("wrong-selection", '<qti-selection select="1"/>', '<qti-selection select="none"/>', 1),
    ("wrong-total", 'variable-identifier="SCORE"', 'variable-identifier="MAXSCORE"', 1),
    ("wrong-total", "<qti-sum>", "<qti-product>", -1),
    ("wrong-outcome", 'base-type="float"', 'base-type="integer"', 1),
    ("wrong-rule", 'navigation-mode="linear"', 'navigation-mode="sideways"', 1),
    ("wrong-rule", 'submission-mode="simultaneous"', 'submission-mode="never"', 1),
    ("wrong-rule", 'max-attempts="3"', 'max-attempts="-3"', 1),
    ("wrong-rule", 'show-feedback="false"', 'show-feedback="perhaps"', 1),
    ("wrong-rule", 'max-time="2700"', 'max-time="0"', 1),
    ("missing-attribute", 'visible="true"', 'visible="maybe"', 1),
    ("missing-attribute", 'title="Roots &amp; surds"', 'title=""', 1),
    ("wrong-root", "qti-assessment-test", "qti-assessment-item", -1),
    ("wrong-version", "imsqtiasi_v3p0\"", "imsqti_v2p2\"", 1),
    ("not-well-formed", "</qti-test-part>", "", 1),
    ("document-type", "<qti-assessment-test", "<!DOCTYPE a><qti-assessment-test", 1),
]  # fmt: skip


@pytest.mark.parametrize(("found", "old", "new", "count"), SPOILED)
def test_a_spoiled_quiz_is_found(found: str, old: str, new: str, count: int, tmp_path: Path) -> None:
    texts = package(QTI_3_0)
    changed = spoiled(texts[QUIZ_FILE], old, new, count=count)
    if found == "wrong-total" and "sum" in old:
        changed = changed.replace("</qti-sum>", "</qti-product>")
    if found == "wrong-version":
        changed = translate(texts[QUIZ_FILE], QTI_2_2).document

    assert found in codes(tmp_path, {**texts, QUIZ_FILE: changed})


def test_a_total_that_is_not_the_items_is_found(tmp_path: Path) -> None:
    texts = package(QTI_3_0, Quiz())
    total = sum(item.marks for item in items())
    changed = spoiled(texts[QUIZ_FILE], f'normal-maximum="{total}"', f'normal-maximum="{total + 1}"')

    assert {"wrong-total"} == codes(tmp_path, {**texts, QUIZ_FILE: changed})


def test_an_item_lost_from_the_quiz_is_found(tmp_path: Path) -> None:
    texts = package(QTI_3_0, Quiz())
    reference = '<qti-assessment-item-ref identifier="item-T4W9C" href="items/T4W9C.xml"/>'

    assert "quiz-differs" in codes(tmp_path, {**texts, QUIZ_FILE: spoiled(texts[QUIZ_FILE], reference, "")})


def test_a_section_of_one_item_twice_is_found(tmp_path: Path) -> None:
    whole = sections()
    twice = [whole[0], replace_items(whole[1], (*whole[1].items, whole[0].items[0]))]
    texts = {**package(QTI_3_0), QUIZ_FILE: quiz_xml(BANK, replace(FULL, select=0), twice)}

    assert {"duplicate-item", "duplicate-identifier"} <= codes(tmp_path, texts)


def replace_items(section: Section, listed: tuple[tuple[str, int], ...]) -> Section:
    return section._replace(items=listed)
