"""An item's claims proved by a second road: every displayed piece's plain text parsed again and decided by sympy.

The first road (`prover.py`) reads the laid-out tree with this house's own exact numbers; this one shares with it the
parser of the language and nothing else, so that a wrong substitution, layout or solver cannot hide in both. Marks are
added up by the first road alone: they are no mathematics of the displayed pieces.

This module loads sympy, so it is imported only where the full proof is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

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
    Slip,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.proof.findings import SHOWN_AS_ENTERED, SOLVED_FOR_SUBJECT, Finding
from itembank.proof.one_of import without_words
from itembank.proof.symbolic_choices import prove_choices
from itembank.proof.symbolic_claims import prove_claim
from itembank.proof.symbolic_entries import entered, entry_fault
from itembank.proof.symbolic_follow import prove_follow_through
from itembank.proof.symbolic_lines import prove_lines
from itembank.proof.symbolic_match import prove_match
from itembank.proof.symbolic_numbers import CannotTell, Rooted
from itembank.proof.symbolic_one_of import prove_words
from itembank.proof.symbolic_order import prove_order, prove_written
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.proof.symbolic_positive import PositiveFormula, positive_letters
from itembank.proof.symbolic_reading import Fraction, System
from itembank.proof.symbolic_regions import Stretches
from itembank.proof.symbolic_rounding import prove_entered, prove_key_rounded
from itembank.proof.symbolic_sets import Points, count_real_roots, satisfied, systems
from itembank.proof.symbolic_stem import prove_stem
from itembank.proof.symbolic_subject import is_told_alone
from itembank.proof.symbolic_word_options import prove_word_options
from itembank.proof.symbolic_wrong_line import prove_wrong_line
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_with_sympy"]

_SOLVES = Proved(
    "read back and put in, each value solves the problem, and it has no other real solution (sympy)"
)
_POSITIVE = Proved("read back, it says so of each of them, and nothing else (sympy)")
_SUBJECT = Proved("read back, the problem solved afresh for its subject is the key (sympy)")
_EQUAL = Proved("read back, both have the same exact value (sympy)")
_OTHER = Proved("read back, its exact value is another than the key's and every other option's (sympy)")
_WRONG = Proved("its exact value is another than the key's (sympy)")
_INSIDE = Proved("each was put in (sympy)")


def prove_with_sympy(item: Item) -> tuple[Finding, ...]:
    """The claims that `prover.prove` proves, marks apart, with sympy's verdicts: same codes, places and order.

    Of stems it holds equations to the key; whether what looks like the problem is it, the first road alone says.
    """
    findings: list[Finding] = []
    parts = [_read(part) for part in item.parts]
    for index, asked in enumerate(parts):
        found = _unread(asked) if isinstance(asked, str) else _part(asked, item, index)
        findings.extend(found if index == 0 else (finding._replace(part=index) for finding in found))
    for index, claim in enumerate(item.claims):
        first = parts[0]
        verdict = Undecided(first) if isinstance(first, str) else prove_claim(claim.node, item, first)
        findings.append(Finding("guarantee", claim.wording, verdict, "claim", index))
    return tuple(findings)


def _read(part: Part) -> Asked | str:
    try:
        return Asked(part)
    except CannotTell as stuck:
        return str(stuck)


def _unread(reason: str) -> Iterator[Finding]:
    yield Finding("problem-not-solved", "the problem can be solved", Undecided(reason), "problem")


def _part(asked: Asked, item: Item, index: int) -> Iterator[Finding]:
    part = asked.part
    key = _key(asked)
    yield key
    if not key.holds:
        return
    wanted = asked.answer(asked.read(part.key))
    match part.response:
        case ChoiceResponse() as response:
            yield from _choice(asked, response, wanted, item)
        case EntryResponse() as response:
            yield from _entry(asked, without_words(response), wanted)
            yield from prove_words(asked, response, wanted, item)
        case ChoicesResponse() as response:
            yield from prove_choices(asked, response, wanted, item)
        case WrongLineResponse() as response:
            yield from prove_wrong_line(asked, response, wanted)
        case OrderResponse() as response:
            yield from prove_order(asked, response)
        case MatchResponse() as response:
            yield from prove_match(asked, response, item)
        case WrittenResponse() as response:
            yield from prove_written(asked, response, wanted)
        case _:
            assert_never(part.response)
    yield from prove_stem(asked)
    yield from prove_lines(asked, wanted)
    if part.follow is not None:
        yield prove_follow_through(asked, item.parts[:index], wanted)
    if isinstance(wanted, PositiveFormula):
        yield _positive_domain(asked)
    elif part.problem.domain is not None and not isinstance(wanted, Rooted | Fraction | Stretches):
        yield _domain(asked, wanted)
    elif part.problem.domain is not None and isinstance(wanted, Stretches):
        # the key is the whole set within the domain, see _key
        yield Finding("domain", "every solution of the key lies in the domain", _INSIDE, "key")


def _key(asked: Asked) -> Finding:
    claim = "the key equals the problem" if asked.rewrite else "the key has exactly the problem's solutions"
    key, problem = asked.part.key, asked.part.problem.statement
    if asked.subject:
        claim = SOLVED_FOR_SUBJECT
    try:
        answer = asked.answer(asked.read(key))
        if asked.is_inequality or isinstance(answer, Stretches):
            region = asked.region if asked.is_inequality else asked.inside(asked.every)
            fault = "" if answer == region else "does not have the problem's solutions"
        elif isinstance(answer, Rooted | Fraction | PositiveFormula):
            fault = "" if same(answer, asked.answer(asked.problem)) else "has another value"
            if asked.subject and not is_told_alone(asked.read(key), asked.subject):
                fault = f"does not say what {asked.subject} is in the other letters alone"
        else:
            fault = _key_fault(asked, answer)
    except CannotTell as stuck:
        return Finding("wrong-key", claim, Undecided(f"{spelling.terminal(key)}: {stuck}"), "key")
    verdict: Verdict = _EQUAL if asked.rewrite else _SUBJECT if asked.subject else _SOLVES
    if fault:
        verdict = Refuted(f"{spelling.terminal(key)} {fault}; the problem is {spelling.terminal(problem)}")
    return Finding("wrong-key", claim, verdict, "key")


def _key_fault(asked: Asked, points: Points) -> str:
    """Each point is put into the problem; then the problem's real solutions are counted."""
    problem = asked.part.problem
    alternatives = systems(asked.space, asked.problem, problem.for_every)
    letters = {name for each in alternatives for value in each.zero for name in asked.space.letters_in(value)}
    hidden = {each.name for alternative in alternatives for each in alternative.hidden}
    if not letters <= {*asked.unknowns, *hidden}:
        raise CannotTell("the problem has a letter that is neither given nor to be found")
    for point in points:
        if not any(satisfied(asked.space, each, asked.unknowns, point) for each in alternatives):
            return "does not solve the problem"
    if asked.inside(points) != points:
        return "lies outside the domain"
    (zero, not_zero, covered), *others = alternatives or [System(())]
    plain = problem.domain is None and not others and not not_zero and not covered
    if plain and len(zero) == len(asked.unknowns) == 1:
        count = count_real_roots(asked.space, zero[0], asked.unknowns[0])
    else:
        count = len(asked.inside(asked.every))
    return "" if count == len(points) else f"is not the problem's {count} real solutions"


