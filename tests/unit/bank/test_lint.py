"""Each rule of item writing: a template it speaks of, and the sound one that was made from, where it is silent."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.bank.bank import Entry
from itembank.bank.lint import RULES
from itembank.bank.review import review
from itembank.errors import Diagnostic
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import load_template

ROOTS = """template: sample
version: 1
title: Solve
unknowns: [x]
parameters:
  h: {from: -9, to: 9, leaving_out: [0]}
  k: {from: 2, to: 12}
constraints:
  - h^2 != k
guarantees: [simplest_surd(k)]
problem: (x - h)^2 = k
stem: Solve $problem$. Give your answer in simplest surd form.
response: {kind: choice, options: 3}
key: x = h ± sqrt(k)
slips:
  - {slip: turned, value: x = -h ± sqrt(k)}
  - {slip: doubled, value: x = 2*h ± sqrt(k)}
solution:
  - say: Take square roots.
    math: x = h ± sqrt(k)
    marks: A1
"""
WORDS = """template: sample
version: 1
title: Roots
unknowns: [D]
letters: [x]
parameters:
  b: {from: -8, to: 8, step: 2, leaving_out: [0]}
  c: [-3, 1, 2, 4, 9, 16]
problem: D = discriminant(x^2 + b*x + c)
stem: How many real roots has $x^2 + b*x + c = 0$?
response:
  kind: choice
  words:
    - {text: two roots, when: D > 0}
    - {text: one root, when: D = 0}
    - {text: no root, when: D < 0}
key: D = b^2 - 4*c
slips:
  - {slip: added, value: D = b^2 + 4*c}
"""
BOXES = """template: sample
version: 1
title: Add
unknowns: {x: x > 0}
parameters:
  p: {from: 1, to: 20}
  q: {from: 1, to: 20}
problem: x - p = q
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer, marks: 2}}}
key: x = p + q
solution:
  - say: Add to both sides.
    math: x = keep(q + p)
    marks: 1
  - math: x = p + q
    marks: 1
"""
STEPLESS = """response: {kind: entry, blanks: {x: {form: integer, marks: 4}}}
key: x = p + q
solution:
  - math: x = p + q
    marks: 4
"""
LONG = "It was found in an old book of the college and has been set again and again " * 5

BANDS = BOXES.replace(
    "problem: x - p", "bands:\n  easier: [p <= 10 and q <= 10]\n  harder: [p > 10]\nproblem: x - p"
)
STORY = BOXES.replace(
    "stem: Solve $problem$.",
    "stem: |\n  From a bag of coloured stones somebody takes $p$ of them, and then $q$ of them are still in the bag. "
    "How many stones were in the bag before?",
)
ASCENDING = (
    BOXES.replace(
        "response: {kind: entry, blanks: {x: {form: integer, marks: 2}}}",
        "response: {kind: choice, options: 3}",
    )
    .replace(
        "solution:",
        """slips:
  - {slip: taken-away, value: x = p - q}
  - {slip: doubled, value: x = 2*p}
solution:""",
    )
    .replace("marks: 1\n  - math", "marks: M1\n  - math")
    .replace("marks: 1", "marks: A1")
)
PAIR = """template: sample
version: 1
title: Two numbers
unknowns: [p, q]
parameters:
  m: {from: -9, to: 9}
  n: {from: 1, to: 8}
derived: {s: 2*m, d: 2*n}
problem: p + q = s and p - q = d
stem: The sum of $p$ and $q$ is $s$ and $p$ is larger by $d$. Find $p$ and $q$.
response: {kind: entry, marks: 2, blanks: {p: {form: integer}, q: {form: integer}}}
key: p = m + n and q = m - n
solution:
  - {math: 2*p = s + d and p + q = s, marks: M1}
  - {math: p = m + n and q = m - n, marks: A1}
"""
INTEGERS = """template: sample
version: 1
title: List integers
unknowns: {n: integer}
parameters:
  a: {from: -4, to: 0}
  b: {from: 2, to: 5}
  c: {from: 1, to: 9}
derived: {s: 2*a + c, t: 2*b + c}
problem: s < 2*n + c <= t
stem: List all integers $n$ for which $problem$.
response: {kind: choice, options: 3}
key: a < n <= b
slips:
  - {slip: left-end, value: a <= n <= b}
  - {slip: right-end, value: a < n < b}
solution:
  - {math: a < n <= b, marks: A1}
"""
ROWS = """template: sample
version: 1
title: Match
parameters: {a: {from: 2, to: 5}}
problem: keep(a^(-2))
stem: Match each power with its value.
response:
  kind: match
  options: 4
  rows:
    - {problem: keep(a^2), key: a^2}
key: 1/a^2
slips:
  - {slip: turned, value: -2*a}
  - {slip: doubled, value: 2*a}
