"""What is told of a calibration: headings, lines and tables, as the analysis of one sitting has them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final

from itembank.analysis.blocks import UNTOLD, Block, Heading, Lines, Report, Table
from itembank.analysis.exact import marks_told, rounded
from itembank.calibration.calibrated import (
    FEWEST,
    Calibration,
    FormWorths,
    FoundItem,
    FoundPupils,
    Level,
    of_thousandths,
)
from itembank.calibration.sample import SampleItem

__all__ = ["report"]

_FAR: Final = Decimal(1)
_ERRORS: Final = 2
_LARGE: Final = Decimal("0.64")
"""Logits by which one group finds an item harder than another before that counts as large: 1.5 on the delta scale, of
which 2.35 make a logit. Source: Zwick & Ercikan 1989 (from memory)."""
_STRAYS: Final = Decimal("0.2")
_THAN_PREDICTED: Final = " than predicted"
_MOST_TOLD: Final = 100_000
_SURE: Final = Decimal("2.58")
"""Standard errors that chance goes beyond once in a hundred times."""


def report(found: Calibration, *, with_pupils: bool = False) -> Report:
    """The report. with_pupils: also those whose answers are odd, by name."""
    blocks: list[Block] = [Heading("Calibration", 1), Lines(tuple(_whole(found)))]
    blocks += [Heading("Look at these"), Lines(tuple(_findings(found)))]
    blocks += [Heading("Items"), _items(found.items)]
    if found.left_out:
        blocks += [Heading("Items without a place"), _left_out(found)]
    if found.dropped:
        blocks += [Heading("Marks that did not count"), _dropped(found)]
    if found.drifts:
        blocks += [Heading("Items in several sittings"), _drifts(found)]
    blocks += [Heading("Pupils whose answers are odd"), Lines(tuple(_odd(found.odd, named=with_pupils)))]
    if with_pupils and found.odd.odd:
        blocks.append(_odd_pupils(found.odd))
    if found.templates:
        blocks += [Heading("Templates"), _templates(found)]
    for number, form in enumerate(found.forms, 1):
        blocks.append(Heading(f"What marks are worth: {form.name}"))
        blocks.append(_worths(form, number) if form.worths else Lines((f"cannot tell: {form.reason}",)))
    for number, level in enumerate(found.level, 1):
        blocks += [Heading("Marks that say the same"), _level(level, number)]
    blocks += [Heading("How it is worked out"), Lines(tuple(_notes()))]
    return tuple(blocks)


def figure(value: Decimal | None, places: int = 2) -> str:
    """A figure for people."""
    return UNTOLD if value is None else str(rounded(Fraction(value), places))


def _number(count: int, word: str) -> str:
    return f"{count} {word}{'s' if count != 1 else ''}"


def _whole(found: Calibration) -> Iterator[str]:
    told = f"{_number(len(found.items), 'item')} from {_number(found.pupils, 'pupil')}"
    yield f"{told} in {_number(len(found.forms), 'sitting')}"
    if found.scales > 1:
        yield (
            f"they stand on {found.scales} scales that no results link: from one to another, predictions alone tell. "
            "Items that sittings have in common link them (`shared` in a blueprint)"
        )
    if found.rounded:
        were = "scores were" if found.rounded > 1 else "score was"
        yield (
            f"{found.rounded} {were} taken to the nearest quarter of a mark: "
            "with finer ones hardly two pupils would have the same total"
        )
    if found.dropped:
        number = sum(each.pupils for each in found.dropped)
        answers = f"{number} answers" if number > 1 else "1 answer"
        yield (
            f"{answers} did not count: given what {'their pupils' if number > 1 else 'its pupil'} scored in all, "
            "such marks leave open how likely they were"
        )
    skipping = sum(each.skips for each in found.items)
    if skipping:
        yield (
            f"at {_number(skipping, 'item')} pupils earned all marks or none, or passed over some: from one mark that "
            "was earned to the next is one step, and an item that is right or wrong counts as one of a single mark"
        )
    if found.left_out:
        yield f"{_number(len(found.left_out), 'more item')} without a place"
    few = len(found.items) - len(found.kept)
    if few:
        which = f"{few} of the items {'were' if few > 1 else 'was'}" if found.kept else "all items were"
        yield f"{which} taken by fewer than {FEWEST} pupils: told here, and not kept"


def _drifting(found: Calibration) -> Iterator[str]:
    """Items that were harder in one sitting than in others; of two sittings that is one thing and told once."""
    sittings = {
        each.item: [other.sitting for other in found.drifts if other.item == each.item]
        for each in found.drifts
    }
    for each in found.drifts:
        of_item = sittings[each.item]
        if abs(each.beyond) <= max(_LARGE, _SURE * each.error) or of_item[1:] == [each.sitting]:
            continue
        others = of_item[1] if len(of_item) == 2 else "other sittings"
        yield (
            f"{_named(each.item)}: {figure(abs(each.beyond))} logits {'harder' if each.beyond > 0 else 'easier'} in "
            f"{each.sitting} than in {others}; was it known there, taught there, or printed otherwise?"
        )


def _findings(found: Calibration) -> Iterator[str]:
    told = [line for each in found.kept for line in _about(each)]
    told += _drifting(found)
    if found.odd.are_many:
        told.append(
            f"{_number(len(found.odd.odd), 'pupil')} of {found.odd.looked_at} scored at hard items and not at easy "
            f"ones, where chance would have {_by_chance(found.odd)}: {_LOOK}"
        )
    yield from told or ["Nothing stands out."]
    if any(line.endswith(_THAN_PREDICTED) for line in told):
        yield (
            "Predictions order items and measure none: with --into BANK, calibrate lets the bank go by what was found. "
            "What is far off may have been taught otherwise, or ask for more than it seems to."
        )


def _named(item: SampleItem) -> str:
    return f"{item.code} ({item.template})"


def _about(each: FoundItem) -> Iterator[str]:
    name = _named(each.item)
    if each.beyond is not None and abs(each.beyond) > max(_FAR, _ERRORS * each.error):
        how = "harder" if each.beyond > 0 else "easier"
        yield f"{name}: {figure(abs(each.beyond))} logits {how}{_THAN_PREDICTED}"
    yield from _unseen(each, name)
    if each.fit is not None:
        beyond = each.fit.infit - 1
        if abs(beyond) > max(_STRAYS, _SURE * each.fit.error):
            why = (
                "the strong miss it or the weak get it; look at key and wording"
                if beyond > 0
                else "sharper than the others; does another item lead to its answer?"
            )
            yield f"{name}: infit {figure(each.fit.infit)}, {why}"


def _unseen(each: FoundItem, name: str) -> Iterator[str]:
    """What nobody scored at either end, for of that the difficulty says nothing."""
    if each.least > 0:
        yield (
            f"{name}: nobody scored less than {marks_told(each.least)} of {each.item.maximum} marks, so its difficulty "
            "is that of the marks above; as a whole it is easier"
        )
    if each.most is not None and each.most < each.item.maximum:
        yield (
            f"{name}: nobody scored more than {marks_told(each.most)} of {each.item.maximum} marks, so its difficulty "
            "is that of the marks below; as a whole it is harder"
        )


def _items(items: Sequence[FoundItem]) -> Table:
    rows = tuple(
        (
            each.item.code, each.item.template, str(each.item.maximum), str(each.pupils),
            "" if each.item.predicted is None else figure(of_thousandths(each.item.predicted)),
            figure(each.difficulty), figure(each.error), "" if each.beyond is None else figure(each.beyond),
            figure(each.fit.infit if each.fit else None),
        )
        for each in items
    )  # fmt: skip
    head = ("item", "template", "marks", "pupils", "predicted", "difficulty", "error", "beyond", "infit")
    return Table("items", head, rows, 2)


def _left_out(found: Calibration) -> Table:
    rows = tuple((each.item.code, each.item.template, each.reason) for each in found.left_out)
    return Table("left-out", ("item", "template", "why"), rows, 3)


def _dropped(found: Calibration) -> Table:
    rows = tuple(
        (each.item.code, each.item.template, marks_told(each.marks), str(each.pupils))
        for each in found.dropped
    )
    return Table("dropped", ("item", "template", "marks", "pupils who earned them"), rows, 2)


def _drifts(found: Calibration) -> Table:
    rows = tuple(
        (each.item.code, each.item.template, each.sitting, str(each.pupils), figure(each.beyond), figure(each.error))
        for each in found.drifts
    )  # fmt: skip
    head = ("item", "template", "sitting", "pupils", "harder than elsewhere", "error")
    return Table("drifts", head, rows, 3)


_LOOK: Final = (
    "look whether marks stand in another pupil's line or another question's column, pages were passed over, answers "
    "went round, or something was never taught"
)


def _by_chance(odd: FoundPupils) -> str:
    return f"about {figure(odd.expected, 0)}" if odd.expected >= 1 else "hardly any"


def _odd(odd: FoundPupils, *, named: bool) -> Iterator[str]:
    if not odd.looked_at:
        yield f"cannot tell: it takes items that {FEWEST} pupils took, and pupils who had several of them"
        return
    yield (
        f"of {_number(odd.looked_at, 'pupil')} {len(odd.odd)} scored at hard items and not at easy ones, as chance has "
        f"it once in a hundred times at the most; by chance alone {_by_chance(odd)} of so many would"
    )
    if odd.odd:
        yield f"one is no proof of anything; {_LOOK}" if named else "--pupils names them, and where it shows"


def _odd_pupils(odd: FoundPupils) -> Table:
    rows = tuple(
        (each.name, each.sitting, ", ".join(item.code for item in each.less),
         ", ".join(item.code for item in each.more), marks_told(each.marks), marks_told(each.most),
         _once_in(each.chance))
        for each in odd.odd
    )  # fmt: skip
    head = ("pupil", "sitting", "less than expected at", "more than expected at", "marks", "of", "once in")
    return Table("odd-pupils", head, rows, 4)


def _once_in(chance: Decimal) -> str:
    return str(int(1 / chance)) if chance * _MOST_TOLD > 1 else f"{_MOST_TOLD} or more"


def _templates(found: Calibration) -> Table:
    rows = tuple(
        (each.template, str(each.items), figure(each.beyond), figure(each.error), figure(each.error_of_new))
        for each in found.templates
    )
    return Table("templates", ("template", "items", "beyond", "error", "error of a new item"), rows)


def _worths(form: FormWorths, number: int) -> Table:
    rows = tuple((str(each.total), figure(each.ability), figure(each.error)) for each in form.worths)
    return Table(f"marks-{number}", ("marks", "ability", "error"), rows, 0)


def _level(level: Level, number: int) -> Table:
    rows = tuple(
        (
            str(row[0]),
            *(
                cell
                for value, error in zip(row[1:], errors, strict=True)
                for cell in (figure(value, 1), figure(error))
            ),
        )
        for row, errors in zip(level.rows, level.errors, strict=True)
    )
    first, *others = level.names
    head = (first, *(cell for name in others for cell in (name, f"error of {name}")))
    return Table(f"level-{number}", head, rows, 0)


def _notes() -> Iterator[str]:
    yield (
        "difficulty and ability: in logits, by the partial credit model (of one mark: the Rasch model), estimated "
        "given pupils' totals (Andersen 1973, Masters 1982), so that stronger and weaker groups do no harm. 0 is where "
        "predictions have it: these items are as hard in the mean as they were predicted"
    )
    yield "an item of several parts is one item; omitted counts as 0 marks; not reached does not count"
    yield (
        "harder than elsewhere: in logits, by what pupils of equal totals scored; told from "
        f"{figure(_LARGE)} on where chance would have it less than once in a hundred times"
    )
    yield (
        "beyond: how much harder than predicted, of templates in the mean of items that are kept; its error is of that "
        "mean. A new item of the template differs from its mean too, by as much as items of one template do beyond "
        "chance, in all templates with several items together (DerSimonian & Laird 1986; Higgins and others 2009)"
    )
    yield (
        "infit: squared distances from what the model expects, by what it expects of them; 1 is as expected. Told "
        f"where it is further from 1 than {figure(_STRAYS, 1)} and than chance would have it once in a hundred times"
    )
    yield (
        "pupils whose answers are odd: of all ways to come to a pupil's total, the share of those that are as unlikely "
        "as the pupil's or more so, for the difficulties found here, exactly (Molenaar & Hoijtink 1990, Klauer 1991); "
        "told up to one in a hundred, by items that are kept. Not looked at: who earned everything or nothing, or had "
        "so few items that no way is as unlikely"
    )
    yield (
        f"kept from {FEWEST} pupils on: then a difficulty is within a logit, 95 times of 100 (Linacre 1994); "
        "a calibration for high stakes needs hundreds"
    )
    yield (
        "ability of a total: by weighted likelihood (Warm 1989), its error from the information of the form. "
        "Marks that nobody earned are no steps (Wilson & Masters 1993): a total says less then than its steps would, "
        "and ability and error go by the total"
    )
    yield (
        "marks that say the same: equal true scores (Kolen & Brennan, Test Equating), and by how much they may be off "
        "in two of three cases, for the difficulties come from so many pupils and no more (the delta method, Ogasawara "
        "2001); at both ends they are level by convention. One pupil's own mark is off by more, as the errors of "
        "abilities tell"
    )
