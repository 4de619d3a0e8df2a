"""Items taken apart and put together again, and what the grammars have to be like for the quick road."""

from __future__ import annotations

import random
import re
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

import itembank.audit
from itembank.audit import frames as taken_apart
from itembank.audit.fragments import Fragments
from itembank.audit.frames import Cut, Holes, cut, joined
from itembank.expressions.display import Decimal
from itembank.writers import qti3
from itembank.writers.qti3.spellings import number_pattern
from tests.audit_samples import ITEMS
from tests.kinds_bank import TEMPLATES, items

GRAMMARS = Path(itembank.audit.__file__).parent / "grammars"
_FORMULA = re.compile("\x01")


def together(found: Cut, code: str) -> str:
    """The text again."""
    loose = iter(found.loose)
    sentences = [
        _FORMULA.sub(lambda _: f"<math {next(loose).decode()}</math>", sentence[5:])
        for sentence in found.sentences
    ]
    holes = Holes(*map(list, (found.numbers, found.spoken, found.alts, found.sizes)))
    return joined(
        found.frame, code, [f"<math {inner.decode()}</math>" for inner in found.maths], holes, sentences
    )


@pytest.mark.parametrize("name", TEMPLATES)
def test_frame_and_holes_are_the_text(name: str) -> None:
    for item in items(name, 4):
        text = qti3.item_xml(item)
        found = cut(text.encode(), item.code)
        assert found is not None
        assert together(found, item.code) == text
        assert item.code not in found.frame


def test_two_items_of_a_template_have_one_frame_though_their_sentences_differ() -> None:
    frames = Counter()
    for item in items("equations-of-one-kind", 60):
        found = cut(qti3.item_xml(item).encode(), item.code)
        assert found is not None
        frames[found.frame] += 1

    assert len(frames) < 60


@pytest.mark.parametrize(
    ("mark", "one", "other", "held"),
    [
        (".", 5, 27, ("5", "27")),
        (",", 5, 27, ("5", "27")),
        (".", -5, -40, ("5", "40")),
        (".", Decimal(Fraction(3), 2), Decimal(Fraction(8), 2), ("3", "8")),
        (",", Decimal(Fraction(3), 2), Decimal(Fraction(8), 2), ("3", "8")),
        (".", Decimal(Fraction(5, 4), 2), Decimal(Fraction(1, 4), 2), ("1[.]25", "[.]25")),
        (".", 4250, 38532, ("4250", "38532")),
        (",", -4250, -1234567, ("4250", "1234567")),
    ],
)
def test_typed_numbers_leave_one_frame(
    mark: str, one: int | Decimal, other: int | Decimal, held: tuple[str, str]
) -> None:
    """Else each item with another number would be audited as if it were the first of its kind."""
    texts = [
        f'<qti-assessment-item identifier="SALTMARSH1"><qti-pattern-match pattern="{number_pattern(value, mark)}"/>'
        for value in (one, other)
    ]
    found = [cut(text.encode(), "SALTMARSH1") for text in texts]

    assert found[0] is not None
    assert found[1] is not None
    assert found[0].frame == found[1].frame
    assert (found[0].numbers, found[1].numbers) == ((held[0],), (held[1],))
    assert texts == [together(each, "SALTMARSH1") for each in found if each]


@pytest.mark.parametrize(
    "digits",
    [
        "3853[ \u00a0\u2009\u202f'’,]?2",
        "38[ \u00a0\u2009\u202f'’,]?532[ \u00a0\u2009\u202f'’]?100",
        "38[ ]?532",
    ],
)
def test_thousands_that_are_set_apart_otherwise_stay_in_the_frame(digits: str) -> None:
    pattern = rf"\s*\+?\s*0*{digits}([.]0*)?\s*"
    text = f'<qti-assessment-item identifier="SALTMARSH1"><qti-pattern-match pattern="{pattern}"/>'
    found = cut(text.encode(), "SALTMARSH1")

    assert found is not None
    assert () == found.numbers
    assert digits in found.frame


def test_a_formula_with_bytes_that_are_no_text_has_no_reading() -> None:
    """Whether or not formulas of its looks were read before."""
    (item, *_) = items("equations-of-one-kind", 1)
    found = cut(qti3.item_xml(item).encode(), item.code)
    assert found is not None
    for inner in {*found.maths, *found.loose}:
        at = inner.index(b"<semantics>")
        for broken in (inner[:at] + b"\xff" + inner[at:], inner.replace(b"</m", b"\xc3</m", 1)):
            read = Fragments()
            assert read.piece(broken) is None
            assert read.piece(inner) is not None
            assert read.piece(broken) is None


def test_what_is_remembered_of_other_items_changes_nothing() -> None:
    """Items with a place of a sentence or its tags changed, after the items themselves and with nothing remembered."""
    chance = random.Random(5)
    told = 0
    for item in items("equations-of-one-kind", 6) + items("in-writing", 6):
        text = qti3.item_xml(item)
        places = [found.start() for found in re.finditer('<div data-role="note"|<qti-modal-feedback ', text)]
        for _ in range(60 if places else 0):
            at = chance.choice(places) + chance.randrange(400)
            piece = chance.choice(
                ["", "<", ">", "<b>", "</p>", "</div>", "<math ", "</qti-modal-feedback>", "x"]
            )
            changed = (text[:at] + piece + text[at + chance.choice([0, 1]) :]).encode()
            cut(text.encode(), item.code)
            found = cut(changed, item.code)
            taken_apart._known.cache_clear()
            assert cut(changed, item.code) == found
            told += found is None or found != cut(text.encode(), item.code)
    assert told > 300


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: text.replace("<qti-item-body>", "<!-- --><qti-item-body>"),
        lambda text: text.replace("<qti-item-body>", "<?page?><qti-item-body>"),
        lambda text: text.replace("<qti-item-body>", "<![CDATA[<math >]]><qti-item-body>"),
        lambda text: text.replace("</math>", "</maths>"),
        lambda text: text.replace("<qti-item-body>", "\x00<qti-item-body>"),
        lambda text: text.replace("<qti-item-body>", "\x07<qti-item-body>"),
    ],
)
def test_a_text_that_is_not_plain_is_not_taken_apart(spoil: object) -> None:
    (code, make), *_ = ITEMS.items()
    assert callable(spoil)
    assert cut(spoil(make()).encode(), "SALTMARSH1") is None
    assert code


@pytest.mark.parametrize(
    "name",
    [
        "div",
        "p",
        "strong",
        "em",
        "m:math",
        "qti-content-body",
        "qti-modal-feedback",
        "qti-value",
        "qti-base-value",
    ],
)
def test_the_grammars_have_one_pattern_for_what_stands_in_holes(name: str) -> None:
    """What is valid in one place is valid in every place where the element may stand: `quick_road` leans on it."""
    patterns = [
        element
        for path in GRAMMARS.glob("*.rng")
        for element in etree.parse(path).iter("{http://relaxng.org/ns/structure/1.0}element")
        if element.get("name") == name
    ]
    assert len(patterns) == 1
    if name in {"qti-value", "qti-base-value"}:
        assert patterns[0].find("{*}text") is not None
