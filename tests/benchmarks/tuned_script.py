"""The items of plain_script.py, byte for byte, made quick by a programmer who stays with sympy.

    python tuned_script.py --count 200 --seed 1 --out FILE.zip

What was tuned:

- roots, completed squares and discriminants by closed formula on whole numbers, the square factor of a
  radicand by a cached search, each surd made once; `solve` is never called;
- the drawn numbers are tested on whole numbers before any sympy object is built, so a rejected draw costs
  next to nothing;
- options are told apart by comparing trees: every value is built as p + q*sqrt(r) with r free of squares,
  where equal trees and equal numbers are the same thing, so nothing is simplified;
- one printer of each kind is made once and reused, past the entry functions; each formula is printed once
  however often an item or a later item shows it;
- items are put together from strings: no element tree is built, no MathML is parsed again; the parts of an
  item that do not depend on its numbers are made once;
- one item of each family is made before the clock starts, so that sympy's caches, late imports and printer
  tables are warm (`warm_seconds` tells how long that took).
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from functools import cache, lru_cache
from math import gcd, isqrt
from random import Random
from xml.sax.saxutils import escape

from families import FAMILIES, Answers, Draft, Option, Shown, Values
from plain_script import MATHML, QTI, QTI_SCHEMA, XSI, drafts, options_of, write_package
from sympy import Basic, Expr, Integer, Rational, sqrt
from sympy.printing.latex import LatexPrinter
from sympy.printing.mathml import MathMLContentPrinter, MathMLPresentationPrinter

PRESENTATION = MathMLPresentationPrinter()
CONTENT = MathMLContentPrinter()
LATEX = LatexPrinter()

# what the presentation printer writes that XML does not know, or that is shorter as the character itself
CHARACTERS = (
    ("&InvisibleTimes;", "\u2062"),
    ("&#x2228;", "∨"),
    ("&#x2227;", "∧"),
    ("<mo><</mo>", "<mo>&lt;</mo>"),
    ("<mo>></mo>", "<mo>&gt;</mo>"),
)


@cache
def square_split(n: int) -> tuple[int, int]:
    """s and r with n = s^2 * r and r free of squares; n is at least 1."""
    for s in range(isqrt(n), 1, -1):
        if n % (s * s) == 0:
            return s, n // (s * s)
    return 1, n


surd = lru_cache(maxsize=None)(sqrt)


class ClosedFormulas:
    """The answers by formula, each number in the form p + q*sqrt(r)."""

    def roots(self, a: int, b: int, c: int) -> Answers:
        discriminant = b * b - 4 * a * c
        if discriminant < 0:
            return ()
        middle = Rational(-b, 2 * a)
        if discriminant == 0:
            return (middle,)
        s, r = square_split(discriminant)
        radical = Rational(s, 2 * a) * surd(r)
        return (middle - radical, middle + radical)

    def square_constant(self, b: Expr) -> Expr:
        return b * b / 4

    def completed(self, b: int, c: int) -> tuple[Expr, Expr]:
        return Rational(b, 2), Rational(4 * c - b * b, 4)

    def discriminant(self, a: int, b: int, c: int) -> Expr:
        return Integer(b * b - 4 * a * c)

    def are_different(self, first: Expr, second: Expr) -> bool:
        return bool(first != second)


def is_possible(family: str, values: Values) -> bool:
    """Whether the numbers can be wanted: each family's own test, on whole numbers alone."""
    match family:
        case "monic-even":
            h, square = values
            s, r = square_split(square)
            return h * h != square and s > 1 and r > 1
        case "monic-odd":
            return _is_irrational(1, *values)
        case "leading-coefficient":
            return _is_irrational(*values)
        case "rational-roots":
            s, t, u, v = values
            return t * u != s * v and s * v + t * u != 0
        case "missing-constant":
            return gcd(*values) == 1
        case "completed-square":
            b, c = values
            return 4 * c != b * b
        case "kind-of-roots":
            row, a, b, c = values
            return b != 0 and row == _row(b * b - 4 * a * c)
        case "simplify-surd":
            return square_split(values[1])[0] == 1
        case _:
            return True


def _is_irrational(a: int, b: int, c: int) -> bool:
    discriminant = b * b - 4 * a * c
    return discriminant > 0 and isqrt(discriminant) ** 2 != discriminant


