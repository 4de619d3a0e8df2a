"""Items and packages written by hand in the way this house writes QTI 3.0, for tests of the audit.

Each item is a text; a test spoils it by replacing a piece of it, and `spoiled` makes sure the piece was there.
All are from the evening algebra course of Saltmarsh College.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from xml.etree import ElementTree

QTI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
MATHML = "http://www.w3.org/1998/Math/MathML"
PACKAGING = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
TIMES = "<mo>\u2062</mo>"
MINUS = "<mo>−</mo>"
NEGATIVE = '<mo form="prefix">−</mo>'
EQUALS = "<mo>=</mo>"


# formulas: what is shown and what is meant, both by hand


def n(number: int | str) -> str:
    """A numeral as shown."""
    return f"<mn>{number}</mn>"


def i(letter: str) -> str:
    """A letter as shown."""
    return f"<mi>{letter}</mi>"


def cn(number: int | str) -> str:
    """A numeral as meant."""
    return f"<cn>{number}</cn>"


def ci(letter: str) -> str:
    """A letter as meant."""
    return f"<ci>{letter}</ci>"


def ap(operator: str, *parts: str) -> str:
    """An operator applied."""
    return f"<apply><{operator}/>{''.join(parts)}</apply>"


def either(*parts: str) -> str:
    """± applied."""
    return f"<apply><csymbol>plus-minus</csymbol>{''.join(parts)}</apply>"


_RELATIONS = {
    "eq": "equals", "neq": "is not equal to", "lt": "is less than", "leq": "is less than or equal to",
    "gt": "is greater than", "geq": "is greater than or equal to",
}  # fmt: skip
_SPOKEN = {"plus": "plus", "minus": "minus", "times": "times", "csymbol": "plus or minus", **_RELATIONS}


def heard(meant: str) -> str:
    """What a voice says of a meaning; every part of several words in brackets."""
    return _heard(ElementTree.fromstring(meant))


def _heard(element: ElementTree.Element) -> str:
    if element.tag in {"cn", "ci"}:
        said = (element.text or "").lower()
        return (
            f"capital {said}" if said != element.text else said.replace("_", " sub ").replace(".", " point ")
        )
    if element.tag in {"emptyset", "vector"}:
        parts = " comma ".join(map(_part, element))
        return f"the point {parts} end point" if parts else "no real solution"
    operator, *parts = list(element)
    said = [_part(part) for part in parts]
    match operator.tag:
        case "power":
            return f"{said[0]} to the power {said[1]} end power"
        case "divide":
            return f"the fraction {said[0]} over {said[1]} end fraction"
        case "root":
            index = {"degree": "cube"}.get(parts[0].tag, "square")
            return f"the {index} root of {said[-1]} end root"
        case "abs":
            return f"the absolute value of {said[0]} end absolute value"
        case "minus" if len(said) == 1:
            return f"negative {said[0]}"
        case "csymbol" if len(said) == 1 and operator.text == "plus-minus":
            return f"plus or minus {said[0]}"
        case "csymbol" if operator.text != "plus-minus":
            return f"the {operator.text} of open bracket {' comma '.join(said)} close bracket"
        case "and" | "or" as word:
            return f" {word} ".join(said)
        case chained if chained in _RELATIONS:
            return said[0] + " which".join(f" {_RELATIONS[chained]} {part}" for part in said[1:])
        case joining:
            return f" {_SPOKEN[joining]} ".join(said)


def _part(element: ElementTree.Element) -> str:
    said = _heard(element)
    return said if element.tag in {"cn", "ci", "vector", "degree"} else f"open bracket {said} close bracket"


def math(shown: str, meant: str, spoken: str = "") -> str:
    """A formula with its annotation; spoken: where it is not what the annotation says."""
    spoken = spoken or heard(meant)
    return (
        f'<math xmlns="{MATHML}" display="inline" alttext="{spoken}"><semantics><mrow>{shown}</mrow>'
        f'<annotation-xml encoding="MathML-Content">{meant}</annotation-xml></semantics></math>'
    )


def square(letter: str = "x") -> tuple[str, str]:
    """letter², shown and meant."""
    return f"<msup>{i(letter)}{n(2)}</msup>", ap("power", ci(letter), cn(2))


def quadratic(a: int, b: int, c: int) -> tuple[str, str]:
    """ax² + bx + c with a > 0, b and c not 0."""
    shown, meant = square()
    if a != 1:
        shown, meant = f"{n(a)}{TIMES}{shown}", ap("times", cn(a), meant)
    linear_shown = i("x") if abs(b) == 1 else f"{n(abs(b))}{TIMES}{i('x')}"
    linear_meant = ci("x") if abs(b) == 1 else ap("times", cn(abs(b)), ci("x"))
    shown += f"{'<mo>+</mo>' if b > 0 else MINUS}{linear_shown}"
    meant = ap("plus" if b > 0 else "minus", meant, linear_meant)
    shown += f"{'<mo>+</mo>' if c > 0 else MINUS}{n(abs(c))}"
    return shown, ap("plus" if c > 0 else "minus", meant, cn(abs(c)))


def equation(a: int, b: int, c: int) -> str:
    """ax² + bx + c = 0."""
    shown, meant = quadratic(a, b, c)
    return math(f"{shown}{EQUALS}{n(0)}", ap("eq", meant, cn(0)))


def signed(number: int) -> tuple[str, str]:
    """A whole number, shown and meant."""
    return (n(number), cn(number)) if number >= 0 else (NEGATIVE + n(-number), ap("minus", cn(-number)))


def value(letter: str, number: int) -> tuple[str, str]:
    """letter = number, shown and meant."""
    shown, meant = signed(number)
    return f"{i(letter)}{EQUALS}{shown}", ap("eq", ci(letter), meant)


def joined(word: str, *statements: tuple[str, str]) -> str:
    """Statements joined by a word."""
    space = '<mspace width="0.5em"/>'
    shown = f"{space}<mtext>{word}</mtext>{space}".join(each for each, _ in statements)
    return math(shown, ap(word, *(each for _, each in statements)))


def surd_pair(p: int, r: int) -> str:
    """x = p ± √r."""
    shown, meant = signed(p)
    return math(
        f"{i('x')}{EQUALS}{shown}<mo>±</mo><msqrt>{n(r)}</msqrt>",
        ap("eq", ci("x"), either(meant, ap("root", cn(r)))),
    )


NONE = math("<mtext>no real solution</mtext>", "<emptyset/>", "no real solution")


# the item around them


INSTRUCTION = '<div class="instruction"><p>Fill every box with a whole number.</p></div>'


def item(code: str, declarations: str, body: str, processing: str, feedback: str = "", marks: int = 1) -> str:
    """An item's file."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<qti-assessment-item xmlns="{QTI}" identifier="{code}" title="Evening algebra ({code})" xml:lang="en" '
        'time-dependent="false" adaptive="false" tool-name="itembank">'
        f"{declarations}"
        '<qti-outcome-declaration identifier="SCORE" cardinality="single" base-type="float" '
        f'normal-maximum="{marks}" normal-minimum="0"><qti-default-value><qti-value>0</qti-value></qti-default-value>'
        "</qti-outcome-declaration>"
        '<qti-outcome-declaration identifier="MAXSCORE" cardinality="single" base-type="float"><qti-default-value>'
        f"<qti-value>{marks}</qti-value></qti-default-value></qti-outcome-declaration>"
        '<qti-outcome-declaration identifier="FEEDBACK" cardinality="multiple" base-type="identifier"/>'
        f"<qti-item-body>{INSTRUCTION if 'text-entry' in body else ''}{body}</qti-item-body>"
        f"<qti-response-processing>{processing}</qti-response-processing>{feedback}</qti-assessment-item>"
    )


