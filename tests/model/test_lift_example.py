"""The example lift and the guide: what is written is what the model holds."""

import datetime
import json
import math
import re
from pathlib import Path

import jsonschema
import pytest
from lift_texts import ARRANGEMENTS, EXAMPLE, EXAMPLE_TEXT, no_file, read, read_example

from plumbhook.model.files import parse_lift, read_lift
from plumbhook.model.lift_file import lift_file_schema
from plumbhook.model.load import cog_claims, cog_m, mass_kg, weight_claim
from plumbhook.model.rig import strut_serials, used_serials
from plumbhook.model.rig_geometry import hook_chain_length_m, line_length_m, strut_mass_kg, strut_span_m
from plumbhook.model.yaml_source import read_yaml

GUIDE = Path(__file__).resolve().parents[2] / "docs" / "how-to" / "write-a-lift-file.md"
BLOCKS = re.findall(r"^```yaml\n(.*?)^```$", GUIDE.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)


@pytest.fixture(scope="module")
def lift():
    return read_lift(EXAMPLE / "lift.yaml")


def test_the_sections_hold_what_the_file_says(lift) -> None:
    file = lift.file
    assert file.lift.lift_id == "HV-0317"
    assert file.lift.date == datetime.date(2027, 3, 17)
    assert file.lift.invented is True
    assert file.rules.gravity_m_s2 == 9.81
    assert file.rules.tilt_limit_rad == pytest.approx(math.radians(5.0))
    assert file.load.lift_points["L1"].rated_load_kg == 20_000.0
    assert file.load.lift_points["L1"].hole_m == 0.044
    assert file.rig.lines["T1"].from_ == "hook"
    assert [entry.serials for entry in file.rig.lines["T1"].items] == [
        ("SH-35-01",),
        ("RS-20-01", "RS-20-02"),
        ("SH-35-03",),
    ]
    assert file.place is not None
    assert file.place.crane.chart[2] == (14.0, 71_500.0)
    assert file.place.ground is not None
    assert file.place.ground.allowable_pressure_Pa == 180e3
    assert file.place.stations[1].hook_height_limit_m == 33.9


def test_rules_that_are_not_given_have_the_defaults_of_the_trade_but_no_factor_is_made_up() -> None:
    """Common practice, no source: 30 to 45 deg at the top, 6 deg off plumb below, at most four pieces."""
    rules = read(ARRANGEMENTS["one strut"]()).file.rules
    assert rules.weight_factor is None
    assert rules.dynamic_factor is None
    assert math.degrees(rules.top_sling_angle_min_rad) == pytest.approx(30.0)
    assert math.degrees(rules.top_sling_angle_max_rad) == pytest.approx(45.0)
    assert math.degrees(rules.lower_sling_lean_limit_rad) == pytest.approx(6.0)
    assert rules.max_pieces == 4
    assert rules.gravity_m_s2 == 9.80665


def test_mass_and_centre_of_gravity_are_those_of_the_parts(lift) -> None:
    """Sums over the eight parts, done by hand: 47 848 kg at (0.033, -0.015, 1.545) m."""
    assert mass_kg(lift.file.load) == 47_848.0
    assert cog_m(lift.file.load) == pytest.approx((0.033, -0.015, 1.545), abs=5e-4)


def test_the_load_is_a_set_of_claims(lift) -> None:
    weight = weight_claim(lift.file.load)
    assert weight.best == 47_848.0
    assert weight.tolerance == pytest.approx(717.72)
    assert weight.said_by == "Ostrey Precast, drawing office"
    assert [claim.tolerance for claim in cog_claims(lift.file.load)] == [0.10, 0.10, 0.15]


@pytest.mark.parametrize(
    ("strut", "span", "mass"), [("U1", 4.3, 489.0), ("S1", 2.1, 137.0), ("S2", 2.1, 137.0)]
)
def test_struts_are_as_long_and_heavy_as_their_parts(lift, strut: str, span: float, mass: float) -> None:
    """By hand: 0.40 + 1.2 + 2.4 + 0.3 m; 88 + 150 + 41 + 2 x 95 + 4 x 5 kg; and 55 + 2 x 38 + 2 x 3 kg."""
    rig = lift.file.rig
    assert strut_span_m(rig.struts[strut], lift.items, lift.families) == pytest.approx(span)
    assert strut_mass_kg(rig, strut, lift.items, lift.families) == pytest.approx(mass)