def _choice(asked: Asked, response: ChoiceResponse, wanted: Answer, item: Item) -> Iterator[Finding]:
    keyed = sum(option.is_key for option in response.options)
    if keyed != 1:
        yield Finding("one-key", "exactly one option is the key", Refuted(f"{keyed} options are"), "response")
        return
    if response.by_words:
        yield from prove_word_options(asked, response, wanted, item, "the row of the key is true")
        return
    seen: list[Answer] = []
    for index, option in enumerate(response.options):
        right = option.is_key
        claim = "the keyed option is right" if right else "the option is wrong and unlike every other"
        verdict: Verdict = Refuted("it is words")
        if isinstance(option.content, Maths):
            verdict = _option(asked, option, option.content, wanted, seen)
        yield Finding("option", claim, verdict, "option", index)


def _option(asked: Asked, option: Option, shown: Maths, wanted: Answer, seen: list[Answer]) -> Verdict:
    is_key, slip = option.is_key, option.slip
    try:
        found = asked.answer(asked.read(shown))
    except CannotTell as stuck:
        return Undecided(str(stuck))
    if any(same(found, other) for other in seen):
        return Refuted(f"{spelling.terminal(shown)} stands there twice")
    seen.append(found)
    if same(found, wanted) != is_key:
        return Refuted(f"{spelling.terminal(shown)} is {'not the key' if is_key else 'right'}")
    if slip is not None and not _leads(asked, slip, found):
        return Refuted(f"{slip.name} does not lead to {spelling.terminal(shown)}")
    return _EQUAL if is_key else _OTHER


