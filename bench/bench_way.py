"""Time of a whole way of 2,000 places with its curves, warm. Prints seconds and what the places cost each.

Run: python bench/bench_way.py
"""

from __future__ import annotations

import statistics
import time
from dataclasses import replace

import numpy as np

from plumbhook.core.resources import examples_dir
from plumbhook.crane.chart import DutyChart, DutyRow
from plumbhook.crane.way import HookState, Way, WayMove
from plumbhook.model.files import read_lift
from plumbhook.model.place import PlaceStation
from plumbhook.planning.way import crane_curve, ground_curve, hook_curve, state_way

STEPS = 2_000


def a_way() -> Way:
    """Hoist 30 m, slew three quarters of a turn, luff out 4 m, travel and lower: just above 2,000 places."""
    start = HookState(0.0, 0.0, 0.0, 14.0, 0.2)
    high = replace(start, load_bottom_m=30.2)
    round_ = replace(high, slew_rad=4.7)
    out = replace(round_, radius_m=18.0)
    beside = replace(out, crane_y_m=110.0)
    states = (("hoist", high), ("slew", round_), ("luff", out), ("travel", beside))
    return Way(start, tuple(WayMove(kind, state, "roof") for kind, state in states))


def main() -> None:
    """Print the median of twenty warm runs."""
    rows = ((10.0, 98e3), (12.0, 84e3), (14.0, 71.5e3), (16.0, 61.8e3), (18.0, 53.9e3), (20.0, 47.6e3))
    chart = DutyChart("Invented crawler", "boom 36.6 m", "HV-C", tuple(DutyRow(*row) for row in rows))
    stations = tuple(
        PlaceStation.model_validate({"name": f"s{r}", "radius": f"{r} m", "hook_height_limit": f"{50 - r} m"})
        for r in (12, 14, 16, 18)
    )
    way = a_way()
    place = read_lift(examples_dir() / "marrow-lane" / "lift.yaml").file.place
    assert place is not None
    questions = (
        crane_curve(chart, 53_742.0, 0.85),
        hook_curve(stations, 10.8),
        ground_curve(place, 53_742.0, 9.81),
    )
    steps = len(way.sample())
    assert steps >= STEPS, steps
    times = []
    for _ in range(21):
        begin = time.perf_counter()
        state_way(way, questions)
        times.append(time.perf_counter() - begin)
    median = statistics.median(times[1:])
    print(
        f"{steps} places, {len(questions)} curves: {median:.4f} s warm ({1e6 * median / steps:.1f} us a place)"
    )
    assert np.isfinite(median)


if __name__ == "__main__":
    main()
