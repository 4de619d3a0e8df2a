"""What is written in a picture, as the audit groups it: the index of a letter counts for no number."""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit.picture_labels import groups


def texts(size: str, x: str, y: str, size_before: str = "20") -> tuple[str, ...]:
    """A letter at (100, 50), and a digit behind it: what the group holds."""
    picture = (
        f'<svg xmlns="http://www.w3.org/2000/svg"><text font-size="{size_before}" x="100" y="50">x</text>'
        f'<text font-size="{size}" x="{x}" y="{y}">1</text></svg>'
    )
    (group,) = groups(etree.fromstring(picture))
    return group.texts


def test_small_digits_close_behind_a_letter_and_lower_are_its_index() -> None:
    assert ("x",) == texts("14", "110.5", "53.25")


@pytest.mark.parametrize(
    ("size", "x", "y"),
    [
        ("20", "110", "53"),  # as large as the letter
        ("14", "110", "50"),  # on the line
        ("14", "110", "55"),  # a quarter lower
        ("14", "120", "53"),  # too far
        ("14", "90", "53"),  # before it
        ("", "110", "53"),
        ("14", "110px", "53"),
        ("14", "1e999999999", "53"),
        ("nan", "110", "53"),
    ],
)
def test_others_are_numbers_as_they_stand(size: str, x: str, y: str) -> None:
    assert ("x", "1") == texts(size, x, y)


def test_a_letter_of_no_size_has_no_index() -> None:
    assert ("x", "1") == texts("0", "110", "53", size_before="0")
    assert ("x", "1") == texts("-1", "110", "53", size_before="0")
