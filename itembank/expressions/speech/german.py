"""The words of spoken German.

Openings have no article, so that none has to be declined: *ist gleich Wurzel aus 13*. `hoch zwei` would begin as *hoch
2 x Ende Exponent* does, so that a square is *zum Quadrat*. Source of the letters' names my and ny: Duden (from memory);
all else is common practice of classrooms, no source.
"""

from __future__ import annotations

from typing import Final

from itembank.expressions.speech.vocabulary import Enclosed, Vocabulary

__all__ = ["GERMAN"]

_ROOTS: Final = ("dritte", "vierte", "fünfte", "sechste", "siebte", "achte", "neunte")

GERMAN: Final = Vocabulary(
    leading={"+": "", "-": "minus ", "±": "plus minus "},
    between={"+": "plus", "-": "minus", "±": "plus minus"},
    relations={
        "=": "ist gleich", "!=": "ist ungleich", "<": "ist kleiner als", "<=": "ist kleiner oder gleich",
        ">": "ist größer als", ">=": "ist größer oder gleich", "≈": "ist ungefähr gleich",
        "∈": "ist eine der ganzen",
    },
    chained="dies ",
    times="mal",
    fraction=Enclosed("Bruch", "Ende Bruch", "durch"),
    bracket=Enclosed("Klammer auf", "Klammer zu"),
    bars=Enclosed("Betrag von", "Ende Betrag"),
    point=Enclosed("Punkt mit den Koordinaten", "Ende Punkt", "und"),
    argument="Semikolon",
    roots={"": "Wurzel aus"} | {index: f"{name} Wurzel aus" for index, name in zip("3456789", _ROOTS, strict=True)},
    root_with="Wurzel mit dem Wurzelexponenten {index} aus",
    root_end="Ende Wurzel",
    powers={"2": "zum Quadrat", "3": "zur dritten Potenz"},
    power=Enclosed("hoch", "Ende Exponent"),
    functions={
        "discriminant": "Diskriminante von", "gcd": "größter gemeinsamer Teiler von",
        "lcm": "kleinstes gemeinsames Vielfaches von", "min": "Minimum von", "max": "Maximum von", "mod": "Rest von",
        "round": "gerundeter Wert von", "numerator": "Zähler von", "denominator": "Nenner von",
    },
    other_function="Funktion {name} von",
    named_function="{name} von",
    named_inverse="Umkehrfunktion {name} von",
    articles=(),
    either="oder",
    both="und",
    pause=",",
    nothing="keine reelle Lösung",
    decimal={",": "Komma", ".": "Punkt"},
    letters={"ldots": "Punkte", "integers": "Zahlen", "mu": "my", "nu": "ny"},
    capital="großes {letter}",
    spelt=Enclosed("Name", "Ende Name"),
    below="Index",
    heard=(
        "null eins zwei drei vier sechs sieben acht neun zehn elf halb drittel viertel wie ist "
        "eff ell emm enn err ess geh hah jot kah kuh peh teh vau weh iks ypsilon zett zet eier tee see reh"
    ),
)  # fmt: skip
