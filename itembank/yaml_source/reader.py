"""Events to tree: places, raw texts, bounds. Built with a stack, not by recursion.

Everything that leaves the reader able to go on is collected; bounds and syntax errors end the reading.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, NoReturn

import yaml

from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.yaml_source import refusals, slips
from itembank.yaml_source.events import NotYaml, events
from itembank.yaml_source.explain import explained
from itembank.yaml_source.nodes import Document, Mapping, Node, Scalar, Sequence, Source, Style
from itembank.yaml_source.places import Position, anchors_of

_BLOCKS = (Style.LITERAL, Style.FOLDED)
_BLOCK_HEADER = re.compile(r"[+-]?[1-9]?[+-]?(?: |$)")
_CRAMMED_COLON = re.compile(r":[,?\[\]{}]")


def document_of(source: Source, *, pure: bool = False) -> Document:
    """Return the tree of a source. pure: use PyYAML's Python parser even where there is a C one.

    Raises InputError with every diagnostic that could be found, doubts among them.
    """
    if directive := refusals.directive(source):
        raise InputError(directive)
    reader = _Reader(source)
    try:
        return reader.read(pure=pure)
    except NotYaml as slip:
        found = reader.stopped(slip)
    if not pure:
        # The two parsers name and place a mistake differently; what is told is always the Python one's word.
        again = _Reader(source)
        try:
            again.read(pure=True)
        except NotYaml as slip:
            found = again.stopped(slip)
    raise InputError(found)


@dataclass(slots=True)
class _Open:
    """A mapping or list that is not closed yet; a mapping's names and values stand in turn in `nodes`."""

    is_mapping: bool
    is_flow: bool
    start: Position
    nodes: list[Node] = field(default_factory=list)
    names: dict[str, Span] = field(default_factory=dict)

    @property
    def expects_name(self) -> bool:
        return self.is_mapping and len(self.nodes) % 2 == 0


