"""Checks of the bolted joints of the struts, at the joint where each check is nearest to its limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from plumbhook.checks.en_1993_1_8_2005 import joint_preload, joint_strength
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt, preload_from_torque_N
from plumbhook.checks.en_1993_1_8_2005.flange_joint import FlangeGeometry, JointForces
from plumbhook.checks.en_1993_1_8_2005.joint_preload import Tightening
from plumbhook.checks.en_1993_1_8_2005.joint_steps import JointMaterial
from plumbhook.checks.steels import steel_strength
from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.errors import InputError
from plumbhook.core.units import format_quantity
from plumbhook.model.equipment import StrutFamily
from plumbhook.model.joint import HOW_TO_WRITE_BOLTS, FlangeJoint, bolts_of
from plumbhook.model.lift import Lift
from plumbhook.planning.check_strut import (
    DESIGN,
    SERVICE,
    joint_forces,
    joint_key,
    joint_levels,
    strut_station,
)
from plumbhook.planning.rig import ResolvedStrut
from plumbhook.planning.solutions import Solutions

JOINTS_KNOWN = Clause("The bolted joints of a strut are checked", quality=SourceQuality.POLICY)


@dataclass(frozen=True, slots=True)
class JointBasis:
    """What the checks of the joints of one strut family rest on."""

    geometry: FlangeGeometry
    bolt: Bolt
    material: JointMaterial
    tightening: Tightening
    slip_factor: float | None

    @classmethod
    def of(cls, family: StrutFamily, joint: FlangeJoint) -> JointBasis:
        """The basis from the data of a family.

        Raises:
            InputError: bolts or steel are not known, or the torque is missing.
        """
        where = f"strut family {family.name}"
        bolts = bolts_of(family.joint_bolts)
        if bolts is None:
            raise InputError.one(
                f'the bolts of the joint are "{family.joint_bolts}"; {HOW_TO_WRITE_BOLTS}',
                field=f"{where}, joint_bolts",
            )
        count, size, bolt_class = bolts
        strength = steel_strength(
            joint.flange_steel, joint.flange_thickness_m, field=f"{where}, joint_flange_steel"
        )
        tube = family.outside_diameter_m
        return cls(
            geometry=FlangeGeometry(
                bolt_count=count,
                bolt_circle_m=joint.bolt_circle_m,
                tube_diameter_m=tube,
                flange_diameter_m=joint.flange_diameter_m,
                flange_thickness_m=joint.flange_thickness_m,
                # The wall of the tube is where the force is; the flange may press elsewhere, too, which only helps.
                contact_outside_m=tube,
                contact_inside_m=tube - 2.0 * family.wall_m,
                weld_leg_m=joint.weld_leg_m,
            ),
            bolt=Bolt.of(size, bolt_class, field=f"{where}, joint_bolts"),
            material=JointMaterial(strength.yield_Pa, strength.ultimate_Pa),
            tightening=Tightening(
                math.nan if family.joint_torque_Nm is None else family.joint_torque_Nm,
                joint.least_torque_factor,
                joint.largest_torque_factor,
            ),
            slip_factor=joint.slip_factor,
        )


def joint_checks_of(lift: Lift, solutions: Solutions, strut: ResolvedStrut) -> Iterator[Check]:
    """Checks of the joints of a strut of a lift: service at the dynamic load, strength with the load factor.

    A family without joint data is not evaluated if the rules ask for its joints, else left out.

    Raises:
        InputError: the data of the joint cannot be.
    """
    rules, station = lift.file.rules, strut_station(strut, "joints")
    if strut.family.joint is None:
        if rules.joint_data_required:
            yield _not_known(strut.name, station, strut.family)
        return
    yield from joint_checks(
        strut.name,
        station,
        JointBasis.of(strut.family, strut.family.joint),
        service=_forces(lift, solutions, strut, SERVICE),
        design=_forces(lift, solutions, strut, DESIGN),
    )


def _forces(lift: Lift, solutions: Solutions, strut: ResolvedStrut, level: str) -> tuple[JointForces, ...]:
    """Forces at every joint under the worst compression at a level of load, each with the place of its joint."""
    origin = solutions.compression_demand(strut.name).governing.origin
    return tuple(
        JointForces(
            compression_N=at.compression_N,
            shear_N=at.shear_N,
            moment_Nm=at.moment_Nm,
            origin=f"{origin}, joint at {format_quantity(at.station_m, 'm', 'm')}",
            quantity=joint_key(strut.name, level, at.station_m),
        )
        for at in joint_forces(lift, solutions, strut, factor=joint_levels(lift.file.rules)[level])
    )


def joint_checks(
    name: str,
    station: str,
    basis: JointBasis,
    *,
    service: Sequence[JointForces],
    design: Sequence[JointForces],
) -> Iterator[Check]:
    """Checks of the joints of one strut.

    Args:
        name: name of the strut.
        station: station of the load path.
        basis: flanges, bolts, steel and tightening.
        service: forces at each joint, dynamic factor included, no load factor.
        design: the same with the load factor.

    Returns:
        One check for each question, at the joint that is worst in it; none for a strut without joints. A single one
        that is not evaluated where the strut has no answer.

    Raises:
        InputError: the data of the joint cannot be.
    """
    if not design or not service:
        return
    if not all(_known(at) for at in (*service, *design)):
        yield _without_forces(name, station)
        return
    tight = {"geometry": basis.geometry, "bolt": basis.bolt, "tightening": basis.tightening}
    strong = {"geometry": basis.geometry, "bolt": basis.bolt, "material": basis.material}

    def worst(
        builder: Callable[..., Check],
        what: str,
        question: str,
        forces: Sequence[JointForces],
        **given: object,
    ) -> Check:
        checks = [
            builder(f"joint.{name}.{what}", station, f"Strut {name}, joints: {question}", forces=at, **given)
            for at in forces
        ]
        return max(checks, key=lambda check: math.inf if math.isnan(check.utilisation) else check.utilisation)

    yield worst(joint_preload.joint_stays_closed_check, "closed", "stay closed in service", service, **tight)
    yield worst(joint_preload.least_torque_check, "torque", "torque that keeps them closed", service, **tight)
    yield joint_preload.preload_limit_check(
        f"joint.{name}.preload",
        station,
        f"Strut {name}, joints: preload of the bolts",
        bolt=basis.bolt,
        tightening=basis.tightening,
    )
    yield worst(joint_strength.bolt_tension_check, "tension", "bolt tension with prying", design, **strong)
    yield worst(
        joint_strength.bolt_shear_and_tension_check, "combined", "bolt shear and tension", design, **strong
    )
    yield worst(joint_strength.bearing_check, "bearing", "bearing of the bolts", design, **strong)
    yield joint_strength.bolt_distances_check(
        f"joint.{name}.distances",
        station,
        f"Strut {name}, joints: distances of the bolts",
        geometry=basis.geometry,
        bolt=basis.bolt,
    )
    if basis.slip_factor is not None:
        preload = preload_from_torque_N(
            basis.tightening.torque_Nm, basis.bolt.diameter_m, basis.tightening.largest_factor
        )
        yield worst(
            joint_strength.slip_check,
            "slip",
            "slip under shear",
            design,
            **strong,
            preload_N=float(preload),
            slip_factor=basis.slip_factor,
        )


def _known(at: JointForces) -> bool:
    return all(math.isfinite(force) for force in (at.compression_N, at.shear_N, at.moment_Nm))


def _without_forces(name: str, station: str) -> Check:
    missing = Value("M", math.nan, "Nm", "bending moment in the joint", "missing")
    return Check(
        check_id=f"joint.{name}.forces",
        station=station,
        title=f"Strut {name}, joints: forces in them",
        demand=missing,
        capacity=missing,
        clause=JOINTS_KNOWN,
        not_evaluated_because="the forces in the joints are not known: the strut has no answer under this compression",
        cure="use a larger family or a shorter span, so that the strut does not buckle",
    )


def _not_known(name: str, station: str, family: StrutFamily) -> Check:
    missing = Value("J", math.nan, "1", "data of the joints", "missing")
    return Check(
        check_id=f"joint.{name}.data",
        station=station,
        title=f"Strut {name}, joints: data of the family {family.name}",
        demand=missing,
        capacity=missing,
        clause=JOINTS_KNOWN,
        not_evaluated_because=f"the flanges and bolts of the joints of {family.name} are not given",
        cure="enter bolt circle, flange, steel, weld and torque factors of the family as on its drawing",
    )
