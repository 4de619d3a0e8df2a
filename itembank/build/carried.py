"""What a cartridge takes of an item: its questions with formulas as asked for, and the files of its pictures."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from itembank.build.packages import picture_members
from itembank.items import Item
from itembank.writers import common_cartridge
from itembank.writers.common_cartridge.pictures import BASE
from itembank.writers.formula_pictures import FormulaPicture
from itembank.writers.formulas import FOLDER, Notation, in_characters
from itembank.writers.package import Member, PackagePath, compress
from itembank.writers.pictures import has_pictures

__all__ = ["Carried", "carried"]


class Carried(NamedTuple):
    """questions: markup; files: what they point to; lost: in plain words."""

    questions: tuple[str, ...]
    files: tuple[Member, ...]
    lost: tuple[str, ...]


def carried(item: Item, notation: Notation) -> Carried:
    """What becomes of an item in a cartridge."""
    questions, lost = common_cartridge.written(item)
    shown = [in_characters(each, notation, BASE) for each in questions]
    files = [_beside(each) for each in picture_members(item)] if questions and has_pictures(item) else []
    files += [_pressed(picture) for each in shown for picture in each.pictures]
    return Carried(tuple([each.document for each in shown]), tuple(files), lost)


def _beside(member: Member) -> Member:
    """The picture where a cartridge has it."""
    return member._replace(path=PackagePath(member.path.text.removeprefix("items/")))


@lru_cache(maxsize=4096)
def _pressed(picture: FormulaPicture) -> Member:
    return compress(PackagePath(f"{FOLDER}/{picture.name}"), picture.svg.encode())
