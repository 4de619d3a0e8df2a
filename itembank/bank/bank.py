"""Reading a bank folder: `bank.yaml`, `slips.yaml`, `templates/**/*.yaml`, everything wrong told at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from itembank.difficulty.weights import Weights, usual_weights
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.generator.recipe import Recipe
from itembank.publication import (
    NOT_PUBLISHED,
    USUAL_LIMITS,
    USUAL_QUIZ,
    Extension,
    Limits,
    Publication,
    Quiz,
)
from itembank.words import base_language

if TYPE_CHECKING:
    from itembank.templates.bank_model import BankShape
    from itembank.templates.calibration_model import LoadedCalibration
    from itembank.templates.paper_model import PaperShape
    from itembank.templates.reading import Findings
    from itembank.templates.record_model import LeaveOutShape
    from itembank.templates.slips import Catalogue
    from itembank.yaml_source import Document

BANK_FILE, SLIP_FILE, TEMPLATE_FOLDER = "bank.yaml", "slips.yaml", "templates"
CALIBRATION_FILE = "calibration.yaml"
MOST_FILES = 5_000


@dataclass(frozen=True, slots=True)
class PaperSettings:
    """How the bank's papers are printed; see `PaperShape`. minutes: None for what the items say, 0 for none.

    order: of the items, `rising`, `difficulty` or `bank`.
    """

    title: str = ""
    date: str = ""
    minutes: int | None = None
    calculator: str = ""
    instructions: tuple[str, ...] = ()
    front: str = "page"
    size: str = "a4"
    large: bool = False
    wide: bool = False
    working: str = "blank"
    versions: int = 1
    answer_sheet: bool = False
    order: str = "rising"


@dataclass(frozen=True, slots=True)
class LeaveOut:
    """Which items the record of use keeps out: those used `times` or more by these groups (() for all) since a day.

    since: year-month-day, "" for ever. times: 0 where nothing is left out, whatever was used.
    """

    by: tuple[str, ...] = ()
    since: str = ""
    times: int = 1


@dataclass(frozen=True, slots=True)
class BankFacts:
    """What the bank file says. uses: template name -> counts ("" or band -> number), for those that have their own."""

    name: str
    title: str
    language: str = "en"
    licence: str = ""
    author: str = ""
    seed: int = 1
    count: int | None = None
    uses: tuple[tuple[str, tuple[tuple[str, int], ...]], ...] | None = None
    formats: tuple[str, ...] = ()
    secret: str | None = None
    publication: Publication = NOT_PUBLISHED
    quiz: Quiz = USUAL_QUIZ
    limits: Limits = USUAL_LIMITS
    paper: PaperSettings = PaperSettings()
    maths: str = ""
    latex_delimiters: str = ""
    weights: Weights | None = None
    extensions: tuple[Extension, ...] = ()
    leave_out: LeaveOut = LeaveOut(times=0)


@dataclass(frozen=True, slots=True)
class Entry:
    """A template of the bank: its recipe and the strand (sub-folder) it stands in.

    weights: the bank's own for predicted difficulty, None for the program's.
    """

    recipe: Recipe
    strand: str
    path: str
    weights: Weights | None = None


@dataclass(frozen=True, slots=True)
class Bank:
    """A bank, read and made ready. folder: where it is; doubts: what is doubtful in its files.

    left_out: names of templates that are not in the language that was asked for.
    """

    facts: BankFacts
    folder: str
    entries: tuple[Entry, ...]
    doubts: tuple[Diagnostic, ...]
    left_out: tuple[str, ...] = ()

    def used(self) -> tuple[Entry, ...]:
        """The entries the bank file asks for, in its order, or all in file order."""
        if self.facts.uses is None:
            return self.entries
        by_name = {entry.recipe.template.name: entry for entry in self.entries}
        return tuple(by_name[name] for name, _ in self.facts.uses if name in by_name)


def bank_of(path: Path) -> Path | None:
    """The bank folder a path lies in: itself, or the nearest folder above with a bank or slip file."""
    for folder in (path, *path.absolute().parents):
        if folder.is_dir() and ((folder / BANK_FILE).is_file() or (folder / SLIP_FILE).is_file()):
            return folder
    return None


def weights_for(file: Path) -> Weights | None:
    """The weights for predicted difficulty of the bank a template file lies in, None for the program's own.

    Raises InputError for what is wrong with the bank file.
    """
    folder = bank_of(file.parent)
    if folder is None or not (folder / BANK_FILE).is_file():
        return None
    weights = _facts(folder / BANK_FILE, str(folder / BANK_FILE), "")[0].weights
    kept = _calibration(folder, str(folder), [])
    return weights if kept is None else replace(weights or usual_weights(), observed=kept.observed)


def _calibration(folder: Path, shown_as: str, problems: list[Diagnostic]) -> LoadedCalibration | None:
    """What the bank's calibration tells, None for none; what is wrong with it is added to the problems."""
    path = folder / CALIBRATION_FILE
    if not path.exists():
        return None
    from itembank.templates.calibration_model import load_calibration

    try:
        kept = load_calibration(path, _join(shown_as, CALIBRATION_FILE))
    except InputError as wrong:
        problems.extend(wrong.diagnostics)
        return None
    problems.extend(kept.doubts)
    return kept


