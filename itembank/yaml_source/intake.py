"""From a file or its bytes to a text that can be read: size, encoding, characters, tabs.

What is refused here is refused before any parser sees it, so that both parsers see the same lines.
"""

from __future__ import annotations

import codecs
import re
import stat
from collections.abc import Iterator
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span
from itembank.yaml_source.nodes import LINE_END, Source

LARGEST_FILE = 1024 * 1024
"""Bytes a file may have."""

CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
"""Characters no text of a bank may hold, however they got there."""

_WIDE_MARKS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_SAVE_AS_UTF_8 = "save the file as UTF-8 (in the editor: Save As, encoding UTF-8)"
_TAB = re.compile(r"^( *)\t[ \t]*|\t", re.MULTILINE)


def read_bytes(path: Path, shown_as: str) -> bytes:
    """Return the bytes of an ordinary file, at most LARGEST_FILE + 1 of them.

    Raises InputError `not-readable` for a missing file, a folder, a device, or one that may not be read.
    """
    try:
        # A device or pipe may never end, or never begin; asked before it is opened.
        if not stat.S_ISREG(path.stat().st_mode):
            found = "a folder" if path.is_dir() else "not an ordinary file"
            raise _whole_file("not-readable", f"`{shown_as}` is {found}", shown_as, "name a YAML file")
        with path.open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        raise _whole_file(
            "not-readable", f"there is no file `{shown_as}`", shown_as, "check the name and the folder"
        ) from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise _whole_file(
            "not-readable", f"`{shown_as}` cannot be read: {reason}", shown_as, "check who may read the file"
        ) from None


def source_of(data: bytes, shown_as: str) -> Source:
    """Return the text of a file, without a UTF-8 byte order mark.

    Raises InputError: `file-too-large`, `wrong-encoding`, `tab-indentation`, `tab-in-text`.
    """
    if len(data) > LARGEST_FILE:
        raise _whole_file(
            "file-too-large",
            f"the file is larger than {LARGEST_FILE // 1024} KiB",
            shown_as,
            "split it into several files",
        )
    for mark, name in _WIDE_MARKS:
        if data.startswith(mark):
            message = f"the file is saved as {name}, not as UTF-8"
            raise _whole_file("wrong-encoding", message, shown_as, _SAVE_AS_UTF_8)
    if data[1:2] == b"\0" or data[:1] == b"\0" != data[1:2]:
        message = "the file is saved as UTF-16, not as UTF-8"
        raise _whole_file("wrong-encoding", message, shown_as, _SAVE_AS_UTF_8)
    source = Source(shown_as, _decoded(data.removeprefix(codecs.BOM_UTF8), shown_as))
    if found := [*_control_characters(source), *_tabs(source)]:
        raise InputError(found)
    return source


def _decoded(data: bytes, shown_as: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = LINE_END.split(data[: error.start].decode("utf-8"))
        span = Span(shown_as, len(before), len(before[-1]) + 1)
        byte = data[error.start]
        guess = bytes([byte]).decode("cp1252", errors="ignore")
        meant = f"; it may be `{guess}` of an older encoding" if guess.isprintable() and guess else ""
        # Split as text, not as bytes: elsewhere in the file a byte such as 0x85 is part of a character.
        line = LINE_END.split(data.decode("utf-8", errors="replace"))[len(before) - 1]
        message = f"the byte {byte:02X} here is not UTF-8{meant}"
        excerpt = CONTROLS.sub("\ufffd", line)
        raise InputError(
            Diagnostic("wrong-encoding", message, span, excerpt=excerpt, hint=_SAVE_AS_UTF_8)
        ) from None


def _control_characters(source: Source) -> Iterator[Diagnostic]:
    """Tell the first invisible character that cannot be in a text, and how many there are."""
    found = list(CONTROLS.finditer(source.text))
    if not found:
        return
    span = _span(source, found[0].start())
    character = found[0][0]
    name = "NUL" if character == "\0" else f"U+{ord(character):04X}"
    excerpt = CONTROLS.sub("\ufffd", source.line(span.line))
    hint = _SAVE_AS_UTF_8 if character == "\0" else f"delete the invisible character, or {_SAVE_AS_UTF_8}"
    message = f"an invisible control character ({name}) stands here{_and_more(len(found) - 1)}"
    yield Diagnostic("wrong-encoding", message, span, excerpt=excerpt, hint=hint)


def _tabs(source: Source) -> Iterator[Diagnostic]:
    """Tell the first tab at the beginning of a line, and the first one elsewhere.

    The two parsers do not agree on which tabs they pass over, and nobody sees a tab.
    """
    found = list(_TAB.finditer(source.text.replace("\r", "\n")))
    leading = [tab.end(1) for tab in found if tab[1] is not None]
    others = [tab.start() for tab in found if tab[1] is None]
    if leading:
        yield source.diagnostic(
            "tab-indentation",
            f"this line is indented with a tab{_and_more(len(leading) - 1)}",
            _span(source, leading[0], 1),
            hint="indent with spaces: in the editor, replace every tab by two spaces",
        )
    if others:
        yield source.diagnostic(
            "tab-in-text",
            f"a tab stands here{_and_more(len(others) - 1)}",
            _span(source, others[0], 1),
            hint="write a space instead of the tab",
        )


def _and_more(count: int) -> str:
    return f", and {count} more in this file" if count else ""


def _span(source: Source, index: int, length: int = 0) -> Span:
    before = LINE_END.split(source.text[:index])
    column = len(before[-1]) + 1
    return source.span(len(before), column, column + length if length else 0)


def _whole_file(code: str, message: str, shown_as: str, hint: str) -> InputError:
    return InputError(Diagnostic(code, message, Span(shown_as, 1, 1), hint=hint))
