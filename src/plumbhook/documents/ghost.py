"""The tilt ghost: where load and struts hang, with every turn and sideways shift enlarged by a whole factor.

True tilt is thinner than a line on paper. The turn of each body (as a rotation vector) and its sideways movement are
multiplied; its downward movement by stretch is not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.documents.views import finite_posture
from plumbhook.planning.assessment import RigStatement, Vector

_FACTORS = (10, 5, 2, 1)
_LARGEST_DRAWN_RAD = math.radians(30.0)
_SMALLEST_RAD = math.radians(0.03)


@dataclass(frozen=True, slots=True)
class Ghost:
    """An enlarged tilt: the factor, the true tilt and where drawn points of the load and struts' ends would be."""

    factor: int
    tilt_rad: float
    turn: np.ndarray
    centre_drawn: np.ndarray
    centre_shown: np.ndarray
    struts: tuple[tuple[Vector, Vector], ...]

    def load_point(self, point: Vector) -> Vector:
        """Where a point of the drawn load is shown."""
        moved = self.centre_shown + self.turn @ (np.array(point) - self.centre_drawn)
        return (float(moved[0]), float(moved[1]), float(moved[2]))


def tilt_ghost(rig: RigStatement, lift_points: tuple[Vector, ...]) -> Ghost | None:
    """The ghost of a rig, or None where it hangs level or its hanging posture is not known."""
    if not finite_posture(rig.hanging) or not lift_points:
        return None
    rows = np.array(rig.hanging.load_rows)
    vector = rotation_vector(rows)
    tilt = float(math.acos(max(-1.0, min(1.0, rows[2, 2]))))
    if tilt < _SMALLEST_RAD:
        return None
    factor = next((f for f in _FACTORS if f * tilt <= _LARGEST_DRAWN_RAD), 1)
    centre = np.mean(np.array(lift_points), axis=0)
    hung = np.array(rig.hanging.load_origin_m) + rows @ centre
    return Ghost(
        factor,
        tilt,
        rotation_matrix(factor * vector),
        centre,
        _moved(centre, hung, factor),
        _struts(rig, factor),
    )


def _moved(drawn: np.ndarray, hung: np.ndarray, factor: int) -> np.ndarray:
    return np.array(
        [drawn[0] + factor * (hung[0] - drawn[0]), drawn[1] + factor * (hung[1] - drawn[1]), hung[2]]
    )


def _struts(rig: RigStatement, factor: int) -> tuple[tuple[Vector, Vector], ...]:
    out = []
    for strut in rig.struts:
        ends = [
            (np.array(rig.drawn.nodes_m[n]), np.array(rig.hanging.nodes_m[n]))
            for n in (strut.node_a, strut.node_b)
        ]
        drawn_axis, hung_axis = ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]
        vector = _between(drawn_axis, hung_axis)
        half = rotation_matrix(factor * vector) @ drawn_axis / 2.0
        middle = _moved((ends[0][0] + ends[1][0]) / 2.0, (ends[0][1] + ends[1][1]) / 2.0, factor)
        a, b = middle - half, middle + half
        out.append(((float(a[0]), float(a[1]), float(a[2])), (float(b[0]), float(b[1]), float(b[2]))))
    return tuple(out)


def _between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Shortest rotation vector that turns direction a into direction b."""
    axis = np.cross(a, b)
    sine, cosine = float(np.linalg.norm(axis)), float(a @ b)
    if sine == 0.0:
        return np.zeros(3)
    result: np.ndarray = axis / sine * math.atan2(sine, cosine)
    return result


def rotation_vector(rows: np.ndarray) -> np.ndarray:
    """Axis times angle (rad) of a rotation matrix, angle below pi."""
    axis = np.array([rows[2, 1] - rows[1, 2], rows[0, 2] - rows[2, 0], rows[1, 0] - rows[0, 1]])
    sine2 = float(np.linalg.norm(axis))
    if sine2 == 0.0:
        return np.zeros(3)
    result: np.ndarray = axis / sine2 * math.atan2(sine2, float(np.trace(rows)) - 1.0)
    return result


def rotation_matrix(vector: np.ndarray) -> np.ndarray:
    """Rotation matrix of axis times angle (Rodrigues' formula)."""
    angle = float(np.linalg.norm(vector))
    if angle == 0.0:
        return np.eye(3)
    x, y, z = vector / angle
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    result: np.ndarray = np.eye(3) + math.sin(angle) * k + (1.0 - math.cos(angle)) * (k @ k)
    return result