"""
PARTS = """template: sample
version: 1
title: Take apart, then solve
letters: [x]
parameters:
  p: {from: -6, to: 6, leaving_out: [0]}
  q: {from: -14, to: 14, leaving_out: [0]}
constraints: [abs(p) < abs(q)]
parts:
  - unknowns: [s]
    problem: p + q = s
    stem: What is $s$, where $p + x + q = s + x$ for every $x$?
    response: {kind: entry, blanks: {s: {form: integer}}}
    key: s = p + q
  - problem: x^2 + (p + q)*x + p*q
    stem: Factorise $x^2 + s*x + value(p*q)$.
    response: {kind: entry, blanks: {answer: {form: brackets}}}
    key: (x + p)*(x + q)
  - unknowns: [y]
    problem: (y + p)*(y + q) = 0
    stem: Where does your product become 0? Write $y$ for $x$, and give every such $y$.
    response: {kind: entry, blanks: {y: {form: integer}}}
    key: y = -p or y = -q
"""
DECIMALS = """template: sample
version: 1
title: Grow
unknowns: [x]
parameters:
  w: {from: 55, to: 95, step: 10}
  r: [2, 4, 6]
problem: x = w*(1 + r/100)
stem: A dough of $w$ kg grows by $r$ %. How heavy is it then?
response: {kind: entry, blanks: {x: {form: decimal, places: 2, unit: kg, marks: 2}}}
key: x = w*(1 + r/100)
solution:
  - math: x = keep(w + w*r/100)
    marks: 1
  - math: x = round(w + w*r/100, 2)
    marks: 1
