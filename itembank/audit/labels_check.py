"""Whether what an item's parts are called fits together: feedback and the rules that show it, answers and their notes.

The tables of staff say of each answer which option or feedback it is, in an attribute and in words, and the sentence
for the teacher follows it under the same name. `root` is in the names of 3.0.
Source: QTI 3.0, modal feedback; the rest is ours.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Final

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.facts import SIGNS, Facts
from itembank.audit.findings import Fault
from itembank.audit.page_text import seen, words_of
from itembank.audit.tongues import LANGUAGE, tongue

__all__ = ["check_labels"]

_SET: Final = f"{{{QTI}}}qti-set-outcome-value"
_BRANCHES: Final = (f"{{{QTI}}}qti-response-if", f"{{{QTI}}}qti-response-else-if")
_VARIABLE: Final = f"{{{QTI}}}qti-variable"
_VALUE: Final = f"{{{QTI}}}qti-base-value"
_FEEDBACK: Final = f"{{{QTI}}}qti-modal-feedback"
_BLOCK: Final = f"{{{QTI}}}div"
_BOXES: Final = (f"{{{QTI}}}qti-text-entry-interaction", f"{{{QTI}}}qti-inline-choice-interaction")
_LABEL: Final = "aria-label"
_DIGITS: Final = re.compile("[0-9]+")
_WITH_USUAL: Final = {"brackets", "fraction", "surd"}
"""Forms whose instruction says what to write where nothing would be written."""
_STRONG: Final = f"{{{QTI}}}strong"


def check_labels(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Every name that leads nowhere, or to another thing than it says; feedback that says the opposite."""
    yield from _feedback(root, facts)
    yield from _kept(root, facts)
    yield from _whole_answers(root, facts)
    yield from _sentences(root)
    yield from _boxes(root, facts)
    yield from _signs(root, facts)
    yield from _instructions(root, facts)
    for part in root.iter(_BLOCK):
        if part.get("data-shape") is not None:
            yield from _answers(part)


