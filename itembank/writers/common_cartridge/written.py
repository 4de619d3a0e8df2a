"""An answer in writing: an essay of the profile, which no rule marks; its mark scheme is the worked solution.

The profile has no place that staff alone see. The solution, with the marks at its lines and a note to whoever marks,
is shown after the answer; what staff are told of known slips would tell pupils too, and stays out.
"""

from __future__ import annotations

from functools import cache

from itembank.items import Part, WrittenResponse
from itembank.writers.common_cartridge.markup import element
from itembank.writers.common_cartridge.pieces import Response, phrase
from itembank.writers.common_cartridge.processing import RESPONSE, unmarked
from itembank.writers.drawn_answers import NO_DRAWING, has_squares
from itembank.writers.phrases import Phrases

__all__ = ["essay"]

_NO_NOTES = "what staff are told of known slips is left out, the profile has no place that staff alone see"


def essay(part: Part, response: WrittenResponse, said: Phrases) -> Response:
    """A part that a person marks."""
    lost = [_NO_NOTES] if any(slip.teacher is not None for slip in part.slips) else []
    if has_squares(part):
        lost.append(NO_DRAWING)
    return Response(
        "cc.essay.v0p1", "written", phrase("type-essay", said, class_="typed"), _box(response.lines),
        unmarked(), (), tuple(lost),
        for_markers=phrase("marked-by-hand", said, data_role="scoring"),
    )  # fmt: skip


@cache
def _box(lines: int) -> str:
    return element(
        "response_str",
        element("render_fib", rows=str(max(lines, 2)), columns="60", prompt="Box", fibtype="String"),
        ident=RESPONSE, rcardinality="Single",
    )  # fmt: skip
