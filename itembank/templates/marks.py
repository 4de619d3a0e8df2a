"""Marks as authors write them."""

from __future__ import annotations

from itembank.items import Mark


def read_marks(text: str | None) -> tuple[Mark, ...]:
    """M1, A2, `B1 ft`, or a bare number (independent marks), several separated by commas or blanks."""
    if not text:
        return ()
    marks: list[Mark] = []
    for word in text.replace(",", " ").split():
        if word == "ft":
            marks[-1] = Mark(marks[-1].kind, marks[-1].worth, True)
        elif word[0] in "MAB":
            marks.append(Mark(word[0], int(word[1:])))
        else:
            marks.append(Mark("B", int(word)))
    return tuple(marks)
