"""Faults put into the shipped examples one at a time: each is found, and nothing but it and what follows from it."""

from __future__ import annotations

import math

import pytest
from tests.scenarios.variants import example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.core.resources import examples_dir
from plumbhook.planning import Assessment, assess

HALLOWMERE, MARROW_LANE = "hallowmere-viaduct", "marrow-lane"


def having(assessment: Assessment, status: Status) -> set[str]:
    return {check.check_id for check in assessment.checks if check.status is status}


def failing(assessment: Assessment) -> set[str]:
    return having(assessment, Status.FAIL)


L1 = "L1: {at: [-1.05 m, -2.15 m, 2.50 m], rated_load: 20 t, angle_limit: 5 deg, hole: 44 mm,"


def test_a_lift_point_without_a_rating_stops_the_lift_and_is_neither_zero_nor_infinite() -> None:
    assessment = assess(example(HALLOWMERE, (L1, L1.replace(" rated_load: 20 t,", ""))))
    assert failing(assessment) == set()
    assert having(assessment, Status.NOT_EVALUATED) == {"lift_point.L1"}
    assert assessment.status is Status.NOT_EVALUATED
    assert any("Lift point L1" in gap.text for gap in assessment.gaps)


def test_a_sling_choked_round_the_tube_of_a_strut_is_refused() -> None:
    assessment = assess(example(HALLOWMERE, ("V1: {from: S1.a", "V1: {choked_round: from, from: S1.a")))
    assert failing(assessment) == {"end_pins.S1"}
    # How a sling lies round a tube is no fit of known sizes.
    assert having(assessment, Status.NOT_EVALUATED) == {"fit.V1.tube"}


SLING = (
    "serial: {0}, kind: roundsling, description: Roundsling 40 t, wll: 40 t, mass: 30 kg, length: 2.536 m, "
    "elongation_at_wll: 5 %, bearing_width: 60 mm, thickness: 26 mm, least_bearing: 36 mm, "
    "last_examination: 2027-02-01, status: ok"
)


def test_top_slings_at_32_degrees_from_the_horizontal_are_refused_with_what_they_overload() -> None:
    serials = [f"RX-{n}" for n in (1, 2, 3, 4)]
    equipment = "equipment:\n" + "".join(f"  - {{{SLING.format(serial)}}}\n" for serial in serials)
    assessment = assess(
        example(
            HALLOWMERE,
            ("\nload:\n", f"\n{equipment}\nload:\n"),
            ("[RS-20-01, RS-20-02]", "[RX-1, RX-2]"),
            ("[RS-20-03, RS-20-04]", "[RX-3, RX-4]"),
        )
    )
    top = {"angle.T1", "angle.T2"}
    for check_id in top:
        assert math.degrees(assessment.check(check_id).demand.value) == pytest.approx(90.0 - 32.0, abs=0.2)
    overloaded = {f"line.{line}.{place}" for line in ("T1", "T2") for place in (0, 2)}
    # A flat leg pulls and squeezes harder: shackles, end fittings and strut are overloaded by nothing else.
    strut = {"fitting.U1.U1.a", "fitting.U1.U1.b", "compression.U1", "compression.U1.allowable_stress"}
    assert failing(assessment) == top | overloaded | strut


def test_a_pin_larger_than_its_hole_does_not_go() -> None:
    assessment = assess(example(HALLOWMERE, (L1, L1.replace("hole: 44 mm", "hole: 40 mm"))))
    assert failing(assessment) == {"fit.load.L1"}
    assert not having(assessment, Status.NOT_EVALUATED)
    assert assessment.check("fit.load.L1").refused_because == "pin 42 mm in hole 40 mm does not go"


