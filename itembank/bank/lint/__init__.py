"""The lint: published guidelines of item writing, looked for in a template and a sample of its items.

Each rule is a file with its name, its source and what it looks for. All it says is doubtful, never wrong. A template
silences a rule by its name with a reason (`lint: {long-stem: the story is what is practised}`); a rule that is
silenced and has nothing to say, or is unknown, is told as well.

Rules that the program fulfils by construction have no file: one right option, options unlike each other, each from a
named slip (guidelines 19, 22, 29, 30), their order by a hash or ascending (21), one line for each option (10).
Rules across the templates of a bank stand in `across.py`.
"""

from __future__ import annotations

from collections.abc import Sequence

from itembank.bank.lint import (
    absolute_words,
    bands_in_order,
    beyond_platforms,
    context,
    decimal_lines,
    domain_told,
    dominant_value,
    doubled_word,
    earlier_answer,
    equation_asked,
    form_of_options,
    giveaway,
    grammar_clue,
    kept_options,
    key_length,
    key_place,
    letters_named,
    money,
    negative_stem,
    number_first,
    number_of_options,
    odd_key,
    of_the_above,
    one_answer,
    option_ends,
    option_within,
    option_words,
    question,
    reading_load,
    repeated_line,
    said_otherwise,
    signs_of_keys,
    slip_fits_no_box,
    solution_or_none,
    steps,
    surd_form,
    ugly_numbers,
    units,
)
from itembank.bank.lint.across import ACROSS, Asked, across, asked
from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.errors import Diagnostic, Level
from itembank.expressions.vocabulary import nearest
from itembank.generator.instantiate import STEM_DIFFERS
from itembank.items import Item
from itembank.templates.template import Template

__all__ = ["ACROSS", "RULES", "Asked", "Remark", "Rule", "Sample", "across", "asked", "lint"]

_ALL = (
    absolute_words, dominant_value, doubled_word, form_of_options, giveaway, key_length, negative_stem,
    number_of_options, odd_key, of_the_above, one_answer, option_ends, option_words, question, reading_load, steps,
    surd_form, ugly_numbers, bands_in_order, context, grammar_clue, key_place, option_within,
    signs_of_keys, slip_fits_no_box, solution_or_none, units, repeated_line, money, number_first,
    kept_options, beyond_platforms, earlier_answer, decimal_lines, letters_named, said_otherwise,
    equation_asked, domain_told,
)  # fmt: skip
RULES: dict[str, Rule] = {module.RULE.name: module.RULE for module in _ALL}
"""Every rule by name."""

BESIDES = (STEM_DIFFERS, "figure-shows-answer")
"""What is told elsewhere, and silenced in the same way."""


def lint(template: Template, items: Sequence[Item]) -> list[Diagnostic]:
    """What the rules say of a template and some of its items, the silenced ones left out."""
    sample = Sample(template, tuple(items))
    silenced = {name: span for name, _, span in template.silenced}
    found: list[Diagnostic] = []
    for name, rule in RULES.items():
        remarks = list(rule.look(sample)) if sample.items else []
        if name in silenced:
            if not remarks and sample.items:
                found.append(_doubt(template, "silenced-for-nothing", Remark(
                    silenced[name], f"`{name}` has nothing to say here", "take the line out",
                )))  # fmt: skip
            continue
        found += [_doubt(template, name, remark) for remark in remarks]
    for name, span in silenced.items():
        if name not in RULES and name not in ACROSS and name not in BESIDES:
            near = nearest(name, [*RULES, *ACROSS, *BESIDES])
            found.append(_doubt(template, "unknown-rule", Remark(
                span, f"`{name}` is no rule of item writing", f"nearest known rule: {near}" if near else "take it out",
            )))  # fmt: skip
    return found


def _doubt(template: Template, code: str, remark: Remark) -> Diagnostic:
    return Diagnostic(
        code, remark.message, remark.span, Level.DOUBTFUL, template.excerpt(remark.span), remark.hint
    )
