"""The words of spoken English.

Source: L. A. Chang, Handbook for Spoken Mathematics, Lawrence Livermore Laboratory 1983 (from memory: spoken ends of
fractions and roots, `sub`, `to the power`); the wording of relations and functions is common practice, no source.
"""

from __future__ import annotations

from typing import Final

from itembank.expressions.speech.vocabulary import Enclosed, Vocabulary

__all__ = ["ENGLISH"]

_ROOTS: Final = ("square", "cube", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")

ENGLISH: Final = Vocabulary(
    leading={"+": "", "-": "negative ", "±": "plus or minus "},
    between={"+": "plus", "-": "minus", "±": "plus or minus"},
    relations={
        "=": "equals", "!=": "is not equal to", "<": "is less than", "<=": "is less than or equal to",
        ">": "is greater than", ">=": "is greater than or equal to", "≈": "is approximately equal to",
        "∈": "is one of the",
    },
    chained="which ",
    times="times",
    fraction=Enclosed("the fraction", "end fraction", "over"),
    bracket=Enclosed("open bracket", "close bracket"),
    bars=Enclosed("the absolute value of", "end absolute value"),
    point=Enclosed("the point", "end point", "comma"),
    argument="comma",
    roots={index: f"the {name} root of" for index, name in zip(("", *"3456789"), _ROOTS, strict=True)},
    root_with="the root with index {index} of",
    root_end="end root",
    powers={"2": "squared", "3": "cubed"},
    power=Enclosed("to the power", "end power"),
    functions={
        "discriminant": "the discriminant of", "gcd": "the greatest common divisor of",
        "lcm": "the least common multiple of", "min": "the minimum of", "max": "the maximum of",
        "mod": "the remainder of", "round": "the rounded value of", "numerator": "the numerator of",
        "denominator": "the denominator of",
    },
    other_function="the function {name} of",
    named_function="{name} of",
    named_inverse="{name} inverse of",
    articles=("the ",),
    either="or",
    both="and",
    pause=",",
    nothing="no real solution",
    decimal={".": "point", ",": "point"},
    letters={"ldots": "dots", "integers": "integers"},
    capital="capital {letter}",
    spelt=Enclosed("name", "end name"),
    below="sub",
    heard=(
        "zero one two three four five six seven eight nine ten eleven twelve half quarter "
        "are bee sea see jay kay eye pea pee tea tee you why won too for ate"
    ),
)  # fmt: skip
