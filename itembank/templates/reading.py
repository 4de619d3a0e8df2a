"""From YAML nodes to a validated shape, with errors told at the author's own places and in the author's words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from itembank.errors import Diagnostic, Level, Span
from itembank.expressions.vocabulary import nearest
from itembank.yaml_source import Mapping, Node, Scalar, Sequence, Source, Style

Model = TypeVar("Model", bound=BaseModel)

_PATTERNS_IN_WORDS = {
    "minutes": "write a number of minutes below 100, such as 3 or 2.5",
    "language": "write a language tag, such as en, es or en-US",
    "time": "write a number of minutes, such as 60, or none",
    "case": "write its whole address, from https:// on",
    "guid": "write 32 hexadecimal digits in groups of 8, 4, 4, 4 and 12, joined by hyphens",
}


class Findings:
    """Collects what is wrong and what is doubtful, each with the source line it stands on."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.diagnostics: list[Diagnostic] = []
        self._causes: dict[tuple[str, str], int] = {}

    def add(
        self,
        code: str,
        message: str,
        span: Span,
        *,
        hint: str = "",
        level: Level = Level.WRONG,
        related: tuple[Span, str] | None = None,
        cause: str = "",
    ) -> None:
        """One more diagnostic, or one more place of it.

        cause: what makes it so wherever it strikes, such as a letter nobody declared. What has one in common is told
        once, at its first place, with the other places.
        """
        excerpt = self.source.line(span.line) if span.path == self.source.path and span.line >= 1 else ""
        told = Diagnostic(code, message, span, level, excerpt, hint, related)
        known = (
            self._causes.setdefault((code, cause), len(self.diagnostics)) if cause else len(self.diagnostics)
        )
        if told in self.diagnostics:
            return  # what parts share is read for each of them
        if known == len(self.diagnostics):
            self.diagnostics.append(told)
        else:
            self.diagnostics[known] = _joined(self.diagnostics[known], told)

    def doubt(self, code: str, message: str, span: Span, *, hint: str = "") -> None:
        """Something doubtful."""
        self.add(code, message, span, hint=hint, level=Level.DOUBTFUL)

    @property
    def wrong(self) -> bool:
        """Whether anything stops the work."""
        return any(d.level is Level.WRONG for d in self.diagnostics)


def _joined(first: Diagnostic, second: Diagnostic) -> Diagnostic:
    """Two of one cause as one diagnostic, told as at the earlier place."""
    if first.span is None or second.span is None:
        return first
    told = second if second.span < first.span else first
    places = {first.span, second.span, *first.also, *second.also} - {told.span}
    return replace(told, also=tuple(sorted(each for each in places if each is not None)))


def as_data(node: Node) -> Any:
    """The node as dicts, lists and raw texts."""
    match node:
        case Scalar(text):
            return text
        case Mapping(entries):
            return {key.text: as_data(value) for key, value in entries}
        case Sequence(items):
            return [as_data(item) for item in items]


def at(root: Node, path: Iterable[str | int]) -> Node:
    """The node at a path, or the deepest one on the way where the path goes on."""
    node = root
    for step in path:
        below: Node | None = None
        if isinstance(node, Mapping) and isinstance(step, str):
            below = node.get(step)
        elif isinstance(node, Sequence) and isinstance(step, int) and step < len(node.items):
            below = node.items[step]
        if below is None:
            return node
        node = below
    return node


def key_span(root: Node, path: tuple[str | int, ...]) -> Span:
    """The place of the key a path ends in, or of what the path leads to."""
    above = at(root, path[:-1])
    if isinstance(above, Mapping) and isinstance(path[-1], str):
        key = above.key(path[-1])
        if key is not None:
            return key.span
    return at(root, path).span


MOST_TOLD = 200
"""Mismatches of a file that are told one by one: each is compared with all that the file and its shape hold."""