def _row(discriminant: int) -> int:
    if discriminant <= 0:
        return 2 if discriminant == 0 else 3
    return 0 if isqrt(discriminant) ** 2 == discriminant else 1


@cache
def formula(expression: Basic) -> str:
    """Presentation MathML with the content annotation, and LaTeX as the alternative text."""
    shown = PRESENTATION._print(expression).toxml()
    for written, character in CHARACTERS:
        shown = shown.replace(written, character)
    return (
        f'<math xmlns="{MATHML}" alttext="{escape(LATEX.doprint(expression))}">'
        f"<semantics><mrow>{shown}</mrow>"
        f'<annotation-xml encoding="MathML-Content">{CONTENT._print(expression).toxml()}</annotation-xml>'
        "</semantics></math>"
    )


def text(*content: Shown) -> str:
    """Words and formulas as XML."""
    return "".join(escape(piece) if isinstance(piece, str) else formula(piece) for piece in content)


def outcomes(maximum: int) -> str:
    """The score, and which feedback is shown."""
    return (
        '<qti-outcome-declaration identifier="SCORE" cardinality="single" base-type="float"'
        f' normal-maximum="{maximum}"/>'
        '<qti-outcome-declaration identifier="FEEDBACK" cardinality="single" base-type="identifier"/>'
    )


OUTCOMES = {maximum: outcomes(maximum) for maximum in (1, 2)}


@cache
def results(score: int, shown: str) -> str:
    """Set the score and the feedback."""
    return (
        '<qti-set-outcome-value identifier="SCORE">'
        f'<qti-base-value base-type="float">{score}</qti-base-value></qti-set-outcome-value>'
        '<qti-set-outcome-value identifier="FEEDBACK">'
        f'<qti-base-value base-type="identifier">{shown}</qti-base-value></qti-set-outcome-value>'
    )


@cache
def choice_branch(at: int, score: int) -> str:
    """What happens when option `at` is chosen."""
    name = "qti-response-else-if" if at else "qti-response-if"
    return (
        f'<{name}><qti-match><qti-variable identifier="RESPONSE"/>'
        f'<qti-base-value base-type="identifier">C{at + 1}</qti-base-value></qti-match>'
        f"{results(score, f'F{at + 1}')}</{name}>"
    )


@cache
def feedback(identifier: str, sentence: str) -> str:
    """What the pupil reads afterwards."""
    return (
        f'<qti-modal-feedback outcome-identifier="FEEDBACK" identifier="{identifier}" show-hide="show">'
        f"<qti-content-body><p>{escape(sentence)}</p></qti-content-body></qti-modal-feedback>"
    )


OTHER = feedback("OTHER", "Not right: compare your steps with the worked solution.")
OTHERWISE = f"<qti-response-else>{results(0, 'OTHER')}</qti-response-else>"
HEAD = (
    "<?xml version='1.0' encoding='utf-8'?>\n"
    f'<qti-assessment-item xmlns="{QTI}" xmlns:xsi="{XSI}" xsi:schemaLocation="{QTI} {QTI_SCHEMA}"'
)


def render(draft: Draft, code: str, rng: Random) -> bytes:
    """The item as a QTI 3.0 document."""
    options = [draft.key, *draft.wrong]
    if draft.kind == "choice":
        rng.shuffle(options)
        middle, last = choice(draft, options), ""
    else:
        middle, last = entry(draft), OTHER
    sentences = "".join(feedback(f"F{at}", option.feedback) for at, option in enumerate(options, 1))
    return (
        f'{HEAD} identifier="{code}" title="{escape(draft.title)}" time-dependent="false" xml:lang="en">'
        f"{middle}{sentences}{last}</qti-assessment-item>"
    ).encode()


