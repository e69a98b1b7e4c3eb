"""Text to SI and back.

Published sizes: NIST Special Publication 811 (2008), Appendix B.8 (factors listed alphabetically), seven digits as
printed there (transcribed from memory), and a second time from the constants that SciPy carries.
"""

import math

import pytest
import scipy.constants as published
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.unit_words import BY_WORD, UNITS
from plumbhook.core.units import (
    MINUS,
    THOUSANDS,
    Kind,
    UnitError,
    accepted_words,
    display_unit,
    format_quantity,
    kind_of,
    parse_quantity,
    printed_symbols,
)

ALL_WORDS = [(word, unit) for unit in UNITS for word in unit.words if unit.words != ("1",)]


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("1 ft", Kind.LENGTH, 3.048e-1),
        ("1 in", Kind.LENGTH, 2.54e-2),
        ("1 yd", Kind.LENGTH, 9.144e-1),
        ("1 lb", Kind.MASS, 4.535924e-1),
        ("1 short ton", Kind.MASS, 9.071847e2),
        ("1 long ton", Kind.MASS, 1.016047e3),
        ("1 kgf", Kind.FORCE, 9.80665),
        ("1 lbf", Kind.FORCE, 4.448222),
        ("1 kip", Kind.FORCE, 4.448222e3),
        ("1 psi", Kind.STRESS, 6.894757e3),
        ("1 ksi", Kind.STRESS, 6.894757e6),
        ("1 psf", Kind.STRESS, 4.788026e1),
        ("1 ft.lbf", Kind.TORQUE, 1.355818),
        ("1 mph", Kind.SPEED, 4.4704e-1),
        ("1 kn", Kind.SPEED, 5.144444e-1),
        ("1 km/h", Kind.SPEED, 2.777778e-1),
        ("1 lb/ft", Kind.LINE_MASS, 1.488164),
        ("1 lb/ft3", Kind.DENSITY, 1.601846e1),
        ("1 in2", Kind.AREA, 6.4516e-4),
        ("1 in3", Kind.SECTION_MODULUS, 1.638706e-5),
        ("1 in4", Kind.SECOND_MOMENT, 4.162314e-7),
        ("1 lbf/in", Kind.STIFFNESS, 1.751268e2),
        ("1 deg", Kind.ANGLE, 1.745329e-2),
        ("1 ft/s2", Kind.ACCELERATION, 3.048e-1),
    ],
)
def test_units_have_their_published_size(text: str, kind: Kind, si: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(si, rel=6e-7)


@pytest.mark.parametrize(
    ("word", "si"),
    [
        ("lb", published.pound),
        ("short ton", published.short_ton),
        ("long ton", published.long_ton),
        ("in", published.inch),
        ("ft", published.foot),
        ("lbf", published.pound_force),
        ("psi", published.psi),
        ("mph", published.mph),
        ("kn", published.knot),
        ("deg", published.degree),
        ("kgf", published.kilogram_force),
    ],
)
def test_units_have_the_size_that_another_library_gives_them(word: str, si: float) -> None:
    assert float(BY_WORD[word].factor) == pytest.approx(si, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("20367 kg", Kind.MASS, 20367.0),
        ("12.4 t", Kind.MASS, 12400.0),
        ("12.4t", Kind.MASS, 12400.0),
        ("12.4 tonnes", Kind.MASS, 12400.0),
        ("20 367 kg", Kind.MASS, 20367.0),
        ("20\u00a0367 kg", Kind.MASS, 20367.0),
        ("1,234,567 kg", Kind.MASS, 1234567.0),
        ("20,367.5 kg", Kind.MASS, 20367.5),
        ("1.2e3 kg", Kind.MASS, 1200.0),
        ("97.3 mm", Kind.LENGTH, 0.0973),
        ("-1.05 m", Kind.LENGTH, -1.05),
        ("\u22121.05 m", Kind.LENGTH, -1.05),
        ("40 ft", Kind.LENGTH, 12.192),
        ("5 ft 6 in", Kind.LENGTH, 66 * 0.0254),
        ("-5 ft 6 in", Kind.LENGTH, -66 * 0.0254),
        ("5 ft 6 1/2 in", Kind.LENGTH, 66.5 * 0.0254),
        ("1/2 in", Kind.LENGTH, 0.0127),
        ("5 1/2 in", Kind.LENGTH, 0.1397),
        ("85 %", Kind.RATIO, 0.85),
        ("85%", Kind.RATIO, 0.85),
        ("1.05", Kind.RATIO, 1.05),
        ("9.81 m/s²", Kind.ACCELERATION, 9.81),
        ("24 m²", Kind.AREA, 24.0),
        ("24 m^2", Kind.AREA, 24.0),
        ("480 N·m", Kind.TORQUE, 480.0),
        ("480 N.m", Kind.TORQUE, 480.0),
        ("480 Nm", Kind.TORQUE, 480.0),
        ("30°", Kind.ANGLE, math.pi / 6),
        ("18 t/m2", Kind.STRESS, 18 * 9806.65),
        ("1 year", Kind.MONTHS, 12.0),
    ],
)
def test_a_quantity_is_read_as_the_trade_writes_it(text: str, kind: Kind, si: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(si, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "sentence"),
    [
        ("12 ton", Kind.MASS, "which ton is meant"),
        ("12 tons", Kind.MASS, "short ton (2000 lb) or long ton (2240 lb)"),
        ("12 MT", Kind.MASS, "write t for the metric tonne"),
        ("12 g", Kind.MASS, "g as gravity"),
        ("12", Kind.MASS, 'has no unit; write a mass with its unit, for instance "12.4 t"'),
        ("12 kN", Kind.MASS, "is a force, but a mass is needed; give the mass in kg or t"),
        ("12 t", Kind.FORCE, "is a mass, but a force is needed; give the force in kN"),
        ("12 m", Kind.MASS, "is a length, but a mass is needed"),
        ("5 ft 6 in", Kind.MASS, "is a length, but a mass is needed"),
        ("12 KG", Kind.MASS, "did you mean kg?"),
        ("12 kilo", Kind.MASS, "accepted are kg, t, lb, short ton, long ton"),
        ("100 ft.lb", Kind.TORQUE, "write ft.lbf"),
        ("20,367 kg", Kind.MASS, "can be read as 20367 or as 20.367"),
        ("12,5 t", Kind.MASS, "write the decimal sign as a point"),
        ("12-14 t", Kind.MASS, "write it like"),
        ("nan kg", Kind.MASS, "not one number"),
        (".nan", Kind.MASS, "not one number"),
        ("inf kg", Kind.MASS, "not one number"),
        ("1e999 kg", Kind.MASS, "too large"),
        ("1e308 t", Kind.MASS, "too large"),
        ("1/0 in", Kind.LENGTH, "divides by zero"),
        ("5² m", Kind.LENGTH, "not a length with a known unit"),
        ("1·5 m", Kind.LENGTH, "not a length with a known unit"),
        ("٣ m", Kind.LENGTH, "not one number"),
        ("1.2.3 m", Kind.LENGTH, "not one number"),
        ("1,00,000 kg", Kind.MASS, "not one number"),
        ("", Kind.MASS, "a mass is missing"),
        ("   ", Kind.MASS, "a mass is missing"),
        ("1" * 200 + " kg", Kind.MASS, "too long"),
        ("about 12 t", Kind.MASS, "not one number"),
        ("1.05 1", Kind.RATIO, "not a ratio"),
    ],
)
def test_what_could_be_misread_is_refused_with_the_cure(text: str, kind: Kind, sentence: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_quantity(text, kind)
    message = str(refused.value)
    assert sentence in message
    assert "\n" not in message


@given(text=st.text(max_size=100), kind=st.sampled_from(Kind))
def test_any_text_is_a_finite_number_or_one_sentence(text: str, kind: Kind) -> None:
    try:
        value = parse_quantity(text, kind)
    except UnitError as refused:
        sentence = str(refused)
    else:
        assert math.isfinite(value)
        return
    assert sentence


@given(
    number=st.decimals(min_value=-10_000, max_value=10_000, places=3),
    case=st.sampled_from(ALL_WORDS),
    other=st.sampled_from(Kind),
)
def test_a_unit_word_belongs_to_one_kind_only(number: object, case: tuple, other: Kind) -> None:
    word, unit = case
    if other is not unit.kind:
        with pytest.raises(UnitError):
            parse_quantity(f"{number} {word}", other)


@given(number=st.decimals(min_value=-100_000, max_value=100_000, places=4), case=st.sampled_from(ALL_WORDS))
def test_what_is_printed_reads_back_within_its_last_digit(number: object, case: tuple) -> None:
    word, unit = case
    value = parse_quantity(f"{number} {word}", unit.kind)
    printed = format_quantity(value, unit.kind.value, unit.words[0])
    _, _, decimals = printed.replace(unit.symbol, "").strip().partition(".")
    step = float(unit.factor) * 10.0 ** -len(decimals)
    assert parse_quantity(printed, unit.kind) == pytest.approx(value, abs=0.5000001 * step, rel=1e-12)


@given(number=st.decimals(min_value=-100_000, max_value=100_000, places=3), case=st.sampled_from(ALL_WORDS))
def test_enough_decimals_read_back_exactly(number: object, case: tuple) -> None:
    word, unit = case
    value = parse_quantity(f"{number} {word}", unit.kind)
    printed = format_quantity(value, unit.kind.value, unit.words[0], decimals=3)
    assert parse_quantity(printed, unit.kind) == value


@given(number=st.floats(min_value=-1e9, max_value=1e9), case=st.sampled_from(ALL_WORDS))
def test_rounding_up_and_down_enclose_the_number(number: float, case: tuple) -> None:
    _, unit = case
    value = number * float(unit.factor)
    low, high = (
        parse_quantity(format_quantity(value, unit.kind.value, unit.words[0], rounding=way), unit.kind)
        for way in ("down", "up")
    )
    slack = 1e-12 * abs(value)
    assert low <= value + slack
    assert high >= value - slack


def test_every_word_is_listed_for_its_kind_and_its_symbol_reads_back() -> None:
    for unit in UNITS:
        if unit.symbol:
            assert set(unit.words) <= set(accepted_words(unit.kind))
            assert unit.symbol in printed_symbols(unit.kind)
            assert parse_quantity(f"1 {unit.symbol}", unit.kind) == pytest.approx(
                float(unit.factor), rel=1e-15
            )


def test_no_word_is_given_two_sizes() -> None:
    words = [word for unit in UNITS for word in unit.words]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("value", "unit", "display", "printed"),
    [
        (47848.0, "kg", "t", "47.85 t"),
        (47848.0, "kg", "", "47.85 t"),
        (47848.0, "kg", "kg", f"47{THOUSANDS}848 kg"),
        (1302.0, "kg", "kg", "1302 kg"),
        (489.0, "kg", "", "489 kg"),
        (159_300.0, "N", "", "159.3 kN"),
        (4.3, "m", "mm", "4300 mm"),
        (4.3, "m", "", "4.30 m"),
        (0.008, "m", "", "8 mm"),
        (math.radians(0.74), "rad", "", "0.74°"),
        (math.radians(35.27), "rad", "deg", "35.3°"),
        (0.8531, "1", "%", "85.3 %"),
        (1.05, "1", "", "1.05"),
        (1.1, "1", "", "1.10"),
        (0.4826, "1", "", "0.483"),
        (355e6, "Pa", "", "355.0 MPa"),
        (210e9, "Pa", "", "210.0 GPa"),
        (180e3, "Pa", "", "180 kPa"),
        (65.69e-4, "m2", "", "65.7 cm²"),
        (3598.4e-8, "m4", "", "3598 cm⁴"),
        (9.80665, "m_s2", "", "9.807 m/s²"),
        (480.0, "Nm", "", "480 N·m"),
        (850e3, "N_per_m", "", "850.0 kN/m"),
        (66.0, "kg_per_m", "", "66.0 kg/m"),
        (18 * 9806.65, "Pa", "t/m2", "18.0 t/m²"),
        (-1500.0, "N", "", f"{MINUS}1.5 kN"),
        (-1e-9, "N", "", "0.0 kN"),
        (math.nan, "N", "", "missing"),
        (math.inf, "N", "", "no limit"),
        (math.inf, "1", "%", "∞"),
        (-math.inf, "N", "", f"{MINUS}∞"),
    ],
)
def test_numbers_are_printed_by_the_habits_of_the_trade(
    value: float, unit: str, display: str, printed: str
) -> None:
    assert format_quantity(value, unit, display) == printed


