"""Reading a bank folder: `bank.yaml`, `slips.yaml`, `templates/**/*.yaml`, everything wrong told at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from itembank.difficulty.weights import Weights, usual_weights
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.generator.recipe import Recipe
from itembank.listed_files import files_below
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
    from itembank.bank.bank_file import Places
    from itembank.templates.calibration_model import LoadedCalibration
    from itembank.templates.slips import Catalogue

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
    """What the bank file says. uses: template name -> counts ("" or band -> number), for those that have their own.

    topics: topic -> what people call it. approved_only: whether only templates that were approved are drawn from.
    """

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
    topics: tuple[tuple[str, str], ...] = ()
    approved_only: bool = False


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
    from itembank.bank.bank_file import read_bank_file

    weights = read_bank_file(folder / BANK_FILE, str(folder / BANK_FILE), "")[0].weights
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
    """The template files of a bank folder, in order of their paths; those too that cannot be read, to be told.

    Raises InputError `not-readable` for a folder that may not be read.
    """
    return sorted(files_below(folder / TEMPLATE_FOLDER, (".yaml", ".yml")))[: MOST_FILES + 1]


def _languages(entries: Sequence[Entry]) -> str:
    """The language of most templates as they were read, "en" for none."""
    found = Counter(entry.recipe.template.about.language for entry in entries)
    return found.most_common(1)[0][0] if found else "en"


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
                hint=(
                    f"ask for another, such as --language {_languages(read.entries)}; or give its texts by language "
                    "(stem: {en: ..., es: ...}), and those of the slips it uses"
                ),
            )
        )
    return Bank(read.facts, str(folder), kept, tuple(read.problems), left_out)


class Readable(NamedTuple):
    """What can be read of a bank. facts: None where the bank file is wrong; problems: all that is wrong or doubtful."""

    facts: BankFacts | None
    entries: list[Entry]
    problems: list[Diagnostic]


def _no_bank(folder: Path, shown_as: str) -> Diagnostic:
    """Whoever names a file or a folder of a bank means the bank."""
    message = f"{shown_as} holds no {BANK_FILE}"
    if not folder.exists():
        message = f"there is no folder {shown_as}"
    elif not folder.is_dir():
        message = f"{shown_as} is no folder"
    above = next((each for each in Path(shown_as).parents if (each / BANK_FILE).is_file()), None)
    hint = f"name the bank folder: {above}"
    if above is None:
        hint = f"name a bank folder; two lines in {BANK_FILE} will do: `bank: NAME` and `title: ...`"
    return Diagnostic("not-a-bank", message, Span(shown_as, 1, 1), hint=hint)


def read_what_can_be(folder: Path, shown_as: str, language: str = "") -> Readable:
    """What `read_bank` reads, with the templates that are as they should be where others are not.

    Raises InputError for a folder that is no bank, and for extensions without which its templates cannot be understood.
    """
    from itembank.bank.bank_file import read_bank_file

    problems: list[Diagnostic] = []
    facts: BankFacts | None = None
    places: Places = {}
    if not (folder / BANK_FILE).is_file():
        raise InputError(_no_bank(folder, shown_as))
    try:
        facts, doubts, places = read_bank_file(folder / BANK_FILE, _join(shown_as, BANK_FILE), language)
        problems.extend(doubts)
    except InputError as wrong:
        problems.extend(wrong.diagnostics)
        if any(d.code.startswith("extension-") for d in wrong.diagnostics):
            raise  # what templates say of it cannot be understood
    catalogue = _slips(folder, shown_as, problems)
    files = template_files(folder)
    # the usual ones too, so that a bank read from the cache need not read their file
    weights = (facts.weights if facts is not None else None) or usual_weights()
    kept_of_sittings = _calibration(folder, shown_as, problems)
    if kept_of_sittings is not None:
        weights = replace(weights, observed=kept_of_sittings.observed)
    entries: list[Entry] = []
    if catalogue is not None:
        read = _entries(folder, shown_as, files, catalogue, problems, language, weights)
        entries += read if facts is None else (_titled(entry, facts) for entry in read)
    problems += _too_many_or_none(folder, shown_as, files)
    _check_names(entries, problems)
    if facts is not None:
        complete = catalogue is not None and len(entries) == len(files)
        _check_uses(facts, entries, places, problems, complete=complete)
        problems.extend(_calculators(facts, entries, places))
        if complete:
            _check_sections(facts, entries, places, problems)
            problems.extend(_strange_topics(facts, entries, places))
            if kept_of_sittings is not None:
                problems.extend(_strange_in(kept_of_sittings, entries))
    return Readable(facts, entries, problems)


def _slips(folder: Path, shown_as: str, problems: list[Diagnostic]) -> Catalogue | None:
    """The bank's slips; None where something is wrong with them, which is told."""
    from itembank.templates.slips import NO_SLIPS, load_slips

    if not (folder / SLIP_FILE).is_file():
        return NO_SLIPS
    try:
        catalogue, doubts = load_slips(folder / SLIP_FILE, _join(shown_as, SLIP_FILE))
    except InputError as wrong:
        problems.extend(wrong.diagnostics)
        return None
    problems.extend(doubts)
    return catalogue


