"""What is told where the search for forms is ended before anything is known."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from itembank.assembly import selection
from itembank.assembly.blueprint import Blueprint, Range, Row, Where
from itembank.assembly.candidates import Candidate
from itembank.assembly.programme import Undecided
from itembank.assembly.selection import select_forms
from itembank.errors import InputError


def candidates(count: int) -> Iterator[Candidate]:
    for number in range(count):
        name = f"template-{number}"
        yield Candidate(f"I{number}", name, "", "", (), (), "", "", "", ("entry",), 1, 10, 0, name.encode())


def test_a_search_that_is_ended_early_is_told_with_what_makes_it_shorter(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def ended(*_: object, **__: object) -> None:
        raise Undecided("ended")

    monkeypatch.setattr(selection, "chosen", ended)

    with pytest.raises(InputError) as told:
        select_forms(Blueprint("b", "B", forms=2, items=Range(2, 2)), list(candidates(6)))

    (diagnostic,) = told.value.diagnostics
    assert diagnostic.code == "search-too-long"
    assert "6 items" in diagnostic.message
    assert "fewer forms" in diagnostic.hint


def test_a_single_form_of_everything_there_is() -> None:
    choice = select_forms(Blueprint("b", "B", items=Range(6, 6)), list(candidates(6)))

    assert choice.forms == ((0, 1, 2, 3, 4, 5),)


@pytest.mark.parametrize(
    ("number", "said"), [(1, "has 1 item, but no item fits"), (2, "has 2 items, but no item fits")]
)
def test_one_item_is_no_items(number: int, said: str) -> None:
    blueprint = Blueprint("b", "B", rows=(Row(Where(template=("lost",)), Range(number, number)),))
    with pytest.raises(InputError) as told:
        select_forms(blueprint, list(candidates(3)))

    assert told.value.diagnostics[0].message.endswith(said)