def test_lines_and_hook_chain_are_as_long_as_their_items(lift) -> None:
    """By hand: a 4.3 m roundsling that counts its shackles in; load link 0.95 m and master link 0.40 m."""
    assert line_length_m(lift.file.rig.lines["T1"], lift.items) == pytest.approx(4.3)
    assert hook_chain_length_m(lift.file.rig, lift.items) == pytest.approx(1.35)


def test_the_rig_names_each_of_its_items_once(lift) -> None:
    serials = used_serials(lift.file.rig)
    assert len(serials) == len(set(serials)) == 2 + 6 + 5 + 8 + 4 + 8
    assert serials[:2] == ("LC-80-01", "ML-63-01")
    assert strut_serials(lift.file.rig, "S1") == ("A140-E01", "A140-1801", "A140-E02")


@pytest.mark.parametrize("build", ARRANGEMENTS.values(), ids=ARRANGEMENTS)
def test_every_arrangement_is_read(build) -> None:
    lift = read(build())
    assert lift.file.rig.lines
    assert set(used_serials(lift.file.rig)) <= set(lift.items)


def test_the_head_of_a_chain_sling_counts_in_the_hook_chain_and_a_corner_in_two_struts() -> None:
    lift = read(ARRANGEMENTS["four-strut frame"]())
    assert hook_chain_length_m(lift.file.rig, lift.items) == pytest.approx(0.35 + 0.30)
    assert line_length_m(lift.file.rig.lines["T1"], lift.items) == pytest.approx(2.1)
    masses = [strut_mass_kg(lift.file.rig, name, lift.items, lift.families) for name in lift.file.rig.struts]
    assert sum(masses) == pytest.approx(4 * 55 + 4 * 38 + 8 * 3)


def test_a_measured_length_stands_before_the_sum_of_the_items() -> None:
    text = one = ARRANGEMENTS["one strut"]()
    one["rig"]["lines"]["T1"]["length"] = "2.013 m"
    assert line_length_m(read(text).file.rig.lines["T1"], read(text).items) == 2.013


def test_a_chart_may_be_a_file_of_its_own() -> None:
    inline = read_example()
    chart = "radius [m],capacity [t]\n10,98\n12,84\n14,71.5\n16,61.8\n18,53.9\n20,47.6\n"
    head, rest = EXAMPLE_TEXT.split("    chart:\n")
    text = f"{head}    chart_file: chart.csv\n    tracks:{rest.split('    tracks:')[1]}"
    files = {
        name: (EXAMPLE / name).read_text(encoding="utf-8") for name in ("stock.csv", "strut_families.csv")
    }
    lift = parse_lift(text, read_text=lambda name: {**files, "chart.csv": chart}[name])
    assert lift.file.place.crane.chart == inline.file.place.crane.chart
    assert lift.content_hash == inline.content_hash


def test_the_guide_shows_a_whole_lift_that_is_read() -> None:
    lift = parse_lift(BLOCKS[0], read_text=no_file)
    assert strut_span_m(lift.file.rig.struts["U1"], lift.items, lift.families) == pytest.approx(3.9)
    assert cog_m(lift.file.load) == (0.02, 0.0, 0.55)


def test_the_published_schema_accepts_the_examples_and_refuses_a_bare_number() -> None:
    schema = lift_file_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    lifts = [read_yaml(EXAMPLE_TEXT).data, read_yaml(BLOCKS[0]).data]
    lifts += [json.loads(json.dumps(build())) for build in ARRANGEMENTS.values()]
    for lift in lifts:
        assert [error.message for error in validator.iter_errors(lift)] == []
    lifts[0]["load"]["parts"][0]["mass"] = 20_367
    lifts[0]["load"]["colour"] = "red"
    assert len(list(validator.iter_errors(lifts[0]))) == 2


def test_defaults_in_the_schema_are_as_a_user_would_write_them() -> None:
    rules = lift_file_schema()["$defs"]["Rules"]["properties"]
    assert rules["tilt_limit"]["default"] == "2 deg"
    assert rules["accessory_examination"]["default"] == "6 months"
    assert rules["wind_area_per_mass"]["default"] == "1.2 m2/t"
    assert rules["weight_factor"]["default"] is None


def test_every_default_of_the_rules_names_its_source() -> None:
    for name, rule in lift_file_schema()["$defs"]["Rules"]["properties"].items():
        if rule["default"] not in (None, [], {}):
            assert re.search(r"Source: |no source", rule["description"]), name