BOW = (
    "serial: SH-85-01, kind: shackle, description: Wide bow shackle 85 t, wll: 85 t, mass: 60 kg, length: 0.3 m, "
    "pin: 82 mm, jaw: 127 mm, bow_width: 200 mm, link_stock: 80 mm, last_examination: 2026-12-01, status: ok"
)
LOWER = (
    "serial: {0}, kind: shackle, description: Bow shackle 40 t, wll: 40 t, mass: 8 kg, length: 0 m, "
    "pin: 36 mm, jaw: 40 mm, bow_width: 90 mm, link_stock: 38 mm, last_examination: 2026-12-01, status: ok"
)
LEG = (
    "serial: {0}, kind: roundsling, description: Roundsling 40 t, wll: 40 t, mass: 40 kg, length: {1}, "
    "elongation_at_wll: 5 %, bearing_width: 60 mm, thickness: 26 mm, least_bearing: 36 mm, "
    "last_examination: 2027-02-01, status: ok"
)


def three_legs(length: str) -> Assessment:
    """The skid on three legs from one bow, without strut."""
    return assess(
        example(
            MARROW_LANE,
            ("\nload:\n", "\nequipment:\n" + f"  - {{{BOW}}}\n"
             + "".join(
                    f"  - {{{LEG.format(f'RX-{n}', length)}}}\n  - {{{LOWER.format(f'SX-{n}')}}}\n"
                    for n in (1, 2, 3)
                ) + "\nload:\n"),
            (RIG, THREE_LEGS),
            ("    A-: {at: [0.80 m, -1.35 m, 0.35 m], rated_load: 8 t, angle_limit: 10 deg, hole: 38 mm, "
             "plate: 30 mm, source: lug drawing}\n", ""),
            ("A+: {at: [0.80 m, 1.35 m, 0.35 m]", "A+: {at: [0.80 m, 0 m, 0.35 m]"),
            ("{at: [8.40 m, ", "{at: [7.10 m, "),
            ("rated_load: 8 t, angle_limit: 10 deg", "rated_load: 60 t, angle_limit: 80 deg"),
            TOLERANCES,
        )
    )  # fmt: skip


def _part_of_example(start: str, end: str) -> str:
    text = (examples_dir() / MARROW_LANE / "lift.yaml").read_text(encoding="utf-8")
    return text[text.index(start) : text.index(end)]


RIG = _part_of_example("rig:\n", "tolerances:\n")
TOLERANCES = (_part_of_example("tolerances:\n", "place:\n"), "")
THREE_LEGS = """rig:
  arrangement: direct bridle
  hook_chain: [LC-30-01, SH-85-01]
  lines:
    T1: {from: hook, to: load.A+, items: [RX-1, SX-1]}
    T2: {from: hook, to: load.B+, items: [RX-2, SX-2]}
    T3: {from: hook, to: load.B-, items: [RX-3, SX-3]}

"""


def test_three_legs_in_one_bow_at_140_degrees_are_refused() -> None:
    wide, steep = three_legs("3.43 m"), three_legs("7.0 m")
    check = wide.check("fit.hook")
    assert check.demand.unit == "rad"
    assert math.degrees(check.demand.value) == pytest.approx(140.0, abs=1.0)
    assert "angle between legs" in check.refused_because
    assert "of limit 120.0° does not go" in check.refused_because
    # Legs as flat as that are refused for their angle too, and hold the skid so near its centre that it tilts.
    assert failing(wide) == {"fit.hook", "angle.T1", "angle.T2", "angle.T3", "tilt.load"}
    assert any("squeeze the load" in caution for caution in wide.cautions)
    # With legs that are long enough nothing is wrong with the bow, nor with anything else.
    assert steep.status is Status.PASS


def test_a_textile_sling_on_a_sharp_edge_needs_a_protector() -> None:
    sharp = (L1, L1.replace("hole: 44 mm", "edge_radius: 2 mm, hole: 44 mm"))
    assessment = assess(example(HALLOWMERE, sharp))
    assert failing(assessment) == {"edge.L1.RS-20-13"}
    assert not having(assessment, Status.NOT_EVALUATED)
    assert "without a protector" in assessment.check("edge.L1.RS-20-13").refused_because


