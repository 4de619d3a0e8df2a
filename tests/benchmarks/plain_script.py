"""Ten families of quadratics items with sympy alone, written straightforwardly: the benchmarks' yardstick.

    python plain_script.py --count 200 --seed 1 --out FILE.zip

Draws numbers at random, calls `solve`, and only then looks whether the answers are of the wanted kind; tells
options apart by `simplify(a - b) != 0`, pair by pair; prints each formula with `latex()` and `mathml()`;
builds a QTI 3.0 item with lxml and zips everything with a manifest. Prints a line of JSON: items, draws,
bytes, and the seconds of the work (starting Python and importing sympy stand apart, as `startup_seconds` of
processor time).
"""

from __future__ import annotations

import argparse
import json
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from families import FAMILIES, Algebra, Answers, Draft, Option, Shown
from lxml import etree
from sympy import Basic, Eq, Expr, Symbol, discriminant, latex, simplify, solve
from sympy.printing.mathml import mathml

QTI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
QTI_SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
MANIFEST = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
MATHML = "http://www.w3.org/1998/Math/MathML"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"

# sympy's presentation printer writes an entity that XML does not know, and a bare sign
NOT_XML = (("&InvisibleTimes;", "\u2062"), ("<mo><</mo>", "<mo>&lt;</mo>"))

MOST_DRAWS_PER_ITEM = 10_000

x = Symbol("x", real=True)
c = Symbol("c", real=True)
p = Symbol("p", real=True)
q = Symbol("q", real=True)

Render = Callable[[Draft, str, Random], bytes]


class SympyAlgebra:
    """Everything by asking sympy."""

    def roots(self, a: int, b: int, c: int) -> Answers:
        return tuple(sorted(solve(Eq(a * x**2 + b * x + c, 0), x)))

    def square_constant(self, b: Expr) -> Expr:
        (value,) = solve(discriminant(x**2 + b * x + c, x), c)
        return value

    def completed(self, b: int, c: int) -> tuple[Expr, Expr]:
        ((first, second),) = solve([Eq(2 * p, b), Eq(p**2 + q, c)], [p, q])
        return first, second

    def discriminant(self, a: int, b: int, c: int) -> Expr:
        return discriminant(a * x**2 + b * x + c, x)

    def are_different(self, first: Expr, second: Expr) -> bool:
        return bool(simplify(first - second) != 0)


def drafts(
    count: int, rng: Random, algebra: Algebra, is_possible: Callable[[str, tuple[int, ...]], bool]
) -> Iterator[tuple[Draft, int]]:
    """`count` different items, the families in turn, each with the number of draws it took.

    is_possible: a cheaper test of the drawn numbers before anything is solved; the plain script has none.
    """
    seen: set[tuple[str, tuple[int, ...]]] = set()
    for at in range(count):
        family = FAMILIES[at % len(FAMILIES)]
        for draws in range(1, MOST_DRAWS_PER_ITEM + 1):
            values = family.draw(rng)
            if (family.name, values) in seen or not is_possible(family.name, values):
                continue
            answers = family.answers(algebra, values)
            if not family.is_wanted(values, answers):
                continue
            draft = family.draft(algebra, values, answers)
            if draft is None:
                continue
            seen.add((family.name, values))
            yield draft, draws
            break
        else:
            raise SystemExit(f"{family.name}: no new item in {MOST_DRAWS_PER_ITEM} draws")


def formula(expression: Basic) -> etree._Element:
    """Presentation MathML with the content annotation, and LaTeX as the alternative text."""
    shown = mathml(expression, printer="presentation")
    for broken, mended in NOT_XML:
        shown = shown.replace(broken, mended)
    meant = mathml(expression, printer="content")
    math = etree.fromstring(
        f'<math xmlns="{MATHML}"><semantics><mrow>{shown}</mrow>'
        f'<annotation-xml encoding="MathML-Content">{meant}</annotation-xml></semantics></math>'
    )
    math.set("alttext", latex(expression))
    return math


def element(parent: etree._Element, name: str, text: str | None = None, **attributes: str) -> etree._Element:
    """A new child in the QTI namespace; an underscore in an attribute's name stands for its hyphen."""
    child = etree.SubElement(parent, f"{{{QTI}}}{name}")
    for attribute, value in attributes.items():
        child.set(attribute.replace("_", "-"), value)
    child.text = text
    return child


