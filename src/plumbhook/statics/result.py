"""What the solver says about a rig: the rest it finds, whether it holds, and the proof of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import Pose, Vector
from plumbhook.statics._linear import LinearRest
from plumbhook.statics.modes import StiffnessModes
from plumbhook.statics.proof import Proof
from plumbhook.statics.sensitivity import Sensitivities, derivatives

__all__ = [
    "AssembledPosture",
    "Equilibrium",
    "EquilibriumStatus",
    "RestAfterKick",
    "StiffnessModes",
]

_NO_MODES = StiffnessModes()


class EquilibriumStatus(Enum):
    """Verdict on a rig. Only :attr:`STABLE` is an answer to plan with."""

    STABLE = "stable"
    UNSTABLE = "unstable"
    NO_EQUILIBRIUM = "no_equilibrium"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True)
class AssembledPosture:
    """What becomes of the posture as drawn when the weight comes on.

    Attributes:
        in_equilibrium: True if the rig, taking load without any push to a side, keeps every body within half
            a degree of the drawn posture, apart from motions that cost no energy and the stretch of the
            lines.
        stable: True if the equilibrium reached so resists every small push.
        turn_rad: largest turn of a body between the drawn posture and that equilibrium (rad); NaN if none.
    """

    in_equilibrium: bool
    stable: bool
    turn_rad: float = math.nan


@dataclass(frozen=True, slots=True)
class RestAfterKick:
    """Where an unstable rig goes after a push of 0.02 rad along its unstable mode.

    Attributes:
        stable: True if it comes to a stable rest there.
        poses: body poses at that rest.
        tilt_rad: angle between each body's own z axis and the vertical (rad).
        turn_rad: largest change of the direction of gravity seen from a body, from the unstable posture
            (rad).
        tensions_N: by element; negative is compression in a link.
        slack_m: elements that hang loose and by how much (m).
    """

    stable: bool
    poses: Mapping[str, Pose]
    tilt_rad: Mapping[str, float]
    turn_rad: float
    tensions_N: Mapping[str, float]
    slack_m: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """Equilibrium of a rig. SI units, angles in rad, world axes with z up.

    Attributes:
        name: name of the rig.
        status: the verdict.
        message: one sentence with the reason.
        neutral_modes: number of independent motions that cost no energy (yaw below a hook, spin of a strut, sliding
            of what stands on supports only).
        neutral_motions: the same in words.
        poses: body poses; origins are the body's own origin, as in the rig graph.
        tensions_N: by line, link and pin; zero for a loose sling, negative for a link in compression, for a pin
            the magnitude.
        pin_forces_N: force of each pin on the body at its ``from`` end.
        support_forces_N: by support, upward on the body, never negative.
        slack_m: slings that hang loose and by how much: unstretched length less the distance of the ends (m).
        clear_m: supports that carry nothing and the height of their point above them (m).
        attachment_heights_m: world z of every point of every body (m).
        angle_from_vertical_rad: 0 to pi/2, of the straight line between the ends; of the force for a pin.
        tilt_rad: angle between each body's own z axis and the vertical (0 to pi).
        hook_forces_N: force of the rig on each hook; its z is negative where the rig pulls down.
        hook_load_N: magnitude of that force.
        residual_force_N: largest unbalanced force on a body or the whole, from the independent proof.
        residual_moment_Nm: largest unbalanced moment likewise.
        iterations: Newton steps.
        modes: summary of the eigenvalues.
        assembled_posture: what becomes of the drawn posture.
        rest_after_kick: where an unstable rig goes, else None.
        proof: the independent sums of forces and moments, None where there is nothing to prove.
        linear: the rest with its stiffness, which sensitivities and margins are taken from; None without a rest.
    """

    name: str
    status: EquilibriumStatus
    message: str
    neutral_modes: int = 0
    neutral_motions: tuple[str, ...] = ()
    poses: Mapping[str, Pose] = field(default_factory=dict)
    tensions_N: Mapping[str, float] = field(default_factory=dict)
    pin_forces_N: Mapping[str, Vector] = field(default_factory=dict)
    support_forces_N: Mapping[str, float] = field(default_factory=dict)
    slack_m: Mapping[str, float] = field(default_factory=dict)
    clear_m: Mapping[str, float] = field(default_factory=dict)
    attachment_heights_m: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    angle_from_vertical_rad: Mapping[str, float] = field(default_factory=dict)
    tilt_rad: Mapping[str, float] = field(default_factory=dict)
    hook_forces_N: Mapping[str, Vector] = field(default_factory=dict)
    hook_load_N: Mapping[str, float] = field(default_factory=dict)
    residual_force_N: float = math.nan
    residual_moment_Nm: float = math.nan
    iterations: int = 0
    modes: StiffnessModes = _NO_MODES
    assembled_posture: AssembledPosture = AssembledPosture(in_equilibrium=False, stable=False)
    rest_after_kick: RestAfterKick | None = None
    proof: Proof | None = None
    linear: LinearRest | None = field(default=None, repr=False, compare=False)

    @property
    def is_stable(self) -> bool:
        """True only for a proved, stable rest."""
        return self.status is EquilibriumStatus.STABLE

    @property
    def sensitivities(self) -> Sensitivities:
        """What a small change of any length, stiffness, mass, centre of gravity or hook does to every answer.

        They come from the stiffness that the verdict was taken on and are put together when first asked for.

        Raises:
            NotEvaluatedError: the rig is not stable, so that a small change has no small answer.
        """
        if not self.is_stable or self.linear is None:
            raise NotEvaluatedError(f"sensitivities need a stable rest, and this rig is {self.status.value}")
        return derivatives(self.linear)
