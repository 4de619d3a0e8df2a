"""The report of test forms: what each holds, and how alike they are. No clock times: equal inputs, equal files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from fractions import Fraction

from itembank import __version__
from itembank.assembly.blueprint import Blueprint
from itembank.assembly.candidates import Candidate, fits
from itembank.assembly.selection import ABILITIES
from itembank.build.report import passed_over
from itembank.difficulty.spread import logits

__all__ = ["AssemblyReport", "FormTally", "tally"]


@dataclass(frozen=True, slots=True)
class Question:
    """An item of a form. difficulty: predicted, in thousandths of a logit; by_steps: its information counts its
    marks by the calibration's steps.
    """

    number: int
    code: str
    template: str
    marks: int
    difficulty: int
    by_steps: bool = False


@dataclass(frozen=True, slots=True)
class FormTally:
    """What a form holds. minutes: in tenths; difficulty: the mean, in thousandths of a logit, rounded half to even;
    information: in millionths, at each of `ABILITIES`; rows: of each row of the blueprint its words, items and marks.
    """

    form: str
    items: int
    marks: int
    minutes: int
    difficulty: int
    information: tuple[int, ...]
    rows: tuple[tuple[str, int, int], ...]
    questions: tuple[Question, ...]

    def cells(self) -> tuple[str, ...]:
        """A line of the table that compares forms."""
        minutes = f"{self.minutes // 10}.{self.minutes % 10}".removesuffix(".0")
        return (
            self.form, str(self.items), str(self.marks), minutes, logits(self.difficulty),
            *(f"{_hundredths(each)}" for each in self.information),
        )  # fmt: skip


HEAD = (
    "form",
    "items",
    "marks",
    "minutes",
    "difficulty",
    *(f"information at {logits(each)}" for each in ABILITIES),
)


def tally(form: str, blueprint: Blueprint, held: Sequence[Candidate]) -> FormTally:
    """What a form holds, its items in their order on paper."""
    mean = round(Fraction(sum(each.difficulty for each in held), len(held)))
    rows = []
    for row in blueprint.rows:
        of_row = [each for each in held if fits(each, row.where)]
        rows.append((str(row.where), len(of_row), sum(each.marks for each in of_row)))
    return FormTally(
        form, len(held), sum(each.marks for each in held), sum(each.minutes for each in held), mean,
        tuple(sum(each.information_at(ability) for each in held) for ability in ABILITIES), tuple(rows),
        tuple(Question(number, each.code, each.template, each.marks, each.difficulty, len(each.steps) > 1)
              for number, each in enumerate(held, 1)),
    )  # fmt: skip


@dataclass(slots=True)
class AssemblyReport:
    """Everything a report of forms says. pool: items that were chosen from; shared: codes of the anchor items;
    used_before: items that were passed over since they were used before, None where nobody asked for that.
    """

    blueprint: str
    title: str
    bank: str
    seed: int
    pool: int
    is_best: bool
    shared: list[str]
    program: str = __version__
    forms: list[FormTally] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    shortfalls: list[str] = field(default_factory=list)
    used_before: int | None = None

    def as_json(self) -> str:
        """For programs."""
        data = asdict(self)
        if self.used_before is None:
            del data["used_before"]
        return json.dumps(data, ensure_ascii=False, indent=2) + "\n"

    def how_alike(self) -> str:
        """What is claimed of the choice, in a sentence."""
        if len(self.forms) == 1:
            return "one form" if self.is_best else "one form; a better one was not looked for any further"
        if self.is_best:
            return "the solver found no forms of this pool that are more alike by what would matter (0.01 logits)"
        return "the most alike forms that the solver found; it was stopped before it had looked at all"

    def how_informed(self) -> str:
        """By what model items of several marks count in the information of forms, in a sentence."""
        several = [each for form in self.forms for each in form.questions if each.marks > 1]
        known = sorted({each.template for each in several if each.by_steps})
        other = sorted({each.template for each in several if not each.by_steps})
        if not several:
            return "by the Rasch model"
        as_one = "items of several marks count as right or wrong, by the Rasch model"
        if not known:
            return f"{as_one}, for the bank's calibration knows no steps of theirs"
        told = f"by the partial credit model, on the calibration's steps for the marks of {', '.join(known)}"
        return f"{told}; those of {', '.join(other)} count as right or wrong" if other else told

    def as_markdown(self) -> str:
        """For people."""
        lines = [
            f"# {self.title}", "",
            f"Blueprint `{self.blueprint}`, bank `{self.bank}`, seed {self.seed}, "
            f"written by itembank {self.program}.", "",
            f"- {len(self.forms)} form{'s' * (len(self.forms) != 1)}, chosen from {self.pool} items",
            f"- {self.how_alike()}",
            "- difficulty: the mean of what is predicted of the items, in logits",
            f"- information: of a form, from the same predictions; {self.how_informed()}",
        ]  # fmt: skip
        if self.used_before is not None:
            lines.append(f"- {passed_over(self.used_before)}")
        if self.shared:
            lines.append(f"- in every form: {', '.join(self.shared)}")
        lines += ["", _row(HEAD), _row(("---",) * len(HEAD)), *(_row(form.cells()) for form in self.forms)]
        if self.forms and self.forms[0].rows:
            lines += ["", "## Rows of the blueprint: items (marks) of each form", ""]
            lines += [
                _row(("row", *(form.form for form in self.forms))),
                _row(("---",) * (1 + len(self.forms))),
            ]
            for number, (where, _, _) in enumerate(self.forms[0].rows):
                held = (f"{form.rows[number][1]} ({form.rows[number][2]})" for form in self.forms)
                lines.append(_row((where, *held)))
        for form in self.forms:
            lines += ["", f"## Form {form.form}", ""]
            head = ("question", "item", "template", "marks", "difficulty")
            lines += [_row(head), _row(("---",) * len(head))]
            for each in form.questions:
                code = f"{each.code} (in every form)" if each.code in self.shared else each.code
                lines.append(
                    _row((str(each.number), code, each.template, str(each.marks), logits(each.difficulty)))
                )
        if self.shortfalls:
            lines += ["", "## What was left out", "", *(f"- {line}" for line in self.shortfalls)]
        return "\n".join(lines) + "\n"


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _hundredths(millionths: int) -> str:
    """Millionths as a decimal of two places, rounded half to even.

    >>> _hundredths(1_454_679), _hundredths(5_000), _hundredths(15_000)
    ('1.45', '0', '0.02')
    """
    whole, rest = divmod(round(Fraction(millionths, 10_000)), 100)
    return f"{whole}.{rest:02}".rstrip("0").rstrip(".")
