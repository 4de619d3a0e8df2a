"""All claims of an item, proved on what is displayed: key, guarantees, options, entries, worked solution, marks.

Every item passes here before it leaves the house. Nothing here knows the template or the search.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import (
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    RecognisedEntry,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.proof import meaning, subject
from itembank.proof.answer_wording import comes_to, worth
from itembank.proof.answers import answer_identity, cut, elsewhere, option_letter, problem_identity
from itembank.proof.choices import prove_choices
from itembank.proof.entries import entry_faults, entry_set, marked_alike
from itembank.proof.findings import SHOWN_AS_ENTERED, SOLVED_FOR_SUBJECT, Finding
from itembank.proof.follow_through import prove_follow_through
from itembank.proof.guarantees import prove_claim
from itembank.proof.identity import Identity
from itembank.proof.lettering import prove_letters
from itembank.proof.match import prove_match
from itembank.proof.one_of import prove_words, without_words
from itembank.proof.order import prove_order
from itembank.proof.rounding import prove_entered, prove_key_rounded
from itembank.proof.solution import prove_lines
from itembank.proof.solver import CannotDecide
from itembank.proof.stem import prove_stem
from itembank.proof.word_options import prove_word_options
from itembank.proof.written import prove_written
from itembank.proof.wrong_line import prove_wrong_line
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_SAME = Proved("both have the same exact solutions")
_EQUAL = Proved("both have the same exact value")
_OTHER = Proved("its exact value is another than the key's")
_SUMS = Proved("the marks of the parts sum to the total")


def prove(item: Item) -> tuple[Finding, ...]:
    """Every claim of an item with its verdict, in the order problem, key, response, solution, guarantees."""
    findings: list[Finding] = []
    for index, part in enumerate(item.parts):
        found = _part(part, item, index)
        findings.extend(found if index == 0 else (finding._replace(part=index) for finding in found))
    for index, claim in enumerate(item.claims):
        findings.append(Finding("guarantee", claim.wording, prove_claim(claim.node, item), "claim", index))
    return tuple(findings)


def faults(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Those that are not proved."""
    return tuple(finding for finding in findings if not finding.holds)


def _part(part: Part, item: Item, index: int) -> list[Finding]:
    findings: list[Finding] = []
    problem = part.problem
    try:
        wanted = problem_identity(part)
    except (CannotDecide, DomainError) as stuck:
        return [Finding("problem-not-solved", "the problem can be solved", Undecided(str(stuck)), "problem")]
    findings.append(_key(part, wanted))
    if not findings[-1].holds:
        return findings
    match part.response:
        case ChoiceResponse() as response:
            findings.extend(_choice(part, response, wanted, item))
        case EntryResponse() as response:
            findings.extend(_entry(part, without_words(response), wanted))
            findings.extend(prove_words(part, response, wanted, item))
        case ChoicesResponse() as response:
            findings.extend(prove_choices(part, response, wanted, item))
        case WrongLineResponse() as response:
            findings.extend(prove_wrong_line(part, response, wanted))
        case OrderResponse() as response:
            findings.extend(prove_order(part, response))
        case MatchResponse() as response:
            findings.extend(prove_match(part, response, item))
        case WrittenResponse() as response:
            findings.extend(prove_written(part, response, wanted))
        case _:
            assert_never(part.response)
    findings.extend(prove_letters(part.response))
    findings.extend(prove_stem(part))
    findings.extend(prove_lines(part, wanted))
    if part.figure is not None or any(line.figure is not None for line in part.solution):
        from itembank.proof.pictures import prove_pictures

        findings.extend(prove_pictures(item.parts[: index + 1], wanted))
    findings.append(_marks(part))
    if part.follow is not None:
        findings.append(prove_follow_through(part, item.parts[:index], wanted))
    if problem.domain is not None:
        findings.append(_domain(part))
    return findings


def _key(part: Part, wanted: Identity) -> Finding:
    if part.problem.shape == subject.SHAPE:
        return _formula_key(part, wanted)
    rewrite = part.problem.shape == "rewrite"
    claim = "the key equals the problem" if rewrite else "the key has exactly the problem's solutions"
    return Finding("wrong-key", claim, _compared(part, part.key, wanted, _EQUAL if rewrite else _SAME), "key")


def _formula_key(part: Part, wanted: Identity) -> Finding:
    verdict: Verdict
    try:
        verdict = subject.prove_key(part, wanted)
    except (CannotDecide, DomainError) as stuck:
        verdict = Undecided(f"{spelling.terminal(part.key)}: {stuck}")
    return Finding("wrong-key", SOLVED_FOR_SUBJECT, verdict, "key")


def _compared(part: Part, maths: Maths, wanted: Identity, proved: Proved) -> Verdict:
    try:
        found = answer_identity(part, maths)
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(maths)}: {stuck}")
    if found == wanted:
        return proved
    return Refuted(
        f"the problem {spelling.terminal(part.problem.statement)} {comes_to(wanted, part.problem.unknowns)}, "
        f"here stands {_with_its_worth(spelling.terminal(maths), worth(found))}"
    )


def _with_its_worth(shown: str, value: str | None) -> str:
    return shown if value is None or value == shown else f"{shown}, which comes to {value}"


