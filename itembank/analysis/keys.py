"""What was asked: the questions of a build with their keys, options and slips, from its `staff/items.json`."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, NamedTuple

from itembank.difficulty.observed import OBSERVED
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["ANOTHER", "RIGHT", "Keys", "Offered", "Piece", "Question", "read_keys"]

RIGHT: Final = "right"
ANOTHER: Final = "another answer"
"""Names of answers that are entered: the key, and what is neither the key nor a known slip."""
_OF_A_FORM: Final = re.compile(r" ([A-Z])\Z")
_NUMBER: Final = re.compile(r"[1-9][0-9]*(?:\([a-z]+\))?")


class Piece(NamedTuple):
    """A text or a formula, as a template's language has it and in MathML, "" for none."""

    text: str
    mathml: str = ""


@dataclass(frozen=True, slots=True)
class Offered:
    """An answer that is known beforehand.

    name: the letter of an option, the number of a line, `2 D` for row 2 with target D, `C A B` for an order, or, of
    what is entered, RIGHT or the slip's name. text, latex, mathml: what stands there. slip: the slip that leads to it,
    "" for none; teacher: what to reteach; pupil: what the pupil is told. printed: of an option its number and letter in
    the paper, `3(b) C`, or in each version, `A 3(b) C, B 5(b) A`; "" where that is not known. pieces: the same piece by
    piece where it is more than one text or formula, with what stands between them.
    """

    name: str
    text: str
    latex: str = ""
    mathml: str = ""
    is_right: bool = False
    slip: str = ""
    teacher: str = ""
    printed: str = ""
    pupil: str = ""
    pieces: tuple[Piece, ...] = ()
    between: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """A part of an item, which is marked by itself.

    kind: of response, as in `items.json`. share: what each right choice, place or row earns in quarters of a mark, as
    written there, "" or "0" where marks are for the whole. difficulty: predicted, in thousandths of a logit. blanks:
    those of an entry as they stand in `items.json`; is_of_points: whether they are coordinates. parts: how many
    questions the item has. address: of the whole item; predicted: its difficulty from features alone, without what
    sittings told before. printed: its number in the paper, `3(b)`, or in each version, `A 3(b), B 5(b)`; "" where
    there is no paper. topics, curriculum, language: of its template; topic_titles: what the bank calls its topics.
    """

    code: str
    label: str
    template: str
    title: str
    maximum: int
    kind: str
    offered: tuple[Offered, ...] = ()
    share: str = ""
    difficulty: int | None = None
    parts: int = 1
    unknowns: tuple[str, ...] = ()
    blanks: tuple[Mapping[str, Any], ...] = field(default=(), compare=False)
    is_of_points: bool = False
    address: str = ""
    predicted: int | None = None
    printed: str = ""
    topics: tuple[str, ...] = ()
    topic_titles: tuple[tuple[str, str], ...] = ()
    curriculum: tuple[str, ...] = ()
    language: str = "en"

    @property
    def column(self) -> str:
        """Its name in a mark sheet: the item's code, and the letter of the part."""
        return f"{self.code}{self.label}"

    @property
    def boxes(self) -> int:
        """How many boxes an entry has on a platform."""
        return sum(blank["slots"] * len(blank["boxes"]) for blank in self.blanks)


