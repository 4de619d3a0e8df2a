"""The exact reading: what a tree is worth, as a polynomial with exact coefficients, or as true or false.

Trees are read term by term with exact numbers; nothing is approximated and nothing is simplified by pattern.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cmp_to_key, reduce
from operator import mul

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import numbers, polynomials, tree
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.quotients import Quotient, power_of_number, root_of
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import PROPERTY_NAMES, WHOLE_NUMBERS

Environment = Mapping[str, Exact]
PropertyTest = Callable[[str, tuple[Polynomial, ...]], bool]


def polynomial(node: Node, environment: Environment, main_letter: str = "") -> Polynomial:
    """The polynomial a term is, its parameters replaced by their values.

    environment: name -> exact value; other names stay letters. main_letter: the letter that `discriminant`
    is taken in where its argument has several. Raises DomainError for a division by zero, an even root of a
    negative number, a ± or a statement; BoundExceeded for what grows too large.

    >>> from itembank.expressions.parser import parse
    >>> polynomial(parse("x^2 - 2*h*x"), {"h": 4}).terms
    (((('x', 1),), -8), ((('x', 2),), 1))
    """
    match node:
        case tree.Number(value):
            return polynomials.number(numbers.whole(value))
        case tree.Name(name):
            return _given(environment[name]) if name in environment else polynomials.letter(name)
        case tree.Negation(operand):
            return polynomials.negate(polynomial(operand, environment, main_letter))
        case tree.Sum(first, rest):
            total = polynomial(first, environment, main_letter)
            for operator, term in rest:
                if operator == "±":
                    raise DomainError("± has two values")
                joined = polynomials.add if operator == "+" else polynomials.subtract
                total = joined(total, polynomial(term, environment, main_letter))
            return total
        case tree.Product(factors):
            product = polynomials.ONE
            for factor in factors:
                product = polynomials.multiply(product, polynomial(factor, environment, main_letter))
            return product
        case tree.Quotient(numerator, denominator):
            below = polynomial(denominator, environment, main_letter).constant()
            return polynomials.scale(polynomial(numerator, environment, main_letter), numbers.invert(below))
        case tree.Power(base, exponent):
            raised = polynomial(exponent, environment, main_letter).constant()
            if not isinstance(raised, int):
                return polynomials.number(rational_power(polynomial(base, environment, main_letter), raised))
            return polynomials.power(polynomial(base, environment, main_letter), raised)
        case tree.Call(function, arguments):
            return _call(function, arguments, environment, main_letter)
        case tree.PlusMinus():
            raise DomainError("± has two values")
        case _:
            raise DomainError("a statement has no numeric value")


def quotient(
    node: Node, environment: Environment, main_letter: str = "", *, positive: bool = False
) -> Quotient:
    """The same of a term that may be divided by its letters, and have them under roots and in exponents of numbers.

    positive: every letter is a positive number. Raises DomainError as `polynomial` does.
    """

    def read(part: Node) -> Quotient:
        return quotient(part, environment, main_letter, positive=positive)

    match node:
        case tree.Sum(first, rest):
            total = read(first)
            for operator, term in rest:
                if operator == "±":
                    raise DomainError("± has two values")
                total = total - read(term) if operator == "-" else total + read(term)
            return total
        case tree.Product(factors):
            return reduce(mul, map(read, factors))
        case tree.Negation(operand):
            return -read(operand)
        case tree.Quotient(numerator, denominator):
            return read(numerator) / read(denominator)
        case tree.Power(base, exponent):
            power = polynomial(exponent, environment, main_letter)
            if power.letters:
                return power_of_number(polynomial(base, environment, main_letter).constant(), power)
            raised = power.constant()
            if not isinstance(raised, int):
                return Quotient(polynomial(node, environment, main_letter))
            return read(base).power(raised)
        case tree.Call("sqrt" | "surd" | "root", (inside, *index)):
            radicand = read(inside)
            if not radicand.above.letters and not (positive and radicand.below.letters):
                return Quotient(polynomial(node, environment, main_letter))
            count = number(index[0], environment) if index else 2
            return root_of(radicand, count if isinstance(count, int) else 0, positive=positive)
        case tree.Call("keep" | "value" | "expand" | "factor", (inner,)):
            return read(inner)
        case _:
            return Quotient(polynomial(node, environment, main_letter))


def _given(value: Exact) -> Polynomial:
    return polynomials.number(value if isinstance(value, Surd) else numbers.whole(value))


def number(node: Node, environment: Environment, main_letter: str = "") -> Exact:
    """The exact number a term is. Raises DomainError as `polynomial` does, and for a letter without a value.

    >>> from itembank.expressions.parser import parse
    >>> number(parse("(h + 1)/2"), {"h": 4})
    Fraction(5, 2)
    """
    return polynomial(node, environment, main_letter).constant()


def truth(node: Node, environment: Environment, holds: PropertyTest, main_letter: str = "") -> bool:
    """Whether a statement about numbers holds. `holds(name, arguments)` decides properties.

    `and` and `or` look no further than they need. Raises DomainError as `polynomial` does, and for ≈.

    >>> from itembank.expressions.parser import parse
    >>> truth(parse("b^2 > 4*c and c != 0"), {"b": 5, "c": 6}, lambda name, arguments: False)
    True
    """
    match node:
        case tree.And(parts):
            return all(truth(part, environment, holds, main_letter) for part in parts)
        case tree.Or(parts):
            return any(truth(part, environment, holds, main_letter) for part in parts)
        case tree.Not(part):
            return not truth(part, environment, holds, main_letter)
        case tree.Relation((operand, tree.Name(of)), ("∈",)) if of == WHOLE_NUMBERS:
            value = polynomial(operand, environment, main_letter).constant()
            return not isinstance(value, numbers.Surd) and Fraction(value).denominator == 1
        case tree.Relation(operands, operators):
            values = [polynomial(operand, environment, main_letter).constant() for operand in operands]
            pairs = zip(values, operators, values[1:], strict=False)
            return all(_related(first, operator, second) for first, operator, second in pairs)
        case tree.Call("keep", (inner,)):
            return truth(inner, environment, holds, main_letter)
        case tree.Call(function, arguments) if function in PROPERTY_NAMES:
            return holds(function, tuple(_as_polynomial(a, environment, main_letter) for a in arguments))
        case _:
            raise DomainError("a number stands where something true or false is needed")


def _as_polynomial(node: Node, environment: Environment, main_letter: str) -> Polynomial:
    if isinstance(node, tree.Relation) and node.operators == ("=",):
        left, right = (polynomial(operand, environment, main_letter) for operand in node.operands)
        return polynomials.subtract(left, right)
    return polynomial(node, environment, main_letter)


def _related(first: Exact, operator: str, second: Exact) -> bool:
    if operator in {"=", "!="}:
        return (first == second) == (operator == "=")
    if operator == "≈":
        raise DomainError("≈ says nothing exact")
    order = numbers.compare(first, second)
    return {"<": order < 0, "<=": order <= 0, ">": order > 0, ">=": order >= 0}[operator]


def _rational(value: Exact) -> Fraction:
    if isinstance(value, Surd):
        raise DomainError("a surd stands where a rational number is needed")
    return Fraction(value)


def _integer(value: Exact) -> int:
    if not isinstance(value, int):
        raise DomainError("a whole number is needed here")
    return value


def _call(
    function: str, arguments: tuple[Node, ...], environment: Environment, main_letter: str
) -> Polynomial:
    if function in {"keep", "value", "expand", "factor"}:
        return polynomial(arguments[0], environment, main_letter)
    if function == "discriminant":
        inner = _as_polynomial(arguments[0], environment, main_letter)
        return polynomials.discriminant(inner, polynomials.letter_of(inner, main_letter))
    values = [polynomial(argument, environment, main_letter).constant() for argument in arguments]
    return polynomials.number(_arithmetic(function, values))


def _arithmetic(function: str, values: list[Exact]) -> Exact:
    match function:
        case "sqrt" | "surd":
            return numbers.square_root(values[0])
        case "root":
            return whole_root(_rational(values[0]), _integer(values[1]))
        case "abs":
            return values[0] if numbers.sign(values[0]) >= 0 else numbers.negate(values[0])
        case "gcd":
            return math.gcd(*(_integer(value) for value in values))
        case "lcm":
            return _least_common_multiple([_integer(value) for value in values])
        case "min":
            return min(values, key=cmp_to_key(numbers.compare))
        case "max":
            return max(values, key=cmp_to_key(numbers.compare))
        case "mod":
            return _remainder(_rational(values[0]), _rational(values[1]))
        case "round":
            places = _integer(values[1]) if len(values) > 1 else 0
            return numbers.whole(rounded(values[0], places))
        case "numerator":
            return _rational(values[0]).numerator
        case "denominator":
            return _rational(values[0]).denominator
        case _:
            raise DomainError(f"`{function}` has no numeric value")


def _least_common_multiple(values: list[int]) -> Exact:
    result: Exact = 1
    for value in values:
        result = numbers.whole(math.lcm(_integer(result), value))
    return result


def _remainder(value: Fraction, divisor: Fraction) -> Exact:
    """value - divisor * floor(value / divisor): it has the divisor's sign."""
    if divisor == 0:
        raise DomainError("division by zero")
    return numbers.whole(value % divisor)