"""
FIRES: dict[str, tuple[str, str, str]] = {
    "absolute-words": (WORDS, "text: two roots", "text: always two roots"),
    "bands-out-of-order": (BANDS, "easier: [p <= 10 and q <= 10]\n  harder: [p > 10]",
                           "easier: [p > 13 and q > 13]\n  harder: [p < 13 and q < 13]"),
    "context-gives-key": (STORY, "are still in the bag", "of the $value(p + q)$ are still in the bag"),
    "doubled-word": (ROOTS, "say: Take square roots.", "say: Take the the square roots."),
    "earlier-answer-shown": (PARTS, "x^2 + s*x", "x^2 + value(p + q)*x"),
    "fraction-for-decimal": (DECIMALS, "round(w + w*r/100, 2)", "w + w*r/100"),
    "form-not-asked": (ROOTS, " Give your answer in simplest surd form.", ""),
    "grammar-clue": (
        WORDS,
        "stem: How many real roots has $x^2 + b*x + c = 0$?",
        "stem: Count the real roots of $x^2 + b*x + c = 0$. There are",
    ),
    "key-is-odd-one-out": (ROOTS, "h ± sqrt(k)}", "h or x = k + 99}"),
    "domain-not-told": (BOXES, "problem: x - p = q", "problem: (x - p - q)*(x + 1) = 0"),
    "equation-asked-for": (ROOTS, "Solve $problem$.", "Which equation is $problem$?"),
    "keep-not-shown": (ASCENDING, "x = p - q", "x = keep(p - q)"),
    "key-place-dominates": (ASCENDING, "2*p", "p + q - 1"),
    "key-of-other-length": (WORDS, "text: two roots", "text: two roots that are real numbers and unlike each other"),
    "key-sign-dominates": (BOXES, "unknowns: {x: x > 0}", "unknowns: [x]"),
    "long-stem": (ROOTS, "Solve $problem$.", f"{LONG}Solve $problem$."),
    "marks-without-steps": (BOXES, BOXES[BOXES.index("response"):], STEPLESS),
    "money-not-in-pence": (BOXES, "Solve $problem$.", "A pen costs £$(p + q)/10$. Solve $problem$."),
    "negative-stem": (ROOTS, "Give your answer", "Do not use decimals. Give your answer"),
    "no-solution-dominates": (BOXES, "entry, blanks", "entry, no_real_solution: tick, blanks"),
    "number-behind-letter": (BOXES, "  - math: x = p + q", "  - math: x*p = p*(p + q)\n  - math: x = p + q"),
    "number-beyond-platforms": (BOXES, "from: 1, to: 20}\n  q", "from: 2147483000, to: 2147483640, step: 8}\n  q"),
    "number-of-options": (ROOTS, "options: 3", "options: 2"),
    "numbers-too-ugly": (BOXES, "to: 20}", "to: 5000, step: 77}"),
    "of-the-above": (WORDS, "text: no root", "text: none of the above"),
    "one-answer-dominates": (WORDS, "[-3, 1, 2, 4, 9, 16]", "[-3, -1, -2, -4, -9, -16]"),
    "option-of-other-form": (ROOTS, "value: x = -h ± sqrt(k)", "value: x = h + sqrt(k)"),
    "option-within-another": (WORDS, "text: two roots", "text: one root and one root more"),
    "options-begin-alike": (WORDS, "{text: ", "{text: the equation has just "),
    "options-end-unlike": (WORDS, "text: two roots", "text: two roots."),
    "repeated-line": (BOXES, "x = keep(q + p)", "x = q + p"),
    "said-otherwise": (ROOTS, "Take square roots.", "Take square roots of $(x + h)^2 = k$."),
    "slip-fits-no-box": (BOXES, "solution:", "slips: [{slip: halved, value: x = p + q + 1/2}]\nsolution:"),
    "stem-asks-nothing": (ROOTS, "Solve $problem$. Give your answer in", "Here is $problem$ in"),
    "stem-gives-key": (BOXES, "Solve $problem$.", "Solve $problem$. Then check that $x = p + q$ holds."),
    "letter-not-named": (PAIR, "of $p$ and $q$ is $s$ and $p$ is larger by $d$. Find $p$ and $q$.",
                         "of two numbers is $s$, and they differ by $d$. Find both."),
    "unit-missing": (BOXES, "Solve $problem$.", "A board of $q$ cm is left of one of which $p$ cm were cut off. "
                     "Find the length $x$ of the board."),
    "value-dominates": (BOXES, "to: 20}\n  q: {from: 1, to: 20}\n",
                        "to: 60}\n  q: {from: 1, to: 20}\nconstraints: [q = 20 or p + q < 6]\n"),
}  # fmt: skip


def codes(tmp_path: Path, text: str) -> set[str]:
    """The rules that have something to say of a template."""
    return {d.code for d in found(tmp_path, text)} & {*RULES, "silenced-for-nothing", "unknown-rule"}


def found(tmp_path: Path, text: str) -> list[Diagnostic]:
    """All that is doubtful about a template with which nothing is wrong."""
    path = tmp_path / "sample.yaml"
    path.write_text(text, "utf-8")
    template = load_template(path, "sample.yaml", {}).template
    told = review(Entry(make_recipe(template), "", "sample.yaml")).diagnostics
    assert [d for d in told if d.level.name == "WRONG"] == []
    return list(told)


def changed(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new)


@pytest.mark.parametrize(
    "text",
    [
        ROOTS,
        WORDS,
        BOXES,
        BANDS,
        STORY,
        ASCENDING,
        PARTS,
        DECIMALS,
        PAIR,
        INTEGERS,
        BOXES.replace(
            "Solve $problem$.",
            "A board of $q$ cm is left of one of which $p$ cm were cut off. "
            "Find the length $x$ of the board in centimetres.",
        ),
        BOXES.replace("Solve $problem$.", "A second number is added to the first one. Solve $problem$."),
    ],
    ids=[
        "roots",
        "words",
        "boxes",
        "bands",
        "story",
        "ascending",
        "parts",
        "decimals",
        "pair",
        "integers",
        "units",
        "second is no unit",
    ],
)
def test_no_rule_has_anything_to_say_of_a_sound_template(text: str, tmp_path: Path) -> None:
    assert codes(tmp_path, text) == set()


@pytest.mark.parametrize("name", sorted(RULES))
def test_a_rule_tells_what_it_is_for(name: str, tmp_path: Path) -> None:
    text, old, new = FIRES[name]

    assert name in codes(tmp_path, changed(text, old, new))


@pytest.mark.parametrize(
    "said",
    [
        "$(x - h)^2 = k$",  # the problem
        "$(x - h)^2$",  # a piece of it
        "$x - h = ± sqrt(k)$",  # like nothing that is shown
        "$(h, k)$",  # any point would be like any other
        "$x^2 + 5*x + 6 = 0$",  # built otherwise
    ],
)
def test_a_sentence_may_say_what_the_item_shows_and_what_is_like_nothing_in_it(
    said: str, tmp_path: Path
) -> None:
    assert set() == codes(tmp_path, changed(ROOTS, "Take square roots.", f"Take square roots of {said}."))


def test_a_sentence_that_says_otherwise_is_told_at_its_formula_and_silenced_with_a_reason(
    tmp_path: Path,
) -> None:
    text = changed(ROOTS, "Take square roots.", "Take square roots of $(x - h)^2 = k + 1$.")
    reason = "lint: {said-otherwise: another equation is meant}\n"

    (told,) = [each for each in found(tmp_path, text) if each.code == "said-otherwise"]

    assert told.span is not None
    assert "$(x - h)^2 = k + 1$" in text.splitlines()[told.span.line - 1][told.span.column - 2 :]
    assert set() == codes(tmp_path, text + reason)


def test_a_line_that_looks_like_the_next_in_some_items_is_told_with_one_of_them(tmp_path: Path) -> None:
    """2x = 6 and then x = 3, but 1x = 3 and then x = 3; not where the line stands only where something is divided."""
    factor = BOXES.replace("parameters:\n", "parameters:\n  k: [1, 2, 3]\n")
    factor = changed(factor, "x - p = q", "k*x - value(k*p) = value(k*q)")
    factor = changed(factor, "math: x = keep(q + p)\n    marks: 1", "math: k*x = value(k*(p + q))")
    factor = changed(factor, "marks: 1", "marks: 2")

    assert "repeated-line" in codes(tmp_path, factor)
    assert "repeated-line" not in codes(tmp_path, factor.replace("k: [1,", "k: [4,"))
    assert "repeated-line" not in codes(
        tmp_path, factor.replace("value(k*(p + q))", "value(k*(p + q))\n    when: k > 1")
    )


def test_every_rule_has_a_name_a_source_and_a_template_that_fires_it() -> None:
    assert len(RULES) >= 27
    assert set(FIRES) == set(RULES)
    assert all(rule.source and rule.name == name for name, rule in RULES.items())


def test_a_rule_is_silenced_with_a_reason(tmp_path: Path) -> None:
    text = changed(*FIRES["negative-stem"])

    assert codes(tmp_path, text + "lint: {negative-stem: decimals are what pupils reach for}\n") == set()


@pytest.mark.parametrize(
    ("stem", "told"),
    [
        ("Ana says that $problem$ has one root. She is wrong. Solve $problem$.", False),
        ("Ana says that $problem$ has one root. Explain why she is wrong, and solve $problem$.", False),
        ("Show that they are wrong. Solve $problem$.", False),
        ("The statement in the margin is false. Solve $problem$.", False),
        ("Which of these is wrong for $problem$?", True),
        ("Choose the statement about $problem$ that is false.", True),
        ("Solve $problem$. Which is NOT a root?", True),
        ("Which is **NOT** a root of $problem$?", False),
        ("The roots of $problem$ are not whole numbers. Solve it.", True),
    ],
)
def test_a_stem_is_negative_where_it_asks_for_what_is_not_so(tmp_path: Path, stem: str, told: bool) -> None:
    text = changed(
        ROOTS, "stem: Solve $problem$. Give your answer in simplest surd form.", "stem: |\n  " + stem
    )

    assert told == ("negative-stem" in codes(tmp_path, text))


def test_a_rule_silenced_for_nothing_is_told(tmp_path: Path) -> None:
    assert codes(tmp_path, ROOTS + "lint: {long-stem: a story}\n") == {"silenced-for-nothing"}


def test_a_rule_that_is_not_known_is_told(tmp_path: Path) -> None:
    assert codes(tmp_path, ROOTS + "lint: {long-stems: a story}\n") == {"unknown-rule"}


def test_silencing_a_rule_leaves_items_as_they_are(tmp_path: Path) -> None:
    digests = set()
    for text in (ROOTS, ROOTS + "lint: {long-stem: a story}\n"):
        (tmp_path / "sample.yaml").write_text(text, "utf-8")
        digests.add(load_template(tmp_path / "sample.yaml", "sample.yaml", {}).template.digest)

    assert len(digests) == 1


@pytest.mark.parametrize(
    ("language", "stem", "is_sound"),
    [
        ("de", "Löse $problem$. Gib die", True), ("de", "Bestimmen Sie die Lösungen von $problem$. Die", True),
        ("de", "Hier ist $problem$. Die", False), ("es", "Resuelve $problem$. La", True),
        ("es", "Hallad las soluciones de $problem$. La", True), ("es", "Dada la ecuación $problem$. La", False),
        ("fr", "Voici $problem$. La", True), ("en-US", "Here is $problem$. The", False),
    ],
)  # fmt: skip
def test_an_order_is_known_in_the_language_of_the_stem(
    language: str, stem: str, is_sound: bool, tmp_path: Path
) -> None:
    text = changed(ROOTS, "Solve $problem$. Give your answer in", stem).replace(
        "version: 1\n", f"version: 1\nlanguage: {language}\n", 1
    )
    assert f"language: {language}" in text

    assert is_sound == ("stem-asks-nothing" not in codes(tmp_path, text))


def told(tmp_path: Path, text: str, rule: str) -> list[tuple[str, str]]:
    """What a rule has to say of a template, with the remedy."""
    path = tmp_path / "t.yaml"
    path.write_text(text, "utf-8")
    found = review(Entry(make_recipe(load_template(path, "t.yaml", {}).template), "", "t.yaml")).diagnostics
    return [(each.message, each.hint) for each in found if each.code == rule]


def test_a_row_of_a_match_that_shows_its_target_is_told_with_the_remedy(tmp_path: Path) -> None:
    assert told(tmp_path, ROWS, "stem-gives-key") == []

    ((message, hint),) = told(
        tmp_path, changed(ROWS, "problem: keep(a^2), key", "problem: a^2, key"), "stem-gives-key"
    )

    assert message == "a row shows its target as it stands, `9` (in 3 of 3 items)"
    assert "keep(...)" in hint


def test_a_row_that_says_its_target_is_told(tmp_path: Path) -> None:
    """No keep(...) helps where g = 1/2 is asked for and shown."""
    text = (
        ROWS[: ROWS.index("problem:")]
        + """unknowns: [g]
