"""Checks of a pin and the plates it joins: two outer plates, one middle plate, the pin through them."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.checks.en_1993_1_8_2005 import pins
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Check, Step, Value
from plumbhook.core.errors import Problem
from plumbhook.core.units import format_quantity

CENTRED = (
    "The plates are centred on the pin, each outer plate takes half of the force, and spacers hold the gaps."
)


@dataclass(frozen=True, slots=True)
class PinJoint:
    """A pin through one middle plate and two outer plates.

    Attributes:
        pin_m: diameter d of the pin, m.
        hole_m: diameter d0 of the holes, not smaller than the pin, m.
        middle_m: thickness b of the middle plate, m.
        outer_m: thickness a of each outer plate, m.
        gap_m: gap c on each side between them, m.
        pin_yield_Pa: yield strength of the pin, Pa.
        pin_ultimate_Pa: tensile strength of the pin, Pa.
        plate_yield_Pa: yield strength of the plates, Pa.
    """

    pin_m: float
    hole_m: float
    middle_m: float
    outer_m: float
    gap_m: float
    pin_yield_Pa: float
    pin_ultimate_Pa: float
    plate_yield_Pa: float

    def values(self) -> dict[str, Value]:
        """The numbers as values by their symbols in EN 1993-1-8."""
        data = "joint data"
        return {
            "d": Value("d", self.pin_m, "m", "diameter of the pin", data, "mm"),
            "d_0": Value("d_0", self.hole_m, "m", "diameter of the hole", data, "mm"),
            "b": Value("b", self.middle_m, "m", "thickness of the middle plate", data, "mm"),
            "a": Value("a", self.outer_m, "m", "thickness of each outer plate", data, "mm"),
            "c": Value("c", self.gap_m, "m", "gap between the plates", data, "mm"),
            "f_yp": Value("f_yp", self.pin_yield_Pa, "Pa", "yield strength of the pin", "material", "MPa"),
            "f_up": Value(
                "f_up", self.pin_ultimate_Pa, "Pa", "tensile strength of the pin", "material", "MPa"
            ),
            "f_ypl": Value(
                "f_ypl", self.plate_yield_Pa, "Pa", "yield strength of the plates", "material", "MPa"
            ),
        }

    def problems(self, check_id: str) -> tuple[Problem, ...]:
        """What cannot be: a number missing, of the wrong sign, or a pin larger than its hole."""
        given = self.values()
        gap = given.pop("c")
        found = input_problems(check_id, positive=given.values(), not_negative=(gap,))
        if self.pin_m > self.hole_m:
            found += (Problem(check_id, pin_larger_than_hole(self.pin_m, self.hole_m)),)
        return found


def pin_larger_than_hole(pin_m: float, hole_m: float) -> str:
    """The sentence for a pin that does not go into its hole."""
    pin, hole = (format_quantity(value, "m", "mm", decimals=1) for value in (pin_m, hole_m))
    return (
        f"the pin of {pin} does not go into the hole of {hole}; "
        "measure both again, or choose a smaller pin or a larger hole"
    )


def pin_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    joint: PinJoint,
    gamma_M0: float = 1.0,
    gamma_M2: float = 1.25,
) -> Check:
    """Force on a pin against the pin in shear with bending and the plates in bearing.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: design force ``F`` on the pin, N, load factor included, with its origin.
        joint: pin and plates.
        gamma_M0: partial factor of yielding.
        gamma_M2: partial factor of fracture.

    Returns:
        The check, in N: the least of the three loads at which one of them is used up.

    Raises:
        InputError: a number is missing or cannot be, or the pin is larger than its hole.
    """
    given = joint.values()
    yielding = Value("gamma_M0", gamma_M0, "1", "partial factor of yielding", "rules of the lift")
    fracture = Value("gamma_M2", gamma_M2, "1", "partial factor of fracture", "rules of the lift")
    refuse(
        (
            *joint.problems(check_id),
            *input_problems(check_id, positive=(yielding, fracture), not_negative=(force,)),
        )
    )
    shear_N = float(
        pins.pin_shear_resistance_N(pins.pin_area_m2(joint.pin_m), joint.pin_ultimate_Pa, gamma_M2)
    )
    shear = Value("F_v_Rd", shear_N, "N", "shear resistance of the pin in one plane", display="kN")
    moment_Nm = float(
        pins.pin_bending_resistance_Nm(pins.pin_modulus_m3(joint.pin_m), joint.pin_yield_Pa, gamma_M0)
    )
    moment = Value("M_Rd", moment_Nm, "Nm", "bending resistance of the pin", display="kN.m")
    lever = _lever_step(joint)
    both_N = 1.0 / ((lever.result.value / moment_Nm) ** 2 + (0.5 / shear_N) ** 2) ** 0.5
    both = Value("F_vM", both_N, "N", "force at which shear and bending use up the pin", display="kN")
    strength = _bearing_strength(joint)
    bearing_N = float(
        pins.pin_bearing_resistance_N(
            min(joint.middle_m, 2.0 * joint.outer_m), joint.pin_m, strength.result.value, gamma_M0
        )
    )
    bearing = Value("F_b_Rd", bearing_N, "N", "bearing resistance of the plates", display="kN")
    capacity = Value("F_Rd", min(both_N, bearing_N), "N", "resistance of pin and plates", display="kN")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=force,
        capacity=capacity,
        clause=pins.PIN_COMBINED if both_N < bearing_N else pins.PIN_BEARING,
        steps=(
            Step(
                shear,
                "0.6*pi*d**2/4*f_up/gamma_M2",
                (given["d"], given["f_up"], fracture),
                pins.PIN_SHEAR,
            ),
            Step(
                moment,
                "1.5*pi*d**3/32*f_yp/gamma_M0",
                (given["d"], given["f_yp"], yielding),
                pins.PIN_BENDING,
            ),
            lever,
            Step(
                both,
                "1/sqrt((h/M_Rd)**2 + (0.5/F_v_Rd)**2)",
                (lever.result, moment, shear),
                pins.PIN_COMBINED,
            ),
            strength,
            Step(
                bearing,
                "1.5*min(b, 2*a)*d*f_y/gamma_M0",
                (given["b"], given["a"], given["d"], strength.result, yielding),
                pins.PIN_BEARING,
            ),
            Step(capacity, "min(F_vM, F_b_Rd)", (both, bearing), pins.PIN_COMBINED),
        ),
        assumptions=(CENTRED,),
        cure="use a thicker or stronger pin, thicker plates, or close the gaps between them",
    )


def replaceable_pin_check(
    check_id: str,
    station: str,
    title: str,
    *,
    service_force: Value,
    joint: PinJoint,
    elastic_modulus_Pa: float = 210e9,
    gamma_M6_ser: float = 1.0,
) -> Check:
    """Force in service on a pin that must come out again: bearing, bending and contact stay elastic.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        service_force: force ``F_ser`` in service, N, no load factor, with its origin.
        joint: pin and plates.
        elastic_modulus_Pa: modulus of elasticity, Pa.
        gamma_M6_ser: partial factor at serviceability.

    Returns:
        The check, in N.

    Raises:
        InputError: a number is missing or cannot be, or the pin is larger than its hole.
    """
    given = joint.values()
    partial = Value("gamma_M6", gamma_M6_ser, "1", "partial factor in service", "rules of the lift")
    modulus = Value("E", elastic_modulus_Pa, "Pa", "modulus of elasticity", "material", "GPa")
    refuse(
        (
            *joint.problems(check_id),
            *input_problems(check_id, positive=(partial, modulus), not_negative=(service_force,)),
        )
    )
    strength, lever = _bearing_strength(joint), _lever_step(joint)
    thickness_m = min(joint.middle_m, 2.0 * joint.outer_m)
    bearing_N = float(
        pins.pin_bearing_service_limit_N(thickness_m, joint.pin_m, strength.result.value, gamma_M6_ser)
    )
    bearing = Value("F_b_ser", bearing_N, "N", "bearing of a replaceable pin", display="kN")
    bending_Nm = pins.pin_bending_service_limit_Nm(
        pins.pin_modulus_m3(joint.pin_m), joint.pin_yield_Pa, gamma_M6_ser
    )
    bending_N = float(bending_Nm) / lever.result.value
    bending = Value(
        "F_M_ser", bending_N, "N", "force at the bending limit of a replaceable pin", display="kN"
    )
    steps = [
        strength,
        Step(
            bearing,
            "0.6*min(b, 2*a)*d*f_y/gamma_M6",
            (given["b"], given["a"], given["d"], strength.result, partial),
            pins.PIN_BEARING_SERVICE,
        ),
        lever,
        Step(
            bending,
            "0.8*pi*d**3/32*f_yp/(gamma_M6*h)",
            (given["d"], given["f_yp"], partial, lever.result),
            pins.PIN_BENDING_SERVICE,
        ),
    ]
    limits = [bearing, bending]
    if joint.hole_m > joint.pin_m:
        steps.append(_contact_step(joint, thickness_m, strength.result, modulus, partial))
        limits.append(steps[-1].result)
    capacity = Value(
        "F_ser_Rd",
        min(v.value for v in limits),
        "N",
        "force with which the pin still comes out",
        display="kN",
    )
    steps.append(
        Step(capacity, f"min({', '.join(v.symbol for v in limits)})", tuple(limits), pins.PIN_BEARING_SERVICE)
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=service_force,
        capacity=capacity,
        clause=pins.PIN_CONTACT
        if len(limits) == 3 and capacity.value == limits[2].value
        else pins.PIN_BEARING_SERVICE,
        steps=tuple(steps),
        assumptions=(CENTRED,),
        cure="use a thicker or stronger pin, thicker plates, or a hole with less play",
    )


def pin_plate_outline_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    thickness_m: float,
    hole_m: float,
    end_m: float,
    side_m: float,
    yield_Pa: float,
    gamma_M0: float = 1.0,
) -> Check:
    """Steel beyond and beside the hole of a pin plate against what Table 3.9 asks for its thickness.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: design force ``F`` on the plate, N, load factor included, with its origin.
        thickness_m: thickness of the plate, m.
        hole_m: hole d0, m.
        end_m: from the edge of the hole to the end of the plate along the force, m.
        side_m: from the edge of the hole to the side of the plate, m.
        yield_Pa: yield strength of the plate, Pa.
        gamma_M0: partial factor of yielding.

    Returns:
        The check: the worse of the two needs over what is there, against 1.

    Raises:
        InputError: a number is missing or cannot be.
    """
    thickness = Value("t", thickness_m, "m", "thickness of the plate", "plate data", "mm")
    hole = Value("d_0", hole_m, "m", "diameter of the hole", "plate data", "mm")
    end = Value("a", end_m, "m", "steel beyond the hole", "plate data", "mm")
    side = Value("c", side_m, "m", "steel beside the hole", "plate data", "mm")
    strength = Value("f_y", yield_Pa, "Pa", "yield strength of the plate", "material", "MPa")
    partial = Value("gamma_M0", gamma_M0, "1", "partial factor of yielding", "rules of the lift")
    refuse(
        input_problems(
            check_id, positive=(thickness, hole, end, side, strength, partial), not_negative=(force,)
        )
    )
    need_end = Value(
        "a_min",
        float(pins.plate_end_ligament_m(force.value, thickness_m, hole_m, yield_Pa, gamma_M0)),
        "m",
        "least steel beyond the hole",
        display="mm",
    )
    need_side = Value(
        "c_min",
        float(pins.plate_side_ligament_m(force.value, thickness_m, hole_m, yield_Pa, gamma_M0)),
        "m",
        "least steel beside the hole",
        display="mm",
    )
    demand = Value("r", max(need_end.value / end_m, need_side.value / side_m), "1", "need over what is there")
    inputs = (force, partial, thickness, strength, hole)
    symbol = force.symbol
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=Value("r_max", 1.0, "1", "largest ratio", "Table 3.9"),
        clause=pins.PLATE_TYPE_A,
        steps=(
            Step(need_end, f"{symbol}*gamma_M0/(2*t*f_y) + 2*d_0/3", inputs, pins.PLATE_TYPE_A),
            Step(need_side, f"{symbol}*gamma_M0/(2*t*f_y) + d_0/3", inputs, pins.PLATE_TYPE_A),
            Step(demand, "max(a_min/a, c_min/c)", (need_end, end, need_side, side), pins.PLATE_TYPE_A),
        ),
        cure="use a thicker plate or leave more steel round the hole",
    )


def _lever_step(joint: PinJoint) -> Step:
    given = joint.values()
    lever = Value(
        "h",
        float(pins.pin_moment_Nm(1.0, joint.middle_m, joint.outer_m, joint.gap_m)),
        "m",
        "moment in the pin over the force on it",
        display="mm",
    )
    return Step(lever, "(b + 4*c + 2*a)/8", (given["b"], given["c"], given["a"]), pins.PIN_MOMENT)


def _bearing_strength(joint: PinJoint) -> Step:
    given = joint.values()
    lower = Value(
        "f_y",
        min(joint.pin_yield_Pa, joint.plate_yield_Pa),
        "Pa",
        "lower yield strength of pin and plate",
        display="MPa",
    )
    return Step(lower, "min(f_yp, f_ypl)", (given["f_yp"], given["f_ypl"]), pins.PIN_BEARING)


def _contact_step(
    joint: PinJoint, thickness_m: float, strength: Value, modulus: Value, partial: Value
) -> Step:
    """Force at which the contact stress comes to its limit: inverse of eq. (3.15) with (3.16)."""
    given = joint.values()
    limit = float(pins.contact_limit_Pa(strength.value, partial.value))
    at_one = float(pins.contact_stress_Pa(modulus.value, 1.0, joint.hole_m, joint.pin_m, thickness_m))
    result = Value(
        "F_h_ser",
        (limit / at_one) ** 2,
        "N",
        "force at the limit of contact of a replaceable pin",
        display="kN",
    )
    return Step(
        result,
        "(2.5*f_y/(0.591*gamma_M6))**2*d**2*min(b, 2*a)/(E*(d_0 - d))",
        (strength, partial, given["d"], given["b"], given["a"], modulus, given["d_0"]),
        pins.PIN_CONTACT,
    )
