"""The dialects of QTI that this house writes, and in what they differ beyond the names of elements.

Source: QTI 2.1, 2.2 and 3.0, packaging and bindings; Content Packaging 1.2. What is said of 2.1 is from memory, of
2.2 and 3.0 read off the schemas and the official examples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["DIALECTS", "QTI_2_1", "QTI_2_2", "QTI_3_0", "TOOL", "Dialect"]

TOOL: Final = "itembank"
"""What wrote a document, as it says itself."""

_QTI3: Final = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd"
_QTI2: Final = "http://www.imsglobal.org/xsd"
_LOM: Final = "https://purl.imsglobal.org/spec/md/v1p3/schema/xsd/imsmd_loose_v1p3p2.xsd"
_PACKAGING: Final = f"{_QTI2}/imscp_v1p1"


@dataclass(frozen=True, slots=True, eq=False)
class Dialect:
    """A version of the standard.

    name: the format's, for settings; title: for people. items: namespace of items and tests; item_schema: where its
    schema lies (`xsi:schemaLocation`). packaging: namespace of the manifest; manifest_schema: as above. bank, quiz:
    what a manifest calls a package of items, and one with a test; version: its schema version. item_type, test_type:
    of resources. metadata: namespace of what is said of items. standards: namespace of curriculum statements, "" where
    the dialect has none that we write. maths_in_lists: formulas may stand in a list to choose from. has_aria: content
    may say what a screen reader speaks. has_external_scoring: an outcome may say that people mark. has_direction:
    content may say which way it is written.
    """

    name: str
    title: str
    items: str
    item_schema: str
    packaging: str
    manifest_schema: str
    bank: str
    quiz: str
    version: str
    item_type: str
    test_type: str
    metadata: str
    standards: str
    maths_in_lists: bool
    has_aria: bool
    has_external_scoring: bool
    has_direction: bool


QTI_3_0: Final = Dialect(
    name="qti3", title="QTI 3.0",
    items=f"{_QTI2}/imsqtiasi_v3p0", item_schema=f"{_QTI2}/imsqtiasi_v3p0 {_QTI3}/imsqti_asiv3p0_v1p0.xsd",
    packaging=f"{_QTI2}/qti/qtiv3p0/imscp_v1p1",
    manifest_schema=" ".join(
        (
            f"{_QTI2}/qti/qtiv3p0/imscp_v1p1", f"{_QTI3}/imsqtiv3p0_imscpv1p2_v1p0.xsd",
            f"{_QTI2}/imsqti_metadata_v3p0", f"{_QTI3}/imsqti_metadatav3p0_v1p0.xsd",
            f"{_QTI2}/qti/qtiv3p0/imscsmd_v1p1", f"{_QTI3}/imsqtiv3p0_csmv1p1_v1p0.xsd",
            "http://ltsc.ieee.org/xsd/LOM", _LOM,
        )
    ),
    bank="QTI Item Bank", quiz="QTI Test", version="3.0.0",
    item_type="imsqti_item_xmlv3p0", test_type="imsqti_test_xmlv3p0", metadata=f"{_QTI2}/imsqti_metadata_v3p0",
    standards=f"{_QTI2}/qti/qtiv3p0/imscsmd_v1p1", maths_in_lists=True, has_aria=True,
    has_external_scoring=True, has_direction=True,
)  # fmt: skip

QTI_2_2: Final = Dialect(
    name="qti22", title="QTI 2.2",
    items=f"{_QTI2}/imsqti_v2p2", item_schema=f"{_QTI2}/imsqti_v2p2 {_QTI2}/qti/qtiv2p2/imsqti_v2p2p2.xsd",
    packaging=_PACKAGING,
    manifest_schema=" ".join(
        (
            _PACKAGING, f"{_QTI2}/qti/qtiv2p2/qtiv2p2_imscpv1p2_v1p0.xsd",
            f"{_QTI2}/imsqti_metadata_v2p2", f"{_QTI2}/qti/qtiv2p2/imsqti_metadata_v2p2.xsd",
            "http://ltsc.ieee.org/xsd/LOM", f"{_QTI2}/imsmd_loose_v1p3p2.xsd",
        )
    ),
    bank="QTIv2.2 Item Bank Package", quiz="QTIv2.2 Package", version="1.0.0",
    item_type="imsqti_item_xmlv2p2", test_type="imsqti_test_xmlv2p2", metadata=f"{_QTI2}/imsqti_metadata_v2p2",
    standards="", maths_in_lists=True, has_aria=True,
    has_external_scoring=True, has_direction=True,
)  # fmt: skip

QTI_2_1: Final = Dialect(
    name="qti21", title="QTI 2.1",
    items=f"{_QTI2}/imsqti_v2p1", item_schema=f"{_QTI2}/imsqti_v2p1 {_QTI2}/qti/qtiv2p1/imsqti_v2p1.xsd",
    packaging=_PACKAGING,
    manifest_schema=" ".join(
        (
            _PACKAGING, f"{_QTI2}/imscp_v1p2.xsd",
            f"{_QTI2}/imsqti_metadata_v2p1", f"{_QTI2}/qti/qtiv2p1/imsqti_metadata_v2p1.xsd",
            "http://ltsc.ieee.org/xsd/LOM", f"{_QTI2}/imsmd_loose_v1p3p2.xsd",
        )
    ),
    bank="QTIv2.1 Package", quiz="QTIv2.1 Package", version="1.0.0",
    item_type="imsqti_item_xmlv2p1", test_type="imsqti_test_xmlv2p1", metadata=f"{_QTI2}/imsqti_metadata_v2p1",
    standards="", maths_in_lists=False, has_aria=False,
    has_external_scoring=False, has_direction=False,
)  # fmt: skip

DIALECTS: Final = {dialect.name: dialect for dialect in (QTI_3_0, QTI_2_2, QTI_2_1)}
"""The dialects by the name of their format."""
