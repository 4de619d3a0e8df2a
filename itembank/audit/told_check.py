"""What staff are told that a pupil reads is what the pupil reads: feedback, and options that are words.

Beside each slip stands the sentence of its feedback once more, beside each option or target that is no formula its
words: so two sentences that changed places, or one that says something else, do not go unseen. `root` is in the names
of 3.0. Packages built before have no such sentences; then nothing is compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.findings import Fault
from itembank.audit.formulas import MATH
from itembank.audit.page_text import seen, words_of

__all__ = ["check_told", "pairs_told"]

_BLOCK: Final = f"{{{QTI}}}div"
_FEEDBACK: Final = f"{{{QTI}}}qti-modal-feedback"
_BODY: Final = f"{{{QTI}}}qti-content-body"
_OPTIONS: Final = (f"{{{QTI}}}qti-simple-choice", f"{{{QTI}}}qti-simple-associable-choice")


def check_told(root: etree._Element) -> Iterator[Fault]:
    """Every sentence of which staff and pupils read different ones."""
    feedback = {each.get("identifier"): each for each in root.iter(_FEEDBACK)}
    for part in root.iter(_BLOCK):
        if part.get("data-shape") is None:
            continue
        told = {each.get("data-feedback") or "": each for each in _sentences(part, "told")}
        for name, each in told.items():
            if name not in feedback or _read(each) != _read(feedback[name]):
                yield Fault("told-otherwise", f"staff are told otherwise of the feedback {name!r}")
        read = list(_sentences(part, "words"))
        shown = _options(root, part.get("data-part") or "") if read else {}
        for each in read:
            name = each.get("data-identifier") or ""
            if name not in shown or _words(each) != _words(shown[name]):
                yield Fault("told-otherwise", f"staff are told otherwise of the words {name!r}")


def pairs_told(root: etree._Element) -> list[tuple[etree._Element, etree._Element]]:
    """What holds a sentence for staff, and what holds the same for pupils."""
    feedback = {each.get("identifier"): _body(each) for each in root.iter(_FEEDBACK)}
    told = [each for each in root.iter(_BLOCK) if each.get("data-role") == "told"]
    return [(each, feedback[name]) for each in told if (name := each.get("data-feedback")) in feedback]


def _body(feedback: etree._Element) -> etree._Element:
    """What holds its sentence: in 2.x itself."""
    inner = feedback.find(_BODY)
    return feedback if inner is None else inner


def _sentences(part: etree._Element, role: str) -> Iterator[etree._Element]:
    return (each for each in part.iterchildren(_BLOCK) if each.get("data-role") == role)


def _options(root: etree._Element, label: str) -> dict[str, etree._Element]:
    """What can be chosen in a part."""
    name = f"RESPONSE_{label}" if label else "RESPONSE"
    return {
        option.get("identifier") or "": option
        for interaction in root.iter("{*}qti-choice-interaction", "{*}qti-match-interaction")
        if interaction.get("response-identifier") == name
        for option in interaction.iter(*_OPTIONS)
    }


def _read(element: etree._Element) -> tuple[str, list[str | None]]:
    """What is read, and what is heard of its formulas."""
    return seen(element), [each.get("alttext") for each in element.iter(MATH)]


def _words(element: etree._Element) -> str:
    """The words alone: formulas are proved one by one."""
    return "".join(words_of(element).split())
