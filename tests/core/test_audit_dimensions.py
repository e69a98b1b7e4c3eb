"""Units are followed through a printed formula."""

from dataclasses import replace

import pytest

from plumbhook.core.audit import audit_check
from plumbhook.core.check import Check, Clause, Step, Value
from plumbhook.core.dimensions import DimensionError, dimension_of, dimension_of_unit
from plumbhook.core.units import Kind

UNITS = {
    "F": "N",
    "m": "kg",
    "g": "m_s2",
    "L": "m",
    "A": "m2",
    "I": "m4",
    "E": "Pa",
    "w": "N_per_m",
    "beta": "rad",
}


@pytest.mark.parametrize(
    ("formula", "unit"),
    [
        ("m*g", "N"),
        ("F/g", "kg"),
        ("F/cos(beta)", "N"),
        ("pi**2*E*I/L**2", "N"),
        ("sqrt(I/A)", "m"),
        ("w*L**2/8", "Nm"),
        ("max(0, F - m*g)", "N"),
        ("L*L**-1", "1"),
        ("atan2(L, sqrt(A))", "rad"),
        ("sqrt(1 - (m*g/F)**2)", "1"),
        ("A**0.5 + L", "m"),
        ("F*0.5*(L + L)/L", "N"),
    ],
)
def test_a_sound_formula_has_the_unit_of_its_result(formula, unit):
    assert dimension_of(formula, UNITS) == dimension_of_unit(unit)


@pytest.mark.parametrize(
    "formula", ["F + m", "max(F, m)", "sin(L)", "exp(F)", "F - 1", "L**beta", "atan2(F, L)", "2**(L)+F"]
)
def test_unlike_quantities_are_not_added_compared_or_put_into_functions(formula):
    with pytest.raises(DimensionError):
        dimension_of(formula, UNITS)


def test_every_unit_word_of_the_program_has_a_dimension():
    for kind in Kind:
        dimension_of_unit(kind.value)


def test_an_unknown_unit_word_is_refused():
    with pytest.raises(DimensionError, match="furlong"):
        dimension_of_unit("furlong")


def test_a_mass_compared_as_a_force_is_found_although_the_numbers_agree():
    force = Value("F", 100.0, "N", "force", "rig")
    wrong = Value("m", 100.0, "kg", "load as a mass")
    limit = Value("WLL", 200.0, "kg", "rated load", "plate")
    check = Check("x", "x", "x", wrong, limit, Clause("Statics"), (Step(wrong, "F", (force,)),))
    (finding,) = audit_check(check)
    assert "kg" in finding.message
    honest = replace(wrong, unit="N")
    assert not audit_check(
        replace(check, demand=honest, capacity=replace(limit, unit="N"), steps=(Step(honest, "F", (force,)),))
    )
