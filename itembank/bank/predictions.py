"""How hard a template's items are predicted to be, over the template and over each of its bands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from itembank.bank.bank import Entry
from itembank.difficulty import ObservedOf, Spread, Weights, logits, spread_of, usual_weights
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Instantiator
from itembank.generator.space import walk
from itembank.generator.unfit import NotAnItem
from itembank.items import Item

__all__ = ["WHOLE", "drawn_predictions", "observed_told", "predictions", "spreads", "told"]

WHOLE = ""
"""What the whole template is called among its bands."""

DRAWN = 60
"""Items drawn of a template, and of each of its bands, to predict from."""

LOOKED_AT = 20_000
"""Assignments looked at to find them."""

Predictions = Mapping[str, tuple[int, ...]]
"""Band, or WHOLE -> predictions in thousandths of a logit."""


def predictions(items: Iterable[Item]) -> Predictions:
    """The predictions of some items of a template: of all of them, and of those of each band."""
    found: dict[str, list[int]] = {}
    for item in items:
        if item.difficulty is not None:
            for name in dict.fromkeys((WHOLE, item.band)):
                found.setdefault(name, []).append(item.difficulty.thousandths)
    return {name: tuple(values) for name, values in found.items()}


def drawn_predictions(entry: Entry) -> Predictions:
    """The predictions of items drawn from a template: so many of the whole, and so many of each band, as there are."""
    bound = Bound(entry.recipe)
    instantiator = Instantiator(bound, 0, entry.weights)
    names = (WHOLE, *entry.recipe.bands)
    found: dict[str, list[int]] = {name: [] for name in names}
    for drawn in walk(bound, 0, LOOKED_AT):
        wanted = [name for name in (WHOLE, *(names[i + 1] for i in drawn.bands)) if len(found[name]) < DRAWN]
        if wanted:
            try:
                item = instantiator.item(drawn.position, drawn.draft, "")
            except NotAnItem:
                continue
            if item.difficulty is not None:
                for name in wanted:
                    found[name].append(item.difficulty.thousandths)
        if all(len(values) >= DRAWN for values in found.values()):
            break
    return {name: tuple(values) for name, values in found.items() if values}


def spreads(predicted: Predictions, weights: Weights | None = None) -> dict[str, Spread]:
    """Their spreads: the whole first, then the bands from the easiest to the hardest by their median.

    Each is of a sample of its own; the whole reaches as far as its bands do.
    """
    held = weights or usual_weights()
    made = {name: spread_of(values, held) for name, values in predicted.items() if values}
    if WHOLE in made:
        least, greatest = (
            min(each.least for each in made.values()),
            max(each.greatest for each in made.values()),
        )
        made[WHOLE] = replace(made[WHOLE], least=least, greatest=greatest)
    return dict(sorted(made.items(), key=lambda pair: (pair[0] != WHOLE, pair[1].median)))


def told(spread: Spread) -> str:
    """A spread in words.

    >>> told(Spread(-400, 250, 1100, "medium", 60))
    '-0.4 to +1.1 logits, +0.25 in the middle (medium)'
    """
    middle = f"{logits(spread.median)} in the middle ({spread.word})"
    if spread.least == spread.greatest:
        return f"{logits(spread.median)} logits ({spread.word})"
    return f"{logits(spread.least)} to {logits(spread.greatest)} logits, {middle}"


def observed_told(observed: ObservedOf) -> str:
    """What sittings told of a template, in words.

    >>> observed_told(ObservedOf(1, 3, -250))
    '1 item; 3 items of other versions are predicted anew; the template is 0.25 logits easier than predicted'
    >>> observed_told(ObservedOf(4, 0, None))
    '4 items'
    """
    parts = [_items(observed.items)]
    if observed.outdated:
        parts.append(
            f"{_items(observed.outdated)} of other versions {_are(observed.outdated)} predicted anew"
        )
    if observed.adds is not None:
        how = "easier" if observed.adds < 0 else "harder"
        parts.append(f"the template is {logits(abs(observed.adds)).lstrip('+')} logits {how} than predicted")
    return "; ".join(parts)


def _items(number: int) -> str:
    return "1 item" if number == 1 else f"{number} items"


def _are(number: int) -> str:
    return "is" if number == 1 else "are"
