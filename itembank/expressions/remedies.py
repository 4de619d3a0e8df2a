"""What is wrong with a text that the grammar refuses, told by what stands before the place it stopped at."""

from __future__ import annotations

import re
from collections.abc import Collection

from itembank.expressions.prescan import ExpressionError, comma
from itembank.expressions.vocabulary import FUNCTIONS, INVERSES, NAMED, nearest

_WORDS = {
    "RPAR": "a closing bracket", "LPAR": "an opening bracket", "NUMBER": "a number",
    "NAME": "a letter or name",
    "FUNCTION": "a function", "RELATION": "one of = < > <= >= !=", "PLUS_MINUS": "±", "PLUS": "+",
    "MINUS": "-",
    "STAR": "*", "SLASH": "/", "CIRCUMFLEX": "^", "COMMA": "a comma", "AND": "and", "OR": "or", "NOT": "not",
    "$END": "the end",
}  # fmt: skip
_OUTSIDE = frozenset("°£€¥‰′″")
"""Signs of units and money, which stand beside mathematics in a text."""
_IN_WORDS = {
    **dict.fromkeys(("is", "equals", "less", "greater", "more", "than", "least", "most"),
                    "write the sign: = < > <= >= !="),
    **dict.fromkeys(("between", "from"), "write both ends with signs: 2 < x < 5"),
    **dict.fromkeys(("times", "plus", "minus", "over"), "write the sign: + - * /"),
    **dict.fromkeys(("squared", "cubed"), "write the power: x^2"),
}  # fmt: skip
"""Words that people write for signs."""
_ELSEWHERE = {
    **dict.fromkeys(
        ("log", "ln", "lg", "exp"),
        "no logarithms are read; ask for the exponent in an equation of powers: 2^x = 8",
    ),
    **dict.fromkeys(
        ("sin", "cos", "tan", "cot", "sec", "arcsin", "arccos", "arctan", "asin", "acos", "atan"),
        "angles have no exact values here; a length of a triangle can be told by sqrt(...)",
    ),
    **dict.fromkeys(
        ("fact", "factorial", "binom", "binomial", "ncr", "choose"), "write the product out: 4*3*2"
    ),
    **dict.fromkeys(("floor", "int", "trunc", "ceil"), "the whole part of n/5 is (n - mod(n, 5))/5"),
    **dict.fromkeys(
        ("is_integer", "is_whole", "integer", "whole", "divides", "is_multiple", "multiple"),
        "that n/d is whole is said by mod(n, d) = 0, that it is not by mod(n, d) != 0",
    ),
    **dict.fromkeys(("sum", "sigma"), "write the sum out, or its formula: n*(n + 1)/2"),
    **dict.fromkeys(("cbrt", "cuberoot"), "write root(x, 3)"),
    **dict.fromkeys(("squareroot", "rad"), "write sqrt(x)"),
    **dict.fromkeys(("frac", "dfrac"), "write a/b"),
    **dict.fromkeys(("pow", "power"), "write x^2"),
    **dict.fromkeys(("disc", "delta"), "write discriminant(...)"),
}
"""Names of functions that others have, and what serves here."""
_SIGNS = {
    "%": "write a number of hundredths, r/100, or mod(a, b) for what a division leaves; in a text % stands outside the "
    "dollars",
    "!": "write the product out, 4*3*2; for ≠ write !=",
    ":": "write a quotient, a/b; in a text : stands outside the dollars, as in $a$ : $b$",
    "π": "π has no exact value here; in a text it can stand outside the dollars",
    "∞": "an inequality without that end says it: x > 3",
}
_BEGINNINGS = frozenset({"LPAR", "NAME", "FUNCTION", "NUMBER"})