problem: g = 1/a
stem: Match each equation for $g$ with what follows.
response: {kind: match, options: 3, rows: [{problem: 2*g = 4*a, key: g = 2*a}]}
key: g = 1/a
slips: [{slip: turned, value: g = a}]
"""
    )
    ((message, hint),) = told(tmp_path, text, "stem-gives-key")

    assert message.startswith("a row shows its target as it stands, `g = 1/")
    assert hint == "do not show what is asked for"


def test_an_expression_may_be_shown_where_equal_ones_are_asked_for(tmp_path: Path) -> None:
    text = (
        ROWS[: ROWS.index("problem:")]
        + """letters: [x]
problem: x^(2*a)
stem: Which of these are equal to $problem$?
response: {kind: choices, options: 4, right: ["(x^a)^2", "x^(2*a - 1)*x"]}
key: x^(2*a)
slips: [{slip: squared, value: x^a + x^2}, {slip: doubled, value: 2*x^a}]
"""
    )
    assert told(tmp_path, text, "stem-gives-key") == []


@pytest.mark.parametrize("response", ["choice, options: 3", "entry, blanks: {answer: {form: integer}}"])
def test_a_number_that_is_worked_out_where_it_is_asked_for_is_told(response: str, tmp_path: Path) -> None:
    text = (
        ROWS[: ROWS.index("problem:")]
        + f"""problem: a^3
