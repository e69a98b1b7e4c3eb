"""The ground in a lift: both scenarios through the slew, bad input, presumed and calculated bearing, what lies near."""

import math
from pathlib import Path

import numpy as np
import pytest

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.files import parse_lift
from plumbhook.planning.check_ground import ground_checks, unknown_standing
from plumbhook.planning.ground_along import ground_along
from plumbhook.planning.ground_basis import bearing_basis

EXAMPLES = Path(__file__).parents[2] / "examples"
REPORT = """    allowable_pressure: 150 kPa
    source: report ML-G2
"""
CLAY = """    source: report ML-G2
    soil: {friction_angle: 0 deg, cohesion: 90 kPa, unit_weight: 19 kN/m3, method: Vesic, safety_factor: 3.0}
"""


def place_of(name, *changes):
    folder = EXAMPLES / name
    text = (folder / "lift.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    lift = parse_lift(text, read_text=lambda path: (folder / path).read_text(encoding="utf-8"))
    assert lift.file.place is not None
    return lift.file.place


def skid(*changes):
    return place_of("marrow-lane", *changes)


def segment(*changes):
    return place_of("hallowmere-viaduct", *changes)


def checks_of(place, gross_kg):
    return {check.check_id: check for check in ground_checks(place, gross_kg, 9.81)}


def refused(make, *changes):
    with pytest.raises(InputError) as caught:
        make(*changes)
    return {problem.field: problem.message for problem in caught.value.problems}


def test_every_pad_stays_below_the_customary_bound_and_the_worst_is_at_a_corner():
    # Bound of the scenario: 0.75 of 108.78 t on one outrigger, 139 kPa on 2.4 x 2.4 m.
    found = checks_of(skid(), 20_780.0)
    worst = found["ground_slew.over the parapet"]
    assert worst.status is Status.PASS
    assert 0.25 * 108.78e3 * 9.81 / 2.4**2 < worst.demand.value < 139e3
    assert (
        worst.demand.value > found["ground_slew.pick"].demand.value > found["ground_slew.alone"].demand.value
    )


def test_a_crane_with_the_boom_along_its_tracks_presses_as_the_scenario_says():
    # 133 and 160 kPa below mats of 2.4 m at 12 and 14 m, worked scenario; the sector is closed to nearly nothing.
    found = checks_of(segment(("[-5 deg, 5 deg]", "[0 deg, 0.001 deg]")), 53_742.0)
    pressures = [found[f"ground_slew.{name}"].demand.value / 1e3 for name in ("pick", "set down")]
    assert pressures == pytest.approx([133.0, 160.0], abs=0.7)


def test_slewing_out_of_the_line_of_the_tracks_is_found_where_the_boom_along_them_passes():
    found = checks_of(segment(("      slew_sector: [-5 deg, 5 deg]\n", "")), 53_742.0)
    assert found["ground_slew.alone"].status is Status.FAIL
    assert found["ground_slew.set down"].status is Status.PASS


def test_the_way_says_what_the_check_says_at_its_worst():
    for place, gross in ((skid(), 20_780.0), (segment(), 53_742.0)):
        station = place.stations[-1]
        sector = (-math.radians(5.0), math.radians(5.0)) if place.crane.tracks else (0.0, 2.0 * math.pi)
        way = ground_along(
            place.crane, place.ground, slew_rad=np.linspace(*sector, 721), radius_m=station.radius_m,
            hook_mass_kg=gross, gravity_m_s2=9.81,
        )  # fmt: skip
        check = checks_of(place, gross)[f"ground_slew.{station.name}"]
        assert way.pressure_Pa.max() == pytest.approx(check.demand.value, rel=1e-6)
        assert way.use_ratio.max() == pytest.approx(check.utilisation, rel=1e-6)


def test_a_way_that_overturns_never_passes_and_a_way_without_geometry_is_none():
    place = skid()
    way = ground_along(
        place.crane, place.ground, slew_rad=[0.0, 0.0, math.nan], radius_m=[14.0, 60.0, 14.0],
        hook_mass_kg=20_780.0, gravity_m_s2=9.81,
    )  # fmt: skip
    assert way.use_ratio[0] < 1.0
    assert way.use_ratio[1] == math.inf
    assert math.isnan(way.use_ratio[2])
    bare = segment(("      gauge: 7.0 m\n      slew_sector: [-5 deg, 5 deg]\n", ""))
    assert (
        ground_along(bare.crane, bare.ground, slew_rad=0, radius_m=9, hook_mass_kg=0, gravity_m_s2=9.8)
        is None
    )


def test_a_crane_that_overturns_in_the_slew_is_refused():
    worst = checks_of(skid(("parapet, radius: 14 m", "parapet, radius: 30 m")), 20_780.0)[
        "ground_slew.over the parapet"
    ]
    assert worst.status is Status.FAIL
    assert "overturns" in worst.refused_because


def test_without_a_bearing_source_nothing_passes():
    for changes in (("    source: report ML-G2\n    date", "    date"), (REPORT, "")):
        found = checks_of(skid(changes) if isinstance(changes, tuple) else skid(*changes), 20_780.0)
        assert {c.status for name, c in found.items() if name.startswith("ground_slew")} == {
            Status.NOT_EVALUATED
        }


def test_a_presumed_value_is_marked_wherever_it_is_used():
    place = skid((REPORT, "    presumed: {ground: medium dense gravel, seen_by: I. Tarnbeck}\n"))
    worst = checks_of(place, 20_780.0)["ground_slew.pick"]
    assert worst.capacity.value == 200e3
    assert "presumed" in worst.capacity.origin
    assert "memory" in worst.capacity.origin
    assert "not investigated" in worst.attention


def test_a_soil_is_reckoned_with_its_formula_and_factor():
    # Vesic, phi 0, square on the surface: 5.14 c (1 + 0.2/1.028...) = 5.14 c + c; over 3. Whole: c (5.14 + 1)/3.
    basis = bearing_basis(skid((REPORT, CLAY)).ground, (2.4, 2.4))
    assert basis.allowable_Pa == pytest.approx(90e3 * (math.pi + 2.0 + 1.0) / 3.0, rel=1e-9)
    assert "Vesic" in basis.source
    assert "report ML-G2" in basis.source


@pytest.mark.parametrize(("approach", "checks"), [("1", 2), ("2", 1), ("3", 1)])
def test_annex_d_is_checked_for_every_combination_of_its_design_approach(approach, checks):
    clay = CLAY.replace(
        "method: Vesic, safety_factor: 3.0", f'method: EN 1997-1, design_approach: "{approach}"'
    )
    found = checks_of(skid((REPORT, clay)), 20_780.0)
    worked = [name for name in found if name.startswith("ground_bearing.pick.")]
    assert len(worked) == checks
    # Every force as variable: the check of the pressure and the working of Annex D say the same.
    least = max(found[name].utilisation for name in worked)
    assert found["ground_slew.pick"].utilisation == pytest.approx(least, rel=1e-6)


def test_a_slab_below_the_crane_stops_the_lift_until_somebody_has_checked_it():
    line = "      - {kind: buried service, distance: 3.0 m, depth: 1.2 m}\n"
    slab = "      - {kind: suspended slab, distance: 0 m}\n"
    checked = "      - {kind: suspended slab, distance: 0 m, checked_by: 'O. Fellgate, 2027-02-20'}\n"
    assert checks_of(skid((line, slab)), 20_780.0)["ground_near.1"].status is Status.NOT_EVALUATED
    after = checks_of(skid((line, checked)), 20_780.0)["ground_near.1"]
    assert after.status is Status.NOT_APPLICABLE
    assert "O. Fellgate" in after.attention


def test_an_edge_nearer_than_it_is_high_fails():
    edge = "      - {kind: quay edge, distance: 3.0 m, depth: 4.5 m}\n"
    near = checks_of(segment(("      - {kind: slope, distance: 6.0 m, depth: 3.5 m}\n", edge)), 53_742.0)
    assert near["ground_near.1"].status is Status.FAIL
    assert "nobody has checked" in near["ground_near.1"].attention


def test_settlement_without_the_limit_of_the_chart_is_not_evaluated():
    found = checks_of(skid(("      out_of_level_limit: 0.5 %\n", "")), 20_780.0)
    assert found["ground_level.pick"].status is Status.NOT_EVALUATED
    given = checks_of(skid(("subgrade_modulus: 20000 kN/m3", "difference: 70 mm")), 20_780.0)
    assert given["ground_level.pick"].demand.value == pytest.approx(0.01)  # over the 7.0 m between two pads
    assert given["ground_level.pick"].status is Status.FAIL


def test_a_soft_carrier_is_taken_where_its_stiffness_is_given():
    soft = "        pad_length: 0.6 m\n        pad_stiffness: 20 kN/mm\n        torsional_stiffness: 2000 kN.m/rad\n"
    # Where front and rear pads stand alike, a twist about the slew axis moves nothing: pull the rear ones in.
    near = (("rear left: [-3.7 m", "rear left: [-2.6 m"), ("rear right: [-3.7 m", "rear right: [-2.6 m"))
    rigid, twisted = skid(*near), skid(*near, ("        pad_length: 0.6 m\n", soft))
    worst = [checks_of(p, 20_780.0)["ground_slew.pick"].demand.value for p in (rigid, twisted)]
    assert worst[0] != pytest.approx(worst[1], rel=1e-3)


@pytest.mark.parametrize(
    ("old", "new", "field", "words"),
    [
        ("        pad_length: 0.6 m", "        pad_length: 2.6 m", "place.ground.mat.length", "stands out"),
        ("      spreads: both ways", "      spreads: both ways\n      pad_offset: [1.0 m, 0 m]",
         "place.ground.mat.length", "stands out"),
        ("        pad_width: 0.6 m\n", "", "place.crane.outriggers.geometry.pad_width", "belong together"),
        ("superstructure_mass: 24 t", "superstructure_mass: 60 t",
         "place.crane.outriggers.geometry.superstructure_mass", "nothing for the carrier"),
        ("rear left: [-3.7 m, 3.5 m]", "rear left: [-3.7 m, three]",
         "place.crane.outriggers.geometry.pads.rear left[2]", "three"),
        ("      thickness: 150 mm", "      thickness: 0 mm", "place.ground.mat.thickness", "more than zero"),
        (REPORT, REPORT + CLAY.splitlines(keepends=True)[1], "place.ground.soil", "keep the one"),
        (REPORT, CLAY.replace("cohesion: 90 kPa", "cohesion: -90 kPa"), "place.ground.soil.cohesion", "sign"),
        (REPORT, CLAY.replace("cohesion: 90 kPa", "cohesion: 0 kPa"), "place.ground.soil.cohesion", "needs an angle"),
        (REPORT, CLAY.replace(", safety_factor: 3.0", ""), "place.ground.soil.safety_factor", "factor of safety"),
        (REPORT, CLAY.replace("Vesic", "EN 1997-1"), "place.ground.soil.design_approach", "national annex"),
        (REPORT, CLAY.replace("19 kN/m3", "1.9 kN/m3"), "place.ground.soil.unit_weight", "between 5 and 30"),
        ("subgrade_modulus: 20000 kN/m3", "subgrade_modulus: 20000 kN/m3\n      difference: 10 mm",
         "place.ground.settlement", "either"),
        (REPORT, "    presumed: {ground: loose sand, seen_by: nobody}\n", "place.ground.presumed.ground", ""),
    ],
)  # fmt: skip
def test_ground_that_makes_no_sense_is_refused_with_its_field(old, new, field, words):
    problems = refused(skid, (old, new))
    assert field in problems
    assert words in problems[field]


def test_pads_on_one_line_and_a_sector_the_wrong_way_round_are_refused():
    line = refused(
        skid, ("front right: [3.7 m, -3.5 m]", "front right: [1 m, 3.5 m]"),
        ("rear right: [-3.7 m, -3.5 m]", "rear right: [-1 m, 3.5 m]"),
    )  # fmt: skip
    assert "one line" in line["place.crane.outriggers.geometry.pads"]
    turned = refused(segment, ("[-5 deg, 5 deg]", "[5 deg, -5 deg]"))
    assert "clockwise" in turned["place.crane.tracks.slew_sector"]
    bare = refused(segment, ("      gauge: 7.0 m\n", ""))
    assert "gauge" in bare["place.crane.tracks.gauge"]


def test_what_is_not_reckoned_for_want_of_pads_or_gauge_is_said():
    assert not unknown_standing(skid().crane)
    assert not unknown_standing(segment().crane)
    bare = segment(("      gauge: 7.0 m\n      slew_sector: [-5 deg, 5 deg]\n", ""))
    assert "gauge" in unknown_standing(bare.crane)
