"""Characters made safe for XML, and what makes a module a writer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from itembank.items import Item
from itembank.writers import qti3
from itembank.writers.base import Writer, xml_attribute, xml_text
from tests import samples

ILLEGAL = ["\x00", "\x08", "\x0b", "\x1f", "\ud800", "\udfff", "\ufffe", "\uffff"]
_legal = st.text(
    st.characters(
        exclude_categories=("Cs",), exclude_characters="".join(map(chr, range(32))) + "\ufffe\uffff"
    )
)


@given(_legal | st.text(st.sampled_from("<>&\"'\t\n\r] \x85\u2028a")))
def test_a_parser_reads_back_what_was_escaped(plain: str) -> None:
    element = etree.fromstring(f'<p title="{xml_attribute(plain)}">{xml_text(plain)}</p>')

    assert plain == (element.text or "")
    assert plain == element.get("title")


@pytest.mark.parametrize("character", ILLEGAL)
def test_a_character_xml_cannot_hold_leaves_a_sign(character: str) -> None:
    assert "a\ufffdb" == xml_text(f"a{character}b")
    assert "a\ufffdb" == xml_attribute(f"a{character}b")


def test_text_keeps_quotes_and_an_attribute_does_not() -> None:
    assert 'say "x"' == xml_text('say "x"')
    assert "say &quot;x&quot;" == xml_attribute('say "x"')


def test_the_module_of_a_format_is_a_writer() -> None:
    def names(writer: Writer, item: Item) -> tuple[str, tuple[str, ...]]:
        return writer.FORMAT, writer.shortfalls(item)

    assert ("qti3", ()) == names(qti3, samples.choice_item())
