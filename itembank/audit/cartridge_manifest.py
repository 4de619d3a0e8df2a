"""The manifest of a cartridge against what is in it.

Source: Common Cartridge 1.3, manifest (profile of Content Packaging 1.2), resources and organizations.
"""

from __future__ import annotations

import re
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.cartridge_grammar import MANIFEST_GRAMMAR, grammar_faults
from itembank.audit.findings import Fault
from itembank.audit.member_names import MANIFEST, unsafe_reason
from itembank.audit.package import Package
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = ["Inventory", "read_cartridge_manifest"]

CARTRIDGE: Final = "http://www.imsglobal.org/xsd/imsccv1p3/imscp_v1p1"
LOM: Final = "http://ltsc.ieee.org/xsd/imsccv1p3/LOM/manifest"
_TYPES: Final = {
    "imsqti_xmlv1p2/imscc_xmlv1p3/assessment": False,
    "imsqti_xmlv1p2/imscc_xmlv1p3/question-bank": True,
}
_FILE: Final = "webcontent"
_PICTURE: Final = ".svg"
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-]*\Z")


def _c(name: str) -> str:
    return f"{{{CARTRIDGE}}}{name}"


@dataclass(slots=True)
class Inventory:
    """What a manifest says. documents: member -> whether it is a question bank, in its order; uses: the files on
    which a document depends.
    """

    documents: dict[str, bool] = field(default_factory=dict)
    uses: dict[str, frozenset[str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


def read_cartridge_manifest(package: Package) -> Inventory:
    """Read the manifest of a cartridge and compare it with the members."""
    inventory = Inventory()
    try:
        root = parse(package.read(MANIFEST))
        inventory.faults += _told(_Reader(root, package, inventory).read())
        inventory.faults += _told(iter(grammar_faults(root, MANIFEST_GRAMMAR)))
    except Fault as wrong:
        inventory.faults.append(Fault(wrong.code, wrong.message, member=MANIFEST, place=wrong.place))
    return inventory


def _told(faults: Iterator[Fault]) -> list[Fault]:
    return [
        Fault(each.code, each.message, member=each.member or MANIFEST, place=each.place) for each in faults
    ]


class _Reader:
    def __init__(self, root: etree._Element, package: Package, inventory: Inventory) -> None:
        self._root, self._inventory = root, inventory
        self._members = set(package.names)
        self._banks: set[str] = set()
        self._resources: set[str] = set()
        self._listed: set[str] = set()
        self._files: dict[str, str] = {}
        self._wanted: dict[str, list[str]] = {}

    def read(self) -> Iterator[Fault]:
        if local_name(self._root) != "manifest" or namespace(self._root) != CARTRIDGE:
            yield Fault(
                "wrong-root", f"the root is {local_name(self._root)}, not a manifest of a cartridge 1.3"
            )
            return
        yield from self._metadata()
        yield from self._identifiers()
        for resource in self._root.iterfind(f"{_c('resources')}/{_c('resource')}"):
            yield from self._resource(resource)
        yield from self._dependencies()
        yield from self._organization()
        for member in sorted(self._members - self._listed - {MANIFEST}):
            yield Fault(
                "file-not-in-manifest", "the file is in the package and not in its manifest", member=member
            )
        if not self._inventory.documents:
            yield Fault("no-items", "the cartridge holds no assessment and no question bank")

    def _metadata(self) -> Iterator[Fault]:
        schema, version = (
            self._root.findtext(f"{_c('metadata')}/{_c(name)}") for name in ("schema", "schemaversion")
        )
        if (schema, version) != ("IMS Common Cartridge", "1.3.0"):
            yield Fault(
                "wrong-schema", f"the manifest says it is {schema or 'nothing'!r}, version {version!r}"
            )
        if self._root.find(f"{_c('metadata')}/{{{LOM}}}lom") is None:
            yield Fault("incomplete-manifest", "the manifest has no description of the cartridge")

    def _identifiers(self) -> Iterator[Fault]:
        seen: set[str] = set()
        for element in self._root.iter(_c("manifest"), _c("organization"), _c("item"), _c("resource")):
            identifier = element.get("identifier", "")
            if not _NAME.match(identifier):
                yield Fault("wrong-identifier", f"{identifier!r} cannot be an identifier")
            if identifier in seen:
                yield Fault("duplicate-identifier", f"the identifier {identifier!r} stands twice")
            seen.add(identifier)

    def _resource(self, resource: etree._Element) -> Iterator[Fault]:
        identifier, kind = resource.get("identifier", ""), resource.get("type", "")
        if kind == _FILE:
            yield from self._web_content(identifier, resource)
            return
        self._resources.add(identifier)
        if kind not in _TYPES:
            yield Fault("wrong-type", f"{identifier} has the type {kind!r}, which is not read")
            return
        if resource.get("href") is not None:
            yield Fault("wrong-resource", f"{identifier} may have no address")
        wanted = [each.get("identifierref", "") for each in resource.iterfind(_c("dependency"))]
        files = [each.get("href", "") for each in resource.iterfind(_c("file"))]
        if len(files) != 1:
            yield Fault("missing-file", f"{identifier} has {len(files)} files, not one")
        if _TYPES[kind]:
            self._banks.add(identifier)
        for href in files:
            found = yield from self._file(identifier, href)
            if found:
                self._inventory.documents[found] = _TYPES[kind]
                self._wanted[found] = wanted

    def _web_content(self, identifier: str, resource: etree._Element) -> Iterator[Fault]:
        """A file of its own: a picture, and nothing else."""
        files = [each.get("href", "") for each in resource.iterfind(_c("file"))]
        if files != [resource.get("href")] or resource.find(_c("dependency")) is not None:
            yield Fault("wrong-resource", f"{identifier} is not one file at the address of the resource")
        for href in files:
            found = yield from self._file(identifier, href)
            if found and not found.endswith(_PICTURE):
                yield Fault("wrong-resource", f"{identifier} holds {found}, which is no picture")
            self._files[identifier] = found

    def _dependencies(self) -> Iterator[Fault]:
        """Whether documents depend on files only, and every file is used."""
        for member, wanted in self._wanted.items():
            for identifier in wanted:
                if identifier not in self._files:
                    yield Fault("missing-resource", f"{member} depends on {identifier!r}, which is no file")
            named = (self._files.get(identifier, "") for identifier in wanted)
            self._inventory.uses[member] = frozenset(name for name in named if name)
        used = {identifier for wanted in self._wanted.values() for identifier in wanted}
        for identifier in sorted(set(self._files) - used):
            yield Fault("wrong-resource", f"no document depends on the file {identifier!r}")

    def _file(self, identifier: str, href: str) -> Generator[Fault, None, str]:
        """The member a file names, "" where it cannot be."""
        path = unquote(href)
        reason = unsafe_reason(path)
        if reason:
            yield Fault("unsafe-reference", f"{identifier} points to {href!r}, which {reason}")
        elif path not in self._members:
            yield Fault("missing-file", f"{identifier} names {path}, which is not in the package")
        elif path in self._listed:
            yield Fault("duplicate-file", f"{path} is named by two resources")
        else:
            self._listed.add(path)
            return path
        return ""

    def _organization(self) -> Iterator[Fault]:
        shown: set[str] = set()
        for item in self._root.iter(_c("item")):
            wanted = item.get("identifierref")
            if wanted is None:
                continue
            shown.add(wanted)
            if wanted not in self._resources:
                yield Fault(
                    "missing-resource", f"the table of contents names {wanted!r}, which is no resource"
                )
            elif wanted in self._banks:
                yield Fault("bank-shown", f"the table of contents names the question bank {wanted!r}")
        for identifier in sorted(self._resources - self._banks - shown):
            yield Fault(
                "missing-resource", f"the table of contents does not name the assessment {identifier!r}"
            )
