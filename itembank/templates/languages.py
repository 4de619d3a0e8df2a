"""Texts by language: `stem: {en: ..., es: ...}` becomes the one text a reader is to have, before anything else is read.

A text that stands alone is in the file's own language. A file is in a language only when every text of it is: an item
never mixes two. Expressions are the same in all languages and stand once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from itembank.templates.reading import Findings
from itembank.words import base_language, fitting
from itembank.words.tags import has_words, in_words, unknown
from itembank.yaml_source import Mapping, Node, Scalar, Sequence

__all__ = ["ByLanguage", "by_language", "own_language"]

TEXT_KEYS = frozenset(
    {"title", "stem", "say", "rejects", "text", "before", "pupil", "teacher", "instructions"}
)
"""The keys whose text may be given by language, wherever they stand."""
SIGN_KEYS = frozenset({"unit"})
"""The same, but one that stands alone serves every language."""

_TAG = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")


@dataclass(frozen=True, slots=True)
class _Text:
    """A text by language, at its mapping."""

    node: Mapping
    texts: dict[str, Scalar]


@dataclass(frozen=True, slots=True)
class ByLanguage:
    """A file with its texts by language. own: the language of texts that stand alone; alone: whether there is one."""

    root: Node
    own: str
    alone: bool
    texts: tuple[_Text, ...]

    def tags(self) -> tuple[str, ...]:
        """The languages the whole file can be read in, its own first."""
        shared = [tag for tag in self.texts[0].texts if tag != self.own] if self.texts else []
        return (self.own, *(tag for tag in shared if self.serves(tag)))

    def serves(self, wanted: str) -> bool:
        """Whether every text of the file serves a reader of a language."""
        if self.alone and base_language(wanted) != base_language(self.own):
            return False
        return all(fitting(wanted, tuple(each.texts)) is not None for each in self.texts)

    def read_in(self, wanted: str) -> tuple[Node, str]:
        """The file with one text at each place, and the language it is in: the wanted one where the file is in it."""
        language = wanted if wanted and self.serves(wanted) else self.own
        return _chosen(self.root, language, self.own), language

    def tags_read(self, wanted: str) -> frozenset[str]:
        """The tags of the texts that a reader of a language gets; there is none for texts that stand alone."""
        return frozenset(fitting(wanted, tuple(each.texts)) or self.own for each in self.texts)

    def read_for(self, wanted: str) -> Node:
        """The file for a reader of a language, each text in it where there is one, else in the file's own."""
        return _chosen(self.root, wanted or self.own, self.own)


def by_language(root: Node, findings: Findings, own: str = "en") -> ByLanguage:
    """The texts of a file by language; what is wrong with them goes to `findings`.

    own: the language of the file where it does not say so itself (`language: es`).
    """
    own = own_language(root, own)
    _check_tags(root, findings)
    texts = []
    alone = False
    for node in _texts(root):
        if isinstance(node, Scalar):
            alone = True
        elif isinstance(node, Mapping) and (text := _by_language(node, own, findings)) is not None:
            texts.append(text)
    return ByLanguage(root, own, alone, tuple(texts))


def _check_tags(root: Node, findings: Findings) -> None:
    """Tags of languages that there are not are wrong; those of which the house has no words are doubtful, once each."""
    stated = root.get("language") if isinstance(root, Mapping) else None
    tags = [stated] if isinstance(stated, Scalar) else []
    for node in _texts(root):
        tags += [key for key, _ in node.entries] if isinstance(node, Mapping) else []
    told: set[str] = set()
    for tag in tags:
        if not _TAG.fullmatch(tag.text):
            continue  # told elsewhere
        if (wrong := unknown(tag.text)) is not None:
            hint = f"did you mean `{wrong.meant}`?" if wrong.meant else "write a tag such as en, es or en-US"
            findings.add(
                "wrong-language",
                f"there is no language tag `{tag.text}`: {wrong.reason}",
                tag.span,
                hint=hint,
            )
        elif not has_words(tag.text) and base_language(tag.text) not in told:
            told.add(base_language(tag.text))
            findings.doubt(
                "no-words-for-language",
                f"nothing here is translated into `{tag.text}`: beside these texts, what papers and packages say "
                "themselves (headings, instructions, what formulas sound like) is in English",
                tag.span,
                hint=f"there are words in {in_words()}; another language is a file of words away (DEVELOPERS.md)",
            )