def test_an_edge_rounded_to_the_sling_or_protected_by_number_passes() -> None:
    for words in ("edge_radius: 26 mm", "edge_radius: 2 mm, protector: EP-07"):
        assessment = assess(example(HALLOWMERE, (L1, L1.replace("hole: 44 mm", f"{words}, hole: 44 mm"))))
        assert assessment.status is Status.PASS
    assert any("Edge protector EP-07" in caution for caution in assessment.cautions)


@pytest.mark.parametrize(
    "words", ["cardboard 3", "folded Foam 20 mm", "work clothing 1", "2 rags", "old gloves 4"]
)
def test_what_only_looks_like_protection_is_refused_by_name(words: str) -> None:
    change = L1.replace("hole: 44 mm", f"edge_radius: 2 mm, protector: {words}, hole: 44 mm")
    with pytest.raises(InputError, match="does not keep an edge from cutting a sling"):
        example(HALLOWMERE, (L1, change))


def test_a_protector_is_named_by_its_number() -> None:
    change = L1.replace("hole: 44 mm", "edge_radius: 2 mm, protector: corner piece, hole: 44 mm")
    with pytest.raises(InputError, match="name the edge protector by its number"):
        example(HALLOWMERE, (L1, change))


BY_ANGLE = "rating_by_angle: [{{angle: 2 deg, rated_load: 20 t}}, {{angle: {0}, rated_load: 17 t}}]"


def test_a_rating_by_angle_counts_the_next_worse_row_and_ends_with_its_last() -> None:
    within = assess(example(HALLOWMERE, (L1, L1.replace("rated_load: 20 t", BY_ANGLE.format("5 deg")))))
    check = within.check("lift_point.L1")
    assert 2.0 < math.degrees(within.check("lift_point_angle.L1").demand.value) < 5.0
    assert check.capacity.value == pytest.approx(17_000.0)
    assert failing(within) == set()
    beyond = assess(example(HALLOWMERE, (L1, L1.replace("rated_load: 20 t", BY_ANGLE.format("2.5 deg")))))
    assert failing(beyond) == {"lift_point.L1"}
    assert "further off the axis than the last row" in beyond.check("lift_point.L1").refused_because


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        (
            "[{angle: 5 deg, rated_load: 20 t}, {angle: 5 deg, rated_load: 17 t}]",
            "angles of the rows must increase",
        ),
        (
            "[{angle: 2 deg, rated_load: 17 t}, {angle: 5 deg, rated_load: 20 t}]",
            "cannot grow with the angle",
        ),
        ("[{angle: 2, rated_load: 17 t}]", "unit"),
        ("[{angle: 2 deg}]", "rated_load"),
    ],
)
def test_a_rating_by_angle_that_makes_no_sense_is_refused(rows: str, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        example(HALLOWMERE, (L1, L1.replace("rated_load: 20 t", f"rating_by_angle: {rows}")))


def test_a_sling_held_by_friction_slides_from_a_slope_that_wet_friction_does_not_hold() -> None:
    for words, found in (
        ("contact_slope: 2 deg", set()),
        ("contact_slope: 10 deg", {"sliding.L1"}),
        ("contact_slope: 10 deg, friction: 0.5", set()),
    ):
        assessment = assess(example(HALLOWMERE, (L1, L1.replace("hole: 44 mm", f"{words}, hole: 44 mm"))))
        assert failing(assessment) == found, words


def test_a_limit_of_squeeze_is_held_against_the_horizontal_pull_of_the_slings() -> None:
    limit = ("  can_move: nothing once drained", "  can_move: nothing once drained\n  squeeze_limit: {0}")
    free, tight = (
        assess(example(MARROW_LANE, (limit[0], limit[1].format(force)))) for force in ("10 kN", "0.2 kN")
    )
    assert failing(free) == set()
    assert failing(tight) == {"squeeze.load"}
    # Lower slings 3.2 m long with 0.05 m to the side (pins 2.8 m, lugs 2.7 m apart): 5.62 t g 0.05/3.2 at least.
    assert free.check("squeeze.load").demand.value > 5.62e3 * 9.81 * 0.05 / 3.2