def choice(draft: Draft, options: list[Option]) -> str:
    """Declarations, body and processing of a choice; `options` in the order they are shown."""
    right = options.index(draft.key)
    shown = "".join(
        f'<qti-simple-choice identifier="C{at}">{text(option.shown)}</qti-simple-choice>'
        for at, option in enumerate(options, 1)
    )
    branches = "".join(choice_branch(at, 1 if at == right else 0) for at in range(len(options)))
    return (
        '<qti-response-declaration identifier="RESPONSE" cardinality="single" base-type="identifier">'
        f"<qti-correct-response><qti-value>C{right + 1}</qti-value></qti-correct-response>"
        f"</qti-response-declaration>{OUTCOMES[1]}<qti-item-body><p>{text(*draft.stem)}</p>"
        '<qti-choice-interaction response-identifier="RESPONSE" max-choices="1" shuffle="true">'
        f"{shown}</qti-choice-interaction>{rubric(draft, options)}</qti-item-body>"
        f"<qti-response-processing><qti-response-condition>{branches}"
        "</qti-response-condition></qti-response-processing>"
    )


def entry(draft: Draft) -> str:
    """Declarations, body and processing of an entry; the slips are recognised wrong entries."""
    declarations = "".join(
        f'<qti-response-declaration identifier="R_{blank}" cardinality="single" base-type="string">'
        f"<qti-correct-response><qti-value>{answer}</qti-value></qti-correct-response></qti-response-declaration>"
        for blank, answer in zip(draft.blanks, draft.key.answers, strict=True)
    )
    boxes = "".join(
        f'<p>{blank} = <qti-text-entry-interaction response-identifier="R_{blank}" expected-length="8"/></p>'
        for blank in draft.blanks
    )
    return (
        f"{declarations}{OUTCOMES[len(draft.blanks)]}<qti-item-body><p>{text(*draft.stem)}</p>{boxes}"
        f"{rubric(draft, [draft.key, *draft.wrong])}</qti-item-body><qti-response-processing><qti-response-condition>"
        f"{''.join(entry_branches(draft))}{OTHERWISE}</qti-response-condition></qti-response-processing>"
    )


def entry_branches(draft: Draft) -> Iterator[str]:
    """What happens when all boxes hold the key, or what a slip leads to."""
    for at, option in enumerate((draft.key, *draft.wrong)):
        name = "qti-response-else-if" if at else "qti-response-if"
        matches = "".join(
            f'<qti-string-match case-sensitive="false"><qti-variable identifier="R_{blank}"/>'
            f'<qti-base-value base-type="string">{answer}</qti-base-value></qti-string-match>'
            for blank, answer in zip(draft.blanks, option.answers, strict=True)
        )
        score = 0 if at else len(draft.blanks)
        yield f"<{name}><qti-and>{matches}</qti-and>{results(score, f'F{at + 1}')}</{name}>"


def rubric(draft: Draft, options: list[Option]) -> str:
    """Problem, key, worked solution, and what each feedback is told of and why, for staff."""
    lines = "".join(
        f"<li>{escape(line.say)} {formula(line.math)}{f' {line.mark}' if line.mark else ''}</li>"
        for line in draft.solution
    )
    told = "".join(
        f"<p>F{at}: {text(option.shown)}</p>{f'<p>{escape(option.note)}</p>' if option.note else ''}"
        for at, option in enumerate(options, 1)
    )
    return (
        '<qti-rubric-block view="tutor scorer" use="scoring"><qti-content-body>'
        f"<p>Problem: {text(draft.problem)}</p><p>Key: {text(draft.key.shown)}</p><ol>{lines}</ol>"
        f"{told}</qti-content-body></qti-rubric-block>"
    )


def warm() -> float:
    """Make one item of each family and forget it; the seconds it took."""
    start, rng = time.perf_counter(), Random(0)
    for draft, _ in drafts(len(FAMILIES), rng, ClosedFormulas(), is_possible):
        render(draft, "warm", rng)
    formula.cache_clear()
    return time.perf_counter() - start


def main() -> None:
    """Do the job and report it."""
    startup = time.process_time()
    options = options_of(__doc__)
    warm_seconds = warm()
    start = time.perf_counter()
    rng = Random(options.seed)
    produced = drafts(options.count, rng, ClosedFormulas(), is_possible)
    draws, size = write_package(options.out, produced, render, rng)
    seconds = time.perf_counter() - start
    report = {
        "items": options.count,
        "seconds": seconds,
        "startup_seconds": startup,
        "warm_seconds": warm_seconds,
        "draws": draws,
        "bytes": size,
    }
    json.dump(report, sys.stdout)
    print()


if __name__ == "__main__":
    main()
