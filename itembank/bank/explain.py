"""From a claim that is not proved to what is said of it: at the author's line, or as our own contradiction."""

from __future__ import annotations

import re
from collections.abc import Mapping

from itembank.errors import Contradiction, Diagnostic, DomainError, ExtensionFailed, Span
from itembank.expressions import tree
from itembank.expressions.vocabulary import PROPERTY_NAMES, is_own
from itembank.generator.distractors import printed_order
from itembank.generator.lines import written_lines
from itembank.generator.unfit import NOTHING_TO_SAY_SO_WITH, NotAnItem
from itembank.items import ChoiceResponse, ChoicesResponse, Item, Part
from itembank.proof import meaning
from itembank.proof.findings import Finding
from itembank.proof.guarantees import plain_number
from itembank.proof.solver import CannotDecide
from itembank.templates.template import SUBJECT, Expression, PartTemplate, Template
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_OURS = {"guarantee", "option", "slip", "one-key", "entry", "follow-through", "one-of"}
_HINTS = {
    "wrong-right-option": "each right option must say the same as the problem",
    "stem-differs": "show $problem$ itself; a stem that shows the problem may show others beside it; where another is "
    "meant and no slip of the pen, say so: lint: {stem-differs: why it is another}",
    "picture-differs": "draw what the problem, the key, the stem or a line of the solution says",
    "wrong-key": "the key must give exactly the problem's solutions",
    "solution-line": "a line of the solution must say the same as the problem; side working goes into `aside:`",
    "problem-not-solved": "problems are equations and inequalities that come down to linear and quadratic ones "
    "(of a higher degree where rational solutions leave such, or what is never 0), "
    "equations in a root or a power of the unknown too where that has a rational exponent",
    "entry": "the form the response asks for must fit every key",
    "domain": "give up a root outside the domain with `rejects:`",
    "marks": "make the marks of lines, blanks and response sum to the same total",
    "order": "one step writes a side in another way, moves one term (and collects it with one like it), multiplies "
    "both sides by the same number, takes roots with both signs or parts a product; the first line is one step from "
    "the problem, which is no line itself. Reject values that make two lines alike",
}
_ROUNDED = (
    "write the key as it is, without round(...): the `places` of the box say to how many it is rounded, and "
    "`tolerance` how far an answer may be off"
)
_ALIKE = (
    "numbers are worked out where they are shown: write keep(...) around what shall be seen before that, take one of "
    "the lines out, or reject such values"
)
_ROUNDS = "where the line rounds, write ≈ for =; it may stand where nothing is lost too"
_AFTER_THE_SLIP = (
    "what a slip changes goes on in the lines below it: let them show the changed values too, or put the slip at the "
    "last line"
)
_WITH_A_NEW_LETTER = (
    "a line says the same as the problem; a value of the new letter that no real number leads to is given up in a line "
    "below, with `rejects:`"
)
_CASES = (
    "a line says all that the problem says: where it falls into cases, join these by `or` in one line, as in "
    "math: x - a = k or x - a = -k; side working goes into `aside:`"
)
_ASIDE = (
    "side working is true as it stands, or an equation whose solutions are just the ends of what is found; cases stand "
    "in one line that says all, joined by `or`, as in math: x - a = k or x - a = -k"
)
_LETTER_NOT_FOUND = (
    "where it is to hold for every {letter}, as when two ways of writing one expression are compared, say "
    "for_every: [{letter}]; what the pupil finds is named in `unknowns:`, what varies below `parameters:`"
)
_LETTER_OF_A_CURVE = (
    "write out what {letter} stands for, as the problem does; the line as it is may stand in `say:`, as text"
)
_WORDS = (
    "let just one row of `words:` be right for every answer: add a row, or change what one says in `when:`"
)
_GIVEN_UP = "what `rejects:` gives up is no solution: it lies outside the domain, or the working brings it in"
_NOT_DETERMINED = (
    "there must be as many equations as unknowns; where only some values leave too few, as a coefficient of 0 does, "
    "leave these out (leaving_out: [0]) or reject them by a constraint"
)
_BESIDE_A_ROOT = (
    "numbers a and b of a + b*sqrt(k) are asked for by the expression itself: problem: (p + q*sqrt(r))^2 without "
    "`unknowns`, response: {kind: entry, blanks: {answer: {form: surd}}}; the boxes then stand for a, b and k"
)
_OTHER_LETTER = (
    "a line speaks of what the problem speaks of; a step in {letter} is only to be read, and stands in `say:`, in "
    "dollars, or name the new letter in a line before, let: {letter} = ..."
)
_POSITIVE = (
    "where all letters are positive numbers, say so: unknowns: {{{subject}: {subject} > 0}}; roots and squares are "
    "then solved for the subject"
)
_SAID_IN_WORDS = "; what is only to be read, such as a step in other letters, stands in `say:`, in dollars"
_HIDDEN_STEPS = (
    "steps with the unknown under a root or in an exponent are not put into order; ask for them in writing "
    "(kind: written), or for numbers in order of size (values: [...])"
)
_SIDE_CONDITION = (
    "a line says all that the problem says; let the unknown carry the condition, as in unknowns: {x: x > 0}, and give "
    "up the other root in a line with `rejects:`"
)
_MODULUS = (
    "let the problem say it without `abs`, and the stem with it: for abs(x - a) < k the problem "
    "-k < x - a and x - a < k, for abs(x - a) = k the problem x - a = k or x - a = -k"
)
_HINTS_OF_FORMULAS = {
    "wrong-key": "the key must be the problem solved for its subject",
    "problem-not-solved": "a formula is one equation, linear in its subject, between quotients of polynomials; where "
    "the subject vanishes for some values only, reject those by a constraint",
    "solution-line": "a line must say the same of the subject as the problem; side working goes into `aside:`",
}
_CODES = {
    "solution-line": "solution-line-wrong",
    "entry": "key-not-in-form",
    "marks": "marks-do-not-sum",
    "words": "words-do-not-fit",
}