def declared(name: str, base: str, correct: str | int | None) -> str:
    """A response declaration."""
    right = (
        ""
        if correct is None
        else f"<qti-correct-response><qti-value>{correct}</qti-value></qti-correct-response>"
    )
    return (
        f'<qti-response-declaration identifier="{name}" cardinality="single" base-type="{base}">{right}'
        "</qti-response-declaration>"
    )


def stem(words: str, part: str = "") -> str:
    """The stem of a part."""
    return f'<div class="stem" data-part="{part}" data-role="stem"><p>{words}</p></div>'


def options(*contents: str, part: str = "") -> str:
    """A choice with options A, B, ..."""
    name = f"RESPONSE_{part}" if part else "RESPONSE"
    choices = "".join(
        f'<qti-simple-choice identifier="{chr(65 + index)}">{content}</qti-simple-choice>'
        for index, content in enumerate(contents)
    )
    return (
        f'<qti-choice-interaction response-identifier="{name}" shuffle="false" max-choices="1" min-choices="0">'
        f"{choices}</qti-choice-interaction>"
    )


def box(name: str, unknown: str, form: str, role: str, slot: int = 1) -> str:
    """A box."""
    return (
        f'<qti-text-entry-interaction response-identifier="{name}" data-unknown="{unknown}" data-form="{form}" '
        f'data-box="{role}" data-slot="{slot}"/>'
    )


