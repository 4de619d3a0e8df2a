"""The algebra library: clean in the program's eyes, right in those of FLINT and sympy, true to published examples."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from itembank.audit.verify import verify
from itembank.bank.review import review
from itembank.build import staff
from itembank.proof.prover import faults, prove
from itembank.writers import common_cartridge
from tests.banks.algebra_library import FOLDER, NAMES, ROOT, entries, item_at
from tests.banks.solving_afresh import answer, disagreements

ITEMS_OF_EACH = 30
WORKED = yaml.safe_load((Path(__file__).parent / "worked-examples.yaml").read_text("utf-8"))


def test_the_library_has_the_strands_and_kinds_it_promises() -> None:
    templates = [entry.recipe.template for entry in entries().values()]
    strands = Counter(path.parent.name for path in (FOLDER / "templates").rglob("*.yaml"))
    catalogue = yaml.safe_load((FOLDER / "slips.yaml").read_text("utf-8"))["slips"]

    assert len(templates) >= 100
    assert set(WORKED) == set(strands)
    assert {template.about.demand for template in templates} == {"know", "use", "reason"}
    assert {template.about.calculator for template in templates} == {"no", "yes", "either"}
    kinds = {part.response.kind for template in templates for part in template.parts}
    assert min(Counter(part.response.kind for template in templates for part in template.parts).values()) >= 2
    assert kinds == {"choice", "choices", "entry", "order", "match", "wrong-line", "written"}
    assert len(catalogue) >= 45
    assert all(entry["source"] for entry in catalogue)


@pytest.mark.parametrize("name", NAMES)
def test_a_template_is_clean_and_makes_items_enough(name: str) -> None:
    found = review(entries()[name])
    template = found.template

    assert [] == [f"{d.code}: {d.message}" for d in found.diagnostics]
    assert found.count.feasible >= 200
    assert all(len(part.slips) >= 3 for part in template.parts if part.response.kind != "order")
    assert template.bands
    assert all(part.solution for part in template.parts)
    assert template.about.curriculum
    assert template.about.minutes


def test_every_slip_of_the_catalogue_that_is_used_has_sentences_of_its_own() -> None:
    for entry in entries().values():
        for part in entry.recipe.template.parts:
            for slip in part.slips:
                assert slip.pupil is not None, f"{entry.recipe.template.name}: {slip.name}"
                assert slip.teacher is not None, f"{entry.recipe.template.name}: {slip.name}"


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library built with a second proof of every item; the bank is a copy, so that no lock file is left."""
    folder = tmp_path_factory.mktemp("algebra")
    bank = folder / "bank"
    for path in FOLDER.rglob("*.yaml"):
        copy = bank / path.relative_to(FOLDER)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(path.read_bytes())
    count = str(ITEMS_OF_EACH * len(NAMES))
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "ITEMBANK_CACHE": str(folder / "cache")}
    command = [sys.executable, "-m", "itembank", "build", str(bank), "--out", str(folder / "out")]
    subprocess.run(
        [*command, "--count", count, "--proof", "full"], env=environment, check=True, capture_output=True
    )
    return folder / "out"


def test_the_package_is_proved_again_from_the_file_alone(exported: Path) -> None:
    packages = [str(path) for path in (exported / "platform").glob("*.zip")]
    command = [sys.executable, "-m", "itembank", "verify", *packages]

    done = subprocess.run(
        command, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )

    assert packages
    assert "none at fault" in done.stdout
    assert done.returncode == 0


def test_solving_afresh_agrees_with_every_exported_item(exported: Path) -> None:
    records = json.loads((exported / "staff" / "items.json").read_text("utf-8"))["items"]

    told = [f"{r['address']['template']} {r['values']}: {d}" for r in records for d in disagreements(r)]

    assert len(records) == ITEMS_OF_EACH * len(NAMES)
    assert {record["address"]["template"] for record in records} == set(NAMES)
    assert [] == told


@pytest.mark.parametrize("strand", sorted(WORKED))
def test_a_strand_reproduces_worked_examples(strand: str) -> None:
    examples: list[dict[str, Any]] = WORKED[strand]
    assert len(examples) >= 3
    for example in examples:
        item = item_at(example["template"], example["values"])
        record = json.loads(staff.record(item, ()))["parts"][0]

        assert example["source"]
        assert faults(prove(item)) == ()
        assert answer(record, example["key"]) == answer(record, record["key"]["plain"]), example
        if "asked" in example:
            assert answer(record, example["key"]) == answer(record, example["asked"]), example
        if "right" in example:
            assert [example["right"]] == [o["plain"] for o in record["options"] if o["right"]]


def test_a_slip_that_rounds_to_the_key_at_fewer_places_is_no_right_answer(tmp_path: Path) -> None:
    """The key is 2.37 and the slip comes to 2: in a cartridge, `2` is listed for the slip alone."""
    item = item_at("time-of-flight", {"u": "11", "h": "2"})
    collection = common_cartridge.Collection("bank-1", "Evening algebra", is_bank=True)
    questions = list(common_cartridge.written(item).items)
    assert 'RESPONSE">2</varequal>' in questions[0]

    document = tmp_path / "bank.xml"
    document.write_text(common_cartridge.question_bank(collection, questions), "utf-8")

    assert verify(document).findings == ()
    spoiled = document.read_text("utf-8").replace('RESPONSE">2.37</varequal>', 'RESPONSE">2.4</varequal>')
    document.write_text(spoiled.replace('RESPONSE">+2.37</varequal>', 'RESPONSE">+2.38</varequal>'), "utf-8")
    assert verify(document).findings
