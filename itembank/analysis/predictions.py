"""How hard items were predicted to be, beside how hard they were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from itembank.analysis.exact import CannotTell, Root, correlation, logit, ranks
from itembank.analysis.item_statistics import ItemFigures

__all__ = ["Compared", "Predicted", "compare"]


@dataclass(frozen=True, slots=True)
class Compared:
    """An item: predicted difficulty in thousandths of a logit, and the observed one, ln((1 - p) / p), in logits.

    The two have different zeros: an observed one depends on the class, so that only order and distances are compared.
    """

    name: str
    predicted: int
    observed: Decimal | CannotTell


@dataclass(frozen=True, slots=True)
class Predicted:
    """All items with a prediction, and how alike the two orders are."""

    items: tuple[Compared, ...]
    agreement: Root | CannotTell


def compare(items: Sequence[ItemFigures]) -> Predicted:
    """The two difficulties of every item that has both a prediction and a facility.

    Agreement is Spearman's rank correlation, the product-moment correlation of ranks, equal ones sharing the middle of
    their places; by ranks of 1 - p, which order items as their logits do. Smallest n: 3 items; below 10 it says
    little. Source: Spearman 1904 (from memory).
    """
    told = [
        (each.name, each.difficulty, each.facility)
        for each in items
        if each.difficulty is not None and isinstance(each.facility, Fraction)
    ]
    return Predicted(
        tuple(Compared(name, predicted, logit(1 - p, 2)) for name, predicted, p in told),
        correlation(
            ranks([Fraction(predicted) for _, predicted, _ in told]), ranks([1 - p for _, _, p in told])
        ),
    )
