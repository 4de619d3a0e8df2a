"""Items of template files, made as a build makes them, for tests of what comes out at the end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import islice
from pathlib import Path

from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import Item
from itembank.templates.loader import load_template
from itembank.templates.slips import load_slips

GOOD = Path(__file__).parent / "templates" / "good"


@cache
def bound(name: str) -> Bound:
    """A good template, ready to make items."""
    catalogue = load_slips(GOOD / "slips.yaml", "slips.yaml")[0]
    path = GOOD / f"{name}.yaml"
    return Bound(make_recipe(load_template(path, path.name, catalogue).template))


def items(name: str, count: int, seed: int = 1) -> Iterator[Item]:
    """The first items of a good template's walk."""
    ready = bound(name)
    maker = Instantiator(ready, seed)
    for drawn in islice(walk(ready, seed), count):
        yield maker.item(drawn.position, drawn.draft, item_code(maker.address(drawn.position), OPEN_SECRET))


def _maker(name: str) -> Callable[[], Item]:
    def make() -> Item:
        return next(items(name, 1))

    make.__name__ = f"{name.replace('-', '_')}_item"
    return make


ENTRY_FORMS = (
    "follow-through", "follow-fractions", "follow-surds", "interval", "interval-surds", "interval-surd-halves",
    "interval-roots", "interval-rays", "brackets", "brackets-scale", "units",
    "one-of", "one-of-alone", "one-of-fixed", "one-of-two",
    "points", "points-touching", "points-fractions", "points-surds",
)  # fmt: skip
MAKERS = tuple(_maker(name) for name in ENTRY_FORMS)
"""One item of each of these templates, made when it is asked for."""
