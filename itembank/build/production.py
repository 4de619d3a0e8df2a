"""Items made and proved one after the other, in this process or in several, always in the same order."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from itembank.bank import making
from itembank.bank.bank import Bank
from itembank.bank.draw import Selected
from itembank.build.packages import Packed, pack
from itembank.content import Content
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.garbage import collect_seldom
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Draft, Instantiator, draft
from itembank.generator.item_codes import item_code
from itembank.items import ChoiceResponse, ChoicesResponse, Item, MatchResponse, OrderResponse
from itembank.proof.findings import Finding
from itembank.proof.prover import faults
from itembank.writers.formulas import MATHML, Notation
from itembank.writers.package import Member

CHUNK = 400
"""Items a worker makes at a time."""
BATCH = 50
"""Items that go together from one kind of work to the next."""
MOST_KEPT = 2_000
"""Items up to which drafts are kept, for papers are made of them again."""
MARK_BYTES = 12
"""Length of what tells items, and problems, apart."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be made of each item.

    dialects: those of QTI in which it goes into a package; staff: its records; full: also proved with sympy;
    cartridge: its questions in a Common Cartridge; notation: how formulas are written in packages.
    """

    dialects: tuple[str, ...]
    staff: bool
    full: bool = False
    cartridge: bool = False
    notation: Notation = MATHML


class Product(NamedTuple):
    """What one item left behind: its code, what tells it from others, the files and records asked for.

    mark: of what is seen (equal for twins); asked: of its problems (equal for enemies of other templates).
    """

    code: str
    mark: bytes
    asked: bytes
    entry: int
    position: int
    band: str
    marks: int
    claims: int
    packed: tuple[Packed, ...] = ()
    record: str = ""
    answers: tuple[tuple[str, ...], ...] = ()
    columns: tuple[tuple[str, int], ...] = ()
    shortfalls: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    files: tuple[Member, ...] = ()
    difficulty: int | None = None


class Maker:
    """Makes the items of a bank for one seed."""

    def __init__(
        self, bank: Bank, seed: int, secret: bytes, wanted: Wanted, bounds: list[Bound] | None = None
    ) -> None:
        self.bank = bank
        self.secret = secret
        self.wanted = wanted
        self.entries = bank.used()
        self.bounds = bounds if bounds is not None else [Bound(entry.recipe) for entry in self.entries]
        self.instantiators = [
            Instantiator(bound, seed, entry.weights)
            for bound, entry in zip(self.bounds, self.entries, strict=True)
        ]
        self.attempts: dict[tuple[int, int], int] = {}

    def again(self, product: Product) -> Product:
        """The product under its next code, where another item of the build has the one it had."""
        place = (product.entry, product.position)
        self.attempts[place] = self.attempts.get(place, 0) + 1
        return self.product(product.entry, product.position, product.band)

    def item(self, entry: int, position: int, band: str, made: Draft | None = None) -> Item:
        """The item at a position. Raises InputError where the template does not fit its own values."""
        instantiator, bound = self.instantiators[entry], self.bounds[entry]
        if made is None:
            arguments = bound.assignment(bound.order(instantiator.seed).at(position))
            made = draft(bound, arguments, checked=True)
            assert made is not None
        code = item_code(instantiator.address(position), self.secret, self.attempts.get((entry, position), 0))
        return making.made(instantiator, position, made, code, band)

    def proved(self, chosen: Selected) -> tuple[Item, tuple[Finding, ...]]:
        """A selected item with its proof. Raises as `product` does."""
        item = self.item(chosen.entry, chosen.position, chosen.band, chosen.draft)
        return item, self._proved(chosen.entry, item)

    def product(self, entry: int, position: int, band: str, made: Draft | None = None) -> Product:
        """The item made, proved and written. Raises InputError, or Contradiction where two of our roads disagree."""
        (product,) = self.products([Selected(entry, position, band, made)])
        return product

    def products(self, selected: Sequence[Selected]) -> list[Product]:
        """The products of several items: all made, then all proved, then all written. Raises as `product` does.

        One kind of work at a time finds what it needs still in the processor's memory; so a sixth is saved.
        """
        items = [self.item(each.entry, each.position, each.band, each.draft) for each in selected]
        findings = [self._proved(each.entry, item) for each, item in zip(selected, items, strict=True)]
        packed: Sequence[tuple[tuple[Packed, ...], tuple[str, ...]]] = [((), ())] * len(items)
        if self.wanted.dialects:
            packed = pack(items, self.wanted.dialects, self.bank.facts.publication, self.wanted.notation)
        return list(map(self._product, selected, items, findings, packed))

    def _proved(self, entry: int, item: Item) -> tuple[Finding, ...]:
        template = self.entries[entry].recipe.template
        findings = making.proof_of(template, item)
        if not self.wanted.full:
            return findings
        from itembank.proof.symbolic import prove_with_sympy

        more = prove_with_sympy(item)
        for finding in faults(more):
            making.refuse(template, item, finding)
        return (*findings, *more)

    def _product(
        self,
        chosen: Selected,
        item: Item,
        findings: tuple[Finding, ...],
        written: tuple[tuple[Packed, ...], tuple[str, ...]],
    ) -> Product:
        packed, shortfalls = written
        questions: tuple[str, ...] = ()
        files: tuple[Member, ...] = ()
        if self.wanted.cartridge:
            from itembank.build.carried import carried

            questions, files, lost = carried(item, self.wanted.notation)
            shortfalls += tuple(f"cartridge: {line}" for line in lost)
        record = ""
        answers: tuple[tuple[str, ...], ...] = ()
        columns: tuple[tuple[str, int], ...] = ()
        if self.wanted.staff:
            from itembank.build import staff

            record, answers, columns = staff.record(item, findings), staff.answers(item), staff.columns(item)
        return Product(
            item.code,
            fingerprint(item),
            problem_mark(item),
            chosen.entry,
            chosen.position,
            chosen.band,
            item.marks,
            len(findings),
            packed,
            record,
            answers,
            columns,
            shortfalls,
            questions,
            files,
            item.difficulty.thousandths if item.difficulty is not None else None,
        )


def fingerprint(item: Item) -> bytes:
    """What tells an item from its template's others: the mathematics and pictures a pupil sees, not words or code."""
    state = hashlib.blake2b(item.address.template.encode(), digest_size=MARK_BYTES)
    for part in item.parts:
        for filling in part.stem.fillings:
            if not isinstance(filling, str):
                state.update(b"\0" + spelling.plain(filling).encode())
        if part.figure is not None:
            state.update(b"\0" + repr(part.figure).encode())
        if isinstance(part.response, ChoiceResponse | ChoicesResponse):
            contents = [
                option.content for option in part.response.options if isinstance(option.content, Content)
            ]
            fillings = [each for content in contents for each in content.fillings if isinstance(each, Maths)]
            for text in sorted(map(spelling.plain, fillings)):
                state.update(b"\0" + text.encode())
        elif isinstance(part.response, OrderResponse):
            for text in sorted(spelling.plain(thing.maths) for thing in part.response.things):
                state.update(b"\0" + text.encode())
        elif isinstance(part.response, MatchResponse):
            for text in sorted(spelling.plain(row.statement) for row in part.response.rows):
                state.update(b"\0" + text.encode())
    return state.digest()


