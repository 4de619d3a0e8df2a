"""The blank form for judges: a line for each question in the order of the paper, a column for each judge and round."""

from __future__ import annotations

from collections.abc import Sequence

from itembank import spreadsheets
from itembank.analysis.keys import Keys, Question
from itembank.analysis.orders import Orders
from itembank.standard_setting.accepted_file import ACCEPTED
from itembank.standard_setting.ratings_file import HEAD, column_name

__all__ = ["as_form", "as_form_of_limits", "as_form_of_pupils", "paper_order"]


def paper_order(keys: Keys, orders: Orders) -> tuple[Question, ...]:
    """The questions of a build as its paper has them, of versions the first; without a paper, as the bank has them."""
    first = orders.versions[min(orders.versions)] if orders.versions else ()
    places = [*first, *(place for place in range(len(keys.questions)) if place not in first)]
    return tuple(keys.questions[place] for place in places)


def as_form(questions: Sequence[Question], judges: int, rounds: int) -> str:
    """The form as CSV, which `read_ratings` reads when it is filled in.

    judges, rounds: how many, 1 or more. Heads of columns are to be replaced by judges' names.
    """
    columns = [
        column_name(f"judge {judge + 1}", number + 1) for judge in range(judges) for number in range(rounds)
    ]
    head = [*HEAD, *columns]
    lines = [
        [question.column, question.printed, question.title, question.maximum, *[""] * len(columns)]
        for question in questions
    ]
    return spreadsheets.as_csv([head, *lines])


def as_form_of_limits(judges: int) -> str:
    """The form for what judges would accept, which `read_accepted` reads when it is filled in: a line for each."""
    blank = [""] * len(ACCEPTED)
    lines = [[f"judge {judge + 1}", *blank] for judge in range(judges)]
    return spreadsheets.as_csv([["judge", *ACCEPTED], *lines])


def as_form_of_pupils(names: Sequence[str]) -> str:
    """The form in which a teacher judges pupils, which `read_judged` reads when it is filled in. It tells no totals."""
    return spreadsheets.as_csv([["pupil", "judgement"], *([name, ""] for name in names)])
