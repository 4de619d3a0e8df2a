"""What the analysis makes of a platform's report is what the package's own rules make of the same responses.

Two roads that share nothing: the analysis knows keys and slips from `staff/items.json`; the scorer of these tests runs
the response processing of the exported item.
"""

from __future__ import annotations

import random
import re
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from itembank.analysis.keys import ANOTHER, RIGHT, Keys, Question
from itembank.analysis.response_files import read_build
from itembank.analysis.responses import Answer
from itembank.analysis.result_reports import read_report
from itembank.build import BuildRequest, build
from tests.analysis_samples import item_result, report_xml
from tests.cli.harness import DEMO
from tests.kinds_bank import BANK
from tests.qti_scorer import ScoredItem

Responses = dict[str, list[str]]


@pytest.fixture(scope="module", params=[DEMO, BANK], ids=["quadratics", "kinds"])
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bank as a package and as staff files."""
    out = tmp_path_factory.mktemp("built") / "out"
    build(BuildRequest(request.param, out, 24, formats=("json", "qti3")))
    return out


def scored_items(built: Path) -> dict[str, ScoredItem]:
    (package,) = (built / "platform").glob("*-qti3.zip")
    with zipfile.ZipFile(package) as archive:
        return {
            Path(name).stem: ScoredItem(archive.read(name))
            for name in archive.namelist()
            if re.fullmatch(r"items/[A-Z0-9]+\.xml", name)
        }


def tries(question: Question, scored: ScoredItem, draw: random.Random) -> Iterator[Responses]:
    """The key, and answers as pupils may give them."""
    key = scored.key()
    names = [offered.name for offered in question.offered]
    yield {name: list(texts) for name, texts in key.items()}
    for _ in range(6):
        match question.kind:
            case "choice":
                yield {"RESPONSE": [draw.choice(names)]}
            case "choices":
                yield {"RESPONSE": draw.sample(names, draw.randint(1, len(names)))}
            case "wrong-line":
                yield {"RESPONSE": [f"L{draw.choice(names)}"]}
            case "order":
                yield {"RESPONSE": draw.sample(key["RESPONSE"], len(key["RESPONSE"]))}
            case "match":
                rows = sorted({name.split()[0] for name in names})
                targets = sorted({name.split()[1] for name in names})
                yield {"RESPONSE": [f"R{row} {draw.choice(targets)}" for row in rows]}
            case "entry":
                boxes = [name for name in scored.responses if name.startswith("BOX")]
                slip = draw.choice([each.text for each in question.offered])
                numbers = re.findall(r"-?[0-9]+", slip)
                if numbers:  # a slip in words fills no box
                    yield {name: [number] for name, number in zip(boxes, numbers, strict=False)}


def told(question: Question, keys: Keys, responses: Responses) -> Answer:
    """What the analysis makes of a report that tells no marks."""
    data = report_xml("p", [item_result(question.code, responses)])
    record = read_report("r.xml", data, keys, "p")
    assert record is not None
    return record.answers[keys.by_column()[question.column]]


def test_marks_and_slips_are_those_of_the_package(built: Path) -> None:
    keys, _ = read_build(built)
    scored = scored_items(built)
    draw = random.Random(7)
    compared = recognised = 0
    for question in keys.questions:
        if question.kind == "written":
            continue
        for responses in tries(question, scored[question.code], draw):
            found = told(question, keys, responses)
            by_package = scored[question.code].answer(responses)
            causes = {name for name in by_package.feedback if re.fullmatch(r"F[1-9][0-9]*", name)}
            about = f"{question.code} {question.kind} {responses}"
            if question.kind != "entry":
                assert Fraction(by_package.score) == found.mark, about
            elif found.names == (RIGHT,):
                assert by_package.feedback & {"F0", "FU"}, about
            else:
                assert "F0" not in by_package.feedback, about
                assert (found.names != (ANOTHER,)) == bool(causes), about
                recognised += bool(causes)
            if question.kind == "choice":
                assert bool(found.slips) == bool(causes), about
            compared += 1

    assert len(keys.questions) == len(scored)
    assert compared >= 100
    assert recognised >= 4
