"""All claims of an item, proved on what is displayed: key, guarantees, options, entries, worked solution, marks.

Every item passes here before it leaves the house. Nothing here knows the template or the search.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from itembank.content import Content, said
from itembank.errors import DomainError
from itembank.expressions import numbers, spelling
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.expressions.tree import Node
from itembank.items import ChoiceResponse, EntryResponse, Item, Option, Part
from itembank.proof import identity, meaning
from itembank.proof.entries import entry_faults, entry_set
from itembank.proof.findings import Finding
from itembank.proof.follow_through import prove_follow_through
from itembank.proof.guarantees import prove_claim, row_holds
from itembank.proof.identity import Identity
from itembank.proof.regions import Piece, intersection, told
from itembank.proof.solution import prove_lines
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_SAME = Proved("both have the same exact solutions")
_EQUAL = Proved("both have the same exact value")
_OTHER = Proved("its exact value is another than the key's")
_ALONE = Proved("no other option has its value or its looks")
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
    if isinstance(part.response, ChoiceResponse):
        findings.extend(_choice(part, part.response, wanted, item))
    else:
        findings.extend(_entry(part, part.response, wanted))
    findings.extend(prove_lines(part, wanted))
    findings.append(_marks(part))
    if part.follow is not None:
        findings.append(prove_follow_through(part, item.parts[:index], wanted))
    if problem.domain is not None:
        findings.append(_domain(part))
    return findings


def problem_identity(part: Part) -> Identity:
    """What the displayed problem asks for. Raises CannotDecide or DomainError."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(problem.statement, problem.main_letter)
    if problem.domain is None:
        return identity.of_solutions(
            problem.statement, problem.unknowns, problem.for_every, problem.main_letter
        )
    if meaning.looks(problem.statement.shape).has_inequality:
        inside = meaning.region(problem.domain, problem.unknowns[0], problem.main_letter)
        every = meaning.region(problem.statement, problem.unknowns[0], problem.main_letter)
        return identity.of_region(intersection(every, inside))
    found = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    kept = frozenset(
        s for s in found if meaning.satisfies(problem.domain, dict(zip(problem.unknowns, s, strict=True)))
    )
    return identity.of_set(kept, len(problem.unknowns))


