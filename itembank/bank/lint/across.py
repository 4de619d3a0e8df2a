"""Rules across the templates of a bank, on a bounded sample of their items.

`templates-alike`: two templates of one demand, kind and form whose items ask the same problems. (Where one of them
differs, equal problems are enemies, which a report lists, and not duplicates.)
`stem-gives-key-of-another`: the stem of one item shows both problem and key of an item of another template.

A template silences a rule as it does the others; of two templates, either may.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from itembank.bank.lint.remark import HALADYNA
from itembank.errors import Diagnostic, Level, Span
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Item
from itembank.templates.template import Template

__all__ = ["ACROSS", "Asked", "Question", "across", "asked"]

ACROSS: Mapping[str, str] = {
    "templates-alike": f"{HALADYNA}, guideline 3 (no two items alike); the share is ours",
    "stem-gives-key-of-another": f"{HALADYNA}, guideline 4 (items independent of one another)",
}
"""Every rule by name, with its source."""

SHARED_FROM = 5
"""Doubtful where more than one problem of so many, of the smaller sample, is the other template's too."""


@dataclass(frozen=True, slots=True)
class Question:
    """What an item asks, as plain text. problems: the formula and the unknowns of each part. keys: of each part.
    shown: the formulas of its stems.
    """

    problems: tuple[tuple[str, str], ...]
    keys: tuple[str, ...]
    shown: frozenset[str]


@dataclass(frozen=True, slots=True)
class Asked:
    """A template and what some of its items ask, the simplest ones among them."""

    template: Template
    questions: tuple[Question, ...]


def asked(template: Template, items: Iterable[Item]) -> Asked:
    """What is compared of a template's items."""
    return Asked(template, tuple(map(_question, items)))


def _question(item: Item) -> Question:
    fillings = (filling for part in item.parts for filling in part.stem.fillings)
    return Question(
        tuple((spelling.plain(p.problem.statement), " ".join(p.problem.unknowns)) for p in item.parts),
        tuple(spelling.plain(part.key) for part in item.parts),
        frozenset(spelling.plain(filling) for filling in fillings if isinstance(filling, Maths)),
    )


def across(templates: Sequence[Asked]) -> list[Diagnostic]:
    """What the rules say of pairs of templates; templates without items are passed over."""
    looked_at = [each for each in templates if each.questions]
    return [*_alike(looked_at), *_given_away(looked_at)]


def _silenced(name: str, *templates: Template) -> bool:
    return any(name == rule for template in templates for rule, _, _ in template.silenced)


def _say(name: str, here: Template, there: Template, message: str, hint: str) -> Diagnostic:
    span, other = here.parts[0].stem.source.span, there.parts[0].stem.source.span
    related: tuple[Span, str] = (other, "the other template")
    return Diagnostic(name, message, span, Level.DOUBTFUL, here.excerpt(span), hint, related)


def _alike(templates: Sequence[Asked]) -> Iterator[Diagnostic]:
    groups: dict[tuple[str, ...], list[tuple[Template, set[tuple[tuple[str, str], ...]]]]] = {}
    for each in templates:
        template = each.template
        forms = (b.form for part in template.parts for b in part.response.blanks)
        kind = (template.about.demand, *(part.response.kind for part in template.parts), *forms)
        groups.setdefault(kind, []).append((template, {question.problems for question in each.questions}))
    for group in groups.values():
        for (first, one), (second, two) in combinations(group, 2):
            shared = one & two
            fewer = min(len(one), len(two))
            if SHARED_FROM * len(shared) <= fewer or _silenced("templates-alike", first, second):
                continue
            problem, _ = min(shared)[0]
            yield _say(
                "templates-alike", second, first,
                f"`{second.name}` and `{first.name}` ask the same problem in {len(shared)} of {fewer} items looked at "
                f"({problem} for one)",
                "make one template of them, or let their parameters differ",
            )  # fmt: skip


def _given_away(templates: Sequence[Asked]) -> Iterator[Diagnostic]:
    wanted: dict[str, list[tuple[str, Template]]] = {}
    for each in templates:
        for question in each.questions:
            for (problem, _), key in zip(question.problems, question.keys, strict=True):
                if any(map(str.isalpha, key)):
                    wanted.setdefault(key, []).append((problem, each.template))
    told: set[tuple[str, str]] = set()
    for each in templates:
        for question in each.questions:
            for key in sorted(question.shown & wanted.keys()):
                for problem, template in wanted[key]:
                    pair = (each.template.name, template.name)
                    if template is each.template or problem not in question.shown - {key} or pair in told:
                        continue
                    told.add(pair)
                    if not _silenced("stem-gives-key-of-another", each.template, template):
                        yield _say(
                            "stem-gives-key-of-another", each.template, template,
                            f"a stem of `{each.template.name}` shows {problem} and with it {key}, which is the key "
                            f"of an item of `{template.name}`",
                            "do not draw both for one paper, or show less",
                        )  # fmt: skip
