"""The schemas and examples of the standard, found in a folder `shared/standards` beside the checkout.

Items are checked against digests of the item schemas, which are not the publisher's: passing them is no proof of
conformance. All else is checked against the schemas themselves.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TypeAlias

import pytest
from lxml import etree

STANDARDS = Path(__file__).parents[2] / "shared" / "standards"
SCHEMAS = STANDARDS / "xsd"
Validator: TypeAlias = etree.XMLSchema | etree.RelaxNG

needs_schemas = pytest.mark.skipif(
    not SCHEMAS.is_dir(),
    reason="NOT CHECKED against the schemas: no folder shared/standards/xsd beside the checkout",
)
needs_examples = pytest.mark.skipif(
    not (STANDARDS / "qti-examples").is_dir(),
    reason="scorer NOT CHECKED on official examples: no folder shared/standards/qti-examples beside the checkout",
)


class _Catalog(etree.Resolver):
    """Finds a schema by its public address, without a network."""

    def __init__(self) -> None:
        super().__init__()
        entries = etree.parse(SCHEMAS / "catalog.xml").iter("{*}system")
        self.places = {each.get("systemId"): SCHEMAS / str(each.get("uri")) for each in entries}

    def resolve(self, system_url: str | None, public_id: str | None, context: object) -> object:
        place = self.places.get(system_url)
        return self.resolve_filename(str(place), context) if place else None  # type: ignore[attr-defined]


@cache
def schema(name: str) -> etree.XMLSchema:
    """A publisher's schema, compiled."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Catalog())  # type: ignore[attr-defined]
    return etree.XMLSchema(etree.parse(SCHEMAS / name, parser))


@cache
def digest(name: str) -> etree.RelaxNG:
    """A digest of an item schema: `qti3-asi.rng` or `qti2-asi.rng`."""
    return etree.RelaxNG(etree.parse(SCHEMAS / "stand-ins" / name))


def faults(validator: Validator, element: etree._Element) -> list[str]:
    """What a schema finds wrong with an element taken as a document."""
    alone = etree.fromstring(etree.tostring(element, with_tail=False))
    validator.validate(etree.ElementTree(alone))
    return [str(each.message) for each in validator.error_log]


def digest_faults(name: str, root: etree._Element) -> list[str]:
    """What a digest finds wrong with an item or a test; it knows no attributes beginning with data- or aria-."""
    bare = etree.fromstring(etree.tostring(root))
    for element in bare.iter():
        for attribute in list(element.attrib):
            if str(attribute).startswith(("data-", "aria-")):
                del element.attrib[attribute]
    return faults(digest(name), bare)
