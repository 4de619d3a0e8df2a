"""The versions of the standard an exported file may be written in, read as one: the names of QTI 3.0.

An older document is renamed as soon as it is parsed, so that every check reads the same names whatever the version.
The table is the audit's own. A name that is not in it is refused: what the audit cannot read it does not pass.
Source: QTI 2.1, 2.2 and 3.0, bindings (2.1 from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from lxml import etree

from itembank.audit.findings import Fault
from itembank.audit.xml_reading import local_name, namespace

__all__ = ["PACKAGES", "QTI", "Version", "as_3_0", "package_version", "version_of"]

QTI: Final = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
_OLD: Final = "http://www.imsglobal.org/xsd/imscp_v1p1"


@dataclass(frozen=True, slots=True)
class Version:
    """name: for people; items: namespace of items and tests; packaging: of the manifest; schemas, versions: what a
    manifest may say of itself; item_type, test_type: of its resources.
    """

    name: str
    items: str
    packaging: str
    schemas: frozenset[str]
    versions: frozenset[str]
    item_type: str
    test_type: str


_KINDS: Final = ("Package", "Test", "Section", "Item", "Item Bank", "Test Bank", "Object Bank")
QTI_3_0: Final = Version(
    "QTI 3.0", QTI, "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1",
    frozenset(f"QTI {kind}" for kind in _KINDS), frozenset({"3.0.0", "3.0.1"}),
    "imsqti_item_xmlv3p0", "imsqti_test_xmlv3p0",
)  # fmt: skip
QTI_2_2: Final = Version(
    "QTI 2.2", "http://www.imsglobal.org/xsd/imsqti_v2p2", _OLD,
    frozenset({"QTIv2.2 Package", "QTIv2.2 Item Bank Package", "QTIv2.2 Object Bank Package"}),
    frozenset({"1.0.0"}), "imsqti_item_xmlv2p2", "imsqti_test_xmlv2p2",
)  # fmt: skip
QTI_2_1: Final = Version(
    "QTI 2.1", "http://www.imsglobal.org/xsd/imsqti_v2p1", _OLD,
    frozenset({"QTIv2.1 Package"}), frozenset({"1.0.0"}), "imsqti_item_xmlv2p1", "imsqti_test_xmlv2p1",
)  # fmt: skip
VERSIONS: Final = (QTI_3_0, QTI_2_2, QTI_2_1)
PACKAGES: Final = frozenset(version.packaging for version in VERSIONS)
_BY_NAMESPACE: Final[Mapping[str, Version]] = {version.items: version for version in VERSIONS}


def _names(listed: str) -> frozenset[str]:
    return frozenset(listed.split())


# what HTML names is the same in every version
_HTML: Final = _names(
    "p div span em strong b i sub sup br blockquote pre code h1 h2 h3 h4 h5 h6 ul ol li dl dt dd small table thead "
    "tbody tfoot tr td th caption img"
)
_STANDARD: Final = _names(
    """
    assessmentItem responseDeclaration outcomeDeclaration templateDeclaration defaultValue correctResponse value mapping
    mapEntry matchTable matchTableEntry stylesheet itemBody responseProcessing responseCondition responseIf
    responseElseIf responseElse exitResponse responseProcessingFragment outcomeProcessing outcomeCondition outcomeIf
    outcomeElseIf outcomeElse setOutcomeValue lookupOutcomeValue variable correct default mapResponse baseValue and or
    not isNull match member contains null multiple ordered delete containerSize random lt gt lte gte sum product
    subtract divide power integerDivide integerModulus min max gcd lcm round truncate integerToFloat anyN index equal
    equalRounded roundTo stringMatch substring patternMatch mathOperator mathConstant assessmentTest testPart
    assessmentSection assessmentItemRef assessmentSectionRef weight timeLimits selection ordering itemSessionControl
    testVariables choiceInteraction orderInteraction associateInteraction matchInteraction gapMatchInteraction
    inlineChoiceInteraction textEntryInteraction extendedTextInteraction hottextInteraction prompt simpleChoice
    inlineChoice hottext simpleMatchSet simpleAssociableChoice gapText gap modalFeedback feedbackBlock feedbackInline
    rubricBlock
    """
)
_CAPITAL: Final = re.compile(r"(?<=[a-z0-9])(?=[A-Z])")
_WORD: Final = re.compile(r"(data-[a-z-]+|use)((?:\.[A-Za-z0-9_:-]+)*)\Z")
_ESCAPED: Final = re.compile(r":([0-9a-f]{1,6}):")


def version_of(root: etree._Element) -> Version | None:
    """The version a document of items or tests is written in, None for another document."""
    return _BY_NAMESPACE.get(namespace(root))


def package_version(packaging: str, schema: str, version: str) -> Version | None:
    """The version of a package by what its manifest says, None where no version says that."""
    for each in VERSIONS:
        if each.packaging == packaging and schema in each.schemas and version in each.versions:
            return each
    return None


def as_3_0(root: etree._Element) -> Version:
    """Rename a document of any version to the names of 3.0, in place, and say which version it was.

    Raises Fault `wrong-root` for a document of no version, `unknown-element` for an element that is in no table.
    """
    version = version_of(root)
    if version is None:
        message = f"the file's root is {local_name(root)}, not an assessment item of QTI 2.1, 2.2 or 3.0"
        raise Fault("wrong-root", message)
    if version is not QTI_3_0:
        old = f"{{{version.items}}}*"
        for element in list(root.iter(old)):
            element.tag = _element(local_name(element))
            if element.attrib:
                _attributes(element)
    return version


@lru_cache(maxsize=1024)
def _element(name: str) -> str:
    if name in _HTML:
        return f"{{{QTI}}}{name}"
    if name in _STANDARD:
        return f"{{{QTI}}}qti-{_kebab(name)}"
    raise Fault("unknown-element", f"{name} cannot stand in an item")


def _kebab(name: str) -> str:
    return _CAPITAL.sub("-", name).lower()


def _attributes(element: etree._Element) -> None:
    for name, held in element.items():
        key, value = str(name), str(held)
        if key == "class":
            _words(element, value)
            continue
        if "-" in key and not key.startswith(("{", "aria-")):
            raise Fault(
                "unknown-attribute", f"{key} is no attribute of {local_name(element)} in this version"
            )
        new = _attribute(key)
        if new != key:
            del element.attrib[key]
            element.set(new, value)


@lru_cache(maxsize=1024)
def _attribute(key: str) -> str:
    return key if key.startswith("{") else _kebab(key)


def _words(element: etree._Element, value: str) -> None:
    """The words of a class that stand for attributes which older versions have no place for, made attributes."""
    kept = []
    for word in value.split():
        found = _WORD.match(word)
        if found is None:
            kept.append(word)
        elif element.get(found[1]) is not None:
            raise Fault("unclear-class", f"a class says {found[1]} twice")
        else:
            element.set(found[1], _unescaped(found[2][1:].replace(".", " ")))
    if kept:
        element.set("class", " ".join(kept))
    else:
        del element.attrib["class"]


def _unescaped(text: str) -> str:
    return _ESCAPED.sub(lambda found: chr(min(int(found[1], 16), 0x10FFFF)), text)
