"""Files of trial-lift readings, and what lines of the lift file can be set to."""

from __future__ import annotations

import datetime
import math

import pytest
from lift_texts import one_strut, read

from plumbhook.core.errors import InputError
from plumbhook.model.stock import read_stock
from plumbhook.model.trial_lift_file import parse_readings

GOOD = """
trial_lift:
  lift: ML-0324
  taken: 2027-03-24 07:40
  by: lifting supervisor
  cells: {LC-30-01: 19.45 t}
  tilt: {x_plus_low: -0.70 deg, y_plus_low: 0.38 deg, accuracy: 0.2 deg}
  hook_over: {x: 4.14 m, y: 0.01 m, height: 3.05 m}
  may_be_aboard:
    - {what: water, at: [3.40 m, 0.10 m, 0.90 m], most: 600 kg}
  rig_accuracy: {length: 5 mm}
"""


def test_readings_are_read_in_si() -> None:
    readings = parse_readings(GOOD)
    assert readings.taken == datetime.datetime(2027, 3, 24, 7, 40)
    assert readings.cells_kg == {"LC-30-01": 19_450.0}
    assert readings.tilt is not None
    assert readings.tilt.x_plus_low_rad == pytest.approx(math.radians(-0.70))
    assert readings.tilt.accuracy_rad == pytest.approx(math.radians(0.2))
    assert readings.hook_over is not None
    assert readings.hook_over.accuracy_m == 0.02
    assert readings.may_be_aboard[0].most_kg == 600.0
    assert (readings.rig_accuracy.length_m, readings.rig_accuracy.stiffness_ratio) == (0.005, None)


