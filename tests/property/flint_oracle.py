"""A second opinion on finished items, from their records alone: a reader of its own, and FLINT's arithmetic.

Nothing here comes from the program under test. Texts are read into polynomials over the rationals in the letters
of the text, one for each square root of a squarefree number; ± is read twice. Roots come from factorisation over
the integers, systems from a Groebner basis, discriminants and squarefree parts from FLINT's own functions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from typing import Any

import flint
from flint import fmpq, fmpz

Polynomial = Any
Element = dict[int, Polynomial]
"""squarefree radicand -> polynomial that multiplies its root."""

Root = tuple[fmpq, fmpq, int]
"""u + v*sqrt(m), m squarefree; (u, 0, 1) where it is rational."""

Solutions = frozenset[tuple[Root, ...]]


class CannotTell(Exception):
    """A text this oracle was not made for."""


# ---- numbers and elements ---------------------------------------------------------------------------------


def square_parts(n: int) -> tuple[int, int]:
    """(k, m) with n = k^2*m and m squarefree, for n >= 1, by FLINT's factorisation."""
    outside, inside = fmpz(1), fmpz(1)
    for prime, exponent in fmpz(n).factor():
        outside *= prime ** (exponent // 2)
        inside *= prime ** (exponent % 2)
    return int(outside), int(inside)


def squarefree(n: int) -> bool:
    """Whether no prime divides n >= 1 twice."""
    return all(exponent == 1 for _, exponent in fmpz(n).factor())


def added(first: Element, second: Element, sign: int = 1) -> Element:
    total = dict(first)
    for radicand, polynomial in second.items():
        total[radicand] = total[radicand] + sign * polynomial if radicand in total else sign * polynomial
    return {radicand: polynomial for radicand, polynomial in total.items() if not polynomial.is_zero()}


def multiplied(first: Element, second: Element) -> Element:
    total: Element = {}
    for r1, p1 in first.items():
        for r2, p2 in second.items():
            common, radicand = square_parts(r1 * r2)
            total = added(total, {radicand: common * p1 * p2})
    return total


def constant(element: Element) -> fmpq:
    """The rational number an element is."""
    if not element:
        return fmpq(0)
    if set(element) != {1} or not element[1].is_constant():
        raise CannotTell("a rational number is needed")
    return fmpq(element[1].leading_coefficient())


# ---- the reader -------------------------------------------------------------------------------------------

TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?)|([A-Za-z]+)|(!=|<=|>=|[-+*/^(),=<>±]))")
RELATIONS: Mapping[str, Callable[[fmpq, fmpq], bool]] = {
    "=": lambda a, b: bool(a == b),
    "!=": lambda a, b: bool(a != b),
    "<": lambda a, b: bool(a < b),
    "<=": lambda a, b: bool(a <= b),
    ">": lambda a, b: bool(a > b),
    ">=": lambda a, b: bool(a >= b),
}
FUNCTIONS = {"sqrt", "discriminant", "gcd", "abs"}


def letters_of(text: str) -> set[str]:
    """The letters of a text, words and functions apart."""
    return set(re.findall(r"[A-Za-z]+", text)) - FUNCTIONS - {"and", "or", "none"}


