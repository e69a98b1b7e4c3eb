"""The audit finds a printed formula that is not what the code computed."""

import math
from dataclasses import replace

import pytest

from plumbhook.core.audit import audit_check, audit_checks, require_audit
from plumbhook.core.check import Check, Clause, Status, Step, Value
from plumbhook.core.errors import AuditError

CLAUSE = Clause("Statics")
WEIGHT = Value("W", 10_000.0, "N", "weight", "load statement")
ANGLE = Value("beta", math.radians(30.0), "rad", "angle of the legs from the vertical", "as drawn")
LEGS = Value("n", 2.0, "1", "number of legs", "rig")
TENSION = Value("T", 10_000.0 / (2.0 * math.cos(math.radians(30.0))), "N", "tension of one leg")
RATED = Value("T_all", 6_000.0, "N", "rated tension", "certificate")
STEP = Step(TENSION, "W/(n*cos(beta))", (WEIGHT, LEGS, ANGLE), CLAUSE)
CHECK = Check("leg.T", "leg", "Leg tension", TENSION, RATED, CLAUSE, (STEP,))


def messages(check: Check) -> str:
    return "\n".join(str(finding) for finding in audit_check(check))


def with_step(**changes: object) -> Check:
    return replace(CHECK, steps=(replace(STEP, **changes),))


def test_an_honest_check_has_no_finding():
    assert audit_check(CHECK) == ()
    require_audit([CHECK])
    assert CHECK.status is Status.PASS


def test_a_sine_printed_for_a_cosine_is_found_with_both_numbers():
    text = messages(with_step(formula="W/(n*sin(beta))"))
    assert "10000.0" in text
    assert repr(TENSION.value) in text


def test_a_forgotten_factor_is_found():
    assert "gives" in messages(with_step(formula="W/cos(beta) + 0*n"))


def test_a_result_changed_in_the_ninth_digit_is_found_and_one_of_the_last_digit_is_not():
    near = replace(TENSION, value=TENSION.value * (1.0 + 1e-8))
    nearer = replace(TENSION, value=TENSION.value * (1.0 + 1e-13))
    assert audit_check(replace(CHECK, demand=near, steps=(replace(STEP, result=near),)))
    assert not audit_check(replace(CHECK, demand=nearer, steps=(replace(STEP, result=nearer),)))


def test_rounding_where_terms_cancel_is_not_a_finding():
    a = Value("a", 1e8 + 0.1, "N", "force", "x")
    b = Value("b", 1e8, "N", "force", "x")
    difference = Value("d", 0.1, "N", "difference")
    step = Step(difference, "a - b", (a, b))
    assert difference.value != a.value - b.value
    assert audit_check(replace(CHECK, demand=difference, steps=(step,))) == ()


def test_a_symbol_without_an_input_and_an_input_without_use_are_found():
    assert "not among its inputs" in messages(with_step(inputs=(WEIGHT, LEGS)))
    unused = Value("k", 1.0, "1", "factor", "policy")
    assert "does not use its input 'k'" in messages(with_step(inputs=(WEIGHT, LEGS, ANGLE, unused)))
    assert "listed twice" in messages(with_step(inputs=(WEIGHT, LEGS, ANGLE, ANGLE)))


def test_a_formula_outside_the_whitelist_is_found():
    assert "not allowed" in messages(with_step(formula="W.real"))


def test_a_value_changed_between_two_steps_is_found():
    mass = Value("m", TENSION.value / 9.81, "kg", "as a mass")
    gravity = Value("g", 9.81, "m_s2", "gravity", "rules")
    changed = replace(TENSION, value=TENSION.value + 1.0)
    result = replace(mass, value=changed.value / 9.81)
    honest = Step(mass, "T/g", (TENSION, gravity))
    dishonest = Step(result, "T/g", (changed, gravity))
    assert audit_check(replace(CHECK, steps=(STEP, honest))) == ()
    assert "before" in messages(replace(CHECK, steps=(STEP, dishonest)))


def test_one_symbol_with_two_meanings_is_found():
    again = Step(replace(TENSION, value=1.0), "W/W", (WEIGHT,))
    assert "already has a meaning" in messages(replace(CHECK, steps=(STEP, again)))


def test_a_step_that_uses_what_is_computed_after_it_is_found():
    gravity = Value("g", 9.81, "m_s2", "gravity", "rules")
    mass = Step(Value("m", TENSION.value / 9.81, "kg", "as a mass"), "T/g", (TENSION, gravity))
    assert "before the step" in messages(replace(CHECK, steps=(mass, STEP)))


@pytest.mark.parametrize("role", ["demand", "capacity", "nominal"])
def test_a_demand_or_capacity_that_no_step_gives_is_found(role):
    other = Value("X", 1.0, "N", "a number from nowhere")
    assert "neither given" in messages(replace(CHECK, **{role: other}))
    wrong = replace(TENSION, value=1.0)
    assert "before" in messages(replace(CHECK, **{role: wrong}))


def test_a_value_without_unit_or_meaning_is_found():
    assert "no unit" in messages(replace(CHECK, capacity=replace(RATED, unit="")))
    assert "does not say" in messages(replace(CHECK, capacity=replace(RATED, meaning="")))
    assert "not an identifier" in messages(replace(CHECK, capacity=replace(RATED, symbol="T all")))


def test_a_missing_number_agrees_only_with_a_missing_number():
    missing = replace(WEIGHT, value=math.nan)
    nothing = replace(TENSION, value=math.nan)
    honest = replace(STEP, inputs=(missing, LEGS, ANGLE), result=nothing)
    assert audit_check(replace(CHECK, steps=(honest,), demand=nothing)) == ()
    assert audit_check(replace(CHECK, steps=(replace(honest, result=TENSION),)))
    assert audit_check(replace(CHECK, steps=(replace(STEP, result=nothing),), demand=nothing))


def test_a_number_where_the_formula_has_none_is_found():
    zero = replace(LEGS, value=0.0)
    assert "no value" in messages(with_step(inputs=(WEIGHT, zero, ANGLE)))


def test_two_checks_with_one_id_are_found():
    assert "two checks" in str(audit_checks([CHECK, CHECK])[0])


def test_a_wrong_check_is_refused_with_every_finding():
    wrong = with_step(formula="W/(n*sin(beta))")
    with pytest.raises(AuditError, match=r"leg\.T, T") as caught:
        require_audit([CHECK, replace(wrong, check_id="leg.U"), replace(wrong, check_id="leg.T")])
    assert "leg.U" in str(caught.value)
