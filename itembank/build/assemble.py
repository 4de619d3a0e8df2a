"""The shell of test forms: reads a blueprint, has a pool drawn and forms chosen, and leaves a folder for each form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from itembank.assembly.blueprint import Blueprint
from itembank.assembly.candidates import Candidate, candidate, fits
from itembank.assembly.programme import Choice
from itembank.assembly.reading import bank_folder, read_blueprint, unknown_names
from itembank.assembly.selection import select_forms
from itembank.bank.approvals import approved_only
from itembank.bank.bank import BankFacts, Entry, LeaveOut, PaperSettings
from itembank.bank.cache import load_bank
from itembank.bank.draw import Selected
from itembank.bank.lock import write_lock
from itembank.bank.secret import secret_of
from itembank.build.assembly_report import AssemblyReport, tally
from itembank.build.build import keep_out_of_the_templates
from itembank.build.class_list import read_class_list, same_names
from itembank.build.contents import Progress, write_items
from itembank.build.own_work import refuse_own_work
from itembank.build.part_of_bank import own_facts
from itembank.build.production import Wanted, problem_mark
from itembank.build.stock import Stock, stock_of
from itembank.build.writing import USUAL_FORMATS, Writing, must_be_printed, work_for
from itembank.difficulty.observed import NOTHING_OBSERVED
from itembank.errors import Diagnostic, DomainError, InputError, Level, Span
from itembank.items import Item
from itembank.output_folder import whole_folder
from itembank.writers.order import LETTERS, Steps, in_order

__all__ = ["AssembleRequest", "AssembleResult", "assemble"]


@dataclass(frozen=True, slots=True)
class AssembleRequest(Writing):
    """What is asked for, beside how it is written; None and "" for what the blueprint or the bank says.

    not_again: folders of builds whose items are not to be used again; leave_out: which items of the bank's record
    neither; approved: only templates that are approved; class_list: a CSV file of pupils, for papers with their names,
    the forms going round.
    """

    blueprint: str | Path
    out: str | Path
    bank: str | Path | None = None
    forms: int | None = None
    seed: int | None = None
    class_list: str | Path | None = None
    not_again: Sequence[str | Path] = ()
    leave_out: LeaveOut | None = None
    approved: bool = False


@dataclass(frozen=True, slots=True)
class AssembleResult:
    """What was made: the report, what is doubtful in the bank, and the folder with a folder for each form.

    left_out: templates that are not in the language that was asked for.
    """

    report: AssemblyReport
    doubts: tuple[Diagnostic, ...]
    out: Path
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The pool: what was drawn, the items, and what of each matters, in one order."""

    selected: list[Selected]
    items: list[Item]
    candidates: list[Candidate]


def assemble(
    request: AssembleRequest, progress: Progress = lambda products, total: products
) -> AssembleResult:
    """Parallel forms of a blueprint in one folder, each a whole build; or nothing.

    request: as `AssembleRequest("banks/quadratics/blueprints/half-term.yaml", "out", forms=2)`. progress: as `build`.

    Raises InputError for what is wrong with the blueprint, the bank, the request or the folder, and where there are no
    such forms, Contradiction where two of our own roads disagree, DomainError for a number of forms, or a way of
    writing, that there is not.
    """
    out = Path(request.out)
    class_list = None if request.class_list is None else Path(request.class_list)
    folder = bank_folder(Path(request.blueprint)) if request.bank is None else Path(request.bank)
    bank = load_bank(folder, str(folder), request.language)
    blueprint, paper = _blueprint(request)
    unknown = unknown_names(blueprint, bank)
    if unknown:
        raise InputError(unknown)
    bank = approved_only(bank, request.approved)
    keep_out_of_the_templates(folder, out)
    refuse_own_work(out, "the forms")
    seed = next(each for each in (request.seed, blueprint.seed, bank.facts.seed) if each is not None)
    rule = request.leave_out or blueprint.leave_out or bank.facts.leave_out
    stock = stock_of(bank, seed, rule, [Path(each) for each in request.not_again])
    pupils = () if class_list is None else read_class_list(class_list, blueprint.forms)
    formats = request.formats or bank.facts.formats or USUAL_FORMATS
    must_be_printed(formats, class_list)
    work = work_for(request, bank, formats)
    with whole_folder(out, "the forms") as new:
        secret, own = secret_of(bank, create=True)
        work = replace(work, own_secret=own)
        drawn = _pool(stock, secret, blueprint)
        choice = _chosen(blueprint, drawn, stock)
        report = AssemblyReport(
            blueprint.name, blueprint.title, bank.facts.name, seed, len(drawn.items), choice.is_best,
            [drawn.items[number].code for number in choice.shared],
            used_before=stock.passed_over,
        )  # fmt: skip
        for letter, order in zip(LETTERS, _orders(blueprint, drawn, choice.forms), strict=False):
            own_bank = replace(bank, facts=_facts(bank.facts, blueprint, paper, letter))
            below = new / f"form-{letter.lower()}"
            below.mkdir()
            sitting = tuple(pupil for pupil in pupils if pupil.version == letter)
            papers = replace(work.papers, letter=letter, pupils=sitting) if work.papers else None
            own_work = replace(work, papers=papers)
            written = write_items(
                below, stock.maker(secret, own_work.wanted(), own_bank),
                [drawn.selected[number] for number in order], own_work, request.workers, progress, only_drawn=True,
            )  # fmt: skip
            report.files += [f"{below.name}/{name}" for name in written.files]
            report.shortfalls += [f"form {letter}: {line}" for line in written.shortfalls]
            report.forms.append(tally(letter, blueprint, [drawn.candidates[number] for number in order]))
        (new / "report.json").write_text(report.as_json(), "utf-8", newline="\n")
        (new / "report.md").write_text(report.as_markdown(), "utf-8", newline="\n")
    write_lock(bank, bank.used())
    doubts = stock.doubts
    if class_list is not None:
        doubts += same_names(class_list, pupils)
    return AssembleResult(report, doubts, out, bank.left_out)