class Reader:
    """Reads one relation or expression; `sign` is what ± stands for, `bound` the letters a discriminant keeps."""

    def __init__(
        self, text: str, sign: int = 1, bound: tuple[str, ...] = (), values: Mapping[str, fmpq] | None = None
    ) -> None:
        self.tokens = self.split(text)
        self.at = 0
        self.sign = sign
        self.bound = bound
        self.values = values or {}
        letters = tuple(sorted(letters_of(text) - set(self.values))) or ("x",)
        self.context = flint.fmpq_mpoly_ctx.get(letters, "lex")

    @staticmethod
    def split(text: str) -> list[str]:
        tokens, position = [], 0
        while position < len(text.rstrip()):
            found = TOKEN.match(text, position)
            if found is None:
                raise CannotTell(f"{text!r} at {position}")
            tokens.append(found.group().strip())
            position = found.end()
        return [*tokens, ""]

    def taken(self, *wanted: str) -> str:
        """The next token where it is one of those wanted, else ""."""
        token = self.tokens[self.at]
        if token and token in wanted:
            self.at += 1
            return token
        return ""

    def needed(self, token: str) -> None:
        if not self.taken(token):
            raise CannotTell(f"{token!r} is missing in {self.tokens}")

    def ended(self) -> None:
        if self.tokens[self.at]:
            raise CannotTell(f"{self.tokens[self.at]!r} is left over in {self.tokens}")

    def number(self, value: Any) -> Element:
        return {1: self.context.constant(fmpq(value))} if value else {}

    def relation(self) -> tuple[Element, str, Element]:
        left = self.sum()
        sign = self.taken(*RELATIONS)
        right = self.sum() if sign else {}
        self.ended()
        return left, sign, right

    def sum(self) -> Element:
        total: Element = {}
        operator = self.taken("-", "±", "+") or "+"
        while operator:
            factor = {"+": 1, "-": -1, "±": self.sign}[operator]
            total = added(total, self.term(), factor)
            operator = self.taken("+", "-", "±")
        return total

    def term(self) -> Element:
        product = self.power()
        while operator := self.taken("*", "/"):
            negative = bool(self.taken("-"))
            factor = self.power()
            if operator == "/":
                factor = self.number(1 / constant(factor))
            product = multiplied(product, factor)
            if negative:
                product = added({}, product, -1)
        return product

    def power(self) -> Element:
        base = self.atom()
        if not self.taken("^"):
            return base
        exponent = constant(self.power())
        if exponent.q != 1 or not 0 <= exponent.p <= 20:
            raise CannotTell("an exponent that is no small whole number")
        result = self.number(1)
        for _ in range(int(exponent.p)):
            result = multiplied(result, base)
        return result

    def atom(self) -> Element:
        token = self.tokens[self.at]
        self.at += 1
        if token == "(":
            inner = self.sum()
            self.needed(")")
            return inner
        if token in FUNCTIONS:
            return self.call(token)
        if token in self.values:
            return self.number(self.values[token])
        if token.isalpha():
            return {1: self.context.gens()[self.context.names().index(token)]}
        if token and token[0].isdigit():
            whole, _, decimals = token.partition(".")
            return self.number(fmpq(int(whole + decimals), 10 ** len(decimals)))
        raise CannotTell(f"{token!r} in {self.tokens}")

    def call(self, function: str) -> Element:
        self.needed("(")
        arguments = [self.sum()]
        while self.taken(","):
            arguments.append(self.sum())
        self.needed(")")
        if function == "discriminant":
            return self.discriminant(arguments[0])
        values = [constant(argument) for argument in arguments]
        if function == "sqrt":
            (value,) = values
            if value < 0:
                raise CannotTell("a root of a negative number")
            if value == 0:
                return {}
            outside, inside = square_parts(int(value.p * value.q))
            return {inside: self.context.constant(fmpq(outside, value.q))}
        if function == "abs":
            return self.number(abs(values[0]))
        return self.number(fmpz(values[0].p).gcd(fmpz(values[1].p)))

    def discriminant(self, inside: Element) -> Element:
        (polynomial,) = inside.values()
        free = [
            name
            for name, degree in zip(self.context.names(), polynomial.degrees(), strict=True)
            if degree and name not in self.bound
        ]
        (letter,) = free
        found = polynomial.discriminant(letter)
        return {} if found.is_zero() else {1: found}


# ---- solving ----------------------------------------------------------------------------------------------


def roots_of(polynomial: flint.fmpq_poly) -> set[Root]:
    """The distinct real roots of a polynomial, not 0, whose irreducible factors have degree 1 or 2."""
    found: set[Root] = set()
    for factor, _ in polynomial.numer().factor()[1]:
        if factor.degree() == 1:
            found.add((fmpq(-factor[0], factor[1]), fmpq(0), 1))
        elif factor.degree() == 2:
            discriminant = int(factor.discriminant())
            if discriminant > 0:
                outside, inside = square_parts(discriminant)
                for sign in (1, -1):
                    found.add((fmpq(-factor[1], 2 * factor[2]), fmpq(sign * outside, 2 * factor[2]), inside))
        else:
            raise CannotTell("an irreducible polynomial of degree 3 or more")
    return found


def univariate(polynomial: Polynomial, letter: str) -> flint.fmpq_poly:
    """A polynomial in one letter only."""
    names = polynomial.context().names()
    coefficients: dict[int, fmpq] = {}
    for monomial, coefficient in polynomial.terms():
        degrees = {name: int(degree) for name, degree in zip(names, monomial, strict=True) if degree}
        if set(degrees) - {letter}:
            raise CannotTell(f"another letter than {letter}")
        coefficients[degrees.get(letter, 0)] = coefficient
    return flint.fmpq_poly([coefficients.get(degree, fmpq(0)) for degree in range(max(coefficients) + 1)])


