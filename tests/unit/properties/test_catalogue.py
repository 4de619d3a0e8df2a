from __future__ import annotations

import re
from dataclasses import FrozenInstanceError

import pytest

from itembank.expressions.vocabulary import FUNCTIONS, PROPERTY_NAMES
from itembank.properties import catalogue
from itembank.properties.catalogue import DEGENERATE_INPUTS, PROPERTIES

ARGUMENTS = {"polynomial": (1, 1), "number": (1, 1), "integers": (2, 99), "fraction": (2, 2)}


def test_the_language_knows_exactly_the_properties_of_the_catalogue() -> None:
    assert set(PROPERTIES) == PROPERTY_NAMES


@pytest.mark.parametrize("name", PROPERTIES)
def test_the_language_gives_a_property_as_many_arguments_as_the_catalogue(name: str) -> None:
    function = FUNCTIONS[name]

    assert ARGUMENTS[PROPERTIES[name].takes] == (function.least, function.most)


@pytest.mark.parametrize("name", PROPERTIES)
def test_every_entry_is_filed_under_its_name_with_a_meaning_a_claim_and_a_source(name: str) -> None:
    entry = PROPERTIES[name]

    assert name == entry.name
    assert entry.meaning.startswith("The ")
    assert entry.meaning.endswith(".")
    assert re.fullmatch(r"(has|have|is|does|factorises) [^.]+", entry.claim)
    assert entry.source


@pytest.mark.parametrize("name", PROPERTIES)
def test_every_entry_states_a_value_for_each_degenerate_input_of_its_kind(name: str) -> None:
    entry = PROPERTIES[name]

    assert DEGENERATE_INPUTS[entry.takes].keys() == entry.degenerate.keys()
    assert {True, False} == set(entry.degenerate.values())


def test_a_property_is_defined_by_properties_that_stand_before_it() -> None:
    earlier: set[str] = set()
    references = 0
    for name, entry in PROPERTIES.items():
        named = set(re.findall(r"`(\w+)`", entry.meaning))
        references += len(named)
        assert named <= earlier, name
        earlier.add(name)

    assert references >= 12


def test_claims_are_worded_differently_for_different_properties() -> None:
    assert len(PROPERTIES) == len({entry.claim for entry in PROPERTIES.values()})


def test_degenerate_inputs_have_the_shape_their_kind_takes() -> None:
    for a, b, c, d in DEGENERATE_INPUTS["polynomial"].values():
        assert {type(a), type(b), type(c)} == {int}
        assert d >= 1
    assert all(d >= 1 for _, d in DEGENERATE_INPUTS["number"].values())
    assert all(len(numbers) >= 2 for numbers in DEGENERATE_INPUTS["integers"].values())
    assert all(len(numbers) == 2 for numbers in DEGENERATE_INPUTS["fraction"].values())


def test_the_catalogue_cannot_be_changed() -> None:
    entry = PROPERTIES["monic"]

    with pytest.raises(FrozenInstanceError):
        entry.claim = "is something else"  # type: ignore[misc]
    with pytest.raises(TypeError):
        entry.degenerate["zero polynomial"] = True  # type: ignore[index]
    with pytest.raises(TypeError):
        PROPERTIES["monic"] = entry  # type: ignore[index]
    assert entry in {entry}


def test_an_entry_that_names_an_unknown_degenerate_input_is_refused() -> None:
    with pytest.raises(ValueError, match="no degenerate inputs"):
        catalogue._property("monic", "number", "The number is 1.", "is 1", true_at=("nought",))
