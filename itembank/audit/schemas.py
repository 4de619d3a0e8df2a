"""Documents against official schemas, where a user has them: a folder with an XML catalogue that says which file stands
for which public address.

Nothing is fetched: a schema the catalogue does not hold is told as missing, never looked for.
Source: OASIS, XML Catalogs 1.1 (`system` and `uri` entries); W3C, XML Schema 1.0, `xsi:schemaLocation`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.findings import Fault
from itembank.audit.formulas import MATH
from itembank.audit.mathml_tokens import MATHML
from itembank.audit.xml_reading import parse
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["Schemas"]

_LOCATION: Final = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"
_CATALOG: Final = "{urn:oasis:names:tc:entity:xmlns:xml:catalog}"
_MATHML_SCHEMAS: Final = (
    "http://www.w3.org/Math/XMLSchema/mathml3/mathml3.xsd",
    "https://purl.imsglobal.org/spec/mathml/v3p0/schema/xsd/mathml3.xsd",
)
_XSD: Final = "http://www.w3.org/2001/XMLSchema"
_MOST: Final = 5
# what a schema says of elements that another one, which is not held, would have to declare
_UNDECLARED: Final = re.compile(r"Element '\{([^}]*)\}.*No matching global element declaration available")


class Schemas:
    """The schemas of a folder. missing: public addresses that documents named and the folder does not hold."""

    def __init__(self, folder: Path) -> None:
        """Read the folder's `catalog.xml`. Raises InputError where there is none, or none that can be read."""
        self.missing: set[str] = set()
        self._compiled: dict[tuple[tuple[str, Path], ...], etree.XMLSchema] = {}
        catalog = folder / "catalog.xml"
        try:
            root = etree.parse(catalog, etree.XMLParser(no_network=True, resolve_entities=False)).getroot()
        except (OSError, etree.XMLSyntaxError) as wrong:
            raise InputError(
                Diagnostic(
                    "no-catalogue", f"{catalog} cannot be read: {wrong}", Span(str(catalog), 1, 1),
                    hint="give a folder of schemas with an XML catalogue `catalog.xml`",
                )
            ) from None  # fmt: skip
        self._places: dict[str, Path] = {}
        for entry in root.iter(f"{_CATALOG}system", f"{_CATALOG}uri"):
            public, place = entry.get("systemId") or entry.get("name"), entry.get("uri")
            if public and place:
                self._places.setdefault(public, folder / unquote(place))

    def check(self, data: bytes) -> Iterator[Fault]:
        """What the schemas find wrong with a document and the formulas in it; nothing where none is held for it."""
        root = parse(data)
        words = (root.get(_LOCATION) or "").split()
        named = dict(zip(words[::2], words[1::2], strict=False))
        held = {space: place for space, public in named.items() if (place := self._place(public)) is not None}
        own = etree.QName(root).namespace or ""
        self.missing.update(public for space, public in named.items() if space not in held)
        if own in held:
            yield from _faults(self._schema(held), root, held)
        elif own not in named:
            self.missing.add(f"(a document of {own})")
        yield from self._formulas(root)

    def _formulas(self, root: etree._Element) -> Iterator[Fault]:
        place = next((found for each in _MATHML_SCHEMAS if (found := self._place(each)) is not None), None)
        for math in root.iter(MATH):
            if place is None:
                self.missing.add(f"(a schema of {MATHML})")
                return
            alone = etree.fromstring(etree.tostring(math, with_tail=False))
            yield from _faults(self._schema({MATHML: place}), alone, {MATHML: place})

    def _place(self, public: str) -> Path | None:
        place = self._places.get(public)
        return place if place is not None and place.is_file() else None

    def _schema(self, held: dict[str, Path]) -> etree.XMLSchema:
        """One schema of all that a document names and the folder holds."""
        key = tuple(sorted(held.items()))
        if key not in self._compiled:
            whole = etree.Element(f"{{{_XSD}}}schema")
            for space, place in key:
                etree.SubElement(
                    whole,
                    f"{{{_XSD}}}import",
                    {"namespace": space, "schemaLocation": place.resolve().as_uri()},
                )
            parser = etree.XMLParser(no_network=True)
            parser.resolvers.add(_Resolver(self._places))
            try:
                document = etree.fromstring(etree.tostring(whole), parser)
                self._compiled[key] = etree.XMLSchema(document)
            except (etree.XMLSchemaParseError, etree.XMLSyntaxError, OSError) as wrong:
                named = ", ".join(str(place) for _, place in key)
                message = f"the schemas {named} cannot be used together: {wrong}"
                raise InputError(Diagnostic("broken-schema", message, Span(str(key[0][1]), 1, 1))) from None
        return self._compiled[key]


class _Resolver(etree.Resolver):
    """Finds what schemas import by its public address."""

    def __init__(self, places: dict[str, Path]) -> None:
        super().__init__()
        self._places = places

    def resolve(self, system_url: str | None, public_id: str | None, context: object) -> object:  # type: ignore[override]
        """The file of a public address, None for one the catalogue does not name."""
        place = self._places.get(system_url or "")
        return self.resolve_filename(str(place), context) if place else None  # type: ignore[attr-defined]


def _faults(schema: etree.XMLSchema, root: etree._Element, held: dict[str, Path]) -> Iterator[Fault]:
    if schema.validate(root):
        return
    log: Any = schema.error_log
    messages = dict.fromkeys(str(entry.message) for entry in log)
    for message in list(messages)[:_MOST]:
        unknown = _UNDECLARED.match(message)
        if unknown is None or unknown[1] in held:
            yield Fault("not-valid", f"the schema says: {message}")
