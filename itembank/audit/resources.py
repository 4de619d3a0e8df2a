"""What a resource of a manifest says, as plain data.

Source: QTI 2.1, 2.2 and 3.0, packaging; Content Packaging 1.2, resources.
"""

from __future__ import annotations

from typing import Final, NamedTuple
from urllib.parse import unquote

from lxml import etree

from itembank.audit.findings import Fault
from itembank.audit.item_metadata import Metadata, read_metadata
from itembank.audit.member_names import stem
from itembank.audit.xml_reading import local_name

__all__ = ["BASE", "Resource", "read_resource"]

BASE: Final = "{http://www.w3.org/XML/1998/namespace}base"
"""What would set another base for addresses."""


class Resource(NamedTuple):
    """A resource, its addresses as they are written.

    kind: its type; href: None where it points to no file; bases: the names of elements that set another base for their
    addresses; metadata: what is said of it as an item, None for nothing; faults: what is wrong with that.
    """

    identifier: str
    kind: str
    href: str | None
    files: tuple[str, ...]
    dependencies: tuple[str, ...]
    bases: tuple[str, ...]
    metadata: Metadata | None
    faults: tuple[Fault, ...]


def read_resource(element: etree._Element, packaging: str) -> Resource:
    """What an element says. packaging: the namespace of the manifest."""
    href, holder = element.get("href"), element.find(f"{{{packaging}}}metadata")
    metadata, faults = (None, []) if holder is None else read_metadata(holder, stem(unquote(href or "")))
    return Resource(
        element.get("identifier", ""), element.get("type", ""), href,
        tuple([each.get("href", "") for each in element.iterfind(f"{{{packaging}}}file")]),
        tuple([each.get("identifierref", "") for each in element.iterfind(f"{{{packaging}}}dependency")]),
        tuple([local_name(each) for each in element.iter() if each.get(BASE) is not None]), metadata, tuple(faults),
    )  # fmt: skip
