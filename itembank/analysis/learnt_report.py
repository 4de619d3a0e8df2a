"""What is told of who has learnt what: for people as blocks, for programs as data. Names of pupils stand in both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from itembank.analysis.blocks import Block, Heading, Lines, Report, Table
from itembank.analysis.exact import marks_told, rounded
from itembank.analysis.learnt import MOST_ASKED, Group, Learning, Method, Standing, Verdict
from itembank.words import OWN, Words, words

__all__ = ["as_data", "report"]

_KEYS: Final = {Verdict.LEARNT: "learnt", Verdict.NOT_YET: "not-yet", Verdict.CANNOT_TELL: "cannot-tell"}


def report(
    learning: Learning, title: str, *, language: str | None = None, for_terminal: bool = False
) -> Report:
    """language: in which a teacher reads it, with methods by their titles; None for tables that programs read, in
    English and with methods by their names. for_terminal: groups as lines, for names are long, and without the line for
    each pupil and method.
    """
    return _Report(learning, _Said(words(language or OWN)), by_title=language is not None).blocks(
        title, for_terminal=for_terminal
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """The words of this report in a language."""

    words: Words

    def __call__(self, key: str, /, **values: object) -> str:
        return self.words(f"learnt-{key}", **values)

    def counted(self, key: str, count: int, /) -> str:
        return self.words.counted(f"learnt-{key}", count)

    def number(self, told: str) -> str:
        """Figures with the decimal mark of the language."""
        return told.replace(".", self.words.decimal_mark)


@dataclass(frozen=True, slots=True)
class _Report:
    learning: Learning
    said: _Said
    by_title: bool

    def blocks(self, title: str, *, for_terminal: bool) -> Report:
        said, learning = self.said, self.learning
        head = said("title")
        blocks: list[Block] = [
            Heading(f"{head}: {title}" if title else head, 1),
            Lines(tuple(self._whole())),
            Heading(said("methods")),
            self._method_table(),
            Heading(said("pupils")),
            self._pupil_table(),
            Heading(said("groups")),
        ]
        if not learning.groups:
            blocks.append(Lines((said("no-slip" if learning.tells_slips else "marks-alone"),)))
        elif for_terminal:
            blocks.append(Lines(tuple(map(_group_line, learning.groups))))
        else:
            blocks.append(self._group_table())
        if not for_terminal:
            blocks += [Heading(said("each")), self._standing_table()]
        blocks += [Heading(said("notes")), Lines(tuple(self._notes()))]
        return tuple(blocks)

    def _whole(self) -> Iterator[str]:
        said, learning = self.said, self.learning
        methods = said.counted(f"by-{learning.by}", len(learning.methods))
        yield f"{said.counted('pupils', len(learning.pupils))}, {methods}"
        fewest = learning.rule.fewest
        thin = sum(learning.most_asked(place) < fewest for place in range(len(learning.methods)))
        if thin:
            told = said("thin", count=thin, fewest=fewest)
            yield told if learning.by == "topic" else said("thin-by-topic", thin=told)
        yield from self._next_test()

    def _next_test(self) -> Iterator[str]:
        """How many questions the next test needs, where a third of all cases or more cannot be told."""
        learning = self.learning
        told = [standing.verdict for row in learning.standings for standing in row if standing.questions]
        open_ones = told.count(Verdict.CANNOT_TELL)
        known = [number for number in learning.enough if number is not None]
        if known and 3 * open_ones >= len(told) > 0:
            least, most = min(known), max(known)
            number = str(least) if least == most else self.said("range", least=least, most=most)
            yield self.said("next-test", cases=len(told), open=open_ones, number=number)

    def _called(self, method: Method) -> str:
        return method.title if self.by_title else method.name

    def _heads(self, *keys: str) -> tuple[str, ...]:
        return tuple(self.said(f"head-{key}") for key in keys)

    def _method_table(self) -> Table:
        learning = self.learning
        of_forms = any(
            learning.most_asked(place) < len(method.questions)
            for place, method in enumerate(learning.methods)
        )
        rows = tuple(
            (
                number, self._called(method), str(len(method.questions)),
                *((str(learning.most_asked(place)),) if of_forms else ()), str(method.marks),
                *(str(len(learning.of(place, verdict))) for verdict in Verdict),
                str(len(learning.to_practise(place))), str(learning.enough[place] or f"> {MOST_ASKED}"),
            )
            for place, (number, method) in enumerate(_numbers(learning.methods))
        )  # fmt: skip
        head = (
            *self._heads("number", learning.by, "questions", *(("of-a-pupil",) if of_forms else ()), "marks"),
            *(self.said(_KEYS[verdict]) for verdict in Verdict),
            *self._heads("to-practise", "would-tell"),
        )
        return Table("methods", head, rows, 2)

    def _pupil_table(self) -> Table:
        learning = self.learning
        rows = tuple(
            (name, *map(self._cell, row))
            for name, row in zip(learning.pupils, learning.standings, strict=True)
        )
        head = (*self._heads("pupil"), *(number for number, _ in _numbers(learning.methods)))
        return Table("pupils", head, rows, len(head))

    def _cell(self, standing: Standing) -> str:
        if not standing.questions:
            return "-"
        is_open = standing.verdict is Verdict.CANNOT_TELL
        verdict = "?" if is_open else self.said(_KEYS[standing.verdict])
        return f"{verdict} {self.said.number(marks_told(standing.got))}/{standing.most}"

    def _group_table(self) -> Table:
        rows = tuple((group.slip, group.teacher, _named(group.pupils)) for group in self.learning.groups)
        return Table("groups", self._heads("slip", "reteach", "pupils"), rows, 3)

    def _standing_table(self) -> Table:
        learning = self.learning
        rows = tuple(
            (
                name, self._called(method), self.said(_KEYS[standing.verdict]), _named(standing.slips),
                standing.told_why(self.said.words), self.said.number(marks_told(standing.got)), str(standing.most),
                str(standing.questions),
            )
            for name, row in zip(learning.pupils, learning.standings, strict=True)
            for method, standing in zip(learning.methods, row, strict=True)
        )  # fmt: skip
        keys = ("pupil", learning.by, "verdict", "slips", "why-not", "marks", "of", "questions")
        return Table("standings", self._heads(*keys), rows, 5)

    def _notes(self) -> Iterator[str]:
        said, rule = self.said, self.learning.rule
        share, doubt, slipping, sure = (
            f"{rounded(100 * value, 0)} %"
            for value in (rule.share, rule.doubt, rule.slipping, 1 - rule.doubt)
        )
        yield said("note-learnt", share=share, fewest=rule.fewest, doubt=doubt)
        yield said("note-not-yet", slipping=slipping, doubt=doubt)
        yield said("note-columns", sure=sure)
        yield said("note-signs")
        yield said("note-guessing")
        yield said("note-source")
        if self.learning.by != "template":
            yield said(f"note-without-{self.learning.by}")
        yield said("note-groups")


def _numbers(methods: Sequence[Method]) -> Iterator[tuple[str, Method]]:
    """Each method with the number that stands for it at the head of a column."""
    return ((str(number), method) for number, method in enumerate(methods, 1))


def _group_line(group: Group) -> str:
    return f"{group.slip}: {_named(group.pupils)}. {group.teacher}".rstrip()


def _named(times: Sequence[tuple[str, int]]) -> str:
    """Names of pupils or slips; with how often, where more than once."""
    return ", ".join(name if often == 1 else f"{name} (x{often})" for name, often in times)


def as_data(learning: Learning, title: str) -> dict[str, Any]:
    """Everything for programs."""
    rule = learning.rule
    return {
        "title": title,
        "by": learning.by,
        "rule": {
            "share": _decimal(rule.share), "fewest": rule.fewest, "slipping": _decimal(rule.slipping),
            "doubt": _decimal(rule.doubt),
        },
        "methods": [
            {"name": method.name, "title": method.title, "questions": list(method.questions),
             "templates": list(method.templates), "marks": method.marks,
             **{verdict.name.lower(): len(learning.of(place, verdict)) for verdict in Verdict},
             "to_practise": len(learning.to_practise(place)), "would_tell": learning.enough[place]}
            for place, method in enumerate(learning.methods)
        ],
        "pupils": [
            {"pupil": name,
             "methods": [
                 {"name": method.name, "verdict": standing.verdict.value, "marks": _decimal(standing.got),
                  "of": standing.most, "questions": standing.questions, "why": standing.reason,
                  "slips": [{"slip": slip, "times": times} for slip, times in standing.slips]}
                 for method, standing in zip(learning.methods, row, strict=True)
             ]}
            for name, row in zip(learning.pupils, learning.standings, strict=True)
        ],
        "groups": [
            {"slip": group.slip, "teacher": group.teacher,
             "pupils": [{"pupil": name, "times": times} for name, times in group.pupils]}
            for group in learning.groups
        ],
    }  # fmt: skip


def _decimal(value: Any) -> Decimal:
    return rounded(value, 2)
