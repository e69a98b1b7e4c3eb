"""What the kernel reads off a posture in one call is what the reference solver says, to the last digits."""

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig

from plumbhook.model.rig_graph import support
from plumbhook.statics import _solve, solve
from plumbhook.statics._arrays import assemble
from plumbhook.statics._energy import hessian, lines, moved
from plumbhook.statics._linear import LinearRest
from plumbhook.statics._ready import drawn_state
from plumbhook.statics._seen import Seen
from plumbhook.statics._stiffness import stiffness_at
from plumbhook.statics.kernel.reading import read_posture
from plumbhook.statics.kernel.single import Single
from plumbhook.statics.sensitivity import _rows, _table, sensitivities

ROUNDING = 1e-12


def posture(kind, number=7):
    """A rig of a kind in a posture out of balance, lines taut and loose."""
    arrays = assemble(random_rig(kind, number))
    step = np.tile([0.02 * arrays.size_m] * 3 + [0.1] * 3, arrays.n_bodies)
    step *= np.random.default_rng(number).standard_normal(arrays.n_dof)
    return arrays, moved(drawn_state(arrays), step)


def parts(seen):
    return {
        **seen.now._asdict(),
        "unit": seen.unit,
        "lever": seen.lever_m,
        "matrix": seen.stiffness.matrix,
        "stretches": seen.stiffness.stretches,
        "pulls": seen.stiffness.pulls,
        "load": seen.inputs[0],
        "direct": seen.inputs[1],
    }


@pytest.mark.parametrize("kind", KINDS)
def test_interpreted_and_compiled_read_the_same_digits(kind, interpreted, compiled):
    arrays, state = posture(kind)
    by_machine = parts(read_posture(compiled, arrays, state))
    for name, by_hand in parts(read_posture(interpreted, arrays, state)).items():
        assert np.array_equal(by_machine[name], by_hand), name


@pytest.mark.parametrize("kind", KINDS)
def test_forces_and_stiffness_are_those_of_the_reference_solver(kind, interpreted):
    arrays, state = posture(kind)
    found = parts(read_posture(interpreted, arrays, state))
    now = lines(arrays, arrays.stiffness_N_m, state)
    assert found["active"].tolist() == now.active.tolist()
    plain = Seen.of(arrays, state, now)
    stiffness = stiffness_at(arrays, now, plain.unit)
    expected = now._asdict() | {
        "unit": plain.unit,
        "lever": plain.lever_m,
        "matrix": stiffness.matrix,
        "stretches": stiffness.stretches,
        "pulls": stiffness.pulls,
    }
    for name, value in expected.items():
        largest = np.abs(value).max()
        assert found[name] == pytest.approx(value, rel=0.0, abs=ROUNDING * largest), name
    rest = LinearRest(arrays, state, now, plain.unit, plain.lever_m)
    for name, rows in zip(("load", "direct"), _rows(rest, _table(arrays.structure)), strict=True):
        largest = np.abs(rows).max(axis=1, keepdims=True)
        assert (np.abs(found[name] - rows) <= ROUNDING * largest).all(), name
    blocks = hessian(arrays, arrays.stiffness_N_m, now)
    assert found["matrix"] == pytest.approx(blocks, rel=0.0, abs=ROUNDING * np.abs(blocks).max())


def test_some_of_these_postures_have_loose_lines(interpreted):
    loose = [kind for kind in KINDS if not read_posture(interpreted, *posture(kind)).now.active.all()]
    assert len(loose) >= 2


@pytest.mark.parametrize("kind", KINDS)
def test_sensitivities_of_a_solved_rig_are_those_formed_anew_from_its_poses(kind, monkeypatch, compiled):
    monkeypatch.setattr(_solve, "chosen_form", lambda: compiled)
    rig = random_rig(kind, 9)
    result = solve(rig)
    assert result.linear.inputs is not None
    at_once, anew = result.sensitivities, sensitivities(rig, result)
    assert anew.parameters == at_once.parameters
    units = np.array(
        [parameter.kind.value[:2] for parameter in anew.parameters]
    )  # per metre, newton, kilogram
    for name in ("by_element", "by_body", "by_tilt", "motion"):
        for unit in set(units):
            expected, found = (
                getattr(anew, name)[..., units == unit],
                getattr(at_once, name)[..., units == unit],
            )
            assert found == pytest.approx(expected, rel=0.0, abs=1e-9 * np.abs(expected).max()), (name, unit)


def test_rigs_on_supports_are_not_read(interpreted):
    rig = four_leg_bridle()
    below = support("below", f"load.{rig.bodies[0].points_m[0].name}", -50.0, 1e8)
    arrays = assemble(replace(rig, elements=(*rig.elements, below)))
    with pytest.raises(ValueError, match="supports"):
        read_posture(interpreted, arrays, drawn_state(arrays))


def test_a_rig_read_wrongly_is_not_taken_from_the_kernel(monkeypatch, compiled, interpreted):
    """Tensions that are not those of the posture fail the proof, whoever formed them."""
    rig = random_rig("c", 430)
    right = Single.read

    def wrong(self, form, state):
        seen = right(self, form, state)
        seen.now.tension[0] *= 1.0 + 1e-6
        return seen

    monkeypatch.setattr(_solve, "chosen_form", lambda: interpreted)
    reference = solve(rig)
    monkeypatch.setattr(Single, "read", wrong)
    monkeypatch.setattr(_solve, "chosen_form", lambda: compiled)
    assert solve(rig) == reference
