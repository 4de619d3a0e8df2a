"""The manifest of a QTI 3.0 package in pieces, so that any number of items can stream through."""

from __future__ import annotations

from functools import cache

from itembank import __version__
from itembank.items import About, ChoiceResponse, Item
from itembank.writers.markup import attribute, text

PACKAGING = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
QTI_METADATA = "http://www.imsglobal.org/xsd/imsqti_metadata_v3p0"
LOM = "http://ltsc.ieee.org/xsd/LOM"
PACKAGING_SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd"


def manifest_head(name: str, title: str, language: str, licence: str, author: str) -> str:
    """Everything before the first resource."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<manifest xmlns="{PACKAGING}" '
        'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{PACKAGING} {PACKAGING_SCHEMA}" identifier="itembank-{attribute(name)}">'
        "<metadata><schema>QTI Item Bank</schema><schemaversion>3.0.0</schemaversion>"
        f'<lom xmlns="{LOM}"><general>{_words("title", title, language)}</general>'
        f"{_contribution(author)}{_rights(licence, language)}</lom></metadata><organizations/><resources>"
    )


def _words(element: str, plain: str, language: str) -> str:
    return f'<{element}><string language="{attribute(language)}">{text(plain)}</string></{element}>'


def _contribution(author: str) -> str:
    if not author:
        return ""
    card = f"BEGIN:VCARD\nVERSION:3.0\nFN:{author}\nN:{author}\nEND:VCARD"
    return (
        "<lifeCycle><contribute><role><source>LOMv1.0</source><value>author</value></role>"
        f"<entity>{text(card)}</entity></contribute></lifeCycle>"
    )


def _rights(licence: str, language: str) -> str:
    if not licence:
        return ""
    return (
        "<rights><copyrightAndOtherRestrictions><source>LOMv1.0</source><value>yes</value>"
        f"</copyrightAndOtherRestrictions>{_words('description', licence, language)}</rights>"
    )


def manifest_resource(item: Item) -> str:
    """The resource of one item."""
    kinds = tuple(
        "choice" if isinstance(part.response, ChoiceResponse) else "tick" if part.response.tick else "entry"
        for part in item.parts
    )
    first, second = _metadata(item.about, kinds)
    code = item.code
    return (
        f'<resource identifier="{code}" type="imsqti_item_xmlv3p0" href="items/{code}.xml">{first}{code}{second}'
        f'<file href="items/{code}.xml"/></resource>'
    )


@cache
def _metadata(about: About, kinds: tuple[str, ...]) -> tuple[str, str]:
    interactions = []
    if any(kind in {"choice", "tick"} for kind in kinds):
        interactions.append("<interactionType>choiceInteraction</interactionType>")
    if any(kind in {"entry", "tick"} for kind in kinds):
        interactions.append("<interactionType>textEntryInteraction</interactionType>")
    qti = (
        f'<qtiMetadata xmlns="{QTI_METADATA}"><itemTemplate>false</itemTemplate><timeDependent>false</timeDependent>'
        f"<composite>{'true' if len(kinds) > 1 else 'false'}</composite>{''.join(interactions)}"
        "<feedbackType>nonadaptive</feedbackType><solutionAvailable>true</solutionAvailable>"
        "<scoringMode>responseprocessing</scoringMode><toolName>itembank</toolName>"
        f"<toolVersion>{__version__}</toolVersion><toolVendor>itembank</toolVendor></qtiMetadata>"
    )
    language = attribute(about.language)
    keywords = [*about.topics, *about.curriculum, *([f"demand: {about.demand}"] if about.demand else [])]
    lom_end = (
        f")</string></title><language>{language}</language>"
        + "".join(_words("keyword", word, about.language) for word in keywords)
        + "</general></lom></metadata>"
    )
    lom_start = f'<metadata>{qti}<lom xmlns="{LOM}"><general><title><string language="{language}">{text(about.title)} ('
    return lom_start, lom_end


def manifest_tail() -> str:
    """Everything after the last resource."""
    return "</resources></manifest>\n"
