"""The same rigs in a general physics engine, and in a minimiser of another library.

Both take nothing from the solver but the rig graph. In the engine bodies are free, lines are springs that only pull,
and pins are springs of no length; the rig is let go as drawn and stopped whenever it begins to slow down, until it
rests, and what is left then is taken out by Newton's method on the engine's own forces. The minimiser is given the
energy of the rig written anew in rotation vectors. Supports are for the minimiser only: the engine has no surface that
neither rubs nor is anything but a plain spring.
"""

from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import quoteattr

import numpy as np
from scipy.optimize import least_squares, minimize
from scipy.spatial.transform import Rotation

from plumbhook.model.rig_graph import Element, ElementType, RigGraph


@dataclass
class Rest:
    """A rest found by other means.

    Attributes:
        forces_N: by element; pushes of supports too.
        tilt_rad: by body, as :func:`tilts` takes it.
        unbalanced: largest force left over the weight, or largest moment over weight and mean line length.
        steps: steps or evaluations that it took.
    """

    forces_N: dict[str, float]
    tilt_rad: dict[str, float]
    unbalanced: float
    steps: int


def total_weight_N(rig: RigGraph) -> float:
    return rig.gravity_m_s2 * sum(body.mass_kg for body in rig.bodies)


def size_m(rig: RigGraph) -> float:
    return float(np.mean([e.unstretched_length_m for e in rig.elements if e.unstretched_length_m]))


def stiffness_N_m(element: Element) -> float:
    if element.stiffness_N_per_m is not None:
        return element.stiffness_N_per_m
    return element.EA_N / element.unstretched_length_m


def tilts(rig: RigGraph, rotations: dict[str, np.ndarray]) -> dict[str, float]:
    """Angle between a body's z axis and the vertical; of a body that may spin about a line, between line and level."""
    out = {}
    for body in rig.bodies:
        points = np.array([p.position_m for p in body.points_m] + ([body.cog_m] if body.mass_kg else []))
        spread = points - points.mean(axis=0)
        _, sizes, axes = np.linalg.svd(spread)
        if len(sizes) > 1 and sizes[1] > 1e-9 * sizes[0]:
            z = rotations[body.name][:, 2]
            out[body.name] = float(np.arctan2(np.hypot(z[0], z[1]), z[2]))
        else:
            line = rotations[body.name] @ axes[0]
            out[body.name] = float(np.arctan2(line[2], np.hypot(line[0], line[1])))
    return out


# --- The engine ---------------------------------------------------------------------------------------------