def fill(parent: etree._Element, *content: Shown) -> None:
    """Append words and formulas to an element."""
    for piece in content:
        if isinstance(piece, str):
            if len(parent):
                parent[-1].tail = (parent[-1].tail or "") + piece
            else:
                parent.text = (parent.text or "") + piece
        else:
            parent.append(formula(piece))


def render(draft: Draft, code: str, rng: Random) -> bytes:
    """The item as a QTI 3.0 document."""
    item = etree.fromstring(f'<qti-assessment-item xmlns="{QTI}" xmlns:xsi="{XSI}"/>')
    item.set(f"{{{XSI}}}schemaLocation", f"{QTI} {QTI_SCHEMA}")
    for name, value in (
        ("identifier", code),
        ("title", draft.title),
        ("time-dependent", "false"),
        (XML_LANG, "en"),
    ):
        item.set(name, value)
    options = [draft.key, *draft.wrong]
    if draft.kind == "choice":
        rng.shuffle(options)
        choice(item, draft, options)
    else:
        entry(item, draft)
    for at, option in enumerate(options):
        feedback(item, f"F{at + 1}", option.feedback)
    if draft.kind == "entry":
        feedback(item, "OTHER", "Not right: compare your steps with the worked solution.")
    return etree.tostring(item, encoding="utf-8", xml_declaration=True)


def outcomes(item: etree._Element, maximum: int) -> None:
    """The score, and which feedback is shown."""
    element(
        item,
        "qti-outcome-declaration",
        identifier="SCORE",
        cardinality="single",
        base_type="float",
        normal_maximum=str(maximum),
    )
    element(
        item, "qti-outcome-declaration", identifier="FEEDBACK", cardinality="single", base_type="identifier"
    )


def choice(item: etree._Element, draft: Draft, options: list[Option]) -> None:
    """Declarations, body and processing of a choice; `options` in the order they are shown."""
    declaration = element(
        item, "qti-response-declaration", identifier="RESPONSE", cardinality="single", base_type="identifier"
    )
    right = f"C{options.index(draft.key) + 1}"
    element(element(declaration, "qti-correct-response"), "qti-value", right)
    outcomes(item, 1)
    body = element(item, "qti-item-body")
    fill(element(body, "p"), *draft.stem)
    interaction = element(
        body, "qti-choice-interaction", response_identifier="RESPONSE", max_choices="1", shuffle="true"
    )
    for at, option in enumerate(options):
        fill(element(interaction, "qti-simple-choice", identifier=f"C{at + 1}"), option.shown)
    rubric(body, draft, options)
    condition = element(element(item, "qti-response-processing"), "qti-response-condition")
    for at, option in enumerate(options):
        branch = element(condition, "qti-response-if" if at == 0 else "qti-response-else-if")
        match = element(branch, "qti-match")
        element(match, "qti-variable", identifier="RESPONSE")
        element(match, "qti-base-value", f"C{at + 1}", base_type="identifier")
        results(branch, 1 if option is draft.key else 0, f"F{at + 1}")


def entry(item: etree._Element, draft: Draft) -> None:
    """Declarations, body and processing of an entry; the slips are recognised wrong entries."""
    for blank, answer in zip(draft.blanks, draft.key.answers, strict=True):
        declaration = element(
            item,
            "qti-response-declaration",
            identifier=f"R_{blank}",
            cardinality="single",
            base_type="string",
        )
        element(element(declaration, "qti-correct-response"), "qti-value", str(answer))
    outcomes(item, len(draft.blanks))
    body = element(item, "qti-item-body")
    fill(element(body, "p"), *draft.stem)
    for blank in draft.blanks:
        box = element(body, "p", f"{blank} = ")
        element(box, "qti-text-entry-interaction", response_identifier=f"R_{blank}", expected_length="8")
    rubric(body, draft, [draft.key, *draft.wrong])
    condition = element(element(item, "qti-response-processing"), "qti-response-condition")
    for at, option in enumerate((draft.key, *draft.wrong)):
        branch = element(condition, "qti-response-if" if at == 0 else "qti-response-else-if")
        both = element(branch, "qti-and")
        for blank, answer in zip(draft.blanks, option.answers, strict=True):
            match = element(both, "qti-string-match", case_sensitive="false")
            element(match, "qti-variable", identifier=f"R_{blank}")
            element(match, "qti-base-value", str(answer), base_type="string")
        results(branch, len(draft.blanks) if at == 0 else 0, f"F{at + 1}")
    results(element(condition, "qti-response-else"), 0, "OTHER")


