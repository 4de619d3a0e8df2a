"""Words to choose in a line: random entries earn what the words and the boxes are worth, each by itself."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.items import WORD_NAMES, Blank, EntryResponse
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml
from tests.qti_scorer import ARITHMETIC, ScoredItem
from tests.template_items import items


def blanks(name: str, which: int) -> tuple[Blank, ...]:
    response = list(items(name, 8))[which].parts[0].response
    assert isinstance(response, EntryResponse)
    return response.blanks


def kind_of_roots(discriminant: int) -> str:
    """Source: the discriminant and the real roots of a quadratic equation, common practice, no source."""
    return "A" if discriminant > 0 else "B" if discriminant == 0 else "C"


@given(st.integers(0, 7), st.data())
@settings(deadline=None, max_examples=150)
def test_each_blank_earns_its_own_marks(which: int, data: st.DataObject) -> None:
    item = list(items("one-of", 8))[which]
    number, words = blanks("one-of", which)
    values = item.values
    d = int(values["b"]) ** 2 - 4 * int(values["a"]) * int(values["c"])  # type: ignore[arg-type]
    entered = data.draw(st.none() | st.sampled_from([d, d, -d, d + 1]) | st.integers(-400, 400))
    chosen = data.draw(st.none() | st.sampled_from(WORD_NAMES[: len(words.words)]))
    given_ = {} if entered is None else {"BOX_1": str(entered)}
    given_ |= {} if chosen is None else {"BOX_2": chosen}

    earned = number.worth * (entered == d) + words.worth * (chosen == kind_of_roots(d))
    for arithmetic in ARITHMETIC:
        result = ScoredItem(item_xml(item), arithmetic).answer(given_)
        assert earned == result.score
        assert ("F0" in result.feedback) == (earned == number.worth + words.worth)


@given(st.integers(0, 7), st.data())
@settings(deadline=None, max_examples=80)
def test_words_alone_show_the_feedback_of_what_led_there(which: int, data: st.DataObject) -> None:
    item = list(items("one-of-alone", 8))[which]
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    (words,) = response.blanks
    chosen = data.draw(st.sampled_from(WORD_NAMES[: len(words.words)]))
    right = chosen == words.values[0][0]
    told = {f"F{n}" for n, entry in enumerate(response.recognised, 1) if entry.values == (((chosen,),),)}

    result = ScoredItem(item_xml(item)).answer({"BOX_1": chosen})
    assert (words.worth if right else 0) == result.score
    assert ({"F0"} if right else told) == result.feedback


def test_both_roads_prove_the_words_and_refute_others() -> None:
    from dataclasses import replace

    for name in ("one-of", "one-of-alone", "one-of-fixed"):
        for item in items(name, 6):
            assert not faults(prove(item))
            assert not faults(prove_with_sympy(item))
            part = item.parts[0]
            assert isinstance(part.response, EntryResponse)
            changed = tuple(
                replace(b, values=((WORD_NAMES[(b.chosen + 1) % len(b.words)],),)) if b.words else b
                for b in part.response.blanks
            )
            wrong = replace(
                item, parts=(replace(part, response=replace(part.response, blanks=changed, recognised=())),)
            )
            assert {"one-of"} == {each.code for each in faults(prove(wrong))}
            assert {"one-of"} == {each.code for each in faults(prove_with_sympy(wrong))}
