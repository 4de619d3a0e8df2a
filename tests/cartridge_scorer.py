"""A scorer of questions in a Common Cartridge for tests: QTI 1.2 items, from the file alone, by the standard's rules.

It shares nothing with the writer or the audit. What the profile does not allow is refused, never passed over.
Source: IMS QTI 1.2 ASI, response processing (from memory): conditions are gone through in order; comparisons side by
side must all hold; `continue="No"`, the default, ends the processing when its condition held; `case="No"`, the
default, takes capitals and small letters as one; `other` holds whatever the answer is; SCORE begins at 0.
Common Cartridge 1.3: `setvar` sets; SCORE is a percentage (both from the notes).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from lxml import etree

ASI = "{http://www.imsglobal.org/xsd/ims_qtiasiv1p2}"


class NotKnown(Exception):
    """The file asks for something the profile does not have."""


@dataclass(frozen=True)
class Result:
    """What an answer comes to. score: percent; feedback: identifiers; solution: whether it is shown."""

    score: Decimal
    feedback: tuple[str, ...]
    solution: bool


class Question:
    """An item that can be answered. document: an item, or a document with one item of this ident."""

    def __init__(self, document: str | bytes, ident: str = "") -> None:
        root = etree.fromstring(document.encode() if isinstance(document, str) else document)
        items = [root] if root.tag in {"item", f"{ASI}item"} else list(root.iter(f"{ASI}item"))
        (self.item,) = [each for each in items if not ident or each.get("ident") == ident]
        (self.response,) = [
            each for each in self.item.iter() if self._name(each) in {"response_lid", "response_str"}
        ]
        self.options = [
            each.get("ident") for each in self.item.iter() if self._name(each) == "response_label"
        ]

    @staticmethod
    def _name(element: etree._Element) -> str:
        return str(element.tag).removeprefix(ASI) if isinstance(element.tag, str) else ""

    def named(self, name: str, within: etree._Element | None = None) -> list[etree._Element]:
        """Every element of a name, in order."""
        return [each for each in (self.item if within is None else within).iter() if self._name(each) == name]

    @property
    def metadata(self) -> dict[str, str]:
        """Labels and entries."""
        return {
            label.text or "": entry.text or ""
            for label, entry in zip(self.named("fieldlabel"), self.named("fieldentry"), strict=True)
        }

    def texts(self, where: str) -> list[str]:
        """The HTML of every text within elements of a name."""
        return [text for each in self.named(where) for text in self.texts_in(each)]

    def texts_in(self, element: etree._Element) -> list[str]:
        """The HTML of every text within an element."""
        return [text.text or "" for text in self.named("mattext", element)]

    def listed(self) -> list[str]:
        """Every text a typed answer is compared with."""
        return [each.text or "" for each in self.named("varequal")]

    def answer(self, given: str | Iterable[str]) -> Result:
        """Score one attempt: a typed text, or the chosen options; "" and () are no answer."""
        chosen = [given] if isinstance(given, str) else list(given)
        chosen = [each for each in chosen if each]
        if self.options and not set(chosen) <= set(self.options):
            raise NotKnown(f"no such option: {chosen}")
        score, feedback, solution = Decimal(0), [], False
        for rule in self.named("respcondition"):
            (asked,) = self.named("conditionvar", rule)
            if not all(self._holds(each, chosen) for each in asked):
                continue
            for each in self.named("setvar", rule):
                if each.get("action", "Set") != "Set" or each.get("varname", "SCORE") != "SCORE":
                    raise NotKnown("a variable that is not set")
                score = Decimal(each.text or "")
            for each in self.named("displayfeedback", rule):
                if each.get("feedbacktype") == "Solution":
                    solution = True
                elif each.get("feedbacktype") == "Response":
                    feedback.append(each.get("linkrefid", ""))
            if rule.get("continue", "No") == "No":
                break
        return Result(score, tuple(feedback), solution)

    def _holds(self, asked: etree._Element, chosen: list[str]) -> bool:
        match self._name(asked):
            case "varequal":
                if asked.get("respident") != self.response.get("ident"):
                    raise NotKnown("a response that is not there")
                texts = [asked.text or "", *chosen]
                if asked.get("case", "No") == "No":
                    texts = [text.casefold() for text in texts]
                return texts[0] in texts[1:]
            case "other":
                return True
            case "and":
                return all(self._holds(each, chosen) for each in asked)
            case "not":
                return not any(self._holds(each, chosen) for each in asked)
            case name:
                raise NotKnown(name)
