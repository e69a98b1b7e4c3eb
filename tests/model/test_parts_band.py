"""Between what mass and centre of gravity lie: exact extremes against brute force, chance against sampling."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lift_texts import bridle, problems, read

from plumbhook.model.load import band_of_parts, mass_kg, mass_tolerance_ratio, parts_cog_m
from plumbhook.model.part import Part, free_range_m, volume_m3
from plumbhook.model.parts_band import PartClaim, largest_centroid, parts_band, smallest_centroid


def claim(
    mass: float, x: float, off: float = 0.0, place: float = 0.0, free: tuple[float, float] = (0.0, 0.0)
):
    at = (x, 0.0, 0.0)
    low, high = (x - free[0], 0.0, 0.0), (x + free[1], 0.0, 0.0)
    return PartClaim(mass, off, at, place, low, high)


def brute_force(claims: list[PartClaim]) -> tuple[float, float]:
    """Smallest and largest x over every corner of the box of masses and places."""
    found = []
    choices = [
        [(c.mass_kg + s * c.mass_tolerance_kg, x) for s in (-1, 1) for x in (c.lowest_m(0), c.highest_m(0))]
        for c in claims
    ]
    for corner in itertools.product(*choices):
        total = math.fsum(w for w, _ in corner)
        found.append(math.fsum(w * x for w, x in corner) / total)
    return min(found), max(found)


PARTS = st.lists(
    st.builds(
        lambda mass, x, ratio, place, free: claim(mass, x, ratio * mass, place, free),
        st.floats(1.0, 1e5),
        st.floats(-20.0, 20.0),
        st.floats(0.0, 1.0),
        st.floats(0.0, 0.5),
        st.tuples(st.floats(0.0, 2.0), st.floats(0.0, 2.0)),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=80, deadline=None)
@given(PARTS)
def test_the_worst_centre_of_gravity_is_that_of_the_worst_corner(claims: list[PartClaim]) -> None:
    claims.append(claim(1e3, 0.0))
    band = parts_band(claims, "worst")
    least, most = brute_force(claims)
    assert band.cog_low_m[0] == pytest.approx(least, abs=1e-9)
    assert band.cog_high_m[0] == pytest.approx(most, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(PARTS, st.floats(10.0, 900.0), st.floats(0.0, 1.0))
def test_an_opening_errs_the_other_way(claims: list[PartClaim], mass: float, ratio: float) -> None:
    claims += [claim(5e3, 1.0), claim(-mass, 3.0, 0.2 * ratio * mass, 0.1)]
    least, most = brute_force(claims)
    band = parts_band(claims, "worst")
    assert (band.cog_low_m[0], band.cog_high_m[0]) == pytest.approx((least, most), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(PARTS)
def test_parts_that_err_together_err_less_than_the_worst(claims: list[PartClaim]) -> None:
    claims.append(claim(1e3, 0.0, 10.0))
    together, worst = parts_band(claims, "correlated"), parts_band(claims, "worst")
    assert together.mass_high_kg == pytest.approx(worst.mass_high_kg)
    assert together.cog_low_m[0] >= worst.cog_low_m[0] - 1e-9
    assert together.cog_high_m[0] <= worst.cog_high_m[0] + 1e-9
    chance = parts_band(claims, "independent")
    assert chance.mass_high_kg - chance.mass_kg <= worst.mass_high_kg - worst.mass_kg + 1e-6


def test_no_combination_within_the_tolerances_leaves_the_worst_band() -> None:
    claims = [
        claim(4200, 4.6, 210, 0.02),
        claim(3700, 1.35, 370, 0.05),
        claim(2400, 6.9, 24, 0.0, (0.3, 0.1)),
    ]
    band = parts_band(claims, "worst")
    chance = np.random.default_rng(4)
    n = 20_000
    masses = np.array([c.mass_kg for c in claims]) + chance.uniform(-1, 1, (n, 3)) * [210, 370, 24]
    low, high = [c.lowest_m(0) for c in claims], [c.highest_m(0) for c in claims]
    x = (masses * chance.uniform(low, high, (n, 3))).sum(axis=1) / masses.sum(axis=1)
    assert band.cog_low_m[0] <= x.min()
    assert x.max() <= band.cog_high_m[0]
    assert x.max() > 0.8 * (band.cog_high_m[0] - band.cog_m[0]) + band.cog_m[0]


def test_independent_errors_add_as_sampling_says() -> None:
    claims = [claim(4200, 4.6, 210, 0.02), claim(3700, 1.35, 185, 0.05), claim(2400, 6.9, 120, 0.03)]
    band = parts_band(claims, "independent")
    chance = np.random.default_rng(11)
    masses = np.array([4200, 3700, 2400]) + chance.standard_normal((200_000, 3)) * [210, 185, 120]
    places = np.array([4.6, 1.35, 6.9]) + chance.standard_normal((200_000, 3)) * [0.02, 0.05, 0.03]
    x = (masses * places).sum(axis=1) / masses.sum(axis=1)
    assert band.cog_high_m[0] - band.cog_m[0] == pytest.approx(x.std(), rel=0.01)
    assert band.mass_high_kg - band.mass_kg == pytest.approx(masses.sum(axis=1).std(), rel=0.01)


def test_one_density_for_all_moves_no_centre_of_gravity() -> None:
    claims = [claim(m, x, 0.05 * m) for m, x in ((4200, 4.6), (3700, 1.35), (2400, 6.9))]
    band = parts_band(claims, "correlated")
    assert band.cog_low_m[0] == pytest.approx(band.cog_high_m[0], abs=1e-12)
    assert band.mass_high_kg == pytest.approx(1.05 * 10300)
    assert parts_band(claims, "worst").half_sizes_m[0] > 0.05


def test_a_threshold_between_equal_places_is_no_trouble() -> None:
    assert largest_centroid([1, 1, 1], [2, 2, 2], [5.0, 5.0, 5.0]) == pytest.approx(5.0)
    assert smallest_centroid([0, 1], [9, 1], [1.0, 3.0]) == pytest.approx(1.2)


@pytest.mark.parametrize(
    "claims",
    [
        [],
        [claim(math.nan, 0.0)],
        [claim(10.0, 0.0, -1.0)],
        [claim(10.0, 0.0, 11.0)],
        [claim(10.0, 0.0), claim(-9.0, 0.0, 2.0)],
    ],
)
def test_parts_that_make_no_sum_are_refused(claims: list[PartClaim]) -> None:
    with pytest.raises(ValueError, match=r"part|tolerance|openings"):
        parts_band(claims, "worst")


def part(**fields: object) -> Part:
    return Part.model_validate({"name": "p", "mass": "450 kg", "at": ["1 m", "0 m", "1 m"], **fields})


ROOM = {"low": ["0 m", "-1 m", "0 m"], "high": ["4 m", "1 m", "2 m"]}


def test_a_fluid_is_as_free_as_its_room_is_empty() -> None:
    half = part(movable={"kind": "fluid", "within": ROOM, "fills": "50 %"})
    assert free_range_m(half) == ((1.0, -0.5, 0.5), (3.0, 0.5, 1.5))
    assert free_range_m(part(movable={"kind": "fluid", "within": ROOM})) == ((0, -1, 0), (4, 1, 2))
    full = part(movable={"kind": "fluid", "within": ROOM, "fills": "100 %"})
    assert free_range_m(full) == ((1, 0, 1), (1, 0, 1))
    # The layer against one wall, and the wedge that stands in the corner, found by summing over small cells.
    x = (np.arange(400) + 0.5) / 100.0
    assert x[:200].mean() == pytest.approx(1.0)
    share = np.clip(1.0 - x / 4.0, 0.0, None)
    assert 1.0 < (x * share).sum() / share.sum() < 3.0


def test_a_loose_part_stays_half_its_size_off_the_walls_and_a_strap_holds_it() -> None:
    size = ["1 m", "1 m", "1 m"]
    assert free_range_m(part(size=size, movable={"kind": "loose", "within": ROOM})) == (
        (0.5, -0.5, 0.5),
        (3.5, 0.5, 1.5),
    )
    held = part(size=size, movable={"kind": "loose", "held_by": "two ratchet straps"})
    assert free_range_m(held) == ((1, 0, 1), (1, 0, 1))
    strapped_water = part(movable={"kind": "fluid", "within": ROOM, "held_by": "straps"})
    assert free_range_m(strapped_water) == ((0, -1, 0), (4, 1, 2))
    assert free_range_m(part(movable={"kind": "fluid"})) is None


def test_a_cylinder_has_its_volume() -> None:
    pipe = part(cylinder={"diameter": "2 m", "length": "3 m", "axis": "x"})
    assert volume_m3(pipe) == pytest.approx(3.0 * math.pi)


def with_parts(*parts: dict, **load: object) -> dict:
    lift = bridle()
    lift["load"].pop("cog")
    lift["load"].pop("cog_box")
    lift["load"]["weight"].pop("mass")
    lift["load"]["weight"].pop("tolerance")
    lift["load"].update({"parts": list(parts), **load})
    return lift


def known(mass: str = "2 t", at: tuple[str, str, str] = ("0 m", "0 m", "0.2 m"), **more: object) -> dict:
    return {
        "name": f"part of {mass}", "mass": mass, "at": list(at),
        "tolerance": "5 %", "position_tolerance": "20 mm", **more,
    }  # fmt: skip


def test_mass_tolerance_and_box_follow_from_parts_that_say_how_far_they_are_off() -> None:
    load = read(with_parts(known(), known("1 t", ("0.3 m", "0 m", "0.5 m"), tolerance="80 kg"))).file.load
    assert mass_kg(load) == pytest.approx(3000)
    assert mass_tolerance_ratio(load) == pytest.approx(180 / 3000)
    band = band_of_parts(load)
    assert band is not None
    assert load.cog_box.x_m == pytest.approx(max(band.half_sizes_m[0], 0.0))
    # By hand: 1900 kg at -0.02 m below 1080 kg at 0.28 m, or 2100 kg and 920 kg, and the other way round.
    assert band.cog_high_m[0] == pytest.approx((1900 * 0.02 + 1080 * 0.32) / 2980)
    assert band.cog_low_m[0] == pytest.approx((2100 * -0.02 + 920 * 0.28) / 3020)
    assert load.cog_box.source == "tolerances of the parts, worst combination"


def test_an_opening_takes_its_mass_away() -> None:
    load = read(with_parts(known("3 t"), known("500 kg", ("0.5 m", "0 m", "0.2 m"), opening=True))).file.load
    assert mass_kg(load) == pytest.approx(2500)
    assert parts_cog_m(load)[0] == pytest.approx(-0.1)


BAD = {
    "load.cog_box: how far the centre of gravity may be off is not given": with_parts(
        {**known(), "position_tolerance": None}
    ),
    "load.weight.tolerance: how far the mass may be off is not given": with_parts(
        {key: value for key, value in known().items() if key != "tolerance"}
    ),
    "load.parts: the openings take away as much": with_parts(known(), known("2 t", opening=True)),
    "load.parts: within their tolerances the openings may take away all": with_parts(
        known(), known("1.9 t", opening=True)
    ),
    "load.parts[1].tolerance: the tolerance is more than the mass": with_parts(known(tolerance="3 t")),
    'load.parts[1].tolerance: "-50 kg" is not possible here': with_parts(known(tolerance="-50 kg")),
    'load.parts[1].tolerance: "5 m" is a length': with_parts(known(tolerance="5 m")),
    'load.parts[1].tolerance: "1.5" is not possible here: it must be at most 1.00; a percentage': with_parts(
        known(tolerance="1.5")
    ),
    "load.parts[1].cylinder: the shape is given twice": with_parts(
        known(size=["1 m"] * 3, cylinder={"diameter": "1 m", "length": "1 m", "axis": "x"})
    ),
    'load.parts[1].solid_of: "concret" is not a material of the table; did you mean "concrete"?': with_parts(
        known(size=["1 m"] * 3, solid_of="concret")
    ),
    "load.parts[1].solid_of: the material is given without a shape": with_parts(known(solid_of="steel")),
    'load.kind: "skid" is not a kind of load': with_parts(known(), kind="skid"),
    "load.parts[2].movable: an opening cannot move": with_parts(
        known("3 t"), known(opening=True, movable={"kind": "loose", "held_by": "x"})
    ),
    "load.parts[1].movable.fills: only a fluid fills its room": with_parts(
        known(movable={"kind": "loose", "held_by": "straps", "fills": "50 %"})
    ),
    "load.parts[1].movable.within: the low end is not below the high end": with_parts(
        known(movable={"kind": "fluid", "within": {"low": ["1 m"] * 3, "high": ["1 m", "2 m", "2 m"]}})
    ),
    "load.parts[1].movable.within: along x its centre of gravity (9.000 m) is outside": with_parts(
        known(at=("9 m", "0 m", "0.2 m"), movable={"kind": "fluid", "within": ROOM})
    ),
    'load.weight.errors: "sum" is not accepted here': with_parts(
        known(), weight={"source": "s", "state": "t", "errors": "sum"}
    ),
}


@pytest.mark.parametrize("sentence", BAD)
def test_what_cannot_be_true_of_parts_is_said_in_a_sentence(sentence: str) -> None:
    lift = BAD[sentence]
    for one in lift["load"]["parts"]:
        if one.get("position_tolerance", "") is None:
            del one["position_tolerance"]
    found = problems(lift)
    place, _, message = sentence.partition(": ")
    assert any(p.startswith(f"{place}: {message}") for p in found), found
