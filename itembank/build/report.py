"""The report of a build: what was made, what was proved, what was left out.

No clock times: equal inputs, equal files.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Final

from itembank.difficulty.spread import Spread, logits

_OPEN: Final = (
    "the bank has none of its own, so a bank with a template of the same name can have the same codes"
)


@dataclass(slots=True)
class TemplateTally:
    """What a template contributed."""

    template: str
    version: int
    title: str
    strand: str
    items: int = 0
    marks: int = 0
    bands: dict[str, int] = field(default_factory=dict)
    difficulty: dict[str, Spread] = field(default_factory=dict)


FEW: Final = 5
"""Items that are named beside what they lose; of more it is told how many, and all are named apart."""
MOST_NAMED: Final = 500
"""Items that a report for people names of one loss; `report.json` names all."""


@dataclass(slots=True)
class Lost:
    """What a format could not carry, in a sentence, and of which items: by code, and how many of each template."""

    what: str
    items: list[str] = field(default_factory=list)
    templates: dict[str, int] = field(default_factory=dict)

    def add(self, code: str, template: str) -> None:
        """One more item."""
        self.items.append(code)
        self.templates[template] = self.templates.get(template, 0) + 1

    def line(self, items: int) -> str:
        """The sentence, with the items it concerns. items: of the whole build."""
        if len(self.items) <= FEW:
            return f"{self.what} ({', '.join(self.items)})"
        if len(self.items) == items:
            return f"{self.what} (every item)"
        shares = ", ".join(f"{number} of {template}" for template, number in self.templates.items())
        return f"{self.what} ({len(self.items)} items: {shares})"


@dataclass(slots=True)
class Report:
    """Everything a report says."""

    bank: str
    title: str
    author: str
    licence: str
    seed: int
    program: str
    items: int = 0
    marks: int = 0
    claims_proved: int = 0
    proof: str = "standard"
    own_secret: bool = False
    templates: list[TemplateTally] = field(default_factory=list)
    formats: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    holds: dict[str, str] = field(default_factory=dict)
    shortfalls: list[str] = field(default_factory=list)
    not_carried: list[Lost] = field(default_factory=list)
    difficulty_weights: str = ""
    enemies: list[list[str]] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    coverage: list[dict[str, str | int]] = field(default_factory=list)
    uncovered: list[str] = field(default_factory=list)
    extensions: list[str] = field(default_factory=list)
    used_before: int | None = None
    """Items that were passed over since they were used before; None where nobody asked for that."""

    def as_json(self) -> str:
        """For programs."""
        data = asdict(self)
        if self.used_before is None:
            del data["used_before"]
        return json.dumps(data, ensure_ascii=False, indent=1) + "\n"

    def as_markdown(self) -> str:
        """For people."""
        lines = [
            f"# {self.title}",
            "",
            f"Bank `{self.bank}`, seed {self.seed}, written by itembank {self.program}.",
            "",
        ]
        lines += [
            f"- {self.items} items, {self.marks} marks",
            f"- {self.claims_proved} claims proved ({PROOFS[self.proof]})",
        ]
        secret = "the secret of the bank" if self.own_secret else f"the open secret ({_OPEN})"
        lines.append(f"- item codes: made with {secret}")
        lines += [f"- uses the {extension}" for extension in self.extensions]
        if self.used_before is not None:
            lines.append(f"- {passed_over(self.used_before)}")
        lines += [
            "",
            "| template | version | strand | items | marks | bands |",
            "| --- | --- | --- | --- | --- | --- |",
        ]
        for t in self.templates:
            bands = ", ".join(f"{name} {number}" for name, number in t.bands.items() if name)
            lines.append(
                f"| {_cell(t.template)} | {t.version} | {_cell(t.strand)} | {t.items} | {t.marks} | {_cell(bands)} |"
            )
        lines += self._difficulties()
        if self.coverage:
            lines += [
                "",
                "| strand | demand | kind | templates | items |",
                "| --- | --- | --- | --- | --- |",
                *(
                    "| " + " | ".join(_cell(str(cell)) for cell in row.values()) + " |"
                    for row in self.coverage
                ),
            ]
        if self.uncovered:
            lines += ["", f"Curriculum statements with no item here: {', '.join(self.uncovered)}"]
        lines += ["", "## What was proved of every item", ""]
        lines += [f"- {line}" for line in WHAT_IS_PROVED]
        if self.proof == "full":
            lines.append("- and once more, with sympy, on the displayed mathematics of the finished item")
        lines += ["", "## Files", "", *map(self._file, self.files)]
        lines += ["", "## What a format could not carry", ""]
        lines += [f"- {line}" for line in self.shortfalls] or ["Nothing was left out."]
        lines += self._named()
        if self.enemies:
            lines += [
                "",
                "## Items that ask the same problem (keep them apart)",
                "",
                *(f"- {' '.join(group)}" for group in self.enemies),
            ]
        if self.doubts:
            lines += ["", "## Doubtful", "", *(f"- {line}" for line in self.doubts)]
        lines += ["", "Have a qualified teacher check items before they count for anyone.", ""]
        return "\n".join(lines)

    def _named(self) -> list[str]:
        """The items of each loss that is neither everybody's nor a few items' own."""
        told = [lost for lost in self.not_carried if FEW < len(lost.items) < self.items]
        if not told:
            return []
        lines = ["", "### Which items these are", ""]
        for lost in told:
            more = len(lost.items) - MOST_NAMED
            rest = f" and {more} more, which `report.json` names" if more > 0 else ""
            lines.append(f"- {lost.what}: {' '.join(lost.items[:MOST_NAMED])}{rest}")
        return lines

    def _file(self, name: str) -> str:
        """A line of a file, with what it holds where that is to be known before it goes round."""
        held = self.holds.get(name)
        return f"- `{name}`" + (f" ({held})" if held else "")

    def _difficulties(self) -> list[str]:
        """The spread of predicted difficulty, one row for each template and band."""
        rows = [(t.template, band, spread) for t in self.templates for band, spread in t.difficulty.items()]
        if not rows:
            return []
        return [
            "",
            "## Predicted difficulty, in logits",
            "",
            f"Predicted from features of the items by {self.difficulty_weights}: it orders items and measures none.",
            "",
            "| template | band | least | median | greatest | mostly |",
            "| --- | --- | --- | --- | --- | --- |",
            *(
                f"| {_cell(template)} | {_cell(band)} | {logits(spread.least)} | {logits(spread.median)} "
                f"| {logits(spread.greatest)} | {spread.word} |"
                for template, band, spread in rows
            ),
        ]


def passed_over(number: int) -> str:
    """How many items were left out since they were used before, in words."""
    return f"{number} item{'s' * (number != 1)} passed over, used before"


PROOFS: Mapping[str, str] = {
    "standard": "exact whole-number proofs on the displayed mathematics",
    "full": "exact proofs, and sympy on every item",
}
WHAT_IS_PROVED = (
    "the key has exactly the problem's real solutions, equals the problem's expression, or is the formula solved for "
    "its subject",
    "each guarantee of the template, with a witness (in `staff/items.json`)",
    "exactly one option is right; no two options are equal in value or look alike",
    "the boxes of an entry hold exactly the key, in the form that is asked; recognised wrong entries are wrong",
    "of several right options each is right and the others are wrong; of lines with a slip exactly one does not follow",
    "things put into order have one order only; each row of a match has exactly one target",
    "each line of the worked solution says the same as the problem; side working is true",
    "marks of lines, blanks and response agree",
    "no other item of this build is the same item",
)


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