stem: Work out $problem$.
response: {{kind: {response}}}
key: a^3
slips: [{{slip: turned, value: 3*a}}, {{slip: added, value: a + 3}}]
"""
    )
    ((message, hint),) = told(tmp_path, text, "stem-gives-key")

    assert message.startswith("the stem shows the key `")
    assert "keep(...)" in hint
    assert told(tmp_path, changed(text, "out $problem$", "out $keep(a^3)$"), "stem-gives-key") == []


@pytest.mark.parametrize(
    ("stem", "hint"),
    [
        ("A pen and a pad cost £$q$, the pad £$p$. What is the price of a pen?", "in pounds"),
        (r"A pen and a pad cost \$$q$, the pad \$$p$. What is the price of a pen?", "in dollars"),
        ("A hall costs £$p$, and £$q$ for each hour. For how long was it hired?", "in pounds or: in hours"),
        ("A bus goes at $p$ km/h for $q$ minutes. How far is that?", "in km/h or: in minutes"),
        ("A board of $q$ cm is left of one of which $p$ cm were cut off. How long was it?", "in cm"),
    ],
)
def test_the_unit_that_is_proposed_is_one_of_the_stem(stem: str, hint: str, tmp_path: Path) -> None:
    text = changed(BOXES, "stem: Solve $problem$.", f"stem: |\n  {stem}")

    ((_, proposed),) = told(tmp_path, text, "unit-missing")

    assert proposed == f"end with the unit, such as: {hint}; or give the blank a `unit`"


@pytest.mark.parametrize(
    "stem",
    [
        "Find a pair of numbers with the sum $s$ that differ by $d$.",
        "The sum of $p$ and another number is $s$, and they differ by $d$. Find both.",
    ],
)
def test_letters_of_boxes_are_named_in_some_stem(stem: str, tmp_path: Path) -> None:
    text = PAIR[: PAIR.index("stem:")] + f"stem: {stem}\n" + PAIR[PAIR.index("response:") :]
    ((message, _),) = told(tmp_path, text, "letter-not-named")

    assert message.endswith("which no stem names")
    assert ("`p`" in message) == ("$p$" not in stem)


@pytest.mark.parametrize(
    ("stem", "is_told"),
    [
        ("At £$q$ somebody bought $x$ roses and one for £$p$. Find $x$.", False),
        ("At £$q$ somebody bought $x$ of them and one for £$p$. Find $x$.", True),
        ("The price $x$ is £$q$ and £$p$ more. Find $x$.", True),
    ],
)
def test_a_letter_that_counts_things_needs_no_unit(stem: str, is_told: bool, tmp_path: Path) -> None:
    text = changed(BOXES, "stem: Solve $problem$.", f"stem: |\n  {stem}")

    assert bool(told(tmp_path, text, "unit-missing")) == is_told


def test_a_slip_without_a_solution_in_the_domain_is_told_so(tmp_path: Path) -> None:
    """x = -p is a real solution, and no number above 0."""
    text = changed(BOXES, "solution:", "slips: [{slip: turned, value: x + p = 0}]\nsolution:")
    path = tmp_path / "t.yaml"
    path.write_text(text, "utf-8")
    found = review(Entry(make_recipe(load_template(path, "t.yaml", {}).template), "", "t.yaml")).diagnostics

    (told,) = [each.message for each in found if each.code == "slip-never-appears"]
    assert "it has no solution in the domain of the unknown (as at" in told


def test_money_in_a_stem_opens_no_mathematics(tmp_path: Path) -> None:
    text = ROOTS.replace("stem: Solve $problem$.", r"stem: A coat costs \$40. Here is $problem$. Solve it.")
    path = tmp_path / "t.yaml"
    path.write_text(text, "utf-8")
    found = review(Entry(make_recipe(load_template(path, "t.yaml", {}).template), "", "t.yaml")).diagnostics

    assert "stem-asks-nothing" not in {each.code for each in found}


def found_by(rule: str, tmp_path: Path, text: str) -> bool:
    return rule in codes(tmp_path, text)


def test_a_lost_root_is_no_option_within_another_but_two_beside_the_whole_are(tmp_path: Path) -> None:
    one = changed(ROOTS, "value: x = -h ± sqrt(k)", "value: x = h + sqrt(k)")
    two = changed(one, "value: x = 2*h ± sqrt(k)", "value: x = h - sqrt(k)")

    assert not found_by("option-within-another", tmp_path, one)
    assert found_by("option-within-another", tmp_path, two)


def test_an_option_that_says_not_is_within_none(tmp_path: Path) -> None:
    text = changed(WORDS, "text: two roots", "text: one root only")
    negated = changed(WORDS, "text: two roots", "text: not one root")

    assert found_by("option-within-another", tmp_path, text)
    assert not found_by("option-within-another", tmp_path, negated)


def test_a_stem_that_asks_for_both_tells_options_of_one_value_apart(tmp_path: Path) -> None:
    both = changed(
        ROOTS, "Solve $problem$. Give your answer", "Find both solutions of $problem$. Give your answer"
    )

    assert not found_by("grammar-clue", tmp_path, both)
    assert found_by(
        "grammar-clue", tmp_path, changed(both, "value: x = -h ± sqrt(k)", "value: x = h + sqrt(k)")
    )


@pytest.mark.parametrize(
    ("before", "words", "is_clue"),
    [
        ("the curve is a", "parabola straight-line", False),
        ("the curve is a", "parabola ellipse", True),
        ("the curve is an", "parabola ellipse", True),
        ("the curve is an", "ellipse oval", False),
        ("the curve is a", "unit hyperbola", False),
        ("there is", "one-root two-roots", True),
        ("there are", "one-root two-roots", True),
        ("there is", "one-root no-root", False),
        ("the equation has", "one-root two-roots", False),
    ],
)
def test_words_before_a_choice_in_the_line(before: str, words: str, is_clue: bool, tmp_path: Path) -> None:
    first, second = (word.replace("-", " ") for word in words.split())
    text = changed(BOXES, "{form: integer, marks: 2}", (
        f"{{form: one-of, before: {before}, marks: 2, words: [{{text: {first}, when: x > 9}}, "
        f"{{text: {second}, when: x <= 9}}]}}"
    ))  # fmt: skip

    assert is_clue == found_by("grammar-clue", tmp_path, text)


def test_what_is_too_ugly_in_a_key_depends_on_the_demand(tmp_path: Path) -> None:
    text = changed(BOXES, "to: 20}\n  q: {from: 1, to: 20}", "to: 250}\n  q: {from: 200, to: 250}")

    assert found_by("numbers-too-ugly", tmp_path, text + "demand: know\n")
    assert not found_by("numbers-too-ugly", tmp_path, text + "demand: use\n")
    assert not found_by("numbers-too-ugly", tmp_path, text + "demand: know\ncalculator: yes\n")


def test_denominators_of_keys_are_held_to_less_than_their_numerators(tmp_path: Path) -> None:
    text = changed(changed(BOXES, "x - p = q", "43*x - p = q"), "key: x = p + q", "key: x = (p + q)/43")
    text = text.replace("form: integer", "form: fraction").replace("x = keep(q + p)", "43*x = q + p")
    text = text.replace("  - math: x = p + q", "  - math: x = (p + q)/43")

    assert found_by("numbers-too-ugly", tmp_path, text)
    assert not found_by("numbers-too-ugly", tmp_path, text.replace("43", "29"))


MONEY = """template: sample
version: 1
title: The price of a ticket
unknowns: [p]
parameters: {n: [3, 4, 6], c: {from: 1.25, to: 9.75, step: 0.25, places: 2}}
derived: {b: n*c}
calculator: yes
problem: n*p = b
stem: $n$ tickets cost £$round(b, 2)$. What does a ticket cost, £$p$?
response: {kind: entry, marks: 2, blanks: {p: {form: decimal, places: 2, unit: £}}}
key: p = c
solution:
  - math: n*p = round(b, 2)
    marks: M1
  - math: p = c
    marks: A1
