"""The shape of a bank's own weights for predicted difficulty, as it stands in the bank file."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from itembank.difficulty.weights import FEATURES, FURTHEST, Weights, usual_weights
from itembank.expressions.vocabulary import nearest
from itembank.templates.model import Shape, Whole

__all__ = ["DifficultyShape"]


def _feature(name: str) -> str:
    if name not in FEATURES:
        near = nearest(name, FEATURES)
        raise ValueError(
            f"there is no feature `{name}`"
            + (f"; nearest: {near}" if near else f"; there are {', '.join(FEATURES)}")
        )
    return name


def _ascending(cuts: list[int]) -> list[int]:
    if cuts != sorted(set(cuts)):
        raise ValueError("the numbers must ascend")
    return cuts


class DifficultyShape(Shape):
    """Weights in place of the program's own."""

    source: str = Field("", description="where they come from, such as a calibration; told in reports")
    weights: dict[
        Annotated[str, AfterValidator(_feature)], Annotated[Whole, Field(ge=-FURTHEST, le=FURTHEST)]
    ] = Field(
        {},
        description="feature -> what it adds each time, in thousandths of a logit",
        json_schema_extra={"propertyNames": {"enum": list(FEATURES)}},
    )
    words: Annotated[list[Whole], Field(min_length=4, max_length=4), AfterValidator(_ascending)] | None = (
        Field(
            None,
            description="up to which thousandths an item is very easy, easy, medium, difficult; ascending",
        )
    )

    def weights_used(self) -> Weights:
        """All weights, the bank's own in their places."""
        return usual_weights().replaced(self.weights, self.source, tuple(self.words or ()))