def validated(root: Node, model: type[Model], findings: Findings) -> Model | None:
    """The shape of a file, or None with every mismatch told."""
    if not isinstance(root, Mapping):
        findings.add("not-a-mapping", "this file must be a list of `key: value` lines", root.span)
        return None
    try:
        return model.model_validate(as_data(root))
    except ValidationError as invalid:
        found = invalid.errors(include_url=False)
        errors = [(_path(error), error) for error in found[:MOST_TOLD]]
        spelled = {
            (*path[:-1], _meant(str(path[-1]), _known_keys(model, path[:-1])))
            for path, error in errors
            if error["type"] == "extra_forbidden"
        }
        lists = {path for path, error in errors if error["type"] in _LISTS}
        for path, error in errors:
            is_cut = (
                error["type"] == "extra_forbidden" and (*path[:-1], _cut_by_comma(root, path)[0]) in lists
            )
            if not is_cut and (error["type"] != "missing" or path not in spelled):
                _tell(root, model, path, error, findings)
        if len(found) > MOST_TOLD:
            told = f"{len(found) - MOST_TOLD} more lines of this file are not as they should be"
            findings.add(
                "many-faults", told, root.span, hint="is it a file of this kind? mend the first ones"
            )
        return None


def _path(error: Any) -> tuple[str | int, ...]:
    return tuple(step for step in error["loc"] if step != "[key]")


def _form_of_an_entry(root: Node, path: tuple[str | int, ...], given: str) -> str:
    """Where an entry has its forms, told to who gives it the one of a choice's options; "" elsewhere."""
    kind = at(root, (*path[:-1], "kind"))
    if path[-2:] != ("response", "form") or not isinstance(kind, Scalar) or kind.text != "entry":
        return ""
    return f"an entry has its forms at its blanks: blanks: {{x: {{form: {given}}}}}"


def _tell(
    root: Node, model: type[BaseModel], path: tuple[str | int, ...], error: Any, findings: Findings
) -> None:
    kind = error["type"]
    node = at(root, path)
    name = next((str(step) for step in reversed(path) if isinstance(step, str) and step), "")
    where = f"`{name}`" if name else "this"
    if kind == "extra_forbidden" and (before := _cut_by_comma(root, path))[0]:
        findings.add(
            "unknown-key",
            f"the comma before `{path[-1]}` ends the text of `{before[0]}`: in curly brackets every comma does",
            key_span(root, path),
            hint=_uncut(*before),
            cause=f"cut {path[:-1]} {before[0]}",
        )
    elif kind == "extra_forbidden":
        known = _known_keys(model, path[:-1])
        near = _meant(str(path[-1]), known)
        within = _within(model, path)
        hint = f"did you mean `{near}`?" if near else f"known here: {', '.join(known)}"
        hint = f"it belongs into `{within}`" if within else hint
        findings.add("unknown-key", f"`{path[-1]}` is no key of this place", key_span(root, path), hint=hint)
    elif kind == "missing":
        findings.add(
            "missing-key",
            f"`{path[-1]}` is missing",
            at(root, path[:-1]).span,
            hint=_missing(root, path),
        )
    elif kind == "literal_error":
        words = [word for word in re.findall(r"'([^']*)'", error["ctx"]["expected"]) if word]
        allowed = _alternatives(words)
        given = node.text if isinstance(node, Scalar) else "this"
        near = _meant(given, words)
        hint = f"did you mean `{near}`?" if near else _form_of_an_entry(root, path, given)
        findings.add("unknown-word", f"{where} is one of {allowed}, not `{given}`", node.span, hint=hint)
    elif kind == "int_type":
        said = str(path[-1]) if path else "it"
        findings.add(
            "not-a-number",
            f"{where} needs one whole number, not {_kind(node)}",
            node.span,
            hint=f"write {said}: 2, with the number that is wanted",
        )
    elif kind == "string_type":
        hint = _quoting(node, str(path[-1]) if path else "")
        findings.add("text-needed", f"{where} needs one text, not {_kind(node)}", node.span, hint=hint)
    elif kind in _LISTS:
        findings.add(
            "list-needed",
            f"{where} needs a list, not {_kind(node)}",
            node.span,
            hint="write [a, b] or lines with `- `",
        )
    elif kind in {"dict_type", "model_type", "model_attributes_type"}:
        hint = _mapping(path, node)
        findings.add(
            "mapping-needed", f"{where} needs `key: value` lines, not {_kind(node)}", node.span, hint=hint
        )
    elif kind == "string_too_short":
        findings.add("empty-text", f"{where} needs a text", node.span)
    elif kind in {"too_long", "too_short"}:
        code, message = _number_of_things(where, error["ctx"])
        findings.add(code, message, node.span)
    elif kind in _BOUNDS:
        most, right = _BOUNDS[kind]
        bound = next(iter(error["ctx"].values()))
        given = node.text if isinstance(node, Scalar) else "this"
        message = f"{where} is {'at most' if most else 'at least'} {bound}, not {given}"
        findings.add("wrong-value", message, node.span, hint=f"write {right.format(bound)}")
    elif kind == "value_error":
        findings.add("wrong-value", f"{where}: {error['ctx']['error']}", _error_span(root, error, node))
    elif kind == "string_pattern_mismatch":
        given = node.text if isinstance(node, Scalar) else "this"
        hint = _PATTERNS_IN_WORDS.get(str(path[-1]), "") if path else ""
        findings.add("wrong-value", f"{where} cannot be `{given}`", _error_span(root, error, node), hint=hint)
    else:
        findings.add("wrong-value", f"{where}: {error['msg']}", node.span)