TICK = (
    '<qti-choice-interaction response-identifier="TICK" shuffle="false" max-choices="1" min-choices="0">'
    '<qti-simple-choice identifier="none">no real solution</qti-simple-choice></qti-choice-interaction>'
)


def line(maths: str, marks: str = "", kind: str = "main", words: str = "Work it out.") -> str:
    """A line of the worked solution."""
    shown = f"<p>{maths}</p>" if maths else ""
    earned = f'<p class="marks">{marks}</p>' if marks else ""
    return f'<li data-role="line" data-kind="{kind}" data-marks="{marks}"><p>{words}</p>{earned}{shown}</li>'


def option_value(name: str, maths: str, feedback: str) -> str:
    """What an option comes to, for staff."""
    return f'<p data-role="option" data-identifier="{name}" data-feedback="{feedback}">{maths}</p>'


def solution(
    problem: str, key: str, lines: str, values: str = "", *, shape: str = "solve", unknowns: str = "x",
    for_every: str = "", kind: str = "choice", part: str = "", domain: str = "",
) -> str:  # fmt: skip
    """One part of the block for staff."""
    limits = f'<p data-role="domain">{domain}</p>' if domain else ""
    return (
        f'<div data-part="{part}" data-shape="{shape}" data-unknowns="{unknowns}" data-for-every="{for_every}" '
        f'data-kind="{kind}"><p data-role="problem">{problem}</p>{limits}<p data-role="key">{key}</p>'
        f"<ol>{lines}</ol>{values}</div>"
    )


def staff(*parts: str) -> str:
    """The block for staff."""
    return (
        '<qti-rubric-block use="solution" view="scorer tutor"><qti-content-body>'
        f"{''.join(parts)}</qti-content-body></qti-rubric-block>"
    )


SAID = {
    "F0": "That is right.",
    "FU": "The value is right, but it is not in the form that was asked for.",
    "FF": "This follows from your earlier answer and earns marks; look at the earlier part again.",
    "FL": "That line follows from what stands above it.",
}


def modal(*names: str) -> str:
    """Feedback with these identifiers."""
    return "".join(
        f'<qti-modal-feedback outcome-identifier="FEEDBACK" identifier="{name}" show-hide="show"><qti-content-body>'
        f"<p>{SAID.get(name.partition('_')[0], 'Look again.')}</p></qti-content-body></qti-modal-feedback>"
        for name in names
    )


# rules


def var(name: str) -> str:
    """A variable."""
    return f'<qti-variable identifier="{name}"/>'


def number(value: int) -> str:
    """A whole number."""
    return f'<qti-base-value base-type="integer">{value}</qti-base-value>'


def q(name: str, *parts: str) -> str:
    """An expression."""
    return f"<qti-{name}>{''.join(parts)}</qti-{name}>"


def equal(first: str, second: str) -> str:
    """Two numbers are the same."""
    return f'<qti-equal tolerance-mode="exact">{first}{second}</qti-equal>'


def earns(marks: int, feedback: str = "") -> str:
    """Marks added to the score, and a feedback shown."""
    shown = ""
    if feedback:
        named = f'<qti-base-value base-type="identifier">{feedback}</qti-base-value>'
        both = q("multiple", var("FEEDBACK"), named)
        shown = f'<qti-set-outcome-value identifier="FEEDBACK">{both}</qti-set-outcome-value>'
    added = q("sum", var("SCORE"), f'<qti-base-value base-type="float">{marks}</qti-base-value>')
    return f'<qti-set-outcome-value identifier="SCORE">{added}</qti-set-outcome-value>{shown}'


