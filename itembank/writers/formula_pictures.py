"""Formulas drawn as pictures: SVG with its measures in the text's own units, so that it stands on the line and grows.

A picture measures whole numbers of UNITs of the height of the type above and below the line, and says so in classes
that one style sheet knows. It has a white ground, for a platform may show pages on black, and carries the formula's
own markup as metadata, from which the audit can read what was drawn. Only this room knows the library that draws.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache
from math import ceil
from typing import Any, Final

from itembank.errors import Diagnostic, InputError

__all__ = ["STYLE_SHEET", "FormulaPicture", "draw", "must_be_able_to_draw"]

UNIT: Final = 20
"""So many units make the height of the type (one `em`)."""
_TALLEST: Final = 200
_DEEPEST: Final = 100
_DIGEST_LENGTH: Final = 20
_PIXELS: Final = 16
"""The usual height of type on a page, for readers that know no style sheet."""
_ANNOTATION: Final = re.compile(r"<annotation-xml\b.*?</annotation-xml>|</?semantics>", re.DOTALL)
_VIEW: Final = re.compile(r'viewBox="(-?[0-9.]+) (-?[0-9.]+) ([0-9.]+) ([0-9.]+)"')
_OPENING: Final = re.compile(r"<svg\b[^>]*>")
STYLE_SHEET: Final = "".join(
    (
        "img.formula { width: auto; max-width: 100%; }\n",
        *(f"img.formula-h{n} {{ height: {n / UNIT:g}em; }}\n" for n in range(1, _TALLEST + 1)),
        *(f"img.formula-d{n} {{ vertical-align: {-n / UNIT:g}em; }}\n" for n in range(_DEEPEST + 1)),
    )
)
"""What the classes of `FormulaPicture.classes` mean."""


@dataclass(frozen=True, slots=True)
class FormulaPicture:
    """A drawn formula.

    name: a file name made of the content, so that equal formulas have one picture. width, height, depth (below the
    line, a part of the height): in UNITs of the type.
    """

    name: str
    svg: str
    width: int
    height: int
    depth: int

    @property
    def classes(self) -> str:
        """The classes that set it on the line at the height of the text around it."""
        return f"formula formula-h{min(self.height, _TALLEST)} formula-d{min(self.depth, _DEEPEST)}"

    @property
    def style(self) -> str:
        """The same as declarations, for pages that are whole in themselves."""
        return f"height:{self.height / UNIT:g}em;vertical-align:{-self.depth / UNIT:g}em"

    @property
    def pixels(self) -> tuple[int, int]:
        """Width and height where nothing else sets them."""
        return ceil(self.width * _PIXELS / UNIT), ceil(self.height * _PIXELS / UNIT)


def must_be_able_to_draw() -> None:
    """Raises InputError where the library that draws is not installed."""
    try:
        import ziamath  # noqa: F401
    except ImportError:
        raise InputError(
            Diagnostic(
                "no-drawing",
                "formulas cannot be drawn: the library for it is not installed",
                hint="install the extra: pip install 'itembank[svg]', or leave out --maths svg",
            )
        ) from None


@lru_cache(maxsize=4096)
def draw(markup: str) -> FormulaPicture:
    """The picture of a `math` element of ours. The same markup gives the same picture, byte for byte."""
    from ziamath.zmath import Math

    drawing: Any = Math(_ANNOTATION.sub("", markup), size=UNIT)
    drawn: str = drawing.svg()
    view = _VIEW.search(drawn)
    assert view is not None, "the drawing library wrote no view box"
    left, top, width, height = map(float, view.groups())
    above, below = max(ceil(-top), 1), max(ceil(top + height), 0)
    wide = ceil(width)
    # floats measure ink on a page here, and nothing else
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide * _PIXELS / UNIT:g}" '
        f'height="{(above + below) * _PIXELS / UNIT:g}" viewBox="{left:g} {-above} {wide} {above + below}">'
        f"<metadata>{markup}</metadata>"
        f'<rect x="{left:g}" y="{-above}" width="{wide}" height="{above + below}" fill="white"/>'
    )
    svg = _OPENING.sub(lambda _: opening, drawn, count=1)
    name = f"f{hashlib.sha256(svg.encode()).hexdigest()[:_DIGEST_LENGTH]}.svg"
    return FormulaPicture(name, svg, wide, above + below, below)