def _leads(asked: Asked, slip: Slip, found: Answer) -> bool:
    """Whether a slip's answer, read back, is what was found."""
    try:
        return same(asked.answer(asked.read(slip.answer)), found)
    except CannotTell:
        return False


def _entry(asked: Asked, response: EntryResponse, wanted: Answer) -> Iterator[Finding]:
    if not response.blanks:
        return
    claim = "the boxes hold exactly the key, in the asked form"
    try:
        fault = entry_fault(asked, response, wanted)
        verdict: Verdict = Refuted(fault) if fault else _EQUAL
    except CannotTell as stuck:
        verdict = Undecided(str(stuck))
    yield Finding("entry", claim, verdict, "response")
    if response.rounded is not None:
        try:
            verdict = prove_key_rounded(asked, response, wanted)
        except CannotTell as stuck:
            verdict = Undecided(str(stuck))
        yield Finding("entry", "what the boxes round is the key", verdict, "response")
    names = [slip.name for slip in asked.part.slips]
    for place, recognised in enumerate(response.recognised):
        name = recognised.slip.name
        try:
            found = entered(asked, response, recognised.values, recognised.join)
            verdict = Refuted(f"the entry of {name} is right") if same(found, wanted) else _WRONG
            if recognised.rounded is None and not _leads(asked, recognised.slip, found):
                verdict = Refuted(f"{name} does not lead to what is entered")
        except CannotTell as stuck:
            verdict = Undecided(str(stuck))
        if recognised.values == tuple(blank.values for blank in response.blanks):
            verdict = Refuted(f"what {name} enters is what is keyed")
        if any(before.values == recognised.values for before in response.recognised[:place]):
            verdict = Refuted(f"what {name} enters is told as another slip already")
        index = names.index(name) if name in names else -1
        yield Finding("slip", "a recognised wrong entry is wrong", verdict, "slip", index)
        if recognised.rounded is not None:
            try:
                verdict = prove_entered(asked, response, recognised)
            except CannotTell as stuck:
                verdict = Undecided(str(stuck))
            yield Finding("slip", SHOWN_AS_ENTERED, verdict, "slip", index)


def _positive_domain(asked: Asked) -> Finding:
    domain, problem = asked.part.problem.domain, asked.part.problem
    assert domain is not None
    verdict: Verdict = _POSITIVE
    if positive_letters(asked.read(domain)) != frozenset({*problem.unknowns, *problem.for_every}):
        verdict = Refuted(
            f"{spelling.terminal(domain)} does not say of just these letters that they are positive"
        )
    return Finding("domain", "the letters of the formula are positive", verdict, "key")


def _domain(asked: Asked, wanted: Points) -> Finding:
    claim = "every solution of the key lies in the domain"
    verdict: Verdict = _INSIDE if asked.inside(wanted) == wanted else Refuted("one does not")
    return Finding("domain", claim, verdict, "key")
