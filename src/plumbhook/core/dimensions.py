"""Dimensions of a printed formula: a length is never added to a force, and a result has the unit it is given.

This finds what numbers alone do not show: a factor that is missing on both sides, a mass used as a force, a constant
with a hidden unit. Angles count as dimensionless.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from plumbhook.core.expression import (
    CONSTANTS,
    Binary,
    Call,
    ExpressionError,
    Name,
    Negative,
    Node,
    Number,
    parse,
    symbols,
)

_REMEMBERED = 4096


class DimensionError(ExpressionError):
    """A formula that adds or compares unlike quantities, or a unit that is not known."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """Powers of kilogram, metre and second."""

    kg: Fraction = Fraction(0)
    m: Fraction = Fraction(0)
    s: Fraction = Fraction(0)

    def times(self, other: Dimension, power: Fraction = Fraction(1)) -> Dimension:
        """Product of the dimension with a power of another one."""
        return Dimension(self.kg + other.kg * power, self.m + other.m * power, self.s + other.s * power)

    def __str__(self) -> str:
        powers = (("kg", self.kg), ("m", self.m), ("s", self.s))
        return " ".join(name if power == 1 else f"{name}^{power}" for name, power in powers if power) or "1"


PURE_NUMBER = Dimension()


def _of(kg: int, m: int, s: int) -> Dimension:
    return Dimension(Fraction(kg), Fraction(m), Fraction(s))


_UNITS: Mapping[str, Dimension] = MappingProxyType(
    {
        "1": PURE_NUMBER,
        "rad": PURE_NUMBER,
        "kg": _of(1, 0, 0),
        "m": _of(0, 1, 0),
        "s": _of(0, 0, 1),
        "months": _of(0, 0, 1),
        "N": _of(1, 1, -2),
        "Pa": _of(1, -1, -2),
        "Nm": _of(1, 2, -2),
        "Nm_per_rad": _of(1, 2, -2),
        "N_per_m": _of(1, 0, -2),
        "kg_per_m": _of(1, -1, 0),
        "kg_per_m3": _of(1, -3, 0),
        "N_per_m3": _of(1, -2, -2),
        "m_s": _of(0, 1, -1),
        "m_s2": _of(0, 1, -2),
        "m2": _of(0, 2, 0),
        "m3": _of(0, 3, 0),
        "m4": _of(0, 4, 0),
        "m2_per_kg": _of(-1, 2, 0),
    }
)


def dimension_of_unit(unit: str) -> Dimension:
    """Dimension of an SI unit word of :class:`plumbhook.core.check.Value`.

    Raises:
        DimensionError: the word is not one of them.
    """
    if unit not in _UNITS:
        raise DimensionError(f"'{unit}' is not an SI unit word of this program")
    return _UNITS[unit]


def dimension_of(formula: str, units: Mapping[str, str]) -> Dimension | None:
    """Dimension of a formula.

    Args:
        formula: expression in Python syntax.
        units: SI unit word of each symbol.

    Returns:
        The dimension; None where the formula is nothing but zero, which has every dimension.

    Raises:
        DimensionError: unlike quantities are added or compared, a function is given something else than a pure
            number, a power is no plain number, or a unit is not known.
        ExpressionError: the formula cannot be read.
    """
    return _dimension_in(formula, tuple([(symbol, units[symbol]) for symbol in symbols(formula)]))


@lru_cache(maxsize=_REMEMBERED)
def _dimension_in(formula: str, units: tuple[tuple[str, str], ...]) -> Dimension | None:
    """The same for units by symbol; formulas come again with other numbers, never with other units."""
    return _dimension(parse(formula), {symbol: dimension_of_unit(unit) for symbol, unit in units})


def _dimension(node: Node, known: Mapping[str, Dimension]) -> Dimension | None:
    match node:
        case Number(value):
            return PURE_NUMBER if value else None
        case Name(symbol):
            return PURE_NUMBER if symbol in CONSTANTS else known[symbol]
        case Negative(operand):
            return _dimension(operand, known)
        case Binary("+" | "-", left, right):
            return _alike("added", _dimension(left, known), _dimension(right, known))
        case Binary("*" | "/" as operator, left, right):
            first, second = _dimension(left, known), _dimension(right, known)
            if first is None or second is None:
                return None if operator == "*" or first is None else first
            return first.times(second, Fraction(1 if operator == "*" else -1))
        case Binary(_, base, exponent):
            return _power(_dimension(base, known), exponent)
        case Call(function, arguments):
            return _call(function, [_dimension(argument, known) for argument in arguments])


def _power(base: Dimension | None, exponent: Node) -> Dimension | None:
    sign = 1
    while isinstance(exponent, Negative):
        exponent, sign = exponent.operand, -sign
    if base is None or base == PURE_NUMBER:
        return base
    if not isinstance(exponent, Number):
        raise DimensionError("a power of a quantity with a unit must be a plain number")
    return PURE_NUMBER.times(base, sign * Fraction(exponent.text))


def _call(function: str, arguments: list[Dimension | None]) -> Dimension | None:
    if function in ("min", "max", "abs"):
        found = arguments[0]
        for argument in arguments[1:]:
            found = _alike("compared", found, argument)
        return found
    if function == "sqrt":
        return None if arguments[0] is None else PURE_NUMBER.times(arguments[0], Fraction(1, 2))
    if function == "atan2":
        _alike("compared", *arguments)
        return PURE_NUMBER
    if arguments[0] not in (None, PURE_NUMBER):
        raise DimensionError(f"{function} takes a pure number, not {arguments[0]}")
    return PURE_NUMBER


def _alike(what: str, first: Dimension | None, second: Dimension | None) -> Dimension | None:
    if first is None or second is None:
        return first if second is None else second
    if first != second:
        raise DimensionError(f"{first} and {second} are {what}")
    return first
