"""Pressure below the worst pad through the slew, with its working; and what settlement makes of the level."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.ground import ALLOWABLE_PRESSURE
from plumbhook.crane.mats import PadOnMat, cantilever_m, effective_sides_m
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane
from plumbhook.crane.pads_along import (
    CarrierStiffness,
    FloatArray,
    reactions_along_N,
    shares_of_pads,
)

PAD_REACTIONS = Clause("Reactions of pads that only push, by statics", quality=SourceQuality.OWN_DERIVATION)
MAT_STRENGTH = Clause(
    "Bending and shear of a mat beyond the edge of the pad", quality=SourceQuality.COMMON_PRACTICE
)
OUT_OF_LEVEL = Clause("Out-of-level that the crane chart allows", quality=SourceQuality.COMMON_PRACTICE)

SLEW_STEP_DEG = 0.5


@dataclass(frozen=True, slots=True)
class PadsOfCrane:
    """A crane on its pads as the checks see it.

    Attributes:
        names: name of each pad.
        base: places of the pads.
        crane: masses.
        stiffness: of carrier and pads; None for a rigid carrier.
        mat: pad and mat with its strength; None where the area that carries is stated.
        area_m: stated sides of the area below a pad, m; used where there is no ``mat``.
        sector_rad: bearings of the boom from the front, clockwise, from where to where it slews, rad.
    """

    names: tuple[str, ...]
    base: OutriggerBase
    crane: SlewingCrane
    stiffness: CarrierStiffness | None
    mat: PadOnMat | None
    area_m: tuple[float, float]
    sector_rad: tuple[float, float] = (0.0, 2.0 * math.pi)

    def sides_m(self, force_N: FloatArray) -> FloatArray:
        """Sides of the area below a pad that carries each force, m, ``(N, 2)``."""
        if self.mat is not None:
            return effective_sides_m(self.mat, force_N)
        return np.broadcast_to(np.array(self.area_m, dtype=float), (len(force_N), 2))


def slew_angles_rad(sector_rad: tuple[float, float]) -> FloatArray:
    """Bearings of the boom from one end of a sector to the other, every half degree at most, both ends among them.

    Args:
        sector_rad: from where to where, clockwise, rad.
    """
    turn = min(sector_rad[1] - sector_rad[0], 2.0 * math.pi)
    count = max(math.ceil(math.degrees(turn) / SLEW_STEP_DEG - 1e-9), 1)
    return np.linspace(sector_rad[0], sector_rad[0] + turn, count + 1)


def pad_pressure_check(
    check_id: str,
    station: str,
    title: str,
    *,
    pads: PadsOfCrane,
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
    allowable_Pa: float | None,
    allowable_source: str,
) -> Check:
    """Pressure below the worst pad anywhere in the slew against the allowable one.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pads: the crane on its pads.
        hook_mass_kg: everything below the boom head, kg, static, with the weight factor; zero for the crane alone.
        radius_m: radius of the hook, m.
        gravity_m_s2: acceleration of gravity, m/s2.
        allowable_Pa: allowable pressure, Pa; None where nobody has stated it.
        allowable_source: who has stated it, report and date; "" leaves the check not evaluated.

    Returns:
        The check, in Pa; refused where the crane overturns somewhere in the slew.

    Raises:
        InputError: a number makes no sense.
    """
    _refuse_nonsense(check_id, pads, hook_mass_kg, radius_m, gravity_m_s2)
    slews = slew_angles_rad(pads.sector_rad)
    forces = reactions_along_N(
        pads.base,
        pads.crane,
        hook_mass_kg=hook_mass_kg,
        radius_m=radius_m,
        slew_rad=slews,
        gravity_m_s2=gravity_m_s2,
        stiffness=pads.stiffness,
    )
    allowable = _allowable(allowable_Pa, allowable_source)
    missing = (
        ""
        if allowable_Pa is not None and allowable_source.strip()
        else "allowable pressure or its source missing"
    )
    overturns = ~np.isfinite(forces).all(axis=1)
    if overturns.any():
        at = math.degrees(slews[overturns][0])
        return Check(
            check_id, station, title, _no_pressure(), allowable, ALLOWABLE_PRESSURE,
            refused_because=f"the weight leaves the pads at {at:.0f} deg from the front: the crane overturns",
            not_evaluated_because=missing,
            cure="use a smaller radius, more counterweight or a wider base",
        )  # fmt: skip
    row, pad = np.unravel_index(int(np.argmax(forces)), forces.shape)
    steps = _steps(pads, forces[row], int(pad), float(slews[row]), hook_mass_kg, radius_m, gravity_m_s2)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=steps[-1].result,
        capacity=allowable,
        clause=ALLOWABLE_PRESSURE,
        steps=tuple(steps),
        assumptions=(
            f"Worst is pad {pads.names[pad]}, boom {math.degrees(slews[row]):.1f} deg clockwise from the front of the "
            f"carrier, of every half degree of the slew; pads only push.",
            "Rigid carrier, pads of equal stiffness, level ground, static load; a carrier that bends shares otherwise."
            if pads.stiffness is None
            else "Carrier and pads give way as stated, level ground, static load.",
        ),
        attention=_lifted(pads, slews, forces, title),
        not_evaluated_because=missing,
        cure="use larger or stiffer mats, a smaller radius, or have the ground improved",
    )


def out_of_level_check(
    check_id: str,
    station: str,
    title: str,
    *,
    difference_m: float,
    base_m: float,
    limit_ratio: float | None,
    source: str,
) -> Check:
    """Slope that the difference of settlement between two pads gives the crane, against what the chart allows.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        difference_m: difference of settlement, m, zero or more.
        base_m: distance of the two pads, m.
        limit_ratio: slope that the chart allows; None where nobody has stated it.
        source: who states how the ground settles; "" leaves the check not evaluated.

    Returns:
        The check, a slope. The radius grows by slope times the height of the boom head.

    Raises:
        InputError: difference or distance makes no sense.
    """
    if not (math.isfinite(difference_m) and difference_m >= 0.0 and math.isfinite(base_m) and base_m > 0.0):
        raise InputError.one(
            "settlement and distance of the pads must be numbers, the distance above zero", field=check_id
        )
    if limit_ratio is not None and not math.isfinite(limit_ratio):
        raise InputError.one("the out-of-level that the chart allows must be a number", field=check_id)
    difference = Value("d_s", difference_m, "m", "difference of settlement", source or "missing", "mm")
    base = Value("B", base_m, "m", "distance of the two pads", "place.crane.outriggers")
    slope = Value("i", difference_m / base_m, "1", "out-of-level by settlement", display="%")
    gone = [
        words
        for words, missing in (
            ("the out-of-level that the chart allows", limit_ratio is None),
            ("who states the settlement", not source.strip()),
        )
        if missing
    ]
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=slope,
        capacity=Value(
            "i_all",
            math.nan if limit_ratio is None else limit_ratio,
            "1",
            "out-of-level allowed",
            "crane chart",
            "%",
        ),
        clause=OUT_OF_LEVEL,
        steps=(Step(slope, "d_s/B", (difference, base), PAD_REACTIONS),),
        assumptions=("The crane was level before the load; it is levelled again where it has sunk.",),
        not_evaluated_because=f"{' and '.join(gone)} missing" if gone else "",
        cure="state settlement.out_of_level_limit of the chart and its source"
        if gone
        else "use larger mats or improve the ground",
    )


def _refuse_nonsense(
    check_id: str, pads: PadsOfCrane, hook_mass_kg: float, radius_m: float, gravity_m_s2: float
) -> None:
    crane = pads.crane
    numbers = (crane.carrier_mass_kg, *crane.carrier_cog_m, crane.upper_mass_kg, crane.upper_cog_m)
    rules = (
        (math.isfinite(hook_mass_kg) and hook_mass_kg >= 0.0, "the mass below the boom head must be zero or more"),
        (math.isfinite(radius_m) and radius_m > 0.0, "the radius must be a positive number"),
        (math.isfinite(gravity_m_s2) and gravity_m_s2 > 0.0, "gravity must be a positive number"),
        (
            all(map(math.isfinite, numbers)) and min(crane.carrier_mass_kg, crane.upper_mass_kg) > 0.0,
            "masses of carrier and superstructure must be positive, their centres of gravity numbers",
        ),
        (
            pads.mat is not None or all(math.isfinite(side) and side > 0.0 for side in pads.area_m),
            "the sides of the area below a pad must be positive numbers",
        ),
        (
            all(map(math.isfinite, pads.sector_rad)) and pads.sector_rad[0] < pads.sector_rad[1],
            "the sector of the slew goes clockwise from its first bearing to a larger one",
        ),
        (len(pads.names) == len(pads.base.pads_m), "every pad needs a name"),
    )  # fmt: skip
    problems = tuple(Problem(check_id, words) for holds, words in rules if not holds)
    if problems:
        raise InputError(problems)


def _allowable(allowable_Pa: float | None, source: str) -> Value:
    value = math.nan if allowable_Pa is None else allowable_Pa
    return Value("p_all", value, "Pa", "allowable ground pressure", source or "missing", "kPa")


def _no_pressure() -> Value:
    return Value("p", math.inf, "Pa", "pressure below the worst pad", "the crane overturns", "kPa")


def _steps(
    pads: PadsOfCrane,
    reactions_N: FloatArray,
    pad: int,
    slew_rad: float,
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
) -> list[Step]:
    crane = pads.crane
    along = np.array([math.cos(slew_rad), -math.sin(slew_rad)])
    pressed = [i for i, force in enumerate(reactions_N) if force > 0.0]
    places = np.array([crane.carrier_cog_m, crane.upper_cog_m * along, radius_m * along])
    shares = shares_of_pads(pads.base, pressed, places, stiffness=pads.stiffness)[:, pad]
    origin = f"statics of the pads pressed: {', '.join(pads.names[i] for i in pressed)}"
    name = pads.names[pad]
    parts = (
        Value("k_car", float(shares[0]), "1", f"part of the carrier on pad {name}", origin),
        Value("k_up", float(shares[1]), "1", f"part of the superstructure on pad {name}", origin),
        Value("k_hook", float(shares[2]), "1", f"part of the hook load on pad {name}", origin),
    )
    masses = (
        Value("m_car", crane.carrier_mass_kg, "kg", "carrier", "place.crane.outriggers", "t"),
        Value("m_up", crane.upper_mass_kg, "kg", "superstructure with counterweight", "place.crane.outriggers", "t"),
        Value(
            "m_gross", hook_mass_kg, "kg", "everything below the boom head", "sum of masses", "t",
            "gross_load" if hook_mass_kg > 0.0 else "",
        ),
    )  # fmt: skip
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    weight = sum(mass.value * part.value for mass, part in zip(masses, parts, strict=True))
    force = Value("F_pad", gravity_m_s2 * weight, "N", f"force on pad {name}", display="kN")
    steps = [
        Step(force, "g*(m_car*k_car + m_up*k_up + m_gross*k_hook)", (gravity, *masses, *parts), PAD_REACTIONS)
    ]
    sides = pads.sides_m(np.array([force.value]))
    source = "as far as bending and shear of the mat let it spread" if pads.mat else "place.crane.outriggers"
    length = Value("a", float(sides[0, 0]), "m", "length of the area that carries", source)
    width = Value("b", float(sides[0, 1]), "m", "width of the area that carries", source)
    if pads.mat is not None:
        steps.extend(_mat_steps(pads.mat, force, length, width, float(cantilever_m(pads.mat, sides)[0])))
    pressure = Value(
        "p", force.value / (length.value * width.value), "Pa", "pressure below the mat", display="kPa"
    )
    return [*steps, Step(pressure, "F_pad/(a*b)", (force, length, width), MAT_STRENGTH)]


def _mat_steps(mat: PadOnMat, force: Value, length: Value, width: Value, cantilever: float) -> list[Step]:
    arm = Value("c", cantilever, "m", "area that carries beyond the edge of the pad", "mat and pad")
    thickness = Value("t", mat.thickness_m, "m", "thickness of the mat", "place.ground.mat", "mm")
    pressure = force.value / (length.value * width.value)
    bending = Value(
        "sigma", 3.0 * pressure * arm.value**2 / thickness.value**2, "Pa", "bending stress", display="MPa"
    )
    shear = Value("tau", 1.5 * pressure * arm.value / thickness.value, "Pa", "shear stress", display="MPa")
    inputs = (force, length, width, arm, thickness)
    limits = (mat.bending_strength_Pa / 1e6, mat.shear_strength_Pa / 1e6)
    return [
        Step(bending, "3*F_pad/(a*b)*c**2/t**2", inputs, MAT_STRENGTH, f"allowed {limits[0]:.4g} MPa"),
        Step(shear, "1.5*F_pad/(a*b)*c/t", inputs, MAT_STRENGTH, f"allowed {limits[1]:.4g} MPa"),
    ]


def _lifted(pads: PadsOfCrane, slews: FloatArray, forces: FloatArray, title: str) -> str:
    """Which pads go light, as a sentence; "" where none does."""
    names = [name for name, column in zip(pads.names, forces.T, strict=True) if (column <= 0.0).any()]
    if not names:
        return ""
    at = math.degrees(slews[(forces <= 0.0).any(axis=1)][0])
    return (
        f"{title}: pad {' and pad '.join(names)} goes light in the slew, first at {at:.0f} deg from the front; "
        "the others carry its share."
    )
