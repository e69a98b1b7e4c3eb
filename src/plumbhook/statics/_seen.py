"""What the elements of a rig do in a posture and what follows from it at once."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.statics._arrays import Floats, RigArrays, State, levers_of
from plumbhook.statics._energy import Lines, unit_of
from plumbhook.statics._stiffness import Stiffness


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """A rig in a posture.

    Attributes:
        now: what its elements do.
        unit: (ne, 3) their directions.
        lever_m: (np, 3) every point of the bodies from their reference points in world axes.
        stiffness: second derivative of the energy, with what it is made of; None where it is not known yet.
        inputs: what every input changes, (P, 6 nb) of the gradient of the energy and (P, ne) of the tensions in place,
            in the order of the sensitivities; None where it is not known yet.
    """

    now: Lines
    unit: Floats
    lever_m: Floats
    stiffness: Stiffness | None = None
    inputs: tuple[Floats, Floats] | None = None

    @classmethod
    def of(cls, arrays: RigArrays, state: State, now: Lines) -> Seen:
        """By the reference solver."""
        return cls(now, unit_of(now), levers_of(arrays, state))
