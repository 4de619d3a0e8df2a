"""An item as items of the profile: one for each part. Pure: the same item gives the same text."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from itembank.items import About, Item, Part
from itembank.words.direction import is_right_to_left
from itembank.writers.common_cartridge.markup import element, field, html, material, words
from itembank.writers.common_cartridge.pictures import images
from itembank.writers.common_cartridge.pieces import LeftOut, Response, paragraph
from itembank.writers.common_cartridge.processing import SOLUTION, feedback
from itembank.writers.common_cartridge.responses import responses
from itembank.writers.common_cartridge.solution import solution
from itembank.writers.common_cartridge.texts import blocks
from itembank.writers.phrases import Phrases, phrases

__all__ = ["Written", "shortfalls", "written"]

_MOST_WEIGHT = 99
_ENGLISH = ("words added for the pupil and around the solution are English", "formulas are spoken in English")


class Written(NamedTuple):
    """items: markup, one or more for each part that is carried; lost: what is not, a sentence each, each once."""

    items: tuple[str, ...]
    lost: tuple[str, ...]


def written(item: Item) -> Written:
    """The item as the profile carries it; in UTF-8, in an assessment or a question bank."""
    said = phrases(item.about.language)
    lost = list(_lost_of_all(item.about, said))
    items = []
    parts: list[tuple[Part, str]] = []
    shown = images(item)
    for number, part in enumerate(item.parts):
        name = f"part ({part.label}) is" if part.label else "the item is"
        try:
            questions = responses(part, item.about.language, said)
        except LeftOut as why:
            lost.append(f"{name} left out of the cartridge: {why}")
            parts.append((part, "written"))
            continue
        for found in questions:
            # what an earlier question of the part was is of no use to a later one
            parts[number:] = [(part, found.kind)]
            items.append(_item(item, parts, found, shown, said))
            lost += found.lost
    if len(item.parts) > 1 and items:
        lost.append("each part becomes a question of its own, with the parts before it in sight")
    return Written(tuple(items), tuple(dict.fromkeys(lost)))


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the cartridge cannot carry of an item, in a sentence each."""
    return written(item).lost


@cache
def _lost_of_all(about: About, said: Phrases) -> tuple[str, ...]:
    told = list(_ENGLISH) if said.foreign else []
    if about.level or about.demand or about.minutes or about.calculator or about.curriculum:
        told.append(
            "level, demand, minutes, calculator rule and curriculum have no place in a question of a cartridge"
        )
    return tuple(told)


def _item(
    item: Item,
    parts: list[tuple[Part, str]],
    found: Response,
    images: Mapping[tuple[int, int], str],
    said: Phrases,
) -> str:
    """The last of `parts` as an item; the stems and solutions of those before it are shown with it."""
    part, _ = parts[-1]
    suffix = (f"_{part.label}" if part.label else "") + found.suffix
    stems = "".join(
        _stem(each, images.get((number, -1), ""), item.about.language, said)
        for number, (each, _) in enumerate(parts)
    )
    if len(item.parts) > 1:
        stems += paragraph(said("asked-part", label=part.label), said, class_="asked")
    last = len(parts) - 1
    solved = found.for_markers + "".join(
        solution(each, kind, said, _at_lines(each, number, images), found.in_words if number == last else ())
        for number, (each, kind) in enumerate(parts)
    )
    told = [feedback(name, sentence) for name, sentence in found.feedback]
    made = element(
        "item",
        _metadata(found.profile, found.marks or part.response.marks, item.about.topics),
        element("presentation", material(stems + found.below), found.asked),
        found.processing, *told, feedback(SOLUTION, solved),
        ident=item.code + suffix, title=f"{item.about.title} ({item.code}{suffix})",
        xml__lang=item.about.language,
    )  # fmt: skip
    # no word of an author can look like this: its own `<` is escaped once more
    if said.foreign:
        made = made.replace("&lt;math ", f'&lt;math xml:lang="{said.foreign}" ')
    return _turned(made) if is_right_to_left(item.about.language) else made


def _turned(made: str) -> str:
    """The item of a language that is written from right to left: its texts run so, lines of gaps do not."""
    for name in ("p", "ul", "ol", "table"):
        made = made.replace(f"&lt;{name}&gt;", f'&lt;{name} dir="rtl"&gt;')
    return made


def _at_lines(part: Part, number: int, images: Mapping[tuple[int, int], str]) -> tuple[str, ...]:
    """The picture at each line of a part's solution, "" for none."""
    return tuple([images.get((number, line), "") for line in range(len(part.solution))]) if images else ()


def _stem(part: Part, picture: str, language: str, said: Phrases) -> str:
    label = html("p", words(f"({part.label})"), class_="part-label") if part.label else ""
    text = blocks(part.stem, said) + picture
    return html("div", label, text, class_="stem", lang=language, data_part=part.label, data_role="stem")


@cache
def _metadata(profile: str, marks: int, topics: tuple[str, ...]) -> str:
    fields = [field("cc_profile", profile)]
    fields += [field("cc_question_category", topics[0])] if topics else []
    fields += [field("cc_weighting", str(marks))] if 1 <= marks <= _MOST_WEIGHT else []
    fields += [field("qmd_scoringpermitted", "Yes")]
    fields += [field("qmd_computerscored", "No" if profile == "cc.essay.v0p1" else "Yes")]
    return element("itemmetadata", element("qtimetadata", *fields))
