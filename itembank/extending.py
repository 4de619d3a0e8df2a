"""For those who extend itembank: what properties, figures, kinds of response and writers of their own are made with.

A file with one of these objects, and an entry point that names it, is an extension:

    [project.entry-points."itembank.properties"]
    prime = "saltmarsh_primes:PRIME"

A bank uses it after `extensions: [prime]` in its bank file. Nothing in the house imports this module.
"""

from itembank.build.staff import csv_line
from itembank.build.staff_text import plain_text
from itembank.content import Content
from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.expressions.spelling import plain, terminal
from itembank.figures import labels
from itembank.figures.drawing import Description, Point
from itembank.figures.extension import FigureExtension
from itembank.figures.pen import Pen
from itembank.items import (
    Blank,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    Item,
    MatchResponse,
    Option,
    OrderResponse,
    Part,
    Response,
    Slip,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.properties.catalogue import DEGENERATE_INPUTS
from itembank.properties.extension import PropertyExtension
from itembank.publication import Publication
from itembank.templates.extension import ResponseExtension
from itembank.verdicts import Proved, Refuted, Undecided, Verdict
from itembank.writers.extension import WriterExtension

__all__ = [
    "DEGENERATE_INPUTS",
    "Blank",
    "ChoiceResponse",
    "ChoicesResponse",
    "Content",
    "Description",
    "DomainError",
    "EntryResponse",
    "FigureExtension",
    "Item",
    "MatchResponse",
    "Maths",
    "Option",
    "OrderResponse",
    "Part",
    "Pen",
    "Point",
    "PropertyExtension",
    "Proved",
    "Publication",
    "Refuted",
    "Response",
    "ResponseExtension",
    "Slip",
    "Undecided",
    "Verdict",
    "WriterExtension",
    "WrittenResponse",
    "WrongLineResponse",
    "csv_line",
    "labels",
    "latex",
    "plain",
    "plain_text",
    "terminal",
]  # fmt: skip
