"""What a bank covers: strands, demands, kinds of response; and which curriculum statements it leaves.

Pure: whoever asks says how many items each template gives, all there are or those of one build.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from itembank.bank.bank import Entry
from itembank.bank.predictions import WHOLE, Predictions
from itembank.difficulty import Spread, Weights, spread_of, usual_weights
from itembank.publication import Statement
from itembank.templates.template import ChoicesTemplate, ResponseTemplate, Template

__all__ = ["Available", "Coverage", "Covered", "StatementCovered", "coverage", "kinds"]


@dataclass(frozen=True, slots=True)
class Available:
    """How many different items a template can give. is_exact: False where that is an estimate."""

    items: int
    is_exact: bool = True


@dataclass(frozen=True, slots=True)
class Covered:
    """One strand at one demand by one kind of response.

    strand, demand: "" where not said. minutes, marks: of one item of each template; minutes is None where one of them
    does not say, marks is the least where the numbers of an item decide. difficulty: predicted of some items of each
    template, None where nobody did.
    """

    strand: str
    demand: str
    kind: str
    templates: int
    items: int
    is_exact: bool
    minutes: Fraction | None
    marks: int
    difficulty: Spread | None = None


@dataclass(frozen=True, slots=True)
class StatementCovered:
    """A curriculum statement, and what speaks to it."""

    code: str
    says: str
    templates: int
    items: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """rows by strand, demand and kind; statements by code, those the bank knows of and those its templates name."""

    rows: tuple[Covered, ...]
    statements: tuple[StatementCovered, ...]

    @property
    def without_items(self) -> tuple[str, ...]:
        """Codes of the statements that no item speaks to."""
        return tuple(statement.code for statement in self.statements if not statement.items)


_DEMANDS = ("know", "use", "reason", "")


def kinds(template: Template) -> str:
    """The kinds of response of a template's parts, each once, in their order.

    A template with an entry and then a choice is `entry + choice`.
    """
    return " + ".join(dict.fromkeys(part.response.kind for part in template.parts))


def coverage(
    entries: Sequence[Entry],
    available: Mapping[str, Available],
    statements: Sequence[Statement] = (),
    predicted: Mapping[str, Predictions] | None = None,
) -> Coverage:
    """The coverage of a bank's templates.

    available: name of a template -> its items; a template that is not named gives none. statements: that the bank
    knows of, which are listed whether or not a template names them. predicted: name of a template -> predictions of
    some of its items.
    """
    groups: dict[tuple[str, str, str], list[Template]] = {}
    weights = next((entry.weights for entry in entries), None)
    for entry in entries:
        template = entry.recipe.template
        groups.setdefault((entry.strand, template.about.demand, kinds(template)), []).append(template)
    none = Available(0)
    rows = [
        Covered(
            strand,
            demand,
            kind,
            len(templates),
            sum(available.get(each.name, none).items for each in templates),
            all(available.get(each.name, none).is_exact for each in templates),
            _minutes(templates),
            sum(_marks(part.response) for each in templates for part in each.parts),
            _difficulty(templates, predicted or {}, weights),
        )
        for (strand, demand, kind), templates in groups.items()
    ]
    rows.sort(key=lambda row: (row.strand, _DEMANDS.index(row.demand), row.kind))
    return Coverage(tuple(rows), _statements(entries, available, statements))


def _marks(response: ResponseTemplate) -> int:
    """What a response is worth; at least, where each right option is worth one and values decide how many there are."""
    if response.marks:
        return response.marks
    return max(1, len(response.more.right)) if isinstance(response.more, ChoicesTemplate) else 1


def _difficulty(
    templates: Sequence[Template], predicted: Mapping[str, Predictions], weights: Weights | None
) -> Spread | None:
    drawn = [predicted.get(each.name, {}) for each in templates]
    found = [value for of_template in drawn for value in of_template.get(WHOLE, ())]
    if not found:
        return None
    every = [value for of_template in drawn for values in of_template.values() for value in values]
    return replace(spread_of(found, weights or usual_weights()), least=min(every), greatest=max(every))


def _minutes(templates: Sequence[Template]) -> Fraction | None:
    told = [template.about.minutes for template in templates]
    return sum((Fraction(text) for text in told), Fraction(0)) if all(told) else None


def _statements(
    entries: Sequence[Entry], available: Mapping[str, Available], statements: Sequence[Statement]
) -> tuple[StatementCovered, ...]:
    words = {statement.code: statement.says for statement in statements}
    named: dict[str, list[str]] = {code: [] for code in words}
    for entry in entries:
        for code in dict.fromkeys(entry.recipe.template.about.curriculum):
            named.setdefault(code, []).append(entry.recipe.template.name)
    none = Available(0)
    return tuple(
        StatementCovered(
            code, words.get(code, ""), len(names), sum(available.get(name, none).items for name in names)
        )
        for code, names in sorted(named.items())
    )
