"""The words in which formulas are spoken, by language, as the audit knows them: its own tables, nothing that reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from itembank.audit.formula import INVERSES
from itembank.audit.letters import GREEK, LEFT_OUT, WHOLE_NUMBERS

__all__ = ["SPOKEN", "Spoken"]

Phrase = tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Spoken:
    """leading, between: signs, longer phrases first. relations: by phrase, longer first; chained: before one that goes
    on. roots, functions: phrases without their article. pairs: what opens, parts and ends a fraction and a point.
    letters: phrases that name a letter; greek: one word each. no_factor: words after which no factor begins.
    """

    articles: frozenset[str]
    leading: tuple[tuple[Phrase, str], ...]
    between: tuple[tuple[Phrase, str], ...]
    relations: tuple[tuple[Phrase, str], ...]
    chained: Phrase
    times: str
    either: str
    both: str
    nothing: Phrase
    fraction: tuple[Phrase, Phrase, Phrase]
    point: tuple[Phrase, Phrase, Phrase]
    bracket: tuple[Phrase, Phrase]
    bars: tuple[Phrase, Phrase]
    argument: Phrase
    roots: dict[Phrase, int]
    root_end: Phrase
    powers: tuple[tuple[Phrase, str], ...]
    power: tuple[Phrase, Phrase]
    functions: dict[Phrase, str]
    letters: dict[Phrase, str]
    greek: dict[str, str]
    capital: str
    capital_follows: bool
    spelt: tuple[Phrase, Phrase]
    below: str
    decimal: dict[str, str]
    no_factor: frozenset[str]


def _p(text: str) -> Phrase:
    return tuple(text.split())


_ENGLISH: Final = Spoken(
    articles=frozenset({"the"}),
    leading=((_p("negative"), "-"), (_p("plus or minus"), "±")),
    between=((_p("plus or minus"), "±"), (_p("plus"), "+"), (_p("minus"), "-")),
    relations=(
        (_p("equals"), "="), (_p("is not equal to"), "≠"), (_p("is less than or equal to"), "≤"),
        (_p("is less than"), "<"), (_p("is greater than or equal to"), "≥"), (_p("is greater than"), ">"),
        (_p("is approximately equal to"), "≈"), (_p("is one of the"), "∈"),
    ),
    chained=_p("which"),
    times="times",
    either="or",
    both="and",
    nothing=_p("no real solution"),
    fraction=(_p("fraction"), _p("over"), _p("end fraction")),
    point=(_p("the point"), _p("comma"), _p("end point")),
    bracket=(_p("open bracket"), _p("close bracket")),
    bars=(_p("absolute value of"), _p("end absolute value")),
    argument=_p("comma"),
    roots={
        _p(f"{name} root of"): index
        for index, name in enumerate(
            ("square", "cube", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"), start=2
        )
    },
    root_end=_p("end root"),
    powers=((_p("squared"), "2"), (_p("cubed"), "3")),
    power=(_p("to the power"), _p("end power")),
    functions={
        _p("discriminant of"): "discriminant", _p("greatest common divisor of"): "gcd",
        _p("least common multiple of"): "lcm", _p("minimum of"): "min", _p("maximum of"): "max",
        **{_p(f"{name} of"): name for name in INVERSES},
        **{_p(f"{name} inverse of"): inverse for name, inverse in INVERSES.items()},
    },
    letters={},
    greek={name: letter for name, letter in GREEK.items() if name.islower()}
    | {"dots": LEFT_OUT, "integers": WHOLE_NUMBERS},
    capital="capital",
    capital_follows=False,
    spelt=(_p("name"), _p("end name")),
    below="sub",
    decimal={".": "point", ",": "point"},
    no_factor=frozenset(
        {"plus", "minus", "times", "over", "end", "close", "comma", "equals", "is", "which", "and", "or", ",", ""}
    ),
)  # fmt: skip

_SPANISH: Final = Spoken(
    articles=frozenset({"la", "el"}),
    leading=((_p("menos"), "-"), (_p("más o menos"), "±")),
    between=((_p("más o menos"), "±"), (_p("más"), "+"), (_p("menos"), "-")),
    relations=(
        (_p("es igual a"), "="), (_p("es distinto de"), "≠"), (_p("es menor o igual que"), "≤"),
        (_p("es menor que"), "<"), (_p("es mayor o igual que"), "≥"), (_p("es mayor que"), ">"),
        (_p("es aproximadamente igual a"), "≈"), (_p("es uno de los"), "∈"),
    ),
    chained=_p("que"),
    times="por",
    either="o",
    both="y",
    nothing=_p("sin solución real"),
    fraction=(_p("fracción"), _p("sobre"), _p("fin fracción")),
    point=(_p("el punto de coordenadas"), _p("y"), _p("fin punto")),
    bracket=(_p("abre paréntesis"), _p("cierra paréntesis")),
    bars=(_p("valor absoluto de"), _p("fin valor absoluto")),
    argument=_p("punto y coma"),
    roots={
        _p(f"raíz {name} de"): index
        for index, name in enumerate(
            ["cuadrada", "cúbica", "cuarta", "quinta", "sexta", "séptima", "octava", "novena"], start=2
        )
    },
    root_end=_p("fin raíz"),
    powers=((_p("al cuadrado"), "2"), (_p("al cubo"), "3")),
    power=(_p("elevado a"), _p("fin exponente")),
    functions={
        _p("discriminante de"): "discriminant", _p("máximo común divisor de"): "gcd",
        _p("mínimo común múltiplo de"): "lcm", _p("mínimo de"): "min", _p("máximo de"): "max",
        **{_p(f"{name} de"): name for name in INVERSES},
        **{_p(f"{name} inversa de"): inverse for name, inverse in INVERSES.items()},
    },
    letters={_p("i griega"): "y", _p("letra o"): "o"},
    greek={
        "alfa": "α", "beta": "β", "gamma": "γ", "delta": "δ", "épsilon": "ε", "dseta": "ζ", "eta": "η", "theta": "θ",
        "iota": "ι", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "ro": "ρ", "sigma": "σ",
        "tau": "τ", "ípsilon": "υ", "fi": "φ", "ji": "χ", "psi": "ψ", "omega": "ω",
        "puntos": LEFT_OUT, "enteros": WHOLE_NUMBERS,
    },
    capital="mayúscula",
    capital_follows=True,
    spelt=(_p("nombre"), _p("fin nombre")),
    below="sub",
    decimal={".": "punto", ",": "coma"},
    no_factor=frozenset(
        {"más", "menos", "por", "sobre", "fin", "cierra", "punto", "es", "que", "y", "o", ",", ""}
    ),
)  # fmt: skip

_GERMAN: Final = Spoken(
    articles=frozenset(),
    leading=((_p("plus minus"), "±"), (_p("minus"), "-")),
    between=((_p("plus minus"), "±"), (_p("plus"), "+"), (_p("minus"), "-")),
    relations=(
        (_p("ist gleich"), "="), (_p("ist ungleich"), "≠"), (_p("ist kleiner oder gleich"), "≤"),
        (_p("ist kleiner als"), "<"), (_p("ist größer oder gleich"), "≥"), (_p("ist größer als"), ">"),
        (_p("ist ungefähr gleich"), "≈"), (_p("ist eine der ganzen"), "∈"),
    ),
    chained=_p("dies"),
    times="mal",
    either="oder",
    both="und",
    nothing=_p("keine reelle Lösung"),
    fraction=(_p("Bruch"), _p("durch"), _p("Ende Bruch")),
    point=(_p("Punkt mit den Koordinaten"), _p("und"), _p("Ende Punkt")),
    bracket=(_p("Klammer auf"), _p("Klammer zu")),
    bars=(_p("Betrag von"), _p("Ende Betrag")),
    argument=_p("Semikolon"),
    roots={
        _p("Wurzel aus"): 2,
        **{
            _p(f"{name} Wurzel aus"): index
            for index, name in enumerate(
                ("dritte", "vierte", "fünfte", "sechste", "siebte", "achte", "neunte"), start=3
            )
        },
    },
    root_end=_p("Ende Wurzel"),
    powers=((_p("zum Quadrat"), "2"), (_p("zur dritten Potenz"), "3")),
    power=(_p("hoch"), _p("Ende Exponent")),
    functions={
        _p("Diskriminante von"): "discriminant", _p("größter gemeinsamer Teiler von"): "gcd",
        _p("kleinstes gemeinsames Vielfaches von"): "lcm", _p("Minimum von"): "min", _p("Maximum von"): "max",
        **{_p(f"{name} von"): name for name in INVERSES},
        **{_p(f"Umkehrfunktion {name} von"): inverse for name, inverse in INVERSES.items()},
    },
    letters={},
    greek={name: letter for name, letter in GREEK.items() if name.islower() and name not in {"mu", "nu"}}
    | {"my": "μ", "ny": "ν", "Punkte": LEFT_OUT, "Zahlen": WHOLE_NUMBERS},
    capital="großes",
    capital_follows=False,
    spelt=(_p("Name"), _p("Ende Name")),
    below="Index",
    decimal={".": "Punkt", ",": "Komma"},
    no_factor=frozenset(
        {"plus", "minus", "mal", "durch", "Ende", "Semikolon", "ist", "dies", "und", "oder", ",", ""}
    ),
)  # fmt: skip

SPOKEN: Final = {"en": _ENGLISH, "es": _SPANISH, "de": _GERMAN}
"""The words of each language that the audit can hear."""
