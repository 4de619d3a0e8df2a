"""What an item says put to the test: its mathematics and its marking, part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from itembank.audit.bracket_check import bracket_values, has_brackets
from itembank.audit.choice_check import check_choice
from itembank.audit.choices_check import CHOICES_KINDS, check_choices
from itembank.audit.entry_check import check_entry, entry_values
from itembank.audit.facts import Facts
from itembank.audit.findings import STUCK, Fault, why_stuck
from itembank.audit.follow_check import check_follow
from itembank.audit.interval_check import interval_values, is_interval
from itembank.audit.marking_check import check_marking
from itembank.audit.match_check import MATCH_KINDS, check_match
from itembank.audit.mathematics import Mathematics
from itembank.audit.one_of_check import boxes_only, check_words
from itembank.audit.order_check import ORDER_KINDS, check_order
from itembank.audit.part_view import PartView, part_views
from itembank.audit.points_check import is_points, point_values
from itembank.audit.response_processing import Rules
from itembank.audit.solution_check import check_key, check_lines
from itembank.audit.stem_check import check_stem
from itembank.audit.written_check import check_written
from itembank.audit.wrong_line_check import check_wrong_line

__all__ = ["check_mathematics", "check_meaning"]


def _compared(view: PartView) -> Callable[[PartView, Facts], Iterator[Fault]]:
    """What looks at the values that are keyed in a part's boxes."""
    if is_points(view):
        return point_values
    return interval_values if is_interval(view) else bracket_values if has_brackets(view) else entry_values


def check_meaning(facts: Facts, thorough: bool, rules: Rules | None = None) -> Iterator[Fault]:
    """What is wrong with the mathematics and the marking; an unreadable item is not gone into further.

    rules: the item's own, where they were compiled before.
    """
    if not facts.whole:
        return
    views = part_views(facts, Mathematics(thorough=thorough))
    for view in views:
        yield from _part(view, facts)
    yield from check_marking(facts, views, rules)


def check_mathematics(facts: Facts) -> Iterator[Fault]:
    """What is wrong with the mathematics alone, of an item whose marking is known."""
    if not facts.whole:
        return
    for view in part_views(facts, Mathematics()):
        yield from _part(view, facts)


def _part(view: PartView, facts: Facts) -> Iterator[Fault]:
    for check in (check_key, check_stem, check_lines, check_follow):
        yield from _guarded(check(view), view)
    if view.part.kind in {"choice", "words"}:
        yield from _guarded(check_choice(view, facts), view)
    elif view.part.kind == "entry":
        boxes = boxes_only(view)
        if boxes is view or is_interval(view) or has_brackets(view):
            yield from _guarded(check_entry(boxes, facts, _compared(view)), view)
        else:
            yield from _guarded(check_entry(view, facts, _compared(view)), view)
        if boxes is not view or view.part.words:
            yield from _guarded(check_words(view, facts), view)
    elif view.part.kind in CHOICES_KINDS:
        yield from _guarded(check_choices(view, facts), view)
    elif view.part.kind == "wrong-line":
        yield from _guarded(check_wrong_line(view, facts), view)
    elif view.part.kind in ORDER_KINDS:
        yield from _guarded(check_order(view, facts), view)
    elif view.part.kind in MATCH_KINDS:
        yield from _guarded(check_match(view, facts), view)
    elif view.part.kind == "written":
        yield from _guarded(check_written(view, facts), view)
    else:
        yield Fault(
            "unclear-problem", f"the kind of response {view.part.kind!r} is not known", place=view.place
        )


def _guarded(faults: Iterator[Fault], view: PartView) -> Iterator[Fault]:
    """The faults of one check, up to where it cannot go on."""
    try:
        yield from faults
    except Fault as wrong:
        yield wrong
    except STUCK as stuck:
        yield Fault("cannot-tell", f"the part cannot be decided: {why_stuck(stuck)}", place=view.place)
