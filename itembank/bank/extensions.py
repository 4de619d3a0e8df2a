"""What a bank uses from outside: found by entry points, declared in the bank file, never loaded otherwise.

A bank file says `extensions: [prime, bar-model]`; each name is an entry point of an installed distribution in one of
`GROUPS`. Metadata of distributions is looked at only where a bank declares something. What was loaded stays known to
the process, but a bank's templates may speak only of what their own bank declares.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path
from types import MappingProxyType
from typing import Any, Protocol

from itembank.errors import InputError, Span, guarded
from itembank.expressions import vocabulary
from itembank.publication import Extension
from itembank.templates import model
from itembank.templates.reading import Findings
from itembank.verdicts import Proved, Refuted, Undecided
from itembank.yaml_source import Mapping as YamlMapping
from itembank.yaml_source import Node, Scalar, Sequence, Source, load

__all__ = [
    "GROUPS", "Declared", "activate", "declared", "declared_names", "extensions_of_bank", "state", "use", "use_named",
]  # fmt: skip

GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "property": "itembank.properties",
        "figure": "itembank.figures",
        "response": "itembank.responses",
        "writer": "itembank.writers",
    }
)
"""Kind of extension -> the group of its entry points."""

_NAME = r"[a-z][a-z0-9]*([_-][a-z0-9]+)*"
_KEY = b"extensions"


@dataclass(frozen=True, slots=True)
class Declared:
    """An extension as a bank file names it. package: the distribution that provides it, "" where not said."""

    name: str
    package: str
    span: Span


def declared(root: Node) -> tuple[Declared, ...]:
    """The extensions a bank file names; what is misshapen is left to the shape of the file."""
    node = root.get("extensions") if isinstance(root, YamlMapping) else None
    return tuple(_each(node)) if isinstance(node, Sequence) else ()


def _each(node: Sequence) -> Iterator[Declared]:
    for item in node.items:
        if isinstance(item, Scalar):
            yield Declared(item.text, "", item.span)
        elif isinstance(item, YamlMapping) and isinstance(name := item.get("name"), Scalar):
            package = item.get("from")
            yield Declared(name.text, package.text if isinstance(package, Scalar) else "", name.span)


def use(root: Node, findings: Findings) -> tuple[Extension, ...]:
    """Loads what a bank file declares and lets its templates speak of it; what cannot be loaded is told at its line."""
    found = [_found(each, findings) for each in declared(root)]
    loaded = tuple(
        extension
        for each in found
        if each is not None and (extension := _loaded(*each, findings)) is not None
    )
    _speak(loaded)
    return loaded


def use_named(names: Iterable[str]) -> None:
    """Loads extensions by name alone, to check what they made. Raises InputError where one is not to be had."""
    findings = Findings(Source("", ""))
    for name in names:
        found = _found(Declared(name, "", Span("", 0, 0)), findings)
        if found is not None:
            _loaded(*found, findings)
    if findings.wrong:
        raise InputError(replace(each, span=None) for each in findings.diagnostics)


def activate(extensions: Iterable[Extension]) -> None:
    """The same for a bank that was read before, in another process. Raises InputError where one is no longer there."""
    given = tuple(extensions)
    for extension in given:
        if (extension.kind, extension.name) not in _LOADED:
            for point in entry_points(group=GROUPS[extension.kind], name=extension.name):
                _admit(extension, point.load())
    _speak(given)


def extensions_of_bank(path: Path, shown_as: str) -> tuple[Extension, ...]:
    """Those of a bank file, loaded as `use` does, for a template that is read without its bank. Raises InputError."""
    if not _names_any(path):
        _speak(())
        return ()
    document = load(path, shown_as)
    findings = Findings(document.source)
    found = use(document.root, findings)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    return found


def declared_names(folder: Path) -> tuple[str, ...]:
    """What the file of a bank folder declares, not loaded; () where it cannot be read, which is told when it is."""
    path = folder / "bank.yaml"
    with contextlib.suppress(InputError, OSError):
        return tuple(each.name for each in declared(load(path, str(path)).root)) if _names_any(path) else ()
    return ()


def state(path: Path) -> bytes:
    """What the extensions of a bank file are, for the name of a cache entry: packages, versions, and their files."""
    if not _names_any(path):
        return b""
    told = []
    with contextlib.suppress(InputError, OSError):
        for each in declared(load(path, str(path)).root):
            for kind, point in _points(each.name):
                package = point.dist
                told.append(f"{kind} {each.name} {package.name if package else ''} {_version(point)}")
                file = package.locate_file(point.module.replace(".", "/") + ".py") if package else None
                if isinstance(file, Path) and file.is_file():
                    status = file.stat()
                    told.append(f"{status.st_size} {status.st_mtime_ns}")
    return "\0".join(told).encode()


def _names_any(path: Path) -> bool:
    with contextlib.suppress(OSError):
        if path.is_file():  # a pipe would be waited for
            with path.open("rb") as file:
                return _KEY in file.read(1 << 21)
    return False


def _points(name: str) -> list[tuple[str, EntryPoint]]:
    return [(kind, point) for kind, group in GROUPS.items() for point in entry_points(group=group, name=name)]


def _version(point: EntryPoint) -> str:
    return point.dist.version if point.dist is not None else ""


def _found(each: Declared, findings: Findings) -> tuple[Declared, str, EntryPoint] | None:
    if not re.fullmatch(_NAME, each.name):
        hint = "lower-case words joined by hyphens or underscores"
        findings.add("extension-name", f"`{each.name}` is no name of an extension", each.span, hint=hint)
        return None
    points = _points(each.name)
    if not points:
        hint = f"install it: pip install {each.package}"
        if not each.package:
            hint = "install the package that provides it with pip, into the environment of this program"
            if each.span.line:
                hint += f"; write {{name: {each.name}, from: PACKAGE}}, so that the next one is told its name"
        message = f"the extension `{each.name}` is not installed"
        findings.add("extension-not-installed", message, each.span, hint=hint)
        return None
    packages = {(kind, point.dist.name if point.dist else "", point.value) for kind, point in points}
    if len(packages) > 1:
        told = ", ".join(sorted(f"{kind} of {package}" for kind, package, _ in packages))
        findings.add(
            "extension-twice", f"several extensions are called `{each.name}`: {told}", each.span,
            hint="uninstall all of them but one",
        )  # fmt: skip
        return None
    return each, *points[0]


_LOADED: dict[tuple[str, str], Extension] = {}


def _loaded(each: Declared, kind: str, point: EntryPoint, findings: Findings) -> Extension | None:
    package = point.dist.name if point.dist is not None else ""
    extension = Extension(kind, each.name, package, _version(point))
    if _LOADED.get((kind, each.name)) == extension:
        return extension
    whose = f"`{each.name}` of {package} {extension.version}"
    try:
        supplied = point.load()
    except (Exception, SystemExit) as failed:  # whatever its module does, the author is told at the line
        findings.add(
            "extension-broken", f"{whose} cannot be loaded: {type(failed).__name__}: {failed}", each.span,
            hint="tell those who maintain it, or install another version of it",
        )  # fmt: skip
        return None
    reason = _unfit(kind, each.name, supplied)
    if reason:
        findings.add(
            "extension-broken", f"{whose} {reason}", each.span,
            hint="tell those who maintain it, or install another version of it",
        )  # fmt: skip
        return None
    _admit(extension, supplied)
    return extension


def _unfit(kind: str, name: str, supplied: Any) -> str:
    """Why something cannot be taken as an extension of a kind; "" where it can."""
    wanted, is_taken = _KINDS[kind]()
    if not isinstance(supplied, wanted):
        return f"is no {wanted.__name__}, but a {type(supplied).__name__}"
    called = getattr(supplied, "name", "")
    if called != name:
        return f"calls itself `{called}`"
    if is_taken(name):
        return f"has a name that a {kind} of the house has"
    return supplied.misshapen()


class _Supplied(Protocol):
    def misshapen(self) -> str: ...


def _property_kind() -> tuple[type[_Supplied], Callable[[str], bool]]:
    from itembank.properties.extension import PropertyExtension

    return PropertyExtension, lambda name: vocabulary.is_own(name) or name in {"problem", "none", "answer"}


def _figure_kind() -> tuple[type[_Supplied], Callable[[str], bool]]:
    from itembank.figures.extension import FigureExtension

    return FigureExtension, lambda name: name in model.FIGURES


def _response_kind() -> tuple[type[_Supplied], Callable[[str], bool]]:
    from itembank.templates.extension import ResponseExtension

    return ResponseExtension, lambda name: name in model.KINDS


def _writer_kind() -> tuple[type[_Supplied], Callable[[str], bool]]:
    from itembank.writers.extension import WriterExtension

    return WriterExtension, lambda name: name in model.FORMATS


_KINDS: Mapping[str, Callable[[], tuple[type[_Supplied], Callable[[str], bool]]]] = MappingProxyType(
    {"property": _property_kind, "figure": _figure_kind, "response": _response_kind, "writer": _writer_kind}
)


def _admit(extension: Extension, supplied: Any) -> None:
    """Puts what was loaded into the registers of the rooms that use it."""
    _LOADED[extension.kind, extension.name] = extension
    if extension.kind == "property":
        _admit_property(supplied)
    elif extension.kind == "figure":
        from itembank.audit.extensions import PICTURES, Numbered
        from itembank.figures import extension as figures

        figures.admit(supplied, f"{extension.package} {extension.version}")
        PICTURES[extension.name] = Numbered(
            tuple(supplied.keys),
            guarded(extension.name, lambda numbers, words: [*supplied.check(numbers, words)]),
        )
    elif extension.kind == "response":
        from itembank.templates import extension as responses

        responses.admit(supplied)
    elif extension.kind == "writer":
        from itembank.writers import extension as writers

        writers.admit(supplied)


def _admit_property(supplied: Any) -> None:
    from itembank.proof import claims, extensions
    from itembank.properties import catalogue, integer_tests

    arguments = {"polynomial": (1, 1), "number": (1, 1), "fraction": (2, 2)}.get(
        supplied.takes, (2, vocabulary.MANY)
    )
    vocabulary.admit(
        vocabulary.Function(supplied.name, "property", *arguments, supplied.example), supplied.takes
    )
    degenerate = {edge: edge in supplied.true_at for edge in catalogue.DEGENERATE_INPUTS[supplied.takes]}
    catalogue.admit(
        catalogue.Property(
            supplied.name, supplied.takes, supplied.meaning, supplied.claim, supplied.source, degenerate
        )
    )
    verdicts = (Proved, Refuted, Undecided)
    integer_tests.admit(supplied.name, guarded(supplied.name, supplied.test, (bool,)))
    claims.admit(supplied.name, guarded(supplied.name, supplied.prove, verdicts))
    extensions.admit_again(supplied.name, guarded(supplied.name, supplied.again, (bool,)))


def _speak(extensions: tuple[Extension, ...]) -> None:
    """What templates may name from now on."""
    vocabulary.speak(each.name for each in extensions if each.kind == "property")
    for kind, names in model.OF_EXTENSIONS.items():
        names.clear()
        names.update(each.name for each in extensions if each.kind == kind)
