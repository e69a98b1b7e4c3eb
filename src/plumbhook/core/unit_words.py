"""The closed list of unit words: what each measures and its exact size in SI.

Factors are fractions so that ``12.4 t`` becomes exactly the float nearest to 12400 kg. US customary sizes:
NIST Special Publication 811 (2008), Appendix B: the international foot is 0.3048 m, the avoirdupois pound
0.45359237 kg, the short ton 2000 lb, the long ton 2240 lb, all exact. Force units that carry a mass word
(``kgf``, ``lbf``, ``t/m2``) use the standard acceleration of free fall 9.80665 m/s2 (3rd CGPM, 1901).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


class Kind(Enum):
    """What is measured; the value is the SI unit word that :class:`plumbhook.core.check.Value` uses."""

    MASS = "kg"
    LENGTH = "m"
    FORCE = "N"
    ANGLE = "rad"
    RATIO = "1"
    STRESS = "Pa"
    SPEED = "m_s"
    AREA = "m2"
    LINE_MASS = "kg_per_m"
    TORQUE = "Nm"
    DENSITY = "kg_per_m3"
    UNIT_WEIGHT = "N_per_m3"
    ACCELERATION = "m_s2"
    TIME = "s"
    MONTHS = "months"
    SECTION_MODULUS = "m3"
    SECOND_MOMENT = "m4"
    STIFFNESS = "N_per_m"
    ROTATIONAL_STIFFNESS = "Nm_per_rad"
    AREA_PER_MASS = "m2_per_kg"

    @property
    def noun(self) -> str:
        """The kind with its article, e.g. ``a mass``."""
        return _NOUNS[self][0]

    @property
    def example(self) -> str:
        """A quantity of this kind as a person would write it."""
        return _NOUNS[self][1]


_NOUNS: dict[Kind, tuple[str, str]] = {
    Kind.MASS: ("a mass", "12.4 t"),
    Kind.LENGTH: ("a length", "4.30 m"),
    Kind.FORCE: ("a force", "120 kN"),
    Kind.ANGLE: ("an angle", "35 deg"),
    Kind.RATIO: ("a ratio", "85 %"),
    Kind.STRESS: ("a stress or pressure", "180 kPa"),
    Kind.SPEED: ("a speed", "9.8 m/s"),
    Kind.AREA: ("an area", "24 m2"),
    Kind.LINE_MASS: ("a mass per length", "66 kg/m"),
    Kind.TORQUE: ("a torque", "480 N.m"),
    Kind.DENSITY: ("a density", "2.55 t/m3"),
    Kind.UNIT_WEIGHT: ("a unit weight", "18 kN/m3"),
    Kind.ACCELERATION: ("an acceleration", "9.81 m/s2"),
    Kind.TIME: ("a time", "30 min"),
    Kind.MONTHS: ("a time in calendar months", "6 months"),
    Kind.SECTION_MODULUS: ("a section modulus or volume", "328 cm3"),
    Kind.SECOND_MOMENT: ("a second moment of area", "3598 cm4"),
    Kind.STIFFNESS: ("a stiffness or force per length", "850 kN/m"),
    Kind.ROTATIONAL_STIFFNESS: ("a rotational stiffness", "1200 kN.m/rad"),
    Kind.AREA_PER_MASS: ("an area per mass", "1.2 m2/t"),
}


@dataclass(frozen=True, slots=True)
class UnitWord:
    """One accepted unit.

    Attributes:
        words: the ways to write it; the first is the one the program prefers.
        kind: what it measures.
        factor: how many SI units it is.
        symbol: how it is printed.
    """

    words: tuple[str, ...]
    kind: Kind
    factor: Fraction
    symbol: str

    @property
    def is_decimal(self) -> bool:
        """Whether the factor is a whole power of ten, so that conversion loses nothing."""
        numerator, denominator = self.factor.numerator, self.factor.denominator
        return _is_power_of_ten(numerator) and _is_power_of_ten(denominator)


def _is_power_of_ten(number: int) -> bool:
    return str(number).rstrip("0") == "1"


_FOOT = Fraction(3048, 10_000)
_INCH = _FOOT / 12
_YARD = _FOOT * 3
_MILE = _FOOT * 5280
_POUND = Fraction(45_359_237, 100_000_000)
_GRAVITY = Fraction(980_665, 100_000)
_POUND_FORCE = _POUND * _GRAVITY
# The one irrational unit; the float nearest to pi/180 as an exact fraction.
_DEGREE = Fraction(math.pi) / 180
_MM = Fraction(1, 1000)
_CM = Fraction(1, 100)
_K, _M, _G = Fraction(10**3), Fraction(10**6), Fraction(10**9)
_ONE = Fraction(1)

_LIST: tuple[tuple[str, Kind, Fraction, str], ...] = (
    ("kg", Kind.MASS, _ONE, "kg"),
    ("t|tonne|tonnes|te", Kind.MASS, _K, "t"),
    ("lb|lbs", Kind.MASS, _POUND, "lb"),
    ("short ton|short tons", Kind.MASS, _POUND * 2000, "short ton"),
    ("long ton|long tons", Kind.MASS, _POUND * 2240, "long ton"),
    ("m", Kind.LENGTH, _ONE, "m"),
    ("mm", Kind.LENGTH, _MM, "mm"),
    ("cm", Kind.LENGTH, _CM, "cm"),
    ("ft|feet|foot", Kind.LENGTH, _FOOT, "ft"),
    ("in|inch|inches", Kind.LENGTH, _INCH, "in"),
    ("yd", Kind.LENGTH, _YARD, "yd"),
    ("N", Kind.FORCE, _ONE, "N"),
    ("kN", Kind.FORCE, _K, "kN"),
    ("MN", Kind.FORCE, _M, "MN"),
    ("kgf", Kind.FORCE, _GRAVITY, "kgf"),
    ("tf", Kind.FORCE, _GRAVITY * 1000, "tf"),
    ("lbf", Kind.FORCE, _POUND_FORCE, "lbf"),
    ("kip|kips", Kind.FORCE, _POUND_FORCE * 1000, "kip"),
    ("rad", Kind.ANGLE, _ONE, "rad"),
    ("mrad", Kind.ANGLE, _MM, "mrad"),
    ("deg|degree|degrees|°", Kind.ANGLE, _DEGREE, "°"),
    ("1", Kind.RATIO, _ONE, ""),
    ("%", Kind.RATIO, Fraction(1, 100), "%"),
    ("Pa|N/m2", Kind.STRESS, _ONE, "Pa"),
    ("kPa|kN/m2", Kind.STRESS, _K, "kPa"),
    ("MPa|N/mm2|MN/m2", Kind.STRESS, _M, "MPa"),
    ("GPa|kN/mm2", Kind.STRESS, _G, "GPa"),
    ("t/m2|tf/m2", Kind.STRESS, _GRAVITY * 1000, "t/m²"),
    ("psi|lbf/in2", Kind.STRESS, _POUND_FORCE / _INCH**2, "psi"),
    ("ksi|kip/in2", Kind.STRESS, _POUND_FORCE * 1000 / _INCH**2, "ksi"),
    ("psf|lbf/ft2", Kind.STRESS, _POUND_FORCE / _FOOT**2, "psf"),
    ("ksf|kip/ft2", Kind.STRESS, _POUND_FORCE * 1000 / _FOOT**2, "ksf"),
    ("m/s", Kind.SPEED, _ONE, "m/s"),
    ("km/h", Kind.SPEED, Fraction(1000, 3600), "km/h"),
    ("m/min", Kind.SPEED, Fraction(1, 60), "m/min"),
    ("mph", Kind.SPEED, _MILE / 3600, "mph"),
    ("ft/s", Kind.SPEED, _FOOT, "ft/s"),
    ("kn|knots", Kind.SPEED, Fraction(1852, 3600), "kn"),
    ("m2", Kind.AREA, _ONE, "m²"),
    ("cm2", Kind.AREA, _CM**2, "cm²"),
    ("mm2", Kind.AREA, _MM**2, "mm²"),
    ("ft2", Kind.AREA, _FOOT**2, "ft²"),
    ("in2", Kind.AREA, _INCH**2, "in²"),
    ("kg/m", Kind.LINE_MASS, _ONE, "kg/m"),
    ("t/m", Kind.LINE_MASS, _K, "t/m"),
    ("lb/ft", Kind.LINE_MASS, _POUND / _FOOT, "lb/ft"),
    ("N.m|Nm|N m", Kind.TORQUE, _ONE, "N·m"),
    ("kN.m|kNm|kN m", Kind.TORQUE, _K, "kN·m"),
    ("lbf.ft|ft.lbf", Kind.TORQUE, _POUND_FORCE * _FOOT, "ft·lbf"),
    ("kip.ft|ft.kip", Kind.TORQUE, _POUND_FORCE * 1000 * _FOOT, "kip·ft"),
    ("kg/m3", Kind.DENSITY, _ONE, "kg/m³"),
    ("t/m3", Kind.DENSITY, _K, "t/m³"),
    ("lb/ft3", Kind.DENSITY, _POUND / _FOOT**3, "lb/ft³"),
    ("N/m3", Kind.UNIT_WEIGHT, _ONE, "N/m³"),
    ("kN/m3", Kind.UNIT_WEIGHT, _K, "kN/m³"),
    ("lbf/ft3|pcf", Kind.UNIT_WEIGHT, _POUND_FORCE / _FOOT**3, "lbf/ft³"),
    ("m/s2", Kind.ACCELERATION, _ONE, "m/s²"),
    ("ft/s2", Kind.ACCELERATION, _FOOT, "ft/s²"),
    ("s", Kind.TIME, _ONE, "s"),
    ("min", Kind.TIME, Fraction(60), "min"),
    ("h", Kind.TIME, Fraction(3600), "h"),
    ("months|month", Kind.MONTHS, _ONE, "months"),
    ("years|year", Kind.MONTHS, Fraction(12), "years"),
    ("m3", Kind.SECTION_MODULUS, _ONE, "m³"),
    ("cm3", Kind.SECTION_MODULUS, _CM**3, "cm³"),
    ("mm3", Kind.SECTION_MODULUS, _MM**3, "mm³"),
    ("in3", Kind.SECTION_MODULUS, _INCH**3, "in³"),
    ("ft3", Kind.SECTION_MODULUS, _FOOT**3, "ft³"),
    ("m4", Kind.SECOND_MOMENT, _ONE, "m⁴"),
    ("cm4", Kind.SECOND_MOMENT, _CM**4, "cm⁴"),
    ("mm4", Kind.SECOND_MOMENT, _MM**4, "mm⁴"),
    ("in4", Kind.SECOND_MOMENT, _INCH**4, "in⁴"),
    ("N/m", Kind.STIFFNESS, _ONE, "N/m"),
    ("kN/m|N/mm", Kind.STIFFNESS, _K, "kN/m"),
    ("kN/mm|MN/m", Kind.STIFFNESS, _M, "kN/mm"),
    ("lbf/ft", Kind.STIFFNESS, _POUND_FORCE / _FOOT, "lbf/ft"),
    ("lbf/in", Kind.STIFFNESS, _POUND_FORCE / _INCH, "lbf/in"),
    ("kip/in", Kind.STIFFNESS, _POUND_FORCE * 1000 / _INCH, "kip/in"),
    ("kip/ft", Kind.STIFFNESS, _POUND_FORCE * 1000 / _FOOT, "kip/ft"),
    ("N.m/rad|Nm/rad", Kind.ROTATIONAL_STIFFNESS, _ONE, "N·m/rad"),
    ("kN.m/rad|kNm/rad", Kind.ROTATIONAL_STIFFNESS, _K, "kN·m/rad"),
    ("kN.m/deg|kNm/deg|kN.m/°", Kind.ROTATIONAL_STIFFNESS, _K / _DEGREE, "kN·m/°"),
    ("m2/kg", Kind.AREA_PER_MASS, _ONE, "m²/kg"),
    ("m2/t", Kind.AREA_PER_MASS, Fraction(1, 1000), "m²/t"),
    ("ft2/lb", Kind.AREA_PER_MASS, _FOOT**2 / _POUND, "ft²/lb"),
)

UNITS: tuple[UnitWord, ...] = tuple(
    UnitWord(tuple(words.split("|")), kind, factor, symbol) for words, kind, factor, symbol in _LIST
)

BY_WORD: dict[str, UnitWord] = {word: unit for unit in UNITS for word in unit.words}

# Words that mean different things to different people, each with the question to ask.
AMBIGUOUS: dict[str, str] = {
    **dict.fromkeys(
        ("ton", "tons", "Ton", "Tons", "TON", "TONS"),
        "which ton is meant? Write t (metric tonne, 1000 kg), short ton (2000 lb) or long ton (2240 lb)",
    ),
    **dict.fromkeys(
        ("MT", "mt", "Mt", "T"),
        "write t for the metric tonne (1000 kg), short ton (2000 lb) or long ton (2240 lb)",
    ),
    "st": "write short ton for 2000 lb; stones are not accepted",
    "g": "grams and g as gravity are not accepted; write the mass in kg, or an acceleration in m/s2",
    **dict.fromkeys(("kps", "kp"), "write kip for 1000 lbf or kgf for a kilogram-force"),
    **dict.fromkeys(
        ("ft.lb", "ft-lb", "lb.ft", "lb-ft", "ft lb", "ft-lbs", "ft.lbs"),
        "write ft.lbf (pound-force times foot)",
    ),
    **dict.fromkeys(("lb/in2", "lb/ft2"), "write psi or psf (pound-force per area)"),
}

# Angles given as a slope or in grads would be read wrongly by somebody.
AMBIGUOUS["gon"] = AMBIGUOUS["grad"] = "write the angle in deg or rad"