def _cut_by_comma(root: Node, path: tuple[str | int, ...]) -> tuple[str, str]:
    """The key whose text a comma in curly brackets has cut, and the whole text; ("", "") where none has."""
    above = at(root, path[:-1])
    if not isinstance(above, Mapping) or not above.is_flow:
        return "", ""
    cut, whole, is_cut = "", "", False
    for key, value in above.entries:
        if isinstance(value, Scalar) and value.is_empty and cut:
            whole += f", {key.text}"
            is_cut |= key.text == path[-1]
        elif is_cut:
            break
        else:
            is_text = isinstance(value, Scalar) and value.style is Style.PLAIN and not value.is_empty
            cut, whole = (key.text, value.text) if isinstance(value, Scalar) and is_text else ("", "")
    return (cut, whole) if is_cut else ("", "")


def _uncut(key: str, whole: str) -> str:
    """What to write where a comma has cut a text, a decimal with a comma, or a list without brackets."""
    pieces = whole.split(", ")
    if not all(re.fullmatch(r"-?[0-9./]+", piece) for piece in pieces):
        return f"put the whole text in quotes: {key}: '{whole.replace(chr(39), 2 * chr(39))}'"
    listed = f"a list in square brackets, {key}: [{whole}]"
    return (
        f"write {listed}; or a decimal with a point, {'.'.join(pieces)}"
        if len(pieces) == 2
        else f"write {listed}"
    )


_LISTS = {"list_type", "tuple_type"}
_BOUNDS = {
    "greater_than_equal": (False, "{} or more"),
    "less_than_equal": (True, "{} or less"),
}
"""What is wrong with a number that is out of bounds: whether the bound is the most, and what would be right."""


def _number_of_things(where: str, bounds: dict[str, Any]) -> tuple[str, str]:
    """Code and message for a list that is too long or too short."""
    given, least, most = bounds["actual_length"], bounds.get("min_length"), bounds.get("max_length")
    if most is not None:
        return "too-many", f"{where} holds at most {most}, here are {given}"
    if least == 1:
        return "empty-list", f"{where} must not be empty"
    return "too-few", f"{where} holds at least {least}, here {'is 1' if given == 1 else f'are {given}'}"


