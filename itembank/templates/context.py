"""What the readers of a part share, and which keys belong to which kind of response."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from itembank.templates import model
from itembank.templates.reading import key_span
from itembank.templates.scope import Names, Scope
from itembank.templates.slips import Catalogue

MOST_OPTIONS = 26
MOST_BOXES = 8
"""For the values of one unknown."""
"""As many as there are letters to name them by."""


@dataclass(frozen=True, slots=True)
class PartContext:
    """What the readers of a part share: the file's scope, the part's shape and path, its unknowns and names.

    signs: the relation signs that problem, key and slips may have.
    """

    scope: Scope
    catalogue: Catalogue
    shape: model.PartShape
    path: tuple[str | int, ...]
    unknowns: tuple[str, ...]
    names: Names
    signs: frozenset[str]

    def tell(self, code: str, message: str, key: str, *, hint: str = "") -> None:
        """Something wrong about a key of the response."""
        place = key_span(self.scope.root, (*self.path, "response", key))
        self.scope.findings.add(code, message, place, hint=hint)

    def refuse_conditional_lines(self) -> None:
        """Tells of lines that stand in some items only, where pupils see the lines of the solution."""
        for index, line in enumerate(self.shape.solution):
            if line.when is not None:
                self.scope.findings.add(
                    "line-not-always-shown",
                    "every line of this solution is shown to the pupil, in every item",
                    key_span(self.scope.root, (*self.path, "solution", index, "when")),
                    hint="leave `when` out, and choose the values by a constraint",
                )


KEYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "right": ("choices", "choice"),
        "credit": ("choices", "order", "match", "entry"),
        "points": ("entry",),
        "values": ("order",),
        "by": ("order",),
        "rows": ("match",),
        "lines": ("written",),
        "options": ("choice", "choices", "entry", "match"),
        "words": ("choice", "choices", "entry", "match"),
        "blanks": ("entry", "choice"),
        "no_real_solution": ("entry", "choice"),
        "form": ("choice", "entry"),
    }
)
"""Key of a response -> the kinds whose own readers look at it."""

SLIP_KEYS: Mapping[str, str] = MappingProxyType(
    {"at": "wrong-line", "change": "wrong-line", "turned": "wrong-line"}
)
"""Key of a slip -> the kind of response it belongs to."""


def stray_keys(context: PartContext) -> None:
    """Tells keys of the response that its kind has no use for."""
    kind = context.shape.response.kind
    for key, kinds in KEYS.items():
        if kind not in kinds and getattr(context.shape.response, key) is not None:
            context.tell(
                "key-of-other-kind",
                f"`kind: {kind}` has no `{key}`",
                key,
                hint=f"it belongs to `kind: {kinds[0]}`; take it out",
            )


def stray_slip_keys(context: PartContext, index: int) -> None:
    """Tells keys of a slip that the kind of response has no use for."""
    kind, slip = context.shape.response.kind, context.shape.slips[index]
    for key, wanted in SLIP_KEYS.items():
        if kind != wanted and getattr(slip, key) is not None:
            context.scope.findings.add(
                "key-of-other-kind",
                f"a slip of `kind: {kind}` has no `{key}`",
                key_span(context.scope.root, (*context.path, "slips", index, key)),
                hint=f"it belongs to `kind: {wanted}`; take it out",
            )