def unknown_character(text: str, offset: int) -> ExpressionError:
    """The refusal of a character that no rule knows."""
    character = text[offset]
    word = re.compile(r"[A-Za-z_]*").match(text, len(re.sub(r"[A-Za-z_]*$", "", text[:offset])))
    if character == "_" and word is not None and word[0] in FUNCTIONS:
        start, end = word.span()
        return ExpressionError(
            "function-without-bracket", f"`{word[0]}` needs its argument in brackets", start, end,
            f"write {FUNCTIONS[word[0]].example}",
        )  # fmt: skip
    if character == "_" and word is not None and re.search(r"[A-Za-z]_$", text[: offset + 1]):
        return ExpressionError(
            "unknown-character", "only digits, or one small letter, follow an underscore", offset, offset + 1,
            "write u_1, u_2 and so on, u_n for the general term, and u_(n+1) for the one after it",
        )  # fmt: skip
    named = f"`{character}` (U+{ord(character):04X})" if ord(character) > 126 else f"`{character}`"
    return ExpressionError(
        "unknown-character", f"{named} has no meaning in an expression", offset, offset + 1,
        "write a plain space" if character.isspace()
        else f"write {character} outside the dollars, as text" if character in _OUTSIDE
        else _SIGNS.get(character, "use letters, digits and + - * / ^ ( ) = < > ±"),
    )  # fmt: skip


def stopped_early(text: str, expected: Collection[str]) -> ExpressionError:
    """The refusal of a text that ends where something more is needed."""
    opened = _unclosed(text)
    if opened is not None:
        return ExpressionError(
            "unclosed-bracket", "this bracket is never closed", opened, opened + 1, "close it with )"
        )
    last = re.compile(r"([A-Za-z]+|\S)\s*$").search(text)
    start, end = last.span(1) if last else (0, 1)
    return ExpressionError(
        "unfinished", f"the expression stops too early; expected {in_words(expected)}", start, end,
        "complete it, or take out what stands last",
    )  # fmt: skip


def unexpected_token(
    text: str, kind: str, start: int, end: int, expected: Collection[str]
) -> ExpressionError:
    """The refusal of a token that cannot stand where it does; kind and expected are the grammar's names."""
    token, before = text[start:end], text[:start].rstrip()
    if kind in _BEGINNINGS and before and (found := _two_in_a_row(token, kind, before, start, end)):
        return found
    if kind == "RPAR" and before.endswith("("):
        return ExpressionError(
            "empty-bracket", "nothing stands in this bracket", len(before) - 1, end, "write something between"
        )
    if kind == "COMMA":
        return comma(start)
    if kind == "PLUS_MINUS":
        return ExpressionError(
            "misplaced-plus-minus", "± stands at the head of a sum or between its terms only", start, end,
            "write it before a term: h ± 2*k",
        )  # fmt: skip
    said = f"`{token}` cannot stand here; expected {in_words(expected)}"
    if kind in {"PLUS", "MINUS", "STAR", "SLASH", "CIRCUMFLEX"}:
        return ExpressionError(
            "two-operators",
            said,
            start,
            end,
            "write ± or +/- for both signs; put a negative number in brackets: 2 - (-3)"
            if token == "-" and re.search(r"\+\s*$", before)
            else "put a negative number in brackets: 2 - (-3); leave out a leading +",
        )
    if kind == "RELATION" and re.search(r"[=<>≈]$", before):
        return ExpressionError(
            "two-relations", said, start, end, "write one of = < > <= >= != between two sides"
        )
    if kind == "NOT" and re.search(r"\bnot$", before):
        return ExpressionError("unexpected", said, start, end, "put the inner one in brackets: not (not ...)")
    return ExpressionError("unexpected", said, start, end, "compare with the examples: x^2 - 8*x + 3 = 0")


def _two_in_a_row(token: str, kind: str, before: str, start: int, end: int) -> ExpressionError | None:
    """The refusal where a factor directly follows another one and may not."""
    last = _last_factor(before)
    lead = before[: len(before) - len(last)].rstrip() if last else ""
    if not last:
        return None
    if re.search(r"/\s*-?$", lead):
        return ExpressionError(
            "ambiguous-quotient", f"it is not clear whether `{token}` stands below the line", start, end,
            "write (1/2)*x or 1/(2*x)",
        )  # fmt: skip
    if re.search(r"\^\s*-?$", lead):
        return ExpressionError(
            "factor-after-power", "a factor after a power needs a *", start, end, "write (x + 1)^2*(x - 2)"
        )
    if last in FUNCTIONS:
        example = FUNCTIONS[last].example
        return ExpressionError(
            "function-without-bracket",
            f"`{last}` needs its argument in brackets",
            start,
            end,
            f"write {example}",
        )
    if kind == "NUMBER" and last[-1].isalpha():
        return ExpressionError(
            "number-after-letter", f"`{token}` directly after a letter", start, end,
            "write the number first (2x), x*2, or x_2 for a name",
        )  # fmt: skip
    in_words = next((_IN_WORDS[each] for each in (last.lower(), token.lower()) if each in _IN_WORDS), "")
    return ExpressionError(
        "missing-operator", f"an operator is missing before `{token}`", start, end,
        in_words or f"write {last}*{'(...)' if token == '(' else token} for a product",
    )  # fmt: skip


