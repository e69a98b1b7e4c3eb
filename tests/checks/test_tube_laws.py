"""Laws of a tube's section properties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.sections import (
    chs_area_m2,
    chs_elastic_modulus_m3,
    chs_plastic_modulus_m3,
    chs_second_moment_m4,
)


@given(diameter=st.floats(0.05, 1.0), share=st.floats(0.01, 0.99))
def test_a_tube_is_a_rod_less_its_bore(diameter: float, share: float) -> None:
    wall, bore = share * diameter / 2, diameter * (1 - share)
    for law in (chs_area_m2, chs_second_moment_m4, chs_plastic_modulus_m3):
        rod = law(diameter, diameter / 2)
        assert law(diameter, wall) + law(bore, bore / 2) == pytest.approx(rod)
    assert chs_plastic_modulus_m3(diameter, wall) >= chs_elastic_modulus_m3(diameter, wall)
