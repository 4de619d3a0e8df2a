"""Boxes as one typed answer: the gaps in their places, what to type, and a rule for each spelling."""

from __future__ import annotations

from functools import cache

from itembank.expressions.display import Letter, Maths, Pair, Pattern, Shape, hole_mark
from itembank.items import EntryResponse, Part
from itembank.writers.common_cartridge.inequalities import is_typed
from itembank.writers.common_cartridge.markup import html, words
from itembank.writers.common_cartridge.pieces import LINE, LeftOut, Response, paragraph, phrase
from itembank.writers.common_cartridge.processing import condition, is_answer, percent, processing
from itembank.writers.common_cartridge.spellings import has_decimal_comma
from itembank.writers.common_cartridge.texts import blocks, fill, maths
from itembank.writers.common_cartridge.to_type import how_to_write, type_gaps, type_none
from itembank.writers.common_cartridge.typed import Gap, NotListed, gaps, typed
from itembank.writers.phrases import Phrases

__all__ = ["entry"]


def entry(part: Part, entered: EntryResponse, language: str, said: Phrases) -> Response:
    """Boxes. Raises LeftOut where the answers cannot be listed."""
    try:
        answers = typed(entered, language)
    except NotListed as why:
        raise LeftOut(str(why)) from None
    feedback, told = [], {cause.feedback for cause in answers.causes}
    rules = []
    for cause in answers.causes:
        score = percent(cause.marks, entered.marks) if cause.marks else ""
        rules += [condition(is_answer(text), score, cause.feedback) for text in cause.spellings]
    sentences = {"F0": phrase("right", said), "FU": phrase("unsimplified", said)}
    feedback += [(name, sentences[name]) for name in sentences if name in told]
    for number, each in enumerate(entered.recognised, start=1):
        if f"F{number}" in told and each.slip.pupil is not None:
            feedback.append((f"F{number}", blocks(each.slip.pupil, said)))
    if is_typed(entered.blanks[0]):
        return Response(
            "cc.fib.v0p1", "entry", _to_type(entered.blanks[0].unknown, entered.tick, said), LINE,
            processing(rules), tuple(feedback), answers.lost,
        )  # fmt: skip
    statement = (maths(part.problem.statement, said),) if not entered.blanks[0].unknown else ()
    looks = (gaps(entered), tuple([(blank.pair, blank.unit, blank.unit_first) for blank in entered.blanks]))
    letter = entered.blanks[0].letter
    comma = has_decimal_comma(language)
    lines = fill(
        _lines(*looks, entered.tick, comma, said, of_points=entered.points, letter=letter), statement
    )
    instruction = html("div", paragraph(how_to_write(entered, said), said), class_="instruction")
    return Response(
        "cc.fib.v0p1", "entry", instruction + lines, LINE, processing(rules), tuple(feedback), answers.lost
    )


@cache
def _lines(
    gaps_: tuple[Gap, ...],
    signs: tuple[tuple[bool, str, bool], ...],
    tick: bool,
    comma: bool,
    said: Phrases,
    *,
    of_points: bool = False,
    letter: str = "",
) -> Pattern:
    """The gaps in their places, and what to type; with a hole for the expression that is rewritten in them."""
    by_value: dict[tuple[str, int], dict[str, str]] = {}
    for number, gap in enumerate(gaps_, start=1):
        held = html(
            "span", words(f"[{number}]"), class_="gap",
            data_unknown=gap.unknown, data_form=gap.form, data_box=gap.role, data_slot=str(gap.slot),
            **({"data_tolerance": gap.tolerance} if gap.tolerance else {}),
            **({"data_marks": gap.marks} if gap.marks else {}),
        )  # fmt: skip
        by_value.setdefault((gap.unknown, gap.slot), {})[gap.role] = held
    unknowns = list(dict.fromkeys(gap.unknown for gap in gaps_))
    tongue = {"lang": said.foreign} if said.foreign else {}
    lines = []
    between = f" {html('span', words(said('or')), **tongue)} "
    if of_points:
        lines.append(_points(by_value, unknowns, between, said))
    for unknown, (pair, unit, is_first) in zip(unknowns, signs, strict=True) if not of_points else ():
        sign = html("span", words(unit), class_="unit") if unit else ""
        left, right = (f"{sign} ", "") if is_first else ("", f" {sign}" if sign else "")
        lead = f"{_letter(unknown, said) if unknown else hole_mark(0)} = "
        values = [
            lead + left + _laid_out(held, pair, said, letter) + right
            for (name, _), held in by_value.items()
            if name == unknown
        ]
        lines.append(html("p", between.join(values), class_="boxes"))
    forms = {gap.form for gap in gaps_}
    told = [type_gaps(len(gaps_), said, has_semicolons=comma and "decimal" in forms)]
    if "fraction" in forms:
        told.append(said("type-fraction"))
    if any(gap.slot > 1 for gap in gaps_):
        told.append(said("type-leave-out"))
    if any(unit for _, unit, _ in signs):
        told.append(said("type-no-unit"))
    if tick:
        told.append(type_none(said))
    return Pattern("".join(lines) + paragraph(" ".join(told), said, class_="typed"))


def _points(
    by_value: dict[tuple[str, int], dict[str, str]], unknowns: list[str], between: str, said: Phrases
) -> str:
    """Points with their gaps in brackets, in a line."""
    first, second = unknowns
    lead = maths(Maths(Shape(Pair(Letter(first), Letter(second)), 0)), said)
    slots = dict.fromkeys(slot for _, slot in by_value)
    shown = [
        f"{lead} = ( {_laid_out(by_value[first, slot], False, said)} {said.conventions.pair} "
        f"{_laid_out(by_value[second, slot], False, said)} )"
        for slot in slots
    ]
    return html("p", between.join(shown), class_="boxes")


@cache
def _letter(unknown: str, said: Phrases) -> str:
    return maths(Maths(Shape(Letter(unknown), 0)), said)


@cache
def _to_type(unknown: str, tick: bool, said: Phrases) -> str:
    """What to type where inequalities are asked for."""
    told = said("type-inequalities", unknown=unknown) + (f" {type_none(said)}" if tick else "")
    return paragraph(told, said, class_="typed", data_typed="inequalities")


def _laid_out(held: dict[str, str], pair: bool, said: Phrases, letter: str = "") -> str:
    """The gaps of one value in a line, with the signs between them."""
    if letter:
        brackets = [
            f"( {held[first]} {_letter(letter, said)} + {held[second]} )" for first, second in ("ab", "cd")
        ]
        return " ".join([*([held["k"]] if "k" in held else []), *brackets])
    if "r" not in held:
        (only,) = held.values()
        return only
    root = f"{held['q']} √ {held['r']}" if "q" in held else f"√ {held['r']}"
    if "p" in held:
        root = f"{held['p']} {'±' if pair else '+'} {root}"
    elif pair:
        root = f"± {root}"
    return f"( {root} ) / {held['s']}" if "s" in held else root
