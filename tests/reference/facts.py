"""Published facts these tests compare with: compact copies, and how the copies are made.

A folder `shared` beside the checkout, where there is one, holds the facts with everything that was noted about
them. `python -m tests.reference.facts` writes the copies anew from it; a test compares the two. Nothing in a copy
comes from the program under test.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

HERE = Path(__file__).resolve().parent
SHARED = HERE.parents[2] / "shared" / "reference"

Entry = Mapping[str, Any]

HEADS = {
    "quadratics": "Worked quadratics of open textbooks and historical texts",
    "surds": "Surds of open textbooks, and nested roots",
    "mal-rules": "Wrong methods with a worked wrong answer each, and how often they hit the key",
    "assembly": "Integer programmes with a known optimum, for choosing test forms",
}
SHARED_NAMES = {
    "quadratics": "quadratics.yaml",
    "surds": "surds.yaml",
    "mal-rules": "item-writing.yaml",
    "assembly": "assembly.yaml",
}


def copy_of(name: str) -> dict[str, Any]:
    """The copy in this folder."""
    read: dict[str, Any] = yaml.safe_load((HERE / f"{name}.yaml").read_text("utf-8"))
    return read


def original_of(name: str) -> dict[str, Any]:
    """The same facts, made compact from the shared folder. Skips the test where there is no such folder."""
    path = SHARED / SHARED_NAMES[name]
    if not path.is_file():
        pytest.skip("no folder `shared` beside the checkout")
    return COMPACT[name](yaml.safe_load(path.read_text("utf-8")))


def cases(entries: list[Entry]) -> list[Any]:
    """One test case for each entry, named by its id and its source."""
    return [pytest.param(entry, id=f"{entry['id']} {entry['source'][:44]}") for entry in entries]


# ---- from the shared files to the compact copies ----------------------------------------------------------


def _named(entry: Entry, **facts: Any) -> dict[str, Any]:
    kept = {key: value for key, value in facts.items() if value is not None}
    return {"id": entry["id"], "source": entry["source"], "provenance": entry["provenance"], **kept}


def _sources(whole: Entry, used: list[Entry]) -> dict[str, Any]:
    codes = {entry["source"] for entry in used}
    return {code: source for code, source in whole["sources"].items() if code in codes}


def _solved(entry: Entry) -> dict[str, Any]:
    published, derived = entry["published"], entry["derived"]
    return _named(
        entry,
        variable=entry["variable"],
        equation=entry["equation"],
        solutions=published["solutions"],
        other_roots=entry.get("other_roots_computed"),
        square_form=published.get("square_form"),
        standard=derived["standard_form"],
        discriminant=derived["discriminant"],
        square_part_root=derived.get("discriminant_square_part_root"),
        squarefree_part=derived.get("discriminant_squarefree_part"),
        nature=derived["root_nature"],
        h=derived["square_form"]["h"],
        q=derived["square_form"]["q"],
        tags=derived["tags"],
    )


def _completed(entry: Entry) -> dict[str, Any]:
    return _named(
        entry,
        variable=entry["variable"],
        expression=entry["expression"],
        binomial_square=entry["published"]["binomial_square"],
        published_constant=entry["published"].get("constant_to_add"),
        constant=entry["derived"]["constant_to_add"],
    )


def _vertex(entry: Entry) -> dict[str, Any]:
    facts = {"variable": entry["variable"], "expression": entry["expression"], **entry["published"]}
    derived = entry["derived"]
    return _named(entry, **facts, extremum=derived["extremum"], discriminant=derived["discriminant"])


def _discriminant(entry: Entry) -> dict[str, Any]:
    published, derived = entry["published"], entry["derived"]
    return _named(
        entry,
        variable=entry["variable"],
        expression=entry["expression"],
        nature=published["nature"],
        published_discriminant=published.get("discriminant"),
        discriminant=derived["discriminant"],
        finer_nature=derived["nature"],
    )


def _quadratics(whole: dict[str, Any]) -> dict[str, Any]:
    entries = whole["entries"]
    found: dict[str, Any] = {"sources": whole["sources"]}
    made: dict[str, Callable[[Entry], dict[str, Any]]] = {
        "solve": _solved,
        "solve_historical": _solved,
        "complete_trinomial": _completed,
        "vertex_form": _vertex,
        "discriminant": _discriminant,
    }
    for kind, compact in made.items():
        found[kind] = [compact(entry) for entry in entries if entry["kind"] == kind]
    found["errata"] = [
        {key: item[key] for key in ("id", "source", "where", "printed", "correct")}
        for item in whole["published_errata"]["items"]
    ]
    provenance = whole["generator_domain_counts"]["provenance"]
    found["domain_counts"] = [
        {"source": provenance, **case} for case in whole["generator_domain_counts"]["cases"]
    ]
    assert len(entries) == sum(len(found[kind]) for kind in made), "a kind of entry is not copied"
    return found


def _surds(whole: dict[str, Any]) -> dict[str, Any]:
    entries = whole["entries"]
    found: dict[str, Any] = {"sources": _sources(whole, entries)}
    found["simplify_sqrt"] = [
        _named(e, n=e["n"], **e["expected"]) for e in entries if e["kind"] == "simplify_sqrt"
    ]
    for kind in ("simplify_expression", "rationalise", "nested"):
        found[kind] = [
            _named(e, expression=e["expression"], expected=e["expected"])
            for e in entries
            if e["kind"] == kind
        ]
    assert len(entries) == sum(len(found[kind]) for kind in found if kind != "sources")
    return found


def _mal_rules(whole: dict[str, Any]) -> dict[str, Any]:
    rules = [rule for rule in whole["mal_rules"] if rule["id"].startswith(("cts-", "qf-"))]
    grids = whole["mal_rule_grids"]
    return {
        "rules": [
            _named(rule, formula=rule["formula"], **rule["example"], **rule.get("collision_check", {}))
            for rule in rules
        ],
        "grids": {name: grids[name] for name in ("monic", "non_monic", "provenance")},
        "same_answer_pairs": {
            grid: [[*pair["rules"], pair["same_answer"]] for pair in pairs]
            for grid, pairs in grids["same_answer_pairs"].items()
        },
    }


def _assembly(whole: dict[str, Any]) -> dict[str, Any]:
    groups = ("multidimensional_knapsack", "knapsack", "constructed")
    kept = (
        "id",
        "optimum",
        "p",
        "A",
        "b",
        "capacity",
        "weights",
        "profits",
        "statement",
        "optimal_forms",
        "feasible_forms",
    )
    found: dict[str, Any] = {
        "sources": {name: whole[name].get("source", whole[name]["provenance"]) for name in groups},
        "pool": [dict(item) for item in whole["constructed"]["pool"]],
    }
    for name in groups:
        source = found["sources"][name]
        found[name] = [
            {"source": source, **{key: problem[key] for key in kept if key in problem}}
            for problem in whole[name]["problems"]
        ]
        assert len(found[name]) == whole["counts"][name]
    return found


COMPACT: Mapping[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "quadratics": _quadratics,
    "surds": _surds,
    "mal-rules": _mal_rules,
    "assembly": _assembly,
}


def _written(name: str) -> str:
    """The text of a copy: one line for each entry, its source in it."""
    facts = COMPACT[name](yaml.safe_load((SHARED / SHARED_NAMES[name]).read_text("utf-8")))
    lines = [
        f"# Copied by tests/reference/facts.py from {SHARED_NAMES[name]} of the reference folder beside the checkout.",
        f"# {HEADS[name]}: facts only, the source beside each.",
        "# Books of OpenStax: read at their last CC BY 4.0 revision, which is named; no sentence is taken from them.",
    ]
    for group, held in facts.items():
        lines.append(f"{group}:")
        if isinstance(held, dict):
            lines += [f"  {key}: {_line(value)}" for key, value in held.items()]
        else:
            lines += [f"  - {_line(entry)}" for entry in held]
    return "\n".join(lines) + "\n"


def _line(value: Any) -> str:
    text = yaml.safe_dump(value, default_flow_style=True, sort_keys=False, width=10_000, allow_unicode=True)
    return text.removesuffix("\n").removesuffix("...").strip()


if __name__ == "__main__":
    for each in HEADS:
        (HERE / f"{each}.yaml").write_text(_written(each), "utf-8")
