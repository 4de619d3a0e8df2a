"""The words of spoken Spanish.

`y` and `o` are words that join statements, so the letters are named: *i griega*, *letra o*. A minus sign is *menos*
before the first term and between terms, as it is read aloud. Source of the letter's name: Real Academia Española,
Ortografía de la lengua española (2010), which recommends *ye* and admits *i griega* (from memory); all else is common
practice of classrooms, no source.
"""

from __future__ import annotations

from typing import Final

from itembank.expressions.speech.vocabulary import Enclosed, Vocabulary

__all__ = ["SPANISH"]

_ROOTS: Final = ("cuadrada", "cúbica", "cuarta", "quinta", "sexta", "séptima", "octava", "novena")

SPANISH: Final = Vocabulary(
    leading={"+": "", "-": "menos ", "±": "más o menos "},
    between={"+": "más", "-": "menos", "±": "más o menos"},
    relations={
        "=": "es igual a", "!=": "es distinto de", "<": "es menor que", "<=": "es menor o igual que",
        ">": "es mayor que", ">=": "es mayor o igual que", "≈": "es aproximadamente igual a",
        "∈": "es uno de los",
    },
    chained="que ",
    times="por",
    fraction=Enclosed("la fracción", "fin fracción", "sobre"),
    bracket=Enclosed("abre paréntesis", "cierra paréntesis"),
    bars=Enclosed("el valor absoluto de", "fin valor absoluto"),
    point=Enclosed("el punto de coordenadas", "fin punto", "y"),
    argument="punto y coma",
    roots={index: f"la raíz {name} de" for index, name in zip(("", *"3456789"), _ROOTS, strict=True)},
    root_with="la raíz de índice {index} de",
    root_end="fin raíz",
    powers={"2": "al cuadrado", "3": "al cubo"},
    power=Enclosed("elevado a", "fin exponente"),
    functions={
        "discriminant": "el discriminante de", "gcd": "el máximo común divisor de",
        "lcm": "el mínimo común múltiplo de", "min": "el mínimo de", "max": "el máximo de", "mod": "el resto de",
        "round": "el valor redondeado de", "numerator": "el numerador de", "denominator": "el denominador de",
    },
    other_function="la función {name} de",
    named_function="{name} de",
    named_inverse="{name} inversa de",
    articles=("la ", "el "),
    either="o",
    both="y",
    pause=",",
    nothing="sin solución real",
    decimal={",": "coma", ".": "punto"},
    letters={
        "ldots": "puntos", "integers": "enteros",
        "y": "i griega", "o": "letra o", "alpha": "alfa", "epsilon": "épsilon", "zeta": "dseta",
        "rho": "ro", "upsilon": "ípsilon", "phi": "fi", "chi": "ji",
    },
    capital="{letter} mayúscula",
    spelt=Enclosed("nombre", "fin nombre"),
    below="sub",
    heard=(
        "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce medio cuarto ye be ce de ge hache jota ka "
        "ele eme ene pe cu erre ese te uve equis zeta"
    ),
)  # fmt: skip