def values_told(item: Item) -> dict[str, str]:
    """The item's values in plain text."""
    return {
        name: value if isinstance(value, str) else plain_number(value) for name, value in item.values.items()
    }


def diagnose(template: Template, item: Item, finding: Finding) -> Diagnostic | Contradiction:
    """What an unproved claim means.

    A guarantee, option or slip that the search let pass and the proof refutes is our own contradiction, unless the
    proof cannot decide it: then the template asks for more than can be proved. Raises ExtensionFailed where it is a
    property of an extension that says one thing in its test and another in its proof.
    """
    verdict = finding.verdict
    written = _written_option(template, item, finding)
    is_the_authors = written is not None or _is_words(template, finding)
    if finding.code in _OURS and isinstance(verdict, Refuted) and not is_the_authors:
        _of_an_extension(finding, verdict, values_told(item))
        return Contradiction(
            template=template.name,
            address=str(item.address),
            values=values_told(item),
            first=f"the search found: {finding.claim}",
            second=f"the proof found: {verdict.counterexample}",
        )
    span = written.span() if written is not None else place_of(template, item, finding)
    values = values_told(item)
    listed = ", ".join(f"{name} = {values[name]}" for name in values)
    if isinstance(verdict, Undecided):
        message = f"it cannot be proved that {finding.claim}: {verdict.reason}"
    else:
        assert not isinstance(verdict, Proved)
        message = f"it is not so that {finding.claim}: {verdict.counterexample}"
    code = "wrong-right-option" if written is not None else finding.code
    return Diagnostic(
        _CODES.get(code, code),
        f"{message} (at {listed})" if listed else message,
        span,
        excerpt=template.excerpt(span),
        hint=_MODULUS if _is_a_modulus(template, finding) else _hint(template, item, finding, code),
    )


def _of_an_extension(finding: Finding, refuted: Refuted, values: Mapping[str, str]) -> None:
    for name in re.findall(r"[a-z]\w*(?=\()", finding.claim) if finding.code == "guarantee" else ():
        if name in PROPERTY_NAMES and not is_own(name):
            listed = ", ".join(f"{each} = {value}" for each, value in values.items())
            raise ExtensionFailed(
                f"the extension `{name}` failed: its `test` and its `prove` disagree at {listed}: the test lets "
                f"{finding.claim} pass, the proof refutes it: {refuted.counterexample}"
            )


