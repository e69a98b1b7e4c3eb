"""The working of a weighing by plain sums: level for the place in plan, tilted for the height."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.weighing import weighing_steps
from plumbhook.model.weighing_adjustment import Attitude, Observations, Support

AT = ((0.0, 0.0, 0.2), (4.0, 0.0, 0.2), (4.0, 3.0, 0.2), (0.0, 3.0, 0.2))
NO_COVARIANCE = ((0.0,) * 4,) * 4


def readings(mass, x, y):
    """Reactions at four corners that give a mass and its level distances; one way of many."""
    a, b = x / 4.0, y / 3.0
    return tuple(mass * share for share in ((1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b))


@given(
    st.floats(100.0, 1e5),
    st.floats(1.0, 3.0),
    st.floats(1.0, 2.0),
    st.floats(0.3, 1.5),
    st.floats(math.radians(2.0), math.radians(12.0)),
)
def test_level_and_raised_at_one_end_give_mass_place_and_one_height(mass, x, y, z, angle):
    cosine, sine = math.cos(angle), math.sin(angle)
    # Raised along x: what hangs higher moves back over the supports, in level distances of the tilted load.
    tilted_x = ((x * cosine - z * sine) + 0.2 * sine) / cosine
    observations = Observations(
        supports=tuple(Support(name, at) for name, at in zip("ABCD", AT, strict=True)),
        attitudes=(
            Attitude("level", readings(mass, x, y), NO_COVARIANCE),
            Attitude("raised", readings(mass, tilted_x, y), NO_COVARIANCE, 0.0, angle),
        ),
    )
    found = {step.result.symbol: step.result.value for step in weighing_steps(observations)}
    assert found["W"] == pytest.approx(mass)
    assert (found["x_c"], found["y_c"]) == pytest.approx((x, y))
    assert [symbol for symbol in found if symbol.startswith("z_c")] == ["z_c1"]
    assert found["z_c1"] == pytest.approx(z, abs=1e-9)