"""


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("£$round(b, 2)$", "£$b$", "write round(b, 2), after ="),
        ("£$round(b, 2)$", "£$round(b, 4)$", "write round(round(b, 4), 2)"),
        ("math: n*p = round(b, 2)", "math: n*p = b", "write round(b, 2), after ="),
        ("math: n*p = round(b, 2)", "math: problem", "write round(b, 2), after ="),
    ],
)
def test_sums_of_money_have_two_decimal_places(tmp_path: Path, old: str, new: str, hint: str) -> None:
    assert not found_by("money-not-in-pence", tmp_path, MONEY)

    path = tmp_path / "sample.yaml"
    path.write_text(changed(MONEY, old, new), "utf-8")
    found = review(Entry(make_recipe(load_template(path, "sample.yaml", {}).template), "", "sample.yaml"))

    (told,) = [each for each in found.diagnostics if each.code == "money-not-in-pence"]
    assert told.hint.startswith(hint)


def test_a_line_of_working_is_looked_at_for_ugly_numbers(tmp_path: Path) -> None:
    line = "  - say: Multiply.\n    math: 100*x = keep(100*(q + p))\n"
    text = changed(BOXES, "  - math: x = p + q", f"{line}  - math: x = p + q")

    assert not found_by("numbers-too-ugly", tmp_path, text)
    assert found_by("numbers-too-ugly", tmp_path, text.replace("keep(100*(q + p))", "value(100*(q + p))"))


@pytest.mark.parametrize(
    "change", [("p: {from: 1", "p: {from: -40"), ("form: integer", "form: integer, unit: cm")]
)
def test_keys_of_either_sign_and_lengths_are_not_skewed(change: tuple[str, str], tmp_path: Path) -> None:
    text = changed(BOXES, "unknowns: {x: x > 0}", "unknowns: [x]")

    assert found_by("key-sign-dominates", tmp_path, text)
    assert not found_by("key-sign-dominates", tmp_path, changed(text, *change))


def test_a_tick_that_is_right_now_and_then_is_told_of_by_nobody(tmp_path: Path) -> None:
    text = """template: sample