_MEANT = {
    "min": "from", "max": "to", "start": "from", "end": "to", "except": "leaving_out", "exclude": "leaving_out",
    "excluding": "leaving_out", "without": "leaving_out", "answer": "key value", "answers": "key", "key": "value",
    "correct": "key right", "question": "stem", "prompt": "stem", "text": "stem say", "equation": "problem math",
    "distractors": "slips", "name": "slip template", "id": "template slip", "use": "slip", "type": "kind",
    "variables": "parameters", "domain": "unknowns", "conditions": "constraints", "where": "constraints",
    "working": "solution", "steps": "solution", "line": "math", "step": "math", "formula": "math problem",
    "explanation": "say", "comment": "say", "note": "say", "feedback": "pupil", "points": "marks", "score": "marks",
    "subject": "topics", "tags": "topics",
    "multiple-choice": "choice", "mcq": "choice", "single": "choice", "multiple-response": "choices", "numeric":
    "entry", "number": "integer", "whole": "integer", "ordering": "order", "sort": "order", "matching": "match",
    "essay": "written", "text-entry": "entry", "fill-in": "entry", "short-answer":
    "entry", "true": "yes", "false": "no", "recall": "know", "apply": "use",
    "prove": "reason", "pdf": "latex", "word": "docx", "qti": "qti3", "imscc": "cc", "web": "html",
}  # fmt: skip
"""What people write elsewhere, and what it is called at one place or another here. Common practice, no source."""


def _meant(given: str, known: Iterable[str]) -> str:
    """The known word that a given one stands for or is most like, "" for none."""
    words = list(known)
    meant = (word for word in _MEANT.get(given.lower(), "").split() if word in words)
    return next(meant, "") or nearest(given, words)


def _missing(root: Node, path: tuple[str | int, ...]) -> str:
    """What to write where a key is missing, by the kind of response that stands beside it."""
    beside = at(root, path[:-1])
    response = beside.get("response") if isinstance(beside, Mapping) else None
    kind = response.get("kind") if isinstance(response, Mapping) else None
    said = kind.text if isinstance(kind, Scalar) and path[-1] in {"problem", "key"} else ""
    match said:
        case "order" if isinstance(response, Mapping) and isinstance(
            values := response.get("values"), Sequence
        ):
            first = next((item.text for item in values.items if isinstance(item, Scalar)), "...")
            return (
                f"add a line `{path[-1]}: {first}`: of numbers in order the first is `problem` and `key`, and lines of "
                "a solution may rewrite it"
            )
        case "match":
            return f"add a line `{path[-1]}: ...`: the first row is `problem` and `key`, and `rows` are those below it"
        case _:
            return f"add a line `{path[-1]}: {'1' if path == ('version',) else '...'}`"


_NUMBER = r"(-?\d+(?:\.\d+)?)"
_ENDS = re.compile(
    rf"{_NUMBER}\s*(?:\.\.+|…|–|-|to|until)\s*{_NUMBER}|[A-Za-z_.]+\(\s*{_NUMBER}\s*,\s*{_NUMBER}\s*\)"
)
"""A range as people write one: 1..4, 1 to 4, 1-4, random(1, 4)."""