def _blueprint(request: AssembleRequest) -> tuple[Blueprint, PaperSettings | None]:
    blueprint, paper = read_blueprint(Path(request.blueprint), request.language)
    if paper is not None and paper.versions > 1:
        span, line = blueprint.place("paper", "versions") or (Span(str(request.blueprint), 1, 1), "")
        told = "forms have no versions: each form is a paper of its own"
        raise InputError(
            Diagnostic(
                "versions-of-forms", told, span, excerpt=line, hint="take `versions` out, or raise `forms`"
            )
        )
    if request.forms is not None:
        if request.forms < 1:
            raise DomainError(f"there are 1 or more forms, not {request.forms}")
        blueprint = replace(
            blueprint, forms=request.forms, shared=blueprint.shared if request.forms > 1 else 0
        )
    return blueprint, paper


def _pool(stock: Stock, secret: bytes, blueprint: Blueprint) -> _Drawn:
    """The items to choose from: none that was used before, none under the code of another."""
    maker = stock.maker(secret, Wanted((), staff=False))
    asked = [_may_be_asked(blueprint, entry) for entry in maker.entries]
    chosen = stock.pool([blueprint.pool if may_be else 0 for may_be in asked])
    drawn = _Drawn([], [], [])
    codes: set[str] = set()
    for each in chosen:
        item = maker.item(each.entry, each.position, each.band, each.draft)
        if item.code in codes:
            continue
        codes.add(item.code)
        entry = maker.entries[each.entry]
        kinds = tuple(dict.fromkeys(part.response.kind for part in entry.recipe.template.parts))
        drawn.selected.append(each)
        drawn.items.append(item)
        observed = entry.weights.observed if entry.weights is not None else NOTHING_OBSERVED
        steps = observed.steps.get(entry.recipe.template.name, ())
        drawn.candidates.append(candidate(item, entry.strand, kinds, problem_mark(item), steps))
    return drawn


def _chosen(blueprint: Blueprint, drawn: _Drawn, stock: Stock) -> Choice:
    """The forms. Where there are none, it is also told what the language leaves out, and what was used before."""
    try:
        return select_forms(blueprint, drawn.candidates)
    except InputError as failed:
        none, bank = stock.told(failed), stock.bank
        if not bank.left_out:
            raise none from None
        told = f"templates that are not whole in `{bank.facts.language}` are left out: {', '.join(bank.left_out)}"
        hint = "give their texts, and those of the slips they use, in that language"
        doubt = Diagnostic("not-in-language", told, None, Level.DOUBTFUL, hint=hint)
        raise InputError([*none.diagnostics, doubt]) from None


def _may_be_asked(blueprint: Blueprint, entry: Entry) -> bool:
    """Whether any item of a template may stand in a form: all, where a form also holds what no row asks for."""
    template = entry.recipe.template
    about = template.about
    kinds = tuple(part.response.kind for part in template.parts)
    like = Candidate(
        "", template.name, entry.strand, "", about.topics, about.curriculum, about.level, about.demand,
        about.calculator, kinds, 0, 0, 0, b"",
    )  # fmt: skip
    return blueprint.items is not None or any(
        fits(like, row.where._replace(band=())) for row in blueprint.rows
    )


def _orders(blueprint: Blueprint, drawn: _Drawn, forms: Sequence[Sequence[int]]) -> list[list[int]]:
    """Each form's items as they stand on paper; forms that are alike by templates in the order of the first.

    So question 4 of one form is question 4 of another with other numbers, and what forms share stands at one place.
    """
    first, *others = (_in_order(blueprint, drawn, form) for form in forms)
    if blueprint.alike != "templates":
        return [first, *others]
    return [first, *(_as_in(first, order, drawn) for order in others)]


def _as_in(first: Sequence[int], order: Sequence[int], drawn: _Drawn) -> list[int]:
    """The items of a form, of the same templates as those of the first form, in the order of these."""
    of_both = frozenset(first) & frozenset(order)
    waiting: dict[str, list[int]] = {}
    for number in reversed(order):
        if number not in of_both:
            waiting.setdefault(drawn.candidates[number].template, []).append(number)
    return [
        number if number in of_both else waiting[drawn.candidates[number].template].pop() for number in first
    ]


def _in_order(blueprint: Blueprint, drawn: _Drawn, form: Sequence[int]) -> list[int]:
    """A form's items as they stand on paper."""
    by_code = {drawn.items[number].code: number for number in form}
    by: Steps = "difficulty" if blueprint.order == "difficulty" else "demand"
    ordered = [by_code[item.code] for item in in_order([drawn.items[number] for number in form], by=by)]
    if blueprint.order == "rows":
        ordered.sort(key=lambda number: _first_row(blueprint, drawn.candidates[number]))
    return ordered


def _first_row(blueprint: Blueprint, each: Candidate) -> int:
    rows = blueprint.rows
    return next((number for number, row in enumerate(rows) if fits(each, row.where)), len(rows))


def _facts(facts: BankFacts, blueprint: Blueprint, paper: PaperSettings | None, letter: str) -> BankFacts:
    """What a bank of a form alone would say of itself."""
    name, title = f"{blueprint.name}-{letter.lower()}", f"{blueprint.title} {letter}"
    settings = paper or facts.paper
    return own_facts(facts, name, title, replace(settings, title=settings.title or blueprint.title))