def _hint(template: Template, item: Item, finding: Finding, code: str) -> str:
    if code == "wrong-line":
        goes_on = isinstance(finding.verdict, Refuted) and "after the wrong one" in finding.claim
        return _AFTER_THE_SLIP if goes_on else _ALIKE if "look alike" in finding.claim else ""
    if code == "wrong-key" and _is_rounded(template.parts[finding.part]):
        return _ROUNDED
    if code == "wrong-key" and _has_some_solutions(item.parts[finding.part]):
        return f"{_HINTS[code]}; where only some are asked for, give the unknown a domain: unknowns: {{x: x > 0}}"
    if (
        code == "problem-not-solved"
        and isinstance(finding.verdict, Undecided)
        and finding.verdict.reason.endswith("is not determined")
    ):
        problem = template.parts[finding.part].problem.node
        return (
            _BESIDE_A_ROOT if tree.calls(problem, "sqrt") or tree.calls(problem, "surd") else _NOT_DETERMINED
        )
    letter = _letter_without_value(finding.verdict)
    if code == "problem-not-solved" and letter:
        return _LETTER_NOT_FOUND.format(letter=letter)
    if code == "problem-not-solved" and _lacks_positive_letters(template.parts[finding.part]):
        return _POSITIVE.format(subject=template.parts[finding.part].unknowns[0])
    if code == "solution-line" and letter and template.parts[finding.part].for_every:
        return _LETTER_OF_A_CURVE.format(letter=letter)
    if code == "solution-line" and letter in template.letters:
        return _OTHER_LETTER.format(letter=letter)
    if code == "solution-line" and _has_a_side_condition(template.parts[finding.part]):
        return _SIDE_CONDITION
    if code == "order" and str(getattr(finding.verdict, "reason", "")).startswith("a letter under a root"):
        return _HIDDEN_STEPS
    is_formula = template.parts[finding.part].shape == SUBJECT
    if code == "solution-line" and finding.subject == "line":
        line = written_lines(template, item, finding.part)[finding.place]
        if line.kind == "rejects":
            return _GIVEN_UP
        if line.maths is not None and _rounds(line.maths.node):
            return _ROUNDS
        if line.kind == "aside" and not is_formula:
            return _ASIDE + _SAID_IN_WORDS
    if code == "solution-line" and any(line.kind == "let" for line in template.parts[finding.part].solution):
        return _WITH_A_NEW_LETTER
    if code == "solution-line" and _falls_into_cases(template.parts[finding.part]):
        return _CASES
    return (_HINTS_OF_FORMULAS if is_formula and code in _HINTS_OF_FORMULAS else _HINTS).get(code, "")


def _is_rounded(part: PartTemplate) -> bool:
    """Whether a key that is entered as a decimal is rounded by its author."""
    decimals = any(blank.form == "decimal" for blank in part.response.blanks)
    return decimals and part.key is not None and tree.calls(part.key.node, "round")


def _rounds(node: tree.Node) -> bool:
    """Whether an equation of a line rounds a side."""
    equations = [
        part for part in tree.walk(node) if isinstance(part, tree.Relation) and "=" in part.operators
    ]
    return any(tree.calls(each, "round") for each in equations)


def _letter_without_value(verdict: Verdict) -> str:
    """The letter that a verdict says nothing is known of, "" for none."""
    reason = verdict.reason if isinstance(verdict, Undecided) else ""
    found = re.search(r"\bthe letter (\w+) (?:was never introduced|is neither given nor to be found)", reason)
    return found[1] if found else ""


def _lacks_positive_letters(part: PartTemplate) -> bool:
    """Whether a formula has a root, and nothing is said of its letters."""
    return part.shape == SUBJECT and part.domain is None and tree.calls(part.problem.node, "sqrt")


def _falls_into_cases(part: PartTemplate) -> bool:
    """Whether a modulus of the problem, or alternatives of the key, are worked through one by one as a rule."""
    written = (part.problem.node, *([part.key.node] if part.key is not None else []))
    return any(
        isinstance(node, tree.Or) or (isinstance(node, tree.Call) and node.function == "abs")
        for whole in written
        for node in tree.walk(whole)
    )


def _has_a_side_condition(part: PartTemplate) -> bool:
    """Whether the problem joins an equation and an inequality in its one unknown."""
    node = part.problem.node
    operators = {
        sign
        for each in (node.parts if isinstance(node, tree.And) else ())
        for sign in (each.operators if isinstance(each, tree.Relation) else ())
    }
    return len(part.unknowns) == 1 and "=" in operators and not operators.isdisjoint({"<", ">", "<=", ">="})


def _is_a_modulus(template: Template, finding: Finding) -> bool:
    """Whether what could not be solved is a problem with a modulus in it."""
    return finding.code == "problem-not-solved" and any(
        isinstance(node, tree.Call) and node.function == "abs"
        for node in tree.walk(template.parts[finding.part].problem.node)
    )


