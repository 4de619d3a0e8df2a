"""Cartridges read back from the file alone: what is written passes, and every way to spoil it is told."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from itembank.audit.findings import Finding, Report
from itembank.audit.typed_answers import read_typed
from itembank.audit.verify import verify, verify_all
from itembank.writers import common_cartridge as cc
from tests import qti_items, samples, template_items
from tests.audit_samples import write_zip

# `in_order_item` asks for the smaller solution first without saying so, and is refused for QTI 3.0 as well
MAKERS = (
    *samples.ALL, qti_items.single_surd_item, qti_items.whole_surd_item, qti_items.bare_surd_item,
    qti_items.fractions_item, qti_items.repeated_root_item,
)  # fmt: skip
ASSESSMENT = cc.Collection("assessment-evening-1", "Evening algebra, assessment 1", is_bank=False)
BANK = cc.Collection("bank-evening", "Evening algebra", is_bank=True)
MANIFEST = "imsmanifest.xml"


def members() -> dict[str, str]:
    """A cartridge of all samples: one assessment and one bank of the same questions."""
    questions = [question for make in MAKERS for question in cc.written(make()).items]
    about = cc.About("cartridge-evening", "Evening algebra", "en", "", "CC-BY-4.0", "Saltmarsh College")
    return {
        MANIFEST: cc.manifest(about, [ASSESSMENT, BANK]),
        ASSESSMENT.name: cc.assessment(ASSESSMENT, questions, "en"),
        BANK.name: cc.question_bank(BANK, questions),
    }


WHOLE = members()


def spoiled(text: str, old: str, new: str, count: int = 1) -> str:
    """The text with a piece replaced that is there."""
    assert old in text, old
    return text.replace(old, new, count)


def of_item(text: str, code: str, change: Callable[[str], str]) -> str:
    """The document with one item changed."""
    found = re.search(rf'<item ident="{code}".*?</item>', text, flags=re.DOTALL)
    assert found
    changed = change(found[0])
    assert changed != found[0]
    return text.replace(found[0], changed)


@pytest.mark.parametrize("thorough", [False, True])
def test_a_cartridge_that_is_written_passes(tmp_path: Path, thorough: bool) -> None:
    path = write_zip(tmp_path / "quiz.imscc", WHOLE)

    assert Report("quiz.imscc", len(MAKERS), (), thorough) == verify(path, thorough=thorough)


def test_a_folder_and_a_document_alone_pass_too(tmp_path: Path) -> None:
    for name, text in WHOLE.items():
        (tmp_path / "quiz" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "quiz" / name).write_text(text, encoding="utf-8")

    assert Report("quiz", len(MAKERS)) == verify(tmp_path / "quiz")
    for each in (ASSESSMENT, BANK):
        alone = tmp_path / "quiz" / each.name
        assert Report(alone.name, len(MAKERS)) == verify(alone)


@dataclass(frozen=True)
class Spoiling:
    """What is done to one item in both documents, and the code that tells of it."""

    name: str
    code: str
    change: Callable[[str], str]
    found: str


def swap(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    """Replace a piece."""
    return lambda text: spoiled(text, old, new, count)


def in_stem(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    """Replace a piece of the first text of the item, which is the stem."""

    def change(text: str) -> str:
        head, mark, tail = text.partition("</material>")
        return spoiled(head, old, new, count) + mark + tail

    return change


def in_solution(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    """Replace a piece of the worked solution."""

    def change(text: str) -> str:
        head, mark, tail = text.partition("<solution>")
        return head + mark + spoiled(tail, old, new, count)

    return change


def rule(answer: str, **new: str) -> Callable[[str], str]:
    """The rule for an answer with another score or another feedback; without the rule where nothing is new."""

    def change(text: str) -> str:
        found = re.search(
            rf'<respcondition continue="No"><conditionvar><varequal respident="RESPONSE">{re.escape(answer)}</varequal>.*?</respcondition>',
            text,
        )
        assert found
        made = found[0]
        for old, replacement in new.items():
            pattern = {"score": r"(?<=Set\">)[0-9.]+", "told": r"(?<=\"Response\" linkrefid=\")\w+"}[old]
            made = re.sub(pattern, replacement, made)
        made = made if new else ""
        return text.replace(found[0], made)

    return change


NUMBER = "&lt;mn&gt;{}&lt;/mn&gt;"
MEANT = "&lt;cn&gt;{}&lt;/cn&gt;"
SPOILINGS = (
    Spoiling("another option earns everything", "K7Q2M", lambda t: rule("B")(t).replace('RESPONSE">C</varequal></conditionvar>', 'RESPONSE">C</varequal></conditionvar><setvar varname="SCORE" action="Set">100</setvar>', 1), "wrong-option-keyed"),
    Spoiling("two options swapped", "K7Q2M", lambda t: t.replace('response_label ident="B"', 'response_label ident="Z"').replace('response_label ident="C"', 'response_label ident="B"').replace('response_label ident="Z"', 'response_label ident="C"'), "wrong-option-keyed"),
    Spoiling("a wrong option earns marks", "K7Q2M", lambda t: spoiled(t, 'RESPONSE">C</varequal></conditionvar>', 'RESPONSE">C</varequal></conditionvar><setvar varname="SCORE" action="Set">50</setvar>'), "wrong-option-earns"),
    Spoiling("the key earns half", "K7Q2M", rule("B", score="50"), "no-key"),
    Spoiling("a slip is told another's sentence", "K7Q2M", rule("C", told="F_A"), "wrong-feedback"),
    Spoiling("a sentence is shown by no rule", "K7Q2M", rule("C"), "wrong-feedback"),
    Spoiling("a feedback is gone", "K7Q2M", lambda t: re.sub(r'<itemfeedback ident="F_C">.*?</itemfeedback>', "", t), "wrong-feedback"),
    Spoiling("any other answer earns everything", "K7Q2M", swap('Set">0<', 'Set">100<'), "empty-earns"),
    Spoiling("an option less than three", "K7Q2M", lambda t: re.sub(r'<response_label ident="[AC]">.*?</response_label>', "", t), "too-few-options"),
    Spoiling("a rule for an option that is not there", "K7Q2M", swap('RESPONSE">C<', 'RESPONSE">E<'), "misfit-value"),
    Spoiling("an option stands twice", "K7Q2M", swap('response_label ident="C"', 'response_label ident="A"'), "duplicate-identifier"),
    Spoiling("the stem shows another number", "K7Q2M", in_stem(NUMBER.format(8), NUMBER.format(6)), "annotation-differs"),
    Spoiling("the stem says another equation, shown and meant", "K7Q2M", lambda t: in_stem(MEANT.format(8), MEANT.format(6))(in_stem(NUMBER.format(8), NUMBER.format(6))(t)), "stem-differs"),
    Spoiling("a line of the solution differs", "K7Q2M", in_solution(f"{NUMBER.format(13)}&lt;/mrow&gt;", f"{NUMBER.format(12)}&lt;/mrow&gt;", -1), "annotation-differs"),
    Spoiling("the problem of the solution is another", "K7Q2M", lambda t: in_solution(NUMBER.format(8), NUMBER.format(4))(in_solution(MEANT.format(8), MEANT.format(4))(t)), "wrong-key"),
    Spoiling("the worked solution is gone", "K7Q2M", lambda t: re.sub(r'<itemfeedback ident="solution">.*?</itemfeedback>', "", t), "no-solution"),
    Spoiling("a formula has no text for those who cannot see it", "K7Q2M", lambda t: re.sub(r'alttext="[^"]+"', 'alttext=""', t, count=1), "formula-without-alttext"),
    Spoiling("a script in the stem", "K7Q2M", in_stem("&lt;p&gt;", "&lt;p&gt;&lt;script&gt;1&lt;/script&gt;"), "unknown-element"),
    Spoiling("an event in the stem", "K7Q2M", in_stem("&lt;p&gt;", "&lt;p onclick=\"1\"&gt;"), "unknown-element"),
    Spoiling("a picture from elsewhere in the stem", "K7Q2M", in_stem("&lt;p&gt;", "&lt;p&gt;&lt;img src=\"https://example.org/a.png\"/&gt;"), "unsafe-reference"),
    Spoiling("a link from a formula", "K7Q2M", in_stem("&lt;mn&gt;", "&lt;mn href=\"https://example.org\"&gt;"), "unknown-element"),
    Spoiling("HTML that is not well-formed", "K7Q2M", in_stem("&lt;/p&gt;", ""), "not-well-formed"),
    Spoiling("a named entity of HTML", "K7Q2M", in_stem("&lt;p&gt;", "&lt;p&gt;&amp;nbsp;"), "not-well-formed"),
    Spoiling("markup instead of text", "K7Q2M", in_stem('<mattext texttype="text/html">', '<mattext texttype="text/html"><p/>'), "not-in-grammar"),
    Spoiling("plain text instead of HTML", "K7Q2M", in_stem('texttype="text/html"', 'texttype="text/plain"'), "unclear-text"),
    Spoiling("another profile", "K7Q2M", swap("cc.multiple_choice.v0p1", "cc.fib.v0p1"), "wrong-kind"),
    Spoiling("a profile that does not exist", "K7Q2M", swap("cc.multiple_choice.v0p1", "cc.order.v0p1"), "wrong-metadata"),
    Spoiling("a label that does not exist", "K7Q2M", swap("qmd_computerscored", "qmd_difficulty"), "wrong-metadata"),
    Spoiling("a weight of nothing", "K7Q2M", swap("cc_weighting</fieldlabel><fieldentry>1<", "cc_weighting</fieldlabel><fieldentry>0<"), "wrong-metadata"),
    Spoiling("a score above a hundred", "K7Q2M", rule("B", score="200"), "not-in-grammar"),
    Spoiling("a listed right answer is wrong", "T4W9C", swap('RESPONSE">3, 1, 7, 2<', 'RESPONSE">3, 1, 7, 4<'), "wrong-entry-earns"),
    Spoiling("all listed right answers are wrong", "T4W9C", lambda t: re.sub(r'RESPONSE">3(\W+)1\W+7\W+2<', r'RESPONSE">3\g<1>1\g<1>5\g<1>2<', t), "wrong-boxes"),
    Spoiling("a spelling is gone", "T4W9C", rule("3, 1, 7, 2"), "spelling-missing"),
    Spoiling("a wrong answer earns a third", "T4W9C", lambda t: spoiled(t, 'RESPONSE">6, 1, 7, 2</varequal></conditionvar>', 'RESPONSE">6, 1, 7, 2</varequal></conditionvar><setvar varname="SCORE" action="Set">33.33</setvar>'), "wrong-entry-earns"),
    Spoiling("a right answer is told to be wrong", "T4W9C", rule("3, 1, 7, 2", told="F1"), "wrong-feedback"),
    Spoiling("the gaps are numbered in another order", "T4W9C", swap("[2]", "[3]"), "unclear-box"),
    Spoiling("+ stands for ±", "T4W9C", in_stem(" ± ", " + "), "wrong-boxes"),
    Spoiling("another order counts no more", "B2H6R", lambda t: re.sub(r'(RESPONSE">)5(\W+?)([-−])3<', r"\g<1>5\g<2>\g<3>4<", t), "order-matters"),
    Spoiling("an answer that is not simplified earns all", "G3S8Z", lambda t: spoiled(t, 'Set">50<', 'Set">100<', -1), "unsimplified-mark"),
    Spoiling("an answer that is not simplified is told to be right", "G3S8Z", rule("1, 72", told="F0"), "wrong-feedback"),
    Spoiling("a typed answer that says nothing", "B2H6R", swap('RESPONSE">-3, 5<', 'RESPONSE">three, 5<'), "unclear-entry"),
    Spoiling("no real solution where there are two", "B2H6R", swap('RESPONSE">-3, 5<', 'RESPONSE">none<'), "wrong-entry-earns"),
    Spoiling("the words for no real solution earn nothing", "N8D3V", lambda t: spoiled(t, "none<", "nothing at all<"), "unclear-entry"),
    Spoiling("options may be shuffled", "K7Q2M", swap('shuffle="No"', 'shuffle="Yes"'), "not-in-grammar"),
    Spoiling("a rule shows no worked solution", "K7Q2M", swap('<displayfeedback feedbacktype="Solution" linkrefid="solution"/>', ""), "wrong-feedback"),
    Spoiling("a slip is told nothing", "K7Q2M", lambda t: re.sub(r'(<itemfeedback ident="F_C">.*?texttype="text/html">)[^<]*', r"\1", t), "empty-feedback"),
    Spoiling("a line of the solution is gone", "K7Q2M", lambda t: re.sub(r'&lt;li data-role="line" data-kind="main" data-marks=""&gt;.*?&lt;/li&gt;', "", t, count=1), "incomplete-solution"),
    Spoiling("other marks are shown at a line", "T4W9C", in_solution('class="marks"&gt;M1', 'class="marks"&gt;B1'), "unclear-marks"),
    Spoiling("how to type the answer is not told", "B2H6R", lambda t: re.sub(r'&lt;p class="typed"&gt;.*?&lt;/p&gt;', "", t), "no-instruction"),
    Spoiling("what is right in a known wrong answer earns nothing", "F5J7X", rule("3, 2", score="0"), "part-marks-lost"),
    Spoiling("a known wrong answer earns more than what is right in it", "F5J7X", rule("3, 2", score="75"), "wrong-entry-earns"),
    Spoiling("the marks at the gaps come to more", "F5J7X", lambda t: spoiled(t, 'data-marks="1"&gt;[1]', 'data-marks="2"&gt;[1]'), "marks-do-not-sum"),
    Spoiling("the marks at a gap are no number", "F5J7X", lambda t: spoiled(t, 'data-marks="1"&gt;[1]', 'data-marks="one"&gt;[1]'), "unclear-box"),
    Spoiling("marks that do not fit the lines", "T4W9C", swap("cc_weighting</fieldlabel><fieldentry>3<", "cc_weighting</fieldlabel><fieldentry>4<"), "marks-do-not-sum"),
)  # fmt: skip


def codes(report: Report) -> set[str]:
    """Every code of a report."""
    return {finding.code for finding in report.findings}


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda each: each.name)
def test_a_spoiled_item_is_told_in_one_line(spoiling: Spoiling, tmp_path: Path) -> None:
    """Changed in the assessment and in the bank alike, so that comparing the two does not help."""
    changed = {
        name: text if name == MANIFEST else of_item(text, spoiling.code, spoiling.change)
        for name, text in WHOLE.items()
    }
    report = verify(write_zip(tmp_path / "quiz.imscc", changed))

    assert spoiling.found in codes(report), report.findings
    assert {spoiling.code, ""} >= {finding.item for finding in report.findings}
    assert len([line for line in report.lines() if line.startswith(spoiling.code)]) <= 1


def in_bank(old: str, new: str) -> dict[str, str]:
    """The cartridge with a piece of its bank replaced."""
    return {**WHOLE, BANK.name: spoiled(WHOLE[BANK.name], old, new)}


def in_manifest(old: str, new: str) -> dict[str, str]:
    """The cartridge with a piece of its manifest replaced."""
    return {**WHOLE, MANIFEST: spoiled(WHOLE[MANIFEST], old, new)}


TYPE = "imsqti_xmlv1p2/imscc_xmlv1p3/"
BROKEN: list[tuple[str, dict[str, str], str]] = [
    ("the bank has another item under the name", in_bank("Solve ", "Look at "), "copies-differ"),
    ("an item stands twice", in_bank('<item ident="T4W9C"', '<item ident="K7Q2M"'), "duplicate-identifier"),
    ("a bank where an assessment should be", in_manifest(f"{TYPE}question-bank", f"{TYPE}assessment"), "wrong-root"),
    ("a type of an older version", in_manifest("imscc_xmlv1p3/assessment", "imscc_xmlv1p1/assessment"), "wrong-type"),
    ("a file that is missing", in_manifest(BANK.name, "banks/none.xml"), "missing-file"),
    ("a file that leads outside", in_manifest(BANK.name, "../secret.xml"), "unsafe-reference"),
    ("a file that leads outside, hidden", in_manifest(BANK.name, "banks/%2e%2e/%2e%2e/secret.xml"), "unsafe-reference"),
    ("a file nobody names", {**WHOLE, "notes.txt": "x"}, "file-not-in-manifest"),
    ("an address on a resource", in_manifest(f'{TYPE}assessment"', f'{TYPE}assessment" href="{ASSESSMENT.name}"'), "wrong-resource"),
    ("two resources of one name", in_manifest(f'resource identifier="{BANK.identifier}"', f'resource identifier="{ASSESSMENT.identifier}"'), "duplicate-identifier"),
    ("a bank in the table of contents", in_manifest(f'identifierref="{ASSESSMENT.identifier}"', f'identifierref="{BANK.identifier}"'), "bank-shown"),
    ("nothing in the table of contents", in_manifest(f'identifierref="{ASSESSMENT.identifier}"', 'identifierref="nobody"'), "missing-resource"),
    ("another version", in_manifest("1.3.0", "1.1.0"), "wrong-schema"),
    ("no description", in_manifest('<lom xmlns="http://ltsc.ieee.org/xsd/imsccv1p3/LOM/manifest">', '<lom xmlns="http://ltsc.ieee.org/xsd/LOM">'), "incomplete-manifest"),
    ("a document type", in_bank("<questestinterop", "<!DOCTYPE questestinterop><questestinterop"), "document-type"),
    ("an entity bomb", in_bank("<questestinterop", '<!DOCTYPE q [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><questestinterop'), "document-type"),
    ("a document that breaks off", in_bank("</objectbank>", ""), "not-well-formed"),
    ("a manifest that breaks off", in_manifest("</manifest>", ""), "not-well-formed"),
    ("an identifier that is none", in_manifest('identifier="cartridge-evening"', 'identifier="1 cartridge"'), "wrong-identifier"),
    ("no manifest", {name: text for name, text in WHOLE.items() if name != MANIFEST}, "no-manifest"),
    ("the manifest stands last", {**{n: t for n, t in WHOLE.items() if n != MANIFEST}, MANIFEST: WHOLE[MANIFEST]}, "manifest-not-first"),
    ("an item is in the bank alone", {**WHOLE, ASSESSMENT.name: re.sub("<item ident=.*?</item>", "", WHOLE[ASSESSMENT.name], count=1, flags=re.DOTALL)}, "copies-differ"),
    ("an item is in the assessment alone", {**WHOLE, BANK.name: re.sub("<item ident=.*?</item>", "", WHOLE[BANK.name], count=1, flags=re.DOTALL)}, "copies-differ"),
    ("another kind of scoring", {**WHOLE, ASSESSMENT.name: spoiled(WHOLE[ASSESSMENT.name], ">Percentage<", ">Points<")}, "wrong-metadata"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "contents", "found"), BROKEN, ids=[name for name, _, _ in BROKEN])
def test_a_broken_cartridge_is_told(name: str, contents: dict[str, str], found: str, tmp_path: Path) -> None:
    (tmp_path / "secret.xml").write_text(WHOLE[BANK.name], encoding="utf-8")

    assert found in codes(verify(write_zip(tmp_path / "quiz.imscc", contents)))


def test_a_zip_that_breaks_off_a_link_and_a_bomb_of_zeros_are_told(tmp_path: Path) -> None:
    whole = write_zip(tmp_path / "whole.imscc", WHOLE).read_bytes()
    (tmp_path / "half.imscc").write_bytes(whole[: len(whole) // 2])
    link = zipfile.ZipInfo("banks/link.xml")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "link.imscc", "w") as package:
        for name, text in WHOLE.items():
            package.writestr(name, text)
        package.writestr(link, "/etc/passwd")
    with zipfile.ZipFile(tmp_path / "bomb.imscc", "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in WHOLE.items():
            package.writestr(name, text)
        package.writestr("banks/zeros.xml", bytes(3_900_000))

    assert {"not-a-package"} == codes(verify(tmp_path / "half.imscc"))
    assert "link" in codes(verify(tmp_path / "link.imscc"))
    assert "zip-bomb" in codes(verify(tmp_path / "bomb.imscc"))


def test_cartridges_audited_by_several_processes_are_told_the_same_of_in_the_same_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("itembank.audit.verify.SHARED_BYTES", 1)
    wrong = {**WHOLE, BANK.name: spoiled(WHOLE[BANK.name], "<setvar", "<setvar varname='SCORE'")}
    paths = [
        write_zip(tmp_path / f"{number}.imscc", contents)
        for number, contents in enumerate((WHOLE, wrong, {MANIFEST: WHOLE[MANIFEST]}))
    ]
    alone = verify_all(paths)

    assert [report.ok for report in alone] == [True, False, False]
    assert verify_all(paths, workers=2) == alone


def test_findings_name_the_item_and_the_document(tmp_path: Path) -> None:
    text = of_item(WHOLE[BANK.name], "K7Q2M", rule("B", score="50"))
    (tmp_path / "bank.xml").write_text(text, encoding="utf-8")
    findings = verify(tmp_path / "bank.xml").findings

    assert Finding("K7Q2M", "bank.xml", "no-key", "0 options earn everything, not one") in findings


@pytest.mark.parametrize(
    ("text", "gaps", "numbers"),
    [
        ("−3", 1, ("-3",)), ("+ 3", 1, ("3",)), ("1,25", 1, ("1.25",)), ("1,25; -2", 2, ("1.25", "-2")),
        ("1 / 2", 1, ("1/2",)), ("1/2, -1/3", 2, ("1/2", "-1/3")), (" None ", 1, ()), ("x = 3", 1, None),
        ("3,,4", 2, None), ("3, 4 5", 2, None), ("", 1, None),
    ],
)  # fmt: skip
def test_typed_answers_are_read(text: str, gaps: int, numbers: tuple[str, ...] | None) -> None:
    assert numbers == read_typed(text, gaps)


def test_an_item_in_another_language_passes(tmp_path: Path) -> None:
    """Its formulas are marked as spoken in English, and a decimal comma counts."""
    items = [
        replace(make(), about=make().about._replace(language="fr"))
        for make in (samples.choice_item, qti_items.decimals_item, qti_items.plain_decimal_item)
    ]
    questions = [question for item in items for question in cc.written(item).items]
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, questions), encoding="utf-8")

    assert Report("bank.xml", 3) == verify(tmp_path / "bank.xml")
    assert 'RESPONSE">1,25</varequal>' in questions[2]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (lambda t: t, set()),
        (
            swap('RESPONSE">0.34<', 'RESPONSE">0.36<'),
            {"wrong-entry-earns", "wrong-feedback", "spelling-missing", "end-earns-less"},
        ),
        (swap('data-tolerance="0.01"', 'data-tolerance="0.005"'), {"wrong-entry-earns", "wrong-feedback"}),
        (swap(' data-tolerance="0.01"', ""), {"wrong-entry-earns", "wrong-feedback"}),
        (swap('data-tolerance="0.01"', 'data-tolerance="much"'), {"unclear-box"}),
    ],
)
def test_decimals_within_the_tolerance_that_the_gap_tells_of_are_right_and_no_others(
    change: Callable[[str], str], expected: set[str], tmp_path: Path
) -> None:
    item = next(each for each in template_items.items("decimals", 9) if "0.33" in cc.written(each).items[0])
    text = change(cc.written(item).items[0])
    (tmp_path / "bank.xml").write_text(cc.question_bank(BANK, [text]), encoding="utf-8")

    assert expected == codes(verify(tmp_path / "bank.xml"))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("That is right.", "That is wrong."),
        ("The value is right, but it is not in the form that was asked for.", "That is right."),
        ("The value is right, but it is not in the form that was asked for.", "That is wrong."),
    ],
)
def test_feedback_that_says_another_thing_than_it_is_shown_for_is_told(
    old: str, new: str, tmp_path: Path
) -> None:
    changed = {name: text.replace(old, new) for name, text in WHOLE.items()}

    assert changed != WHOLE
    assert {"wrong-feedback"} == {
        finding.code for finding in verify(write_zip(tmp_path / "quiz.imscc", changed)).findings
    }


def test_a_slip_that_is_told_to_be_right_is_told(tmp_path: Path) -> None:
    of_a_slip = re.compile(r'(<itemfeedback ident="F1">.*?<mattext[^<>]*>).*?(</mattext>)', re.DOTALL)
    changed = {
        name: of_a_slip.sub(r"\1&lt;p&gt;That is right.&lt;/p&gt;\2", text) for name, text in WHOLE.items()
    }

    assert changed != WHOLE
    assert {"wrong-feedback"} == {
        finding.code for finding in verify(write_zip(tmp_path / "quiz.imscc", changed)).findings
    }
