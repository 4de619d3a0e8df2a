"""A quiz of a package: its items are there, enough to choose from, and the total is what it says.

Source: QTI 2.1, 2.2 and 3.0, assessment test and outcome processing.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Final
from urllib.parse import unquote

from lxml import etree

from itembank.audit.dialects import QTI, Version, as_3_0
from itembank.audit.findings import Fault
from itembank.audit.grammar import check_grammar
from itembank.audit.structure import decimal, integer
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = ["check_quiz"]

_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-]*\Z")
_PLAIN: Final = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*\Z")
_TRUTHS: Final = frozenset({"true", "false"})
_CONTROLS: Final = frozenset(
    f"{name}-{of}" for name, of in (
        ("show", "feedback"), ("allow", "review"), ("show", "solution"), ("allow", "comment"), ("allow", "skipping"),
    )
)  # fmt: skip
_TOTALS: Final = ("SCORE", "MAXSCORE")


def check_quiz(
    data: bytes,
    member: str,
    worths: Mapping[str, Fraction | None],
    needed: frozenset[str],
    version: Version | None,
) -> Iterator[Fault]:
    """Everything wrong with a quiz.

    worths: the file of each item of the package -> the marks it is worth, None where that is not known; needed: the
    items that the manifest says it depends on; version: of the package.
    """
    root = parse(data)
    found = as_3_0(root)
    if version is not None and found.name != version.name:
        yield Fault("wrong-version", f"the quiz is of {found.name}, its package of {version.name}")
    if local_name(root) != "qti-assessment-test" or namespace(root) != QTI:
        raise Fault("wrong-root", f"the file's root is {local_name(root)}, not a test")
    yield from check_grammar(root, found)
    for attribute in ("identifier", "title"):
        if not (root.get(attribute) or "").strip():
            yield Fault("missing-attribute", f"the quiz has no {attribute}")
    sections = list(root.iter(_q("assessment-section")))
    yield from _identifiers(root)
    yield from _rules(root)
    folder = PurePosixPath(member).parent
    used: Counter[str] = Counter()
    for section in sections:
        yield from _section(section, folder, worths, used)
    for name, times in used.items():
        if times > 1:
            yield Fault("duplicate-item", f"{name} stands {times} times in the quiz")
    if not used:
        yield Fault("no-items", "the quiz has no item")
    if set(used) != needed:
        yield Fault("quiz-differs", "the items of the quiz are not those its manifest says it depends on")
    yield from _totals(root, sections, worths, folder)


def _q(name: str) -> str:
    return f"{{{QTI}}}qti-{name}"


def _identifiers(root: etree._Element) -> Iterator[Fault]:
    names = [
        each.get("identifier", "")
        for each in root.iter(_q("test-part"), _q("assessment-section"), _q("assessment-item-ref"))
    ]
    for name, times in Counter(names).items():
        if times > 1:
            yield Fault("duplicate-identifier", f"the identifier {name!r} stands {times} times")
        if not _NAME.match(name):
            yield Fault("wrong-identifier", f"{name!r} cannot name a part of a quiz")


def _rules(root: etree._Element) -> Iterator[Fault]:
    """The rules of a sitting."""
    parts = root.findall(_q("test-part"))
    if not parts:
        yield Fault("incomplete-quiz", "the quiz has no part")
    for part in parts:
        if part.get("navigation-mode") not in {"linear", "nonlinear"}:
            yield Fault("wrong-rule", "how pupils move through the quiz is not said")
        if part.get("submission-mode") not in {"individual", "simultaneous"}:
            yield Fault("wrong-rule", "when answers are handed in is not said")
    for control in root.iter(_q("item-session-control")):
        attempts = integer(control.get("max-attempts", "1"))
        if attempts is None or attempts < 0:
            yield Fault("wrong-rule", "the number of attempts is no whole number")
        if any(control.get(name, "true") not in _TRUTHS for name in _CONTROLS):
            yield Fault("wrong-rule", "a rule of the quiz is neither true nor false")
    for limits in root.iter(_q("time-limits")):
        most = decimal(limits.get("max-time", "1"))
        if most is None or most <= 0:
            yield Fault("wrong-rule", "the time of the quiz is no number of seconds")


def _section(
    section: etree._Element, folder: PurePosixPath, worths: Mapping[str, Fraction | None], used: Counter[str]
) -> Iterator[Fault]:
    title = section.get("title") or section.get("identifier") or ""
    if not (section.get("title") or "").strip() or section.get("visible") not in _TRUTHS:
        yield Fault("missing-attribute", f"the section {title!r} lacks its title or whether it is seen")
    references = section.findall(_q("assessment-item-ref"))
    for reference in references:
        name = _member(reference, folder)
        if name not in worths:
            yield Fault(
                "missing-file", f"the quiz points to {reference.get('href')!r}, which is no item here"
            )
        else:
            used[name] += 1
    chosen = section.find(_q("selection"))
    if chosen is not None:
        count = integer(chosen.get("select", ""))
        if count is None or not 0 < count <= len(references):
            yield Fault(
                "wrong-selection", f"{chosen.get('select')!r} of {len(references)} items cannot be chosen"
            )


def _member(reference: etree._Element, folder: PurePosixPath) -> str:
    address = reference.get("href", "")
    if _PLAIN.match(address):  # nothing to be evened out, as in nearly all
        return address if str(folder) == "." else f"{folder}/{address}"
    path = unquote(address)
    return "" if path.startswith("/") or ".." in PurePosixPath(path).parts else str(folder / path)


def _totals(
    root: etree._Element, sections: list[etree._Element], worths: Mapping[str, Fraction | None],
    folder: PurePosixPath,
) -> Iterator[Fault]:  # fmt: skip
    """SCORE and MAXSCORE are the sums of those of the items; a stated maximum is the marks there are."""
    declared = {each.get("identifier"): each for each in root.iterfind(_q("outcome-declaration"))}
    processing = root.find(_q("outcome-processing"))
    rules = [] if processing is None else list(processing)
    summed = [_summed(rule) for rule in rules]
    for name in _TOTALS:
        outcome = declared.get(name)
        if outcome is None or (outcome.get("cardinality"), outcome.get("base-type")) != ("single", "float"):
            yield Fault("wrong-outcome", f"the quiz declares no single {name} of type float")
    if sorted(summed) != sorted((name, name) for name in _TOTALS):
        yield Fault("wrong-total", "the quiz does not add up SCORE and MAXSCORE of its items, each once")
    score = declared.get("SCORE")
    stated = None if score is None else score.get("normal-maximum")
    most = _most(sections, worths, folder)
    if stated is not None and most is not None and decimal(stated) != most:
        yield Fault("wrong-total", f"the quiz says {stated} marks, its items have {most}")


def _summed(rule: etree._Element) -> tuple[str, str]:
    """(outcome, variable of the items) of a rule that adds one up, ("", "") for any other."""
    if rule.tag != _q("set-outcome-value") or len(rule) != 1 or rule[0].tag != _q("sum"):
        return "", ""
    found = list(rule[0])
    if (
        len(found) != 1
        or found[0].tag != _q("test-variables")
        or set(found[0].attrib) != {"variable-identifier"}
    ):
        return "", ""
    return rule.get("identifier", ""), found[0].get("variable-identifier", "")


def _most(
    sections: list[etree._Element], worths: Mapping[str, Fraction | None], folder: PurePosixPath
) -> Fraction | None:
    """The marks a pupil can earn, None where that depends on what chance chooses or is not known."""
    total = Fraction(0)
    for section in sections:
        marks = [worths.get(_member(each, folder)) for each in section.findall(_q("assessment-item-ref"))]
        known = [worth for worth in marks if worth is not None]
        if len(known) < len(marks):
            return None
        chosen = section.find(_q("selection"))
        count = len(known) if chosen is None else integer(chosen.get("select", ""))
        if count is None or (count < len(known) and len(set(known)) > 1):
            return None
        total += sum(known[:count])
    return total