def rubric(body: etree._Element, draft: Draft, options: list[Option]) -> None:
    """Problem, key, worked solution, and what each feedback is told of and why, for staff."""
    content = element(
        element(body, "qti-rubric-block", view="tutor scorer", use="scoring"), "qti-content-body"
    )
    fill(element(content, "p", "Problem: "), draft.problem)
    fill(element(content, "p", "Key: "), draft.key.shown)
    lines = element(content, "ol")
    for line in draft.solution:
        step = element(lines, "li", line.say + " ")
        fill(step, line.math)
        if line.mark:
            fill(step, f" {line.mark}")
    for at, option in enumerate(options):
        fill(element(content, "p", f"F{at + 1}: "), option.shown)
        if option.note:
            element(content, "p", option.note)


def results(branch: etree._Element, score: int, shown: str) -> None:
    """Set the score and the feedback."""
    for identifier, kind, value in (("SCORE", "float", str(score)), ("FEEDBACK", "identifier", shown)):
        outcome = element(branch, "qti-set-outcome-value", identifier=identifier)
        element(outcome, "qti-base-value", value, base_type=kind)


def feedback(item: etree._Element, identifier: str, sentence: str) -> None:
    """What the pupil reads afterwards."""
    modal = element(
        item, "qti-modal-feedback", outcome_identifier="FEEDBACK", identifier=identifier, show_hide="show"
    )
    element(element(modal, "qti-content-body"), "p", sentence)


def manifest(members: list[str]) -> bytes:
    """The list of what the package holds."""
    resources = "".join(
        f'<resource identifier="r{at}" type="imsqti_item_xmlv3p0" href="{name}">'
        f'<file href="{name}"/></resource>'
        for at, name in enumerate(members)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><manifest xmlns="{MANIFEST}" identifier="package"><metadata>'
        "<schema>QTI Package</schema><schemaversion>3.0.0</schemaversion></metadata><organizations/>"
        f"<resources>{resources}</resources></manifest>"
    ).encode()


def write_package(
    out: Path, produced: Iterator[tuple[Draft, int]], render: Render, rng: Random
) -> tuple[int, int]:
    """Render what is produced into a zip at `out`; how many draws it took, and the bytes of its members."""
    total_draws, size, members = 0, 0, []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for at, (draft, draws) in enumerate(produced):
            name, document = f"items/i{at:06d}.xml", render(draft, f"i{at:06d}", rng)
            package.writestr(name, document)
            members.append(name)
            total_draws, size = total_draws + draws, size + len(document)
        listed = manifest(members)
        package.writestr("imsmanifest.xml", listed)
    return total_draws, size + len(listed)


def options_of(description: str | None) -> argparse.Namespace:
    """The command line both scripts share."""
    parser = argparse.ArgumentParser(description=(description or "").split("\n\n")[0])
    parser.add_argument("--count", type=int, default=200, help="number of items (default 200)")
    parser.add_argument("--seed", type=int, default=1, help="seed of the draws (default 1)")
    parser.add_argument("--out", type=Path, required=True, help="the zip to write")
    return parser.parse_args()


def main() -> None:
    """Do the job and report it."""
    startup = time.process_time()
    options = options_of(__doc__)
    start = time.perf_counter()
    rng = Random(options.seed)
    produced = drafts(options.count, rng, SympyAlgebra(), lambda name, values: True)
    draws, size = write_package(options.out, produced, render, rng)
    seconds = time.perf_counter() - start
    report = {
        "items": options.count,
        "seconds": seconds,
        "startup_seconds": startup,
        "draws": draws,
        "bytes": size,
    }
    json.dump(report, sys.stdout)
    print()


if __name__ == "__main__":
    main()
