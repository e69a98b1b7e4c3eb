"""Closed forms of hand calculation: their laws, and the arguments that they refuse."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbhook.statics import closed_forms as cf

LENGTH = st.floats(0.1, 50.0)
OFFSET = st.floats(-20.0, 20.0)
FORCE = st.floats(0.0, 1e7)
RATIO = st.floats(0.0, 1.0)


@given(LENGTH, OFFSET)
def test_lever_shares_keep_force_and_moment(span, position):
    first, second = cf.lever_shares(span, position)
    assert first + second == pytest.approx(1.0)
    assert second * span == pytest.approx(position, abs=1e-9)


def test_lever_shares_beyond_a_line_are_negative_there():
    assert cf.lever_shares(4.0, 5.0) == (-0.25, 1.25)


@given(LENGTH, LENGTH, OFFSET, OFFSET)
def test_product_shares_keep_force_and_both_moments(span_x, span_y, x, y):
    shares = cf.product_shares(span_x, span_y, x, y)
    scale = max(1.0, *(abs(share) for share in shares))
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    assert sum(shares) == pytest.approx(1.0, abs=1e-12 * scale)
    across = sum(s * 0.5 * span_x * sx for s, (sx, _) in zip(shares, signs, strict=True))
    along = sum(s * 0.5 * span_y * sy for s, (_, sy) in zip(shares, signs, strict=True))
    assert (across, along) == pytest.approx((x, y), abs=1e-10 * scale * 50.0)


@given(*[st.tuples(OFFSET, OFFSET)] * 4)
def test_barycentric_shares_keep_force_and_both_moments(first, second, third, cog):
    area = (second[0] - first[0]) * (third[1] - first[1]) - (third[0] - first[0]) * (second[1] - first[1])
    assume(abs(area) > 1.0)
    shares = cf.barycentric_shares(first, second, third, cog)
    assert sum(shares) == pytest.approx(1.0, abs=1e-9 * max(map(abs, shares)))
    for axis in range(2):
        moment = sum(s * p[axis] for s, p in zip(shares, (first, second, third), strict=True))
        assert moment == pytest.approx(cog[axis], abs=1e-9 * max(1.0, *map(abs, shares)) * 20.0)


def test_three_points_on_one_line_fix_no_share():
    with pytest.raises(ValueError, match="one line"):
        cf.barycentric_shares((0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (0.5, 0.5))


@given(FORCE, LENGTH, LENGTH)
def test_a_sling_is_the_hypotenuse_of_its_vertical_and_horizontal_force(vertical, offset, height):
    length = math.hypot(offset, height)
    tension = cf.sling_tension_N(vertical, length, height)
    assert math.hypot(vertical, cf.horizontal_force_N(vertical, offset, height)) == pytest.approx(tension)


@given(FORCE, LENGTH, LENGTH)
def test_a_centred_strut_carries_half_the_load_over_the_tangent(load, span, height):
    """Equal legs, centred: N = (P/2) / tan(alpha), alpha from the horizontal."""
    assume(load > 1.0)
    alpha = math.atan2(height, 0.5 * span)
    assert cf.strut_force_N(0.5 * load, 0.5 * load, span, height) == pytest.approx(
        0.5 * load / math.tan(alpha)
    )


@given(st.floats(1.0, 1e7), LENGTH, LENGTH, LENGTH)
def test_a_strut_below_an_off_centre_hook(load, x1, x2, height):
    """V1 = P x2/(x1+x2), N = P x1 x2 / ((x1+x2) v)."""
    first, second = load * x2 / (x1 + x2), load * x1 / (x1 + x2)
    force = cf.strut_force_N(first, second, x1 + x2, height)
    assert force == pytest.approx(load * x1 * x2 / ((x1 + x2) * height))


def test_own_weight_of_a_strut_counts_half_at_each_end():
    """N rises by w L x_i / (2 v)."""
    bare = cf.strut_force_N(1e5, 1e5, 4.0, 2.0)
    assert cf.strut_force_N(1e5, 1e5, 4.0, 2.0, strut_weight_N=1e4) == pytest.approx(bare + 5e3 * 2.0 / 2.0)


@pytest.mark.parametrize(("lean_deg", "more"), [(5.0, True), (-5.0, False)])
def test_a_longer_strut_than_the_load_span_is_pressed_harder(lean_deg, more):
    bare = cf.strut_force_N(1e5, 1e5, 4.0, 2.0)
    lean = math.radians(lean_deg)
    leaning = cf.strut_force_N(1e5, 1e5, 4.0, 2.0, lean_1_rad=lean, lean_2_rad=lean)
    assert (leaning > bare) == more
    assert leaning - bare == pytest.approx(1e5 * math.tan(lean))


@given(LENGTH, st.floats(-10.0, 10.0), RATIO, st.floats(-1.0, 1.0))
def test_the_tilt_grows_with_the_offset_over_the_restoring_height(height, cog, ratio, offset):
    restoring = cf.restoring_height_m(height, cog, ratio)
    # A height in hand that is only the rounding of its parts has no tilt that could be told.
    assume(abs(restoring) > 1e-6 * (height + abs(cog)))
    assert restoring == pytest.approx(cf.largest_cog_height_m(height, ratio) - cog)
    if restoring <= 0.0:
        with pytest.raises(ValueError, match="not stable"):
            cf.tilt_rad(offset, height, cog, ratio)
    else:
        assert math.tan(cf.tilt_rad(offset, height, cog, ratio)) == pytest.approx(offset / restoring)


@given(LENGTH, LENGTH, RATIO, st.floats(0.01, 1.5))
def test_wide_top_slings_gain_nothing_and_narrow_ones_lose(half_span, height, ratio, half_angle):
    free = math.atan(half_span / cf.largest_cog_height_m(height, ratio))
    assert cf.largest_stable_tilt_rad(half_span, height, ratio, half_angle) == min(free, half_angle)
    base = cf.stability_triangle_base_m(half_span, height, ratio, half_angle)
    assert base <= 2.0 * half_span * (1.0 + 1e-12)


REFUSED = [
    (cf.lever_shares, (0.0, 1.0)),
    (cf.lever_shares, (2.0, math.nan)),
    (cf.product_shares, (2.0, -1.0, 0.0, 0.0)),
    (cf.product_shares, (2.0, 1.0, math.inf, 0.0)),
    (cf.barycentric_shares, ((0.0, 0.0), (1.0, 0.0), (0.0, math.nan), (0.1, 0.1))),
    (cf.sling_tension_N, (-1.0, 2.0, 1.0)),
    (cf.sling_tension_N, (1.0, 1.0, 2.0)),
    (cf.sling_tension_N, (1.0, 1.0, 0.0)),
    (cf.horizontal_force_N, (1.0, -1.0, 1.0)),
    (cf.horizontal_force_N, (1.0, 1.0, math.nan)),
    (cf.strut_force_N, (-1.0, 1.0, 1.0, 1.0)),
    (cf.strut_force_N, (0.0, 0.0, 1.0, 1.0)),
    (cf.strut_force_N, (1.0, 1.0, 1.0, 0.0)),
    (cf.largest_cog_height_m, (1.0, -0.1)),
    (cf.largest_cog_height_m, (0.0, 0.1)),
    (cf.restoring_height_m, (1.0, math.nan, 0.0)),
    (cf.tilt_rad, (math.nan, 2.0, 0.0, 0.0)),
    (cf.largest_stable_tilt_rad, (1.0, 1.0, 0.0, math.pi / 2)),
    (cf.largest_stable_tilt_rad, (0.0, 1.0, 0.0, 0.5)),
    (cf.stability_triangle_base_m, (1.0, 1.0, 0.0, 0.0)),
]


@pytest.mark.parametrize(("function", "arguments"), REFUSED)
def test_numbers_out_of_range_are_refused(function, arguments):
    with pytest.raises(ValueError, match=r"must|cannot|nothing"):
        function(*arguments)


@pytest.mark.parametrize("lean", [math.pi / 2, -2.0, math.nan])
def test_a_lean_of_a_right_angle_is_refused(lean):
    with pytest.raises(ValueError, match="lean_1_rad"):
        cf.strut_force_N(1.0, 1.0, 1.0, 1.0, lean_1_rad=lean)