def rounded(value: Exact, places: int) -> Fraction:
    """The value rounded half away from zero to so many decimal places (0 to 12), exactly.

    value: rational or a surd, which is never half-way.

    Raises DomainError for other places, BoundExceeded for a surd too close to half-way.
    Source: common practice in school mathematics, no source.

    >>> rounded(Fraction(-5, 2), 0)
    Fraction(-3, 1)
    """
    if not 0 <= places <= 12:
        raise DomainError("a number is rounded to 0 to 12 decimal places")
    if isinstance(value, Surd):
        scaled_up = numbers.multiply(value, 10**places)
        assert isinstance(scaled_up, Surd)
        return Fraction(_nearest(scaled_up), 10**places)
    scaled = abs(Fraction(value)) * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return Fraction(whole if value >= 0 else -whole, 10**places)


def _nearest(value: Surd) -> int:
    """The whole number nearest to a surd: that of both its bounds, once these are close enough."""
    for low, high, scale in numbers.bounds(value):
        nearest = (2 * low + scale) // (2 * scale)
        if nearest == (2 * high + scale) // (2 * scale):
            return nearest
    raise BoundExceeded(numbers.TOO_CLOSE)


def rational_power(base: Polynomial, exponent: Exact) -> Exact:
    """base ^ (p/q), the power of the root: of a number that is not negative, and only there is it a number.

    Raises DomainError for letters, negative numbers, surds in the exponent, and roots that do not come out.

    >>> rational_power(polynomials.number(16), Fraction(-3, 4)), rational_power(polynomials.number(3), Fraction(3, 2))
    (Fraction(1, 8), Surd(terms=((3, Fraction(3, 1)),)))
    """
    if base.letters:
        raise DomainError(
            "a letter has whole numbers as its exponents; a root of it is sqrt(x) or root(x, 3)"
        )
    if isinstance(exponent, Surd):
        raise DomainError("an exponent that is neither whole nor a fraction")
    value, power = base.constant(), Fraction(exponent)
    if numbers.sign(value) < 0:
        raise DomainError("a negative number has no power whose exponent is a fraction")
    root = (
        numbers.square_root(value)
        if power.denominator == 2
        else whole_root(_rational(value), power.denominator)
    )
    return numbers.power(root, power.numerator)


def whole_root(value: Fraction, index: int) -> Exact:
    """The real root of an index, negative for an odd index and a negative value.

    value: rational; index: 2 to 12. A square root may be a surd, every other must come out rational.
    Raises DomainError for an even root of a negative number and for what does not come out.

    >>> whole_root(Fraction(-8, 27), 3)
    Fraction(-2, 3)
    """
    if not 2 <= index <= 12:
        raise DomainError("a root has an index of 2 to 12")
    if index == 2:
        return numbers.square_root(numbers.whole(value))
    if value < 0 and index % 2 == 0:
        raise DomainError("an even root of a negative number is not real")
    above, below = (_perfect_root(abs(part), index) for part in (value.numerator, value.denominator))
    if above is None or below is None:
        raise DomainError("this root does not come out")
    return numbers.whole(Fraction(above if value >= 0 else -above, below))


def _perfect_root(n: int, index: int) -> int | None:
    low, high = 0, 1 << (n.bit_length() // index + 1)
    while low < high:
        middle = (low + high) // 2
        if middle**index < n:
            low = middle + 1
        else:
            high = middle
    return low if low**index == n else None
