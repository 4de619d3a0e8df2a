"""`stem-asks-nothing`: a stem with neither a question nor a word that tells the pupil what to do."""

from __future__ import annotations

import re
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks

_VERBS = (
    "add calculate choose compare complete compute convert copy decide deduce describe determine divide draw enter "
    "estimate evaluate expand explain express factorise factorize factor find fill give identify increase insert "
    "interpret list make match multiply name obtain order pick plot predict prove put "
    "rationalise rationalize read rearrange reduce round select show simplify sketch solve sort state subtract "
    "substitute tick use verify work write"
)
_GERMAN = (
    "addier begründ berechn beschreib bestimm beurteil beweis bild bring dividier entscheid ergänz erklär "
    "ermittl erweiter faktorisier find form füll geb interpretier klammer kreis kreuz kürz les lös "
    "markier multiplizier nenn notier ordn prüf rechn rund sag schätz schreib setz skizzier sortier stell streich such "
    "subtrahier trag überprüf untersuch vereinfach vergleich verwend verwandl wähl wandl zeichn zeig zerleg zieh"
)
_SPANISH = (
    "añad calcul compar complet comprueb compruéb convierte convierta decid deduce deduzca demuestr describ "
    "despej determin dibuj di diga divid elige elija empareja empareje encuentr enuncia enuncie escog escoj escrib "
    "estim evalú explica explique expres factoric factoriz halla halle identific identifiqu indica indique interpret "
    "justific justifiqu lee lea marca marque multiplic multipliqu nombra nombre obtén obtenga orden pon ponga "
    "racionalic racionaliz redond reduce reduzca relacion rellen represent resta reste resuelv responde responda rode "
    "selecciona seleccione señal simplific simplifiqu suma sume sustituy tacha tache traz une una utilic utiliz verific"
)
"""Stems: an order ends as whom it speaks to asks for, du or Sie, tú, usted or vosotros."""
ORDER = re.compile(rf"\b({'|'.join(_VERBS.split())})\b", re.I)
_ORDERS = {
    "en": (ORDER, "Solve, Find, Write"),
    "de": (
        re.compile(rf"\b(gib|lies|({'|'.join(_GERMAN.split())})(e|en|t))\b", re.I),
        "Löse, Bestimme, Schreibe",
    ),
    "es": (re.compile(rf"\b({'|'.join(_SPANISH.split())})\w{{0,4}}\b", re.I), "Resuelve, Halla, Escribe"),
}


def _look(sample: Sample) -> Iterator[Remark]:
    known = _ORDERS.get(sample.template.about.language.partition("-")[0])
    if known is None:
        return
    order, some = known
    for part in sample.template.parts:
        text = asks(part)
        if "?" not in text and not order.search(text):
            yield Remark(
                part.stem.source.span,
                "the stem neither asks a question nor says what is to be done",
                f"end it with a question, or begin it with {some} ...",
            )


RULE = Rule(
    "stem-asks-nothing", f"{HALADYNA}, guidelines 14 and 15 (clear directions, main idea in the stem)", _look
)
