"""The bolted flange joints of a strut family: what a store knows of them beyond a torque, all or nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

_BOLTS = re.compile(r"\s*(\d{1,3})\s*[x×]\s*(M\d{1,3})\s+(\d{1,2}\.\d)\s*")
HOW_TO_WRITE_BOLTS = 'write the bolts of one joint like "6 x M20 8.8"'


@dataclass(frozen=True, slots=True)
class FlangeJoint:
    """Flanges and tightening of the joints of a strut family.

    Attributes:
        bolt_circle_m: diameter of the bolt circle.
        flange_diameter_m: outside diameter of the flanges.
        flange_thickness_m: thickness of each flange.
        flange_steel: steel grade of the flanges.
        weld_leg_m: leg of the weld between tube and flange.
        least_torque_factor: lowest torque factor k of the bolts as greased and used.
        largest_torque_factor: highest torque factor k.
        slip_factor: friction of the faces as treated; None where the joint does not rely on friction.
    """

    bolt_circle_m: float
    flange_diameter_m: float
    flange_thickness_m: float
    flange_steel: str
    weld_leg_m: float
    least_torque_factor: float
    largest_torque_factor: float
    slip_factor: float | None = None


REQUIRED: Mapping[str, str] = {
    "joint_bolt_circle": "bolt_circle_m",
    "joint_flange_diameter": "flange_diameter_m",
    "joint_flange_thickness": "flange_thickness_m",
    "joint_flange_steel": "flange_steel",
    "joint_weld_leg": "weld_leg_m",
    "joint_torque_factor_least": "least_torque_factor",
    "joint_torque_factor_largest": "largest_torque_factor",
}
"""Fields that make a joint, by what a file calls them; with any of them all must be there."""


def flange_joint(
    given: Mapping[str, float | str | None], slip_factor: float | None
) -> tuple[FlangeJoint | None, str]:
    """The joint of a family from the fields of a file.

    Args:
        given: the fields of :data:`REQUIRED` as read, None or "" where left out.
        slip_factor: friction of the faces, None where left out.

    Returns:
        The joint, or None where nothing of it is given; and what is missing, one sentence, "" if nothing.
    """
    there = {name: value for name, value in given.items() if value not in (None, "")}
    if not there:
        if slip_factor is None:
            return None, ""
        return (
            None,
            "a friction of the joint without its flanges says nothing; give the flanges too, or leave it out",
        )
    gone = [name for name in REQUIRED if name not in there]
    if gone:
        words = ", ".join(gone)
        return None, f"the data of the joint are not complete; give {words} as well, or leave all of them out"
    return FlangeJoint(**{REQUIRED[name]: there[name] for name in REQUIRED}, slip_factor=slip_factor), ""  # type: ignore[arg-type]


def bolts_of(words: str) -> tuple[int, str, str] | None:
    """Number, size and property class of the bolts of one joint; None where the words do not say all three."""
    match = _BOLTS.fullmatch(words)
    return (int(match[1]), match[2], match[3]) if match else None
