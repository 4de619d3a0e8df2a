"""Which of the known answers a text names: by its wording, by a letter, or by what it means."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final

from itembank.analysis.keys import ANOTHER, RIGHT, Question
from itembank.analysis.meanings import Meaning, meaning_of, of_list, of_values, readings
from itembank.analysis.responses import Answer, State
from itembank.analysis.worked_out import Looks, looks_of
from itembank.items import WORD_NAMES

__all__ = [
    "Letters", "answered", "entered_as", "entry_mark", "is_left_to_work_out", "known_text", "letter_of", "named_in",
]  # fmt: skip

Letters = Mapping[str, str]
"""Letter as printed -> name of the option in `items.json`."""

_LINE: Final = re.compile(r"(?:l|line|línea)?\s*([0-9]{1,2})", re.IGNORECASE)
_LETTER: Final = re.compile(
    r"(?:option|opción|choice|answer|antwort|respuesta)?\s*[(\[]?([a-z])[)\].:]{0,2}", re.IGNORECASE
)
_LETTERED: Final = re.compile(r"[(\[]?[a-z][)\].:]{1,2}\s*(?=\S)", re.IGNORECASE)
"""A letter before the text of an option: it says nothing where a platform shuffles them."""
_PAIR: Final = re.compile(r"R?([0-9]{1,2})\W*([A-Z])(?![A-Za-z])")
_ATTRIBUTES: Final = re.compile(r"<([a-z]+)\b[^>]*?(/?)>")
_UNSEEN: Final = str.maketrans({"−": "-", "\u2061": "", "\u2062": ""})
_NOTED: Final = re.compile(r"<annotation(-xml)?\b.*?</annotation(-xml)?>", re.DOTALL)


def named_in(text: str, question: Question, letters: Letters) -> tuple[str, ...]:
    """Names of known answers in what somebody chose or typed; () where a choice names none of its options.

    Several letters where one was to be chosen are another answer.
    letters: of options as printed for this pupil. What is typed into boxes is RIGHT, a slip or ANOTHER. Of a choice
    with several right options the texts stand apart by semicolons, bars or lines, letters by anything. A match is told
    by pairs, `1 C, 2 E`, or by a letter for each row in their order.
    """
    match question.kind:
        case "entry":
            return (_entered(text, question),)
        case "written":
            return (ANOTHER,)
        case "match":
            pairs = tuple(f"{row} {target}" for row, target in _PAIR.findall(text))
            names = {offered.name for offered in question.offered}
            if not pairs and _is_letters(text.upper()):
                rows = sorted({int(name.split()[0]) for name in names})
                letters_alone = re.findall(r"[A-Z]", text.upper())
                if len(letters_alone) == len(rows):
                    pairs = tuple(f"{row} {target}" for row, target in zip(rows, letters_alone, strict=True))
            return pairs if pairs and set(pairs) <= names else ()
        case "order":
            found = tuple(re.findall(r"[A-Z]", text.upper() if _is_letters(text.upper()) else text))
            wanted = question.offered[0].name.split()
            return (" ".join(found),) if sorted(found) == sorted(wanted) else ()
        case _:
            return _chosen(text, question, letters)


def _chosen(text: str, question: Question, letters: Letters) -> tuple[str, ...]:
    one = _option(text, question, letters)
    if one or question.kind != "choices":
        several = re.findall(r"[A-Z]", text.upper()) if _is_letters(text.upper()) else []
        if question.kind == "choice" and len(set(several)) > 1 and letters.keys() >= set(several):
            return (ANOTHER,)
        return (one,) if one else ()
    for pieces in (re.split(r"\s*[;|\n]\s*", text), re.findall(r"[A-Z]", text) if _is_letters(text) else []):
        names = [_option(piece, question, letters) for piece in pieces if piece]
        if names and all(names):
            return tuple(dict.fromkeys(names))
    return ()


def _is_letters(text: str) -> bool:
    return re.fullmatch(r"[A-Z](?:[\s,;/&+]*[A-Z])*", text) is not None


def _option(text: str, question: Question, letters: Letters) -> str:
    """The name of one option, "" for none."""
    wanted = known_text(text)
    for offered in question.offered:
        if wanted and wanted in {known_text(each) for each in (offered.text, offered.latex, offered.mathml)}:
            return offered.name
    if question.kind == "wrong-line":
        found = _LINE.fullmatch(text)
        return found[1] if found and any(found[1] == each.name for each in question.offered) else ""
    if (letter := letter_of(text)) in letters:
        return letters[letter]
    if told := _LETTERED.match(text):
        return _option(text[told.end() :], question, {})
    means = set(readings(text))
    alike = [each.name for each in question.offered if means and meaning_of(each.text) in means]
    return alike[0] if len(alike) == 1 else ""


def letter_of(text: str) -> str:
    """The letter of an option that is all that a text says, as a capital; "" for none.

    >>> letter_of("b)"), letter_of("Option C."), letter_of("(d)"), letter_of("x = 2")
    ('B', 'C', 'D', '')
    """
    told = _LETTER.fullmatch(text.strip())
    return told[1].upper() if told else ""


@lru_cache(maxsize=65_536)
def known_text(text: str) -> str:
    """A text without what platforms change on the way: blanks, kinds of minus signs, delimiters, attributes of MathML.

    >>> known_text("$ x = -3 $") == known_text("x=−3"), known_text('<math a="b"><mi>x</mi></math>')
    (True, '<math><mi>x</mi></math>')
    """
    if text.lstrip().startswith("<"):
        text = re.sub(r"</?semantics>", "", _NOTED.sub("", _ATTRIBUTES.sub(r"<\1\2>", text)))
    text = "".join(text.split()).translate(_UNSEEN)
    for opening, closing in (("$$", "$$"), ("$", "$"), ("\\(", "\\)"), ("\\[", "\\]")):
        if text.startswith(opening) and text.endswith(closing) and len(text) > len(opening) + len(closing):
            text = text[len(opening) : -len(closing)]
    return re.sub(r"\\left|\\right|\\,|\\ |\*(?=[a-zA-Z(])", "", text).casefold()


def is_left_to_work_out(text: str, question: Question) -> bool:
    """Whether what was typed into boxes has the value of a known answer, and is not taken for it: `0-5` for -5."""
    if question.kind != "entry" or _entered(text, question) != ANOTHER:
        return False
    return entered_as(question, _may_mean(text, question)) != ANOTHER


def entry_mark(text: str, question: Question) -> Fraction | None:
    """The marks of an entry that is right and not simplified, one less than all; None for every other."""
    if question.kind != "entry" or _as_known(text, question) or _entered(text, question) != RIGHT:
        return None
    if looks_of(_bare(text, question), question) is not Looks.ALIKE:
        return None
    return Fraction(question.maximum - 1)


def _as_known(text: str, question: Question) -> str:
    """The name of the answer that stands there word for word, "" for none."""
    wanted = known_text(text)
    for offered in question.offered:
        if wanted in {known_text(each) for each in (offered.text, offered.latex, offered.mathml) if each}:
            return offered.name
    return ""


def _entered(text: str, question: Question) -> str:
    if known := _as_known(text, question):
        return known
    if len(question.blanks) == 1 and question.blanks[0]["form"] == "one-of" and text.strip():
        word = _word(text, question.blanks[0])
        if word:
            return RIGHT if [word] in question.blanks[0]["values"] else ANOTHER
    name = entered_as(question, _may_mean(text, question))
    if name == ANOTHER:
        return name
    looks = looks_of(_bare(text, question), question, is_right=name == RIGHT)
    return ANOTHER if looks is Looks.LEFT else name


def _may_mean(text: str, question: Question) -> set[Meaning]:
    bare = _bare(text, question)
    listed = of_list(bare, question.blanks, points=question.is_of_points)
    return {*readings(text), *readings(bare), *listed}


def _bare(text: str, question: Question) -> str:
    """The text without the units that stand beside the boxes."""
    for unit in (str(blank["unit"]) for blank in question.blanks if blank.get("unit")):
        text = re.sub(rf"(?<![^\W\d_]){re.escape(unit)}(?![^\W\d_])", " ", text, flags=re.IGNORECASE)
    return text


def _word(text: str, blank: Mapping[str, Any]) -> str:
    """The letter of the word that somebody chose, named by itself, with what stands before it, or by its letter."""
    words = dict(zip(WORD_NAMES, blank["words"], strict=False))
    chosen = known_text(text)
    before = known_text(str(blank.get("before", "")))
    return next(
        (letter for letter, word in words.items() if chosen in {known_text(word), before + known_text(word)}),
        text.strip("(). ").upper() if text.strip("(). ").upper() in words else "",
    )


def entered_as(question: Question, means: Collection[Meaning]) -> str:
    """The name of what is entered, by what it may mean: RIGHT, a slip or ANOTHER.

    Where the key is rounded, what the boxes should hold is right too.
    """
    held = of_values(question.blanks, points=question.is_of_points) if question.blanks else None
    if held is not None and held in means:
        return RIGHT
    return next((each.name for each in question.offered if means and meaning_of(each.text) in means), ANOTHER)


def answered(question: Question, names: Sequence[str], mark: Fraction | None = None) -> Answer:
    """The answer that names tell. mark: as somebody gave it; else what the names earn.

    Typed answers earn all or nothing here; what is written by hand is unmarked.
    """
    slips = tuple(dict.fromkeys(
        offered.slip for offered in question.offered if offered.name in names and offered.slip
    ))  # fmt: skip
    earned = mark if mark is not None else _earned(question, names)
    state = State.ANSWERED if earned is not None else State.UNMARKED
    return Answer(state, earned, tuple(names), slips)


def _earned(question: Question, names: Sequence[str]) -> Fraction | None:
    right = {offered.name for offered in question.offered if offered.is_right}
    share = Fraction(question.share or 0)
    match question.kind:
        case "written":
            return None
        case "entry":
            return Fraction(question.maximum if tuple(names) == (RIGHT,) else 0)
        case "choices" if share:
            return _within(share * (len(right.intersection(names)) - len(set(names) - right)), question)
        case "match" if share:
            return _within(share * len(right.intersection(names)), question)
        case "order" if share:
            wanted = question.offered[0].name.split()
            return _within(share * _alike(wanted, " ".join(names).split()), question)
        case _:
            return Fraction(question.maximum if right == set(names) else 0)


def _alike(first: Iterable[str], second: Iterable[str]) -> int:
    return sum(a == b for a, b in zip(first, second, strict=False))


def _within(mark: Fraction, question: Question) -> Fraction:
    return max(Fraction(0), min(mark, Fraction(question.maximum)))
