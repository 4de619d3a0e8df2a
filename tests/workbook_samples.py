"""Workbooks for tests, as spreadsheet programs write them: SpreadsheetML of ECMA-376, part 1 (from memory)."""

from __future__ import annotations

import io
import zipfile
from html import escape

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
DOCUMENT = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
STYLES = """<numFmts><numFmt numFmtId="164" formatCode="DD\\-MMM"/>
<numFmt numFmtId="165" formatCode="0.0&quot; days&quot;"/>
<numFmt numFmtId="166" formatCode="[$-407]0.00%"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/>
<xf numFmtId="164"/><xf numFmtId="9"/><xf numFmtId="165"/><xf numFmtId="166"/><xf numFmtId="20"/></cellXfs>"""
PLAIN, DAY, DAY_AND_MONTH, PER_CENT, DAYS, PER_CENT_TOO, TIME = range(7)


def workbook(
    *sheets: tuple[str, str], shared: str = "", first: str = "", hidden: tuple[str, ...] = (), root: str = ""
) -> bytes:
    """sheets: the name and the rows of each. root: what stands before the targets of sheets."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        states = dict.fromkeys(hidden, ' state="hidden"')
        tabs = "".join(
            f'<sheet name="{escape(name)}" sheetId="{at}" r:id="rId{at}"{states.get(name, "")}/>'
            for at, (name, _) in enumerate(sheets, 1)
        )
        archive.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{MAIN}" xmlns:r="{DOCUMENT}">{first}<sheets>{tabs}</sheets></workbook>',
        )
        kinds = {
            "xl/workbook.xml": "sheet.main", "xl/styles.xml": "styles", "xl/sharedStrings.xml": "sharedStrings",
            **{f"xl/worksheets/sheet{at}.xml": "worksheet" for at in range(1, len(sheets) + 1)},
        }  # fmt: skip
        parts = "".join(
            f'<Override PartName="/{name}" ContentType="{KIND}.{kind}+xml"/>' for name, kind in kinds.items()
        )
        archive.writestr("[Content_Types].xml", f'<Types xmlns="{PACKAGE}/content-types">{parts}</Types>')
        links = "".join(
            f'<Relationship Id="rId{at}" Type="{DOCUMENT}/worksheet" Target="{root}worksheets/sheet{at}.xml"/>'
            for at in range(1, len(sheets) + 1)
        )
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{PACKAGE}/relationships">{links}</Relationships>',
        )
        archive.writestr("xl/styles.xml", f'<styleSheet xmlns="{MAIN}">{STYLES}</styleSheet>')
        archive.writestr("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">{shared}</sst>')
        for at, (_, rows) in enumerate(sheets, 1):
            sheet = f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'
            archive.writestr(f"xl/worksheets/sheet{at}.xml", sheet)
    return out.getvalue()


def rows(*lines: tuple[object, ...], begin: int = 1) -> str:
    """Rows of numbers and of texts within their cells; None is no cell."""
    letters = "ABCDEFGH"
    told = []
    for number, line in enumerate(lines, begin):
        cells = "".join(
            f'<c r="{letters[at]}{number}"><v>{value}</v></c>'
            if isinstance(value, int | float)
            else f'<c r="{letters[at]}{number}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>'
            for at, value in enumerate(line)
            if value is not None
        )
        told.append(f'<row r="{number}">{cells}</row>')
    return "".join(told)
