"""What the words of a picture must say, by language, as the audit knows it: its own table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["PICTURE_WORDS", "PictureWords"]


@dataclass(frozen=True, slots=True, eq=False)
class PictureWords:
    """width, area: before a number. taken: of an area model from which something is taken away. meets: how a curve and
    the horizontal axis meet, by the number of roots. upward: of its opening. vertex, intercept: patterns before a
    point, axis before a number. roots, and_: patterns before the two numbers where a curve crosses.
    """

    width: str
    area: str
    taken: str
    meets: tuple[str, str, str]
    upward: str
    vertex: str
    intercept: str
    axis: str
    roots: str
    and_: str


PICTURE_WORDS: Final = {
    "en": PictureWords(
        "width", "area", "taken away",
        (
            "and does not meet the horizontal axis", "and touches the horizontal axis",
            "and crosses the horizontal axis",
        ),
        "opens upward", "(?:lowest|highest) point is ", "meets the vertical axis at ", r"is the line \S+ = ",
        ", at ", " and ",
    ),
    "es": PictureWords(
        "anchura", "área", "se quita",
        ("y no corta al eje horizontal", "y toca al eje horizontal", "y corta al eje horizontal"),
        "se abre hacia arriba", "punto más (?:bajo|alto) es ", "corta al eje vertical en ", r"es la recta \S+ = ",
        ", en ", " y ",
    ),
    "de": PictureWords(
        "Breite", "Flächeninhalt", "weggenommen",
        (
            "und trifft die waagerechte Achse nicht", "und berührt die waagerechte Achse",
            "und schneidet die waagerechte Achse",
        ),
        "nach oben geöffnet", "(?:tiefster|höchster) Punkt ist ", "schneidet die senkrechte Achse in ",
        r"ist die Gerade \S+ = ", ", bei ", " und ",
    ),
}  # fmt: skip
