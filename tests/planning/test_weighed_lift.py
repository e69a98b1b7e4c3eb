"""A lift whose load was weighed: figures from the readings, checks in the plan, no gap about a sum of parts."""

from __future__ import annotations

import pytest
from tests.scenarios.variants import example

from plumbhook.core.check import Status
from plumbhook.documents import render_lift_plan
from plumbhook.planning import assess
from plumbhook.planning.weighing import state_weighing

WEIGHING = """\
  weighing:
    source: four cells under the skid, record W-12
    state: vessel and exchanger drained, panel fitted
    instrument: {accuracy_of_reading: 0.1 %, division: 1 kg}
    position_accuracy: 2 mm
    supports:
      A: [0.60 m, -1.20 m, 0 m]
      B: [0.60 m, 1.20 m, 0 m]
      C: [8.60 m, -1.20 m, 0 m]
      D: [8.60 m, 1.20 m, 0 m]
    level: {A: 4814 kg, B: 4987 kg, C: 3681 kg, D: 3815 kg}
    hook: {reading: 17.35 t, accuracy: 1 %}
  lift_points:
"""


@pytest.fixture(scope="module")
def weighed():
    return assess(example("marrow-lane", ("    tolerance: 1.5 %\n", ""), ("  lift_points:\n", WEIGHING)))


def test_the_weighing_tells_the_water_that_the_list_does_not(weighed) -> None:
    assert weighed.load.mass_kg == pytest.approx(17_297, abs=10.0)
    assert weighed.load.source == "weighing: four cells under the skid, record W-12"
    asked = [gap.text.replace("\u00a0", " ") for gap in weighed.gaps]
    assert any("447 kg more than the parts" in text or "448 kg more" in text for text in asked), asked
    assert not any("summed from parts, not weighed" in text for text in asked)


def test_readings_against_each_other_are_checks_of_the_plan(weighed) -> None:
    agreement, all_readings = weighed.check("weighing.agreement"), weighed.check("weighing.redundancy")
    assert agreement.status is all_readings.status is Status.PASS
    assert agreement.demand.value == pytest.approx(53.0, abs=1.0)
    assert any(station.station_id == "load.weighing" for station in weighed.stations)


def test_the_plan_with_a_weighing_can_be_printed(weighed) -> None:
    assert render_lift_plan(weighed).startswith(b"%PDF")


def test_every_printed_step_of_a_weighing_is_computed_again() -> None:
    load = example("marrow-lane", ("  lift_points:\n", WEIGHING)).file.load
    assert load.weighing is not None
    statement = state_weighing(load.weighing)
    assert [step.result.symbol for step in statement.steps] == ["W", "x_c", "y_c"]
    assert statement.steps[0].result.value == pytest.approx(17_297)
