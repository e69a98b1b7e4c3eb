"""From a rig graph to its proved equilibrium."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from plumbhook.model.rig_graph import (
    ElementType,
    Pose,
    RigGraph,
    Vector,
    orthonormal,
    problems_of,
    split_reference,
)
from plumbhook.statics._arrays import Floats, RigArrays, State, assemble, poses_of, state_of
from plumbhook.statics._energy import lines, moved
from plumbhook.statics._neutral import NeutralFinder, Spin, Turn
from plumbhook.statics._newton import Descent, descend, rounding_floor_N
from plumbhook.statics._stability import Verdict, judge
from plumbhook.statics.proof import prove
from plumbhook.statics.result import (
    AssembledPosture,
    Equilibrium,
    EquilibriumStatus,
    RestAfterKick,
    StiffnessModes,
)

_TOLERANCE = 1e-9
_STAGE_TOLERANCE = 1e-3
_LIMIT = 300
_KICK_RAD = 0.02
_KICKS = 6
_LOWERING = 0.02
_AS_DRAWN_RAD = math.radians(0.5)
_AS_DRAWN_SHIFT = 0.02
_LARGEST_FLOOR = 1e-4


def solve(graph: RigGraph, *, start: Mapping[str, Pose] | None = None) -> Equilibrium:
    """Equilibrium of a rig under its own weight, with the verdict on its stability and an independent proof.

    The posture as drawn is let down without any push to a side. Where symmetry leads to an equilibrium that a
    small push upsets, the rig is ``unstable``; it is then pushed by 0.02 rad and followed to where it goes.

    Args:
        graph: the rig.
        start: poses to start from instead of the drawn ones (bodies left out start as drawn), such as the
            rest of a rig that differs a little. The verdict on the drawn posture is then on these poses.

    Returns:
        The equilibrium. ``stable`` only if converged, every mode that is not neutral resists, and the
        independent sums of forces and moments hold; ``invalid`` with the reason if the records contradict
        themselves.
    """
    problems = problems_of(graph)
    if problems:
        return Equilibrium(
            graph.name, EquilibriumStatus.INVALID, " ".join(str(problem) for problem in problems)
        )
    if start is not None and not set(start) <= {body.name for body in graph.bodies}:
        unknown = sorted(set(start) - {body.name for body in graph.bodies})
        return Equilibrium(
            graph.name, EquilibriumStatus.INVALID, f"start names no body of the rig: {unknown[0]!r}."
        )
    arrays = assemble(graph)
    floor = rounding_floor_N(arrays, arrays.stiffness_N_m) / arrays.total_weight_N
    if floor > _LARGEST_FLOOR:
        return Equilibrium(
            graph.name,
            EquilibriumStatus.INVALID,
            "The stiffest line is so stiff for this weight that rounding would hide the forces; "
            f"lower EA_N or stiffness_N_per_m by a factor of at least {floor / _LARGEST_FLOOR:.2g}.",
        )
    given = start or {}
    poses = [given.get(body.name, body.start) for body in graph.bodies]
    drawn = state_of(arrays, [Pose(pose.origin_m, orthonormal(pose.rotation_rows)) for pose in poses])
    neutral = NeutralFinder(arrays)
    rig = _Rig(graph, arrays, neutral, drawn)
    with np.errstate(all="ignore"):  # a step that overflows is refused by its energy, not by a warning
        descent = rig.warm(drawn) if start is not None else rig.cold(drawn)
        if not descent.converged and start is not None:
            descent = rig.cold(drawn)
        return rig.conclude(descent)


@dataclass(slots=True)
class _Rig:
    graph: RigGraph
    arrays: RigArrays
    neutral: NeutralFinder
    drawn: State

    def warm(self, state: State) -> Descent:
        """Straight down from a posture that is near the rest."""
        return descend(
            self.arrays, self.arrays.stiffness_N_m, state, self.neutral, tolerance=_TOLERANCE, limit=_LIMIT
        )

    def cold(self, state: State) -> Descent:
        """Down from a drawn posture: lowered until the lines are taut, with soft lines first.

        Very stiff lines make the energy a narrow curved valley in which Newton's method creeps; soft ones do
        not.
        """
        arrays = self.arrays
        state = _lowered(arrays, state)
        soft = 0.3 * arrays.total_weight_N / (0.01 * np.maximum(arrays.length_m, 0.1 * arrays.size_m))
        ratio = max(1.0, float((arrays.stiffness_N_m / soft).max()))
        stage, done = ratio, 0
        while stage > 1.0:
            stiffness = np.minimum(arrays.stiffness_N_m, soft * (ratio / stage))
            descent = descend(
                arrays, stiffness, state, self.neutral, tolerance=_STAGE_TOLERANCE, limit=_LIMIT
            )
            state, done = descent.state, done + descent.iterations
            stage /= 10.0
        descent = self.warm(state)
        return replace(descent, iterations=done + descent.iterations)

    def conclude(self, descent: Descent) -> Equilibrium:
        """Verdict and result of an iteration that has ended."""
        graph = self.graph
        if not descent.converged:
            return Equilibrium(
                graph.name,
                EquilibriumStatus.NO_EQUILIBRIUM,
                f"No rest was found: after {descent.iterations} steps {descent.force_N:.3g} N of "
                f"{self.arrays.total_weight_N:.3g} N are unbalanced; check the drawn posture and lengths.",
                iterations=descent.iterations,
                residual_force_N=descent.force_N,
                residual_moment_Nm=descent.moment_Nm,
            )
        verdict = judge(self.arrays, descent.state, self.neutral)
        result = self._measured(descent, verdict)
        turn, shift = self._from_drawn(descent.state)
        stable = verdict.modes.negative == 0 and verdict.modes.indifferent == 0
        posture = AssembledPosture(
            in_equilibrium=turn <= _AS_DRAWN_RAD and shift <= _AS_DRAWN_SHIFT * self.arrays.size_m,
            stable=stable,
            turn_rad=turn,
        )
        result = replace(result, assembled_posture=posture)
        if result.proof is None or not result.proof.holds:
            worst = result.proof.worst if result.proof else "everything"
            return replace(
                result,
                status=EquilibriumStatus.NO_EQUILIBRIUM,
                message=f"The independent proof does not hold: {worst}. Do not use these forces.",
                assembled_posture=replace(posture, stable=False),
            )
        if stable:
            return replace(result, status=EquilibriumStatus.STABLE, message=self._stable_message())
        if verdict.modes.negative == 0:
            return replace(
                result,
                status=EquilibriumStatus.UNSTABLE,
                message=f"Nothing holds the rig against {verdict.modes.indifferent} kind(s) of motion of "
                f"{self._movers(verdict)}: it is indifferent, not stable.",
            )
        kick = self._kicked(descent.state, verdict)
        return replace(
            result,
            status=EquilibriumStatus.UNSTABLE,
            message=self._unstable_message(verdict, kick),
            rest_after_kick=kick,
        )

    def _stable_message(self) -> str:
        return "The rig hangs at rest and resists every small push."

    def _unstable_message(self, verdict: Verdict, kick: RestAfterKick | None) -> str:
        where = "; no rest was found after a small push."
        if kick is not None:
            where = f"; after a small push it turns by {math.degrees(kick.turn_rad):.1f} degrees."
        return (
            f"The rig is balanced but not held: {self._movers(verdict)} can turn over because the weight is "
            f"too high above the points that hold it{where}"
        )

    def _movers(self, verdict: Verdict) -> str:
        """The bodies that take part in the lowest mode, in words."""
        motion = verdict.lowest_motion.reshape(-1, 6)
        size = np.sqrt((motion[:, 3:] ** 2).sum(axis=1)) + np.sqrt((motion[:, :3] ** 2).sum(axis=1)) / max(
            self.arrays.size_m, 1e-12
        )
        names = [
            body.name for body, part in zip(self.graph.bodies, size, strict=True) if part >= 0.3 * size.max()
        ]
        return ", ".join(f"'{name}'" for name in names)

    def _kicked(self, state: State, verdict: Verdict) -> RestAfterKick | None:
        """Follow the rig from a saddle: push it along its lowest mode, let it down, push again if need be."""
        saddle = state
        for _ in range(_KICKS):
            motion = verdict.lowest_motion.reshape(-1, 6)
            turn = float(np.sqrt((motion[:, 3:] ** 2).sum(axis=1)).max())
            move = float(np.sqrt((motion[:, :3] ** 2).sum(axis=1)).max()) / self.arrays.size_m
            descent = self.warm(moved(state, verdict.lowest_motion * (_KICK_RAD / max(turn, move))))
            if not descent.converged:
                return None
            state = descent.state
            verdict = judge(self.arrays, state, self.neutral)
            if verdict.modes.negative == 0:
                break
        rest = self._measured(descent, verdict)
        proved = rest.proof is not None and rest.proof.holds
        return RestAfterKick(
            stable=proved and verdict.modes.negative == 0 and verdict.modes.indifferent == 0,
            poses=rest.poses,
            tilt_rad=rest.tilt_rad,
            turn_rad=_turn_of_gravity(saddle, state),
            tensions_N=rest.tensions_N,
            slack_m=rest.slack_m,
        )

    def _from_drawn(self, state: State) -> tuple[float, float]:
        """Largest turn (rad) and sideways shift (m) since the drawn posture, neutral motions left out."""
        arrays = self.arrays
        motion = np.zeros((arrays.n_bodies, 6))
        motion[:, :3] = state.position_m - self.drawn.position_m
        change = state.rotation @ self.drawn.rotation.transpose(0, 2, 1)
        motion[:, 3:] = [_rotation_vector(matrix) for matrix in change]
        scale = np.tile([1.0, 1.0, 1.0, *(3 * [arrays.size_m])], arrays.n_bodies)
        carrying = lines(arrays, arrays.stiffness_N_m, state).active > 0.0
        basis = self.neutral.basis(carrying, state, scale)
        scaled = motion.ravel() * scale
        rest = ((scaled - basis @ (basis.T @ scaled)) / scale).reshape(-1, 6)
        return (
            float(np.sqrt((rest[:, 3:] ** 2).sum(axis=1)).max()),
            float(np.sqrt((rest[:, :2] ** 2).sum(axis=1)).max()),
        )

    def _measured(self, descent: Descent, verdict: Verdict) -> Equilibrium:
        """Everything that can be read off a posture, with the proof; the status is still to be set."""
        graph, arrays, state = self.graph, self.arrays, descent.state
        now = lines(arrays, arrays.stiffness_N_m, state)
        names = [element.name for element in graph.elements]
        poses = dict(zip([body.name for body in graph.bodies], poses_of(arrays, state), strict=True))
        tensions = dict(zip(names, now.tension.tolist(), strict=True))
        unit = now.span / np.where(now.distance > 0.0, now.distance, 1.0)[:, None]
        forces = now.tension[:, None] * unit
        pin_forces = {
            element.name: _vector(forces[number])
            for number, element in enumerate(graph.elements)
            if element.type is ElementType.PIN
        }
        carrying = now.active > 0.0
        proof = prove(graph, poses, tensions, pin_forces)
        hook_forces = self._hook_forces(forces)
        return Equilibrium(
            name=graph.name,
            status=EquilibriumStatus.NO_EQUILIBRIUM,
            message="",
            neutral_modes=verdict.neutral_modes,
            neutral_motions=self._neutral_words(carrying),
            poses=poses,
            tensions_N=tensions,
            pin_forces_N=pin_forces,
            slack_m={names[number]: float(-now.stretch[number]) for number in np.flatnonzero(~carrying)},
            attachment_heights_m={
                body.name: {
                    point.name: poses[body.name].world(point.position_m)[2] for point in body.points_m
                }
                for body in graph.bodies
            },
            angle_from_vertical_rad={
                name: math.atan2(math.hypot(u[0], u[1]), abs(u[2]))
                for name, u in zip(names, unit.tolist(), strict=True)
            },
            tilt_rad={name: _tilt(pose) for name, pose in poses.items()},
            hook_forces_N=hook_forces,
            hook_load_N={name: math.hypot(*force) for name, force in hook_forces.items()},
            residual_force_N=proof.force_N,
            residual_moment_Nm=proof.moment_Nm,
            iterations=descent.iterations,
            modes=verdict.modes if verdict else StiffnessModes(),
            proof=proof,
        )

    def _hook_forces(self, forces: Floats) -> dict[str, Vector]:
        totals = {hook.name: np.zeros(3) for hook in self.graph.hooks_m}
        for element, force in zip(self.graph.elements, forces, strict=True):
            for ref, sign in ((element.from_ref, 1.0), (element.to_ref, -1.0)):
                owner, point = split_reference(ref)
                if owner == "hook":
                    totals[point] += sign * force
        return {name: _vector(total) for name, total in totals.items()}

    def _neutral_words(self, carrying: np.ndarray) -> tuple[str, ...]:
        turns, spins = self.neutral.motions(carrying)
        names = [body.name for body in self.graph.bodies]
        words = [_turn_words(names, turn) for turn in turns]
        words += [_spin_words(names, spin) for spin in spins]
        return tuple(dict.fromkeys(words))


def _turn_words(names: list[str], turn: Turn) -> str:
    subject = ", ".join(f"'{names[body]}'" for body in turn.bodies)
    if turn.body == len(names):
        return f"{subject} may turn about the vertical through the hook"
    return f"{subject} may turn about the vertical through a point of '{names[turn.body]}'"


def _spin_words(names: list[str], spin: Spin) -> str:
    return f"'{names[spin.body]}' may spin about the line through its points"


def _lowered(arrays: RigArrays, state: State) -> State:
    """Every body moved down, the lower in the chain the more, so that all lines start taut."""
    depth = np.full(arrays.n_bodies + 1, -1)
    depth[arrays.n_bodies] = 0
    pairs = list(zip(arrays.body_i.tolist(), arrays.body_j.tolist(), strict=True))
    for level in range(arrays.n_bodies):
        for a, b in pairs:
            for near, far in ((a, b), (b, a)):
                if depth[near] == level and depth[far] < 0:
                    depth[far] = level + 1
    down = _LOWERING * arrays.size_m * depth[: arrays.n_bodies]
    return State(state.position_m - down[:, None] * np.array([0.0, 0.0, 1.0]), state.rotation.copy())


def _turn_of_gravity(before: State, after: State) -> float:
    """Largest angle between the directions of gravity that a body sees before and after (rad)."""
    cosines = (before.rotation[:, 2, :] * after.rotation[:, 2, :]).sum(axis=1)
    sines = np.sqrt((np.cross(before.rotation[:, 2, :], after.rotation[:, 2, :]) ** 2).sum(axis=1))
    return float(np.arctan2(sines, cosines).max())


def _rotation_vector(matrix: Floats) -> Floats:
    axial = np.array([matrix[2, 1] - matrix[1, 2], matrix[0, 2] - matrix[2, 0], matrix[1, 0] - matrix[0, 1]])
    sine = 0.5 * float(np.sqrt(axial @ axial))
    angle = math.atan2(sine, 0.5 * (float(np.trace(matrix)) - 1.0))
    if sine > 1e-9:
        return axial * (0.5 * angle / sine)
    if angle < 1.0:
        return 0.5 * axial
    # Half a turn: the axis is the column of (R + I) that is farthest from zero.
    columns = matrix + np.eye(3)
    axis = columns[:, int(np.argmax(np.einsum("ij,ij->j", columns, columns)))]
    return angle * axis / np.sqrt(axis @ axis)


def _tilt(pose: Pose) -> float:
    x, y, z = (row[2] for row in pose.rotation_rows)
    return math.atan2(math.hypot(x, y), z)


def _vector(values: Floats) -> Vector:
    return (float(values[0]), float(values[1]), float(values[2]))
