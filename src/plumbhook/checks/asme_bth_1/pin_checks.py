"""Checks of a pin-connected plate and of its pin by allowable stresses of ASME BTH-1."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.checks.asme_bth_1 import pins
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import Problem
from plumbhook.core.units import format_quantity

PIN_STATICS = Clause("Statics of a pin in three plates", quality=SourceQuality.OWN_DERIVATION)


@dataclass(frozen=True, slots=True)
class PinPlate:
    """A plate with the hole of a pin.

    Attributes:
        pin_m: pin Dp, m.
        hole_m: hole Dh, not smaller than the pin, m.
        thickness_m: thickness t, m.
        width_m: be, from the edge of the hole to the edge of the plate across the force, m.
        end_m: a, from the edge of the hole to the edge of the plate along the force, m.
        radius_m: R, from the centre of the hole to the edge of the plate along the force, m.
        yield_Pa: Fy, Pa.
        ultimate_Pa: Fu, Pa.
        stiffened: held against dishing out of its plane.
        turns_under_load: the pin turns in the hole under load.
    """

    pin_m: float
    hole_m: float
    thickness_m: float
    width_m: float
    end_m: float
    radius_m: float
    yield_Pa: float
    ultimate_Pa: float
    stiffened: bool = False
    turns_under_load: bool = False

    def values(self) -> dict[str, Value]:
        """The numbers as values by their symbols in ASME BTH-1."""
        data = "plate data"
        return {
            "D_p": Value("D_p", self.pin_m, "m", "diameter of the pin", data, "mm"),
            "D_h": Value("D_h", self.hole_m, "m", "diameter of the hole", data, "mm"),
            "t": Value("t", self.thickness_m, "m", "thickness of the plate", data, "mm"),
            "b_e": Value("b_e", self.width_m, "m", "width beside the hole", data, "mm"),
            "a": Value("a", self.end_m, "m", "steel beyond the hole", data, "mm"),
            "R": Value("R", self.radius_m, "m", "from the centre of the hole to the end", data, "mm"),
            "F_y": Value("F_y", self.yield_Pa, "Pa", "yield strength of the plate", "material", "MPa"),
            "F_u": Value("F_u", self.ultimate_Pa, "Pa", "tensile strength of the plate", "material", "MPa"),
        }

    def problems(self, check_id: str) -> tuple[Problem, ...]:
        """What cannot be: a number missing or of the wrong sign, or a pin larger than its hole."""
        found = input_problems(check_id, positive=self.values().values())
        if self.pin_m > self.hole_m:
            pin, hole = (format_quantity(v, "m", "mm", decimals=1) for v in (self.pin_m, self.hole_m))
            sentence = (
                f"the pin of {pin} does not go into the hole of {hole}; "
                "measure both again, or choose a smaller pin or a larger hole"
            )
            found += (Problem(check_id, sentence),)
        return found


def pin_plate_check(
    check_id: str, station: str, title: str, *, force: Value, plate: PinPlate, design_factor: float
) -> Check:
    """Force on a pin-connected plate against the least of tension, fracture, double shear and bearing.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: force ``P`` on the plate, N, without load factor, with its origin.
        plate: the plate.
        design_factor: nominal design factor Nd of the design category.

    Returns:
        The check, in N.

    Raises:
        InputError: a number is missing or cannot be, or the pin is larger than its hole.
    """
    factor = Value("N_d", design_factor, "1", "nominal design factor", "design category")
    refuse(
        (
            *plate.problems(check_id),
            *input_problems(check_id, positive=(factor,), not_negative=(force,)),
        )
    )
    given = plate.values()
    clearance = Value(
        "C_r",
        float(pins.hole_clearance_factor(plate.pin_m, plate.hole_m)),
        "1",
        "reduction for play of the pin",
    )
    width, tension = _tension_steps(plate, clearance, factor)
    fracture_N = pins.plate_fracture_N(
        clearance.value,
        plate.radius_m,
        plate.hole_m,
        plate.width_m,
        plate.thickness_m,
        plate.ultimate_Pa,
        design_factor,
    )
    fracture = Value("P_b", float(fracture_N), "N", "fracture on one plane beyond the hole", display="kN")
    shear = _double_shear_steps(plate, factor)
    bearing_N = pins.plate_bearing_N(
        pins.bearing_stress_Pa(plate.yield_Pa, design_factor, turns_under_load=plate.turns_under_load),
        plate.pin_m,
        plate.thickness_m,
    )
    bearing = Value("P_p", float(bearing_N), "N", "bearing of the pin in the hole", display="kN")
    limits = (tension.result, fracture, shear[-1].result, bearing)
    capacity = Value(
        "P_all", min(limit.value for limit in limits), "N", "allowable force on the plate", display="kN"
    )
    clauses = (pins.PLATE_TENSION, pins.PLATE_FRACTURE, pins.PLATE_DOUBLE_SHEAR, pins.PLATE_BEARING)
    governing = next(
        clause for limit, clause in zip(limits, clauses, strict=True) if limit.value == capacity.value
    )
    bearing_part = "0.63" if plate.turns_under_load else "1.25"
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=force,
        capacity=capacity,
        clause=governing,
        steps=(
            Step(
                clearance,
                "1 - 0.275*sqrt(1 - D_p**2/D_h**2)",
                (given["D_p"], given["D_h"]),
                pins.PLATE_TENSION,
            ),
            width,
            tension,
            Step(
                fracture,
                "C_r*F_u/(1.2*N_d)*(1.13*(R - D_h/2) + 0.92*b_e/(1 + b_e/D_h))*t",
                (clearance, given["F_u"], factor, given["R"], given["D_h"], given["b_e"], given["t"]),
                pins.PLATE_FRACTURE,
            ),
            *shear,
            Step(
                bearing,
                f"{bearing_part}*F_y/N_d*D_p*t",
                (given["F_y"], factor, given["D_p"], given["t"]),
                pins.PLATE_BEARING,
            ),
            Step(capacity, "min(P_t, P_b, P_v, P_p)", limits, governing),
        ),
        assumptions=(
            "The force lies in the plane of the plate, through the centre of the hole.",
            "The pin turns in the hole under load."
            if plate.turns_under_load
            else "The pin does not turn under load.",
        ),
        cure="use a thicker plate, leave more steel round the hole, or use a pin with less play",
    )


def pin_in_plates_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    pin_m: float,
    middle_m: float,
    outer_m: float,
    gap_m: float,
    yield_Pa: float,
    design_factor: float,
) -> Check:
    """Force on a solid pin through one middle and two outer plates: shear, bending, and both.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: force ``P`` on the pin, N, without load factor, with its origin.
        pin_m: diameter of the pin, m.
        middle_m: thickness of the middle plate, m.
        outer_m: thickness of each outer plate, m.
        gap_m: gap on each side between them, m.
        yield_Pa: yield strength of the pin, Pa.
        design_factor: nominal design factor Nd of the design category.

    Returns:
        The check, in N.

    Raises:
        InputError: a number is missing or cannot be.
    """
    pin = Value("D_p", pin_m, "m", "diameter of the pin", "pin data", "mm")
    middle = Value("b", middle_m, "m", "thickness of the middle plate", "pin data", "mm")
    outer = Value("a", outer_m, "m", "thickness of each outer plate", "pin data", "mm")
    gap = Value("c", gap_m, "m", "gap between the plates", "pin data", "mm")
    strength = Value("F_y", yield_Pa, "Pa", "yield strength of the pin", "material", "MPa")
    factor = Value("N_d", design_factor, "1", "nominal design factor", "design category")
    refuse(
        input_problems(
            check_id,
            positive=(pin, middle, outer, strength, factor),
            not_negative=(gap, force),
        )
    )
    lever_m = (middle_m + 4.0 * gap_m + 2.0 * outer_m) / 8.0
    area, modulus = math.pi * pin_m**2 / 4.0, math.pi * pin_m**3 / 32.0
    shear_N = 2.0 * area * float(pins.pin_shear_stress_limit_Pa(yield_Pa, design_factor))
    bending_N = modulus * float(pins.pin_bending_stress_limit_Pa(yield_Pa, design_factor)) / lever_m
    at_one = float(pins.combined_stress_Pa(lever_m / modulus, 0.5 / area))
    both_N = yield_Pa / design_factor / at_one
    lever = Value("h", lever_m, "m", "moment in the pin over the force on it", display="mm")
    shear = Value("P_s", shear_N, "N", "shear of the pin in two planes", display="kN")
    bending = Value("P_m", bending_N, "N", "bending of the pin", display="kN")
    both = Value("P_c", both_N, "N", "bending with the mean shear", display="kN")
    limits = (shear, bending, both)
    capacity = Value("P_all", min(v.value for v in limits), "N", "allowable force on the pin", display="kN")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=force,
        capacity=capacity,
        clause=pins.PIN_COMBINED,
        steps=(
            Step(lever, "(b + 4*c + 2*a)/8", (middle, gap, outer), PIN_STATICS),
            Step(shear, "2*pi*D_p**2/4*F_y/(N_d*sqrt(3))", (pin, strength, factor), pins.PIN_SHEAR),
            Step(bending, "1.25*F_y/N_d*pi*D_p**3/(32*h)", (strength, factor, pin, lever), pins.PIN_BENDING),
            Step(
                both,
                "F_y/(N_d*sqrt((32*h/(pi*D_p**3))**2 + 3*(2/(pi*D_p**2))**2))",
                (strength, factor, lever, pin),
                pins.PIN_COMBINED,
            ),
            Step(capacity, "min(P_s, P_m, P_c)", limits, pins.PIN_COMBINED),
        ),
        assumptions=(
            "The plates are centred on the pin, each outer plate takes half of the force, and spacers hold the gaps.",
            "Bending at the surface and the mean shear are taken at one point, which is the safe side.",
        ),
        cure="use a thicker or stronger pin, or close the gaps between the plates",
    )


def _tension_steps(plate: PinPlate, clearance: Value, factor: Value) -> tuple[Step, Step]:
    given = plate.values()
    width_m = pins.effective_width_m(
        plate.width_m,
        plate.thickness_m,
        plate.hole_m,
        plate.yield_Pa,
        plate.ultimate_Pa,
        stiffened=plate.stiffened,
    )
    width = Value("b_eff", float(width_m), "m", "effective width beside the hole", display="mm")
    terms = ["b_e", "4*t", "0.6*b_e*F_u/F_y*sqrt(D_h/b_e)"]
    inputs = [given["b_e"], given["t"], given["F_u"], given["F_y"], given["D_h"]]
    if plate.stiffened:
        del terms[1], inputs[1]
    force_N = pins.plate_tension_N(
        clearance.value, width.value, plate.thickness_m, plate.ultimate_Pa, factor.value
    )
    tension = Value("P_t", float(force_N), "N", "tension through the pin hole", display="kN")
    return (
        Step(width, f"min({', '.join(terms)})", tuple(inputs), pins.PLATE_EFFECTIVE_WIDTH),
        Step(
            tension,
            "C_r*F_u/(1.2*N_d)*2*t*b_eff",
            (clearance, given["F_u"], factor, given["t"], width),
            pins.PLATE_TENSION,
        ),
    )


def _double_shear_steps(plate: PinPlate, factor: Value) -> tuple[Step, Step, Step]:
    given = plate.values()
    angle = Value(
        "phi",
        float(pins.shear_plane_angle_rad(plate.pin_m, plate.hole_m)),
        "rad",
        "angle of the shear planes",
        display="deg",
    )
    full = Value("phi_0", math.radians(55.0), "rad", "angle for a pin without play", "eq. (3-52)", "deg")
    area_m2 = pins.double_shear_area_m2(plate.end_m, plate.pin_m, plate.hole_m, plate.thickness_m)
    area = Value("A_v", float(area_m2), "m2", "area of the two shear planes", display="cm2")
    force_N = pins.plate_double_shear_N(area.value, plate.ultimate_Pa, factor.value)
    force = Value("P_v", float(force_N), "N", "double plane shear beyond the pin", display="kN")
    clause = pins.PLATE_DOUBLE_SHEAR
    return (
        Step(angle, "phi_0*D_p/D_h", (full, given["D_p"], given["D_h"]), clause),
        Step(area, "2*(a + D_p/2*(1 - cos(phi)))*t", (given["a"], given["D_p"], angle, given["t"]), clause),
        Step(force, "0.7*F_u/(1.2*N_d)*A_v", (given["F_u"], factor, area), clause),
    )