BAD = {
    "no unit": ("19.45 t", "19.45", "trial_lift.cells.LC-30-01", "has no unit"),
    "a force": ("19.45 t", "190.8 kN", "trial_lift.cells.LC-30-01", "is a force"),
    "which ton": ("19.45 t", "19.45 tons", "trial_lift.cells.LC-30-01", "short ton"),
    "not a number": ("19.45 t", "nan t", "trial_lift.cells.LC-30-01", ""),
    "a load below zero": ("19.45 t", "-19.45 t", "trial_lift.cells.LC-30-01", "more than zero"),
    "a slope as a length": ("-0.70 deg", "12 mm", "trial_lift.tilt.x_plus_low", "an angle is needed"),
    "a slope that no load has": ("-0.70 deg", "70 deg", "trial_lift.tilt.x_plus_low", "at most"),
    "an instrument without error": ("accuracy: 0.2 deg", "accuracy: 0 deg", "trial_lift.tilt.accuracy", ""),
    "a misspelt key": ("x_plus_low", "x_plus_lo", "trial_lift.tilt.x_plus_lo", "x_plus_low"),
    "an unknown key": ("  by: lifting", "  colour: red\n  by: lifting", "trial_lift.colour", "not known"),
    "no day": ("2027-03-24 07:40", "in the morning", "trial_lift.taken", "day and a time"),
    "a day that is not": ("2027-03-24 07:40", "2027-02-30 07:40", "trial_lift.taken", "calendar"),
    "nobody": ("  by: lifting supervisor\n", "", "trial_lift.by", "missing"),
    "no height of the mark": (", height: 3.05 m", "", "trial_lift.hook_over.height", "missing"),
    "least and most": (
        "most: 600 kg",
        "most: 600 kg, least: 700 kg",
        "trial_lift.may_be_aboard[1].least",
        "less",
    ),
    "two coordinates": (
        "[3.40 m, 0.10 m, 0.90 m]",
        "[3.40 m, 0.10 m]",
        "trial_lift.may_be_aboard[1].at",
        "three",
    ),
    "a level without a slope": (
        "{x_plus_low: -0.70 deg, y_plus_low: 0.38 deg, accuracy: 0.2 deg}",
        "{accuracy: 0.2 deg}",
        "trial_lift.tilt",
        "no level reading",
    ),
    "a hook without a place": (
        "{x: 4.14 m, y: 0.01 m, height: 3.05 m}",
        "{height: 3.05 m}",
        "trial_lift.hook_over",
        "",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_readings_get_a_sentence_with_the_field(name: str) -> None:
    old, new, field, words = BAD[name]
    assert old in GOOD
    with pytest.raises(InputError) as wrong:
        parse_readings(GOOD.replace(old, new, 1), source="readings.yaml")
    (problem,) = wrong.value.problems
    assert problem.field == field
    assert words in problem.message
    assert problem.line is not None


def test_a_file_without_a_reading_says_what_to_give() -> None:
    with pytest.raises(InputError, match="at least one of cells, tilt and hook_over"):
        parse_readings("trial_lift: {taken: 2027-03-24 07:40, by: S}")


def test_everything_wrong_is_said_at_once() -> None:
    with pytest.raises(InputError) as wrong:
        parse_readings(
            GOOD.replace("19.45 t", "19.45").replace("most: 600 kg", "most: 600").replace("07:40", "25:40")
        )
    assert len(wrong.value.problems) == 3


class TestAdjustments:
    """What a line can be set to."""

    @staticmethod
    def complaints(adjustment: dict) -> dict[str, str]:
        lift = one_strut()
        name = next(iter(lift["rig"]["lines"]))
        lift["rig"]["lines"][name]["adjustment"] = adjustment
        with pytest.raises(InputError) as wrong:
            read(lift)
        stem = f"rig.lines.{name}."
        return {problem.field.removeprefix(stem): problem.message for problem in wrong.value.problems}

    def test_a_range_around_the_present_length_is_read(self) -> None:
        lift = one_strut()
        name = next(iter(lift["rig"]["lines"]))
        before = read(lift)
        lift["rig"]["lines"][name]["adjustment"] = {"shortest": "1 m", "longest": "12 m", "pitch": "50 mm"}
        found = read(lift)
        adjustment = found.file.rig.lines[name].adjustment
        assert adjustment is not None
        assert (adjustment.shortest_m, adjustment.longest_m, adjustment.pitch_m) == (1.0, 12.0, 0.05)
        assert found.content_hash != before.content_hash

    def test_half_a_range(self) -> None:
        assert "shortest and a longest" in self.complaints({"shortest": "1 m"})["adjustment.longest"]

    def test_an_empty_range(self) -> None:
        assert "less than" in self.complaints({"shortest": "2 m", "longest": "1 m"})["adjustment.shortest"]

    def test_a_step_beyond_the_range(self) -> None:
        found = self.complaints({"shortest": "1 m", "longest": "2 m", "pitch": "3 m"})
        assert "more than the whole range" in found["adjustment.pitch"]

    def test_range_and_list(self) -> None:
        found = self.complaints({"lengths": ["1 m", "2 m"], "shortest": "1 m"})
        assert "not both" in found["adjustment.lengths"]

    def test_a_present_length_that_cannot_be_set(self) -> None:
        found = self.complaints({"shortest": "20 m", "longest": "30 m"})
        assert "outside of the 20.000 m to 30.000 m" in found["adjustment"]

    def test_nothing_in_it(self) -> None:
        assert "adjustment.shortest" in self.complaints({})

    @pytest.mark.parametrize(
        ("cells", "column"),
        [
            ("60,,7.0", "shortest"),
            (",4.8,7.0", "pitch"),
            ("60,4.8,", "length"),
            ("60,7.5,7.0", "shortest"),
            ("6000,4.8,7.0", "pitch"),
            ("0,4.8,7.0", "pitch"),
        ],
    )
    def test_settings_of_a_stock_item(self, cells: str, column: str) -> None:
        head = "serial,kind,pitch [mm],shortest [m],length [m],status"
        with pytest.raises(InputError) as wrong:
            read_stock(f"{head}\nCH-1,chain sling,{cells},ok", "stock.csv")
        assert wrong.value.problems[0].field == column

    def test_a_leg_set_shorter_than_it_can_be(self) -> None:
        from tests.scenarios.variants import example

        with pytest.raises(InputError, match=r"can be set to 4\.800 m at the shortest"):
            example("marrow-lane", ("leg: 1, length: 6.06 m", "leg: 1, length: 4.50 m"))
