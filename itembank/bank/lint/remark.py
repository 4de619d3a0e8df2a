"""What a rule of item writing looks at, and what it has to say."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from itembank.errors import Span
from itembank.items import Item
from itembank.templates.template import Template


@dataclass(frozen=True, slots=True)
class Sample:
    """A template and some of its items, the simplest ones among them."""

    template: Template
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Remark:
    """Something a rule found: where, what, and how it could be put right."""

    span: Span
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of item writing.

    name: lower-case words with hyphens, the code of its remarks and the key by which a template silences it.
    source: where the guideline is published, or "common practice, no source".
    look: from a sample to what is found; nothing where all is well.
    """

    name: str
    source: str
    look: Callable[[Sample], Iterable[Remark]]


HALADYNA = "Haladyna, Downing and Rodriguez 2002, Applied Measurement in Education 15(3), 309-334"
"""The 31 guidelines of item writing; they are numbered from memory."""