@dataclass(frozen=True, slots=True)
class Keys:
    """The questions of a build in the order of the bank. form: its letter among parallel forms, "" for none."""

    title: str
    questions: tuple[Question, ...]
    form: str = ""
    _columns: dict[str, int] = field(init=False, repr=False, compare=False)
    _numbers: dict[str, int] = field(init=False, repr=False, compare=False)
    _in_any_letters: dict[str, int | None] = field(init=False, repr=False, compare=False)
    _of_items: dict[str, tuple[int, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # Worked out once: every cell of a table is looked up, and a build may have tens of thousands of questions.
        columns = {question.column: place for place, question in enumerate(self.questions)}
        in_any_letters: dict[str, int | None] = {}
        for name, place in columns.items():
            folded = name.casefold()
            in_any_letters[folded] = None if folded in in_any_letters else place
        of_items: dict[str, tuple[int, ...]] = {}
        for place, question in enumerate(self.questions):
            of_items[question.code] = (*of_items.get(question.code, ()), place)
        printed = {question.printed: place for place, question in enumerate(self.questions)}
        numbers = {
            re.sub("[()]", "", number): place
            for number, place in printed.items()
            if _NUMBER.fullmatch(number)
        }
        object.__setattr__(self, "_columns", columns)
        object.__setattr__(self, "_numbers", numbers)
        object.__setattr__(self, "_in_any_letters", in_any_letters)
        object.__setattr__(self, "_of_items", of_items)

    def by_column(self) -> Mapping[str, int]:
        """The place of each question under its name in a mark sheet."""
        return self._columns

    def in_any_letters(self, name: str) -> int | None:
        """The question whose column a text is but for capitals, which programs change; None for none or two."""
        return self._in_any_letters.get(name.casefold())

    def by_number(self) -> Mapping[str, int]:
        """The place of each question under its number, as `3b`, where there is one paper."""
        return self._numbers

    def printed_as(
        self, numbers: Mapping[int, str], options: Mapping[int, Mapping[str, str]] | None = None
    ) -> Keys:
        """The same with the number of each place in the paper, and where each option stands there."""
        told = []
        for place, question in enumerate(self.questions):
            of_options = (options or {}).get(place, {})
            offered = tuple(replace(each, printed=of_options.get(each.name, "")) for each in question.offered)
            told.append(replace(question, printed=numbers.get(place, ""), offered=offered))
        return replace(self, questions=tuple(told))

    def of_item(self, code: str) -> tuple[int, ...]:
        """The places of an item's questions."""
        return self._of_items.get(code, ())


def read_keys(path: str, data: bytes) -> Keys:
    """The questions of `staff/items.json`.

    path: for messages. Raises InputError `wrong-items-file` for what is no such file.
    """
    try:
        told = json.loads(data)
        questions = tuple(question for item in told["items"] for question in _questions(item))
        bank, title = str(told.get("bank") or ""), str(told.get("title") or "")
        keys = Keys(title or bank, questions, _form(bank, title))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as wrong:
        raise _wrong(path, f"the file does not hold items as a build writes them: {_short(wrong)}") from None
    if not questions:
        raise _wrong(path, "the build has no items")
    if len({question.column for question in questions}) < len(questions):
        raise _wrong(path, "two items of the build have one code")
    return keys


def _form(bank: str, title: str) -> str:
    """The letter of a form, as assembling puts it behind name and title."""
    found = _OF_A_FORM.search(title)
    return found[1] if found and bank.endswith(f"-{found[1].lower()}") else ""


def _short(wrong: Exception) -> str:
    return f"{type(wrong).__name__} {str(wrong)[:80]}".strip()


def _wrong(path: str, message: str) -> InputError:
    hint = "build the bank again with `json` among its formats"
    return InputError(Diagnostic("wrong-items-file", message, Span(path, 1, 1), hint=hint))


def _questions(item: Mapping[str, Any]) -> Iterator[Question]:
    difficulty = item.get("difficulty")
    parts = item["parts"]
    for part in parts:
        yield Question(
            code=str(item["code"]),
            label=str(part["label"]),
            template=str(item["address"]["template"]),
            title=str(item["title"]),
            maximum=int(part["marks"]),
            kind=str(part["response"]),
            offered=tuple(_offered(part)),
            share=str(part.get("share", "")),
            # A prediction is of the item whole: of one part among several it would say too much.
            difficulty=int(difficulty["thousandths"]) if difficulty and len(parts) == 1 else None,
            parts=len(parts),
            unknowns=tuple(part.get("unknowns", ())),
            blanks=tuple(part.get("blanks", ())),
            is_of_points=bool(part.get("points")),
            address="/".join(
                str(item["address"][key]) for key in ("template", "version", "seed", "position")
            ),
            predicted=_from_features(difficulty) if difficulty else None,
            topics=tuple(map(str, item.get("topics", ()))),
            topic_titles=tuple((str(name), str(said)) for name, said in item.get("topic_titles", {}).items()),
            curriculum=tuple(map(str, item.get("curriculum", ()))),
            language=str(item.get("language", "en")),
        )


def _from_features(difficulty: Mapping[str, Any]) -> int:
    """A predicted difficulty without what was observed."""
    known = sum(int(each["adds"]) for each in difficulty["contributions"] if each["feature"] == OBSERVED)
    return int(difficulty["thousandths"]) - known


def _offered(part: Mapping[str, Any]) -> Iterator[Offered]:
    said = {slip["slip"]: (slip["teacher"], slip["pupil"]) for slip in part["slips"]}
    match part["response"]:
        case "choice" | "choices":
            for option in part["options"]:
                yield _option(str(option["option"]), option, bool(option["right"]), said)
        case "match":
            for row in part["rows"]:
                for target in part["targets"]:
                    is_right = row["target"] == target["option"]
                    told = target if not is_right else {**target, "slip": ""}
                    found = _option(f"{row['row']} {target['option']}", told, is_right, said)
                    yield replace(found, pieces=(_piece(row), _piece(target)), between=" → ")
        case "wrong-line":
            for number, line in enumerate(part["lines"], 1):
                text = " ".join(str(line[key]) for key in ("say", "maths") if line[key])
                pieces = tuple(Piece(str(line[key])) for key in ("say", "maths") if line[key])
                _, pupil = said.get(str(part.get("slip", "")), ("", ""))
                # A platform may report a line by its formula alone.
                yield Offered(
                    str(number), text, line["maths"], is_right=not line["follows"],
                    pupil="" if line["follows"] else pupil, pieces=pieces, between=" ",
                )  # fmt: skip
        case "order":
            things = sorted(part["things"], key=lambda thing: int(thing["place"]))
            name = " ".join(str(thing["option"]) for thing in things)
            text = "; ".join(thing["plain"] for thing in things)
            yield Offered(name, text, is_right=True, pieces=tuple(map(_piece, things)), between="; ")
        case "written":
            return  # nobody can tell from a free text which slip it shows
        case "entry":
            key = part["key"]
            yield Offered(RIGHT, key["plain"], key["latex"], key["mathml"], is_right=True)
            for slip in part["slips"]:
                yield Offered(
                    slip["slip"],
                    slip["answer"],
                    slip=slip["slip"],
                    teacher=slip["teacher"],
                    pupil=slip["pupil"],
                )
        case other:
            raise ValueError(f"unknown kind of response {other}")


def _piece(told: Mapping[str, Any]) -> Piece:
    return Piece(str(told["plain"]), str(told["mathml"]))


def _option(
    name: str, told: Mapping[str, Any], is_right: bool, said: Mapping[str, tuple[str, str]]
) -> Offered:
    slip = str(told.get("slip", ""))
    teacher, pupil = said.get(slip, ("", ""))
    return Offered(name, told["plain"], told["latex"], told["mathml"], is_right, slip, teacher, pupil=pupil)
