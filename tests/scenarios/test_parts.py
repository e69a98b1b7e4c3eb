"""Mass and centre of gravity of the invented loads out of their lists of parts, as planned and as found.

As found, 450 kg of water was left in the exchanger of the skid: a fluid in a room that it does not fill.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from tests.scenarios.variants import assessed, example

from plumbhook.checks.attitude import cog_inside_lift_points_check
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.load import cog_m, mass_kg
from plumbhook.model.load_review import review_load
from plumbhook.model.parts_band import PartClaim, parts_band
from plumbhook.planning import assess

ROWS = list(csv.DictReader((Path(__file__).parent / "parts.csv").read_text(encoding="utf-8").splitlines()))
STATED = {
    "segment": (47_848.0, (0.033, -0.015, 1.545)),
    "skid as planned": (16_850.0, (4.076, 0.020, 1.038)),
    "skid as found": (17_300.0, (4.059, 0.022, 1.035)),
}
WATER = (
    "    - {name: Water left in the exchanger, mass: 450 kg, at: [3.40 m, 0.10 m, 0.90 m], source: sight glass, "
    "movable: {kind: fluid, fills: 40 %, "
    "within: {low: [2.60 m, -0.20 m, 0.40 m], high: [3.60 m, 0.60 m, 2.30 m]}}}\n  lift_points:\n"
)
LAST_PART = "  lift_points:\n"


@pytest.mark.parametrize("scenario", STATED)
def test_the_parts_give_the_stated_mass_and_centre_of_gravity(scenario: str) -> None:
    claims = []
    for row in ROWS:
        if row["scenario"] == scenario:
            at = (float(row["x m"]), float(row["y m"]), float(row["z m"]))
            claims.append(PartClaim(float(row["mass kg"]), 0.0, at, 0.0, at, at))
    band = parts_band(claims, "worst")
    mass, cog = STATED[scenario]
    assert band.mass_kg == pytest.approx(mass, abs=0.5)
    assert band.cog_m == pytest.approx(cog, abs=0.0005)
    assert band.cog_low_m == pytest.approx(band.cog_high_m, abs=1e-12)


def test_the_lift_files_say_the_same() -> None:
    for folder, scenario in (("hallowmere-viaduct", "segment"), ("marrow-lane", "skid as planned")):
        load = example(folder).file.load
        mass, cog = STATED[scenario]
        assert mass_kg(load) == pytest.approx(mass, abs=0.5)
        assert cog_m(load) == pytest.approx(cog, abs=0.0005)


def test_water_left_in_makes_the_skid_as_found_and_is_told_to_the_crew() -> None:
    lift = example("marrow-lane", (LAST_PART, WATER))
    load = lift.file.load
    mass, cog = STATED["skid as found"]
    assert mass_kg(load) == pytest.approx(mass, abs=0.5)
    assert cog_m(load) == pytest.approx(cog, abs=0.0005)
    assert any("is not held" in remark.text for remark in review_load(load))
    found = assess(lift)
    assert any("Water left in the exchanger" in caution for caution in found.cautions)
    assert any("fluid, can move" in part.note for part in found.load.parts)
    # Filled to 40 %, the water moves 0.30 m either way at most: 8 mm of the whole, within the box of 50 mm.
    worst = next(band for band in found.load.bands if band.rules)
    shift = 450.0 * (3.60 - 0.20 - 3.40) / 17_300.0
    chance = math.fsum(0.015 * p.mass_kg * abs(p.at_m[0] - cog[0]) for p in load.parts) / mass
    assert worst.cog_high_m[0] - cog[0] == pytest.approx(chance + shift, rel=0.05)


def test_the_water_is_seen_by_nobody_who_only_reads_the_plan() -> None:
    planned = assessed("marrow-lane")
    assert any("vessel and exchanger drained" in caution for caution in planned.cautions)
    assert planned.load.bands == ()


def test_a_centre_of_gravity_outside_the_lift_points_is_refused() -> None:
    moved = example(
        "marrow-lane",
        ("A+: {at: [0.80 m, 1.35 m, 0.35 m]", "A+: {at: [5.20 m, 1.35 m, 0.35 m]"),
        ("A-: {at: [0.80 m, -1.35 m, 0.35 m]", "A-: {at: [5.20 m, -1.35 m, 0.35 m]"),
        ("between: [A+, B+], pieces: [B219-2401, B219-4201, B219-0601]", "between: [A+, B+], pieces: [B219-2401]"),
        ("between: [B-, A-], pieces: [B219-2402, B219-4202, B219-0602]", "between: [B-, A-], pieces: [B219-2402]"),
    )  # fmt: skip
    with pytest.raises(
        InputError, match=r"load.parts: the centre of gravity \(4.076 m, 0.020 m in plan\) is"
    ) as no:
        assess(moved)
    assert "outside the lift points" in str(no.value)


def test_a_box_that_leaves_the_lift_points_fails_its_check() -> None:
    load = example("marrow-lane").file.load
    check = cog_inside_lift_points_check(
        "cog.inside",
        "load",
        "Box inside the lift points",
        lift_points_m=[(point.at_m[0], point.at_m[1]) for point in load.lift_points.values()],
        cog_m=cog_m(load)[:2],
        cog_half_box_m=(0.05, 1.40),
    )
    assert check.status is Status.FAIL
    assert check.capacity.value == pytest.approx(1.35 - 1.40 - 0.020, abs=0.001)
