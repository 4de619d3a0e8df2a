"""Pupils who tried a quiz more than once: the first attempt counts, and that is told."""

from __future__ import annotations

import pytest

from itembank.analysis.attempts import of_first_attempts
from itembank.analysis.tables import Table, read_table
from itembank.errors import Diagnostic


def first(text: str) -> tuple[Table, list[Diagnostic]]:
    return of_first_attempts(read_table("m.csv", text.encode(), ("pupil", "student")))


def cells(table: Table) -> list[list[str]]:
    return [[cell.text for cell in row] for row in (table.head, *table.rows)]


@pytest.mark.parametrize("head", ["Attempt", "attempt number", "Versuch", "Intento"])
def test_the_first_attempt_of_each_pupil_counts(head: str) -> None:
    table, (told,) = first(f"pupil,{head},ITEM00\nAnn,2,1\nBob,1,0\nann ,1,0\nCas,2,1\n")

    assert [["pupil", "ITEM00"], ["Bob", "0"], ["ann", "0"], ["Cas", "1"]] == cells(table)
    assert "several-attempts" == told.code
    assert "1 pupil tried more than once" in told.message
    assert head in told.message
    assert told.span is not None
    assert ("m.csv", 2) == (told.span.path, told.span.line)


def test_lines_of_answers_go_by_the_attempt_of_their_pupil() -> None:
    table, (told,) = first(
        "student,item,attempt,score\nAnn,A,1,0\nAnn,B,1,1\nAnn,A,2,1\nBob,A,3,1\nAnn,B,2,1\n"
    )

    assert [["Ann", "A", "0"], ["Ann", "B", "1"], ["Bob", "A", "1"]] == cells(table)[1:]
    assert "1 pupil " in told.message


@pytest.mark.parametrize(
    "text",
    [
        "pupil,ITEM00\nAnn,1\nAnn,0\n",
        "pupil,attempt,ITEM00\nAnn,good,1\nBob,,0\n",
    ],
)
def test_where_no_numbers_tell_attempts_a_table_stays_as_it_is(text: str) -> None:
    table, told = first(text)

    assert [line.split(",") for line in text.splitlines()] == cells(table)
    assert [] == told


def test_where_nobody_tried_again_nothing_is_told() -> None:
    table, told = first("pupil,attempt,ITEM00\nAnn,1,1\nBob,2,0\n")

    assert [["pupil", "ITEM00"], ["Ann", "1"], ["Bob", "0"]] == cells(table)
    assert [] == told
