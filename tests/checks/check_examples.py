"""One call of every builder of the checks layer, with arguments that tests may change."""

import math
from collections.abc import Callable
from datetime import date
from typing import Any

from joint_examples import ARGUMENTS as JOINT_ARGUMENTS

from plumbhook.checks import (
    assembly,
    attitude,
    bearing_on_load,
    equipment,
    fit,
    fit_rules,
    held_by_slings,
    lift_point,
    rated_load,
    rule_limits,
    second_method,
    slinging,
    strut_layout,
    strut_rating,
    two_points,
    weighing,
)
from plumbhook.checks.asme_bth_1 import segmented, strut
from plumbhook.checks.asme_bth_1.compression import StrutBasis
from plumbhook.checks.demand import Demand
from plumbhook.checks.en_1993_1_1_2005 import flexural_buckling
from plumbhook.checks.en_1993_1_1_2005 import strut as en_strut
from plumbhook.checks.en_13155_2003 import strength
from plumbhook.checks.nd_0027_2016.factors import DYNAMIC_FACTOR
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.checks.solved_strut import SolvedStrut
from plumbhook.core.check import Check, Value
from plumbhook.model.strut_rating import RatingTable

GRAVITY = 9.81


def demand(
    *worst: float, nominal: float | None = None, unit: str = "N", symbol: str = "F", display: str = "kN"
) -> Demand:
    """A demand of up to three methods; the nominal value is the last one unless given."""
    names = ("hand", "rigid", "elastic")[: len(worst)]
    return Demand(
        Value(
            f"{symbol}_nom",
            worst[-1] if nominal is None else nominal,
            unit,
            "demand as the rig hangs",
            "elastic, expected centre of gravity",
            display,
        ),
        tuple(
            Value(f"{symbol}_{name}", value, unit, f"worst demand, {name}", f"{name}, x+ y-", display)
            for name, value in zip(names, worst, strict=True)
        ),
    )


def angle_demand(*worst: float) -> Demand:
    return demand(*worst, unit="rad", symbol="d", display="deg")


TUBE = CircularHollowSection.of_dimensions(0.2191, 0.010)
BASIS = StrutBasis(
    section=TUBE,
    line_mass_kg_per_m=66.0,
    gravity_m_s2=GRAVITY,
    dynamic_factor=1.10,
    pin_offset_m=0.008,
    yield_Pa=355e6,
    elastic_modulus_Pa=210e9,
    design_factor=3.0,
)
UPPER_STRUT = (
    strut_layout.StrutPart("E01", "F219", 0.20, is_fitting=True),
    strut_layout.StrutPart("1201", "F219", 1.2),
    strut_layout.StrutPart("2401", "F219", 2.4),
    strut_layout.StrutPart("0301", "F219", 0.3),
    strut_layout.StrutPart("E02", "F219", 0.20, is_fitting=True),
)
STRUT_DEMAND = demand(167.6e3, 165.9e3, 164.0e3, nominal=151.9e3)


def solved_strut(factor: float, bow_m: float = 0.0086) -> SolvedStrut:
    """The example strut of 4.3 m as an analysis would give it, at a factor on its worst compression."""
    force, critical = factor * 167.6e3, 3.70e6
    first = factor * (2.5e3 + 167.6e3 * (0.008 + bow_m))
    return SolvedStrut(
        force, critical, 1.01 * first / (1.0 - force / critical), 2.15, first, bow_m, 40e6, "stated"
    )


RATINGS = RatingTable(
    "F219", "sheet 7 of the maker, invented", (3.0, 4.5, 6.0), (math.radians(30.0), math.radians(45.0)),
    ((60e3, 45e3), (48e3, 36e3), (34e3, None)),
)  # fmt: skip
LUG_AND_SHACKLE = fit_rules.connect(
    fit_rules.End("lug", "lug", fit_rules.Form.PLATE, bar_m=0.050, opening_m=0.044),
    [fit_rules.End("SH-17", "shackle", fit_rules.Form.PIN, bar_m=0.042, opening_m=0.060, is_shackle=True)],
)
ITEM = equipment.ItemState("RS-20-01", "ok", date(2027, 2, 1), 32.0)