def when(*branches: tuple[str, str]) -> str:
    """if, else if, ... with their rules."""
    told = ""
    for index, (asked, rules) in enumerate(branches):
        name = "response-if" if index == 0 else "response-else-if"
        told += q(name, asked, rules)
    return q("response-condition", told)


def chosen(name: str, option: str) -> str:
    """An option is chosen."""
    return q("match", var(name), f'<qti-base-value base-type="identifier">{option}</qti-base-value>')


def is_right(name: str) -> str:
    """A response is the right one."""
    return q("match", var(name), f'<qti-correct identifier="{name}"/>')


def blank(name: str) -> str:
    """A response is empty."""
    return q("is-null", var(name))


def all_of(*parts: str) -> str:
    """Every part holds."""
    return q("and", *parts)


# the items


def choice_item() -> str:
    """x² − 8x + 3 = 0 with four options; B is right."""
    problem = equation(1, -8, 3)
    shown, meant = square()
    moved = math(
        f"{shown}{MINUS}{n(8)}{TIMES}{i('x')}{EQUALS}{NEGATIVE}{n(3)}",
        ap("eq", ap("minus", meant, ap("times", cn(8), ci("x"))), ap("minus", cn(3))),
    )
    bracket = f"<msup><mrow><mo>(</mo>{i('x')}{MINUS}{n(4)}<mo>)</mo></mrow>{n(2)}</msup>"
    completed = math(
        f"{bracket}{EQUALS}{n(13)}", ap("eq", ap("power", ap("minus", ci("x"), cn(4)), cn(2)), cn(13))
    )
    rooted = math(
        f'{i("x")}{MINUS}{n(4)}{EQUALS}<mo form="prefix">±</mo><msqrt>{n(13)}</msqrt>',
        ap("eq", ap("minus", ci("x"), cn(4)), either(ap("root", cn(13)))),
    )
    contents = (surd_pair(8, 61), surd_pair(4, 13), surd_pair(-4, 13), NONE)
    values = "".join(
        option_value(name, maths, feedback)
        for name, maths, feedback in zip("ABCD", contents, ("F1", "F0", "F2", "F3"), strict=True)
    )
    lines = line(moved, "M1") + line(completed, "M1") + line(rooted) + line(surd_pair(4, 13), "A1")
    processing = when(
        (is_right("RESPONSE"), earns(1, "F0")),
        *(
            (chosen("RESPONSE", name), earns(0, shown))
            for name, shown in (("A", "F1"), ("C", "F2"), ("D", "F3"))
        ),
    )
    return item(
        "K7Q2M", declared("RESPONSE", "identifier", "B"),
        stem(f"By completing the square, solve {problem}.") + options(*contents)
        + staff(solution(problem, surd_pair(4, 13), lines, values)),
        processing, modal("F0", "F1", "F2", "F3"),
    )  # fmt: skip


def integer_item() -> str:
    """x² − 2x − 15 = 0: −3 and 5 in any order, and a tick that is wrong."""
    problem = equation(1, -2, -15)
    key = joined("or", value("x", -3), value("x", 5))
    left = f"<mo>(</mo>{i('x')}{MINUS}{n(5)}<mo>)</mo>{TIMES}<mo>(</mo>{i('x')}<mo>+</mo>{n(3)}<mo>)</mo>"
    factors = math(
        f"{left}{EQUALS}{n(0)}",
        ap("eq", ap("times", ap("minus", ci("x"), cn(5)), ap("plus", ci("x"), cn(3))), cn(0)),
    )
    one, two = "BOX_1", "BOX_2"

    def both(first: int, second: int) -> str:
        return all_of(equal(var(one), number(first)), equal(var(two), number(second)))

    def some(number_: int) -> str:
        return q("or", equal(var(one), number(number_)), equal(var(two), number(number_)))

    processing = when(
        (q("not", blank("TICK")), earns(0, "F1")),
        (q("or", both(-3, 5), both(5, -3)), earns(2, "F0")),
        (q("or", some(-3), some(5)), earns(1)),
    )
    return item(
        "B2H6R", declared(one, "integer", -3) + declared(two, "integer", 5) + declared("TICK", "identifier", None),
        stem(f"Solve {problem}.")
        + f"<div><p>x = {box(one, 'x', 'integer', 'value')} or x = {box(two, 'x', 'integer', 'value', 2)}</p></div>"
        + TICK + staff(solution(problem, key, line(factors, "M1") + line(key, "A1"), kind="entry")),
        processing, modal("F0", "F1"), 2,
    )  # fmt: skip


