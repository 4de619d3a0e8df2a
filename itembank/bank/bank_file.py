"""Reading `bank.yaml` alone: what a bank says of itself, everything wrong told at once.

Slow to load, for the shapes of files come with it: a bank that was read before needs nothing of this.
"""

from __future__ import annotations

from pathlib import Path
from typing import TypeAlias

from itembank.bank.bank import BankFacts, LeaveOut, PaperSettings
from itembank.bank.extensions import use as use_extensions
from itembank.bank.secret import lies_within
from itembank.errors import Diagnostic, InputError, Span
from itembank.publication import Publication
from itembank.templates.bank_model import BankShape
from itembank.templates.languages import by_language
from itembank.templates.paper_model import PaperShape
from itembank.templates.reading import Findings, at, key_span, validated
from itembank.templates.record_model import LeaveOutShape
from itembank.yaml_source import Document, load

__all__ = ["PAPER", "QUIZ", "TOPIC", "Places", "leave_out", "paper_settings", "read_bank_file"]

Places: TypeAlias = dict[tuple[str, str], tuple[Span, str]]
"""(template, "" or band), (QUIZ, section), (PAPER, key) or (TOPIC, name) -> where the bank file names it,
and the line."""
QUIZ = "quiz:"
PAPER = "paper:"
TOPIC = "topic:"


def read_bank_file(
    path: Path, shown_as: str, language: str
) -> tuple[BankFacts, tuple[Diagnostic, ...], Places]:
    """What a bank file says, what is doubtful in it, and where it names what can be missing in the bank.

    language: of its texts, "" for the file's own. Raises InputError with everything that is wrong in the file, and for
    extensions that it declares and that are not there.
    """
    document = load(path, shown_as)
    findings = Findings(document.source)
    findings.diagnostics.extend(document.doubts)
    extensions = use_extensions(document.root, findings)
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
    if shape.paper.calculator:
        span = at(document.root, ("paper", "calculator")).span
        places[PAPER, "calculator"] = (span, document.source.line(span.line))
    for name in shape.topics:
        span = key_span(document.root, ("topics", name))
        places[TOPIC, name] = (span, document.source.line(span.line))
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
        tuple((name, known.title) for name, known in shape.topics.items()),
        shape.settings.approved_only == "yes",
    )  # fmt: skip
    return facts, tuple(findings.diagnostics), places


def _check_quiz(document: Document, shape: BankShape, findings: Findings) -> None:
    """Settings of a quiz that cannot hold together."""
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


def _places(document: Document, shape: BankShape, findings: Findings) -> Places:
    """Where each template, and each band with a count of its own, is named; a template named twice is told."""
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
