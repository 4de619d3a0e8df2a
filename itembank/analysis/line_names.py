"""What a line of a table says that it is, where it is of no pupil: maxima; means, sums and right answers.

Such lines are written in many words, so they are known by their words: at least one that says it, and none that would
stand in a pupil's name.
"""

from __future__ import annotations

import re
from typing import Final

__all__ = ["MAY_BE_A_NAME", "names_maxima", "names_summary"]

MAY_BE_A_NAME: Final = ("max", "min")
"""Said of maxima, of the best and the least marks of a class, and of people."""
_WORDS: Final = re.compile(r"[^\W_]+|%")
_MAXIMA: Final = frozenset((
    "max", "maximum", "maxima", "maximal", "available", "attainable", "possible",
    "máximo", "maximo", "máx", "máximos", "máxima", "máximas", "maxima", "posible", "posibles",
    "maximale", "maximalpunkte", "maximalpunktzahl", "höchstpunktzahl", "höchstpunkte", "mögliche", "möglich",
    "erreichbar", "erreichbare",
))  # fmt: skip
_SUMMARY: Final = frozenset((
    "mean", "means", "average", "averages", "avg", "median", "total", "totals", "sum", "sums", "facility",
    "percent", "percentage", "%", "count", "stdev", "deviation", "variance", "minimum",
    "mittelwert", "durchschnitt", "klassendurchschnitt", "schnitt", "summe", "gesamt", "gesamtpunkte",
    "gesamtpunktzahl", "standardabweichung", "klassenschnitt", "anzahl", "prozent", "lösungsquote",
    "media", "promedio", "mediana", "suma", "totales", "desviación", "porcentaje", "mínimo",
))  # fmt: skip
_KEY: Final = frozenset((
    "key", "solution", "solutions", "correct", "right", "lösung", "lösungen", "musterlösung", "lösungsschlüssel",
    "richtig", "richtige", "clave", "solución", "soluciones", "correcta", "correctas", "correcto",
))  # fmt: skip
_BESIDE: Final = frozenset((
    "mark", "marks", "point", "points", "pts", "score", "scores", "of", "the", "in", "all", "per", "for", "full",
    "out", "question", "questions", "item", "items", "number", "class", "group", "set", "pupils", "students",
    "standard", "std", "dev", "sd", "grand", "overall", "answer", "answers", "response", "responses",
    "correct", "right", "sheet",
    "punkte", "punktzahl", "pro", "je", "der", "die", "des", "aufgabe", "aufgaben", "klasse", "kurs", "gruppe", "in",
    "antwort", "antworten", "zahl", "schüler", "von",
    "punto", "puntos", "puntuación", "puntaje", "nota", "de", "del", "la", "las", "por", "pregunta", "preguntas",
    "clase", "grupo", "respuesta", "respuestas", "típica", "estándar", "número", "alumnos",
))  # fmt: skip
_MAXIMA_WHOLE: Final = (("out", "of"), ("full", "marks"), ("volle", "punktzahl"))
_SUMMARY_WHOLE: Final = (("std", "dev"), ("sd",))


def names_maxima(label: str) -> bool:
    """Whether a line says that it holds the most marks of each question, by more than MAY_BE_A_NAME alone.

    label: in any letters.

    >>> [names_maxima(label) for label in ("Maximum", "Max. marks", "out of", "Punkte (max.)", "Max", "Max Marks-Reed")]
    [True, True, True, True, False, False]
    """
    words = _words(label)
    return words != MAY_BE_A_NAME[:1] and (words in _MAXIMA_WHOLE or _is_said(words, _MAXIMA, _SUMMARY))


def names_summary(label: str) -> bool:
    """Whether a line says that it is worked out of the lines above it, or holds the right answers.

    >>> [names_summary(label) for label in ("Class average", "% correct", "KEY", "Sum Wei", "Media de la clase")]
    [True, True, True, False, True]
    """
    words = _words(label)
    return words in _SUMMARY_WHOLE or _is_said(words, _SUMMARY | _KEY)


def _words(label: str) -> tuple[str, ...]:
    return tuple(_WORDS.findall(label.casefold()))


def _is_said(words: tuple[str, ...], saying: frozenset[str], beside: frozenset[str] = frozenset()) -> bool:
    return not saying.isdisjoint(words) and saying.union(_BESIDE, beside).issuperset(words)
