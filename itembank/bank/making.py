"""An item of a template and its proof; what is wrong is told at the author's line, or as our own contradiction."""

from __future__ import annotations

from typing import NoReturn

from itembank.bank.explain import diagnose, not_an_item
from itembank.bank.undefined import not_showable
from itembank.errors import Contradiction, DomainError, InputError
from itembank.generator.instantiate import Draft, Instantiator
from itembank.generator.unfit import NotAnItem
from itembank.items import Item
from itembank.proof.findings import Finding
from itembank.proof.guarantees import plain_number
from itembank.proof.prover import prove
from itembank.templates.template import Template

__all__ = ["made", "proof_of", "refuse"]


def made(instantiator: Instantiator, position: int, draft: Draft, code: str, band: str = "") -> Item:
    """The item of a draft. Raises InputError where the template does not fit its own values."""
    bound = instantiator.bound
    try:
        return instantiator.item(position, draft, code, band)
    except NotAnItem as wrong:
        values = {name: plain_number(value) for name, value in bound.values(draft.arguments).items()}
        raise InputError(not_an_item(instantiator.template, values, wrong)) from None
    except DomainError as impossible:
        raise InputError(not_showable(bound, draft, str(impossible))) from None


def proof_of(template: Template, item: Item) -> tuple[Finding, ...]:
    """Every claim about an item, each of them proved. Raises InputError or Contradiction as `refuse` does."""
    findings = prove(item)
    for finding in findings:
        if not finding.holds:
            refuse(template, item, finding)
    return findings


def refuse(template: Template, item: Item, finding: Finding) -> NoReturn:
    """Tells a claim that is not proved: raises InputError, or Contradiction where two of our roads disagree."""
    told = diagnose(template, item, finding)
    raise told if isinstance(told, Contradiction) else InputError(told)
