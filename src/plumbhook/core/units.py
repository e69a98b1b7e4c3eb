"""Text to SI and SI to text. Nothing else in the program converts units.

Reading is strict: a closed list of unit words (:mod:`plumbhook.core.unit_words`), no bare number where a unit
is needed, no word that means two things. Printing follows the habits of the trade: tonnes with two decimals,
kilonewtons with one, angles in degrees with two decimals below one degree, and so on; the caller has
utilisations rounded up and capacities rounded down through ``rounding``.
"""

from __future__ import annotations

import difflib
import math
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from typing import Literal

from plumbhook.core.unit_words import AMBIGUOUS, BY_WORD, UNITS, Kind, UnitWord

__all__ = [
    "Kind",
    "UnitError",
    "accepted_words",
    "display_unit",
    "format_quantity",
    "kind_of",
    "parse_quantity",
    "printed_symbols",
]

System = Literal["metric", "us"]
Rounding = Literal["nearest", "up", "down"]

MINUS = "\u2212"
THOUSANDS = "\u00a0"  # no-break, so that a number is never cut at the end of a line

_LONGEST_TEXT = 80
_DIGITS = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_NUMBER = re.compile(rf"^([+-]?)({_DIGITS})([eE][+-]?[0-9]{{1,3}})?(?![0-9.,])\s*(.*)$")
_SPACE_GROUPS = re.compile(r"^([+-]?)([0-9]{1,3}(?: [0-9]{3})+)(\.[0-9]+)?(?![0-9.,])\s*(.*)$")
_COMMA_GROUPS = re.compile(r"^([+-]?)([0-9]{1,3}(?:,[0-9]{3})+)(\.[0-9]+)?(?![0-9.,])\s*(.*)$")
_DECIMAL_COMMA = re.compile(r"^[+-]?[0-9]+,[0-9]+(?![0-9.,])")
_FRACTION = re.compile(r"^([+-]?)(?:([0-9]+) )?([0-9]+)/([0-9]+) ?(in|inch|inches|ft|feet)$")
_FEET_INCHES = re.compile(
    rf"^([+-]?)([0-9]+) ?(?:ft|feet|foot),? ((?:[0-9]+ )?[0-9]+/[0-9]+|{_DIGITS}) ?(?:in|inch|inches)$"
)

# Other ways to type the same mark; those of units are not read inside a number, where 5² is not 52.
_SPACES_AND_SIGNS = str.maketrans(
    {"\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2007": " "}
)
_UNIT_MARKS = str.maketrans(
    {
        "\u00b2": "2",
        "\u00b3": "3",
        "\u2074": "4",
        "\u00b7": ".",
        "\u22c5": ".",
        "\u2219": ".",
        "*": ".",
        "^": None,
        "\u00ba": "\u00b0",
    }
)


class UnitError(ValueError):
    """A quantity that cannot be read; the message is one sentence with the cure."""


def kind_of(unit: str) -> Kind:
    """The kind that an SI unit word of :class:`plumbhook.core.check.Value` stands for.

    Raises:
        UnitError: the word is not one of them.
    """
    try:
        return Kind(unit)
    except ValueError:
        raise UnitError(f'"{unit}" is not an SI unit word of this program') from None


def accepted_words(kind: Kind) -> tuple[str, ...]:
    """Every unit word accepted for a kind, preferred spellings first."""
    units = [unit for unit in UNITS if unit.kind is kind and unit.words != ("1",)]
    return tuple(unit.words[0] for unit in units) + tuple(word for unit in units for word in unit.words[1:])


def printed_symbols(kind: Kind) -> tuple[str, ...]:
    """How the units of a kind are printed, e.g. ``m²``; each is also accepted on the way in."""
    return tuple(unit.symbol for unit in UNITS if unit.kind is kind and unit.symbol)


def parse_quantity(text: str, kind: Kind) -> float:
    """Read one quantity with its unit.

    Args:
        text: for instance ``12.4 t``, ``-1.05 m``, ``5 ft 6 in``, ``1/2 in``, ``85 %``. A ratio may be a bare
            number.
        kind: what must be measured.

    Returns:
        The quantity in the SI unit of the kind: finite, correctly rounded.

    Raises:
        UnitError: anything else than one finite number with one accepted unit of that kind.
    """
    plain = " ".join(text.translate(_SPACES_AND_SIGNS).split())
    shown = " ".join(text.splitlines())
    shown = shown if len(shown) <= _LONGEST_TEXT else shown[: _LONGEST_TEXT - 1] + "…"
    if not plain:
        raise UnitError(f'{kind.noun} is missing; write for instance "{kind.example}"')
    if len(plain) > _LONGEST_TEXT:
        raise UnitError(f'"{shown}" is too long for one quantity; write for instance "{kind.example}"')
    exact = _feet_and_fractions(plain, shown, kind)
    if exact is None:
        number, word = _split(plain, shown, kind)
        exact = number * _unit_for(word, shown, kind).factor
    try:
        value = float(exact)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise UnitError(f'"{shown}" is too large to be {kind.noun}; write for instance "{kind.example}"')
    return value