def _mapping(path: tuple[str | int, ...], node: Node) -> str:
    """What to write where `key: value` lines are needed."""
    if path[-2:-1] == ("solution",) and isinstance(node, Scalar):
        key = "say" if " " in node.text and not re.search(r"[=<>^]", node.text) else "math"
        return f"write - {key}: {node.text}"
    given = node.text if isinstance(node, Scalar) and re.fullmatch(r"[a-z-]+", node.text) else ""
    if isinstance(node, Scalar) and len(said := re.findall(r"(\w+)\s*=(?!=)", node.text)) > 1:
        return f"write each on a line of its own with a colon, as in {said[0]}: ..."
    if isinstance(node, Scalar) and (changed := re.fullmatch(r"(\w+)\s*=\s*(.+)", node.text)):
        return f"write {{{changed[1]}: {changed[2]}}}"
    if isinstance(node, Sequence) and node.items and all(isinstance(item, Mapping) for item in node.items):
        return "take the dashes and brackets of the list out: each name stands for itself"
    if path[-2:-1] == ("parameters",) and isinstance(node, Scalar) and (range_ := _ENDS.fullmatch(node.text)):
        first, last = filter(None, range_.groups())
        return f"write {{from: {first}, to: {last}}}: each item takes a value of its own"
    if path[-2:-1] == ("parameters",) and isinstance(node, Scalar) and "," in node.text:
        return f"write a list in square brackets: [{node.text}]"
    if path[-2:-1] == ("parameters",):
        return "write {from: 2, to: 9}, or a list of values"
    if path[-1:] == ("response",):
        return f"write {{kind: {given or 'choice'}, ...}}, as in {{kind: choice, options: 4}}"
    if path[-1:] == ("figure",):
        return f"write {{kind: {given or 'parabola'}, of: ...}}"
    if path[:-1] == ("statements",) and isinstance(node, Scalar):
        return f"write {{says: {node.text}}}"
    if path == ("lint",):
        named = (item.text for item in getattr(node, "items", ()) if isinstance(item, Scalar))
        return f"give the rule a reason: {{{next(named, given or 'long-stem')}: why it is so here}}"
    return f"write {{form: {given or 'integer'}}}" if path[-2:-1] == ("blanks",) else ""


def _alternatives(words: list[str]) -> str:
    *most, last = (f"`{word}`" for word in words)
    return f"{', '.join(most)} or {last}" if most else last


def _error_span(root: Node, error: Any, node: Node) -> Span:
    loc = tuple(error["loc"])
    if "[key]" in loc:
        return key_span(root, tuple(step for step in loc if step != "[key]"))
    return node.span


def _kind(node: Node) -> str:
    match node:
        case Scalar(text):
            return f"the text `{text[:40]}`" if text else "nothing"
        case Mapping():
            return "`key: value` lines"
        case Sequence():
            return "a list"


def _quoting(node: Node, key: str) -> str:
    if isinstance(node, Scalar):
        return ""
    if isinstance(node, Sequence) and key in {"problem", "key", "value", "math", "aside"}:
        return "join what holds together by `and`, alternatives by `or`: x + y = 5 and x - y = 1"
    return "put the text in quotes if it holds `: `, brackets or braces"


def _known_keys(model: type[BaseModel], path: tuple[str | int, ...]) -> list[str]:
    """The keys a model knows at a path; follows field annotations down, through lists and named mappings."""
    here: type[BaseModel] | None = model
    is_name = False
    for step in path:
        if isinstance(step, int) or here is None:
            continue
        if is_name:
            is_name = False
            continue
        field = next((f for n, f in here.model_fields.items() if (f.alias or n) == step), None)
        here = _model_in(field.annotation) if field is not None else None
        is_name = field is not None and _is_named(field.annotation)
    if here is None or is_name:
        return []
    return [field.alias or name for name, field in here.model_fields.items()]


def _within(model: type[BaseModel], path: tuple[str | int, ...]) -> str:
    """The key beside which an unknown one stands though it belongs into it; "" for none."""
    places = _known_keys(model, path[:-1])
    for place in places:
        below = (*path[:-1], place)
        if path[-1] in {*_known_keys(model, below), *_known_keys(model, (*below, "any name"))}:
            return place
    return ""


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for inner in get_args(annotation) if (found := _model_in(inner)) is not None), None)


def _is_named(annotation: Any) -> bool:
    """Whether names of the author's own lead to the models: `parameters`, `blanks`."""
    return any(get_origin(part) is dict for part in (annotation, *get_args(annotation)))
