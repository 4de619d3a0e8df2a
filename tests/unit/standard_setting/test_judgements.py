"""Judgements of pupils and limits that judges would accept, from tables; and files recognised by their looks."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from itembank.analysis.tables import read_table
from itembank.errors import InputError
from itembank.standard_setting.accepted_file import read_accepted
from itembank.standard_setting.by_pupils import Judgement
from itembank.standard_setting.hofstee import Acceptable
from itembank.standard_setting.judged_file import read_judged
from itembank.standard_setting.reading import read_judgements
from tests.analysis_samples import keys_of, results_of

RESULTS = results_of([[1, 2], [1, 1], [0, 2]], [1, 2])
NAMES = [sitting.pupil for sitting in RESULTS.sittings]
KEYS = keys_of([1, 2])
JUDGED = "pupil,judgement\npupil 0,Above\nPupil 1,borderline\npupil 2,below\n"
LIMITS = 'judge,least mark,most mark,least fail,most fail\nAda,1,2,10 %,40\nBo,50 %,3,"12,5",30%\n'


def judged(text: str) -> dict[str, Judgement]:
    found, doubts = read_judged(read_table("judged.csv", text.encode()), NAMES)
    assert [] == doubts
    return dict(found)


def test_pupils_are_judged() -> None:
    told = {"pupil 0": Judgement.ABOVE, "pupil 1": Judgement.BORDERLINE, "pupil 2": Judgement.BELOW}

    assert told == judged(JUDGED)
    assert told == judged(
        JUDGED.replace("Above", "pass").replace("borderline", "just").replace("below", "fail")
    )
    assert {"pupil 0": Judgement.ABOVE} == judged("pupil,judgement\npupil 0,above\npupil 1,\nmaximum,\n")


def test_judgements_may_stand_in_the_mark_sheet_itself() -> None:
    sheet = "pupil,ITEM00,ITEM01,judgment\nmaximum,1,2,\npupil 0,1,2,above\npupil 2,0,2,below\n"

    assert {"pupil 0": Judgement.ABOVE, "pupil 2": Judgement.BELOW} == judged(sheet)


def test_judgements_without_results_are_doubtful() -> None:
    _, doubts = read_judged(read_table("judged.csv", f"{JUDGED}Nobody,above\n".encode()), NAMES)

    assert [("judged-without-results", 1, 7)] == [
        (d.code, d.span.line, d.span.column) for d in doubts if d.span
    ]
    assert "Nobody" not in doubts[0].message


def faults(failed: pytest.ExceptionInfo[InputError]) -> list[tuple[str, int, int]]:
    assert all(each.hint for each in failed.value.diagnostics)
    return [(each.code, each.span.line, each.span.column) for each in failed.value.diagnostics if each.span]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (JUDGED.replace("judgement", "said"), ("no-judgement-column", 1, 1)),
        (JUDGED.replace("pupil,", "who,"), ("no-pupil-column", 1, 1)),
        (JUDGED.replace("borderline", "maybe"), ("not-a-judgement", 3, 9)),
        (JUDGED + "pupil 1,above\n", ("same-pupil-twice", 5, 1)),
        (JUDGED + ",above\n", ("no-pupil", 5, 1)),
        ("pupil,judgement\nNobody,above\n", ("nobody-judged", 1, 7)),
    ],
)
def test_what_is_wrong_with_judgements_is_told_at_its_place(text: str, told: tuple[str, int, int]) -> None:
    with pytest.raises(InputError) as failed:
        judged(text)
    assert [told] == faults(failed)


def test_limits_are_marks_and_shares() -> None:
    limits = read_accepted(read_table("limits.csv", LIMITS.encode()), 3)
    without_names = read_accepted(read_table("limits.csv", LIMITS.replace("judge", "").encode()), 3)

    assert [
        Acceptable("Ada", Fraction(1), Fraction(2), Fraction("0.1"), Fraction("0.4")),
        Acceptable("Bo", Fraction("1.5"), Fraction(3), Fraction("0.125"), Fraction("0.3")),
    ] == limits
    assert ["1", "2"] == [each.judge for each in without_names]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("most mark", "top", ("no-such-limit", 1, 1)),
        ("Ada,1", ",1", ("no-judge", 2, 1)),
        ("Ada,1", "Ada,one", ("not-a-limit", 2, 5)),
        ("Ada,1", "Ada,4", ("not-a-limit", 2, 5)),
        ("Ada,1", "Ada,120 %", ("not-a-limit", 2, 5)),
        ("Ada,1,2,10 %,40", "Ada,1,2,10 %,140", ("not-a-limit", 2, 14)),
        ("Ada,1,2,10 %,40", "Ada,1,2,10 %", ("not-a-limit", 2, 9)),
        ("Ada,1,2", "Ada,2.5,2", ("limits-crossed", 2, 9)),
        ("10 %,40", "50,40", ("limits-crossed", 2, 12)),
    ],
)
def test_what_is_wrong_with_limits_is_told_at_its_place(
    old: str, new: str, told: tuple[str, int, int]
) -> None:
    with pytest.raises(InputError) as failed:
        read_accepted(read_table("limits.csv", LIMITS.replace(old, new).encode()), 3)
    assert [told] == faults(failed)


def test_limits_of_nobody() -> None:
    with pytest.raises(InputError) as failed:
        read_accepted(read_table("limits.csv", LIMITS.splitlines()[0].encode()), 3)
    assert [("nothing-accepted", 1, 1)] == faults(failed)


FILES = {
    "ratings.csv": "item,Ada\nITEM00,0.5\nITEM01,1\n", "judged.csv": JUDGED, "limits.csv": LIMITS,
    "again.csv": "name,judgement\npupil 1,below\n", "id.csv": "id,item,Ada\n1,ITEM00,0.5\n2,ITEM01,1\n",
    "numbered.csv": "no,marks,Ada\n1,1,0.5\n2,2,1\n", "coded.csv": "number,judgement\npupil 1,below\n",
}  # fmt: skip


@pytest.fixture
def files(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, "utf-8")
    return tmp_path


def test_each_file_is_recognised_by_its_heads(files: Path) -> None:
    named = [files / name for name in ("judged.csv", "limits.csv", "ratings.csv")]
    found = read_judgements(named, KEYS, KEYS.questions, RESULTS)

    assert found.panel is not None
    assert ("Ada",) == found.panel.judges
    assert 3 == len(found.judged)
    assert ["Ada", "Bo"] == [each.judge for each in found.accepted]
    assert () == found.doubts


def test_what_is_numbered_are_questions_unless_it_is_judged(files: Path) -> None:
    keys = KEYS.printed_as({0: "1", 1: "2"})
    named = [files / "numbered.csv", files / "coded.csv"]
    found = read_judgements(named, keys, keys.questions, RESULTS)

    assert found.panel is not None
    assert ("Ada",) == found.panel.judges
    assert [("pupil 1", Judgement.BELOW)] == list(found.judged)


@pytest.mark.parametrize(
    ("named", "code"),
    [
        (("ratings.csv", "ratings.csv"), "same-judgements-twice"),
        (("judged.csv", "again.csv"), "judged-twice"),
    ],
)
def test_nothing_counts_twice(files: Path, named: tuple[str, ...], code: str) -> None:
    with pytest.raises(InputError) as failed:
        read_judgements([files / name for name in named], KEYS, KEYS.questions, RESULTS)
    assert [code] == [told for told, *_ in faults(failed)]


@pytest.mark.parametrize("name", ["judged.csv", "limits.csv"])
def test_what_is_said_of_pupils_takes_results(files: Path, name: str) -> None:
    with pytest.raises(InputError) as failed:
        read_judgements([files / "ratings.csv", files / name], KEYS, KEYS.questions, None)
    assert [("no-responses", 1, 1)] == faults(failed)