def _feet_and_fractions(plain: str, shown: str, kind: Kind) -> Fraction | None:
    """A length as ``5 ft 6 in``, ``1/2 in`` or ``5 1/2 in``; None where the text is none of them."""
    match = _FEET_INCHES.match(plain)
    if match:
        sign, feet, inches = match.groups()
        length = int(feet) * BY_WORD["ft"].factor + _mixed(inches, shown) * BY_WORD["in"].factor
    else:
        match = _FRACTION.match(plain)
        if not match:
            return None
        sign, whole, above, below, word = match.groups()
        length = _mixed(f"{whole or 0} {above}/{below}", shown) * BY_WORD[word].factor
    if kind is not Kind.LENGTH:
        raise UnitError(_wrong_kind(shown, Kind.LENGTH, kind))
    return -length if sign == "-" else length


def _mixed(text: str, shown: str) -> Fraction:
    try:
        return sum((Fraction(part) for part in text.split(" ")), Fraction(0))
    except ZeroDivisionError:
        raise UnitError(f'"{shown}" divides by zero; write the number as a decimal') from None


def _split(plain: str, shown: str, kind: Kind) -> tuple[Fraction, str]:
    """Number and unit word of a text, or the reason why not."""
    grouped = _SPACE_GROUPS.match(plain)
    if grouped:
        sign, digits, decimals, word = grouped.groups()
        return Fraction(f"{sign}{digits.replace(' ', '')}{decimals or ''}"), word
    grouped = _COMMA_GROUPS.match(plain)
    if grouped:
        sign, digits, decimals, word = grouped.groups()
        joined = digits.replace(",", "")
        if digits.count(",") == 1 and decimals is None:
            point = digits.replace(",", ".")
            raise UnitError(
                f'"{shown}" can be read as {joined} or as {point}; write the number without a comma'
            )
        return Fraction(f"{sign}{joined}{decimals or ''}"), word
    if _DECIMAL_COMMA.match(plain):
        raise UnitError(f'"{shown}" has a comma in the number; write the decimal sign as a point')
    match = _NUMBER.match(plain)
    if not match:
        raise UnitError(f'"{shown}" is not one number with its unit; write {kind.noun} like "{kind.example}"')
    sign, digits, exponent, word = match.groups()
    return Fraction(f"{sign}{digits}{exponent or ''}"), word


def _unit_for(word: str, shown: str, kind: Kind) -> UnitWord:
    word = word.translate(_UNIT_MARKS)
    if not word:
        if kind is Kind.RATIO:
            return BY_WORD["1"]
        raise UnitError(
            f'"{shown}" has no unit; write {kind.noun} with its unit, for instance "{kind.example}"'
        )
    if word in AMBIGUOUS:
        raise UnitError(f'"{shown}": {AMBIGUOUS[word]}')
    unit = BY_WORD.get(word)
    if unit is None or unit.words == ("1",):
        raise UnitError(_unknown_word(word, shown, kind))
    if unit.kind is not kind:
        raise UnitError(_wrong_kind(shown, unit.kind, kind))
    return unit


def _unknown_word(word: str, shown: str, kind: Kind) -> str:
    words = accepted_words(kind)
    by_case = [known for known in words if known.lower() == word.lower()]
    near = by_case or difflib.get_close_matches(word, words, n=1, cutoff=0.6)
    listed = ", ".join(unit.words[0] for unit in UNITS if unit.kind is kind and unit.words != ("1",))
    if near:
        return f'"{shown}": the unit "{word}" is not known; did you mean {near[0]}? Accepted are {listed}'
    cure = f'write it like "{kind.example}" (accepted are {listed})'
    return f'"{shown}" is not {kind.noun} with a known unit; {cure}'


def _wrong_kind(shown: str, found: Kind, wanted: Kind) -> str:
    stem = f'"{shown}" is {found.noun}, but {wanted.noun} is needed'
    if (found, wanted) == (Kind.MASS, Kind.FORCE):
        return f"{stem}; give the force in kN, or the mass in a field that asks for a mass"
    if (found, wanted) == (Kind.FORCE, Kind.MASS):
        return f"{stem}; give the mass in kg or t, as it is marked on the equipment"
    return f'{stem}; write it like "{wanted.example}"'


