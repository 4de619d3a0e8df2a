"""Items with formulas as pictures or LaTeX, read back from the file alone: proved as ever, and every change seen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from itembank.audit.findings import Unread
from itembank.audit.latex_reader import read_latex
from itembank.audit.verify import audit_item, verify
from itembank.build.packages import pack
from itembank.items import Item
from itembank.publication import Publication
from itembank.writers import qti3, qti_manifest
from itembank.writers.dialects import DIALECTS
from itembank.writers.formulas import DELIMITERS, Notation, in_package, style_sheet
from tests import samples
from tests.audit_samples import write_zip
from tests.qti_items import two_part_item

MAKERS = (*samples.ALL, two_part_item)
PUBLISHED = Publication("quiz", "Evening algebra")
PICTURES = Notation("svg")
LATEX = [Notation("latex", delimiters) for delimiters in DELIMITERS]


def members(item: Item, notation: Notation) -> dict[str, str]:
    """A package of one item."""
    shown = in_package(qti3.item_xml(item), notation)
    files = {f"items/formulas/{picture.name}": picture.svg for picture in shown.pictures}
    files |= {"items/formulas/formulas.css": style_sheet()} if files else {}
    resources = qti_manifest.depending(qti3.manifest_resource(item), list(files)) + "".join(
        map(qti_manifest.shared_resource, files)
    )
    whole = qti3.manifest_head(PUBLISHED) + resources + qti3.manifest_tail()
    return {"imsmanifest.xml": whole, qti3.item_name(item): shown.document, **files}


def found(files: Mapping[str, str], folder: Path) -> set[str]:
    """The codes of everything wrong with a package."""
    report = verify(write_zip(folder / "quiz.zip", dict(files)))
    return {finding.code for finding in report.findings}


@pytest.mark.parametrize("make", MAKERS, ids=lambda make: make.__name__)
@pytest.mark.parametrize("notation", [PICTURES, *LATEX], ids=str)
def test_an_item_in_every_notation_passes(
    make: Callable[[], Item], notation: Notation, tmp_path: Path
) -> None:
    assert set() == found(members(make(), notation), tmp_path)


@pytest.mark.parametrize("notation", [PICTURES, LATEX[0]], ids=str)
def test_an_item_alone_is_read_without_its_pictures(notation: Notation) -> None:
    item = samples.choice_item()
    document = in_package(qti3.item_xml(item), notation).document

    assert (item.code, ()) == audit_item(document.encode(), qti3.item_name(item))


def test_the_report_says_that_pictures_were_not_looked_at(tmp_path: Path) -> None:
    files = members(samples.choice_item(), PICTURES)
    report = verify(write_zip(tmp_path / "quiz.zip", files))

    assert report.ok
    (note,) = report.notes
    assert note.startswith("1 item shows formulas as pictures, which cannot be read")
    assert any(note in line for line in report.lines())
    assert [note] == report.as_dict()["notes"]
    assert () == verify(write_zip(tmp_path / "latex.zip", members(samples.choice_item(), LATEX[0]))).notes


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("notation", [PICTURES, LATEX[0]], ids=str)
def test_every_dialect_carries_every_notation(dialect: str, notation: Notation, tmp_path: Path) -> None:
    item = samples.surd_entry_item()
    (((packed,), _),) = pack([item], (dialect,), PUBLISHED, notation)
    of = DIALECTS[dialect]
    head = qti3.manifest_head(PUBLISHED, dialect=of)
    shared = [str(member.path) for member in packed.shared]
    manifest = (
        head + packed.resource + "".join(map(qti_manifest.shared_resource, shared)) + qti3.manifest_tail()
    )

    import zlib

    def content(member: object) -> str:
        data, method = member.data, member.method  # type: ignore[attr-defined]
        return (zlib.decompress(data, -15) if method else data).decode()

    files = {"imsmanifest.xml": manifest, qti3.item_name(item): content(packed.member)}
    files |= {str(member.path): content(member) for member in packed.shared}
    assert set() == found(files, tmp_path)


# what is changed is seen

ITEM = "items/" + samples.choice_item().code + ".xml"
KEY, STEM = "x equals 4 plus or minus the square root of 13 end root", "x squared minus 8 x plus 3 equals 0"


def picture_of(files: Mapping[str, str], spoken: str) -> str:
    """The name of the picture that is described so."""
    before, _, _ = files[ITEM].partition(f'" alt="{spoken}"')
    return "items/" + before.rpartition('src="')[2]


def changed(name: str, old: str, new: str) -> Callable[[dict[str, str]], None]:
    def change(files: dict[str, str]) -> None:
        assert old in files[name]
        files[name] = files[name].replace(old, new)

    return change


def in_picture(old: str, new: str) -> Callable[[dict[str, str]], None]:
    return lambda files: changed(picture_of(files, KEY), old, new)(files)


def lost(files: dict[str, str]) -> None:
    del files[picture_of(files, KEY)]


def swapped(files: dict[str, str]) -> None:
    key, stem = picture_of(files, KEY), picture_of(files, STEM)
    files[key], files[stem] = files[stem], files[key]


def listed_twice(files: dict[str, str]) -> None:
    changed(
        "imsmanifest.xml",
        "</resources>",
        qti_manifest.shared_resource(picture_of(files, KEY)) + "</resources>",
    )(files)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (changed(ITEM, f'alt="{KEY}"', f'alt="{KEY.replace("13", "14")}"'), "picture-differs"),
        (changed(ITEM, f'alt="{KEY}"', 'alt=""'), "picture-without-alt"),
        (changed(ITEM, f'alt="{KEY}"', 'alt="the key"'), "unread-notation"),
        (changed(ITEM, "x squared minus 8 x", "x squared plus 8 x"), "picture-differs"),
        (in_picture("<cn>13</cn>", "<cn>14</cn>"), "picture-without-meaning"),
        (in_picture("<mn>13</mn>", "<mn>14</mn>"), "picture-without-meaning"),
        (in_picture("<metadata>", "<metadata/><title>").__call__, "not-well-formed"),
        (in_picture("<rect ", "<script>alert(1)</script><rect "), "unsafe-picture"),
        (in_picture("<rect ", '<rect onload="alert(1)" '), "unsafe-picture"),
        (in_picture('href="#', 'href="https://example.org/#'), "unsafe-picture"),
        (lost, "missing-file"),
        (swapped, "picture-differs"),
        (listed_twice, "duplicate-file"),
        (changed("imsmanifest.xml", '<file href="items/formulas/formulas.css"/>', ""), "missing-file"),
        (changed("imsmanifest.xml", 'ref="file-items-formulas-f', 'ref="file-'), "missing-resource"),
    ],
)  # fmt: skip
def test_a_change_to_a_picture_is_seen(
    change: Callable[[dict[str, str]], None], code: str, tmp_path: Path
) -> None:
    files = members(samples.choice_item(), PICTURES)
    change(files)

    assert code in found(files, tmp_path)


def last_only(old: str, new: str) -> Callable[[dict[str, str]], None]:
    def change(files: dict[str, str]) -> None:
        before, found_it, after = files[ITEM].rpartition(old)
        assert found_it
        files[ITEM] = before + new + after

    return change


def first_only(old: str, new: str) -> Callable[[dict[str, str]], None]:
    def change(files: dict[str, str]) -> None:
        assert old in files[ITEM]
        files[ITEM] = files[ITEM].replace(old, new, 1)

    return change


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (first_only(r"\(x^{2} - 8x + 3 = 0\)", r"\(x^{2} - 8x + 5 = 0\)"), "stem-differs"),
        (first_only(r"\(x^{2} - 8x + 3 = 0\)", r"\(x^{2} + 8x + 3 = 0\)"), "spoken-differs"),
        (first_only(r"\(x^{2} - 8x + 3 = 0\)", r"\(x^{2} - 8x + 3 = 0"), "unread-notation"),
        (first_only(r"\(x = 4 \pm \sqrt{13}\)", r"\(x = 4 + \sqrt{13}\)"), "option-differs"),
        (first_only(r"\(x = 8 \pm \sqrt{61}\)", r"\(x = 4 \pm \sqrt{13}\)"), "equal-options"),
        (first_only(r"\(x = 8 \pm \sqrt{61}\)", r"\(x = 8 \phantom{-}\pm \sqrt{61}\)"), "unread-notation"),
        (first_only(r"\(x = 8 \pm \sqrt{61}\)", r"\(x = 8 \pm \color{white}\sqrt{61}\)"), "unread-notation"),
        (last_only(r"\pm \sqrt{13}", r"\pm \sqrt{31}"), ""),
    ],
)  # fmt: skip
def test_a_change_to_latex_is_seen(
    change: Callable[[dict[str, str]], None], code: str, tmp_path: Path
) -> None:
    files = members(samples.choice_item(), LATEX[0])
    change(files)

    codes = found(files, tmp_path)
    assert (code in codes) if code else codes


def test_money_is_no_formula() -> None:
    item = samples.choice_item()
    document = in_package(qti3.item_xml(item), Notation("latex", "$ $")).document
    priced = document.replace("By completing", r"For \$5 and \$7, by completing")

    codes = {each.code for each in audit_item(priced.encode(), qti3.item_name(item))[1]}
    assert set() == codes


@pytest.mark.parametrize(
    "source",
    [
        "", r"\frac{1}{2", r"x^{2}^{3}", r"x\text{but}y", "2 3", r"x2", r"\mathrm{sin}(x)", r"x_{Y}", r"\sqrt[x]{2}",
        r"\frac{1}{2}^{2}", r"\sqrt{2}^{2}", r"\hbox{x}", "x = 2 = ", "(x, y)", r"\left(x, y", "x°", "007", r"x \ y 2",
        r"\left(" * 60 + "x" + r"\right)" * 60, r"x + \text{no real solution}",
    ],
)  # fmt: skip
def test_latex_that_the_audit_does_not_know_is_refused(source: str) -> None:
    with pytest.raises(Unread):
        read_latex(source)
