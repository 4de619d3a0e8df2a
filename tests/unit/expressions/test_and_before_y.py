"""Spanish says *e* for *y* before the sound of i: `x = 2 y y = 3` reads as a letter too many.

Source: Real Academia Española, Diccionario panhispánico de dudas (from memory).
"""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit.findings import Unread
from itembank.audit.latex_reader import read_latex
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.tongues import tongue
from itembank.expressions.conventions import conventions
from itembank.expressions.mathml import mathml
from itembank.expressions.omml import omml
from itembank.expressions.spelling import plain, terminal
from tests.samples import maths

JOINED = [
    ("x = -4 and y = -3", "x = −4 e y = −3"),
    ("y = -3 and x = -4", "y = −3 y x = −4"),
    ("x = 1 and 2*y = 3", "x = 1 y 2y = 3"),
    ("x = 1 and y*x = 3", "x = 1 e yx = 3"),
    ("x = 1 and y^2 = 4", "x = 1 e y² = 4"),
    ("x = 1 and -y = 4", "x = 1 y −y = 4"),
    ("x = 1 and (y + 1)*z = 4", "x = 1 y (y + 1)z = 4"),
    ("x < 1 and y < 2 and z < 3", "x < 1 e y < 2 y z < 3"),
    ("x = 1 or y = 2", "x = 1 o y = 2"),
]


@pytest.mark.parametrize(("text", "shown"), JOINED)
def test_the_word_is_fitting_and_the_audit_reads_it_back(text: str, shown: str) -> None:
    displayed, spanish = maths(text), conventions("es")
    assert terminal(displayed, spanish) == shown
    markup = etree.fromstring(mathml(displayed, spanish))
    english = etree.fromstring(mathml(displayed, conventions("en")))
    assert read_presentation(markup[0][0], tongue("es")) == read_presentation(english[0][0], tongue("en"))
    words = [f"<mtext>{word}</mtext>" for word in shown.split() if word in {"y", "e", "o"}]
    assert [word for word in words if word == "<mtext>e</mtext>"] == [
        f"<mtext>{each.text}</mtext>" for each in markup.iter("{*}mtext") if each.text == "e"
    ]
    assert (" e " in omml(displayed, spanish)) == (" e " in shown)
    assert " e " not in plain(displayed)
    assert " e " not in terminal(displayed, conventions("en"))


def test_latex_of_a_package_is_read_with_either_word() -> None:
    read = read_latex(r"x = 2\ \text{e}\ y = 3", tongue("es"))
    assert read == read_latex(r"x = 2\ \text{y}\ y = 3", tongue("es"))
    with pytest.raises(Unread):
        read_latex(r"x = 2\ \text{e}\ y = 3", tongue("en"))
