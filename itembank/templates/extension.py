"""Kinds of response of extensions: written out in the house's own keys before a template is read.

A kind from outside is put together from a kind of the house. So all that makes an item sure holds for it unchanged:
both proofs, every writer, the rules of marking, and the audit from the file alone, which needs no extension for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from itembank.errors import DomainError, guarded, no_functions
from itembank.templates.model import OF_EXTENSIONS
from itembank.templates.reading import Findings
from itembank.yaml_source import Mapping as YamlMapping
from itembank.yaml_source import Node, Scalar, Sequence, WrittenOut

__all__ = ["ResponseExtension", "admit", "written_out"]

_BESIDE = frozenset({"kind", "with", "marks"})


@dataclass(frozen=True, slots=True)
class ResponseExtension:
    """A kind of response, asked for by `response: {kind: ..., with: {key: value}}`.

    keys: the keys below `with`, all of them needed; what each is for.
    spell: what stands below `with`, as the author wrote it, and the unknowns of the part -> the response in the keys of
    a template (texts, lists and mappings), as an author could have written it. A text may be one for each language.
    Raises DomainError with the reason where it cannot be made of what is asked.
    """

    name: str
    keys: Mapping[str, str]
    spell: Callable[[Mapping[str, str], tuple[str, ...]], Mapping[str, Any]]

    def misshapen(self) -> str:
        """What is wrong with it that needs no trial, in words after its name; "" where nothing is."""
        if not isinstance(self.keys, Mapping):
            return "has `keys` that are no mapping of each to what it is for"
        return no_functions(spell=self.spell)


_KINDS: dict[str, ResponseExtension] = {}


def admit(extension: ResponseExtension) -> None:
    """The kind of an extension is known from now on."""
    _KINDS[extension.name] = extension


def written_out(root: Node, findings: Findings) -> Node:
    """A template with the responses of its bank's extensions written out; what is wrong with them is told."""
    if not OF_EXTENSIONS["response"] or not isinstance(root, YamlMapping):
        return root
    shared = _unknowns(root)
    root = _part(root, shared, findings)
    parts = root.get("parts")
    if isinstance(parts, Sequence):
        changed = tuple(
            _part(part, _unknowns(part) or shared, findings) if isinstance(part, YamlMapping) else part
            for part in parts.items
        )
        root = _with(root, "parts", replace(parts, items=changed))
    return root


def _unknowns(part: YamlMapping) -> tuple[str, ...]:
    match part.get("unknowns"):
        case Scalar(text):
            return (text,)
        case Sequence(items):
            return tuple(item.text for item in items if isinstance(item, Scalar))
        case YamlMapping(entries):
            return tuple(key.text for key, _ in entries)
        case _:
            return ()


def _with(mapping: YamlMapping, key: str, value: Node) -> YamlMapping:
    entries = tuple((name, value if name.text == key else node) for name, node in mapping.entries)
    return replace(mapping, entries=entries)


def _part(part: YamlMapping, unknowns: tuple[str, ...], findings: Findings) -> YamlMapping:
    response = part.get("response")
    if not isinstance(response, YamlMapping):
        return part
    kind = response.get("kind")
    if not isinstance(kind, Scalar) or kind.text not in OF_EXTENSIONS["response"]:
        return part
    found = _response(response, kind, unknowns, findings)
    return part if found is None else _with(part, "response", found)


def _response(
    response: YamlMapping, kind: Scalar, unknowns: tuple[str, ...], findings: Findings
) -> YamlMapping | None:
    extension = _KINDS[kind.text]
    given = _given(response, kind, extension, findings)
    if given is None:
        return None
    try:
        spell = guarded(kind.text, extension.spell)
        spelled = dict(spell({key: scalar.text for key, scalar in given.items()}, unknowns))
    except DomainError as reason:
        findings.add("wrong-value", f"`kind: {kind.text}`: {reason}", response.span)
        return None
    marks = response.get("marks")
    if isinstance(marks, Scalar):
        spelled["marks"] = marks.text
        given = {**given, "marks": marks}
    known = {scalar.text: scalar for scalar in given.values()}
    written = _node(spelled, kind, known)
    assert isinstance(written, YamlMapping)
    return replace(written, span=response.span)


def _given(
    response: YamlMapping, kind: Scalar, extension: ResponseExtension, findings: Findings
) -> dict[str, Scalar] | None:
    """What stands below `with`, by key; None where something is wrong, which is told."""
    fine = True
    for key, _ in response.entries:
        if key.text not in _BESIDE:
            fine = False
            findings.add(
                "key-of-other-kind",
                f"`kind: {kind.text}` has no `{key.text}`",
                key.span,
                hint=f"its keys stand below `with`: {', '.join(extension.keys)}",
            )
    below = response.get("with")
    entries = below.entries if isinstance(below, YamlMapping) else ()
    found: dict[str, Scalar] = {}
    for key, value in entries:
        if key.text not in extension.keys or not isinstance(value, Scalar):
            fine = False
            findings.add(
                "unknown-key" if key.text not in extension.keys else "text-needed",
                f"`{key.text}` is no key of `kind: {kind.text}`"
                if key.text not in extension.keys
                else f"`{key.text}` needs one text",
                key.span,
                hint=f"known here: {', '.join(extension.keys)}",
            )
        else:
            found[key.text] = value
    for name, about in extension.keys.items():
        if name not in {key.text for key, _ in entries}:
            fine = False
            findings.add("missing-key", f"`{name}` is missing", response.span, hint=f"{name}: {about}")
    return found if fine else None


def _node(value: Any, kind: Scalar, known: Mapping[str, Scalar]) -> Node:
    """What an extension wrote as nodes: what the author wrote keeps its place, all else stands where the kind does."""
    if isinstance(value, Mapping):
        entries = tuple((_text(str(key), kind), _node(inner, kind, known)) for key, inner in value.items())
        return YamlMapping(entries, kind.span, True)
    if isinstance(value, list | tuple):
        return Sequence(tuple(_node(inner, kind, known) for inner in value), kind.span, True)
    return known.get(str(value)) or _text(str(value), kind)


def _text(text: str, kind: Scalar) -> Scalar:
    return WrittenOut(text, kind.span, kind.style, kind.anchors)
