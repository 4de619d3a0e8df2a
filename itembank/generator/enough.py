"""Whether what survives of an assignment's slips is enough for the response it is asked in."""

from __future__ import annotations

from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.choices import candidates
from itembank.generator.distractors import Fate
from itembank.generator.matches import extra_targets
from itembank.generator.orders import size_order
from itembank.generator.recipe import PartRecipe


def may_lack(part: PartRecipe) -> bool:
    """Whether an assignment that a template's lines allow may yet make no item of this part."""
    kind = part.template.response.kind
    if kind in {"order", "match"}:
        return bool(part.right or part.rows)
    return bool(part.slips) and kind in {"choice", "choices", "wrong-line"} and not part.words


def is_enough(
    bound: Bound, number: int, key: Forms, forms: Forms, found: tuple[Fate, ...], arguments: Arguments
) -> bool:
    """Whether a part has options or lines enough. found: the fate of each of its slips."""
    part = bound.recipe.parts[number]
    if not may_lack(part):
        return True
    response = part.template.response
    if response.kind == "order":
        return size_order(bound, number, arguments) is not None
    if response.kind == "match":
        return extra_targets(bound, number, key, forms, found) is not None
    if response.kind == "choices" or part.right:
        return candidates(bound, number, key, forms, found, arguments) is not None
    offered = sum(fate.word == "offered" for fate in found)
    return offered >= (response.options - 1 if response.kind == "choice" else 1)


def too_few(part: PartRecipe, found: int, example: str) -> str:
    """What is said where no assignment makes an item. found: how many slips survive of an example, told in words."""
    response = part.template.response
    match response.kind:
        case "choice":
            wanted = response.options - 1
            return f"{response.options} options need {wanted} unequal slips, but at {example} only {found} survive"
        case "choices":
            return (
                f"at {example} there are not {response.options} options, right and wrong, unlike each other"
            )
        case "order":
            return f"at {example} two of the numbers are equal, or it cannot be told which is larger"
        case "match":
            rows = len(part.rows) + 1
            wanted = response.options - rows
            survive = f"only {found} survive{'s' if found == 1 else ''}" if found else "none survives"
            return (
                f"{response.options} targets for {rows} rows need {wanted} slip{'s' if wanted > 1 else ''} unlike them "
                f"and each other, but at {example} {survive}"
            )
        case _:
            return f"at {example} there is no slip whose line does not follow"