def format_quantity(
    value: float,
    unit: str,
    display: str = "",
    *,
    system: System = "metric",
    rounding: Rounding = "nearest",
    decimals: int | None = None,
) -> str:
    """Print a quantity for people.

    Args:
        value: the quantity in SI.
        unit: its SI unit word, as in :class:`plumbhook.core.check.Value`.
        display: unit word to print it in (``t``, ``kN.m`` or ``kN·m``); "" follows the habits of the trade.
        system: ``metric``, or ``us`` for US customary units (a metric ``display`` is then translated).
        rounding: ``nearest`` (half to even), ``up`` (towards plus infinity: demands, utilisations) or
            ``down`` (towards minus infinity: capacities), exact at the last printed decimal.
        decimals: number of decimals; None follows the habits of the trade.

    Returns:
        For instance ``12.40 t``, ``35.2°``, ``85.0 %``; ``missing`` for NaN; ``no limit`` (``∞`` for a
        dimensionless number) for infinity.

    Raises:
        UnitError: ``unit`` or ``display`` is not known or they do not measure the same.
    """
    number, symbol = display_unit(value, unit, display, system=system, rounding=rounding, decimals=decimals)
    if not symbol:
        return number
    return f"{number}{symbol}" if symbol == "°" else f"{number} {symbol}"


def display_unit(
    value: float,
    unit: str,
    display: str = "",
    *,
    system: System = "metric",
    rounding: Rounding = "nearest",
    decimals: int | None = None,
) -> tuple[str, str]:
    """Number text and unit text of :func:`format_quantity`, for tables that put the unit in the head.

    Raises:
        UnitError: as :func:`format_quantity`.
    """
    value = float(value)
    kind = kind_of(unit)
    word = _display_word(kind, display, system)
    if math.isnan(value):
        return "missing", ""
    if math.isinf(value):
        if value < 0:
            return f"{MINUS}∞", ""
        return ("∞", "") if kind is Kind.RATIO else ("no limit", "")
    chosen = BY_WORD[word or _habit(kind, abs(value), system)]
    number = _in_unit(value, chosen)
    places = decimals if decimals is not None else _decimals(chosen.words[0], abs(number))
    text = _rounded(number, places, rounding)
    if decimals is None and chosen.words == ("1",):
        text = _trim(text, keep=2)
    return text, chosen.symbol


_US_OF_METRIC = {
    "kg": "lb", "t": "lb", "m": "ft", "mm": "in", "cm": "in", "N": "lbf", "kN": "lbf", "MN": "kip",
    "Pa": "psf", "kPa": "psf", "MPa": "ksi", "GPa": "ksi", "t/m2": "psf", "m/s": "mph",
    "m2": "ft2", "cm2": "in2", "mm2": "in2", "kg/m": "lb/ft", "t/m": "lb/ft", "N.m": "lbf.ft",
    "kN.m": "kip.ft", "kg/m3": "lb/ft3", "N/m3": "lbf/ft3", "kN/m3": "lbf/ft3",
    "t/m3": "lb/ft3", "m/s2": "ft/s2", "m3": "ft3", "cm3": "in3", "mm3": "in3", "m4": "in4", "cm4": "in4",
    "mm4": "in4", "N/m": "lbf/ft", "kN/m": "kip/ft", "kN/mm": "kip/in", "m2/kg": "ft2/lb", "m2/t": "ft2/lb",
}  # fmt: skip

# (below this many SI units, print in this word); the last row has no bound.
_METRIC_HABIT: dict[Kind, tuple[tuple[float, str], ...]] = {
    Kind.MASS: ((1e3, "kg"), (math.inf, "t")),
    Kind.LENGTH: ((1.0, "mm"), (math.inf, "m")),
    Kind.FORCE: ((math.inf, "kN"),),
    Kind.ANGLE: ((math.inf, "deg"),),
    Kind.RATIO: ((math.inf, "1"),),
    Kind.STRESS: ((1e6, "kPa"), (1e10, "MPa"), (math.inf, "GPa")),
    Kind.SPEED: ((math.inf, "m/s"),),
    Kind.AREA: ((0.1, "cm2"), (math.inf, "m2")),
    Kind.LINE_MASS: ((math.inf, "kg/m"),),
    Kind.TORQUE: ((1e3, "N.m"), (math.inf, "kN.m")),
    Kind.DENSITY: ((math.inf, "t/m3"),),
    Kind.UNIT_WEIGHT: ((math.inf, "kN/m3"),),
    Kind.ACCELERATION: ((math.inf, "m/s2"),),
    Kind.TIME: ((120.0, "s"), (7200.0, "min"), (math.inf, "h")),
    Kind.MONTHS: ((math.inf, "months"),),
    Kind.SECTION_MODULUS: ((0.1, "cm3"), (math.inf, "m3")),
    Kind.SECOND_MOMENT: ((math.inf, "cm4"),),
    Kind.STIFFNESS: ((math.inf, "kN/m"),),
    Kind.ROTATIONAL_STIFFNESS: ((math.inf, "kN.m/rad"),),
    Kind.AREA_PER_MASS: ((math.inf, "m2/t"),),
}

