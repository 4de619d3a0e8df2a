"""Where a quiz's references to items lead, whether or not their addresses have to be evened out."""

from __future__ import annotations

from pathlib import PurePosixPath

import pytest
from lxml import etree

from itembank.audit.quiz_check import _member


@pytest.mark.parametrize("folder", [".", "a", "a/b"])
@pytest.mark.parametrize(
    ("address", "wanted"),
    [
        ("items/K7Q2M.xml", "items/K7Q2M.xml"),
        ("K7Q2M.xml", "K7Q2M.xml"),
        ("a..b/c.xml", "a..b/c.xml"),
        ("./items/K7Q2M.xml", "items/K7Q2M.xml"),
        ("items//K7Q2M.xml", "items/K7Q2M.xml"),
        ("items/./K7Q2M.xml", "items/K7Q2M.xml"),
        ("items/K7Q2M.xml/", "items/K7Q2M.xml"),
        ("items/%4B7Q2M.xml", "items/K7Q2M.xml"),
        ("../items/K7Q2M.xml", None),
        ("items/../K7Q2M.xml", None),
        ("items/%2e%2e/K7Q2M.xml", None),
        ("/items/K7Q2M.xml", None),
    ],
)
def test_an_address_leads_to_a_member_inside_the_folder(
    address: str, wanted: str | None, folder: str
) -> None:
    """Or to nothing where it goes up or begins at a root."""
    reference = etree.Element("reference", href=address)
    inside = "" if folder == "." else f"{folder}/"

    assert ("" if wanted is None else inside + wanted) == _member(reference, PurePosixPath(folder))