def _choice(part: Part, response: ChoiceResponse, wanted: Identity, item: Item) -> Iterator[Finding]:
    keyed = [index for index, option in enumerate(response.options) if option.is_key]
    if len(keyed) != 1:
        yield Finding(
            "one-key", "exactly one option is the key", Refuted(f"{len(keyed)} options are"), "response"
        )
        return
    if response.by_words:
        yield from prove_word_options(part, response, wanted, item, "the row of the key is true")
        return
    seen: dict[Identity, int] = {}
    looks: dict[str, int] = {}
    for index, option in enumerate(response.options):
        if not isinstance(option.content, Maths):
            yield Finding(
                "option", "an option of values is mathematics", Refuted("it is words"), "option", index
            )
            continue
        yield Finding(
            "option",
            _option_claim(option),
            _option(part, option, index, wanted, seen, looks),
            "option",
            index,
        )


def _option_claim(option: Option) -> str:
    return "the keyed option is right" if option.is_key else "the option is wrong and unlike every other"


def _option(
    part: Part, option: Option, index: int, wanted: Identity, seen: dict[Identity, int], looks: dict[str, int]
) -> Verdict:
    assert isinstance(option.content, Maths)
    try:
        found = answer_identity(part, option.content)
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    shown = spelling.plain(option.content)
    for before in (seen.get(found), looks.get(shown)):
        if before is not None:
            pair = f"options {option_letter(before)} and {option_letter(index)}"
            return Refuted(f"{pair} are both {spelling.terminal(option.content)}")
    verdict = _judged(part, option, option.content, found, wanted)
    if isinstance(verdict, Proved):  # of two that are alike, one that is at fault by itself is told alone
        seen[found] = looks[shown] = index
    return verdict


def _judged(part: Part, option: Option, content: Maths, found: Identity, wanted: Identity) -> Verdict:
    """The verdict on an option by itself. found, wanted: what it comes to, and the problem."""
    if option.is_key:
        return _EQUAL if found == wanted else Refuted(f"the key is not {spelling.terminal(content)}")
    if found == wanted:
        return Refuted(f"{spelling.terminal(content)} is right")
    slip = option.slip
    try:
        if slip is None or slip.answer == content or answer_identity(part, slip.answer) == found:
            return _OTHER
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    return Refuted(elsewhere(slip, spelling.terminal(content)))


def _entry(part: Part, response: EntryResponse, wanted: Identity) -> Iterator[Finding]:
    if not response.blanks:
        return
    fault = entry_faults(part, response, wanted)
    yield Finding(
        "entry",
        "the boxes hold exactly the key, in the asked form",
        Refuted(fault) if fault else _EQUAL,
        "response",
    )
    if response.rounded is not None:
        yield Finding(
            "entry", "what the boxes round is the key", prove_key_rounded(part, response), "response"
        )
    names = [slip.name for slip in part.slips]
    for place, recognised in enumerate(response.recognised):
        index = names.index(recognised.slip.name) if recognised.slip.name in names else -1
        verdict = _recognised(part, response, recognised, wanted)
        for before in response.recognised[:place]:
            if marked_alike(response, before.values, recognised.values):
                verdict = Refuted(f"what {recognised.slip.name} enters is told as {before.slip.name} already")
        yield Finding("slip", "a recognised wrong entry is wrong", verdict, "slip", index)
        if recognised.rounded is not None:
            verdict = prove_entered(part, recognised)
            yield Finding("slip", SHOWN_AS_ENTERED, verdict, "slip", index)


def _recognised(
    part: Part, response: EntryResponse, recognised: RecognisedEntry, wanted: Identity
) -> Verdict:
    """Whether an entry is wrong, is marked wrong, and is what its slip leads to."""
    slip = recognised.slip
    found = entry_set(part, response, recognised.values, recognised.join)
    right = tuple(blank.values for blank in response.blanks)
    if found == wanted or marked_alike(response, right, recognised.values):
        return Refuted(f"the entry of {slip.name} is right")
    try:
        if recognised.rounded is not None or answer_identity(part, slip.answer) == found:
            return _OTHER
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    return Refuted(elsewhere(slip, "what is entered"))


def _marks(part: Part) -> Finding:
    response = part.response
    lines = sum(mark.worth for line in part.solution for mark in line.marks)
    claim = "the marks sum to the total"
    if response.marks < 1:
        return Finding("marks", claim, Refuted(f"there are {response.marks} marks to be earned"), "response")
    if isinstance(response, EntryResponse):
        blanks = sum(blank.worth for blank in response.blanks)
        if blanks != response.marks and not response.points:
            return Finding("marks", claim, Refuted(f"blanks {blanks}, response {response.marks}"), "response")
        if lines and lines != response.marks:
            return Finding("marks", claim, Refuted(f"lines {lines}, response {response.marks}"), "response")
    return Finding("marks", claim, _SUMS, "response")


def _domain(part: Part) -> Finding:
    problem = part.problem
    assert problem.domain is not None
    if problem.shape == subject.SHAPE:
        return Finding("domain", "the letters of the formula are positive", subject.prove_domain(part), "key")
    claim = "every solution of the key lies in the domain"
    try:
        if meaning.looks(part.key.shape).has_inequality:
            key = meaning.region(part.key, problem.unknowns[0])
            if cut(part, key) != key:
                return Finding("domain", claim, Refuted(f"{spelling.terminal(part.key)} does not"), "key")
            return Finding("domain", claim, Proved("the sets were cut"), "key")
        for solution in meaning.solutions(part.key, problem.unknowns):
            if not meaning.satisfies(problem.domain, dict(zip(problem.unknowns, solution, strict=True))):
                return Finding("domain", claim, Refuted(f"{solution} does not"), "key")
    except (CannotDecide, DomainError) as stuck:
        return Finding("domain", claim, Undecided(str(stuck)), "key")
    return Finding("domain", claim, Proved("each was put in"), "key")
