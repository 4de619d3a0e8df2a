"""The long look at a template: what it can make, which line rejects how much, and whether its items are right.

Items are made and proved from the simplest on, so that what is wrong shows at the smallest example.
"""

from __future__ import annotations

from collections import Counter as Tally
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice

from itembank.bank import twins
from itembank.bank.all_values import for_all_values
from itembank.bank.bank import Entry
from itembank.bank.explain import diagnose, not_an_item, place_of
from itembank.bank.line_shares import LineShare, cannot_hold_together, line_shares
from itembank.bank.lint import Asked, asked, lint
from itembank.bank.looks import odd_looks
from itembank.bank.pictures import answers_shown, marks_the_solutions
from itembank.bank.predictions import predictions, spreads
from itembank.bank.remedies import remedy
from itembank.bank.slip_shares import FATES, SlipShare, tallies
from itembank.bank.too_few import lacking
from itembank.bank.undefined import in_words, line_without_value, not_showable, shown_without_value
from itembank.difficulty import ObservedOf, Spread
from itembank.errors import Contradiction, Diagnostic, DomainError, Level, Span
from itembank.figures import Figure
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.counting import SAMPLED, Count, Counter
from itembank.generator.figures import figure_of
from itembank.generator.instantiate import Draft, Instantiator, draft, key_forms
from itembank.generator.recipe import PartRecipe, Shown
from itembank.generator.space import simplest, walk
from itembank.generator.unfit import NotAnItem
from itembank.items import Item
from itembank.proof.guarantees import plain_number
from itembank.proof.prover import prove
from itembank.templates.template import Expression, Template

PROVED_AT_LEAST = 200
"""Items proved of each template: the simplest ones and some of its walk; all of a small template."""

FOR_LINT = 60
"""Items the rules of item writing look at: from the walk where it gave so many, else the simplest too."""

COMPARED = 10_000
"""Simplest items whose stems are compared with each other."""

LOOKED_AT = 200_000
"""Assignments looked at to find them."""

SPREAD = 1_000
"""Allowed assignments from the whole box that the shares of slips are told of."""


@dataclass(slots=True)
class Review:
    """What was found out about a template.

    difficulty: as predicted over the items looked at: of all of them, and of each band, from the easiest on.
    observed: what the bank keeps of sittings, None for nothing.
    proved: how many items were looked at and found right in everything they claim.
    unfit: an assignment that was counted makes no item, which is told; the count is then only the most there can be.
    """

    template: Template
    count: Count
    lines: list[LineShare] = field(default_factory=list)
    slips: list[SlipShare] = field(default_factory=list)
    proved: int = 0
    unfit: bool = False
    all_values: list[str] = field(default_factory=list)
    diagnostics: list[Diagnostic] = field(default_factory=list)
    asked: Asked | None = None
    difficulty: dict[str, Spread] = field(default_factory=dict)
    observed: ObservedOf | None = None


def review(entry: Entry) -> Review:
    """Counts, shares, and what is wrong or doubtful of a template. Raises Contradiction for a fault of our own."""
    return _Reviewer(entry).review()


