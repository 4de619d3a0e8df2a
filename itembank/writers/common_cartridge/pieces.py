"""What a response comes to in this profile, whatever its kind."""

from __future__ import annotations

from typing import NamedTuple

from itembank.writers.common_cartridge.markup import element, html, words
from itembank.writers.common_cartridge.processing import RESPONSE
from itembank.writers.phrases import Phrases

__all__ = ["LINE", "LeftOut", "Response", "Words", "paragraph", "phrase", "words_told"]

LINE = element(
    "response_str",
    element("render_fib", rows="1", columns="30", prompt="Box", fibtype="String"),
    ident=RESPONSE, rcardinality="Single",
)  # fmt: skip
"""One line to type in."""


class LeftOut(Exception):
    """The profile cannot carry the part; the text is the reason, in plain words."""


class Words(NamedTuple):
    """Words among the options as the worked solution tells them. name: of the option; content: HTML; is_right: or not;
    condition: HTML of the formula under which they are right, "" where none is shown; row: its number, of a match."""

    name: str
    content: str
    is_right: bool = True
    condition: str = ""
    row: str = ""


class Response(NamedTuple):
    """A response. profile: its `cc_profile`; kind: as the solution tells it; below: HTML after the stem; asked: the
    response itself; processing: its rules, "" for none; feedback: names and HTML; lost: in plain words. suffix: of its
    name, where a part becomes several; marks: 0 for those of the part; for_markers: HTML before the solution;
    in_words: what the solution says of options in words."""

    profile: str
    kind: str
    below: str
    asked: str
    processing: str
    feedback: tuple[tuple[str, str], ...]
    lost: tuple[str, ...] = ()
    suffix: str = ""
    marks: int = 0
    for_markers: str = ""
    in_words: tuple[Words, ...] = ()


def phrase(key: str, said: Phrases, **attributes: str) -> str:
    """Words this writer adds, by their key in the translation files, as a paragraph."""
    return paragraph(said(key), said, **attributes)


def paragraph(text: str, said: Phrases, **attributes: str) -> str:
    """Words made of those this writer adds, as a paragraph."""
    return html("p", words(text), **({"lang": said.foreign} if said.foreign else {}), **attributes)


def words_told(told: Words) -> str:
    """What the worked solution says of words among the options, the right ones in bold."""
    text = html("span", told.content)
    text = html("strong", text) if told.is_right else text
    row = html("strong", words(told.row), class_="letter") + " " if told.row else ""
    condition = f" {told.condition}" if told.condition else ""
    return html(
        "p", row, text, condition, data_role="word", data_identifier=told.name,
        data_right="yes" if told.is_right else "no",
    )  # fmt: skip