def difference(text: str, sign: int, unknowns: tuple[str, ...]) -> Element:
    """left - right of an equation."""
    left, relation, right = Reader(text, sign, unknowns).relation()
    if relation != "=":
        raise CannotTell(f"{text!r} is no equation")
    return added(left, right, -1)


def linear_root(element: Element, letter: str) -> set[Root]:
    """The root of a*letter + b with rational a and b of the form u + v*sqrt(m)."""
    parts = {radicand: univariate(polynomial, letter) for radicand, polynomial in element.items()}
    slope = parts.get(1, flint.fmpq_poly([]))
    if slope.degree() != 1 or any(part.degree() > 0 for radicand, part in parts.items() if radicand > 1):
        raise CannotTell("an equation with roots that is not linear in the unknown")
    values = {radicand: -part[0] / slope[1] for radicand, part in parts.items()}
    rational = values.pop(1, fmpq(0))
    ((radicand, factor),) = values.items()
    return {(rational, factor, radicand)}


def coefficients_in(polynomial: Polynomial, letters: set[str]) -> list[Polynomial]:
    """What multiplies each monomial of some letters: all must vanish where it holds for every value of them."""
    context = polynomial.context()
    names = context.names()
    kept: dict[tuple[int, ...], Polynomial] = {}
    for monomial, coefficient in polynomial.terms():
        of_letters = tuple(int(d) if name in letters else 0 for name, d in zip(names, monomial, strict=True))
        rest = tuple(0 if name in letters else int(d) for name, d in zip(names, monomial, strict=True))
        term = context.from_dict({rest: coefficient})
        kept[of_letters] = kept[of_letters] + term if of_letters in kept else term
    return [polynomial for polynomial in kept.values() if not polynomial.is_zero()]


