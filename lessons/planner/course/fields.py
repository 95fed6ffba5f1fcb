"""Finite fields, and rings that are products of them, as far as pairings need them.

Elements are 0 to ``order - 1``. An element of a field of ``prime ** degree`` is a polynomial whose
coefficients are its digits in base ``prime``; products go by powers of a primitive element (R. Lidl
and H. Niederreiter, *Finite Fields*, 2nd ed., Cambridge 1997, chapters 2 and 3).
"""

from collections.abc import Callable
from itertools import product

Product = Callable[[int, int], int]


def prime_powers(number: int) -> list[tuple[int, int]]:
    """The number's factors as (prime, exponent): 12 gives (2, 2) and (3, 1)."""
    found, prime = [], 2
    while number > 1:
        exponent = 0
        while number % prime == 0:
            number //= prime
            exponent += 1
        if exponent:
            found.append((prime, exponent))
        prime += 1
    return found


def digits(number: int, base: int, count: int) -> list[int]:
    """The lowest ``count`` digits, the lowest first."""
    return [number // base**place % base for place in range(count)]


def number_of(coefficients: list[int], base: int) -> int:
    """The number with these digits, the lowest first."""
    return sum(digit * base**place for place, digit in enumerate(coefficients))


class Field:
    """The field of ``prime ** degree`` elements."""

    def __init__(self, prime: int, degree: int) -> None:
        self.prime, self.degree = prime, degree
        self.order: int = prime**degree
        self.powers = self._powers()
        self.logs = {element: exponent for exponent, element in enumerate(self.powers)}

    def add(self, one: int, other: int) -> int:
        pairs = zip(self._of(one), self._of(other), strict=True)
        return number_of([(a + b) % self.prime for a, b in pairs], self.prime)

    def multiply(self, one: int, other: int) -> int:
        if not one or not other:
            return 0
        return self.powers[(self.logs[one] + self.logs[other]) % (self.order - 1)]

    def _of(self, element: int) -> list[int]:
        return digits(element, self.prime, self.degree)

    def _powers(self) -> list[int]:
        """The powers of a primitive element, from the first monic polynomial that has one."""
        for low in product(range(self.prime), repeat=self.degree):
            powers, element = [1], self._by_root(1, low)
            while element not in (0, *powers):
                powers.append(element)
                element = self._by_root(element, low)
            if element == 1 and len(powers) == self.order - 1:
                return powers
        raise AssertionError("every finite field has a primitive element")

    def _by_root(self, element: int, low: tuple[int, ...]) -> int:
        """The element times a root of ``x ** degree - low``."""
        if self.degree == 1:
            return element * low[0] % self.prime
        *rest, top = self._of(element)
        shifted = zip([0, *rest], low, strict=True)
        return number_of([(a + top * b) % self.prime for a, b in shifted], self.prime)


class Ring:
    """The product of the fields that ``order`` factors into (order 12: of 4 and of 3 elements).

    ``apart`` holds elements whose differences all have an inverse, as many as the smallest field
    has: the idea of H. F. MacNeish, "Euler squares", Annals of Mathematics 23 (1922) 221-227.
    """

    def __init__(self, order: int) -> None:
        self.order = order
        self.fields = [Field(*factor) for factor in prime_powers(order)]
        smallest = min(field.order for field in self.fields)
        self.apart = [self._whole([n] * len(self.fields)) for n in range(smallest)]

    def line(self, slope: int, offset: int, at: int) -> int:
        """``slope * at + offset``."""
        parts = zip(self.fields, *map(self._parts, (slope, offset, at)), strict=True)
        return self._whole([f.add(f.multiply(m, x), b) for f, m, b, x in parts])

    def _parts(self, element: int) -> list[int]:
        parts = []
        for field in self.fields:
            element, part = divmod(element, field.order)
            parts.append(part)
        return parts

    def _whole(self, parts: list[int]) -> int:
        element = 0
        for field, part in zip(self.fields[::-1], parts[::-1], strict=True):
            element = element * field.order + part
        return element
