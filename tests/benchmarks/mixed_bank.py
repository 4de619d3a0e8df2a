"""The bank with items of every kind, its ranges wider: so many mixed items as a figure asks for are not in the demo."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from shutil import copytree, ignore_patterns
from types import MappingProxyType
from typing import Final

DEMO: Final = Path(__file__).resolve().parents[2] / "banks" / "kinds"
_WIDER: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "all-solutions": {"{from: -9, to: 9,": "{from: -60, to: 60,", "{from: 1, to: 9}": "{from: 1, to: 40}"},
        "discriminants-and-roots": {"{from: 2, to: 9}": "{from: 2, to: 30}", "{from: 2, to: 20}": "{from: 2, to: 90}"},
        "equations-and-solutions": {"{from: 1, to: 9}": "{from: 1, to: 70}"},
        "equations-of-one-kind": {"{from: 2, to: 40}": "{from: 2, to: 400}"},
        "find-the-slip": {"{from: 2, to: 40}": "{from: 2, to: 400}"},
        "in-writing": {"{from: 2, to: 40}": "{from: 2, to: 400}"},
        "order-of-steps": {"{from: 2, to: 40}": "{from: 2, to: 400}"},
        "order-of-surds": {
            "{from: 2, to: 6}": "{from: 2, to: 20}",
            "{from: 2, to: 4}": "{from: 2, to: 12}",
            "{from: 5, to: 15}": "{from: 5, to: 40}",
        },
        "what-is-true": {"{from: 1, to: 3}": "{from: 1, to: 6}"},
    }
)  # fmt: skip
"""Of each template the ranges that change, as they stand and as they are to be. The curve to be sketched keeps its own:
nobody could sketch a wider one."""


def copy_with_wider_ranges(to: Path) -> None:
    """Copy the demo bank to where nothing is, its ranges wider. Raises ValueError for a range that is gone."""
    copytree(
        DEMO, to, ignore=ignore_patterns("bank.lock")
    )  # what was written from the demo's ranges is no one's here
    for name, ranges in _WIDER.items():
        path = to / "templates" / f"{name}.yaml"
        text = path.read_text("utf-8")
        for narrow, wide in ranges.items():
            if narrow not in text:
                raise ValueError(f"{name} has no range {narrow}")
            text = text.replace(narrow, wide)
        path.write_text(text, "utf-8")
