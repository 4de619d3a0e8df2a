"""Everything that is told of a set of results, put together once."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from itembank.analysis.distractors import (
    QuestionChoices,
    SlipFigures,
    question_choices,
    slip_figures,
    thirds,
)
from itembank.analysis.exact import CannotTell, mean
from itembank.analysis.findings import Evidence, Finding, find, keys_in_doubt
from itembank.analysis.group_differences import Difference, GroupFigures, Groups, differences, group_figures
from itembank.analysis.item_statistics import ItemFigures, item_figures
from itembank.analysis.predictions import Predicted, compare
from itembank.analysis.reliability import WholeFigures, whole_figures
from itembank.analysis.responses import Results

__all__ = ["Analysis", "TemplateFigures", "analyse"]


@dataclass(frozen=True, slots=True)
class TemplateFigures:
    """All items of one template together. facility: the mean of those of its questions."""

    template: str
    items: int
    taken: int
    facility: Fraction | CannotTell


@dataclass(frozen=True, slots=True)
class Analysis:
    """questions: of each question; items: of items with several questions, whole; the rest as named.

    doubted: the questions whose key is in doubt, at which no slip counts.
    """

    results: Results
    whole: WholeFigures
    questions: tuple[ItemFigures, ...]
    items: tuple[ItemFigures, ...]
    templates: tuple[TemplateFigures, ...]
    choices: tuple[QuestionChoices, ...]
    slips: tuple[SlipFigures, ...]
    predicted: Predicted
    findings: tuple[Finding, ...]
    groups: tuple[GroupFigures, ...] = ()
    differences: tuple[Difference, ...] = ()
    doubted: tuple[str, ...] = ()


def analyse(results: Results, groups: Groups | None = None) -> Analysis:
    """All figures and findings. groups: of pupils, to be held against each other."""
    whole = whole_figures(results)
    questions = tuple(
        item_figures(results, (place,), question.column) for place, question in enumerate(results.questions)
    )
    several = {code: places for code, places in results.items.items() if len(places) > 1}
    items = tuple(item_figures(results, places, code) for code, places in several.items())
    by_thirds = thirds(results)
    made = (question_choices(results, place, by_thirds) for place in range(len(results.questions)))
    choices = tuple(each for each in made if each is not None)
    doubted = keys_in_doubt(choices)
    slips = slip_figures(results, without=doubted)
    evidence = Evidence(results, whole, questions, {each.name: each for each in choices}, slips)
    return Analysis(
        results, whole, questions, items, _templates(results, questions), choices, slips, compare(questions),
        find(evidence),
        group_figures(results, groups) if groups else (),
        differences(results, groups) if groups else (),
        tuple(each.name for each in choices if each.name in doubted),
    )  # fmt: skip


def _templates(results: Results, questions: tuple[ItemFigures, ...]) -> tuple[TemplateFigures, ...]:
    by_template: dict[str, list[int]] = {}
    for place, question in enumerate(results.questions):
        by_template.setdefault(question.template, []).append(place)
    found = []
    for name, places in by_template.items():
        figures = [questions[place] for place in places]
        known = [each.facility for each in figures if isinstance(each.facility, Fraction)]
        codes = {results.questions[place].code for place in places}
        facility = mean(known) if known else CannotTell("nobody took any")
        found.append(TemplateFigures(name, len(codes), sum(each.taken for each in figures), facility))
    return tuple(found)