def own_language(root: Node, usual: str = "en") -> str:
    """The language a file says it is in (`language: es`)."""
    stated = root.get("language") if isinstance(root, Mapping) else None
    return stated.text if isinstance(stated, Scalar) and _TAG.fullmatch(stated.text) else usual


def _by_language(node: Mapping, own: str, findings: Findings) -> _Text | None:
    texts: dict[str, Scalar] = {}
    for key, value in node.entries:
        if not _TAG.fullmatch(key.text):
            findings.add(
                "wrong-language", f"`{key.text}` is no language tag", key.span, hint="write en, es or en-US"
            )
        elif not isinstance(value, Scalar) or not value.text.strip():
            findings.add("empty-text", f"a text is missing for `{key.text}`", key.span)
        else:
            texts[key.text] = value
    if texts and fitting(own, tuple(texts)) is None:
        findings.add(
            "own-language-missing",
            f"there is no text in the file's own language, {own}",
            node.span,
            hint=f"add a line `{own}: ...`, or say `language:` at the head of the file",
        )
        return None
    return _Text(node, texts) if texts else None


def _texts(node: Node) -> Iterator[Node]:
    """Everything that stands under a key of texts, each text by itself."""
    match node:
        case Mapping(entries):
            for key, value in entries:
                if key.text in TEXT_KEYS:
                    yield from value.items if isinstance(value, Sequence) else (value,)
                elif key.text in SIGN_KEYS and isinstance(value, Mapping):
                    yield value
                elif key.text == "parameters" and isinstance(value, Mapping):
                    yield from _words_by_language(value)
                else:
                    yield from _texts(value)
        case Sequence(items):
            for item in items:
                yield from _texts(item)


def _words_by_language(parameters: Mapping) -> Iterator[Mapping]:
    """The words of rows that are given by language; others are columns that a text of any language may name."""
    for _, parameter in parameters.entries:
        rows = parameter.get("rows") if isinstance(parameter, Mapping) else None
        for row in rows.items if isinstance(rows, Sequence) else ():
            words = [word for _, word in row.entries] if isinstance(row, Mapping) else []
            yield from (word for word in words if isinstance(word, Mapping))


def _chosen(node: Node, language: str, own: str) -> Node:
    match node:
        case Mapping(entries):
            changed = tuple(
                (
                    key,
                    _text_in(value, language, own)
                    if key.text in TEXT_KEYS | SIGN_KEYS
                    else _words_in(value, language, own)
                    if key.text == "parameters"
                    else _chosen(value, language, own),
                )
                for key, value in entries
            )
            return replace(node, entries=changed)
        case Sequence(items):
            return replace(node, items=tuple(_chosen(item, language, own) for item in items))
        case _:
            return node


def _words_in(node: Node, language: str, own: str) -> Node:
    """Parameters with the words of their rows in one language."""
    match node:
        case Mapping(entries):
            changed = tuple(
                (
                    key,
                    _words_of_rows(value, language, own)
                    if key.text == "rows"
                    else _words_in(value, language, own),
                )
                for key, value in entries
            )
            return replace(node, entries=changed)
        case _:
            return node


def _words_of_rows(node: Node, language: str, own: str) -> Node:
    match node:
        case Sequence(items):
            return replace(node, items=tuple(_words_of_rows(item, language, own) for item in items))
        case Mapping(entries):
            return replace(node, entries=tuple((key, _text_in(word, language, own)) for key, word in entries))
        case _:
            return node


def _text_in(node: Node, language: str, own: str) -> Node:
    match node:
        case Sequence(items):
            return replace(node, items=tuple(_text_in(item, language, own) for item in items))
        case Mapping(entries):
            tags = tuple(key.text for key, _ in entries)
            found = fitting(language, tags) or fitting(own, tags)
            return next((value for key, value in entries if key.text == found), node)
        case _:
            return node