def template_files(folder: Path) -> list[Path]:
    """The template files of a bank folder, in order of their paths."""
    below = folder / TEMPLATE_FOLDER
    found = sorted(p for pattern in ("*.yaml", "*.yml") for p in below.rglob(pattern) if p.is_file())
    return found[: MOST_FILES + 1]


def read_bank(folder: Path, shown_as: str, language: str = "") -> Bank:
    """The bank of a folder. Raises InputError with everything that is wrong in any of its files.

    language: what its texts are to be in, "" for each file's own; templates that are not whole in it are left out.
    """
    read = read_what_can_be(folder, shown_as, language)
    if read.facts is None or any(d.level is Level.WRONG for d in read.problems):
        raise InputError(read.problems)
    kept, left_out = _in_language(read.entries, language)
    if not kept:
        raise InputError(
            Diagnostic(
                "no-template-in-language",
                f"no template of the bank is whole in the language `{language}`",
                Span(_join(shown_as, BANK_FILE), 1, 1),
                hint="give its texts by language (stem: {en: ..., es: ...}), and those of the slips it uses",
            )
        )
    return Bank(read.facts, str(folder), kept, tuple(read.problems), left_out)


class Readable(NamedTuple):
    """What can be read of a bank. facts: None where the bank file is wrong; problems: all that is wrong or doubtful."""

    facts: BankFacts | None
    entries: list[Entry]
    problems: list[Diagnostic]