def _feedback(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    there = {each.identifier for each in facts.feedbacks}
    outcomes = {each.outcome for each in facts.feedbacks} | _tellers(facts)
    shown = {
        (value.text or "").strip()
        for rule in root.iter(_SET)
        if rule.get("identifier") in outcomes
        for value in rule.iter(_VALUE)
    }
    for name in sorted(shown - there):
        yield Fault("no-feedback", f"the rules show the feedback {name!r}, which is not there")
    for name in sorted(there - shown):
        yield Fault("feedback-not-shown", f"no rule shows the feedback {name!r}")


def _tellers(facts: Facts) -> set[str]:
    """The outcomes that say which feedback is shown, whether there is any or not."""
    return {each.identifier for each in facts.outcomes if each.base_type == "identifier"}


def _kept(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Feedback that is shown beside what was shown before, and not in its place."""
    several = {each.identifier for each in facts.outcomes if each.cardinality == "multiple"} & _tellers(facts)
    for rule in root.iter(_SET):
        name = rule.get("identifier")
        if name in several and [each.get("identifier") for each in rule.iter(_VARIABLE)] != [name]:
            yield Fault("feedback-lost", "a rule shows feedback in the place of what was shown before")


def _whole_answers(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """What is said of a wrong answer in boxes is said of the whole answer: its rule looks at each of them.

    Words that are chosen beside boxes are a wrong answer by themselves, and so is a tick; what joins two inequalities
    is asked for where there are two.
    """
    same = tongue(root.get(LANGUAGE)).told
    boxes: dict[str, set[str]] = {}
    for box in facts.boxes:
        boxes.setdefault(box.part, set()).update(() if box.role == "join" else (box.response,))
    with_words = {box.part for box in facts.boxes if box.form == "one-of"}
    for branch in root.iter(*_BRANCHES):
        names = [
            (value.text or "").strip()
            for rule in branch.iterchildren(_SET)
            if rule.get("identifier") in _tellers(facts)
            for value in rule.iter(_VALUE)
        ]
        for name, _, part in [each.partition("_") for each in names]:
            if name in same or part in with_words or part not in boxes:
                continue
            asked = {each.get("identifier") for each in branch.iterfind(f"*[1]//{_VARIABLE}")}
            if asked & boxes[part] and not asked.issuperset(boxes[part]):
                message = f"the feedback {name!r} is shown for answers of which only a part was looked at"
                yield Fault("feedback-of-a-part", message)


def _sentences(root: etree._Element) -> Iterator[Fault]:
    """Feedback that is the same in every item says what its name means, and no other says that."""
    told = {name: "".join(said.split()) for name, said in tongue(root.get(LANGUAGE)).told.items()}
    for each in root.iter(_FEEDBACK):
        name, said = each.get("identifier") or "", seen(each)
        wanted = told.get(name.partition("_")[0])
        if wanted is not None and said != wanted:
            yield Fault("wrong-feedback", f"the feedback {name!r} does not say what it is shown for")
        elif wanted is None and said in told.values():
            yield Fault("wrong-feedback", f"the feedback {name!r} says what is said of another answer")


def _boxes(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """What boxes are called for those who hear them: each by a name of its own, with the number of its value."""
    by_response = {box.response: box for box in facts.boxes}
    slots = Counter(
        (part, unknown) for part, unknown, _ in {(b.part, b.unknown, b.slot) for b in facts.boxes}
    )
    seen_before: set[tuple[str, str]] = set()
    for each in root.iter(*_BOXES):
        name, box = each.get(_LABEL), by_response.get(each.get("response-identifier") or "")
        if name is None or box is None:
            continue
        is_one_of_several = box.role not in {"join", "word"} and slots[box.part, box.unknown] > 1
        if (box.part, name) in seen_before:
            yield Fault("misnamed-box", f"two boxes are called {name!r}", place=box.response)
        elif is_one_of_several and str(box.slot) not in _DIGITS.findall(name):
            yield Fault("misnamed-box", f"the box of value {box.slot} is called {name!r}", place=box.response)
        seen_before.add((box.part, name))


def _signs(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """What a candidate reads of each inequality sign, and of the words between two inequalities, is what is scored."""
    words = tongue(root.get(LANGUAGE))
    for box in facts.boxes:
        if box.role not in {"sign", "join"}:
            continue
        for name, text in zip(box.choices, box.texts, strict=True):
            wanted = SIGNS.get(name) if box.role == "sign" else words.joins.get(text, "")
            if (text if box.role == "sign" else name) != wanted:
                message = f"the choice {name!r} reads {text!r}, which is not what it is scored as"
                yield Fault("misnamed-choice", message, place=box.response)


def _instructions(root: etree._Element, facts: Facts) -> Iterator[Fault]:
    """Numbers in what a candidate is told to write: 1 and 0 for what nothing is written for, or how many places."""
    decimals = [facts.response(box.response) for box in facts.boxes if box.form == "decimal"]
    keyed = [each.correct[0].partition(".")[2] for each in decimals if each and each.correct]
    places = {str(len(after)) for after in keyed if after}
    usual = {"0", "1"} if any(set(box.form.split()) & _WITH_USUAL for box in facts.boxes) else set()
    told = [
        number
        for block in root.iter(_BLOCK)
        if block.get("class") == "instruction"
        for number in _DIGITS.findall(words_of(block))
    ]
    for number in dict.fromkeys(told):
        if number not in usual | places:
            yield Fault("wrong-instruction", f"what to enter is told with {number}, which fits no box")
    if told and not places.issubset(told):
        yield Fault("wrong-instruction", "how many places a decimal is to have is not told")


def _answers(part: etree._Element) -> Iterator[Fault]:
    answer = ""
    for each in part:
        role, name = each.get("data-role"), each.get("data-identifier") or ""
        if role == "option":
            answer = name
            label = each[0] if len(each) and each[0].tag == _STRONG else None
            called = seen(label).strip().removesuffix(":") if label is not None else ""
            if called and called != (name or each.get("data-feedback") or ""):
                yield Fault("misnamed-answer", f"the answer that is called {called} is named {name!r}")
        elif role == "note" and name != answer:
            yield Fault("misnamed-answer", f"the note after the answer {answer!r} is named {name!r}")
