"""Each finding: a class that has it, and that a class which is too small has none."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from itembank.analysis.analysis import analyse
from itembank.analysis.findings import RULES, Finding
from itembank.analysis.keys import Keys, Offered
from itembank.analysis.rendering import as_text
from itembank.analysis.report import report
from itembank.analysis.responses import BLANK, Answer, Record, Results, State, combine
from itembank.errors import Span
from tests.analysis_samples import chosen_results, question, results_of

OPTIONS = (
    Offered("A", "x = 1", is_right=True),
    Offered("B", "x = -1", slip="sign-of-half", teacher="Reteach signs."),
    Offered("C", "x = 2"),
)
"""The key is A."""


def named(results: Results, rule: str) -> list[Finding]:
    return [finding for finding in analyse(results).findings if finding.rule == rule]


def ladder(pupils: int, items: int = 8) -> list[list[int]]:
    """Pupil n of so many gets the easier items right, the more the later the pupil comes."""
    return [[int(n * items >= at * pupils) for at in range(1, items + 1)] for n in range(pupils)]


def choosing(pupils: int, strong: str, weak: str) -> Results:
    """One choice, in which the stronger half takes one option and the weaker half another."""
    names = [[strong if 2 * n >= pupils else weak] for n in range(pupils)]
    return chosen_results(names, [question(0, 1, OPTIONS, "choice")], ladder(pupils))


def with_blanks(pupils: int, *, at_the_end: bool) -> Results:
    """Three items, of which every third pupil leaves the last, or the middle one, blank."""
    right = Answer(State.ANSWERED, Fraction(1))
    blank = {2: BLANK} if at_the_end else {1: BLANK}
    records = [
        Record(f"p{n}", Span("m", n, 1), {0: right, 1: right, 2: right} | ({} if n % 3 else blank), (0, 1, 2))
        for n in range(pupils)
    ]
    return combine(Keys("", tuple(question(n) for n in range(3))), records)


def against(pupils: int) -> Results:
    """The first item is right for the weaker half."""
    return results_of([[int(2 * n < pupils), *row] for n, row in enumerate(ladder(pupils))])


def uniform(pupils: int, mark: int) -> Results:
    return results_of([[mark, *row] for row in ladder(pupils)])


def unrelated(pupils: int) -> Results:
    return results_of([[n % 2, *row] for n, row in enumerate(ladder(pupils))])


def twins(pupils: int) -> Results:
    return results_of(
        [[int(3 * n > pupils), int(3 * n > pupils), *row] for n, row in enumerate(ladder(pupils))]
    )


def chance(pupils: int) -> Results:
    return results_of([[(n >> at) % 2 for at in range(5)] for n in range(pupils)])


CASES = {
    "key-in-doubt": (lambda n: choosing(n, "B", "A"), ("ITEM00",)),
    "negative-discrimination": (against, ("ITEM00",)),
    "common-slip": (lambda n: choosing(n, "A", "B"), ("sign-of-half",)),
    "not-reached": (lambda n: with_blanks(n, at_the_end=True), ("ITEM02",)),
    "many-omitted": (lambda n: with_blanks(n, at_the_end=False), ("ITEM01",)),
    "too-hard": (lambda n: uniform(n, 0), ("ITEM00",)),
    "too-easy": (lambda n: uniform(n, 1), ("ITEM00",)),
    "low-discrimination": (unrelated, ("ITEM00",)),
    "alike-items": (twins, ("ITEM00", "ITEM01")),
    "unused-distractor": (lambda n: choosing(n, "A", "B"), ("ITEM00",)),
    "low-reliability": (chance, ()),
}


def test_every_rule_has_a_case() -> None:
    assert set(RULES) == set(CASES)
    assert len(RULES) >= 11


@pytest.mark.parametrize("rule", CASES)
def test_a_class_that_shows_it_is_told(rule: str) -> None:
    make, about = CASES[rule]

    found = named(make(64), rule)

    assert found
    assert about == found[0].about
    assert found[0].message
    assert found[0].hint


@pytest.mark.parametrize("rule", CASES)
def test_the_smallest_class_is_told_and_one_pupil_fewer_nothing(rule: str) -> None:
    make, _ = CASES[rule]
    fewest = RULES[rule].fewest

    assert named(make(fewest), rule)
    assert [] == named(make(fewest - 1), rule)
    assert fewest >= 5


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_a_rule_says_what_it_means_and_where_it_is_from(rule: object) -> None:
    told = RULES[getattr(rule, "name", "")]

    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", told.name)
    assert len(told.meaning.split()) >= 4
    assert "house rule" == told.source or re.search(r"[12][0-9]{3}.*\(from memory\)", told.source)


def test_a_class_in_which_all_is_well_has_no_finding_about_keys() -> None:
    found = analyse(choosing(64, "A", "C")).findings

    assert [] == [each for each in found if each.rule in ("key-in-doubt", "negative-discrimination")]


def test_where_the_key_is_in_doubt_nobody_is_told_to_teach_what_is_wrong_by_it() -> None:
    """The strong choose B, which a slip leads to, and nobody the key: by that, the item is too hard."""
    doubtful = choosing(64, "B", "C")
    told = analyse(doubtful)

    assert ("ITEM00",) == told.doubted
    assert () == told.slips
    assert [] == [each for each in told.findings if each.rule == "common-slip"]
    assert [] == [each for each in told.findings if each.rule == "too-hard" and "ITEM00" in each.about]
    assert "not counted here, for the key is in doubt" in "\n".join(as_text(report(told, "")))
    told = analyse(choosing(64, "A", "B"))
    assert () == told.doubted
    assert ["sign-of-half"] == [each.slip for each in told.slips]
    assert "not counted here" not in "\n".join(as_text(report(told, "")))


def test_a_key_in_doubt_names_the_option_that_the_strong_chose() -> None:
    (found,) = named(choosing(64, "B", "A"), "key-in-doubt")

    assert re.search(r"chose B \(x = −1\) and 0 the key, A \(x = 1\)", found.message)
