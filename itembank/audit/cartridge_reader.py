"""From an item of the profile to facts: its texts are unescaped and read, its rules gathered.

The HTML in its texts must be well-formed and hold nothing but words, lists, tables and mathematics. Options, gaps
and the worked solution become the same facts as those of a QTI 3.0 item, so that one mathematics decides on both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, Final

from lxml import etree

from itembank.audit.dialects import QTI
from itembank.audit.facts import Choice, ChoiceInteraction, Facts, Response, Value
from itembank.audit.findings import Fault
from itembank.audit.fragments import Fragments
from itembank.audit.item_reader import ItemReader
from itembank.audit.letters import letter
from itembank.audit.mathml_tokens import MATHML as _MATHML
from itembank.audit.notations import Pictures, stand_ins
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import local_name, namespace, parse

__all__ = [
    "ASI", "ESSAY", "Condition", "Gap", "Question", "facts_of", "images_of", "metadata", "read_question", "with_right",
]  # fmt: skip

ASI: Final = "http://www.imsglobal.org/xsd/ims_qtiasiv1p2"
ESSAY: Final = "cc.essay.v0p1"
_ELEMENTS: Final = frozenset(
    {
        "div", "p", "span", "strong", "em", "br", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td",
    }
)  # fmt: skip
_ATTRIBUTES: Final = frozenset({"class", "dir", "lang", "scope", "start", "style"})
_STYLE: Final = re.compile(r"text-align: (?:left|right|center)\Z")
_OF_IMAGES: Final = frozenset({"src", "alt", "class", "width", "height", "style", "lang"})
_ON_THE_LINE: Final = re.compile(r"height:[0-9.]{1,6}em;vertical-align:-?[0-9.]{1,6}em\Z")
_NO_WIDER: Final = "max-width:100%;height:auto"
"""How a picture says that it shrinks with the screen."""
_BASE: Final = "$IMS-CC-FILEBASE$"
_FOLDERS: Final = re.compile(r"\.\./(?!\.)[A-Za-z0-9_.-]+(?:/(?!\.)[A-Za-z0-9_.-]+)*\Z")
_DECIMAL: Final = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?\Z")
_GAP: Final = re.compile(r"\[([1-9][0-9]?)\]\Z")
_MOST: Final = 400
_OWN: Final[Any] = {None: QTI}
_IMAGE: Final = f"{{{QTI}}}img"


def _a(name: str) -> str:
    return f"{{{ASI}}}{name}"


@dataclass(frozen=True, slots=True)
class Condition:
    """One rule. equal, unequal: what the response is and is not compared with, () and () for any other answer;
    score: None where it sets none; goes_on: whether the rules after it count too."""

    equal: tuple[str, ...]
    unequal: tuple[str, ...]
    score: Fraction | None
    feedback: tuple[tuple[str, str], ...]
    goes_on: bool
    folded: tuple[frozenset[str], frozenset[str]] = field(init=False, compare=False)
    """What it is and is not compared with, capitals evened out."""

    def __post_init__(self) -> None:
        folded = tuple(frozenset(text.casefold() for text in each) for each in (self.equal, self.unequal))
        object.__setattr__(self, "folded", folded)


@dataclass(frozen=True, slots=True)
class Gap:
    """A numbered gap: which boxes the number in it fills. roles: two for a fraction; tolerance: of a decimal.

    marks: what the values of its unknown, or its point, earn where others are wrong.
    """

    unknown: str
    form: str
    roles: tuple[str, ...]
    slot: int
    responses: tuple[str, ...]
    tolerance: Fraction = Fraction(0)
    marks: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Question:
    """An item of the profile. facts: without what is right, which the rules tell; label: of its part.

    things: the letters of what is put into order; row: the name of the row that is matched, "" for none;
    of_inequalities: whether the pupil is told to type inequalities. words: of the language of the item.
    apart: what of a part this question alone asks for, `numbers` or `words`, "" for all of it.
    """

    profile: str
    options: tuple[str, ...]
    is_multiple: bool
    gaps: tuple[Gap, ...]
    conditions: tuple[Condition, ...]
    feedbacks: tuple[str, ...]
    weight: int
    label: str
    tree: etree._Element
    things: tuple[str, ...] = ()
    row: str = ""
    of_inequalities: bool = False
    words: Tongue = ENGLISH
    apart: str = ""

    @property
    def code(self) -> str:
        """The name of the item."""
        return str(self.tree.get("identifier", ""))


def metadata(holder: etree._Element | None) -> list[tuple[str, str]]:
    """Labels and entries of a block of metadata."""
    if holder is None:
        return []
    return [
        ((each.findtext(_a("fieldlabel")) or "").strip(), (each.findtext(_a("fieldentry")) or "").strip())
        for each in holder.iter(_a("qtimetadatafield"))
    ]


def read_question(item: etree._Element) -> Question:
    """The question of an item. Raises Fault for texts that cannot be read."""
    told = dict(metadata(item.find(_a("itemmetadata"))))
    weight = told.get("cc_weighting", "")
    body = etree.Element(f"{{{QTI}}}qti-item-body", nsmap=_OWN)
    for number, material in enumerate(item.iterfind(f"{_a('presentation')}/{_a('material')}"), start=1):
        body.extend(_html(material, f"text {number}"))
    labels = [each.get("data-part", "") for each in body.iter() if each.get("data-role") == "stem"]
    label = labels[-1] if labels else ""
    several = any(each.get("rcardinality") == "Multiple" for each in item.iter(_a("response_lid")))
    rows = [each for each in body.iter(f"{{{QTI}}}p") if each.get("data-row")]
    row = _asked_row(body) if rows else ""
    options = _row(item, rows, row, body, label) if rows else _options(item, body, label, several)
    if told.get("cc_profile") == ESSAY:
        box = etree.SubElement(body, f"{{{QTI}}}qti-extended-text-interaction")
        box.set("response-identifier", _named("RESPONSE", label))
    return Question(
        told.get("cc_profile", ""), options,
        several,
        tuple(_gaps(body, label)), tuple(_conditions(item)),
        tuple(each.get("ident", "") for each in item.iterfind(_a("itemfeedback"))),
        int(weight) if weight.isdecimal() and len(weight) < 3 else 0, label, _tree(item, body),
        _things(body, label), row, any(each.get("data-typed") == "inequalities" for each in body.iter(f"{{{QTI}}}p")),
        tongue(item.get(LANGUAGE)), "" if rows else _apart(body),
    )  # fmt: skip


def images_of(question: Question) -> tuple[str, ...]:
    """The files a question shows, as they lie in the cartridge."""
    return tuple(dict.fromkeys(each.get("src", "") for each in question.tree.iter(_IMAGE)))


def facts_of(
    question: Question, pictures: Pictures | None = None, fragments: Fragments | None = None
) -> tuple[Facts, list[Fault]]:
    """The facts, with what is wrong with formulas and the solution; what is right stands in the rules alone.

    An answer that is typed can always say that there is no real solution, as a tick beside boxes does. Nobody but the
    pupil is told of the options, so that what they come to is what they show. pictures: reads those of formulas;
    fragments: formulas that are in order.
    """
    known, unread = stand_ins(question.tree, "", pictures)
    if fragments is not None and not known:
        known = fragments.known(question.tree)
    reader = ItemReader(question.tree, known)
    facts = reader.read()
    if question.gaps:
        name = _named("TICK", question.label)
        tick = ChoiceInteraction(name, question.label, True, (Choice("none", None, "none"),), "1", "false")
        facts = replace(facts, choices=(*facts.choices, tick))
    values = tuple(
        Value(o.identifier, "", o.maths) for each in facts.choices for o in each.choices if not each.is_tick
    )
    values += tuple(Value(o.identifier, "", o.maths) for each in facts.tasks for o in each.choices)
    parts = tuple(
        replace(part, values=values if part.label == question.label else ()) for part in facts.parts
    )
    return replace(facts, parts=parts), [*unread, *reader.faults]


def with_right(facts: Facts, right: Mapping[str, tuple[str, ...]]) -> Facts:
    """The facts where these values are right, of several options more than one."""
    return replace(
        facts, responses=tuple(Response(name, "multiple", "", values) for name, values in right.items())
    )


def _tree(item: etree._Element, body: etree._Element) -> etree._Element:
    """The item as one tree with its worked solution, so that formulas and solution are read as everywhere."""
    root = etree.Element(f"{{{QTI}}}qti-assessment-item", nsmap=_OWN)
    root.set("identifier", item.get("ident", ""))
    root.set(LANGUAGE, item.get(LANGUAGE, ""))
    root.append(body)
    for block in item.iter(_a("solution")):
        rubric = etree.SubElement(body, f"{{{QTI}}}qti-rubric-block")
        rubric.set("use", "solution")
        rubric.set("view", "scorer tutor")
        content = etree.SubElement(rubric, f"{{{QTI}}}qti-content-body")
        for material in block.iter(_a("material")):
            content.extend(_html(material, "solution"))
    for feedback in item.iterfind(_a("itemfeedback")):
        for material in feedback.iterfind(_a("material")):
            shown = etree.SubElement(root, f"{{{QTI}}}qti-modal-feedback")
            shown.extend(_html(material, f"feedback {feedback.get('ident', '')}"))
    return root


def _html(material: etree._Element, place: str) -> list[etree._Element]:
    """The text of a material as elements; loose text becomes a paragraph."""
    text = material.find(_a("mattext"))
    if text is None or text.get("texttype") != "text/html":
        raise Fault("unclear-text", "a text is not given as HTML", place=place)
    try:
        root = parse(f'<div xmlns="{QTI}">{text.text or ""}</div>'.encode())
    except Fault as wrong:
        raise Fault(wrong.code, f"the HTML of a text: {wrong.message}", place=place) from None
    for element in root.iter():
        _allowed(element, place)
    if (root.text or "").strip() or any((child.tail or "").strip() for child in root) or not len(root):
        return [root]
    return list(root)


def _allowed(element: etree._Element, place: str) -> None:
    """Refuse what is neither text nor mathematics: scripts, pictures, links, foreign elements."""
    name = local_name(element)
    if namespace(element) == _MATHML:
        if any(_does_something(str(each)) for each in element.attrib):
            raise Fault("unknown-element", f"{name} has an attribute that does something", place=place)
        return
    if element.tag == _IMAGE:
        _image(element, place)
        return
    if namespace(element) != QTI or name not in _ELEMENTS:
        raise Fault("unknown-element", f"{name} cannot stand in a text", place=place)
    for attribute, value in element.attrib.items():
        if not _may_have(str(attribute), str(value)):
            raise Fault("unknown-element", f"{name} cannot have the attribute {attribute!s}", place=place)


def _image(element: etree._Element, place: str) -> None:
    """A picture of the cartridge; its address becomes that of the file. Raises Fault for any other."""
    for attribute, value in element.attrib.items():
        fits = _is_look(str(value)) if attribute == "style" else attribute in _OF_IMAGES
        if not fits:
            raise Fault("unknown-element", f"img cannot have the attribute {attribute!s}", place=place)
    address = element.get("src", "")
    if not address.startswith(_BASE) or not _FOLDERS.match(address.removeprefix(_BASE)):
        raise Fault("unsafe-reference", f"the picture {address!r} does not lie in the cartridge", place=place)
    element.set("src", address.removeprefix(_BASE).removeprefix("../"))


def _is_look(style: str) -> bool:
    """Whether a style says where on the line a formula stands, or that a picture shrinks with the screen."""
    return style == _NO_WIDER or _ON_THE_LINE.match(style) is not None


def _does_something(attribute: str) -> bool:
    return attribute != LANGUAGE and attribute.lower().startswith(("on", "href", "src", "{"))


def _may_have(attribute: str, value: str) -> bool:
    if attribute == "style":
        return _STYLE.match(value) is not None
    return attribute in _ATTRIBUTES or attribute.startswith("data-")


def _named(name: str, label: str) -> str:
    return f"{name}_{label}" if label else name


def _options(item: etree._Element, body: etree._Element, label: str, several: bool) -> tuple[str, ...]:
    if item.find(f".//{_a('response_label')}") is None:
        return ()
    choice = etree.SubElement(body, f"{{{QTI}}}qti-choice-interaction")
    choice.set("response-identifier", _named("RESPONSE", label))
    choice.set("shuffle", _shuffled(item))
    choice.set("max-choices", "0" if several else "1")
    return _each_option(item, choice, "qti-simple-choice")


def _shuffled(item: etree._Element) -> str:
    return "true" if any(each.get("shuffle") == "Yes" for each in item.iter(_a("render_choice"))) else "false"


def _each_option(item: etree._Element, holder: etree._Element, kind: str) -> tuple[str, ...]:
    labels = list(item.iter(_a("response_label")))
    if len(labels) > _MOST:
        raise Fault("too-many-options", f"there are more than {_MOST} options")
    for each in labels:
        option = etree.SubElement(holder, f"{{{QTI}}}{kind}")
        option.set("identifier", each.get("ident", ""))
        for material in each.iterfind(_a("material")):
            option.extend(_html(material, f"option {each.get('ident', '')}"))
    return tuple(each.get("ident", "") for each in labels)


def _apart(body: etree._Element) -> str:
    return next((asked for each in body.iter(f"{{{QTI}}}p") if (asked := each.get("data-asked"))), "")


def _asked_row(body: etree._Element) -> str:
    """The row that is asked for, which a pupil is told by its number."""
    told = [each for each in body.iter(f"{{{QTI}}}p") if each.get("data-asked")]
    name = told[0].get("data-asked", "") if len(told) == 1 else ""
    numbers = re.findall("[0-9]+", "".join(map(str, told[0].itertext()))) if name else []
    if numbers != [name.removeprefix("R")]:
        raise Fault("unclear-interaction", "the question does not say which one row it asks for")
    return name


def _row(
    item: etree._Element, rows: list[etree._Element], asked: str, body: etree._Element, label: str
) -> tuple[str, ...]:
    """The row that is asked for and its targets as a match. Raises Fault for rows that show other numbers."""
    found = [each for each in rows if each.get("data-row") == asked]
    if len(found) != 1:
        raise Fault("unclear-interaction", f"the row {asked!r} stands there {len(found)} times")
    for row in rows:
        _bare(row, row.get("data-row", "").removeprefix("R"))
    match = etree.SubElement(body, f"{{{QTI}}}qti-match-interaction")
    match.set("response-identifier", _named("RESPONSE", label))
    match.set("shuffle", _shuffled(item))
    match.set("max-associations", "1")
    sides = [etree.SubElement(match, f"{{{QTI}}}qti-simple-match-set") for _ in range(2)]
    _moved(found[0], sides[0], "qti-simple-associable-choice", asked)
    options = _each_option(item, sides[1], "qti-simple-associable-choice")
    for choice in (*sides[0], *sides[1]):
        choice.set("match-max", "1")
    return options


def _moved(source: etree._Element, holder: etree._Element, kind: str, name: str) -> None:
    """What an element of the text holds as a choice of another element."""
    choice = etree.SubElement(holder, f"{{{QTI}}}{kind}")
    choice.set("identifier", name)
    choice.text = source.text
    choice.extend(list(source))
    source.text = None


def _bare(element: etree._Element, name: str) -> None:
    """Take the letter off a thing or row. Raises Fault where it shows another than it has."""
    letter = element[0] if len(element) else element
    if letter.get("class") != "letter" or "".join(map(str, letter.itertext())).strip() != name:
        raise Fault("unclear-option", f"what is {name!r} shows another letter", place=name)
    element.text = (letter.tail or "").strip()
    element.remove(letter)


def _things(body: etree._Element, label: str) -> tuple[str, ...]:
    """What is put into order as choices of an order. Raises Fault for a thing whose letter is not the one it shows."""
    found = [each for each in body.iter(f"{{{QTI}}}p") if each.get("data-thing")]
    if not found:
        return ()
    order = etree.SubElement(body, f"{{{QTI}}}qti-order-interaction")
    order.set("response-identifier", _named("RESPONSE", label))
    order.set("shuffle", "false")
    names = []
    for thing in found:
        name = thing.get("data-thing", "")
        _bare(thing, name)
        _moved(thing, order, "qti-simple-choice", name)
        names.append(name)
    return tuple(names)


def _gaps(body: etree._Element, label: str) -> Iterator[Gap]:
    """The gaps, each made into the boxes its number fills. Raises Fault `unclear-box` for numbers out of order."""
    number = 0
    for count, span in enumerate(
        [each for each in body.iter(f"{{{QTI}}}span") if each.get("data-box")], start=1
    ):
        shown, form = _GAP.match("".join(map(str, span.itertext())).strip()), span.get("data-form", "")
        slot = span.get("data-slot", "")
        if not shown or int(shown[1]) != count or not (slot.isdecimal() and len(slot) < 3):
            raise Fault("unclear-box", "the gaps are not numbered in their order", place=f"gap {count}")
        roles = ("numerator", "denominator") if form == "fraction" else (span.get("data-box", ""),)
        span.text = ""
        for child in list(span):
            span.remove(child)
        names = []
        for role in roles:
            number += 1
            name = f"BOX_{label}_{number}" if label else f"BOX_{number}"
            names.append(name)
            holder = etree.SubElement(span, f"{{{QTI}}}span")
            holder.set("data-box", role)
            etree.SubElement(holder, f"{{{QTI}}}qti-text-entry-interaction").set("response-identifier", name)
        del span.attrib["data-box"]
        within = span.get("data-tolerance", "0")
        marks = span.get("data-marks", "0")
        if not _DECIMAL.match(within):
            raise Fault("unclear-box", f"the tolerance {within!r} is no decimal")
        if not _DECIMAL.match(marks):
            raise Fault("unclear-box", f"the marks {marks!r} of a gap are no decimal")
        unknown = letter(span.get("data-unknown", ""))
        yield Gap(unknown, form, roles, int(slot), tuple(names), Fraction(within), Fraction(marks))


def _conditions(item: etree._Element) -> Iterator[Condition]:
    for count, rule in enumerate(item.iter(_a("respcondition")), start=1):
        if count > _MOST:
            raise Fault("too-many-rules", f"there are more than {_MOST} rules")
        asked = rule.find(_a("conditionvar"))
        if asked is None:
            raise Fault("wrong-rule", "a rule has no condition", place=f"rule {count}")
        score = rule.findtext(_a("setvar"))
        unequal = [each for denied in asked.iter(_a("not")) for each in denied.iter(_a("varequal"))]
        refused = frozenset(unequal)  # an element is the same as itself alone
        equal = [each for each in asked.iter(_a("varequal")) if each not in refused]
        if bool(equal or unequal) == (asked.find(_a("other")) is not None):
            raise Fault("wrong-rule", "a rule asks for something that is not known", place=f"rule {count}")
        yield Condition(
            tuple(each.text or "" for each in equal), tuple(each.text or "" for each in unequal),
            None if score is None else _score(score, count),
            tuple(
                (each.get("feedbacktype", ""), each.get("linkrefid", ""))
                for each in rule.iterfind(_a("displayfeedback"))
            ),
            rule.get("continue", "No") == "Yes",
        )  # fmt: skip


def _score(text: str, count: int) -> Fraction:
    if not re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{1,4})?", text.strip()):
        raise Fault("wrong-rule", f"the score {text!r} is no percentage", place=f"rule {count}")
    return Fraction(text.strip())
