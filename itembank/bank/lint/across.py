"""Rules across the templates of a bank, on a bounded sample of their items.

`templates-alike`: two templates of one demand, kind and form whose items ask the same problems. (Where one of them
differs, equal problems are enemies, which a report lists, and not duplicates.)
`stem-gives-key-of-another`: the stem of one item shows both problem and key of an item of another template.

A template silences a rule as it does the others; of two templates, either may.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from itembank.bank.lint.remark import HALADYNA, Sample
from itembank.errors import Diagnostic, Level, Span
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Item
from itembank.templates.template import Template

__all__ = ["ACROSS", "across"]

ACROSS: Mapping[str, str] = {
    "templates-alike": f"{HALADYNA}, guideline 3 (no two items alike); the share is ours",
    "stem-gives-key-of-another": f"{HALADYNA}, guideline 4 (items independent of one another)",
}
"""Every rule by name, with its source."""

SHARED_FROM = 5
"""Doubtful where more than one problem of so many, of the smaller sample, is the other template's too."""


def across(samples: Sequence[Sample]) -> list[Diagnostic]:
    """What the rules say of pairs of templates; templates without items are passed over."""
    looked_at = [sample for sample in samples if sample.items]
    return [*_alike(looked_at), *_given_away(looked_at)]


def _silenced(name: str, *templates: Template) -> bool:
    return any(name == rule for template in templates for rule, _, _ in template.silenced)


def _say(name: str, here: Template, there: Template, message: str, hint: str) -> Diagnostic:
    span, other = here.parts[0].stem.source.span, there.parts[0].stem.source.span
    related: tuple[Span, str] = (other, "the other template")
    return Diagnostic(name, message, span, Level.DOUBTFUL, here.excerpt(span), hint, related)


def _problems(item: Item) -> tuple[str, ...]:
    return tuple(f"{spelling.plain(p.problem.statement)}|{' '.join(p.problem.unknowns)}" for p in item.parts)


def _alike(samples: Sequence[Sample]) -> Iterator[Diagnostic]:
    groups: dict[tuple[str, ...], list[tuple[Sample, set[tuple[str, ...]]]]] = {}
    for sample in samples:
        template = sample.template
        forms = (b.form for part in template.parts for b in part.response.blanks)
        kind = (template.about.demand, *(part.response.kind for part in template.parts), *forms)
        groups.setdefault(kind, []).append((sample, {_problems(item) for item in sample.items}))
    for group in groups.values():
        for (first, one), (second, two) in combinations(group, 2):
            shared = one & two
            fewer = min(len(one), len(two))
            if SHARED_FROM * len(shared) <= fewer or _silenced(
                "templates-alike", first.template, second.template
            ):
                continue
            problem = min(shared)[0].partition("|")[0]
            yield _say(
                "templates-alike", second.template, first.template,
                f"`{second.template.name}` and `{first.template.name}` ask the same problem in {len(shared)} of "
                f"{fewer} items looked at ({problem} for one)",
                "make one template of them, or let their parameters differ",
            )  # fmt: skip


def _given_away(samples: Sequence[Sample]) -> Iterator[Diagnostic]:
    wanted: dict[str, list[tuple[str, Template]]] = {}
    for sample in samples:
        for item in sample.items:
            for part in item.parts:
                key = spelling.plain(part.key)
                if any(map(str.isalpha, key)):
                    wanted.setdefault(key, []).append(
                        (spelling.plain(part.problem.statement), sample.template)
                    )
    told: set[tuple[str, str]] = set()
    for sample in samples:
        for item in sample.items:
            shown = {
                spelling.plain(filling)
                for part in item.parts
                for filling in part.stem.fillings
                if isinstance(filling, Maths)
            }
            for key in sorted(shown & set(wanted)):
                for problem, template in wanted[key]:
                    pair = (sample.template.name, template.name)
                    if template is sample.template or problem not in shown - {key} or pair in told:
                        continue
                    told.add(pair)
                    if not _silenced("stem-gives-key-of-another", sample.template, template):
                        yield _say(
                            "stem-gives-key-of-another", sample.template, template,
                            f"a stem of `{sample.template.name}` shows {problem} and with it {key}, which is the key "
                            f"of an item of `{template.name}`",
                            "do not draw both for one paper, or show less",
                        )  # fmt: skip