def no_solution_item() -> str:
    """x² + 2x + 5 = 0: the tick is right."""
    problem = equation(1, 2, 5)
    completed = math(
        f"<msup><mrow><mo>(</mo>{i('x')}<mo>+</mo>{n(1)}<mo>)</mo></mrow>{n(2)}</msup>{EQUALS}{NEGATIVE}{n(4)}",
        ap("eq", ap("power", ap("plus", ci("x"), cn(1)), cn(2)), ap("minus", cn(4))),
    )
    processing = when((all_of(is_right("TICK"), blank("BOX_1")), earns(1, "F0")))
    return item(
        "N8D3V", declared("BOX_1", "integer", None) + declared("TICK", "identifier", "none"),
        stem(f"Solve {problem}.") + f"<div><p>x = {box('BOX_1', 'x', 'integer', 'value')}</p></div>" + TICK
        + staff(solution(problem, NONE, line(completed) + line(NONE, "B1"), kind="entry")),
        processing, modal("F0"),
    )  # fmt: skip


def surd_item() -> str:
    """2x² − 6x + 1 = 0: (3 ± √7)/2 in boxes p, q, r, s."""
    problem = equation(2, -6, 1)

    def fraction(p: int, r: int, s: int) -> str:
        shown = f"<mfrac><mrow>{n(p)}<mo>±</mo><msqrt>{n(r)}</msqrt></mrow>{n(s)}</mfrac>"
        meant = ap("divide", either(cn(p), ap("root", cn(r))), cn(s))
        return math(f"{i('x')}{EQUALS}{shown}", ap("eq", ci("x"), meant))

    aside = math(
        f"<msqrt>{n(28)}</msqrt>{EQUALS}{n(2)}{TIMES}<msqrt>{n(7)}</msqrt>",
        ap("eq", ap("root", cn(28)), ap("times", cn(2), ap("root", cn(7)))),
    )
    key = fraction(3, 7, 2)
    lines = line(fraction(6, 28, 4), "M1") + line(aside, kind="aside") + line(key, "A2")
    p, q_, r, s = "BOX_1", "BOX_2", "BOX_3", "BOX_4"
    exactly = all_of(*(equal(var(name), number(right)) for name, right in ((p, 3), (q_, 1), (r, 7), (s, 2))))
    same_p = equal(q("product", var(p), number(2)), q("product", number(3), var(s)))
    same_root = equal(
        q("product", var(q_), var(q_), var(r), number(4)), q("product", number(7), var(s), var(s))
    )  # fmt: skip
    alike = all_of(same_p, same_root, q("not", equal(var(s), number(0))), q("gte", var(r), number(1)))
    processing = when((exactly, earns(3, "F0")), (alike, earns(2, "FU")))
    layout = (
        f"<p>x = ( {box(p, 'x', 'surd', 'p')} ± {box(q_, 'x', 'surd', 'q')} √ {box(r, 'x', 'surd', 'r')} ) "
        f"/ {box(s, 'x', 'surd', 's')}</p>"
    )
    declarations = "".join(
        declared(name, "integer", right) for name, right in ((p, 3), (q_, 1), (r, 7), (s, 2))
    )
    return item(
        "T4W9C", declarations,
        stem(f"Solve {problem}.") + f"<div>{layout}</div>"
        + staff(solution(problem, key, lines, kind="entry")),
        processing, modal("F0", "FU"), 3,
    )  # fmt: skip


