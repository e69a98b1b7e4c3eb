"""Claims: a value that is missing is not zero, and no number may be made of it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.claims import Claim, ClaimQuality

finite = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9)


def test_a_weighed_load_has_a_band() -> None:
    claim = Claim(47_848.0, "kg", tolerance=717.72, source="weighed", state="as stored")
    assert (claim.low, claim.best, claim.high) == pytest.approx((47_130.28, 47_848.0, 48_565.72))
    assert claim.quality is ClaimQuality.SOURCED


def test_a_missing_value_is_missing_and_never_zero() -> None:
    claim = Claim(None, "kg", source="client")
    assert claim.is_missing
    assert claim.quality is ClaimQuality.MISSING
    assert all(math.isnan(number) for number in (claim.low, claim.best, claim.high))
    assert not Claim(0.0, "kg").is_missing


def test_without_a_tolerance_the_band_is_not_known() -> None:
    claim = Claim(12.0, "m", source="drawing")
    assert claim.best == 12.0
    assert math.isnan(claim.low)
    assert math.isnan(claim.high)


def test_a_value_that_nobody_stands_for_is_an_assumption() -> None:
    assert Claim(12.0, "m", 0.1, source=" ").quality is ClaimQuality.ASSUMED


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_claim_is_made_of_finite_numbers(number: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        Claim(number, "kg")
    with pytest.raises(ValueError, match="finite"):
        Claim(1.0, "kg", tolerance=number)


def test_a_tolerance_is_not_negative_and_a_unit_is_known() -> None:
    with pytest.raises(ValueError, match="negative"):
        Claim(1.0, "kg", tolerance=-0.1)
    with pytest.raises(ValueError, match="SI unit word"):
        Claim(1.0, "tonne")


@given(value=finite, tolerance=st.floats(min_value=0, max_value=1e9))
def test_the_band_holds_the_value(value: float, tolerance: float) -> None:
    claim = Claim(value, "m", tolerance=tolerance)
    assert claim.low <= claim.best <= claim.high
