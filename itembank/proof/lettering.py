"""What is chosen, ordered or matched bears the letters from A on in printed order, rows R1, R2, ...

A letter that is passed over, or stands twice, sends whoever marks by a key of letters to the wrong line.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.items import (
    WORD_NAMES,
    ChoiceResponse,
    ChoicesResponse,
    MatchResponse,
    OrderResponse,
    Response,
)
from itembank.proof.findings import Finding
from itembank.verdicts import Refuted

__all__ = ["prove_letters"]


def prove_letters(response: Response) -> Iterator[Finding]:
    """A finding where the letters of a response are others; none where all is well."""
    rows: tuple[str, ...] = ()
    match response:
        case ChoiceResponse(options=options) | ChoicesResponse(options=options):
            found = tuple([option.identifier for option in options])
        case OrderResponse(things=things):
            found = tuple([thing.identifier for thing in things])
        case MatchResponse():
            found = tuple([target.identifier for target in response.targets])
            rows = tuple([row.identifier for row in response.rows])
        case _:
            return
    if found != tuple(WORD_NAMES[: len(found)]):
        told = f"they are {', '.join(found)}"
        yield Finding("option", "letters run from A on as printed", Refuted(told), "response")
    if rows != tuple([f"R{number}" for number in range(1, len(rows) + 1)]):
        yield Finding(
            "option", "rows are numbered as printed", Refuted(f"they are {', '.join(rows)}"), "response"
        )