# (at or above this number, this many decimals), largest bound first.
_DECIMALS: dict[str, tuple[tuple[float, int], ...]] = {
    "kg": ((0, 0),), "t": ((0, 2),), "lb": ((0, 0),), "short ton": ((0, 2),), "long ton": ((0, 2),),
    "m": ((0, 2),), "mm": ((0, 0),), "cm": ((0, 1),), "ft": ((0, 2),), "in": ((0, 1),), "yd": ((0, 2),),
    "N": ((0, 0),), "kN": ((0, 1),), "MN": ((0, 3),), "kgf": ((0, 0),), "tf": ((0, 2),), "lbf": ((0, 0),),
    "kip": ((0, 1),), "rad": ((0, 4),), "mrad": ((0, 1),), "deg": ((1, 1), (0, 2)), "1": ((0, 3),),
    "%": ((0, 1),), "Pa": ((0, 0),), "kPa": ((10, 0), (0, 1)), "MPa": ((1000, 0), (0, 1)), "GPa": ((0, 1),),
    "t/m2": ((0, 1),), "psi": ((0, 0),), "ksi": ((0, 1),), "psf": ((0, 0),), "m/s": ((0, 1),),
    "m2": ((0, 2),), "cm2": ((0, 1),),
    "kg/m": ((0, 1),), "N.m": ((0, 0),), "kN.m": ((0, 1),), "t/m3": ((0, 2),), "kg/m3": ((0, 0),),
    "m/s2": ((0, 3),), "months": ((0, 0),), "cm3": ((100, 0), (0, 1)), "cm4": ((100, 0), (0, 1)),
    "kN/m": ((0, 1),), "m2/t": ((0, 2),), "kN/m3": ((0, 1),), "lbf/ft3": ((0, 0),),
}  # fmt: skip


def _display_word(kind: Kind, display: str, system: System) -> str:
    """The preferred spelling of the unit to print in, "" where habit decides."""
    if not display:
        return ""
    unit = BY_WORD.get(display.translate(_UNIT_MARKS))
    if unit is None or unit.kind is not kind:
        raise UnitError(f'"{display}" is not a unit in which {kind.noun} can be printed')
    word = unit.words[0]
    return _US_OF_METRIC.get(word, word) if system == "us" else word


def _habit(kind: Kind, size: float, system: System) -> str:
    """The unit word a person of the trade would use for this size (SI, not negative)."""
    word = next((word for bound, word in _METRIC_HABIT[kind] if size < bound), _METRIC_HABIT[kind][-1][1])
    return _US_OF_METRIC.get(word, word) if system == "us" else word


def _in_unit(value: float, unit: UnitWord) -> Decimal:
    """The number to print, not yet rounded; from the shortest text of the float, so 0.0973 m is 97.3 mm."""
    exact = Fraction(Decimal(repr(value))) / unit.factor
    # 14 digits where the factor is not decimal, so that 30 deg or 20 000 lb that went through SI does not
    # print as one unit less when rounded down. Decimal factors need no such grace.
    digits = 14 if not unit.is_decimal else 40
    return Context(prec=digits).divide(Decimal(exact.numerator), Decimal(exact.denominator))


def _decimals(word: str, size: Decimal) -> int:
    rows = _DECIMALS.get(word)
    if rows is not None:
        return next(places for bound, places in rows if size >= bound)
    # Four significant digits for the units that have no habit, as far as that is still a number to read.
    return min(max(0, 3 - size.adjusted()), 12) if size else 0


def _rounded(number: Decimal, places: int, rounding: Rounding) -> str:
    mode = {"nearest": ROUND_HALF_EVEN, "up": ROUND_CEILING, "down": ROUND_FLOOR}[rounding]
    step = Decimal(1).scaleb(-places)
    context = Context(prec=max(60, number.adjusted() + places + 5) if number else 60)
    rounded = number.quantize(step, rounding=mode, context=context)
    if rounded == 0:
        rounded = abs(rounded)
    text = f"{abs(rounded):f}"
    whole, point, rest = text.partition(".")
    grouped = f"{int(whole):,}".replace(",", THOUSANDS) if len(whole) > 4 else whole
    return f"{MINUS if rounded < 0 else ''}{grouped}{point}{rest}"


def _trim(text: str, keep: int) -> str:
    """Drop trailing zeros beyond ``keep`` decimals."""
    whole, point, decimals = text.partition(".")
    trimmed = decimals[:keep] + decimals[keep:].rstrip("0")
    return f"{whole}{point}{trimmed}"