def _too_many_or_none(folder: Path, shown_as: str, files: list[Path]) -> Iterator[Diagnostic]:
    span = Span(_join(shown_as, BANK_FILE), 1, 1)
    if not files:
        yield Diagnostic("no-templates", "the bank has no template", span, hint=_where_templates_go(folder))
    if len(files) > MOST_FILES:
        told = f"the bank has more than {MOST_FILES} templates"
        yield Diagnostic("too-many-files", told, span, hint="make two banks of it")


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


def _titled(entry: Entry, facts: BankFacts) -> Entry:
    """A template with what the bank calls its topics."""
    about = entry.recipe.template.about
    titles = tuple((name, title) for name, title in facts.topics if name in about.topics)
    if not titles:
        return entry
    template = replace(entry.recipe.template, about=about._replace(topic_titles=titles))
    return replace(entry, recipe=replace(entry.recipe, template=template))


def _strange_topics(facts: BankFacts, entries: list[Entry], places: Places) -> Iterator[Diagnostic]:
    """Titles of topics that no template has, while topics of templates go without: one may be meant for the other.

    Where every topic has its title, more of them do no harm: a bank may be a part of another.
    """
    from itembank.bank.bank_file import TOPIC
    from itembank.expressions.vocabulary import nearest

    known = sorted({topic for entry in entries for topic in entry.recipe.template.about.topics})
    titled = {name for name, _ in facts.topics}
    untitled = [name for name in known if name not in titled]
    for name, _ in facts.topics if untitled else ():
        if name not in known:
            span, line = places[TOPIC, name]
            near = nearest(name, untitled)
            hint = f"nearest: {near}" if near else f"without a title: {', '.join(untitled[:3])}"
            yield Diagnostic(
                "unknown-topic", f"no template has the topic `{name}`", span, Level.DOUBTFUL, line, hint
            )


def _check_sections(
    facts: BankFacts, entries: list[Entry], places: Places, problems: list[Diagnostic]
) -> None:
    """Sections of the quiz that the bank file names and that are none."""
    from itembank.bank.bank_file import QUIZ
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


def _calculators(facts: BankFacts, entries: list[Entry], places: Places) -> Iterator[Diagnostic]:
    """What the papers say of a calculator, against what templates of theirs need."""
    from itembank.bank.bank_file import PAPER

    used = {name for name, _ in facts.uses} if facts.uses is not None else None
    said = facts.paper.calculator
    against = {"no": "yes", "yes": "no"}.get(said)
    names = [
        entry.recipe.template.name
        for entry in entries
        if entry.recipe.template.about.calculator == against
        and (used is None or entry.recipe.template.name in used)
    ]
    if not names or (PAPER, "calculator") not in places:
        return
    span, line = places[PAPER, "calculator"]
    some = ", ".join(f"`{name}`" for name in names[:3]) + (f" and {len(names) - 3} more" if names[3:] else "")
    message = {
        "no": f"papers allow no calculator, and these templates say `calculator: yes`: {some}",
        "yes": f"papers allow a calculator, and these templates say `calculator: no`: {some}",
    }[said]
    hint = "leave these templates out of the papers (`templates:`, or a blueprint), or take the line out"
    yield Diagnostic("calculator-differs", message, span, Level.DOUBTFUL, line, hint)


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
