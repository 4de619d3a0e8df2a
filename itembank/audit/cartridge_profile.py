"""Whether documents and items keep to the profile of QTI 1.2.1 that a cartridge allows.

Source: Common Cartridge 1.3, profile of QTI 1.2.1 (its labels, the rules of its six kinds of item).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from lxml import etree

from itembank.audit.cartridge_reader import ASI, ESSAY, Question, metadata
from itembank.audit.dialects import QTI
from itembank.audit.findings import Fault
from itembank.audit.page_text import seen

__all__ = ["BLANK", "CHOICE", "CHOICES", "ESSAY", "document_faults", "item_faults"]

CHOICE: Final = "cc.multiple_choice.v0p1"
CHOICES: Final = "cc.multiple_response.v0p1"
BLANK: Final = "cc.fib.v0p1"
_YES_NO: Final = "Yes|No"
_OF_ITEM: Final = {
    "cc_profile": "|".join(re.escape(each) for each in (CHOICE, CHOICES, BLANK, ESSAY)),
    "cc_question_category": ".+", "cc_weighting": "[1-9][0-9]?", "qmd_scoringpermitted": "Yes",
    "qmd_computerscored": _YES_NO,
}  # fmt: skip
_OF_ASSESSMENT: Final = {
    "cc_profile": r"cc\.exam\.v0p1", "qmd_assessmenttype": "Examination", "qmd_scoretype": "Percentage",
    "qmd_feedbackpermitted": _YES_NO, "qmd_hintspermitted": _YES_NO, "qmd_solutionspermitted": _YES_NO,
    "qmd_timelimit": "[1-9][0-9]{0,5}", "cc_allow_late_submission": _YES_NO, "cc_maxattempts": "[1-5]|unlimited",
}  # fmt: skip
_FULL: Final = 100
_TAG: Final = re.compile(r"<[^<>]*>")
_ITEM_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.\-]*\Z")


def _a(name: str) -> str:
    return f"{{{ASI}}}{name}"


def document_faults(root: etree._Element, is_bank: bool) -> Iterator[Fault]:
    """What is wrong with an assessment or a question bank as a whole. Raises Fault `wrong-root`."""
    kind = "objectbank" if is_bank else "assessment"
    if root.tag != _a("questestinterop") or [child.tag for child in root] != [_a(kind)]:
        raise Fault("wrong-root", f"the document holds no {'question bank' if is_bank else 'assessment'}")
    if not is_bank:
        own = metadata(root[0].find(_a("qtimetadata")))
        yield from _labels(own, _OF_ASSESSMENT, ("cc_profile",))
        if len(root[0].findall(_a("section"))) != 1:
            yield Fault("wrong-section", "an assessment has one section")
    for name, count in Counter(each.get("ident", "") for each in root.iter(_a("item"))).items():
        if count > 1:
            yield Fault("duplicate-identifier", f"the item {name!r} stands {count} times")
        if not _ITEM_NAME.match(name):
            yield Fault("wrong-identifier", f"{name!r} cannot name an item")


def item_faults(item: etree._Element, question: Question) -> Iterator[Fault]:
    """What the profile does not allow in an item."""
    told = metadata(item.find(_a("itemmetadata")))
    yield from _labels(told, _OF_ITEM, ("cc_profile", "cc_weighting"))
    if not (item.get("{http://www.w3.org/XML/1998/namespace}lang") or "").strip():
        yield Fault("missing-attribute", "the item has no language")
    yield from _kind(item, question)
    yield from _feedbacks(question)
    yield from _words(item, question)
    respidents = {each.get("respident", "") for each in item.iter(_a("varequal"))}
    responses = [each.get("ident", "") for each in item.iter(_a("response_lid"), _a("response_str"))]
    if len(responses) != 1:
        yield Fault("wrong-kind", f"the item has {len(responses)} responses, not one")
    for name in sorted(respidents - set(responses)):
        yield Fault("undeclared-response", f"a rule asks for the response {name!r}, which is not there")
    scored = dict(told).get("qmd_computerscored") != "No"
    if scored == (question.profile == ESSAY):
        yield Fault("wrong-metadata", "an essay, and nothing else, is not marked by the computer")


def _labels(told: list[tuple[str, str]], allowed: dict[str, str], needed: Iterable[str]) -> Iterator[Fault]:
    for label, count in Counter(label for label, _ in told).items():
        if label not in allowed:
            yield Fault("wrong-metadata", f"the label {label!r} is none of the profile's")
        if count > 1:
            yield Fault("wrong-metadata", f"the label {label!r} stands {count} times")
    for label, entry in told:
        if label in allowed and not re.fullmatch(allowed[label], entry):
            yield Fault("wrong-metadata", f"{label} cannot be {entry!r}")
    for label in needed:
        if label not in dict(told):
            yield Fault("wrong-metadata", f"the label {label!r} is missing")


def _kind(item: etree._Element, question: Question) -> Iterator[Fault]:
    has_line = item.find(f".//{_a('render_fib')}") is not None
    for name, count in Counter(question.options).items():
        if count > 1:
            yield Fault("duplicate-identifier", f"the option {name!r} stands {count} times")
    compared = [text for rule in question.conditions for text in (*rule.equal, *rule.unequal)]
    if question.profile in {CHOICE, CHOICES}:
        if has_line or question.is_multiple != (question.profile == CHOICES):
            yield Fault("wrong-kind", "the response is not of the kind that the profile names")
        least = 2 if question.profile == CHOICES else 3
        if len(question.options) < least:
            yield Fault("too-few-options", f"there are fewer than {least} options")
        for name in sorted(set(compared) - set(question.options)):
            yield Fault("misfit-value", f"a rule asks for an option {name!r} that is not there")
    else:
        if not has_line or question.options:
            yield Fault("wrong-kind", "the response is not of the kind that the profile names")
        if any(rule.unequal or len(rule.equal) > 1 for rule in question.conditions):
            yield Fault("wrong-rule", "a typed answer is compared with one text at a time")
        if question.profile == ESSAY and any(rule.score is not None for rule in question.conditions):
            yield Fault("wrong-rule", "an essay is marked by a rule")


def _feedbacks(question: Question) -> Iterator[Fault]:
    for name, count in Counter(question.feedbacks).items():
        if count > 1:
            yield Fault("duplicate-identifier", f"the feedback {name!r} stands {count} times")
    shown = {each for rule in question.conditions for each in rule.feedback}
    for kind, name in sorted(shown):
        if name not in question.feedbacks:
            yield Fault("wrong-feedback", f"a rule shows the feedback {name!r}, which is not there")
        if (kind == "Solution") != (name == "solution"):
            yield Fault("wrong-feedback", f"the feedback {name!r} is shown as a {kind}")
    for name in question.feedbacks:
        if question.conditions and all(each != name for _, each in shown):
            yield Fault("wrong-feedback", f"no rule shows the feedback {name!r}")
    if "solution" not in question.feedbacks:
        yield Fault("no-solution", "the item has no worked solution")
    elif any(
        ("Solution", "solution") not in rule.feedback for rule in question.conditions if not rule.goes_on
    ):
        yield Fault("wrong-feedback", "a rule ends the marking and does not show the worked solution")


def _sentences(item: etree._Element, question: Question) -> Iterator[Fault]:
    """What is said of a right answer is said of none but the one that earns everything; so of one not simplified."""
    told = question.words.told
    earning = {name for rule in question.conditions if rule.score == _FULL for _, name in rule.feedback}
    for each in item.iterfind(_a("itemfeedback")):
        name = each.get("ident", "")
        said = _TAG.sub("", "".join(text.text or "" for text in each.iter(_a("mattext")))).strip()
        is_right = name == "F0" or (name in earning and name != "solution")
        if said.startswith(told["F0"]) != is_right or (said == told["FU"]) != (name == "FU"):
            yield Fault("wrong-feedback", f"the feedback {name!r} does not say what it is shown for")


def _words(item: etree._Element, question: Question) -> Iterator[Fault]:
    """What has to say something: feedback, how to type an answer, which part is asked for."""
    for each in item.iterfind(_a("itemfeedback")):
        if not any((text.text or "").strip() for text in each.iter(_a("mattext"))):
            yield Fault("empty-feedback", f"the feedback {each.get('ident')!r} says nothing")
    yield from _sentences(item, question)
    body = question.tree[0]
    told = [each for each in body.iter(f"{{{QTI}}}p") if each.get("class") == "typed" and seen(each)]
    if not told and not question.options:
        yield Fault("no-instruction", "a candidate is not told what to type")
    asked = [
        seen(each)
        for each in body.iter(f"{{{QTI}}}p")
        if each.get("class") == "asked" and not each.get("data-asked")
    ]
    if asked and (len(asked) > 1 or f"({question.label})" not in asked[0]):
        yield Fault("unclear-interaction", "the question does not say which one part it asks for")