version: 1
title: Solve
unknowns: [x]
parameters: {n: {from: 1, to: 9}, m: {from: 1, to: 40}, s: [-1, 1]}
problem: x^2 - m = s*n^2 - m
stem: Solve $problem$.
response: {kind: entry, no_real_solution: tick, marks: 2, blanks: {x: {form: integer, values: any-order}}}
key: x^2 = s*n^2
solution:
  - math: x^2 = s*n^2
    marks: M1
  - math: x^2 = s*n^2
    marks: A1
"""
    assert not found_by("no-solution-dominates", tmp_path, text)
    assert found_by("no-solution-dominates", tmp_path, text.replace("s: [-1, 1]", "s: [1]"))


def test_words_with_numbers_in_them_are_one_answer_of_their_row(tmp_path: Path) -> None:
    text = """template: sample
version: 1
title: Sign of a difference
unknowns: [d]
parameters: {p: {from: 1, to: 12}, q: {from: 1, to: 12}}
problem: d = p - q
stem: Which is so of $p$ and $q$?
response:
  kind: choice
  words:
    - {text: the first is larger by $abs(p - q)$ than the second, when: d > 0}
    - {text: the second is larger by $abs(p - q)$ than the first, when: d < 0}
    - {text: both are equal, when: d = 0}
key: d = p - q
"""

    assert "one-answer-dominates" not in codes(tmp_path, text)


def test_what_is_to_be_shown_in_writing_may_stand_in_the_stem(tmp_path: Path) -> None:
    text = """template: sample
version: 1
title: No real solution
unknowns: [x]
parameters: {p: {from: 1, to: 12}, q: {from: 2, to: 9}}
problem: x^2 + 2*q*x = -q^2 - p
stem: Show that $problem$ has no real solution.
response: {kind: written, lines: 4}
key: none
solution: [{math: (x + q)^2 = -p, marks: M1}, {say: No square is negative., marks: A1}]
"""

    assert "stem-gives-key" not in codes(tmp_path, text)


@pytest.mark.parametrize(("kind", "told"), [("wrong-line", False), ("written, lines: 3", True)])
def test_who_looks_for_a_wrong_line_is_asked_for_it(kind: str, told: bool, tmp_path: Path) -> None:
    text = """template: sample