def _written_option(template: Template, item: Item, finding: Finding) -> Expression | None:
    """The author's expression that an option is about, where right options are written out; None for any other."""
    written = template.parts[finding.part].response.written_out
    response = item.parts[finding.part].response
    if (
        finding.subject != "option"
        or not written
        or not isinstance(response, ChoiceResponse | ChoicesResponse)
    ):
        return None
    options = len(response.options)
    first = (
        printed_order(str(item.address), options)[finding.place] if 0 <= finding.place < options else options
    )
    return written[first] if first < len(written) else None


def _is_words(template: Template, finding: Finding) -> bool:
    return finding.subject == "option" and bool(template.parts[finding.part].response.words)


def place_of(template: Template, item: Item, finding: Finding) -> Span:
    """The author's line a finding is about."""
    part = template.parts[finding.part]
    match finding.subject:
        case "claim":
            return template.guarantees[finding.place].span()
        case "line":
            line = written_lines(template, item, finding.part)[finding.place]
            return line.maths.span() if line.maths is not None else line.span
        case "slip" if 0 <= finding.place < len(item.parts[finding.part].slips):
            name = item.parts[finding.part].slips[finding.place].name  # those alone that are used in the item
            return next((slip.span for slip in part.slips if slip.name == name), part.response.span)
        case "option" if part.response.words and finding.place < len(part.response.words):
            return part.response.words[finding.place].when.span()
        case "stem":
            hole = part.stem.holes[finding.place]
            return hole.span() if isinstance(hole, Expression) else part.stem.source.span
        case "picture":
            lines = written_lines(template, item, finding.part)
            figure = part.figure if finding.place < 0 else lines[finding.place].figure
            return part.stem.source.span if figure is None else figure.of.span()
        case "key":
            return _key_place(part)
        case "problem":
            return part.problem.span()
        case _:
            return _key_place(part) if finding.code == "entry" else part.response.span


def _key_place(part: PartTemplate) -> Span:
    return part.key.span() if isinstance(part.key, Expression) else part.key_span


def not_an_item(template: Template, values: dict[str, str], wrong: NotAnItem) -> Diagnostic:
    """An assignment whose answer does not fit the response."""
    part = template.parts[wrong.part]
    span = wrong.span or part.response.span
    listed = ", ".join(f"{name} = {value}" for name, value in values.items())
    return Diagnostic(
        wrong.code,
        f"{wrong} (at {listed})" if listed else str(wrong),
        span,
        excerpt=template.excerpt(span),
        hint=f"constrain the parameters, or {_other_response(part, str(wrong))}",
    )


def _is_all_at_once(part: PartTemplate) -> bool:
    """Whether the key joins equations by `and`."""
    parts = part.key.node.parts if part.key is not None and isinstance(part.key.node, tree.And) else ()
    return bool(parts) and all(isinstance(each, tree.Relation) and each.operators == ("=",) for each in parts)


def _has_some_solutions(part: Part) -> bool:
    """Whether the key has solutions of the problem and no others, but not all of them, in one unknown."""
    problem = part.problem
    if len(problem.unknowns) != 1 or problem.for_every or problem.domain is not None:
        return False
    try:
        wanted = meaning.solutions(problem.statement, problem.unknowns, (), problem.main_letter)
        found = meaning.solutions(part.key, problem.unknowns, (), problem.main_letter)
    except (CannotDecide, DomainError):
        return False
    return bool(found) and found < wanted


def _other_response(part: PartTemplate, reason: str) -> str:
    """What to ask for instead, where that is plain."""
    if "is drawn of x^2 + b*x" in reason:
        return "take the picture out, or write of: x^2 + b*x"
    if "cannot be shared over" in reason:
        return "give marks that can be shared, such as one for each, or say `credit: all`"
    asked = {blank.ends or blank.form for blank in part.response.blanks}
    key = "ends" if any(blank.ends for blank in part.response.blanks) else "form"
    if "is no whole number" in reason and "integer" in asked:
        return f"take fractions too: `{key}: fraction`"
    if "is irrational" in reason and asked & {"integer", "fraction"}:
        return f"take roots too: `{key}: surd`"
    if part.response.words and reason.startswith(("no row of words", "more than one row of words")):
        return _WORDS
    if reason == NOTHING_TO_SAY_SO_WITH and len(part.unknowns) == 1 and _is_all_at_once(part):
        return "join alternatives by `or` in the key: one number is not two at once"
    if reason == NOTHING_TO_SAY_SO_WITH:
        return "add no_real_solution: tick to the response; where there are solutions, mend the key"
    return "change the response"