ARGUMENTS: dict[Callable[..., Check], dict[str, Any]] = {
    rule_limits.rule_limit_check: {
        "adopted": 1.15,
        "unit": "1",
        "display": "1",
        "clause": DYNAMIC_FACTOR,
        "at_least": 1.10,
    },
    rule_limits.category_check: {
        "declared": "critical",
        "required": "critical",
        "categories": ("standard", "critical"),
        "clause": DYNAMIC_FACTOR,
    },
    rule_limits.independent_checker_check: {"authors": ("A. Example",), "checkers": ("B. Example",)},
    rule_limits.competence_check: {
        "competent_until": date(2028, 1, 31),
        "lift_date": date(2027, 3, 17),
    },
    rated_load.rated_load_check: {
        "demand": demand(335.3e3, 331.9e3, 328.0e3, nominal=316.7e3),
        "rated_mass_kg": 20_000.0,
        "gravity_m_s2": GRAVITY,
        "item_kind": "roundsling",
        "side_by_side": 2,
        "larger_share": 0.55,
        "own_weight_N": 690.0,
        "angle_from_vertical_rad": math.radians(30.0),
    },
    lift_point.lift_point_load_check: {
        "demand": demand(161.0e3, 153.1e3, 152.3e3),
        "rated_mass_kg": 20_000.0,
        "gravity_m_s2": GRAVITY,
    },
    lift_point.lift_point_angle_check: {
        "demand": angle_demand(0.0536, 0.0593),
        "max_angle_rad": math.radians(5.0),
    },
    flexural_buckling.flexural_buckling_check: {
        "demand": demand(167.6e3, 165.9e3, 164.0e3, nominal=151.9e3),
        "section": TUBE,
        "buckling_length_m": 4.3,
        "yield_Pa": 355e6,
        "elastic_modulus_Pa": 210e9,
        "curve": "a",
        "gamma_F": 1.35,
        "gamma_M1": 1.0,
    },
    strut.compression_check: {
        "demand": demand(167.6e3, 165.9e3, 164.0e3, nominal=151.9e3),
        "span_m": 4.3,
        "basis": BASIS,
    },
    segmented.segmented_check: {
        "demand": STRUT_DEMAND,
        "solved": solved_strut(3.45),
        "basis": BASIS,
    },
    en_strut.second_order_check: {
        "demand": STRUT_DEMAND,
        "solved": solved_strut(1.35, 4.3 / 300.0),
        "section": TUBE,
        "span_m": 4.3,
        "yield_Pa": 355e6,
        "curve": "a",
        "gamma_F": 1.35,
        "gamma_M1": 1.0,
    },
    en_strut.interaction_check: {
        "demand": STRUT_DEMAND,
        "solved": solved_strut(1.35, 4.3 / 300.0),
        "moments": en_strut.FirstOrderMoments(1.81e3, 1.81e3, 5.1e3, 5.1e3),
        "section": TUBE,
        "yield_Pa": 355e6,
        "curve": "a",
        "gamma_F": 1.35,
        "gamma_M1": 1.0,
    },
    strength.no_permanent_set_check: {
        "demand": STRUT_DEMAND,
        "solved": solved_strut(2.0 / 1.1),
        "section": TUBE,
        "yield_Pa": 355e6,
        "dynamic_factor": 1.1,
    },
    strength.no_release_check: {
        "demand": STRUT_DEMAND,
        "solved": solved_strut(3.0 / 1.1),
        "section": TUBE,
        "yield_Pa": 355e6,
        "dynamic_factor": 1.1,
    },
    strut_rating.rating_table_check: {
        "demand": demand(335.3e3, 331.9e3, 328.0e3, nominal=316.7e3),
        "table": RATINGS,
        "span_m": 4.3,
        "angle_from_vertical_rad": math.radians(30.0),
        "gravity_m_s2": GRAVITY,
    },
    strut.slenderness_check: {"span_m": 4.3, "basis": BASIS},
    strut_layout.mid_span_joint_check: {"parts": UPPER_STRUT, "least_distance_m": 0.1},
    strut_layout.piece_count_check: {"parts": UPPER_STRUT},
    strut_layout.one_family_check: {"parts": UPPER_STRUT},
    strut_layout.end_pins_only_check: {
        "attachments": (strut_layout.LineAttachment("T1", 0.0), strut_layout.LineAttachment("M1", 0.001))
    },
    slinging.top_sling_angle_check: {
        "angle_from_vertical_rad": math.radians(36.3),
        "max_angle_rad": math.radians(45.0),
        "min_angle_rad": math.radians(30.0),
    },
    slinging.lower_sling_lean_check: {
        "lean_rad": math.radians(0.9),
        "attention_above_rad": math.radians(3.0),
        "max_lean_rad": math.radians(6.0),
    },
    slinging.slack_check: {
        "least_tension_N": 118.7e3,
        "least_tension_where": "V4, elastic, x+ y-",
        "slack": (),
        "required_tension_N": 5e3,
    },
    attitude.tilt_check: {"demand": angle_demand(0.054, 0.0592), "max_tilt_rad": math.radians(5.0)},
    attitude.restoring_height_check: {
        "plane": "plane of the upper strut",
        "triangle_height_m": 3.724,
        "strut_mass_kg": 763.0,
        "load_mass_kg": 47_848.0,
        "cog_height_m": -0.80,
        "required_ratio": 0.1,
    },
    attitude.overturning_check_by_energy: {"case_status": {"expected": "stable", "x+ y-": "stable"}},
    attitude.cog_inside_lift_points_check: {
        "lift_points_m": ((-1.05, -2.15), (1.05, -2.15), (1.05, 2.15), (-1.05, 2.15)),
        "cog_m": (0.033, -0.015),
        "cog_half_box_m": (0.10, 0.10),
        "required_margin_m": 0.10,
    },
    two_points.two_point_hang_check: {
        "cog_height_m": -0.60,
        "reference_height_m": 3.724,
        "required_ratio": 0.1,
    },
    weighing.agreement_check: {
        "sum_kg": 16_900.0,
        "sum_uncertainty_kg": 45.0,
        "hook_kg": 16_800.0,
        "hook_uncertainty_kg": 95.0,
        "limit": 3.0,
    },
    weighing.redundancy_check: {"chi_square": 2.1, "largest_chi_square": 9.0, "redundancy": 1},
    assembly.joint_torque_check: {
        "joint_bolts": "6 x M20 8.8",
        "joint_torque_Nm": 280.0,
        "least_torque_Nm": 240.0,
    },
    assembly.shackle_order_check: {"upper_rated_kg": 35_000.0, "lower_rated_kg": 17_000.0},
    bearing_on_load.edge_check: {"sling": "RS-20-13", "thickness_m": 0.026, "edge_radius_m": 0.040},
    bearing_on_load.sliding_check: {
        "slope_rad": math.radians(2.0),
        "lean": Value("phi", math.radians(1.0), "rad", "lean of V1", "as it hangs", "deg", "angle:V1"),
        "friction": 0.3,
        "safety": 2.0,
    },
    bearing_on_load.squeeze_check: {
        "pulls": (
            bearing_on_load.LeaningPull("V1", 140e3, math.radians(2.0)),
            bearing_on_load.LeaningPull("V2", 120e3, math.radians(3.0)),
        ),
        "squeeze_limit_N": 10e3,
        "attention_above_rad": math.radians(3.0),
    },
    fit.fit_check: {"connection": LUG_AND_SHACKLE},
    held_by_slings.solved_restoring_height_check: {
        "restoring_height_m": 2.4,
        "plane": "plane along x",
        "reference_height_m": 6.4,
        "required_ratio": 0.1,
    },
    equipment.item_usable_check: {"items": (ITEM,), "lift_date": date(2027, 3, 17)},
    second_method.second_method_check: {
        "pairs": (second_method.MethodPair("tension of T1", 100.1e3, 100.0e3),),
        "max_difference_ratio": 0.02,
    },
}


ARGUMENTS.update(JOINT_ARGUMENTS)


def build(builder: Callable[..., Check], **changes: Any) -> Check:
    """The example of a builder, with some arguments changed."""
    return builder(f"example.{builder.__name__}", "station", "Example", **{**ARGUMENTS[builder], **changes})