def read_what_can_be(folder: Path, shown_as: str, language: str = "") -> Readable:
    """What `read_bank` reads, with the templates that are as they should be where others are not.

    Raises InputError for a folder that is no bank, and for extensions without which its templates cannot be understood.
    """
    from itembank.templates.slips import NO_SLIPS, load_slips

    problems: list[Diagnostic] = []
    facts: BankFacts | None = None
    places: Places = {}
    catalogue = NO_SLIPS
    if not (folder / BANK_FILE).is_file():
        raise InputError(
            Diagnostic(
                "not-a-bank",
                f"{shown_as} holds no {BANK_FILE}",
                Span(shown_as, 1, 1),
                hint=f"name a bank folder; two lines in {BANK_FILE} will do: `bank: NAME` and `title: ...`",
            )
        )
    try:
        facts, doubts, places = _facts(folder / BANK_FILE, _join(shown_as, BANK_FILE), language)
        problems.extend(doubts)
    except InputError as wrong:
        problems.extend(wrong.diagnostics)
        if any(d.code.startswith("extension-") for d in wrong.diagnostics):
            raise  # what templates say of it cannot be understood
    slips_wrong = False
    if (folder / SLIP_FILE).is_file():
        try:
            catalogue, doubts = load_slips(folder / SLIP_FILE, _join(shown_as, SLIP_FILE))
            problems.extend(doubts)
        except InputError as wrong:
            problems.extend(wrong.diagnostics)
            slips_wrong = True
    files = template_files(folder)
    # the usual ones too, so that a bank read from the cache need not read their file
    weights = (facts.weights if facts is not None else None) or usual_weights()
    kept_of_sittings = _calibration(folder, shown_as, problems)
    if kept_of_sittings is not None:
        weights = replace(weights, observed=kept_of_sittings.observed)
    entries = (
        [] if slips_wrong else list(_entries(folder, shown_as, files, catalogue, problems, language, weights))
    )
    if not files:
        problems.append(
            Diagnostic(
                "no-templates",
                "the bank has no template",
                Span(_join(shown_as, BANK_FILE), 1, 1),
                hint=_where_templates_go(folder),
            )
        )
    if len(files) > MOST_FILES:
        problems.append(
            Diagnostic(
                "too-many-files",
                f"the bank has more than {MOST_FILES} templates",
                Span(_join(shown_as, BANK_FILE), 1, 1),
                hint="make two banks of it",
            )
        )
    _check_names(entries, problems)
    if facts is not None:
        complete = not slips_wrong and len(entries) == len(files)
        _check_uses(facts, entries, places, problems, complete=complete)
        if complete:
            _check_sections(facts, entries, places, problems)
            if kept_of_sittings is not None:
                problems.extend(_strange_in(kept_of_sittings, entries))
    return Readable(facts, entries, problems)


def _where_templates_go(folder: Path) -> str:
    """What to do about a bank without templates; files that lie beside the bank file are named."""
    beside = sorted(
        path.name
        for path in folder.glob("*.y*ml")
        if path.is_file() and path.name not in {BANK_FILE, SLIP_FILE, CALIBRATION_FILE}
    )
    if not beside:
        return f"put one into {TEMPLATE_FOLDER}/: itembank new NAME --into {TEMPLATE_FOLDER}"
    named = ", ".join(beside[:3]) + (f" and {len(beside) - 3} more" if len(beside) > 3 else "")
    return f"templates lie in the folder {TEMPLATE_FOLDER}/ of the bank: move {named} there"


