"""Resources of a manifest that differ in an item's code only: one of them is parsed, the others are told by its looks.

A manifest of thousands of items says nearly the same of each. Here its text is taken apart into what stands before the
resources, the resources one after the other, and what closes it. In the text of a resource the code is masked wherever
it stands; where a text with that mask was parsed before, what it says is what that one said, with the code put in. On
this that rests:

- there is no `<!` in the text and no `<?` but at its beginning, so that `<` begins a tag wherever it stands, and
  nothing stands between two resources but blanks. A resource whose text is well-formed by itself, under the tags that
  are open there, leaves open just these; so the manifest is well-formed if what stands around is, and each resource.
  What must not come twice in one document, `xml:id`, stands nowhere.
- the parsed text has a letter in the place of the code that stands nowhere else in it, and every such letter is found
  again where no more is asked of a code than that it is one: in the identifier, in addresses, as the entry of the item
  and at the end of its title. All other bytes are the same, and so is what they say.

It speaks of manifests of the plain kind only; of any other it raises Unlike, and the manifest is read the usual way.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import IO, Final

from lxml import etree

from itembank.audit.dialects import PACKAGES
from itembank.audit.findings import Fault
from itembank.audit.resources import Resource, read_resource
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = ["Unlike", "read_alike"]

_BLOCK: Final = 2**20
_LONGEST: Final = 2**24
"""Bytes of one resource at most: that of a test names all its items."""
_HEAD: Final = re.compile(rb"(?:<\?xml\s[^<>]*>)?\s*(<manifest\s[^<>]*>)")
_TAIL: Final = re.compile(rb"\s*</resources>\s*</manifest>\s*\Z")
_BEGINNING: Final = re.compile(rb"\s*<resource\s")
_RESOURCES: Final = b"<resources>"
_NOT_PLAIN: Final = (b"<!", b"<?", b"xml:id")
_CLOSING: Final = b"</resource>"
_CLOSED: Final = b"</resources></manifest>"
_CODE: Final = re.compile(rb'\shref="(?:[A-Za-z0-9._-]+/)*([A-Z][A-Z0-9]{4,30})\.xml"')
_MARK: Final = b"\x00"
_LETTER: Final = "\ue000"
_FREE: Final = 100
_REMEMBERED: Final = 2_000
"""Resources that may be parsed before it is asked whether it pays, and how many are remembered."""


class Unlike(Exception):
    """The manifest is not of the plain kind, or its resources have little in common."""


def read_alike(source: IO[bytes]) -> tuple[etree._Element, Iterator[Resource]]:
    """The root of a manifest without its resources, and what each of these says.

    source: looked through for document types and zero bytes before. Raises Unlike, then or at a resource, and Fault for
    what is not well-formed; what went before is void then.
    """
    pieces = _pieces(source)
    before, found, first = next(pieces).partition(_RESOURCES)
    head = _HEAD.match(before)
    if head is None or not found or _is_not_plain(before[len(b"<?") :]):
        raise Unlike
    root = parse(before + found + _CLOSED)
    if local_name(root) != "manifest" or namespace(root) not in PACKAGES:
        raise Unlike
    alike = _Alike(head[1] + _RESOURCES, namespace(root))
    return root, _told(alike, first, pieces)


def _is_not_plain(text: bytes) -> bool:
    return any(each in text for each in _NOT_PLAIN)


def _pieces(source: IO[bytes]) -> Iterator[bytes]:
    """The text up to each resource's end, without the tag that ends it; then what is left."""
    rest = b""
    while block := source.read(_BLOCK):
        *whole, rest = (rest + block).split(_CLOSING)
        if len(rest) > _LONGEST:
            raise Unlike
        yield from whole
    yield rest


def _told(alike: _Alike, first: bytes, pieces: Iterator[bytes]) -> Iterator[Resource]:
    text = first
    for following in pieces:
        yield alike.resource(text)
        text = following
    if not _TAIL.match(text):
        raise Unlike


class _Alike:
    """Reads resources, those alike once. opening: the tags that are open around each; packaging: their namespace."""

    def __init__(self, opening: bytes, packaging: str) -> None:
        self._opening, self._packaging = opening, packaging
        self._known: dict[bytes, Resource] = {}
        self._parsed = self._seen = 0

    def resource(self, text: bytes) -> Resource:
        """What a text says that the end of a resource follows."""
        self._seen += 1
        code = _CODE.search(text)
        if code is None:
            return self._read(text)
        masked = text.replace(code[1], _MARK)
        known = self._known.get(masked) or self._learnt(masked)
        return self._read(text) if known is None else _with_code(known, code[1].decode())

    def _read(self, text: bytes) -> Resource:
        self._parsed += 1
        if self._parsed > _FREE + self._seen // 4:
            raise Unlike
        if not _BEGINNING.match(text) or _is_not_plain(text):
            raise Unlike
        root = parse(self._opening + text + _CLOSING + _CLOSED)
        resources = list(root.iter("{*}resource"))
        if len(root) != 1 or list(root[0]) != resources or len(resources) != 1:
            raise Unlike
        if namespace(resources[0]) != self._packaging:
            raise Unlike
        return read_resource(resources[0], self._packaging)

    def _learnt(self, masked: bytes) -> Resource | None:
        """What all texts with this mask say, None where a code stands in another place than those known."""
        letter = _LETTER.encode()
        if letter in masked:
            return None
        try:
            found = self._read(masked.replace(_MARK, letter))
        except Fault:
            return None
        if found.faults or found.bases or _codes(found) != masked.count(_MARK):
            return None
        if len(self._known) >= _REMEMBERED:
            self._known.clear()
        self._known[masked] = found
        return found


def _codes(found: Resource) -> int:
    """How often the letter stands where a code may stand; metadata in order has it as the entry and in the title."""
    names = (found.identifier, found.href or "", *found.files, *found.dependencies)
    return sum(each.count(_LETTER) for each in names) + (2 if found.metadata is not None else 0)


def _with_code(found: Resource, code: str) -> Resource:
    return found._replace(
        identifier=found.identifier.replace(_LETTER, code),
        href=None if found.href is None else found.href.replace(_LETTER, code),
        files=tuple([each.replace(_LETTER, code) for each in found.files]),
        dependencies=tuple([each.replace(_LETTER, code) for each in found.dependencies]),
    )
