"""The manifest of a package against what is in it: every resource is there, every member is somebody's.

It is read as a stream, for a package may hold a hundred thousand items.
Source: QTI 2.1, 2.2 and 3.0, packaging; Content Packaging 1.2, resources.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.alike_resources import Unlike, read_alike
from itembank.audit.dialects import PACKAGES, Version, package_version
from itembank.audit.findings import Fault
from itembank.audit.item_metadata import Metadata, published
from itembank.audit.member_names import MANIFEST, unsafe_reason
from itembank.audit.package import Package
from itembank.audit.resources import BASE, Resource, read_resource
from itembank.audit.xml_reading import has_document_type, local_name, namespace, stream

__all__ = ["Inventory", "addresses", "read_manifest"]

_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-]*\Z")
_ADDRESSES = etree.XPath("//@href | //@src | //@data", smart_strings=False)
_BLOCK = 2**16
_TOLD: Final = frozenset(
    f"{{{packaging}}}{name}" for packaging in PACKAGES for name in ("resource", "schema", "schemaversion")
)


@dataclass(slots=True)
class Inventory:
    """What a manifest says.

    items: the files of items in its order; faults: what is wrong with it; version: of the standard, None where that
    could not be told; tests: the files of quizzes, each with the items it depends on; metadata: what is said of an item
    by its file, where anything is, equal ones the same object.
    """

    items: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    version: Version | None = None
    tests: list[tuple[str, frozenset[str]]] = field(default_factory=list)
    metadata: dict[str, Metadata] = field(default_factory=dict)


def read_manifest(package: Package, *, quick: bool = True) -> Inventory:
    """Read the manifest of a package and compare it with the members.

    quick: resources that are alike are read once where nothing at all is wrong; what is told is the same without.
    """
    inventory = Inventory()
    if MANIFEST not in package.names:
        inventory.faults.append(Fault("no-manifest", f"there is no {MANIFEST} at the root", member=MANIFEST))
        return inventory
    try:
        _refuse_document_types(package)
        in_order = _read_quickly(package) if quick else None
        if in_order is not None:
            return in_order
        _Reader(package, inventory).read()
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as wrong:
        message = f"the file cannot be read out of the zip: {wrong}"
        inventory.faults.append(Fault("damaged-member", message, member=MANIFEST))
    except Fault as wrong:
        inventory.faults.append(Fault(wrong.code, wrong.message, member=MANIFEST, place=wrong.place))
    return inventory


def _read_quickly(package: Package) -> Inventory | None:
    """What a manifest says with which nothing is wrong; None where that is not plain."""
    inventory = Inventory()
    try:
        _Reader(package, inventory).read_alike()
    except (Unlike, Fault):
        return None
    return None if inventory.faults else inventory


def _refuse_document_types(package: Package) -> None:
    """Look through the manifest before any parser sees it."""
    carried = b""
    instructions = 0
    with package.open(MANIFEST) as source:
        while block := source.read(_BLOCK):
            instructions += (carried[-1:] + block).count(b"<?")
            if not carried and block.startswith(b"\xef\xbb\xbf"):
                raise Fault("wrong-encoding", "the manifest begins with a byte-order mark")
            if instructions > 1:
                raise Fault("processing-instruction", "the manifest tells programs to do something with it")
            if has_document_type(carried + block):
                raise Fault(
                    "document-type", "the file declares a document type or entities, which are not read"
                )
            if b"\x00" in block:
                raise Fault("wrong-encoding", "the manifest is not in UTF-8")
            carried = block[-16:]


class _Reader:
    def __init__(self, package: Package, inventory: Inventory) -> None:
        self._members = set(package.names)
        self._package = package
        self._inventory = inventory
        self._identifiers: set[str] = set()
        self._wanted: list[tuple[str, str]] = []
        self._listed: set[str] = set()
        self._said: dict[str, str] = {}
        self._file_of: dict[str, str] = {}
        self._tests: list[tuple[str, list[str]]] = []
        self._packaging = ""
        self._known: dict[Metadata, Metadata] = {}

    def read(self) -> None:
        with self._package.open(MANIFEST) as source:
            for element in stream(source, tags=_TOLD):
                name = local_name(element)
                if name == "resource":
                    self._tell_version(namespace(element))
                    self._resource(read_resource(element, self._packaging))
                elif name in {"schema", "schemaversion"}:
                    self._said.setdefault(name, (element.text or "").strip())
                else:
                    self._root(element)
        self._conclude()

    def read_alike(self) -> None:
        """The same for a manifest of resources that are alike. Raises Unlike for any other."""
        with self._package.open(MANIFEST) as source:
            root, resources = read_alike(source)
            for element in root.iter(*_TOLD):
                name = local_name(element)
                if name == "resource" or name in self._said:
                    raise Unlike
                self._said[name] = (element.text or "").strip()
            self._tell_version(namespace(root))
            for resource in resources:
                self._resource(resource)
            self._root(root)
        self._conclude()

    def _conclude(self) -> None:
        for href, wanted_by_test in self._tests:
            needed = frozenset(self._file_of.get(each, "") for each in wanted_by_test)
            self._inventory.tests.append((href, needed))
        for identifier, wanted in self._wanted:
            if wanted not in self._identifiers:
                self._wrong("missing-resource", f"{identifier} depends on {wanted!r}, which is no resource")
        for member in sorted(self._members - self._listed - {MANIFEST}):
            fault = Fault(
                "file-not-in-manifest", "the file is in the package and not in its manifest", member=member
            )
            self._inventory.faults.append(fault)
        if not self._inventory.items:
            self._wrong("no-items", "the package holds no item")

    def _wrong(self, code: str, message: str) -> None:
        self._inventory.faults.append(Fault(code, message, member=MANIFEST))

    def _root(self, root: etree._Element) -> None:
        if local_name(root) != "manifest" or namespace(root) not in PACKAGES:
            self._wrong(
                "wrong-root", f"the root is {local_name(root)}, not a manifest of QTI 2.1, 2.2 or 3.0"
            )
            return
        self._tell_version(namespace(root))
        held = [each.tag for each in root]
        for name in ("organizations", "resources"):
            if self._name(name) not in held:
                self._wrong("incomplete-manifest", f"the manifest has no {name}")
        names = [self._name(name) for name in ("metadata", "organizations", "resources")]
        if len(set(held)) < len(held) or not set(names).issuperset(held):
            self._wrong("not-in-grammar", "the manifest holds something twice, or what does not belong there")
        for each in (root, *root):
            if each.get(BASE) is not None:
                self._refuse_base(local_name(each))
        self._published(root)
        self._own(root.get("identifier", ""))

    def _tell_version(self, packaging: str) -> None:
        """Find out, once, which version the package is of: what stands before the resources says so."""
        if self._packaging:
            return
        self._packaging = packaging
        schema, version = (self._said.get(name, "") for name in ("schema", "schemaversion"))
        self._inventory.version = package_version(packaging, schema, version)
        if self._inventory.version is None:
            self._wrong(
                "wrong-schema", f"the manifest says it is {schema or 'nothing'!r}, version {version!r}"
            )

    def _name(self, name: str) -> str:
        return f"{{{self._packaging}}}{name}"

    def _own(self, identifier: str) -> None:
        if not _NAME.match(identifier):
            self._wrong("wrong-identifier", f"{identifier!r} cannot name a resource")
        if identifier in self._identifiers:
            self._wrong("duplicate-identifier", f"the identifier {identifier!r} stands twice")
        self._identifiers.add(identifier)

    def _refuse_base(self, name: str) -> None:
        """What addresses are taken from is the package itself."""
        self._wrong("unsafe-reference", f"{name} sets another base for its addresses")

    def _resource(self, resource: Resource) -> None:
        for name in resource.bases:
            self._refuse_base(name)
        identifier = resource.identifier
        self._own(identifier)
        files = [self._path(each, identifier) for each in resource.files]
        self._wanted += [(identifier, each) for each in resource.dependencies]
        self._files(identifier, [name for name in files if name])
        href = "" if resource.href is None else self._path(resource.href, identifier)
        if href and href not in files:
            self._wrong("missing-file", f"{identifier} points to {href}, which is none of its files")
        version = self._inventory.version
        if version is not None and resource.kind == version.item_type:
            if not href:
                self._wrong("missing-file", f"the item {identifier} points to no file")
            elif href in self._members:
                self._inventory.items.append(href)
                self._file_of[identifier] = href
                self._metadata(resource, href)
        elif version is not None and resource.kind == version.test_type and href in self._members:
            self._tests.append((href, list(resource.dependencies)))

    def _metadata(self, resource: Resource, href: str) -> None:
        self._inventory.faults += [Fault(each.code, each.message, member=href) for each in resource.faults]
        told = resource.metadata
        if told is not None:
            self._inventory.metadata[href] = self._known.setdefault(told, told)

    def _published(self, root: etree._Element) -> None:
        """Author and licence are those of the whole package, for every item; who tells of one tells of all."""
        told = self._inventory.metadata
        if not told:
            return
        for href in self._inventory.items:
            if href not in told:
                message = "the manifest tells of other items what they are, and not of this"
                self._inventory.faults.append(Fault("metadata-differs", message, member=href))
        holder = root.find(self._name("metadata"))
        whole = ("", "") if holder is None else published(holder)
        strange = {each for each in self._known if (each.author, each.licence) != whole}
        for href in self._inventory.items if strange else ():
            if told.get(href) in strange:
                message = "the author or the licence is not that of the whole package"
                self._inventory.faults.append(Fault("metadata-differs", message, member=href))

    def _files(self, identifier: str, files: list[str]) -> None:
        if not files:
            self._wrong("missing-file", f"{identifier} has no file")
        for name in files:
            if name not in self._members:
                self._wrong("missing-file", f"{identifier} names {name}, which is not in the package")
            elif name in self._listed:
                self._wrong("duplicate-file", f"{name} is named by two resources")
            self._listed.add(name)

    def _path(self, href: str, identifier: str) -> str:
        """The member an address means, "" (and a fault) where it leads outside."""
        path = unquote(href)
        reason = unsafe_reason(path)
        if reason:
            self._wrong("unsafe-reference", f"{identifier} points to {href!r}, which {reason}")
            return ""
        return path


def addresses(root: etree._Element) -> Iterator[str]:
    """Every address an item points to."""
    found: list[str] = _ADDRESSES(root)  # type: ignore[assignment]
    yield from found