def answer_identity(part: Part, maths: Maths) -> Identity:
    """The same for an answer to the problem: a statement about its unknowns, or an expression."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(maths, problem.main_letter)
    return identity.of_solutions(maths, problem.unknowns, (), problem.main_letter)


def _key(part: Part, wanted: Identity) -> Finding:
    rewrite = part.problem.shape == "rewrite"
    claim = "the key equals the problem" if rewrite else "the key has exactly the problem's solutions"
    return Finding("wrong-key", claim, _compared(part, part.key, wanted, _EQUAL if rewrite else _SAME), "key")


def _compared(part: Part, maths: Maths, wanted: Identity, proved: Proved) -> Verdict:
    try:
        found = answer_identity(part, maths)
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(maths)}: {stuck}")
    if found == wanted:
        return proved
    return Refuted(
        f"the problem {spelling.terminal(part.problem.statement)} has {_told(wanted)}, "
        f"here stands {spelling.terminal(maths)}"
    )


def _told(wanted: Identity) -> str:
    """An identity in words a teacher can check."""
    match wanted:
        case ():
            return "no real solution"
        case (0, int(d), int(n)):
            return f"the one solution {_fraction(-n, d)}"
        case (int(a), int(b), int(c)):
            return f"the roots of {a}t² + {b}t + {c}".replace("+ -", "− ").replace(" 1t", " t")
        case ("region", *pieces):
            return f"the solutions {told(each for each in pieces if isinstance(each, Piece))}"
        case ("number", (int(n), int(d)), 0, _):
            return f"the value {_fraction(n, d)}"
        case ("number", (int(n), int(d)), int(sign), (int(w), int(e))):
            return f"the value {_fraction(n, d)} {'+' if sign > 0 else '−'} √({_fraction(w, e)})"
        case _:
            return f"the solutions {wanted}"


def _fraction(n: int, d: int) -> str:
    return f"{n}/{d}" if d != 1 else str(n)


def _choice(part: Part, response: ChoiceResponse, wanted: Identity, item: Item) -> Iterator[Finding]:
    keyed = [index for index, option in enumerate(response.options) if option.is_key]
    if len(keyed) != 1:
        yield Finding(
            "one-key", "exactly one option is the key", Refuted(f"{len(keyed)} options are"), "response"
        )
        return
    if response.by_words:
        yield from _words(part, response, item, wanted)
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
    for before in (seen.setdefault(found, index), looks.setdefault(shown, index)):
        if before != index:
            return Refuted(
                f"options {part_letter(before)} and {part_letter(index)} are both {spelling.terminal(option.content)}"
            )
    if option.is_key:
        return _EQUAL if found == wanted else Refuted(f"the key is not {spelling.terminal(option.content)}")
    return _OTHER if found != wanted else Refuted(f"{spelling.terminal(option.content)} is right")


def part_letter(index: int) -> str:
    """A, B, C, ..."""
    return chr(ord("A") + index)


def _single_value(found: Identity) -> Exact | None:
    """The value where there is exactly one and it is rational."""
    match found:
        case (0, int(d), int(n)):
            return numbers.whole(Fraction(-n, d))
        case _:
            return None


def _words(part: Part, response: ChoiceResponse, item: Item, wanted: Identity) -> Iterator[Finding]:
    value = _single_value(wanted)
    if value is None or len(part.problem.unknowns) != 1:
        yield Finding(
            "words", "the problem has one rational value", Refuted(f"it has {_told(wanted)}"), "response"
        )
        return
    answer = {part.problem.unknowns[0]: value}
    texts: dict[object, int] = {}
    for index, (option, row) in enumerate(zip(response.options, response.rows, strict=True)):
        holds = row_holds(row, item, part, answer)
        claim = "the row of the key is true" if option.is_key else "the row is false"
        verdict: Verdict = _OTHER if not option.is_key else _EQUAL
        if holds is None:
            verdict = Undecided("its condition cannot be decided")
        elif holds != option.is_key:
            verdict = Refuted(f"it is {'true' if holds else 'false'} for {spelling.terminal(part.key)}")
        elif isinstance(option.content, Content) and texts.setdefault(said(option.content), index) != index:
            verdict = Refuted("two rows have the same words")
        elif option.slip is not None:
            verdict = _slip_row(part, option, row, item) or verdict
        yield Finding("option", claim, verdict, "option", index)


def _slip_row(part: Part, option: Option, row: Node, item: Item) -> Verdict | None:
    assert option.slip is not None
    try:
        value = _single_value(answer_identity(part, option.slip.answer))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    if value is None or row_holds(row, item, part, {part.problem.unknowns[0]: value}) is not True:
        return Refuted(f"the slip {option.slip.name} does not lead to this row")
    return None


def _entry(part: Part, response: EntryResponse, wanted: Identity) -> Iterator[Finding]:
    fault = entry_faults(part, response, wanted)
    yield Finding(
        "entry",
        "the boxes hold exactly the key, in the asked form",
        Refuted(fault) if fault else _EQUAL,
        "response",
    )
    names = [slip.name for slip in part.slips]
    for recognised in response.recognised:
        index = names.index(recognised.slip.name) if recognised.slip.name in names else -1
        same = entry_set(part, response, recognised.values, recognised.join) == wanted
        verdict: Verdict = Refuted(f"the entry of {recognised.slip.name} is right") if same else _OTHER
        yield Finding("slip", "a recognised wrong entry is wrong", verdict, "slip", index)


def _marks(part: Part) -> Finding:
    response = part.response
    lines = sum(mark.worth for line in part.solution for mark in line.marks)
    claim = "the marks sum to the total"
    if isinstance(response, EntryResponse):
        blanks = sum(blank.worth for blank in response.blanks)
        if blanks != response.marks:
            return Finding("marks", claim, Refuted(f"blanks {blanks}, response {response.marks}"), "response")
        if lines and lines != response.marks:
            return Finding("marks", claim, Refuted(f"lines {lines}, response {response.marks}"), "response")
    return Finding("marks", claim, _SUMS, "response")


def _domain(part: Part) -> Finding:
    problem = part.problem
    assert problem.domain is not None
    claim = "every solution of the key lies in the domain"
    try:
        if meaning.looks(part.key.shape).has_inequality:
            inside = meaning.region(problem.domain, problem.unknowns[0])
            key = meaning.region(part.key, problem.unknowns[0])
            if intersection(key, inside) != key:
                return Finding("domain", claim, Refuted(f"{spelling.terminal(part.key)} does not"), "key")
            return Finding("domain", claim, Proved("the sets were cut"), "key")
        for solution in meaning.solutions(part.key, problem.unknowns):
            if not meaning.satisfies(problem.domain, dict(zip(problem.unknowns, solution, strict=True))):
                return Finding("domain", claim, Refuted(f"{solution} does not"), "key")
    except (CannotDecide, DomainError) as stuck:
        return Finding("domain", claim, Undecided(str(stuck)), "key")
    return Finding("domain", claim, Proved("each was put in"), "key")
