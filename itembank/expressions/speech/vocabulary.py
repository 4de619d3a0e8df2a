"""What a spoken reading must have words for: a table for each language, and nothing that reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cached_property

__all__ = ["Enclosed", "Vocabulary"]


@dataclass(frozen=True, slots=True)
class Enclosed:
    """Words around what paper encloses. between: of two or more things, "" where there is one."""

    opening: str
    closing: str
    between: str = ""


@dataclass(frozen=True, eq=False)
class Vocabulary:
    """The words of one language.

    leading, between: signs before the first term, each with a blank after it, and between terms. relations: by
    sign; chained: before a relation that goes on from one before. times: of a multiplication that is seen.
    fraction, bracket, bars, point, function: Enclosed. roots: openings by index; root_with: the opening for any
    other, with `{index}`; root_end. powers: whole words by exponent; power: around any other. functions: openings
    by name; other_function, named_function, named_inverse (of texts): with `{name}`. articles: left out after a sign or
    a factor. either, both: with `pause` before them between longer statements. nothing: no solution. decimal: the word
    of each decimal mark. letters: names of letters that would be heard as words, and Greek ones that are not called as
    they are written. capital: with `{letter}`; spelt: around a name that is no word; below: before an index. heard:
    words for the ear alone, which no name may be.
    """

    leading: Mapping[str, str]
    between: Mapping[str, str]
    relations: Mapping[str, str]
    chained: str
    times: str
    fraction: Enclosed
    bracket: Enclosed
    bars: Enclosed
    point: Enclosed
    argument: str
    roots: Mapping[str, str]
    root_with: str
    root_end: str
    powers: Mapping[str, str]
    power: Enclosed
    functions: Mapping[str, str]
    other_function: str
    named_function: str
    named_inverse: str
    articles: tuple[str, ...]
    either: str
    both: str
    pause: str
    nothing: str
    decimal: Mapping[str, str]
    letters: Mapping[str, str]
    capital: str
    spelt: Enclosed
    below: str
    heard: str

    @cached_property
    def own_words(self) -> frozenset[str]:
        """Every word of the reading: a name that is one of them is spelt out."""
        said: list[str] = []
        for each in fields(self):
            value = getattr(self, each.name)
            if isinstance(value, Enclosed):
                said += [value.opening, value.closing, value.between]
            elif isinstance(value, str):
                said.append(value)
            elif not isinstance(value, tuple):
                said += value.values()
        return frozenset(" ".join(said).replace(",", " ").lower().split())
