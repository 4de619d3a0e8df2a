"""Item codes: one for each item, opaque, unlike a number, a date or a word, and any slip of the pen is seen."""

from __future__ import annotations

import re
from itertools import product

import pytest

from itembank.generator.item_codes import (
    ALPHABET,
    LENGTH,
    LETTERS,
    OPEN_SECRET,
    check_character,
    is_code,
    item_code,
)
from itembank.generator.space import walk
from itembank.items import Address
from tests.quality.demo_bank import TEMPLATES, bound

CODES = [item_code(Address("codes", 1, 1, position), OPEN_SECRET) for position in range(300)]
UNSEEN = ("B", "9")
"""The one pair of neighbours whose swap a Luhn check over an even alphabet cannot see: first and last symbol."""


def test_every_item_of_the_demo_bank_has_a_code_of_its_own() -> None:
    addresses = [
        Address(name, 1, seed, drawn.position)
        for name in TEMPLATES
        for seed in (1, 2, 3)
        for drawn in walk(bound(name), seed)
    ]
    codes = {item_code(address, OPEN_SECRET) for address in addresses}

    assert len(addresses) > 15_000
    assert len(addresses) == len(codes)
    assert all(is_code(code) for code in codes)


def test_every_part_of_an_address_and_the_secret_and_the_attempt_change_the_code() -> None:
    codes = [
        item_code(Address("surds", 1, 1, 7), b"ours"),
        item_code(Address("surd", 1, 1, 7), b"ours"),
        item_code(Address("surds", 2, 1, 7), b"ours"),
        item_code(Address("surds", 1, 2, 7), b"ours"),
        item_code(Address("surds", 1, 1, 8), b"ours"),
        item_code(Address("surds", 1, 1, 7), b"theirs"),
        item_code(Address("surds", 1, 1, 7), b"ours", 1),
    ]

    assert 7 == len(set(codes))
    assert codes[0] == item_code(Address("surds", 1, 1, 7), b"ours")


def test_a_code_is_unlike_a_number_a_date_or_a_word() -> None:
    assert len(set(CODES)) == 300
    for code in CODES:
        assert re.fullmatch(f"[{LETTERS}][{ALPHABET}]{{{LENGTH}}}", code)
        assert not set(code) & set("AEIOUY01")


def test_every_symbol_comes_up_about_as_often_as_another() -> None:
    """28 symbols in 7 places of 3,000 codes: 750 times each, with a standard deviation of 27."""
    codes = [item_code(Address("even", 1, 1, position), OPEN_SECRET) for position in range(3_000)]
    inside = "".join(code[1:8] for code in codes)

    assert set(ALPHABET) == set(inside)
    assert all(600 < inside.count(symbol) < 900 for symbol in ALPHABET)


def test_the_check_character_sees_every_wrong_character() -> None:
    tried = 0
    for code in CODES[:100]:
        for place, symbol in product(range(LENGTH + 1), ALPHABET):
            wrong = code[:place] + symbol + code[place + 1 :]
            if wrong != code:
                tried += 1
                assert not is_code(wrong)

    assert 100 * (LENGTH + 1) * (len(ALPHABET) - 1) == tried


@pytest.mark.parametrize("place", range(LENGTH - 1))
def test_the_check_character_sees_every_swap_of_neighbours_but_one(place: int) -> None:
    unseen = set()
    for first, second in product(ALPHABET, repeat=2):
        body = "K" * place + first + second + "K" * (LENGTH - 2 - place)
        swapped = "K" * place + second + first + "K" * (LENGTH - 2 - place)
        if first != second and check_character(body) == check_character(swapped):
            unseen.add((first, second))

    assert {UNSEEN, UNSEEN[::-1]} == unseen


def test_the_check_character_is_not_taken_for_its_neighbour() -> None:
    for code in CODES:
        swapped = code[:-2] + code[-1] + code[-2]
        assert swapped == code or not is_code(swapped) or set(code[-2:]) == set(UNSEEN)


@pytest.mark.parametrize(
    "text", ["", "K", CODES[0][:-1], CODES[0] + "K", CODES[0].lower(), "2" + CODES[0][1:], f" {CODES[0]}"]
)
def test_what_is_no_code_is_not_taken_for_one(text: str) -> None:
    assert not is_code(text)
