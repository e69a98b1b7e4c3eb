"""Pins in holes, plates in jaws, slings in bows: what goes into what, with what play, and what may never be."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.fit import Connection, Fit, Pair, fit_check
from plumbhook.checks.fit_rules import End, Form, connect
from plumbhook.checks.shackles.tables import dee_shackle
from plumbhook.core.audit import audit_check
from plumbhook.core.check import Status, Value

MM = 1e-3
PIN = End("SH-17", "bow shackle", Form.PIN, bar_m=42 * MM, opening_m=60 * MM, is_shackle=True)
BOW = End("SH-17", "bow shackle", Form.BOW, bar_m=38 * MM, opening_m=99 * MM)
LUG = End("lug", "lift point", Form.PLATE, bar_m=50 * MM, opening_m=44 * MM)
SLING = End("RS-20", "roundsling", Form.EYE, width_m=45 * MM, least_bearing_m=38 * MM)
ROPE = End(
    "WR-26", "wire rope sling", Form.EYE, opening_m=130 * MM, length_m=260 * MM, width_m=26 * MM,
    thickness_m=26 * MM, is_rope=True,
)  # fmt: skip
LINK = End("ML-63", "master link", Form.LINK, bar_m=63 * MM, opening_m=200 * MM, length_m=400 * MM)
HOOK = End("crane hook", "crane hook", Form.HOOK, bar_m=160 * MM, opening_m=75 * MM)


def check(connection: Connection):
    found = fit_check("fit.x", "fit", "x", connection=connection)
    assert audit_check(found) == ()
    return found


def mm(end: End, **sizes: float) -> End:
    return replace(end, **{name: size * MM for name, size in sizes.items()})


def test_a_pin_of_42_goes_into_a_hole_of_44_and_a_plate_of_50_between_jaws_of_60():
    connection = connect(PIN, [LUG])
    assert connection.fit is Fit.FITS
    assert not connection.attention
    assert [pair.sentence for pair in connection.pairs] == [
        "pin 42 mm in hole 44 mm",
        "plate 50 mm in jaw 60 mm",
    ]
    tightest = check(connection)
    assert (tightest.demand.value, tightest.capacity.value) == (42 * MM, 44 * MM)


@pytest.mark.parametrize(
    ("holder", "held", "sentence"),
    [
        (PIN, mm(LUG, opening_m=38), "pin 42 mm in hole 38 mm does not go"),
        (PIN, mm(LUG, bar_m=65), "plate 65 mm in jaw 60 mm does not go"),
        (BOW, mm(SLING, width_m=120), "sling 120 mm in bow 99 mm does not go"),
        (BOW, mm(SLING, least_bearing_m=45), "least bearing 45 mm on bar 38 mm does not go"),
        (HOOK, mm(LINK, bar_m=80), "link stock 80 mm in hook seat 75 mm does not go"),
        (HOOK, mm(LINK, opening_m=150), "hook 160 mm in inside width 150 mm does not go"),
        (mm(PIN, opening_m=50), LINK, "stock 63 mm in jaw 50 mm does not go"),
        (mm(BOW, bar_m=24), ROPE, "rope 26 mm on bar 24 mm does not go"),
        (mm(PIN, bar_m=140), ROPE, "bar 140 mm in natural eye 130 mm does not go"),
        (mm(PIN, bar_m=90), ROPE, "bar 3 × 90 mm in length of eye 260 mm does not go"),
    ],
)  # fmt: skip
def test_what_is_too_large_is_refused_with_both_sizes(holder, held, sentence):
    refused = check(connect(holder, [held]))
    assert refused.status is Status.FAIL
    assert sentence in refused.refused_because
    assert refused.utilisation > 1.0


@pytest.mark.parametrize(
    ("holder", "held"),
    [(PIN, LUG), (BOW, SLING), (PIN, LINK), (BOW, ROPE), (HOOK, LINK), (BOW, LUG), (LINK, BOW), (HOOK, PIN)],
)
def test_the_order_of_two_neighbours_changes_nothing(holder, held):
    one, other = connect(holder, [held]), connect(held, [holder])
    assert one.fit is other.fit
    assert {pair.sentence for pair in one.pairs} == {pair.sentence for pair in other.pairs}


@pytest.mark.parametrize("hole_mm", [45.0, 45.02, 45.1])
def test_a_hole_may_be_3_mm_or_5_percent_wider_than_its_pin_before_somebody_must_look(hole_mm):
    # Common practice, no source: 3 mm counts up to a pin of 60 mm, 5 % above.
    small = connect(PIN, [mm(LUG, opening_m=hole_mm)])
    large = connect(mm(PIN, bar_m=100, opening_m=140), [mm(LUG, opening_m=60 + hole_mm, bar_m=120)])
    assert bool(small.attention) is (hole_mm > 45.0)
    assert bool(large.attention) is (hole_mm > 45.0)
    assert small.fit is Fit.FITS


def test_a_thin_plate_is_centred_by_spacers_on_both_sides():
    connection = connect(PIN, [mm(LUG, bar_m=40)])
    assert "fill 10 mm on each side with loose spacers" in connection.attention[0]
    assert check(connection).status is Status.PASS
    assert check(connection).attention == " ".join(connection.attention)
    assert not connect(PIN, [mm(LUG, bar_m=45)]).attention


def test_two_slings_lie_beside_each_other_in_the_bow():
    assert connect(BOW, [SLING, SLING]).fit is Fit.FITS
    assert connect(BOW, [SLING, SLING, SLING]).fit is Fit.DOES_NOT_FIT
    assert "45 mm + 45 mm + 45 mm in bow 99 mm" in check(connect(BOW, [SLING] * 3)).refused_because


@pytest.mark.parametrize(("degrees", "fit"), [(60.0, Fit.FITS), (120.0, Fit.FITS), (121.0, Fit.DOES_NOT_FIT)])
def test_no_more_than_120_degrees_lie_between_two_legs_in_one_bow(degrees, fit):
    # ASME B30.26: included angle of two legs in a bow at most 120 degrees.
    connection = connect(BOW, [SLING, SLING], math.radians(degrees))
    assert connection.fit is fit
    assert check(connection).status is (Status.PASS if fit is Fit.FITS else Status.FAIL)


def test_several_legs_never_hang_on_the_pin_of_a_shackle():
    refused = check(connect(mm(PIN, opening_m=120), [SLING, SLING]))
    assert refused.refused_because == "2 legs on the pin of SH-17; legs belong in the bow"
    captive = replace(mm(PIN, opening_m=120), is_shackle=False)
    assert connect(captive, [SLING, SLING]).fit is Fit.FITS


def test_one_sling_on_the_pin_of_a_shackle_asks_for_a_pin_that_cannot_turn_out():
    assert "cannot turn out" in connect(PIN, [SLING]).attention[0]


def test_the_eye_of_a_rope_is_told_to_lose_strength_below_twice_its_diameter():
    # 0027/ND 7.8: no body over less than 1 d, eyes preferably not below 2 d.
    assert "less than twice the rope" in connect(mm(BOW, bar_m=51), [ROPE]).attention[0]
    assert not connect(mm(BOW, bar_m=52), [ROPE]).attention


@pytest.mark.parametrize(
    ("one", "other"), [(PIN, replace(PIN, name="SH-12")), (LUG, LUG), (SLING, ROPE), (LUG, HOOK)]
)
def test_what_cannot_be_joined_is_refused_whatever_its_sizes(one, other):
    assert "cannot be joined" in check(connect(one, [other])).refused_because


def test_a_sling_through_the_hole_of_a_plate_is_never_taken_for_fitting():
    assert connect(LUG, [SLING]).fit is Fit.UNKNOWN


@pytest.mark.parametrize("field", ["bar_m", "opening_m"])
@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_a_size_that_is_missing_or_makes_no_sense_is_not_known(field, bad):
    for connection in (
        connect(replace(PIN, **{field: bad}), [LUG]),
        connect(PIN, [replace(LUG, **{field: bad})]),
    ):
        assert connection.fit is not Fit.FITS
        assert check(connection).status is not Status.PASS


def test_what_is_missing_is_named():
    unknown = check(connect(replace(PIN, opening_m=math.nan), [LUG]))
    assert unknown.status is Status.NOT_EVALUATED
    assert unknown.not_evaluated_because == "not known: jaw of SH-17"


def test_a_misfit_outweighs_what_is_not_known():
    connection = connect(replace(PIN, opening_m=math.nan), [mm(LUG, opening_m=38)])
    assert check(connection).status is Status.FAIL


def test_nothing_at_all_is_not_known():
    assert Connection().fit is Fit.UNKNOWN
    assert check(Connection()).status is Status.NOT_EVALUATED
    assert connect(PIN, []).fit is Fit.UNKNOWN
    assert connect(End("corner", "corner", Form.NOT_STATED), [PIN]).missing == ("sizes of corner",)


SIZES = st.floats(min_value=1e-3, max_value=1.0)


@given(size=SIZES, room=SIZES, more=st.floats(min_value=1.0, max_value=3.0))
def test_more_room_never_makes_a_fit_worse_and_a_larger_size_never_better(size, room, more):
    def fits(a: float, b: float) -> bool:
        pair = Pair("pin", "hole", (Value("a", a, "m", "pin"),), Value("b", b, "m", "hole"))
        return pair.fit is Fit.FITS

    if fits(size, room):
        assert fits(size, room * more)
    else:
        assert not fits(size * more, room)


DEE_SIZES_T = (
    1.0,
    1.6,
    2.0,
    2.5,
    3.2,
    4.0,
    5.0,
    6.3,
    8.0,
    10.0,
    12.5,
    16.0,
    20.0,
    25.0,
    32.0,
    40.0,
    50.0,
    63.0,
    80.0,
)


@pytest.mark.parametrize("position", range(len(DEE_SIZES_T) - 1))
def test_a_lug_made_for_one_dee_shackle_of_the_published_table_does_not_take_the_next_one(position):
    # Code for lifting appliances, table 8.5.1: jaw a and pin d2 of mild steel shackles by rated load.
    own, larger = (dee_shackle(size * 1e3, "mild") for size in DEE_SIZES_T[position : position + 2])
    pins = [
        End("dee", "dee shackle", Form.PIN, bar_m=row.pin_m, opening_m=row.jaw_m, is_shackle=True)
        for row in (own, larger)
    ]
    lug = End("lug", "lug", Form.PLATE, bar_m=0.9 * own.jaw_m, opening_m=own.pin_m + 1.5 * MM)
    assert connect(pins[0], [lug]).fit is Fit.FITS
    assert not connect(pins[0], [lug]).attention
    assert connect(pins[1], [lug]).fit is Fit.DOES_NOT_FIT