class InEngine:
    """A rig in the engine, with weights as forces, so that inertia can be chosen for a quick rest.

    A rest does not depend on inertia: each body gets as much as its springs are stiff, and then all swing alike.
    """

    STEP_S = 0.5

    def __init__(self, rig: RigGraph) -> None:
        import mujoco

        self.engine: Any = mujoco
        self.rig = rig
        self.model = mujoco.MjModel.from_xml_string(self._xml())
        self.data = mujoco.MjData(self.model)
        for number, body in enumerate(rig.bodies, start=1):
            self.data.xfrc_applied[number, 2] = -body.mass_kg * rig.gravity_m_s2

    def _xml(self) -> str:
        rig = self.rig
        hooks = "".join(
            f"<site name={quoteattr(f'hook.{hook.name}')} pos='{_numbers(hook.position_m)}'/>"
            for hook in rig.hooks_m
        )
        bodies, tendons = "", ""
        for body in rig.bodies:
            points = {f"{body.name}.{p.name}": np.array(p.position_m) for p in body.points_m}
            ends = [
                (points[ref], stiffness_N_m(e)) for e in rig.elements for ref in e.end_refs if ref in points
            ]
            inertia = sum(k for _, k in ends)
            turning = sum(k * float((at - body.cog_m) @ (at - body.cog_m)) for at, k in ends)
            turning = max(turning, 1e-2 * inertia * size_m(rig) ** 2)
            turn = Rotation.from_matrix(np.array(body.start.rotation_rows)).as_quat(scalar_first=True)
            sites = "".join(f"<site name={quoteattr(n)} pos='{_numbers(at)}'/>" for n, at in points.items())
            bodies += (
                f"<body name={quoteattr(body.name)} pos='{_numbers(body.start.origin_m)}' quat='{_numbers(turn)}'>"
                f"<freejoint/><inertial pos='{_numbers(body.cog_m)}' mass='{inertia!r}' "
                f"diaginertia='{_numbers([turning] * 3)}'/>{sites}</body>"
            )
        for element in rig.elements:
            length = element.unstretched_length_m or 0.0
            shortest = 0.0 if element.type is ElementType.SLING else length
            tendons += (
                f"<spatial name={quoteattr(element.name)} stiffness='{stiffness_N_m(element)!r}' "
                f"springlength='{_numbers((shortest, length))}'>"
                f"<site site={quoteattr(element.from_ref)}/><site site={quoteattr(element.to_ref)}/></spatial>"
            )
        return (
            f"<mujoco><option gravity='0 0 0' timestep='{self.STEP_S}'><flag contact='disable'/></option>"
            f"<worldbody>{hooks}{bodies}</worldbody><tendon>{tendons}</tendon></mujoco>"
        )

    def forces(self) -> np.ndarray:
        """Generalised forces of the engine in the posture it is in, at rest."""
        self.data.qvel[:] = 0.0
        self.engine.mj_forward(self.model, self.data)
        return np.array(self.data.qfrc_smooth)

    def unbalanced(self, forces: np.ndarray) -> float:
        scaled = forces.reshape(-1, 6) / total_weight_N(self.rig)
        return float(max(np.abs(scaled[:, :3]).max(), np.abs(scaled[:, 3:]).max() / size_m(self.rig)))

    def fall(self, tolerance: float, most: int) -> int:
        """Let the rig go, stopped whenever it begins to slow down, until forces are below the tolerance."""
        before = 0.0
        for step in range(most):
            self.engine.mj_step(self.model, self.data)
            self.engine.mj_energyVel(self.model, self.data)
            now = float(self.data.energy[1])
            if now < before:
                if step % 10 == 0 and self.unbalanced(self.forces()) < tolerance:
                    return step
                self.data.qvel[:] = 0.0
                now = 0.0
            before = now
        return most

    def energy(self) -> float:
        """Energy of springs, as the engine counts it, and of weights."""
        self.engine.mj_energyPos(self.model, self.data)
        weights = self.data.xfrc_applied[:, 2] @ self.data.xipos[:, 2]
        return float(self.data.energy[0] - weights)

    def stiffness(self, at: np.ndarray) -> np.ndarray:
        """Minus the change of the forces with the motions of the bodies, by differences."""
        rows = []
        for axis in range(self.model.nv):
            sides = []
            for by in (1e-6, -1e-6):
                self._go(at, by * np.eye(self.model.nv)[axis])
                sides.append(self.forces())
            rows.append((sides[1] - sides[0]) / 2e-6)
        self.data.qpos[:] = at
        return np.array(rows).T

    def descend(self, most: int = 300) -> int:
        """Newton's method downhill on the engine's energy, for rigs that fall too slowly: soft racking, stiff pins."""
        scale = np.tile([1.0, 1.0, 1.0, *(3 * [size_m(self.rig)])], self.model.nv // 6)
        for step in range(most):
            at, force = np.array(self.data.qpos), self.forces()
            height = self.energy()
            if self.unbalanced(force) < 1e-8:
                return step
            matrix = self.stiffness(at) / np.outer(scale, scale)
            values, vectors = np.linalg.eigh(0.5 * (matrix + matrix.T))
            values = np.maximum(np.abs(values), 1e-10 * values.max())
            move = vectors @ (vectors.T @ (force / scale) / values) / scale
            move *= min(1.0, 0.1 * size_m(self.rig) / np.abs(move).max())
            part = 1.0
            while part > 1e-6:
                self._go(at, part * move)
                self.forces()
                if self.energy() < height:
                    break
                part *= 0.5
            else:
                self.data.qpos[:] = at
                return step
        return most

    def settle(self) -> None:
        """Newton's method on the engine's forces, for as long as they fall; motions without force are left out."""
        best = self.forces()
        for _ in range(30):
            at = np.array(self.data.qpos)
            self._go(at, np.linalg.lstsq(self.stiffness(at), best, rcond=1e-11)[0])
            now = self.forces()
            if not self.unbalanced(now) < self.unbalanced(best):
                self.data.qpos[:] = at
                return
            best = now

    def _go(self, at: np.ndarray, motion: np.ndarray) -> None:
        self.data.qpos[:] = at
        self.engine.mj_integratePos(self.model, self.data.qpos, motion, 1.0)


def rest_in_engine(rig: RigGraph, *, fallen: float = 1e-6, most: int = 50_000) -> Rest:
    """Rest of a rig without supports as the engine finds it."""
    world = InEngine(rig)
    steps = world.fall(fallen, most)
    if steps == most:
        steps += world.descend()
    world.settle()
    left = world.unbalanced(world.forces())
    tensions = {}
    for number, element in enumerate(rig.elements):
        stretch = float(world.data.ten_length[number]) - (element.unstretched_length_m or 0.0)
        pulls = stretch if element.type is not ElementType.SLING else max(0.0, stretch)
        tensions[element.name] = stiffness_N_m(element) * pulls
    rotations = world.data.xmat.reshape(-1, 3, 3)[1:]
    tilt = tilts(rig, {body.name: rotation for body, rotation in zip(rig.bodies, rotations, strict=True)})
    return Rest(tensions, tilt, left, steps)


def _numbers(values: Any) -> str:
    return " ".join(repr(float(value)) for value in values)


# --- The minimiser ------------------------------------------------------------------------------------------


class Energy:
    """Energy of a rig over displacements of the centres of gravity and rotation vectors from the drawn posture."""

    def __init__(self, rig: RigGraph) -> None:
        self.rig = rig
        self.length = max(size_m(rig), 1.0) if any(e.unstretched_length_m for e in rig.elements) else 1.0
        self.weight = total_weight_N(rig)
        self.drawn = {b.name: np.array(b.start.rotation_rows) for b in rig.bodies}
        self.centre = {b.name: np.array(b.start.world(b.cog_m)) for b in rig.bodies}
        self.arm = {
            f"{b.name}.{p.name}": np.subtract(p.position_m, b.cog_m) for b in rig.bodies for p in b.points_m
        }
        self.hook = {f"hook.{hook.name}": np.array(hook.position_m) for hook in rig.hooks_m}

    def rotations(self, q: np.ndarray) -> dict[str, np.ndarray]:
        turns = q.reshape(-1, 6)[:, 3:]
        return {
            b.name: Rotation.from_rotvec(v).as_matrix() @ self.drawn[b.name]
            for b, v in zip(self.rig.bodies, turns, strict=True)
        }

    def forces(self, q: np.ndarray) -> dict[str, np.ndarray]:
        """By element, the force on its first body."""
        where = self.points(q)
        out = {}
        for e in self.rig.elements:
            start, k = where[e.from_ref], stiffness_N_m(e)
            if e.type is ElementType.SUPPORT:
                out[e.name] = np.array([0.0, 0.0, k * max(0.0, e.level_m - start[2])])
                continue
            span = where[e.to_ref] - start
            distance = float(np.linalg.norm(span))
            if e.type is ElementType.PIN:
                out[e.name] = k * span
            else:
                stretch = distance - e.unstretched_length_m
                pull = k * (max(0.0, stretch) if e.type is ElementType.SLING else stretch)
                out[e.name] = pull / distance * span
        return out

    def value(self, q: np.ndarray) -> float:
        """Energy over weight and length: a spring holds force squared over twice its stiffness."""
        stored = sum(
            float(f @ f) / (2.0 * stiffness_N_m(e))
            for e, f in zip(self.rig.elements, self.forces(q).values(), strict=True)
        )
        lifted = sum(
            b.mass_kg * self.rig.gravity_m_s2 * (self.centre[b.name][2] + self.length * move[2])
            for b, move in zip(self.rig.bodies, q.reshape(-1, 6), strict=True)
        )
        return (stored + lifted) / (self.weight * self.length)

    def slope(self, q: np.ndarray) -> np.ndarray:
        """Derivative of the energy; zero where every body is balanced."""
        rotations, forces = self.rotations(q), self.forces(q)
        out = np.zeros((len(self.rig.bodies), 6))
        number = {b.name: i for i, b in enumerate(self.rig.bodies)}
        for i, b in enumerate(self.rig.bodies):
            out[i, 2] += b.mass_kg * self.rig.gravity_m_s2
        for e in self.rig.elements:
            for ref, force in zip(e.end_refs, (forces[e.name], -forces[e.name]), strict=False):
                name = ref.partition(".")[0]
                if name in number:
                    out[number[name], :3] -= force
                    out[number[name], 3:] -= np.cross(rotations[name] @ self.arm[ref], force)
        out /= self.weight
        out[:, 3:] /= self.length
        for row, v in zip(out, q.reshape(-1, 6)[:, 3:], strict=True):
            row[3:] = _turn_rate(v).T @ row[3:]
        return out.ravel()

    def points(self, q: np.ndarray) -> dict[str, np.ndarray]:
        rotations, moves = self.rotations(q), q.reshape(-1, 6)[:, :3] * self.length
        at = dict(self.hook)
        for b, move in zip(self.rig.bodies, moves, strict=True):
            for p in b.points_m:
                ref = f"{b.name}.{p.name}"
                at[ref] = self.centre[b.name] + move + rotations[b.name] @ self.arm[ref]
        return at


def _turn_rate(v: np.ndarray) -> np.ndarray:
    """How a change of a rotation vector turns the body: left Jacobian of the exponential map."""
    angle = float(np.linalg.norm(v))
    across = np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])
    if angle < 1e-4:
        return np.eye(3) + 0.5 * across + across @ across / 6.0
    first, second = (1.0 - np.cos(angle)) / angle**2, (angle - np.sin(angle)) / angle**3
    return np.eye(3) + first * across + second * across @ across


def rest_by_minimiser(rig: RigGraph) -> Rest:
    """Rest of a rig as a quasi-Newton minimiser finds it from the drawn posture, refined on the balance of forces."""
    energy = Energy(rig)
    start = np.zeros(6 * len(rig.bodies))
    down = minimize(
        energy.value,
        start,
        jac=energy.slope,
        method="L-BFGS-B",
        options={"maxiter": 20_000, "maxfun": 40_000, "ftol": 0.0, "gtol": 1e-9, "maxcor": 30},
    )
    fine = least_squares(energy.slope, down.x, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    forces = energy.forces(fine.x)
    found = {}
    for e in rig.elements:
        size = float(np.linalg.norm(forces[e.name]))
        if e.type is ElementType.LINK:
            ends = energy.points(fine.x)
            size = np.copysign(
                size, np.linalg.norm(ends[e.to_ref] - ends[e.from_ref]) - e.unstretched_length_m
            )
        found[e.name] = size
    left = float(np.abs(energy.slope(fine.x)).max())
    return Rest(found, tilts(rig, energy.rotations(fine.x)), left, int(down.nfev + fine.nfev))