def _in_language(entries: list[Entry], language: str) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The templates whose texts are in a language, and the names of the others."""
    if not language:
        return tuple(entries), ()
    wanted = base_language(language)
    fits = [base_language(entry.recipe.template.about.language) == wanted for entry in entries]
    kept = tuple(entry for entry, fit in zip(entries, fits, strict=True) if fit)
    return kept, tuple(e.recipe.template.name for e, fit in zip(entries, fits, strict=True) if not fit)


def _join(shown_as: str, name: str) -> str:
    return str(Path(shown_as) / name)


Places: TypeAlias = dict[tuple[str, str], tuple[Span, str]]
"""(template, "" or band), or (QUIZ, section) -> where the bank file names it, and the line that stands there."""
QUIZ = "quiz:"


def _facts(path: Path, shown_as: str, language: str) -> tuple[BankFacts, tuple[Diagnostic, ...], Places]:
    from itembank.bank.extensions import use
    from itembank.templates.bank_model import BankShape
    from itembank.templates.languages import by_language
    from itembank.templates.reading import Findings, at, key_span, validated
    from itembank.yaml_source import load

    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    extensions = use(document.root, findings)
    if findings.wrong:
        raise InputError(findings.diagnostics)
    root = by_language(document.root, findings).read_for(language)
    shape = validated(root, BankShape, findings)
    if shape is None:
        raise InputError(findings.diagnostics)
    uses = None
    places: Places = {}
    if shape.templates is not None:
        uses = tuple((use.template, tuple((use.count or {}).items())) for use in shape.templates)
        places = _places(document, shape, findings)
        given = sum(number for _, counts in uses for _, number in counts)
        if shape.count is not None and shape.count < given:
            findings.add(
                "counts-do-not-fit",
                f"the templates are to give {given} items, the bank {shape.count}",
                at(document.root, ("count",)).span,
                hint="raise `count`, or take it out",
            )
    if shape.secret is not None and not lies_within(path.parent, shape.secret):
        findings.add(
            "secret-outside",
            "the secret's file lies outside the bank",
            at(document.root, ("secret",)).span,
            hint="name a file of the bank's own folder",
        )
    _check_quiz(document, shape, findings)
    for name in shape.quiz.select:
        if name:
            span = key_span(document.root, ("quiz", "select", name))
            places[QUIZ, name] = (span, document.source.line(span.line))
    if findings.wrong:
        raise InputError(findings.diagnostics)
    facts = BankFacts(
        shape.bank,
        shape.title,
        language or shape.language,
        shape.licence,
        shape.author,
        shape.seed,
        shape.count,
        uses,
        tuple(shape.settings.formats or ()),
        shape.secret,
        Publication(
            shape.bank, shape.title, language or shape.language, shape.licence, shape.author,
            tuple(known.statement(code) for code, known in shape.statements.items()),
        ),
        shape.quiz.quiz(),
        shape.settings.package.limits(),
        paper_settings(shape.paper),
        shape.settings.maths,
        shape.settings.latex_delimiters,
        shape.difficulty.weights_used() if shape.difficulty is not None else None,
        extensions,
        leave_out(shape.settings.leave_out_used),
    )  # fmt: skip
    return facts, tuple(findings.diagnostics), places


def lies_within(folder: Path, name: str) -> bool:
    """Whether a file named from a folder is in it, whatever dots and links say."""
    return (folder / name).resolve().is_relative_to(folder.resolve())


def _check_quiz(document: Document, shape: BankShape, findings: Findings) -> None:
    """Settings of a quiz that cannot hold together."""
    from itembank.templates.reading import at

    quiz = shape.quiz
    if quiz.handing_in == "together" and quiz.attempts != 1:
        findings.add(
            "together-is-once",
            "what is handed in together is answered once",
            at(document.root, ("quiz", "attempts")).span,
            hint="take `attempts` out, or write `handing_in: each`",
        )
    if quiz.sections == "none" and quiz.model_fields_set - {"sections"}:
        findings.add(
            "no-quiz",
            "there are rules for a quiz that is not written",
            at(document.root, ("quiz", "sections")).span,
            hint="take the other keys out, or say what makes a section",
        )


def leave_out(shape: LeaveOutShape | None) -> LeaveOut:
    """The same as frozen data, None for `no`."""
    return LeaveOut(times=0) if shape is None else LeaveOut(tuple(shape.by), shape.since or "", shape.times)


def paper_settings(shape: PaperShape) -> PaperSettings:
    """The same as frozen data."""
    minutes = None if shape.time is None else 0 if shape.time == "none" else int(shape.time)
    return PaperSettings(
        shape.title, shape.date, minutes, shape.calculator, tuple(shape.instructions), shape.front, shape.size,
        shape.print == "large", shape.spacing == "wide", shape.working, shape.versions, shape.answer_sheet == "yes",
        shape.order,
    )  # fmt: skip


def _places(document: Document, shape: BankShape, findings: Findings) -> Places:
    """Where each template, and each band with a count of its own, is named; a template named twice is told."""
    from itembank.templates.reading import at, key_span

    places: Places = {}
    for index, use in enumerate(shape.templates or ()):
        path = ("templates", index)
        named = {"": at(document.root, (*path, "template")).span}
        named |= {band: key_span(document.root, (*path, "count", band)) for band in use.count or {} if band}
        if (use.template, "") in places:
            findings.add(
                "repeated-name",
                f"`{use.template}` stands twice",
                named[""],
                hint="give one count for each band: {easier: 4, harder: 2}",
                related=(places[use.template, ""][0], "the other one"),
            )
        for band, span in named.items():
            places.setdefault((use.template, band), (span, document.source.line(span.line)))
    return places


def _entries(
    folder: Path,
    shown_as: str,
    files: list[Path],
    catalogue: Catalogue,
    problems: list[Diagnostic],
    language: str,
    weights: Weights | None,
) -> Iterator[Entry]:
    from itembank.generator.compiler import make_recipe
    from itembank.templates.loader import load_template

    for path in files:
        shown = _join(shown_as, str(path.relative_to(folder)))
        try:
            loaded = load_template(path, shown, catalogue, language)
            problems.extend(loaded.doubts)
            strand = str(path.parent.relative_to(folder / TEMPLATE_FOLDER))
            yield Entry(make_recipe(loaded.template), "" if strand == "." else strand, shown, weights)
        except InputError as wrong:
            problems.extend(wrong.diagnostics)


def _check_names(entries: list[Entry], problems: list[Diagnostic]) -> None:
    seen: dict[str, Entry] = {}
    for entry in entries:
        name = entry.recipe.template.name
        if name in seen:
            problems.append(
                Diagnostic(
                    "duplicate-template",
                    f"another template is called `{name}`",
                    Span(entry.path, 1, 1),
                    hint="give one of them another name",
                    related=(Span(seen[name].path, 1, 1), "the other one"),
                )
            )
        seen.setdefault(name, entry)


def _strange_in(kept: LoadedCalibration, entries: list[Entry]) -> Iterator[Diagnostic]:
    """Templates of a calibration that the bank has not: nothing comes of what was observed of them."""
    from itembank.expressions.vocabulary import nearest

    known = [entry.recipe.template.name for entry in entries]
    for name, (span, line) in kept.named.items():
        if name not in known:
            near = nearest(name, known)
            hint = f"nearest: {near}" if near else "calibrate anew, or take its lines out"
            message = f"the bank has no template `{name}`: nothing comes of what was observed of it"
            yield Diagnostic("unknown-template", message, span, Level.DOUBTFUL, line, hint)


def _check_sections(
    facts: BankFacts, entries: list[Entry], places: Places, problems: list[Diagnostic]
) -> None:
    """Sections of the quiz that the bank file names and that are none."""
    from itembank.bank.sections import sections_of
    from itembank.expressions.vocabulary import nearest

    known = dict(sections_of(facts, entries))
    for name, _ in facts.quiz.select_of:
        if name not in known:
            span, line = places[QUIZ, name]
            near = nearest(name, known)
            hint = f"nearest: {near}" if near else f"its sections: {', '.join(known)}"
            problems.append(
                Diagnostic(
                    "unknown-section", f"the quiz has no section `{name}`", span, excerpt=line, hint=hint
                )
            )


def _check_uses(
    facts: BankFacts, entries: list[Entry], places: Places, problems: list[Diagnostic], *, complete: bool
) -> None:
    from itembank.expressions.vocabulary import nearest

    known = {entry.recipe.template.name: entry for entry in entries}
    for name, counts in facts.uses or ():
        if name not in known:
            if complete:
                span, line = places[name, ""]
                near = nearest(name, known)
                hint = f"nearest: {near}" if near else f"its templates: {', '.join(known)}"
                problems.append(
                    Diagnostic(
                        "unknown-template",
                        f"the bank has no template `{name}`",
                        span,
                        excerpt=line,
                        hint=hint,
                    )
                )
            continue
        bands = known[name].recipe.bands
        for band, _ in counts:
            if band and band not in bands:
                span, line = places[name, band]
                hint = f"its bands: {', '.join(bands) or 'none'}"
                problems.append(
                    Diagnostic(
                        "unknown-band", f"`{name}` has no band `{band}`", span, excerpt=line, hint=hint
                    )
                )
