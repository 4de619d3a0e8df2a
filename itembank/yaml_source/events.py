"""PyYAML's events from a text, by its C parser or its Python one; the only module that calls PyYAML.

Only events are asked for: no tag is resolved, no object built, no text read as a number or a truth value.
Where the two parsers differ, the C one is followed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from itembank.yaml_source.places import Position

HAS_C_PARSER: bool = yaml.__with_libyaml__


class NotYaml(Exception):
    """What the parser could not read. It never leaves this room.

    problem, context: the parser's words. place: where it stopped. began: where the thing it was reading
    begins, `place` where the parser does not say. Places count from 0, as in the parser's marks.
    """

    def __init__(self, problem: str, context: str, place: Position, began: Position) -> None:
        self.problem, self.context = problem, context
        self.place, self.began = place, began
        super().__init__(problem)


def events(text: str, *, pure: bool = False) -> Iterator[Any]:
    """Yield the events of a text one by one, each only when it is asked for.

    text: without a byte order mark or control characters. pure: use the Python parser even where there is
    a C one. Raises NotYaml at the first thing that is not YAML.
    """
    parser: Any = _PurePlain(text) if pure or not HAS_C_PARSER else yaml.CSafeLoader(text)
    try:
        while parser.check_event():
            yield parser.get_event()
    except yaml.MarkedYAMLError as error:
        raise _not_yaml(error) from None
    except (ValueError, OverflowError):
        # The Python parser hands every "\U........" to chr() and lets its refusal through.
        mark = _position(parser.get_mark())
        raise NotYaml("found unknown escape character", "", mark, mark) from None
    finally:
        parser.dispose()


class _PurePlain(yaml.SafeLoader):
    """The Python parser, with question marks allowed inside a plain text in brackets as in the C parser."""

    _is_in_plain = False

    def scan_plain(self) -> Any:
        self._is_in_plain = True
        token = super().scan_plain()
        self._is_in_plain = False
        return token

    def peek(self, index: int = 0) -> str:
        character: str = super().peek(index)
        return "_" if self._is_in_plain and character == "?" else character


def _not_yaml(error: yaml.MarkedYAMLError) -> NotYaml:
    mark = error.problem_mark or error.context_mark
    place = _position(mark) if mark else (0, 0)
    began = _position(error.context_mark) if error.context_mark else place
    return NotYaml(error.problem or "", error.context or "", place, began)


def _position(mark: Any) -> Position:
    return mark.line, mark.column