def problem_mark(item: Item) -> bytes:
    """The same for items of different templates that ask the same problems: these are enemies, not twins."""
    asked = "\0".join(
        f"{spelling.plain(p.problem.statement)}|{' '.join(p.problem.unknowns)}" for p in item.parts
    )
    return hashlib.blake2b(asked.encode(), digest_size=MARK_BYTES).digest()


def produce(maker: Maker, selected: list[Selected], workers: int) -> Iterator[Product]:
    """The products of the selected positions, in their order whatever the number of workers.

    Of more than MOST_KEPT positions the drafts are taken out of the list as they are used: they would fill the memory.
    """
    if workers <= 1 or len(selected) <= CHUNK:
        for at in range(0, len(selected), BATCH):
            batch = selected[at : at + BATCH]
            if len(selected) > MOST_KEPT:
                selected[at : at + BATCH] = [each._replace(draft=None) for each in batch]
            yield from maker.products(batch)
        return
    yield from _in_parallel(maker, selected, workers)


_MAKER: Maker | None = None


def _start(maker_of: Callable[[], Maker]) -> None:
    global _MAKER
    collect_seldom()
    _MAKER = maker_of()


def _work(chunk: list[tuple[int, int, str]]) -> list[Product]:
    assert _MAKER is not None
    selected = [Selected(*job, None) for job in chunk]
    return [
        product
        for at in range(0, len(selected), BATCH)
        for product in _MAKER.products(selected[at : at + BATCH])
    ]


@dataclass(frozen=True)
class _MakerOf:
    """Makes a worker's own maker."""

    bank: Bank
    seed: int
    secret: bytes
    wanted: Wanted

    def __call__(self) -> Maker:
        if self.bank.facts.extensions:
            from itembank.bank.extensions import activate

            activate(self.bank.facts.extensions)
        return Maker(self.bank, self.seed, self.secret, self.wanted)


def _in_parallel(maker: Maker, selected: Sequence[Selected], workers: int) -> Iterator[Product]:
    from collections import deque
    from concurrent.futures import Future

    from itembank.worker_pool import worker_pool

    start = _MakerOf(maker.bank, maker.instantiators[0].seed, maker.secret, maker.wanted)
    chunks = (
        [(s.entry, s.position, s.band) for s in selected[at : at + CHUNK]]
        for at in range(0, len(selected), CHUNK)
    )
    with worker_pool(workers, _start, start) as pool:
        ahead: deque[Future[list[Product]]] = deque()
        for chunk in chunks:
            ahead.append(pool.submit(_work, chunk))
            if len(ahead) >= 3 * workers:
                yield from ahead.popleft().result()
        while ahead:
            yield from ahead.popleft().result()