def test_a_utilisation_is_never_printed_smaller_nor_a_capacity_larger() -> None:
    assert format_quantity(0.95001, "1", "%", rounding="up") == "95.1 %"
    assert format_quantity(0.95, "1", "%", rounding="up") == "95.0 %"
    assert format_quantity(12_499.99, "kg", "t", rounding="down") == "12.49 t"
    assert format_quantity(0.0973, "m", "mm", rounding="up", decimals=1) == "97.3 mm"


def test_a_limit_in_degrees_survives_rounding_down() -> None:
    limits = [format_quantity(math.radians(deg), "rad", rounding="down") for deg in (3, 5, 6, 30, 45)]
    assert limits == ["3.0°", "5.0°", "6.0°", "30.0°", "45.0°"]


def test_a_head_of_a_table_gets_its_unit_apart() -> None:
    assert display_unit(12_000.0, "N") == ("12.0", "kN")
    assert display_unit(math.nan, "N") == ("missing", "")
    assert display_unit(12_000.0, "Nm", "kN·m") == display_unit(12_000.0, "Nm", "kN.m") == ("12.0", "kN·m")


@pytest.mark.parametrize(
    ("value", "unit", "display", "printed"),
    [
        (9071.8474, "kg", "t", f"20{THOUSANDS}000 lb"),
        (0.3048, "m", "", "12.0 in"),
        (3.048, "m", "m", "10.00 ft"),
        (0.0254, "m", "mm", "1.0 in"),
        (4448.2216152605, "N", "kN", "1000 lbf"),
        (0.5, "1", "%", "50.0 %"),
        (math.radians(30), "rad", "deg", "30.0°"),
    ],
)
def test_a_metric_display_is_translated_for_us_readers(
    value: float, unit: str, display: str, printed: str
) -> None:
    assert format_quantity(value, unit, display, system="us") == printed


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_prints_in_both_systems(kind: Kind) -> None:
    for system in ("metric", "us"):
        printed = format_quantity(0.5, kind.value, system=system)
        assert (
            parse_quantity(printed, kind) == pytest.approx(0.5, rel=0.05) or float(printed.split()[0]) <= 1.0
        )


def test_an_unknown_unit_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(UnitError):
        kind_of("kilogram")
    with pytest.raises(UnitError):
        format_quantity(1.0, "kg", "kN")
    with pytest.raises(UnitError):
        format_quantity(1.0, "kg", "stone")


def test_a_text_of_several_lines_is_refused_in_one() -> None:
    with pytest.raises(UnitError) as refused:
        parse_quantity("160 mm\n- [10 m, 98.0 t]", Kind.LENGTH)
    assert "\n" not in str(refused.value)