def identity_item() -> str:
    """x² − 6x + 11 = (x + p)² + q for every x: p a whole number, q a fraction."""
    shown, meant = quadratic(1, -6, 11)
    square_shown = (
        f"<msup><mrow><mo>(</mo>{i('x')}<mo>+</mo>{i('p')}<mo>)</mo></mrow>{n(2)}</msup><mo>+</mo>{i('q')}"
    )
    square_meant = ap("plus", ap("power", ap("plus", ci("x"), ci("p")), cn(2)), ci("q"))
    problem = math(f"{shown}{EQUALS}{square_shown}", ap("eq", meant, square_meant))
    found_shown = f"<msup><mrow><mo>(</mo>{i('x')}{MINUS}{n(3)}<mo>)</mo></mrow>{n(2)}</msup><mo>+</mo>{n(2)}"
    found_meant = ap("plus", ap("power", ap("minus", ci("x"), cn(3)), cn(2)), cn(2))
    found = math(f"{shown}{EQUALS}{found_shown}", ap("eq", meant, found_meant))
    key = joined("and", value("p", -3), value("q", 2))
    only_p = math(*value("p", -3))
    above, below = "BOX_2", "BOX_3"
    exactly = all_of(equal(var(above), number(2)), equal(var(below), number(1)))
    alike = all_of(
        equal(var(above), q("product", number(2), var(below))), q("not", equal(var(below), number(0)))
    )
    processing = when((equal(var("BOX_1"), number(-3)), earns(1))) + when(
        (exactly, earns(2)), (alike, earns(1, "FU"))
    )
    processing += when((all_of(equal(var("BOX_1"), number(-3)), exactly), earns(0, "F0")))
    return item(
        "F5J7X",
        declared("BOX_1", "integer", -3) + declared(above, "integer", 2) + declared(below, "integer", 1),
        stem(f"Find p and q with {problem} for every x.")
        + f"<p>p = {box('BOX_1', 'p', 'integer', 'value')}</p>"
        + f"<p>q = {box(above, 'q', 'fraction', 'numerator')} / {box(below, 'q', 'fraction', 'denominator')}</p>"
        + staff(solution(
            problem, key, line(found, "B1") + line(only_p) + line(key, "A1 M1"),
            shape="identity", unknowns="p q", for_every="x", kind="entry",
        )),
        processing, modal("F0", "FU"), 3,
    )  # fmt: skip


def words_item() -> str:
    """What kind of roots x² − 6x + 11 = 0 has: none, D = −8."""
    shown, meant = quadratic(1, -6, 11)
    asked = math(
        f"{i('D')}{EQUALS}{i('discriminant')}<mo>\u2061</mo><mo>(</mo>{shown}<mo>)</mo>",
        ap("eq", ci("D"), f"<apply><csymbol>discriminant</csymbol>{meant}</apply>"),
    )
    worked = math(
        f"{i('D')}{EQUALS}<msup><mrow><mo>(</mo>{NEGATIVE}{n(6)}<mo>)</mo></mrow>{n(2)}</msup>"
        f"{MINUS}{n(4)}<mo>×</mo>{n(1)}<mo>×</mo>{n(11)}",
        ap(
            "eq", ci("D"),
            ap("minus", ap("power", ap("minus", cn(6)), cn(2)), ap("times", cn(4), cn(1), cn(11))),
        ),
    )  # fmt: skip
    key = math(*value("D", -8))
    wrong = math(*value("D", 80))
    values = option_value("B", wrong, "F1")
    processing = when((is_right("RESPONSE"), earns(1, "F0")), (chosen("RESPONSE", "B"), earns(0, "F1")))
    texts = (
        "two different rational roots",
        "two different irrational roots",
        "one repeated root",
        "no real roots",
    )
    return item(
        "C9P4L", declared("RESPONSE", "identifier", "D"),
        stem(f"What kind of roots does {equation(1, -6, 11)} have?") + options(*texts)
        + staff(solution(asked, key, line(worked, "M1") + line(key, "A1"), values, unknowns="D", kind="words")),
        processing, modal("F0", "F1"),
    )  # fmt: skip