version: 1
title: Find the line
unknowns: [x]
parameters: {a: {from: 2, to: 6}, b: {from: 2, to: 9}, m: {from: 10, to: 19}}
problem: a*(x - b) = a*m
stem: Somebody solves $problem$ like this. Which line is wrong?
response: {kind: KIND}
key: x = m + b
SLIPS
solution: [{math: x - b = m, marks: M1}, {math: x = m + b, marks: A1}]
"""
    slips = "slips: [{slip: sign-lost, at: 2, change: {b: -b}}]" if kind == "wrong-line" else ""

    assert told == ("negative-stem" in codes(tmp_path, text.replace("KIND", kind).replace("SLIPS", slips)))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Where does your product become 0?", "Where is $(x + p)*(x + q) = 0$?"),
        ("Write $y$ for $x$,", "Write $y$ for $x$, think of $x - (p + q)$"),
        ("Factorise $x^2 + s*x", "Factorise $x^2 + (q + p)*x"),
    ],
)
def test_an_answer_of_an_earlier_part_is_found_however_it_is_written(
    old: str, new: str, tmp_path: Path
) -> None:
    assert {"earlier-answer-shown"} == codes(tmp_path, changed(PARTS, old, new))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("What is $s$, where", "Let $value(p + q)$ be called $s$, what is it then? Here"),
        ("Write $y$ for $x$,", "Write $y$ for $x$, think of $2*(p + q)*x$"),
        ("Write $y$ for $x$,", "Write $y$ for $x$, think of $x^2 - 14$"),
    ],
)
def test_a_number_that_is_given_or_another_one_is_no_answer_shown(old: str, new: str, tmp_path: Path) -> None:
    assert "earlier-answer-shown" not in codes(tmp_path, changed(PARTS, old, new))


def test_a_bracket_of_a_line_may_be_named_whatever_the_answer_looks_like(tmp_path: Path) -> None:
    """Multiply above and below by 2 + √3: that the answer is 5 + 3√3 or 9 + 5√3 makes no other formula of it."""
    text = """\
template: quotient
version: 1
title: Rationalise
calculator: no
minutes: 3
parameters: {a: {from: 1, to: 9}, c: {from: 2, to: 4}, r: [2, 3, 5]}
derived: {n: c^2 - r}
constraints: ['mod(a*c + r, n) = 0', 'mod(a + c, n) = 0']
problem: (a + sqrt(r))/(c - sqrt(r))
stem: Simplify $problem$.
response: {kind: written, lines: 5}
key: (a*c + r)/n + (a + c)/n*sqrt(r)
solution:
  - say: Multiply numerator and denominator by $c + sqrt(r)$.
    math: (a + sqrt(r))*(c + sqrt(r))/((c - sqrt(r))*(c + sqrt(r)))
    marks: M1
  - {math: (a*c + r)/n + (a + c)/n*sqrt(r), marks: A1}
"""
    assert told(tmp_path, text, "said-otherwise") == []
    assert told(tmp_path, changed(text, "by $c + sqrt(r)$", "by $value(c + 1) + sqrt(r)$"), "said-otherwise")


def test_the_numbers_of_an_identity_need_no_unit(tmp_path: Path) -> None:
    text = """\
template: fence
version: 1
title: The largest area
calculator: no
minutes: 3
unknowns: [p, q]
for_every: [x]
parameters: {h: {from: 3, to: 15}}
problem: x*(4*h - 2*x) = p - 2*(x - q)^2
stem: |
  A wall and $4*h$ m of fence enclose a bed with sides of $x$ m and an area of $x*(4*h - 2*x)$ m².
  Write the area in the form $p - 2*(x - q)^2$.
response: {kind: entry, marks: 2, blanks: {p: {form: integer}, q: {form: integer}}}
key: p = 2*h^2 and q = h
"""
    assert told(tmp_path, text, "unit-missing") == []


@pytest.mark.parametrize(
    ("stem", "is_told"),
    [
        ("Solve $problem$.", False),
        ("Solve $problem$. Give the positive solution.", True),
        ("Solve $problem$, where $x > 0$.", True),
        ("Solve $problem$ for $0 < x$.", True),
        ("Solve $x*(x - q) = p$ to find $x$.", False),
        ("The side $x$ of a square fulfils $problem$. Find $x$.", True),
        (
            "A path of $x$ m runs around a garden of $p$ m by $q$ m, and both have the same area. Find $x$.",
            True,
        ),
    ],
)
def test_solutions_that_do_not_count_are_told_of_in_the_stem(
    stem: str, is_told: bool, tmp_path: Path
) -> None:
    text = changed(
        BOXES, "problem: x - p = q", "problem: (x - p - q)*(x + 1) = 0\nlint: {stem-differs: not here}"
    )

    found = told(tmp_path, changed(text, "Solve $problem$.", stem), "domain-not-told")

    assert is_told == (found == [])
    assert all(hint == "say it in the stem, as in: where x > 0" for _, hint in found)


def test_a_domain_that_leaves_nothing_out_need_not_be_told(tmp_path: Path) -> None:
    assert told(tmp_path, BOXES, "domain-not-told") == []


def test_of_an_inequality_too_the_domain_is_told(tmp_path: Path) -> None:
    text = """\
template: sample
version: 1
title: Whole numbers
unknowns: {n: integer and n > 0}
parameters: {p: {from: 2, to: 9}}
problem: n <= p
stem: For which n is $problem$?
response: {kind: choice, options: 3}
key: n <= p
slips: [{slip: one-short, value: n < p}, {slip: one-more, value: n <= p + 1}]
"""
    assert told(tmp_path, text, "domain-not-told")
    assert told(tmp_path, changed(text, "which n", "which positive integers n"), "domain-not-told") == []