class _Reader:
    """One pass over the events of one file."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._found: list[Diagnostic] = []
        self._stack: list[_Open] = []
        self._root: Node | None = None
        self._last: Scalar | None = None
        self._end: Position = (0, 0)
        self._count = 0

    def read(self, *, pure: bool) -> Document:
        """Return the document, or raise InputError; NotYaml is for `stopped` to explain."""
        for event in events(self._source.text, pure=pure):
            self._take(event)
        root = self._root
        if root is None or (isinstance(root, Scalar) and root.is_empty):
            self._refuse(refusals.empty_file(self._source))
        if any(diagnostic.level is Level.WRONG for diagnostic in self._found):
            raise InputError(self._found)
        return Document(self._source, root, InputError(self._found).diagnostics)

    def stopped(self, slip: NotYaml) -> list[Diagnostic]:
        """Return what was found so far, and the syntax error at which the reading ended."""
        return [*self._found, explained(self._source, slip, self._last)]

    def _take(self, event: Any) -> None:
        match event:
            case yaml.DocumentStartEvent():
                if self._root is not None:
                    self._refuse(refusals.several_documents(self._source, self._span(event)))
            case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                self._open(event)
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                self._close(event)
            case yaml.AliasEvent():
                span = self._span(event)
                self._found.append(refusals.alias(self._source, event.anchor or "", span))
                self._add(_stand_in(f"*{event.anchor}", span))
            case yaml.ScalarEvent():
                self._add(self._scalar(event))

    def _open(self, event: Any) -> None:
        self._bound(event)
        if len(self._stack) >= refusals.DEEPEST:
            self._refuse(refusals.too_deep(self._source, self._span(event)))
        self._found.extend(refusals.properties(self._source, event))
        is_mapping = isinstance(event, yaml.MappingStartEvent)
        self._stack.append(_Open(is_mapping, bool(event.flow_style), _start(event)))

    def _close(self, event: Any) -> None:
        opened = self._stack.pop()
        end = _end(event) if opened.is_flow else opened.start
        span = self._between(opened.start, end)
        node: Mapping | Sequence
        if opened.is_mapping:
            names = [name for name in opened.nodes[::2] if isinstance(name, Scalar)]
            node = Mapping(tuple(zip(names, opened.nodes[1::2], strict=True)), span, opened.is_flow)
        else:
            node = Sequence(tuple(opened.nodes), span, opened.is_flow)
        self._found.extend(slips.in_collection(self._source, node))
        self._add(node)

    def _add(self, node: Node) -> None:
        if not self._stack:
            self._root = node
            return
        opened = self._stack[-1]
        opened.nodes.append(self._name(node, opened) if opened.expects_name else node)

    def _name(self, node: Node, opened: _Open) -> Scalar:
        if not isinstance(node, Scalar) or not node.text:
            self._found.append(refusals.key_not_text(self._source, node.span))
            return _stand_in("", node.span)
        if node.text == "<<" and node.style is Style.PLAIN:
            self._found.append(refusals.merge_key(self._source, node))
        elif node.text in opened.names:
            self._found.append(refusals.duplicate_key(self._source, node, opened.names[node.text]))
        else:
            opened.names[node.text] = node.span
        return node

    def _scalar(self, event: Any) -> Scalar:
        self._bound(event)
        style = Style(event.style or "")
        start, end = _start(event), _end(event)
        if event.tag is not None or event.anchor is not None:
            self._found.extend(refusals.properties(self._source, event))
            return _stand_in(event.value, self._between(start, end))
        if style is Style.PLAIN and not event.value:
            start = end = self._empty_place(start)
        self._check_agreed(style, start)
        anchors = anchors_of(style, self._source.lines, start, end, event.value)
        scalar = Scalar(event.value, self._between(start, end), style, anchors)
        self._check_colon(scalar, start, end)
        self._found.extend(slips.in_scalar(self._source, scalar))
        self._last = scalar
        self._end = end if style not in _BLOCKS else _position(scalar.place(len(scalar.text)))
        return scalar

    def _empty_place(self, mark: Position) -> Position:
        """Return the place after the last sign between the scalar before and the parser's mark.

        The parsers mark a missing value after the spaces, or at the end of a file before its name.
        """
        lines, (line, column) = self._source.lines, mark
        while (line, column) > self._end:
            begin = self._end[1] if line == self._end[0] else 0
            signs = lines[line][begin:column].partition("#")[0].rstrip(" ") if line < len(lines) else ""
            if signs:
                return line, begin + len(signs)
            line -= 1
            column = len(lines[line])
        return self._end

    def _check_agreed(self, style: Style, start: Position) -> None:
        """Refuse `|#`, which only the C parser reads."""
        if style in _BLOCKS:
            line, column = start
            if not _BLOCK_HEADER.match(self._source.lines[line], column + 1):
                raise NotYaml("", "while scanning a block scalar", start, start)

    def _check_colon(self, scalar: Scalar, start: Position, end: Position) -> None:
        """Refuse `[a:]` and `{a:[b]}`, which only the Python parser reads."""
        if scalar.style is not Style.PLAIN or not (self._stack and self._stack[-1].is_flow):
            return
        colon = scalar.text.find(":?")
        if colon >= 0:
            raise NotYaml("found unexpected ':'", "", _position(scalar.place(colon)), start)
        if _CRAMMED_COLON.match(self._source.lines[end[0]], end[1]):
            raise NotYaml("found unexpected ':'", "", end, start)

    def _bound(self, event: Any) -> None:
        self._count += 1
        if self._count > refusals.MOST_NODES:
            self._refuse(refusals.too_many_nodes(self._source, self._span(event)))

    def _refuse(self, diagnostic: Diagnostic) -> NoReturn:
        raise InputError([*self._found, diagnostic])

    def _span(self, event: Any) -> Span:
        line, column = _start(event)
        return self._source.span(line + 1, column + 1)

    def _between(self, start: Position, end: Position) -> Span:
        is_stretch = start[0] == end[0] and end[1] > start[1]
        return self._source.span(start[0] + 1, start[1] + 1, end[1] + 1 if is_stretch else 0)


def _stand_in(text: str, span: Span) -> Scalar:
    """Return a scalar for a node that was refused, so that the reading can go on."""
    return Scalar(text, span, Style.PLAIN, ((0, span.line, span.column),))


def _position(span: Span) -> Position:
    return span.line - 1, span.column - 1


def _start(event: Any) -> Position:
    return event.start_mark.line, event.start_mark.column


def _end(event: Any) -> Position:
    return event.end_mark.line, event.end_mark.column
