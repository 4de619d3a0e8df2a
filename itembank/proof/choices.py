"""Several right options: every right one is right, every wrong one wrong, no two look alike, the marks add up."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import ChoicesResponse, Item, Option, Part
from itembank.proof import identity, meaning
from itembank.proof.answer_wording import told
from itembank.proof.answers import answer_identity, elsewhere, option_letter
from itembank.proof.findings import Finding
from itembank.proof.identity import Identity
from itembank.proof.rounding import problem_solutions
from itembank.proof.solver import CannotDecide
from itembank.proof.word_options import prove_word_options
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_SAYS_THE_SAME = Proved("it says the same as the problem")
_SAYS_ANOTHER = Proved("it says something else than the problem")
_IS_ONE = Proved("put into the problem, it is a solution")
_IS_NONE = Proved("put into the problem, it is no solution")
_ALL = Proved("the right options together are all solutions of the problem")
_SHARED = Proved("the shares of the right options come to the total, and no answer earns more")
_RIGHT_CLAIM, _WRONG_CLAIM = "the keyed option is right", "the option is wrong"


def prove_choices(part: Part, response: ChoicesResponse, wanted: Identity, item: Item) -> Iterator[Finding]:
    """The claims of a response with several right options."""
    right = len(response.right)
    if not 1 <= right < len(response.options):
        fault = Refuted(f"{right} of {len(response.options)} options are keyed")
        yield Finding("one-key", "some options are right and some wrong", fault, "response")
        return
    yield _shares(response, right)
    if response.sense == "words":
        yield from prove_word_options(part, response, wanted, item, "the row of a right option is true")
        return
    looks: dict[str, int] = {}
    for index, option in enumerate(response.options):
        claim = _RIGHT_CLAIM if option.is_key else _WRONG_CLAIM
        yield Finding("option", claim, _option(part, response, index, wanted, looks), "option", index)
    if response.sense == "solutions":
        yield Finding("option", "every solution is among the options", _complete(part, response), "response")


def _shares(response: ChoicesResponse, right: int) -> Finding:
    claim = "the right options earn the total"
    if response.share < 0 or response.marks < 1 or response.share not in {0, Fraction(response.marks, right)}:
        fault = Refuted(f"{right} options at {response.share} marks are not {response.marks}")
        return Finding("marks", claim, fault, "response")
    return Finding("marks", claim, _SHARED, "response")


def _option(
    part: Part, response: ChoicesResponse, index: int, wanted: Identity, looks: dict[str, int]
) -> Verdict:
    option = response.options[index]
    if not isinstance(option.content, Maths):
        return Refuted("it is words")
    verdict = _judged(part, response, option, option.content, wanted)
    if isinstance(verdict, Proved):  # of two that look alike, the one that is at fault by itself is told
        before = looks.setdefault(spelling.plain(option.content), index)
        if before != index:
            return Refuted(f"options {option_letter(before)} and {option_letter(index)} look alike")
    return verdict


def _judged(
    part: Part, response: ChoicesResponse, option: Option, content: Maths, wanted: Identity
) -> Verdict:
    try:
        if response.sense == "solutions":
            return _solution(part, option, content)
        found = answer_identity(part, content)
        same = found == wanted
        slip = option.slip
        if slip is not None and slip.answer != content and answer_identity(part, slip.answer) != found:
            return Refuted(elsewhere(slip, spelling.terminal(content)))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(content)}: {stuck}")
    if same == option.is_key:
        return _SAYS_THE_SAME if same else _SAYS_ANOTHER
    shown = spelling.terminal(content)
    return Refuted(f"{shown} {'says the same as' if same else 'does not say the same as'} the problem")


def _solution(part: Part, option: Option, content: Maths) -> Verdict:
    """Whether a single value, or point, is a solution, or is none."""
    found = meaning.solutions(content, part.problem.unknowns)
    if len(found) != 1:
        return Refuted(f"{spelling.terminal(content)} is not one value")
    is_one = found <= problem_solutions(part)
    slip = option.slip
    if slip is not None and not found <= meaning.solutions(slip.answer, part.problem.unknowns):
        return Refuted(elsewhere(slip, spelling.terminal(content)))
    if is_one == option.is_key:
        return _IS_ONE if is_one else _IS_NONE
    return Refuted(
        f"{spelling.terminal(content)} is {'a solution' if is_one else 'no solution'} of the problem"
    )


def _complete(part: Part, response: ChoicesResponse) -> Verdict:
    try:
        shown = {
            solution
            for option in response.right
            if isinstance(option.content, Maths)
            for solution in meaning.solutions(option.content, part.problem.unknowns)
        }
        missing = problem_solutions(part) - shown
    except (CannotDecide, DomainError) as stuck:
        return Undecided(str(stuck))
    if not missing:
        return _ALL
    return Refuted(f"{told(identity.of_set(frozenset(missing), len(part.problem.unknowns)))} is not")