def _last_factor(before: str) -> str:
    """The name, number or bracket (a call with its name) a text ends with; "" where it ends with neither."""
    word = re.search(r"[A-Za-z0-9_.]+$", before)
    if word:
        return "" if word[0] in {"and", "or", "not"} else word[0]
    if not before.endswith(")"):
        return ""
    depth = 0
    for offset in range(len(before) - 1, -1, -1):
        depth += (before[offset] == ")") - (before[offset] == "(")
        if depth == 0:
            name = re.search(r"[A-Za-z_0-9]*\s*$", before[:offset])
            return before[name.start() if name else offset :]
    return before


def unknown_function(name: str, start: int, arguments: int = 1) -> ExpressionError:
    """The refusal of a name before a bracket that is no function: most often a product without its sign.

    A name before several `arguments` is a point's as a rule, as in A(2, 5).
    """
    elsewhere = _ELSEWHERE.get(name.lower()) or _ELSEWHERE.get(
        name.lower().partition("_")[0]
    )  # log_2 is a log too
    if elsewhere:
        return ExpressionError(
            "unknown-function", f"`{name}` is no function here", start, start + len(name), elsewhere
        )
    if arguments > 1 and len(name) == 1:
        return ExpressionError(
            "unknown-function", f"`{name}` is no function", start, start + len(name),
            f"the name of a point stands outside the dollars, as in: the point {name} $(2, 5)$",
        )  # fmt: skip
    if name in INVERSES:
        return ExpressionError(
            "unknown-function", f"`{name}` is no function here", start, start + len(name),
            f"only a text may speak of an inverse, here write what it is worth; for a power write {name}*(...)",
        )  # fmt: skip
    hints = []
    if 1 < len(name) < 4 and set(name) <= set("fgh"):
        hints.append(f"one function of another is written {'('.join(name)}(x){')' * (len(name) - 1)}")
    elif len(name) <= 2 or (name.count("_") == 1 and name[-1].isdigit()):
        hints.append(f"for a product write {name}*(...)")
    if name in NAMED:
        hints.append(f"only a text may call a function {name}, here write what it is worth")
    near = nearest(name, FUNCTIONS)
    if near:
        hints.append(f"nearest known function: {near}")
    hint = "; ".join(hints) or f"for a product write {name}*(...)"
    return ExpressionError("unknown-function", f"`{name}` is no function", start, start + len(name), hint)


def wrong_number_of_arguments(name: str, given: int, start: int, end: int) -> ExpressionError:
    """The refusal of a known function with too few or too many arguments."""
    least, most = FUNCTIONS[name].least, FUNCTIONS[name].most
    wanted = str(least) if least == most else f"{least} or more" if most > 20 else f"{least} to {most}"
    argument = "argument" if wanted == "1" else "arguments"
    return ExpressionError(
        "wrong-number-of-arguments", f"`{name}` takes {wanted} {argument}, here are {given}", start, end,
        f"write {FUNCTIONS[name].example}",
    )  # fmt: skip


def in_words(expected: Collection[str]) -> str:
    """What could stand there, in words.

    >>> in_words({"RPAR", "COMMA"})
    'a closing bracket or a comma'
    """
    words = sorted({_WORDS.get(name, name.lower()) for name in expected})
    if {"a number", "a letter or name"} <= set(words):
        return "a number, a letter or a bracket"
    return ", ".join(words[:-1]) + (" or " if words[:-1] else "") + words[-1] if words else "something else"


def _unclosed(text: str) -> int | None:
    opened: list[int] = []
    for offset, character in enumerate(text):
        if character == "(":
            opened.append(offset)
        elif character == ")" and opened:
            opened.pop()
    return opened[-1] if opened else None
