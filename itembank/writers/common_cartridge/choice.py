"""One right option among at least three."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import ChoiceResponse, Option
from itembank.writers.common_cartridge.markup import element, material
from itembank.writers.common_cartridge.pieces import LeftOut, Response, Words, phrase
from itembank.writers.common_cartridge.processing import RESPONSE, condition, is_answer, percent, processing
from itembank.writers.common_cartridge.texts import blocks, fill, shown
from itembank.writers.phrases import Phrases

__all__ = ["choice", "is_told", "options_pattern", "told_in_words"]


def choice(response: ChoiceResponse, said: Phrases) -> Response:
    """A choice. Raises LeftOut for fewer than three options."""
    if len(response.options) < 3:
        raise LeftOut("a choice of two is a statement that is true or false, which this item is not")
    looks = tuple([(option.identifier, option.is_key, is_told(option)) for option in response.options])
    options, rules = _patterns(looks)
    feedback = []
    for option in response.options:
        if option.is_key:
            feedback.append((f"F_{option.identifier}", phrase("right", said)))
        elif option.slip is not None and option.slip.pupil is not None:
            feedback.append((f"F_{option.identifier}", blocks(option.slip.pupil, said)))
    contents = tuple([material(shown(option.content, said)) for option in response.options])
    return Response(
        "cc.multiple_choice.v0p1", "words" if response.by_words else "choice", "", fill(options, contents), rules,
        tuple(feedback), in_words=told_in_words(response.options, said) if response.by_words else (),
    )  # fmt: skip


def told_in_words(options: Iterable[Option], said: Phrases) -> tuple[Words, ...]:
    """What the worked solution says where options are words: which of them are right."""
    return tuple([Words(each.identifier, shown(each.content, said), each.is_key) for each in options])


def is_told(option: Option) -> bool:
    """Whether choosing a wrong option shows a sentence."""
    return option.slip is not None and option.slip.pupil is not None


def options_pattern(identifiers: tuple[str, ...], several: bool = False) -> Pattern:
    """Options with a hole for each one's material."""
    labels = (
        element("response_label", hole_mark(index), ident=identifier)
        for index, identifier in enumerate(identifiers)
    )
    return Pattern(
        element(
            "response_lid", element("render_choice", *labels, shuffle="No"),
            ident=RESPONSE, rcardinality="Multiple" if several else "Single",
        )
    )  # fmt: skip


@cache
def _patterns(looks: tuple[tuple[str, bool, bool], ...]) -> tuple[Pattern, str]:
    ordered = sorted(looks, key=lambda each: not each[1])
    rules = [
        condition(is_answer(identifier), percent(1, 1) if is_key else "", f"F_{identifier}")
        for identifier, is_key, told in ordered
        if is_key or told
    ]
    return options_pattern(tuple(identifier for identifier, _, _ in looks)), processing(rules)
