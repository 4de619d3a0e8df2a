"""The few operations rules are mostly made of, without detours: for everything unusual the plain operation decides."""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import Any, Final

from itembank.audit.rule_expressions import FALSE, TRUE, Operation, Value

__all__ = ["shortcut"]

_NUMBERS: Final = frozenset({"integer", "float"})
_ORDERS: Final[dict[str, Callable[[Any, Any], bool]]] = {
    "lt": operator.lt, "lte": operator.le, "gt": operator.gt, "gte": operator.ge,
}  # fmt: skip


def shortcut(name: str, operation: Operation, *, exactly: bool) -> Operation:
    """An operation that gives what `operation` gives, sooner. exactly: an `equal` without tolerance."""
    if name == "match":
        return _match(operation)
    if name in {"and", "or"}:
        return _all(operation) if name == "and" else _any(operation)
    if name in _ORDERS:
        return _compared(_ORDERS[name], operation)
    return _compared(operator.eq, operation) if name == "equal" and exactly else operation


def _match(operation: Operation) -> Operation:
    def match(values: list[Value | None]) -> Value | None:
        if len(values) == 2:
            first, second = values
            if first is None or second is None:
                return None
            if first.base == second.base != "float" and first.cardinality == second.cardinality == "single":
                return TRUE if first.items == second.items else FALSE
        return operation(values)

    return match


def _all(operation: Operation) -> Operation:
    def every(values: list[Value | None]) -> Value | None:
        found: Value | None = TRUE
        for value in values:
            if value is TRUE:
                continue
            if value is FALSE:
                found = FALSE
            elif value is None:
                found = None if found is TRUE else found
            else:
                return operation(values)
        return found

    return every


def _any(operation: Operation) -> Operation:
    def some(values: list[Value | None]) -> Value | None:
        found: Value | None = FALSE
        for value in values:
            if value is FALSE:
                continue
            if value is TRUE:
                found = TRUE
            elif value is None:
                found = None if found is FALSE else found
            else:
                return operation(values)
        return found

    return some


def _compared(holds: Callable[[Any, Any], bool], operation: Operation) -> Operation:
    def compared(values: list[Value | None]) -> Value | None:
        if len(values) == 2:
            first, second = values
            if (
                first is not None and second is not None and first.base in _NUMBERS and second.base in _NUMBERS
                and len(first.items) == 1 == len(second.items)
            ):  # fmt: skip
                return TRUE if holds(first.items[0], second.items[0]) else FALSE
        return operation(values)

    return compared
