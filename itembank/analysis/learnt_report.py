"""What is told of who has learnt what: for people as blocks, for programs as data. Names of pupils stand in both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, Final

from itembank.analysis.blocks import Block, Heading, Lines, Report, Table, counted
from itembank.analysis.exact import marks_told, rounded
from itembank.analysis.learnt import MOST_ASKED, Group, Learning, Method, Standing, Verdict

__all__ = ["as_data", "report"]

_SAID: Final = {Verdict.LEARNT: "learnt", Verdict.NOT_YET: "not yet", Verdict.CANNOT_TELL: "?"}
_NO_SLIP: Final = "Nobody made a known slip in what has not been learnt."
_MARKS_ALONE: Final = (
    "The results tell marks alone. Tables of what pupils chose or typed, or result reports, tell slips too."
)


def report(learning: Learning, title: str, *, for_terminal: bool = False) -> Report:
    """for_terminal: groups as lines, for names are long, and without the line for each pupil and method."""
    blocks: list[Block] = [
        Heading(f"Who has learnt what: {title}" if title else "Who has learnt what", 1),
        Lines(tuple(_whole(learning))),
        Heading("Methods"),
        _method_table(learning),
        Heading("Pupils"),
        _pupil_table(learning),
        Heading("Whom to take together"),
    ]
    if not learning.groups:
        blocks.append(Lines((_NO_SLIP if learning.tells_slips else _MARKS_ALONE,)))
    elif for_terminal:
        blocks.append(Lines(tuple(map(_group_line, learning.groups))))
    else:
        blocks.append(_group_table(learning))
    if not for_terminal:
        blocks += [Heading("Each pupil and method"), _standing_table(learning)]
    blocks += [Heading("How it is worked out"), Lines(tuple(_notes(learning)))]
    return tuple(blocks)


def _whole(learning: Learning) -> Iterator[str]:
    pupils, methods = counted(len(learning.pupils), "pupil"), counted(len(learning.methods), "method")
    yield f"{pupils}, {methods}, by {learning.by}"
    thin = sum(learning.most_asked(place) < learning.rule.fewest for place in range(len(learning.methods)))
    if thin:
        told = f"{thin} of them with fewer than {learning.rule.fewest} questions for a pupil, which say too little"
        yield told if learning.by == "topic" else f"{told}: by topic, more questions stand together"
    yield from _next_test(learning)


def _next_test(learning: Learning) -> Iterator[str]:
    """How many questions the next test needs, where a third of all cases or more cannot be told."""
    told = [standing.verdict for row in learning.standings for standing in row if standing.questions]
    open_ones = told.count(Verdict.CANNOT_TELL)
    known = [number for number in learning.enough if number is not None]
    if known and 3 * open_ones >= len(told) > 0:
        least, most = min(known), max(known)
        number = str(least) if least == most else f"{least} to {most}"
        yield (
            f"of {len(told)} cases {open_ones} cannot be told: ask {number} questions of a method in the next test, of "
            "equal marks, as the last column below says (a blueprint can ask for them)"
        )


def _numbers(methods: Sequence[Method]) -> Iterator[tuple[str, Method]]:
    """Each method with the number that stands for it at the head of a column."""
    return ((str(number), method) for number, method in enumerate(methods, 1))


def _method_table(learning: Learning) -> Table:
    of_forms = any(
        learning.most_asked(place) < len(method.questions) for place, method in enumerate(learning.methods)
    )
    rows = tuple(
        (
            number, method.name, str(len(method.questions)),
            *((str(learning.most_asked(place)),) if of_forms else ()), str(method.marks),
            *(str(len(learning.of(place, verdict))) for verdict in Verdict),
            str(len(learning.to_practise(place))), str(learning.enough[place] or f"> {MOST_ASKED}"),
        )
        for place, (number, method) in enumerate(_numbers(learning.methods))
    )  # fmt: skip
    each = ("of a pupil",) if of_forms else ()
    head = (
        "no.",
        learning.by,
        "questions",
        *each,
        "marks",
        *(verdict.value for verdict in Verdict),
        "to practise",
        "would tell",
    )
    return Table("methods", head, rows, 2)


def _pupil_table(learning: Learning) -> Table:
    rows = tuple(
        (name, *map(_cell, row)) for name, row in zip(learning.pupils, learning.standings, strict=True)
    )
    head = ("pupil", *(number for number, _ in _numbers(learning.methods)))
    return Table("pupils", head, rows, len(head))


def _cell(standing: Standing) -> str:
    if not standing.questions:
        return "-"
    return f"{_SAID[standing.verdict]} {marks_told(standing.got)}/{standing.most}"


def _group_table(learning: Learning) -> Table:
    rows = tuple((group.slip, group.teacher, _named(group.pupils)) for group in learning.groups)
    return Table("groups", ("slip", "reteach", "pupils"), rows, 3)


def _group_line(group: Group) -> str:
    return f"{group.slip}: {_named(group.pupils)}. {group.teacher}".rstrip()


def _named(times: Sequence[tuple[str, int]]) -> str:
    """Names of pupils or slips; with how often, where more than once."""
    return ", ".join(name if often == 1 else f"{name} (x{often})" for name, often in times)


def _standing_table(learning: Learning) -> Table:
    rows = tuple(
        (
            name, method.name, standing.verdict.value, _named(standing.slips), standing.reason,
            marks_told(standing.got), str(standing.most), str(standing.questions),
        )
        for name, row in zip(learning.pupils, learning.standings, strict=True)
        for method, standing in zip(learning.methods, row, strict=True)
    )  # fmt: skip
    head = ("pupil", learning.by, "verdict", "slips", "why not", "marks", "of", "questions")
    return Table("standings", head, rows, 5)


def _notes(learning: Learning) -> Iterator[str]:
    rule = learning.rule
    share, doubt, slipping = (
        f"{rounded(100 * value, 0)} %" for value in (rule.share, rule.doubt, rule.slipping)
    )
    yield (
        f"learnt: at least {share} of the marks, in {rule.fewest} questions or more, and who guesses would get so "
        f"many in {doubt} of cases at most"
    )
    yield (
        f"not yet: fewer marks, and who has learnt the method but slips in {slipping} of questions would get so few "
        f"in {doubt} of cases at most"
    )
    yield (
        "to practise: pupils who lost marks there and have not learnt it for certain; would tell: with so many "
        f"questions of these kinds, of equal marks, {rounded(100 * (1 - rule.doubt), 0)} % of those who have learnt it "
        "are told so"
    )
    yield "?: neither, more questions would tell; -: was given no such question, did not reach it, or is not marked"
    yield (
        "Who guesses takes every option equally often; what is typed is not guessed. Omitted counts as 0 marks, what "
        "was not reached does not count. Source of the two errors: Millman 1973; 80 % is common practice."
    )
    if learning.by != "template":
        yield f"Questions without a {learning.by} stand under the name of their template."
    yield "Whom to take together: pupils who made the slip and have not learnt, for certain, what was asked there"


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
            {"name": method.name, "questions": list(method.questions), "templates": list(method.templates),
             "marks": method.marks,
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