def points_of(equations: list[Polynomial], unknowns: tuple[str, ...]) -> Solutions:
    """The solutions of a system in several unknowns, from its Groebner basis in lexicographic order."""
    names = equations[0].context().names()
    context = flint.fmpz_mpoly_ctx.get(names, "lex")
    whole = []
    for equation in equations:
        scale = fmpz(1)
        for coefficient in equation.coeffs():
            scale = scale.lcm(coefficient.q)
        whole.append(context.from_dict({m: int(c.p * (scale // c.q)) for m, c in equation.terms()}))
    basis = flint.fmpz_mpoly_vec(whole, context).buchberger_naive().autoreduction()
    found: list[dict[str, Root]] = [{}]
    # the last letter first: each element of the basis gives one letter more, by those that are known
    for element in sorted(basis, key=lambda each: sum(1 for degree in each.degrees() if degree)):
        if element.is_constant():
            return frozenset()
        used = [name for name, degree in zip(names, element.degrees(), strict=True) if degree]
        found = [{**known, **more} for known in found for more in _one_more(element, names, used, known)]
    if any(set(values) != set(unknowns) for values in found):
        raise CannotTell("a system that leaves an unknown open")
    return frozenset(tuple(values[name] for name in unknowns) for values in found)


def _one_more(
    element: Any, names: tuple[str, ...], used: list[str], known: Mapping[str, Root]
) -> Iterator[dict[str, Root]]:
    """The letter that an element of a basis gives where others are known."""
    new = [name for name in used if name not in known]
    terms = {tuple(int(d) for d in m): c for m, c in element.terms()}
    if not new:
        raise CannotTell("a basis that says more than one thing of a letter")
    if len(used) == 1:
        at = names.index(used[0])
        powers = {m[at]: c for m, c in terms.items()}
        for root in roots_of(flint.fmpq_poly([fmpq(powers.get(d, 0)) for d in range(max(powers) + 1)])):
            yield {used[0]: root}
        return
    (letter, *others), at = new, names.index(new[0])
    (slope,) = [c for m, c in terms.items() if m[at]] or [fmpz(0)]
    total: Root = (fmpq(0), fmpq(0), 1)
    for monomial, coefficient in terms.items():
        if monomial[at]:
            if sum(monomial) != 1:
                raise CannotTell("a basis that is no chain")
            continue
        value: Root = (fmpq(coefficient), fmpq(0), 1)
        for name, degree in zip(names, monomial, strict=True):
            for _ in range(degree):
                value = _times(value, known[name])
        total = _plus(total, value)
    if others or not slope:
        raise CannotTell("a basis that is no chain")
    yield {letter: (-total[0] / slope, -total[1] / slope, total[2])}


def _plus(first: Root, second: Root) -> Root:
    if first[1] and second[1] and first[2] != second[2]:
        raise CannotTell("a sum of two roots")
    return first[0] + second[0], first[1] + second[1], second[2] if second[1] else first[2]


def _times(first: Root, second: Root) -> Root:
    if first[1] and second[1] and first[2] != second[2]:
        raise CannotTell("a product of two roots")
    m = second[2] if second[1] else first[2]
    return first[0] * second[0] + m * first[1] * second[1], first[0] * second[1] + first[1] * second[0], m


@lru_cache(
    maxsize=64
)  # the same text stands in a record more than once: as the key, as an option and as a line
def solutions(text: str, unknowns: tuple[str, ...]) -> Solutions:
    """All real solutions of a statement, for every value of its other letters."""
    if text == "none":
        return frozenset()
    found: set[tuple[Root, ...]] = set()
    for sign in (1, -1) if "±" in text else (1,):
        for alternative in text.split(" or "):
            texts = [each for part in alternative.split(" and ") for each in coordinates(part)]
            found |= conjunction(texts, sign, unknowns)
    return frozenset(found)


def coordinates(text: str) -> list[str]:
    """x = 2, y = 5 of (x, y) = (2, 5); any other text by itself."""
    found = re.fullmatch(r"\(?(\w+), (\w+)\) = \((.*)\)", text.strip("\n"))
    if found is None:
        return [text]
    depth = [0]
    for sign in found[3]:
        depth.append(depth[-1] + {"(": 1, ")": -1}.get(sign, 0))
    (at,) = [place for place, sign in enumerate(found[3]) if sign == "," and not depth[place]]
    return [f"{found[1]} = {found[3][:at]}", f"{found[2]} = {found[3][at + 1 :]}"]


def conjunction(texts: list[str], sign: int, unknowns: tuple[str, ...]) -> Solutions:
    if len(texts) == 1 and len(unknowns) == 1:
        element = difference(texts[0], sign, unknowns)
        if set(element) - {1}:
            return frozenset((root,) for root in linear_root(element, unknowns[0]))
    alone = [[name for name in unknowns if name in letters_of(text)] for text in texts]
    if len(texts) == len(unknowns) == 2 and sorted(alone) == sorted([[name] for name in unknowns]):
        each = {name: conjunction([text], sign, (name,)) for text, (name,) in zip(texts, alone, strict=True)}
        return frozenset((x, y) for (x,) in each[unknowns[0]] for (y,) in each[unknowns[1]])
    together = " , ".join(texts)
    context = flint.fmpq_mpoly_ctx.get(tuple(sorted(letters_of(together))), "lex")
    equations = []
    for text in texts:
        element = difference(text, sign, unknowns)
        if set(element) - {1}:
            raise CannotTell("a system with roots")
        for polynomial in element.values():
            moved = polynomial.project_to_context(context)
            equations += coefficients_in(moved, set(context.names()) - set(unknowns))
    if not equations:
        raise CannotTell("every value is a solution")
    if len(unknowns) > 1:
        return points_of(equations, unknowns)
    common = univariate(equations[0], unknowns[0])
    for equation in equations[1:]:
        common = common.gcd(univariate(equation, unknowns[0]))
    return frozenset((root,) for root in roots_of(common))


def holds_always(text: str, unknowns: tuple[str, ...]) -> bool:
    """Whether an equation holds for every value of its letters."""
    return not difference(text, 1, unknowns)


def value(text: str) -> frozenset[tuple[int, fmpq]]:
    """The exact value of an expression without letters."""
    reader = Reader(text)
    element = reader.sum()
    reader.ended()
    return frozenset((radicand, constant({1: part})) for radicand, part in element.items())


def condition(text: str, values: Mapping[str, fmpq]) -> bool:
    """Whether a relation between rational values holds."""
    left, sign, right = Reader(text, values=values).relation()
    return RELATIONS[sign](constant(left), constant(right))


# ---- properties -------------------------------------------------------------------------------------------


def quadratic(text: str, unknown: str) -> flint.fmpq_poly:
    (polynomial,) = difference(text, 1, (unknown,)).values()
    return univariate(polynomial, unknown)


def factor_degrees(polynomial: flint.fmpq_poly) -> list[tuple[int, int]]:
    """(degree, multiplicity) of each factor over the integers."""
    return sorted((factor.degree(), times) for factor, times in polynomial.numer().factor()[1])


def kind_of_roots(polynomial: flint.fmpq_poly) -> str:
    """The words for the roots of a quadratic."""
    match factor_degrees(polynomial):
        case [(1, 1), (1, 1)]:
            return "two different rational roots"
        case [(1, 2)]:
            return "one repeated root"
        case [(2, 1)]:
            real = polynomial.numer().discriminant() > 0
            return "two different irrational roots" if real else "no real roots"
        case other:
            raise CannotTell(f"no quadratic: {other}")


POLYNOMIAL_CLAIMS: Mapping[str, Callable[[flint.fmpq_poly], bool]] = {
    "irrational_roots": lambda f: kind_of_roots(f) == "two different irrational roots",
    "no_real_roots": lambda f: kind_of_roots(f) == "no real roots",
    "distinct_roots": lambda f: len(roots_of(f)) == 2,
    "integer_roots": lambda f: bool(roots_of(f)) and all(v == 0 and u.q == 1 for u, v, _ in roots_of(f)),
    "factorable": lambda f: all(degree == 1 for degree, _ in factor_degrees(f)),
    "even_linear_coefficient": lambda f: f[1].q == 1 and f[1].p % 2 == 0,
    "primitive": lambda f: f.denom() == 1 and f.numer().content() == 1,
}
NUMBER_CLAIMS: Mapping[str, Callable[[int], bool]] = {
    "squarefree": squarefree,
    "simplifiable_surd": lambda n: square_parts(n)[0] > 1 and square_parts(n)[1] > 1,
}


# ---- a whole item -----------------------------------------------------------------------------------------


def complaints(record: Mapping[str, Any], guarantees: list[str], constraints: list[str]) -> Iterator[str]:
    """Whatever in an item's record this oracle does not agree with. Nothing where all is right."""
    (part,) = record["parts"]
    unknowns = tuple(part["unknowns"])
    problem = part["problem"]["plain"]
    values = {name: fmpq(*map(int, told.split("/"))) for name, told in record["values"].items()}
    wanted = meaning(part, problem)
    if meaning(part, part["key"]["plain"]) != wanted:
        yield f"the key {part['key']['plain']} is not the answer to {problem}"
    if not _shown_in(problem, part["stem"]):
        yield f"the stem {part['stem']!r} does not show {problem}"
    for text in (part["key"]["plain"], *(slip["answer"] for slip in part["slips"])):
        if any(int(n) < 2 or not squarefree(int(n)) for n in re.findall(r"sqrt\((\d+)\)", text)):
            yield f"{text} is not in simplest form"
    for slip in part["slips"]:
        if meaning(part, slip["answer"]) == wanted:
            yield f"the slip {slip['slip']} is right"
    yield from _options(part, wanted) if part["response"] == "choice" else _boxes(part, wanted)
    for line in part["solution"]:
        if line["maths"] and not _line_follows(part, line["maths"], wanted):
            yield f"the line {line['maths']} does not follow from {problem}"
    for guarantee in guarantees:
        name, _, argument = guarantee.removesuffix(")").partition("(")
        if argument == "problem":
            right = POLYNOMIAL_CLAIMS[name](quadratic(problem, unknowns[0]))
        else:
            right = NUMBER_CLAIMS[name](int(values[argument].p))
        if not right:
            yield f"{guarantee} does not hold for {problem}"
    for text in constraints:
        if not condition(text, values):
            yield f"{text} does not hold for {record['values']}"


def meaning(part: Mapping[str, Any], text: str) -> Any:
    """What a text says about the answer: solutions, or a value where an expression is to be rewritten."""
    return value(text) if part["kind"] == "rewrite" else solutions(text, tuple(part["unknowns"]))


def _shown_in(problem: str, stem: str) -> bool:
    """Whether the stem shows the problem, or what it is asked about."""
    inside = re.search(r"discriminant\((.*)\)", problem)
    added_to = problem.partition(" + m =")[0]
    return problem in stem or (f"{inside[1]} = 0" in stem if inside else added_to in stem)


def _options(part: Mapping[str, Any], wanted: Any) -> Iterator[str]:
    options = part["options"]
    if sum(option["right"] for option in options) != 1 or len(options) != 4:
        yield "not exactly one of four options is right"
    if any(option["plain"].startswith(("two", "one", "no ")) for option in options):
        inside = re.search(r"discriminant\((.*)\)", part["problem"]["plain"])
        assert inside is not None
        kind = kind_of_roots(quadratic(f"{inside[1]} = 0", "x"))
        if [kind] != [option["plain"] for option in options if option["right"]]:
            yield f"{kind} is right"
        return
    meanings = [meaning(part, option["plain"]) for option in options]
    for option, found in zip(options, meanings, strict=True):
        if option["right"] != (found == wanted):
            yield f"the option {option['plain']} is told {'right' if option['right'] else 'wrong'}"
    if len(set(meanings)) != len(options):
        yield f"two options are equal: {[option['plain'] for option in options]}"


def _boxes(part: Mapping[str, Any], wanted: Solutions) -> Iterator[str]:
    if part["no_real_solution"] != (not wanted):
        yield "the tick for no real solution is wrong"
    unknowns = part["unknowns"]
    if part.get("points"):
        yield from points_apart(part, wanted)
        return
    for blank in part["blanks"]:
        held: set[Root] = set()
        for group in blank["values"]:
            boxes = dict(zip(blank["boxes"], group, strict=True))
            yield from _unlike_its_form(blank["form"], boxes)
            held |= box_roots(blank["form"], boxes)
        column = unknowns.index(blank["unknown"])
        if held != {solution[column] for solution in wanted}:
            yield f"the boxes {blank['values']} are not the answer to {part['problem']['plain']}"


def points_apart(part: Mapping[str, Any], wanted: Solutions) -> Iterator[str]:
    """Whether the points in boxes, each with its own coordinates, are the wanted ones."""
    found = set()
    for groups in zip(*(blank["values"] for blank in part["blanks"]), strict=True):
        held = {
            blank["unknown"]: box_value(blank["form"], dict(zip(blank["boxes"], group, strict=True)))
            for blank, group in zip(part["blanks"], groups, strict=True)
        }
        found.add(tuple(held[name] for name in part["unknowns"]))
    if found != wanted:
        yield f"the points {found} are not the answer to {part['problem']['plain']}"


def _unlike_its_form(form: str, boxes: Mapping[str, int]) -> Iterator[str]:
    if form == "fraction" and (
        boxes["denominator"] < 1 or fmpz(boxes["numerator"]).gcd(fmpz(boxes["denominator"])) != 1
    ):
        yield f"{boxes} is not in lowest terms"
    if form == "surd":
        p, q, s = boxes.get("p", 0), boxes.get("q", 1), boxes.get("s", 1)
        common = fmpz(p).gcd(fmpz(q)).gcd(fmpz(s))
        if q < 1 or s < 1 or boxes["r"] < 2 or not squarefree(boxes["r"]) or common != 1:
            yield f"{boxes} is not in simplest form"


def box_roots(form: str, boxes: Mapping[str, int]) -> set[Root]:
    if form == "integer":
        return {(fmpq(boxes["value"]), fmpq(0), 1)}
    if form == "fraction":
        return {(fmpq(boxes["numerator"], boxes["denominator"]), fmpq(0), 1)}
    if form != "surd":
        raise CannotTell(f"boxes of the form {form}")
    s = boxes.get("s", 1)
    outside, inside = square_parts(boxes["r"])
    factor = fmpq(boxes.get("q", 1) * outside, s)
    return {(fmpq(boxes.get("p", 0), s), sign * factor, inside) for sign in (1, -1)}


def box_value(form: str, boxes: Mapping[str, int]) -> Root:
    """The one number in boxes; of a surd that with the sign that is shown."""
    if form != "surd":
        (root,) = box_roots(form, boxes)
        return root
    s, (outside, inside) = boxes.get("s", 1), square_parts(boxes["r"])
    return fmpq(boxes.get("p", 0), s), fmpq(boxes.get("q", 1) * outside, s), inside


def _line_follows(part: Mapping[str, Any], text: str, wanted: Any) -> bool:
    if part["kind"] == "rewrite":
        left, _, right = text.partition(" = ")
        return value(left) == wanted and (not right or value(right) == wanted)
    named = tuple(name for name in part["unknowns"] if name in letters_of(text))
    if not named and text != "none":
        return holds_always(text, tuple(part["unknowns"]))
    columns = [part["unknowns"].index(name) for name in (named or part["unknowns"])]
    shown = solutions(text, named or tuple(part["unknowns"]))
    return shown == {tuple(solution[column] for column in columns) for solution in wanted}
