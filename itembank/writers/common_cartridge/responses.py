"""A part's response as the profile carries it: what is shown, how it is marked, and what is lost."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Letter, Maths, Pattern, Shape, hole_mark
from itembank.items import ChoiceResponse, EntryResponse, Option, Part
from itembank.writers.common_cartridge import phrases
from itembank.writers.common_cartridge.markup import element, html, material, words
from itembank.writers.common_cartridge.processing import RESPONSE, condition, is_answer, percent, processing
from itembank.writers.common_cartridge.spellings import has_decimal_comma
from itembank.writers.common_cartridge.texts import blocks, fill, maths, shown
from itembank.writers.common_cartridge.typed import Gap, NotListed, gaps, typed
from itembank.writers.qti3.phrases import OR, RIGHT, UNSIMPLIFIED

__all__ = ["LeftOut", "Response", "response"]


class LeftOut(Exception):
    """The profile cannot carry the part; the text is the reason, in plain words."""


class Response(NamedTuple):
    """A response. profile: its `cc_profile`; kind: as the solution tells it; below: HTML after the stem; asked: the
    response itself; feedback: names and HTML; lost: in plain words."""

    profile: str
    kind: str
    below: str
    asked: str
    processing: str
    feedback: tuple[tuple[str, str], ...]
    lost: tuple[str, ...]


def response(part: Part, language: str, foreign: str) -> Response:
    """What the profile makes of a part. foreign: language of the words added, "" where it is the item's own.

    Raises LeftOut.
    """
    match part.response:
        case ChoiceResponse() as chosen:
            return _choice(chosen, foreign)
        case EntryResponse() as entered:
            return _entry(part, entered, language, foreign)
        case _:
            raise LeftOut("it carries one right option or one typed answer, and this asks for something else")


def phrase(text: str, foreign: str, **attributes: str) -> str:
    """Words this writer adds, as a paragraph."""
    return html("p", words(text), **({"lang": foreign} if foreign else {}), **attributes)


# one right option


def _choice(chosen: ChoiceResponse, foreign: str) -> Response:
    if len(chosen.options) < 3:
        raise LeftOut("a choice of two is a statement that is true or false, which this item is not")
    looks = tuple([(option.identifier, option.is_key, _is_told(option)) for option in chosen.options])
    options, rules = _choice_patterns(looks)
    feedback = []
    for option in chosen.options:
        if option.is_key:
            feedback.append((f"F_{option.identifier}", phrase(RIGHT, foreign)))
        elif option.slip is not None and option.slip.pupil is not None:
            feedback.append((f"F_{option.identifier}", blocks(option.slip.pupil)))
    contents = tuple([material(shown(option.content)) for option in chosen.options])
    return Response(
        "cc.multiple_choice.v0p1", "words" if chosen.by_words else "choice", "", fill(options, contents), rules,
        tuple(feedback), (),
    )  # fmt: skip


def _is_told(option: Option) -> bool:
    return option.is_key or (option.slip is not None and option.slip.pupil is not None)


@cache
def _choice_patterns(looks: tuple[tuple[str, bool, bool], ...]) -> tuple[Pattern, str]:
    labels = (
        element("response_label", hole_mark(index), ident=identifier)
        for index, (identifier, _, _) in enumerate(looks)
    )
    asked = element(
        "response_lid", element("render_choice", *labels, shuffle="No"), ident=RESPONSE, rcardinality="Single"
    )
    ordered = sorted(looks, key=lambda each: not each[1])
    rules = [
        condition(is_answer(identifier), percent(1, 1) if is_key else "", f"F_{identifier}")
        for identifier, is_key, is_told in ordered
        if is_told
    ]
    return Pattern(asked), processing(rules)


# boxes as one typed answer


def _entry(part: Part, entered: EntryResponse, language: str, foreign: str) -> Response:
    try:
        answers = typed(entered, language)
    except NotListed as why:
        raise LeftOut(str(why)) from None
    feedback, told = [], {cause.feedback for cause in answers.causes}
    rules = []
    for cause in answers.causes:
        score = percent(cause.marks, entered.marks) if cause.marks else ""
        rules += [condition(is_answer(text), score, cause.feedback) for text in cause.spellings]
    sentences = {"F0": phrase(RIGHT, foreign), "FU": phrase(UNSIMPLIFIED, foreign)}
    feedback += [(name, sentences[name]) for name in sentences if name in told]
    for number, each in enumerate(entered.recognised, start=1):
        if f"F{number}" in told and each.slip.pupil is not None:
            feedback.append((f"F{number}", blocks(each.slip.pupil)))
    statement = (maths(part.problem.statement),) if not entered.blanks[0].unknown else ()
    looks = (gaps(entered), tuple([blank.pair for blank in entered.blanks]))
    lines = fill(_lines(*looks, entered.tick, has_decimal_comma(language), foreign), statement)
    instruction = html("div", blocks(entered.instruction), class_="instruction")
    return Response(
        "cc.fib.v0p1", "entry", instruction + lines, _LINE, processing(rules), tuple(feedback), answers.lost
    )


_LINE = element(
    "response_str",
    element("render_fib", rows="1", columns="30", prompt="Box", fibtype="String"),
    ident=RESPONSE, rcardinality="Single",
)  # fmt: skip


@cache
def _lines(gaps_: tuple[Gap, ...], pairs: tuple[bool, ...], tick: bool, comma: bool, foreign: str) -> Pattern:
    """The gaps in their places, and what to type; with a hole for the expression that is rewritten in them."""
    by_value: dict[tuple[str, int], dict[str, str]] = {}
    for number, gap in enumerate(gaps_, start=1):
        held = html(
            "span", words(f"[{number}]"), class_="gap",
            data_unknown=gap.unknown, data_form=gap.form, data_box=gap.role, data_slot=str(gap.slot),
        )  # fmt: skip
        by_value.setdefault((gap.unknown, gap.slot), {})[gap.role] = held
    unknowns = list(dict.fromkeys(gap.unknown for gap in gaps_))
    tongue = {"lang": foreign} if foreign else {}
    lines = []
    for unknown, pair in zip(unknowns, pairs, strict=True):
        lead = f"{_letter(unknown) if unknown else hole_mark(0)} = "
        values = [lead + _laid_out(held, pair) for (name, _), held in by_value.items() if name == unknown]
        lines.append(html("p", f" {html('span', words(OR), **tongue)} ".join(values), class_="boxes"))
    forms = {gap.form for gap in gaps_}
    told = phrases.type_gaps(len(gaps_), "fraction" in forms, comma and "decimal" in forms)
    if any(gap.slot > 1 for gap in gaps_):
        told += f" {phrases.LEAVE_OUT}"
    if tick:
        told += f" {phrases.TYPE_NONE}"
    return Pattern("".join(lines) + phrase(told, foreign, class_="typed"))


@cache
def _letter(unknown: str) -> str:
    return maths(Maths(Shape(Letter(unknown), 0)))


def _laid_out(held: dict[str, str], pair: bool) -> str:
    """The gaps of one value in a line, with the signs between them."""
    if "r" not in held:
        (only,) = held.values()
        return only
    root = f"{held['q']} √ {held['r']}" if "q" in held else f"√ {held['r']}"
    if "p" in held:
        root = f"{held['p']} {'±' if pair else '+'} {root}"
    elif pair:
        root = f"± {root}"
    return f"( {root} ) / {held['s']}" if "s" in held else root
