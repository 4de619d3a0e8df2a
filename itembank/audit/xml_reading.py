"""XML from people one need not trust: no document type, no entities, no network, UTF-8 only."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import IO

from lxml import etree

from itembank.audit.findings import Fault

__all__ = ["has_document_type", "local_name", "namespace", "parse", "stream"]

_FORBIDDEN = re.compile(rb"<!(?:DOCTYPE|ENTITY|ELEMENT|ATTLIST|NOTATION)")
_MARK = b"\xef\xbb\xbf"
_ENCODING = re.compile(rb"""\A<\?xml[^>]*?encoding\s*=\s*["']([^"']*)["']""")


def parse(data: bytes) -> etree._Element:
    """The root element of a document given in UTF-8; comments are left out.

    Raises Fault `document-type` where it declares a type or entities, `wrong-encoding` where it is not UTF-8 or begins
    with a byte-order mark, `processing-instruction`, `not-well-formed` for the rest.

    >>> parse(b"<p>4<!-- --> + 3</p>").text
    '4 + 3'
    """
    if _FORBIDDEN.search(data):
        raise Fault("document-type", "the file declares a document type or entities, which are not read")
    if data.startswith(_MARK):
        raise Fault("wrong-encoding", "the file begins with a byte-order mark")
    if data.count(b"<?") > data.startswith(b"<?xml"):
        raise Fault("processing-instruction", "the file tells programs to do something with it")
    declared = _ENCODING.match(data)
    if declared and declared[1].lower() != b"utf-8":
        raise Fault("wrong-encoding", "the file says it is not in UTF-8")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as wrong:
        raise Fault("wrong-encoding", f"byte {wrong.start} is not UTF-8") from None
    try:
        return etree.fromstring(data, _parser())
    except etree.XMLSyntaxError as wrong:
        raise Fault("not-well-formed", f"the file is not well-formed XML: {wrong.msg}") from None


@cache
def _parser() -> etree.XMLParser:
    return etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_comments=True, remove_pis=True, encoding="utf-8",
    )  # fmt: skip


def stream(source: IO[bytes], *, tags: frozenset[str]) -> Iterator[etree._Element]:
    """Each element of some names as it ends, forgotten as soon as the next is asked for; then the root.

    source: bytes that were looked through for document types before. Raises Fault `not-well-formed`.
    """
    steps = etree.iterparse(
        source, events=("end",), resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    try:
        for _, element in steps:
            if element.tag in tags:
                yield element
                _forget(element)
    except etree.XMLSyntaxError as wrong:
        raise Fault("not-well-formed", f"the file is not well-formed XML: {wrong.msg}") from None
    if steps.root is not None:
        yield steps.root


def has_document_type(data: bytes) -> bool:
    """Whether a stretch of bytes holds the beginning of a declaration."""
    return _FORBIDDEN.search(data) is not None


def local_name(element: etree._Element) -> str:
    """The name of an element without its namespace."""
    return _names(element.tag)[1]


def namespace(element: etree._Element) -> str:
    """The namespace of an element, "" for none."""
    return _names(element.tag)[0]


@lru_cache(maxsize=1024)
def _names(tag: object) -> tuple[str, str]:
    """(namespace, name) of a tag; a node that is no element has neither."""
    if not isinstance(tag, str):
        return "", ""
    outside, _, name = tag.rpartition("}")
    return outside[1:], name


def _forget(element: etree._Element) -> None:
    element.clear()
    before = element.getprevious()
    parent = element.getparent()
    while before is not None and parent is not None:
        parent.remove(before)
        before = element.getprevious()