class _Reviewer:
    def __init__(self, entry: Entry) -> None:
        self.template = entry.recipe.template
        self.bound = Bound(entry.recipe)
        self.weights = entry.weights
        self.counter = Counter(self.bound)
        self.found: list[Diagnostic] = []
        self.pictures: dict[int, tuple[int, str, Arguments]] = {}
        self.lines_read: dict[int, Arguments] = {}
        self.made: list[Item] = []
        self.drawn: list[Item] = []
        self.unfit = False

    def say(
        self,
        code: str,
        message: str,
        span: Span,
        *,
        hint: str = "",
        level: Level = Level.WRONG,
        related: tuple[Span, str] | None = None,
    ) -> None:
        self.found.append(Diagnostic(code, message, span, level, self.template.excerpt(span), hint, related))

    def review(self) -> Review:
        count = self.counter.count()
        result = Review(self.template, count, diagnostics=self.found)
        if self.weights is not None and self.weights.observed.source:
            result.observed = self.weights.observed.of(self.template.name, self.template.version)
        result.lines = self._shares()
        if count.allowed == 0 and not count.exact:
            self._too_rare()
            return result
        if count.allowed == 0:
            self._nothing_left()
            return result
        self._undefined_lines()
        sample = self._shown(self._sample())
        if not sample:
            return result
        result.slips = self._slips(sample)
        if count.feasible == 0:
            self.found.extend(lacking(self.bound, self.counter, sample))
            result.all_values = for_all_values(self.template)
            return result
        for name, number in zip(self.bound.recipe.bands, count.bands, strict=True):
            if number == 0:
                span = dict(self.template.bands)[name][0].span()
                self.say("empty-band", f"no item belongs to the band `{name}`", span, hint="loosen its lines")
        self._twins()
        result.proved = self._prove()
        result.unfit = self.unfit
        looked_at = self.drawn if len(self.drawn) >= FOR_LINT else self.made
        result.difficulty = spreads(predictions(looked_at), self.weights)
        if not any(diagnostic.level is Level.WRONG for diagnostic in self.found):
            self.found.extend(lint(self.template, looked_at))
            result.asked = asked(self.template, self.made)
        result.all_values = for_all_values(self.template)
        return result

    # what each line rejects

    def _shares(self) -> list[LineShare]:
        shares = line_shares(self.bound, self.counter)
        for share in shares:
            if share.alone == 0 and share.kind == "constraint":
                self.say(
                    "rejects-nothing",
                    "this constraint rejects nothing: it holds for every assignment",
                    share.span,
                    level=Level.DOUBTFUL,
                    hint="it may be taken out",
                )
        return shares

    def _nothing_left(self) -> None:
        needed = cannot_hold_together(self.bound, self.counter)
        first = needed[0]
        together = " and ".join(f"`{line.text}`" for line in needed)
        if len(needed) == 1:
            message = f"no assignment fulfils {together}{self._why_undefined(first)}"
        else:
            message = f"these lines cannot hold together: {together}"
        related = (needed[1].span(), "the other one") if len(needed) > 1 else None
        self.say(
            "no-values",
            message,
            first.span(),
            hint="loosen one of them, or widen the parameters",
            related=related,
        )

    def _why_undefined(self, line: Expression) -> str:
        for arguments in simplest(self.bound, 20):
            found = line_without_value(self.bound, (line,), arguments)
            if found is not None:
                return f"; at {self._told(arguments)} it is undefined: {found[1]}"
        return ""

    def _too_rare(self) -> None:
        lines = (*self.template.constraints, *self.template.guarantees)
        span = lines[0].span() if lines else self.template.parameters[0].span
        self.say(
            "too-rare",
            f"the box has {self.bound.size} assignments, and none of the first {SAMPLED} fulfils every line",
            span,
            hint="make the ranges smaller, or derive values so that fewer assignments are rejected",
        )

    # what has no value

    def _undefined_lines(self) -> None:
        """Lines that are undefined for some of the simplest assignments."""
        told: set[Expression] = set()
        lines = (*self.template.constraints, *self.template.guarantees)
        for arguments in simplest(self.bound, 200):
            found = line_without_value(self.bound, lines, arguments)
            if found is not None and found[0] not in told:
                told.add(found[0])
                self.say(
                    "undefined-line",
                    f"this line is undefined at {self._told(arguments)}: {found[1]}; "
                    "such assignments are passed over",
                    found[0].span(),
                    level=Level.DOUBTFUL,
                    hint=remedy(found[1], "in a line above"),
                )

    def _shown(self, sample: list[Arguments]) -> list[Arguments]:
        """The assignments of a sample for which everything shown has a value; what has none is told, each once."""
        able = [arguments for arguments in sample if self.bound.forms(*arguments) is not None]
        known = set(able)
        told: set[Expression] = set()
        for arguments in sample:
            found = shown_without_value(self.bound, arguments) if arguments not in known else None
            if found is not None and found[0] not in told and (able or not told):
                told.add(found[0])
                self.say(
                    "undefined",
                    f"this has no value at {self._told(arguments)}: {found[1]}; "
                    + ("such assignments are passed over" if able else "no item can be made"),
                    found[0].span(),
                    level=Level.DOUBTFUL if able else Level.WRONG,
                    hint=remedy(found[1], "by a constraint"),
                )
        if sample and not able and not told:
            self.say(
                "no-items",
                f"the key, or what is shown beside it, cannot be worked out as at {self._told(sample[0])}; "
                "no item can be made",
                (self.template.parts[0].key or self.template.parts[0].problem).span(),
                hint="write the key as its solutions, one `x = ...` for each: x = p or x = q",
            )
        return able

    # slips

    def _sample(self) -> list[Arguments]:
        """Assignments that fulfil every line, the simplest first."""
        found = [a for a in islice(simplest(self.bound, LOOKED_AT), 20_000) if self.bound.feasible(*a)][:300]
        if len(found) < 300:
            order = self.bound.order(0)
            known = set(found)
            for position in range(min(self.bound.size, LOOKED_AT)):
                arguments = self.bound.assignment(order.at(position))
                if arguments not in known and self.bound.feasible(*arguments):
                    known.add(arguments)
                    found.append(arguments)
                    if len(found) >= 300:
                        break
        return found or list(islice(next(iter(self.counter.survivors()), []), 300))

    def _spread(self) -> list[Arguments]:
        """Assignments that fulfil every line, evenly from the whole box: what shares are told of."""
        order = self.bound.order(0)
        found = []
        for position in range(min(self.bound.size, LOOKED_AT)):
            arguments = self.bound.assignment(order.at(position))
            if self.bound.feasible(*arguments) and self.bound.forms(*arguments) is not None:
                found.append(arguments)
                if len(found) == SPREAD:
                    break
        return found

    def _slips(self, simple: list[Arguments]) -> list[SlipShare]:
        """The share of each slip over the box, its examples from the simplest assignments where they have one."""
        shares = []
        spread = self._spread()
        sample = spread or simple
        for number, part in enumerate(self.template.parts):
            if not part.slips:
                continue
            told: list[dict[str, tuple[int, Arguments]]] = []
            shared = tallies(self.bound, self.counter, sample, number)
            is_entry = part.response.kind == "entry"
            for place, (slip, found) in enumerate(zip(part.slips, shared, strict=True)):
                seen = sum(times for times, _ in found.values())
                fates = tuple((word, times) for word, (times, _) in sorted(found.items()))
                share = SlipShare(slip.name, slip.span, fates, seen, is_entry)
                shares.append(share)
                if not share.is_seldom_used:
                    continue
                told = told or tallies(self.bound, self.counter, simple, number)
                examples = told[place]
                # an example from the simplest assignments, where they have one
                firsts = {word: examples.get(word, each)[1] for word, each in found.items()}
                appears = bool(share.used) or share.use in examples
                self._say_of_slip(share, firsts, appears=appears, within=part.domain is not None)
        return shares

    def _say_of_slip(
        self, share: SlipShare, firsts: Mapping[str, Arguments], *, appears: bool, within: bool
    ) -> None:
        """A slip that never appears, or seldom. firsts: fate -> an assignment that has it; within: in a domain."""
        fates = {
            **FATES,
            **({"no real solution": "has no solution in the domain of the unknown"} if within else {}),
        }
        whys = [f"it {fates[word]} (as at {self._told(firsts[word])})" for word in share.whys]
        if appears:
            self.say(
                "slip-seldom-appears",
                f"the slip `{share.name}` is {share.use} in {share.used} of {share.seen}: mostly {whys[0]}",
                share.span,
                level=Level.DOUBTFUL,
            )
        else:
            self.say(
                "slip-never-appears",
                f"the slip `{share.name}` is never {share.use}: {'; elsewhere '.join(whys)}",
                share.span,
                hint=_STAYS
                if "follows all the same" in share.whys
                else "give it another value, or take it out",
            )

    def _told(self, arguments: Arguments) -> str:
        return in_words(self.bound, arguments)

    # items

    def _drafts(self) -> Iterator[tuple[int, Draft]]:
        """The simplest feasible drafts, then some of the walk; positions are -1 for the former."""
        known: set[Arguments] = set()
        for arguments in simplest(self.bound, LOOKED_AT):
            made = draft(self.bound, arguments)
            if made is not None:
                known.add(arguments)
                yield -1, made
                if len(known) >= PROVED_AT_LEAST // 2:
                    break
        for drawn in walk(self.bound, 0, LOOKED_AT):
            if drawn.draft.arguments not in known:
                known.add(drawn.draft.arguments)
                yield drawn.position, drawn.draft
            if len(known) >= PROVED_AT_LEAST and self.counter.bound.size > 5_000:
                break
            if len(known) >= 10 * PROVED_AT_LEAST:
                break

    def _prove(self) -> int:
        instantiator = Instantiator(self.bound, 0, self.weights)
        told: set[tuple[str, str, int | Span, int]] = set()
        doubts: Tally[tuple[str, Span]] = Tally()
        looked_at = proved = 0
        for position, made in self._drafts():
            try:
                item = instantiator.item(max(position, 0), made, "CHECK", self._band(made.arguments))
            except NotAnItem as wrong:
                self.unfit = True
                if (wrong.code, "", wrong.part, 0) not in told:
                    told.add((wrong.code, "", wrong.part, 0))
                    values = {
                        name: plain_number(value) for name, value in self.bound.values(made.arguments).items()
                    }
                    self.found.append(not_an_item(self.template, values, wrong))
                continue
            except DomainError as impossible:
                self.unfit = True
                self.found.append(not_showable(self.bound, made, str(impossible)))
                break
            looked_at += 1
            self._look_at_pictures(item, made)
            for kept in (self.made, self.drawn) if position >= 0 else (self.made,):
                if len(kept) < 2 * FOR_LINT:
                    kept.append(item)
            is_solved = is_right = True
            for finding in prove(item):
                if finding.holds:
                    continue
                is_right = False
                is_solved &= finding.code != "problem-not-solved"
                of_slip = finding.subject == "slip"  # its place is among the slips of the item
                place = place_of(self.template, item, finding) if of_slip else finding.place
                mark = (finding.code, finding.subject, place, finding.part)
                if mark in told:
                    continue
                told.add(mark)
                diagnosis = diagnose(self.template, item, finding)
                if isinstance(diagnosis, Contradiction):
                    raise diagnosis
                self.found.append(diagnosis)
            proved += is_right
            for number in range(len(item.parts) if is_solved else 0):
                for doubt, span in odd_looks(self.template, item, number):
                    doubts[(doubt, span)] += 1
                    if doubts[(doubt, span)] == 1:
                        self.say(
                            "odd-looks",
                            f"{doubt} (as at {self._told(made.arguments)})",
                            span,
                            level=Level.DOUBTFUL,
                            hint=_OF_LOOKS.get(doubt, "constrain the parameters, or write it another way"),
                        )
        self._tell_of_pictures(looked_at)
        return proved

    def _band(self, arguments: Arguments) -> str:
        """The first band an assignment belongs to."""
        for name, belongs in zip(self.bound.recipe.bands, self.bound.bands, strict=True):
            if belongs(*arguments):
                return name
        return ""

    def _look_at_pictures(self, item: Item, made: Draft) -> None:
        """Stems whose pictures show the answer, with the first assignment where one does."""
        for number, part in enumerate(item.parts):
            shown = answers_shown(part, key_forms(self.bound, number, made.forms))
            if not shown and marks_the_solutions(part):
                self.lines_read.setdefault(number, made.arguments)
            if shown:
                times, label, arguments = self.pictures.get(number, (0, shown[0], made.arguments))
                self.pictures[number] = (times + 1, label, arguments)

    def _tell_of_pictures(self, looked_at: int) -> None:
        """By design where most do it; a coincidence of numbers where few do."""
        silenced = {name for name, _, _ in self.template.silenced}
        for number, arguments in self.lines_read.items():
            figure = self.template.parts[number].figure
            if figure is not None and "figure-shows-answer" not in silenced:
                self.say(
                    "figure-shows-answer",
                    f"the number line of the stem marks what is to be entered (as at {self._told(arguments)})",
                    figure.span,
                    level=Level.DOUBTFUL,
                    hint="move it to a line of the solution; where it is to be read off, say so: "
                    "lint: {figure-shows-answer: the number line is what is read}",
                )
        for number, (times, label, arguments) in self.pictures.items():
            figure = self.template.parts[number].figure
            assert figure is not None
            self.say(
                "figure-shows-answer",
                f"the picture of the stem shows the answer in {times} of {looked_at} items: "
                f"its label {label} (as at {self._told(arguments)})",
                figure.span,
                level=Level.WRONG if 2 * times >= looked_at else Level.DOUBTFUL,
                hint="show less of it, or move it to a line of the solution"
                if 2 * times >= looked_at
                else "constrain the parameters",
            )

    def _twins(self) -> None:
        """The two simplest assignments whose stems show the same.

        Rows of words make no difference, pictures and options in words do.
        """
        leaves = sorted(
            {
                leaf
                for part in self.bound.recipe.parts
                for hole in (*part.stem.holes, *_asked_besides(part))
                if isinstance(hole, Shown)
                for leaf in hole.leaves
            }
        )
        stems: dict[tuple[Forms, tuple[Figure, ...]], Arguments] = {}
        for arguments in simplest(self.bound, LOOKED_AT):
            made = draft(self.bound, arguments)
            if made is None:
                continue
            mark = tuple(made.forms[leaf] for leaf in leaves), self._pictures(arguments)
            other = stems.setdefault(mark, arguments)
            if other != arguments:
                self.say(
                    "twins",
                    f"two assignments make the same question: {self._told(other)}, and {self._told(arguments)}",
                    self.template.parts[0].stem.source.span,
                    hint=twins.remedy(self.template, self._apart(other, arguments)),
                )
                return
            if len(stems) >= COMPARED:
                return

    def _apart(self, one: Arguments, other: Arguments) -> list[str]:
        first, second = self.bound.values(one), self.bound.values(other)
        parameters = (parameter.name for parameter in self.template.parameters if parameter.name in first)
        return [name for name in parameters if first[name] != second[name]]

    def _pictures(self, arguments: Arguments) -> tuple[Figure, ...]:
        """The pictures of the stems; () where one cannot be drawn, which is told at its place."""
        recipes = [part.figure for part in self.bound.recipe.parts if part.figure is not None]
        if not recipes:
            return ()
        try:
            values = self.bound.values(arguments)
            return tuple(figure_of(recipe, values) for recipe in recipes)
        except DomainError:
            return ()


def _asked_besides(part: PartRecipe) -> tuple[Shown, ...]:
    """What a part asks about besides its stem: numbers to be put into order, rows to be matched, options in words."""
    numbers = part.right if part.template.response.kind == "order" else ()
    rows = (part.problem, *(row.problem for row in part.rows)) if part.rows else ()
    words = [hole for text in part.words for hole in text.holes if isinstance(hole, Shown)]
    return (*numbers, *rows, *words)


_OF_LOOKS = {
    "two plain numbers side by side in a sum": "put the numbers together in brackets, and they are worked out: "
    "a*x + (a*d + b*c); keep(...) holds what is to be seen as it stands",
}
_STAYS = "say in `change` what stays as it is too, as in change: {b: b/a, c: c}, or take the slip out"
