"""From a blueprint and items to choose from to parallel forms; and, where there are none, what cannot hold together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from itembank.assembly.blueprint import Blueprint, Place, Range, Row
from itembank.assembly.candidates import Candidate, fits
from itembank.assembly.programme import Choice, Problem, Rule, Undecided, chosen
from itembank.errors import Diagnostic, InputError

__all__ = ["ABILITIES", "problem_of", "select_forms"]

ABILITIES = (-1000, 0, 1000)
"""Where forms are to tell equally much, in thousandths of a logit: below, at and above the middle of a bank."""
_WEIGHED = 100
"""A thousandth of a logit of one item's difficulty weighs as much as so many millionths of its information: by no more
than that does the information of an item of one mark change with its difficulty.
"""
_NO_MATTER = 10
"""Thousandths of a logit of a form's mean difficulty; forms that differ by so little are as good as equal."""

MOST_CLASHES = 5
"""So many sets of lines that cannot hold together are told at most."""


def select_forms(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Choice:
    """The forms, as the numbers of their items among the candidates.

    Raises InputError where there are none: with the lines that cannot hold together, each at its place.
    """
    problem = problem_of(blueprint, candidates)
    short = tuple(_short_rules(problem))
    if short:
        raise InputError([_too_few(rule, blueprint) for rule in short])
    try:
        choice = chosen(problem)
        if choice is None:
            raise InputError(_no_forms(blueprint, problem))
    except Undecided:
        raise InputError(_too_large(blueprint, problem)) from None
    return choice


def _too_large(blueprint: Blueprint, problem: Problem) -> Diagnostic:
    span, line = blueprint.place("forms") or blueprint.place() or (None, "")
    told = f"{problem.forms} forms of {problem.things} items to choose from are too much to search through"
    hint = f"ask for fewer forms, or draw fewer items (`pool: {blueprint.pool}` of each template now)"
    return Diagnostic("search-too-long", told, span, excerpt=line, hint=hint)


def problem_of(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Problem:
    """The integer programme of a blueprint."""
    rules = (
        *_whole_form(blueprint, candidates), *_rows(blueprint, candidates), *_templates(blueprint, candidates),
        *_apart(blueprint, candidates), *_enemies(candidates),
    )  # fmt: skip
    difficulties = tuple(each.difficulty for each in candidates)
    return Problem(
        len(candidates),
        blueprint.forms,
        rules,
        alike=tuple(_alike(blueprint, candidates)) if blueprint.forms > 1 else (),
        near=(
            tuple(_WEIGHED * difficulty for difficulty in difficulties),
            tuple(100 * _WEIGHED * each.minutes for each in candidates),
            *(tuple(each.information_at(ability) for each in candidates) for ability in ABILITIES),
        ) if blueprint.forms > 1 else (),
        most_of=tuple(
            tuple(each.information_at(ability) for each in candidates)
            for ability in blueprint.most_information_at
        ),
        shared=blueprint.shared,
        no_matter=_NO_MATTER * _WEIGHED * max(1, _length(blueprint)),
        may_share=tuple(not blueprint.shared_from or each.template in blueprint.shared_from for each in candidates),
    )  # fmt: skip


def _length(blueprint: Blueprint) -> int:
    """How many items a form has at least, as far as that is said."""
    wanted = [blueprint.items] if blueprint.items else [row.items for row in blueprint.rows if row.items]
    return sum(each.least or 1 for each in wanted if each is not None)


# ---- rules ------------------------------------------------------------------------------------------------


_Measure = Callable[[Candidate], int]
_MEASURES: tuple[tuple[str, _Measure, int], ...] = (
    ("items", lambda each: 1, 1),
    ("marks", lambda each: each.marks, 1),
    ("minutes", lambda each: each.minutes, 10),
)
"""Key, what of an item is added up, and what is a whole one of it."""


def _whole_form(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Iterator[Rule]:
    everything = [True] * len(candidates)
    yield from _ranges(blueprint, blueprint, candidates, everything, (), "a form has")
    if blueprint.items is None:
        asked = [any(fits(each, row.where) for row in blueprint.rows) for each in candidates]
        unasked = tuple(int(not is_asked) for is_asked in asked)
        yield Rule("a form holds only what a row asks for", unasked, None, 0, blueprint.place("holds"))


def _rows(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Iterator[Rule]:
    for number, row in enumerate(blueprint.rows):
        meant = [fits(each, row.where) for each in candidates]
        said = f"row {number + 1} ({row.where}) has"
        yield from _ranges(row, blueprint, candidates, meant, ("holds", number), said)


def _ranges(
    asked: Row | Blueprint, blueprint: Blueprint, candidates: Sequence[Candidate], meant: Sequence[bool],
    path: tuple[str | int, ...], said: str,
) -> Iterator[Rule]:  # fmt: skip
    """The ranges that a row, or the whole, asks for."""
    for key, measure, unit in _MEASURES:
        found: Range | None = getattr(asked, key)
        if found is not None:
            weights = tuple(
                measure(each) if is_meant else 0 for each, is_meant in zip(candidates, meant, strict=True)
            )
            words = _in_words(found, unit)
            told = f"{said} {words} {key.removesuffix('s') if words in ('1', 'at most 1', 'at least 1') else key}"
            yield Rule(told, weights, found.least, found.most, blueprint.place(*path, key))
    if asked.difficulty is not None:
        yield from _means(asked.difficulty, candidates, meant, said, blueprint.place(*path, "difficulty"))


def _means(
    wanted: Range, candidates: Sequence[Candidate], meant: Sequence[bool], said: str, place: Place | None
) -> Iterator[Rule]:
    """A mean within a range: the sum of what each is above the least is not negative, likewise below the most."""
    told = f"{said} a mean difficulty of {_in_words(wanted, 1000)}"
    for bound, least, most in ((wanted.least, 0, None), (wanted.most, None, 0)):
        if bound is not None:
            weights = tuple(each.difficulty - bound if is_meant else 0
                            for each, is_meant in zip(candidates, meant, strict=True))  # fmt: skip
            yield Rule(told, weights, least, most, place)


def _templates(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Iterator[Rule]:
    most = blueprint.of_each_template
    unit = f"a form has at most {most or 1} of each template"
    unit += "" if most else " (more where `of_each_template` or a row with `template` and `items` says so)"
    place = blueprint.place("of_each_template") or blueprint.place()
    for name in dict.fromkeys(each.template for each in candidates):
        weights = tuple(int(each.template == name) for each in candidates)
        limit = most or max(1, _asked_of(blueprint, name))
        yield Rule(f"a form has at most {limit} of the template {name}", weights, None, limit, place, unit)


def _asked_of(blueprint: Blueprint, template: str) -> int:
    """How many items of a template the rows that name it, and it alone, ask for."""
    named = [row for row in blueprint.rows if row.where.template == (template,) and row.items is not None]
    return sum(row.items.most or row.items.least or 0 for row in named if row.items is not None)


def _apart(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Iterator[Rule]:
    for number, names in enumerate(blueprint.apart):
        weights = tuple(int(each.template in names) for each in candidates)
        said = f"a form has one item at most of {', '.join(names)}"
        yield Rule(said, weights, None, 1, blueprint.place("apart", number))


def _enemies(candidates: Sequence[Candidate]) -> Iterator[Rule]:
    """Items of different templates that ask the same problem do not stand in one form."""
    asking: dict[bytes, list[int]] = {}
    for number, each in enumerate(candidates):
        asking.setdefault(each.asked, []).append(number)
    for group in asking.values():
        if len({candidates[number].template for number in group}) > 1:
            members = set(group)
            weights = tuple(int(number in members) for number in range(len(candidates)))
            said = "a form asks no problem twice"
            yield Rule(said, weights, None, 1, unit=said)


def _alike(blueprint: Blueprint, candidates: Sequence[Candidate]) -> Iterator[tuple[int, ...]]:
    yield tuple(1 for _ in candidates)
    yield tuple(each.marks for each in candidates)
    if blueprint.alike == "templates":
        for name in dict.fromkeys(each.template for each in candidates):
            yield tuple(int(each.template == name) for each in candidates)
    else:
        for row in blueprint.rows:
            yield tuple(int(fits(each, row.where)) for each in candidates)


def _in_words(wanted: Range, unit: int) -> str:
    """A range as the file writes it.

    >>> _in_words(Range(2, 3), 1), _in_words(Range(None, 455), 10), _in_words(Range(-400, -400), 1000)
    ('2 to 3', 'at most 45.5', '-0.4')
    """
    least, most = (None if end is None else _decimal(end, unit) for end in wanted)
    if least == most:
        return str(least)
    if least is None:
        return f"at most {most}"
    return f"at least {least}" if most is None else f"{least} to {most}"


def _decimal(number: int, unit: int) -> str:
    whole, rest = divmod(abs(number), unit)
    digits = f"{whole}.{rest:0{len(str(unit)) - 1}}".rstrip("0").rstrip(".") if rest else str(whole)
    return f"{'-' if number < 0 else ''}{digits}"


# ---- what cannot be ---------------------------------------------------------------------------------------


def _short_rules(problem: Problem) -> Iterator[Rule]:
    """Rules that cannot be kept even where no other rule stands in the way: there is too little to choose from."""
    for rule in problem.rules:
        if rule.least is not None and rule.least > sum(weight for weight in rule.weights if weight > 0):
            yield rule


def _too_few(rule: Rule, blueprint: Blueprint) -> Diagnostic:
    there = sum(weight for weight in rule.weights if weight > 0)
    meant = sum(1 for weight in rule.weights if weight > 0)
    span, line = rule.place if rule.place is not None else (None, "")
    told = f"{rule.said}, but there are only {there}" if meant else f"{rule.said}, but no item fits"
    return Diagnostic(
        "too-few-items", told, span, excerpt=line,
        hint=f"ask for less, or draw more to choose from (`pool: {blueprint.pool}` of each template now)",
    )  # fmt: skip


def _no_forms(blueprint: Blueprint, problem: Problem) -> list[Diagnostic]:
    """Why there are no forms: fewer forms are possible, or rules cannot hold together."""
    possible = _most_forms(problem)
    if possible:
        span, line = blueprint.place("forms") or blueprint.place() or (None, "")
        number = f"{possible} form" + "s" * (possible != 1)
        return [
            Diagnostic(
                "too-many-forms", f"{problem.forms} forms are asked for, but only {number} can be made", span,
                excerpt=line,
                hint=f"ask for {possible}, draw more to choose from (`pool: {blueprint.pool}` of each template now), "
                "write `alike: rows`, or share items",
            )
        ]  # fmt: skip
    clashes = list(_clashes(replace(problem, forms=1, alike=(), near=(), most_of=(), shared=0)))
    return [
        _clash(rule, len(clash) - 1, f" ({number} of {len(clashes)})" if len(clashes) > 1 else "", blueprint)
        for number, clash in enumerate(clashes, start=1)
        for rule in clash
    ]


def _clash(rule: Rule, others: int, number: str, blueprint: Blueprint) -> Diagnostic:
    """number: which of several sets of lines that cannot hold together it belongs to."""
    span, line = rule.place or blueprint.place() or (None, "")
    together = f"with the other {others} of these lines" if others > 1 else "with the other of these lines"
    return Diagnostic(
        "cannot-hold-together",
        f"{rule.unit or rule.said}: this cannot hold {together}{number}" if others else rule.unit or rule.said,
        span, excerpt=line,
        hint="ask for less in one of them, or draw more to choose from "
             f"(`pool: {blueprint.pool}` of each template now)",
    )  # fmt: skip


def _most_forms(problem: Problem) -> int:
    """The greatest number of forms below the one asked for that can be made, 0 for none."""
    for forms in range(problem.forms - 1, 0, -1):
        fewer = replace(problem, forms=forms, shared=problem.shared if forms > 1 else 0,
                        alike=problem.alike if forms > 1 else ())  # fmt: skip
        if chosen(fewer, any_will_do=True) is not None:
            return forms
    return 0


def _clashes(problem: Problem) -> Iterator[tuple[Rule, ...]]:
    """Sets of rules that cannot hold together, no rule in two of them: what is left is asked again."""
    left = problem
    for _ in range(MOST_CLASHES):
        found = _clashing(left)
        yield found
        units = {rule.unit for rule in found if rule.unit}
        left = replace(left, rules=tuple(r for r in left.rules if r not in found and r.unit not in units))
        if not found or chosen(left, any_will_do=True) is not None:
            return


def _clashing(problem: Problem) -> tuple[Rule, ...]:
    """One rule of each unit that is needed for there to be no form: one unit after the other is taken away."""
    units: dict[tuple[str, int], list[Rule]] = {}
    for number, rule in enumerate(problem.rules):
        units.setdefault((rule.unit, 0 if rule.unit else number), []).append(rule)
    kept = list(units)
    for unit in units:
        fewer = [each for each in kept if each != unit]
        rules = tuple(rule for each in fewer for rule in units[each])
        if chosen(replace(problem, rules=rules), any_will_do=True) is None:
            kept = fewer
    return tuple(units[each][0] for each in kept)
