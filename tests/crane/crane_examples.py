"""One call of every builder of the crane layer, with arguments that tests may change."""

import math
from collections.abc import Callable
from typing import Any

from plumbhook.core.check import Check
from plumbhook.crane import (
    chart,
    exclusion,
    ground,
    hazards,
    headroom,
    hoist,
    hook_seat,
    lug_direction,
    outriggers,
    pad_checks,
    track_checks,
    two_hook_checks,
    two_hooks,
)
from plumbhook.crane.bearing import en_1997_1
from plumbhook.crane.bearing.ground_model import Pad, Soil
from plumbhook.crane.clearance.check import clearance_check
from plumbhook.crane.mats import PadOnMat
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane

GRAVITY = 9.81
CHART = chart.DutyChart(
    "Invented crawler",
    "boom 36.6 m, ballast 90 t",
    "chart HV-C",
    tuple(
        chart.DutyRow(radius, capacity)
        for radius, capacity in (
            (10.0, 98_000.0),
            (12.0, 84_000.0),
            (14.0, 71_500.0),
            (16.0, 61_800.0),
            (18.0, 53_900.0),
            (20.0, 47_600.0),
        )
    ),
)
PARTS = (
    chart.HookPart("m_load", "load with weight factor", 50_240.0, "load statement"),
    chart.HookPart("m_rig", "rig", 1_302.0, "item masses"),
    chart.HookPart("m_block", "hook block", 1_900.0, "crane"),
    chart.HookPart("m_rope", "hoist rope", 300.0, "crane"),
)
NOMINAL_PARTS = (chart.HookPart("m_load_nom", "load as stated", 47_848.0, "load statement"), *PARTS[1:])
CRAWLER = ground.Crawler(208_000.0, 1.9, 7.2, 0.95)

PADS = pad_checks.PadsOfCrane(
    ("front left", "rear left", "front right", "rear right"),
    OutriggerBase(((3.7, 3.5), (-3.7, 3.5), (3.7, -3.5), (-3.7, -3.5))),
    SlewingCrane(36_000.0, (0.3, 0.0), 52_000.0, -1.5),
    None,
    PadOnMat(0.6, 0.6, 2.4, 2.4, 0.05, 157e6, 90e6, both_ways=True),
    (2.4, 2.4),
)

ARGUMENTS: dict[Callable[..., Check], dict[str, Any]] = {
    chart.gross_load_check: {
        "chart": CHART,
        "radius_m": 14.0,
        "parts": PARTS,
        "use_limit_ratio": 0.85,
        "nominal_parts": NOMINAL_PARTS,
    },
    hoist.line_pull_check: {
        "parts": PARTS,
        "falls": 10,
        "line_pull_N": 95e3,
        "reeving_efficiency": None,
        "sheave_factor": 1.04,
        "lead_sheaves": 1,
        "gravity_m_s2": GRAVITY,
    },
    hoist.block_check: {"parts": PARTS[:3], "rating_kg": 80_000.0},
    headroom.headroom_check: {
        "support_level_m": 11.40,
        "clearance_m": 0.60,
        "worst_rig_height_m": 10.81,
        "worst_case": "elastic, x+ y-",
        "nominal_rig_height_m": 10.62,
        "hook_height_limit_m": 33.9,
    },
    hook_seat.hook_seat_check: {"item": "LC-80-01", "link_stock_m": 0.070, "seat_limit_m": 0.075},
    en_1997_1.bearing_resistance_check: {
        "pad": Pad(2.0, 2.4),
        "soil": Soil(math.radians(32.0), 5e3, 19e3),
        "permanent_N": 300e3,
        "variable_N": 250e3,
        "combination": en_1997_1.DA1_2,
        "soil_source": "report GR-7, 2027-01-29",
        "horizontal_N": 10e3,
    },
    ground.track_pressure_check: {
        "crawler": CRAWLER,
        "hook_mass_kg": 53_742.0,
        "radius_m": 14.0,
        "gravity_m_s2": GRAVITY,
        "mat_width_m": 2.4,
        "allowable_Pa": 180e3,
        "allowable_source": "report GR-7, 2027-01-29",
    },
    pad_checks.pad_pressure_check: {
        "pads": PADS,
        "hook_mass_kg": 20_780.0,
        "radius_m": 14.0,
        "gravity_m_s2": GRAVITY,
        "allowable_Pa": 150e3,
        "allowable_source": "report GR-9, 2027-02-11",
    },
    pad_checks.out_of_level_check: {
        "difference_m": 0.02,
        "base_m": 7.0,
        "limit_ratio": 0.01,
        "source": "report GR-9, 2027-02-11",
    },
    clearance_check: {
        "distance_m": 1.2,
        "required_m": 0.5,
        "between": "boom and load",
        "source": "as stated for the crane",
    },
    hazards.hazard_check: {
        "kind": "quay edge",
        "distance_m": 6.0,
        "depth_m": 4.5,
        "checked_by": "",
    },
    exclusion.public_way_check: {
        "way": "Quay Road",
        "distance_m": 12.0,
        "zone": exclusion.ExclusionZone(4.84, 0.61, 14.45),
    },
    track_checks.track_slew_check: {
        "crawler": CRAWLER,
        "gauge_m": 6.2,
        "sector_rad": (-0.1, 0.1),
        "hook_mass_kg": 53_742.0,
        "radius_m": 14.0,
        "gravity_m_s2": GRAVITY,
        "mat_width_m": 2.4,
        "allowable_Pa": 180e3,
        "allowable_source": "report GR-7, 2027-01-29",
    },
    two_hook_checks.two_hook_share_check: {
        "load": two_hooks.TwoHookLoad(400e3, 20.0, 2.0, 3.0, 9.0, 0.3, 0.2),
        "tilt_rad": math.radians(3.0),
        "rig_N": 20e3,
        "capacity_N": 320e3,
        "capacity_source": "chart HV-C, 12 m",
        "margin_ratio": two_hook_checks.QUEENSLAND_MARGIN_BY_CRANES[2],
        "margin_clause": two_hook_checks.QUEENSLAND_MULTIPLE_CRANES,
    },
    two_hook_checks.upending_peak_check: {
        "end": "tail",
        "peak_N": 260e3,
        "attitude_rad": 0.0,
        "largest_share_ratio": 0.5,
        "below_N": 1e3,
        "rated_N": 147e3,
        "rated_source": "item record",
        "clause": two_hook_checks.LEVER_RULE,
    },
    lug_direction.lug_direction_check: {
        "off_axis_rad": math.radians(80.0),
        "attitude_rad": math.radians(10.0),
        "largest_off_axis_rad": math.radians(90.0),
    },
    two_hook_checks.height_difference_check: {"difference_m": 0.5, "largest_m": 1.2},
    outriggers.outrigger_pressure_check: {
        "crane": outriggers.OutriggerCrane(88_000.0, 0.75, 2.4, 2.4),
        "hook_mass_kg": 20_780.0,
        "gravity_m_s2": GRAVITY,
        "allowable_Pa": 150e3,
        "allowable_source": "report GR-9, 2027-02-11",
    },
}


def build(builder: Callable[..., Check], **changes: Any) -> Check:
    """The example of a builder, with some arguments changed."""
    return builder(f"example.{builder.__name__}", "station", "Example", **{**ARGUMENTS[builder], **changes})
