"""The family of errors, and the places they point to. This room imports nothing of itembank.

ItembankError
├── InputError          the input is wrong: one or many diagnostics, each at its place   (exit status 1)
│   └── NotEnoughItems  more items were asked for than the mathematics has                (exit status 1)
├── ExtensionFailed     code of an extension raised what it may not: its maintainers' fault (exit status 1)
├── Contradiction       two of our own independent paths disagree: nothing is written    (exit status 3)
└── DomainError         a function was given a value outside its stated domain (a programmer's error,
                        or, at a template's values, an undefined expression)
    └── BoundExceeded   a number, power, depth or size is over a stated bound: refused, never waited for
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, ParamSpec, TypeVar


class Level(Enum):
    """How bad it is: WRONG stops the work, DOUBTFUL is told and goes on."""

    WRONG = "wrong"
    DOUBTFUL = "doubtful"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of one line of a source file. Lines and columns count from 1, columns in characters.

    `end_column` is the first column after the stretch; 0 where only the beginning is known.
    """

    path: str
    line: int
    column: int
    end_column: int = 0

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One thing that is wrong or doubtful, told to the person who can mend it.

    code: kebab-case words in the author's language (`key-equals-distractor`).
    message: the claim, one sentence without a full stop at its end.
    span: where; None when no file is concerned.
    excerpt: the source line at `span`, without its line end; "" where there is none.
    hint: what would be right; "" where nothing sensible can be said.
    related: another place that matters, with a word about it.
    also: further places where the very same thing strikes, which one mend takes away with this one.
    """

    code: str
    message: str
    span: Span | None = None
    level: Level = Level.WRONG
    excerpt: str = ""
    hint: str = ""
    related: tuple[Span, str] | None = None
    also: tuple[Span, ...] = ()


class ItembankError(Exception):
    """The root of the family."""


class InputError(ItembankError):
    """What was given is wrong; every diagnostic that could be found at once, ordered by place."""

    def __init__(self, diagnostics: Iterable[Diagnostic] | Diagnostic) -> None:
        given = (diagnostics,) if isinstance(diagnostics, Diagnostic) else tuple(diagnostics)
        self.diagnostics: tuple[Diagnostic, ...] = tuple(sorted(given, key=_place))
        super().__init__(
            "; ".join(f"{d.span}: {d.message}" if d.span else d.message for d in self.diagnostics)
        )

    def __reduce__(self) -> tuple[Any, ...]:
        """The family comes back from worker processes whole: an exception is else made again from its text."""
        return type(self), (self.diagnostics,)


class NotEnoughItems(InputError):
    """More items were asked for than there are; `possible` is the number that could be made."""

    def __init__(self, diagnostic: Diagnostic, possible: int) -> None:
        self.possible = possible
        super().__init__(diagnostic)

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.diagnostics[0], self.possible)


class ExtensionFailed(ItembankError):
    """Code of an extension raised something else than the errors it is told to raise."""


_Result = TypeVar("_Result")
_Given = ParamSpec("_Given")


def guarded(
    name: str, function: Callable[_Given, _Result], gives: tuple[type, ...] = (object,)
) -> Callable[_Given, _Result]:
    """A function of an extension whose failures are told as such; the family's own errors pass.

    gives: what it has to return is one of these.

    >>> try:
    ...     guarded("halves", lambda n: 1 // n)(0)
    ... except ExtensionFailed as failed:
    ...     print(failed)
    the extension `halves` failed: ZeroDivisionError: integer division or modulo by zero
    """

    def call(*given: _Given.args, **named: _Given.kwargs) -> _Result:
        try:
            result = function(*given, **named)
            if not isinstance(result, gives):
                wanted = " or ".join(each.__name__ for each in gives)
                raise TypeError(f"{_called(function)} gave {type(result).__name__} instead of {wanted}")
            return result
        except ItembankError:
            raise
        except (Exception, SystemExit) as failed:
            told = f"{type(failed).__name__}: {failed}"
            raise ExtensionFailed(f"the extension `{name}` failed: {told}") from failed

    return call


def no_functions(**supplied: object) -> str:
    """Which of what an extension supplies is no function, though it should be; "" where all are.

    >>> no_functions(test=len, prove=None)
    'has a `prove` that is no function'
    """
    return next(
        (f"has a `{name}` that is no function" for name, each in supplied.items() if not callable(each)), ""
    )


def _called(function: object) -> str:
    return f"`{getattr(function, '__name__', type(function).__name__)}`"


class Contradiction(ItembankError):
    """Two independent paths of our own disagree about one item: a fault of itembank, never of the author.

    template: its name; values: parameter name -> value as text; first, second: what each path says.
    """

    def __init__(
        self, *, template: str, address: str, values: Mapping[str, str], first: str, second: str
    ) -> None:
        self.template = template
        self.address = address
        self.values = dict(values)
        self.first = first
        self.second = second
        listed = ", ".join(f"{name} = {value}" for name, value in self.values.items())
        super().__init__(f"{template} at {address} ({listed}): {first}; but {second}")

    def __reduce__(self) -> tuple[Any, ...]:
        return _contradiction, (self.template, self.address, self.values, self.first, self.second)


def _contradiction(
    template: str, address: str, values: Mapping[str, str], first: str, second: str
) -> Contradiction:
    return Contradiction(template=template, address=address, values=values, first=first, second=second)


class DomainError(ItembankError, ValueError):
    """A value lies outside the domain a function states in its docstring."""


class BoundExceeded(DomainError):
    """A number, power, depth or size is over a stated bound."""


def _place(diagnostic: Diagnostic) -> tuple[str, int, int, str]:
    span = diagnostic.span
    return (span.path, span.line, span.column, diagnostic.code) if span else ("", 0, 0, diagnostic.code)