def rewrite_item() -> str:
    """√72 as q√r."""
    problem = math(f"<msqrt>{n(72)}</msqrt>", ap("root", cn(72)))
    halfway = math(
        f"<msqrt>{n(36)}</msqrt><mo>×</mo><msqrt>{n(2)}</msqrt>",
        ap("times", ap("root", cn(36)), ap("root", cn(2))),
    )
    key = math(f"{n(6)}{TIMES}<msqrt>{n(2)}</msqrt>", ap("times", cn(6), ap("root", cn(2))))
    q_, r = "BOX_1", "BOX_2"
    exactly = all_of(equal(var(q_), number(6)), equal(var(r), number(2)))
    alike = all_of(equal(q("product", var(q_), var(q_), var(r)), number(72)), q("gt", var(q_), number(0)))
    processing = when((exactly, earns(2, "F0")), (alike, earns(1, "FU")))
    return item(
        "G3S8Z", declared(q_, "integer", 6) + declared(r, "integer", 2),
        stem(f"Simplify {problem}.") + f"<p>{box(q_, '', 'surd', 'q')} √ {box(r, '', 'surd', 'r')}</p>"
        + staff(solution(
            problem, key, line(halfway, "M1") + line(key, "A1"), shape="rewrite", unknowns="", kind="entry",
        )),
        processing, modal("F0", "FU"), 2,
    )  # fmt: skip


def two_part_item() -> str:
    """A width w > 0 with w² + 2w − 15 = 0 as a choice, then its double u in a box."""
    shown, meant = square("w")
    problem = math(
        f"{shown}<mo>+</mo>{n(2)}{TIMES}{i('w')}{MINUS}{n(15)}{EQUALS}{n(0)}",
        ap("eq", ap("minus", ap("plus", meant, ap("times", cn(2), ci("w"))), cn(15)), cn(0)),
    )
    domain = math(f"{i('w')}<mo>&gt;</mo>{n(0)}", ap("gt", ci("w"), cn(0)))
    key, wrong, rejected = (math(*value("w", found)) for found in (3, 5, -5))
    solved = joined("or", value("w", 3), value("w", -5))
    lines = line(solved, "M1") + line(rejected, kind="rejects") + line(key, "A1")
    values = option_value("A", key, "F0_a") + option_value("B", wrong, "F1_a")
    double = math(f"{i('u')}{EQUALS}{n(2)}{TIMES}{i('w')}", ap("eq", ci("u"), ap("times", cn(2), ci("w"))))
    six = math(*value("u", 6))
    processing = when(
        (is_right("RESPONSE_a"), earns(1, "F0_a")), (chosen("RESPONSE_a", "B"), earns(0, "F1_a"))
    )
    processing += when((is_right("BOX_b_1"), earns(1)))
    return item(
        "W6T2D", declared("RESPONSE_a", "identifier", "A") + declared("BOX_b_1", "integer", 6),
        stem(f"A yard is w metres wide and {problem}. Find w.", "a") + options(key, wrong, part="a")
        + stem(f"Find {double}.", "b") + f"<p>u = {box('BOX_b_1', 'u', 'integer', 'value')}</p>"
        + staff(
            solution(problem, key, lines, values, unknowns="w", part="a", domain=domain),
            solution(double, six, line(six, "B1"), unknowns="u", part="b", kind="entry"),
        ),
        processing, modal("F0_a", "F1_a"), 2,
    )  # fmt: skip


ITEMS = {
    "K7Q2M": choice_item, "B2H6R": integer_item, "N8D3V": no_solution_item, "T4W9C": surd_item,
    "F5J7X": identity_item, "C9P4L": words_item, "G3S8Z": rewrite_item, "W6T2D": two_part_item,
}  # fmt: skip


# packages


def manifest(names: list[str]) -> str:
    """A manifest of items at these places."""
    resources = "".join(
        f'<resource identifier="R{index}" type="imsqti_item_xmlv3p0" href="{name}"><file href="{name}"/></resource>'
        for index, name in enumerate(names)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<manifest xmlns="{PACKAGING}" identifier="M"><metadata>'
        "<schema>QTI Item Bank</schema><schemaversion>3.0.0</schemaversion></metadata><organizations/>"
        f"<resources>{resources}</resources></manifest>"
    )


def members() -> dict[str, str]:
    """A whole package as texts by name."""
    items = {f"items/{code}.xml": make() for code, make in ITEMS.items()}
    return {"imsmanifest.xml": manifest(list(items)), **items}


def write_zip(path: Path, contents: dict[str, str]) -> Path:
    """A zip of these members."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in contents.items():
            archive.writestr(name, text)
    return path


def spoiled(text: str, old: str, new: str, *, count: int = 1) -> str:
    """The text with a piece replaced; the piece must be there."""
    assert old in text, f"nothing to spoil: {old}"
    return text.replace(old, new, count)
