"""From a rig graph to its proved equilibrium."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from plumbhook.model.rig_graph import Figures, Pattern, Pose, RigGraph, figures_of, rotation_complaint
from plumbhook.statics._arrays import Bools, RigArrays, State
from plumbhook.statics._descent import LIMIT, TOLERANCE, carrying_at, cold, put_back, warm
from plumbhook.statics._energy import Lines, lines, moved
from plumbhook.statics._measure import Ending, apart, measure, read
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._newton import Descent, find_balance
from plumbhook.statics._postures import gravity_turns_less, lowered, moved_from, turn_of_gravity_rad
from plumbhook.statics._ready import Ready, make_ready, started_state
from plumbhook.statics._seen import Seen
from plumbhook.statics._stability import Verdict, judge
from plumbhook.statics.kernel.forms import Form, chosen_form
from plumbhook.statics.kernel.single import Single
from plumbhook.statics.proof import ProofTable
from plumbhook.statics.result import AssembledPosture, Equilibrium, EquilibriumStatus, RestAfterKick

_KICK_RAD = 0.02
_KICKS = 6
_AS_DRAWN_RAD = math.radians(0.5)
_AS_DRAWN_SHIFT = 0.02
_FAR_RAD = math.radians(20.0)
_OVER_RAD = math.radians(90.0)
_REMEMBERED = 32
# A pendulum has 1; below this the balance is so fine that two ways down might end on different sides of it.
_CLEARLY = 1e-3


def solve(graph: RigGraph, *, start: Mapping[str, Pose] | None = None) -> Equilibrium:
    """Equilibrium of a rig under its own weight, with the verdict on its stability and an independent proof.

    The posture as drawn is let down without any push to a side. Where that leads to an equilibrium that a
    small push upsets, the rig is ``unstable``; it is then pushed by 0.02 rad and followed to where it goes. A
    rig that leaves an unstable balance near the drawn posture, or turns over by more than a right angle, is
    ``unstable`` as well.

    Args:
        graph: the rig.
        start: poses to start from instead of the drawn ones (bodies left out start as drawn), such as the
            rest of a rig that differs a little. The verdict on the drawn posture is then on these poses.

    Returns:
        The equilibrium. ``stable`` only if converged, every mode that is not neutral resists, and the
        independent sums of forces and moments hold; ``invalid`` with the reason if the records contradict
        themselves.
    """
    form = chosen_form()
    ready = _remembered(graph, form.name != "interpreted")
    reason = _start_complaint(graph, start) if isinstance(ready, Ready) and start else ""
    if not isinstance(ready, Ready) or reason:
        return Equilibrium(graph.name, EquilibriumStatus.INVALID, reason or str(ready))
    drawn = ready.drawn
    if start:
        poses = [start.get(body.name, body.start) for body in graph.bodies]
        drawn = started_state(ready.arrays, poses)
    rig = _Rig(graph, ready.arrays, ready.neutral, drawn, ready.table)
    with np.errstate(all="ignore"):  # a step that overflows is refused by its energy, not by a warning
        if ready.single is not None:
            begin = ready.let_down if start is None else drawn
            found = rig.at_once(ready.single, form, begin, staged=start is None)
            if found is not None:
                return found
        descent = (
            warm(ready.arrays, ready.neutral, drawn, follow=True)
            if start is not None
            else cold(ready.arrays, ready.neutral, drawn)
        )
        if not descent.converged:
            descent = (
                cold(ready.arrays, ready.neutral, drawn)
                if start is not None
                else warm(ready.arrays, ready.neutral, lowered(ready.arrays, drawn))
            )
        return rig.conclude(put_back(ready.arrays, ready.neutral, drawn, descent))


def _remembered(graph: RigGraph, compiled: bool) -> Ready | str:
    """The rig made ready, from memory where an equal one was solved lately; the reason where it is invalid."""
    figures = figures_of(graph)
    if figures is None:
        return make_ready(graph, figures, compiled=compiled)
    return _made_ready(_Asked(figures.pattern, tuple(figures.values), compiled, graph))


@dataclass(frozen=True, slots=True)
class _Asked:
    """A rig by value; the graph itself is looked at only where no equal rig is known."""

    pattern: Pattern
    values: tuple[float, ...]
    compiled: bool
    graph: RigGraph = field(compare=False)


@lru_cache(maxsize=_REMEMBERED)
def _made_ready(asked: _Asked) -> Ready | str:
    figures = Figures(asked.pattern, list(asked.values))
    return make_ready(asked.graph, figures, compiled=asked.compiled)


def _start_complaint(graph: RigGraph, start: Mapping[str, Pose]) -> str:
    unknown = sorted(set(start) - {body.name for body in graph.bodies})
    if unknown:
        return f"start: '{unknown[0]}' is no body of the rig."
    rows = [row for pose in start.values() for row in (pose.origin_m, *pose.rotation_rows)]
    if not all(math.isfinite(x) for row in rows for x in row):
        return "start: every pose must be of finite numbers."
    for name, pose in start.items():
        complaint = rotation_complaint(pose.rotation_rows)
        if complaint:
            return f"start of '{name}': the rotation {complaint}"
    return ""


@dataclass(slots=True)
class _Rig:
    """A rig on its way from the drawn posture to a verdict."""

    graph: RigGraph
    arrays: RigArrays
    neutral: NeutralFinder
    drawn: State
    table: ProofTable

    def at_once(self, single: Single, form: Form, start: State, *, staged: bool) -> Equilibrium | None:
        """The proved, stable rest that the compiled kernel comes to, not far from the drawn posture.

        None for all else: what falls or is near falling, hangs indifferent, turns far or finds no rest is for the
        reference solver to say.
        """
        found = single.rest(form, start, staged=staged, limit=LIMIT)
        if found is None:
            return None
        state, balance = found
        descent = Descent(state, True, balance.iterations, balance.force_N, balance.moment_Nm)
        seen = single.read(form, state)
        carrying = seen.now.active > 0.0
        if not gravity_turns_less(self.arrays, self.neutral, self.drawn, state, carrying, _FAR_RAD):
            return None
        verdict = judge(self.arrays, state, self.neutral, seen.now, seen.stiffness)
        if not verdict.modes.lowest >= _CLEARLY:
            return None
        result = self._measured(descent, seen, verdict)
        return result if result.is_stable else None

    def _lines(self, state: State) -> Lines:
        return lines(self.arrays, self.arrays.stiffness_N_m, state)

    def _turn(self, before: State, after: State, carrying: Bools) -> float:
        return turn_of_gravity_rad(self.arrays, self.neutral, before, after, carrying)

    def conclude(self, descent: Descent) -> Equilibrium:
        """Verdict and result of an iteration that has ended."""
        if not descent.converged:
            return Equilibrium(
                self.graph.name,
                EquilibriumStatus.NO_EQUILIBRIUM,
                f"No rest was found: after {descent.iterations} steps {descent.force_N:.3g} N of "
                f"{self.arrays.total_weight_N:.3g} N are unbalanced; check the drawn posture and lengths.",
                iterations=descent.iterations,
                residual_force_N=descent.force_N,
                residual_moment_Nm=descent.moment_Nm,
            )
        now = self._lines(descent.state)
        verdict = judge(self.arrays, descent.state, self.neutral, now)
        result = self._measured(descent, now, verdict)
        if result.status is EquilibriumStatus.NO_EQUILIBRIUM:
            return result
        if verdict.modes.negative:
            kick = self._kicked(descent.state, verdict)
            return replace(result, message=self._falls(verdict, kick), rest_after_kick=kick)
        if verdict.modes.indifferent:
            return replace(
                result,
                message=f"Nothing holds {self._movers(verdict)} in {verdict.modes.indifferent} direction(s): "
                "the rig is indifferent, not stable.",
            )
        turn = self._turn(self.drawn, descent.state, now.active > 0.0)
        return result if turn <= _FAR_RAD else self._far(result, descent, turn)

    def _far(self, rest: Equilibrium, descent: Descent, turn_rad: float) -> Equilibrium:
        """Verdict on a rig at rest far from where it was drawn: it may have fallen from a balance."""
        balance = self._balance_near_drawn(turn_rad)
        kick = self._rest_record(rest, turn_rad)
        if balance is not None:
            now = self._lines(balance.state)
            verdict = judge(self.arrays, balance.state, self.neutral, now)
            result = self._measured(replace(balance, iterations=descent.iterations), now, verdict)
            if verdict.modes.negative and result.status is EquilibriumStatus.UNSTABLE:
                turn = self._turn(balance.state, descent.state, carrying_at(self.arrays, descent.state))
                kick = replace(kick, turn_rad=turn)
                return replace(result, message=self._falls(verdict, kick), rest_after_kick=kick)
        degrees = math.degrees(turn_rad)
        posture = replace(rest.assembled_posture, stable=False)
        # A load that tilts so far on supports has come off them: they are under single points, not ground all round.
        if turn_rad <= (_FAR_RAD if self.arrays.structure.has_supports else _OVER_RAD):
            message = f"{rest.message} It does not hang as drawn: it turns by {degrees:.0f} degrees."
            return replace(rest, message=message)
        how = "turns over" if turn_rad > _OVER_RAD else "does not stay as drawn"
        return replace(
            rest,
            status=EquilibriumStatus.UNSTABLE,
            message=f"The rig {how}: it turns by {degrees:.0f} degrees before it comes to rest.",
            assembled_posture=posture,
            rest_after_kick=kick,
        )

    def _balance_near_drawn(self, turn_rad: float) -> Descent | None:
        """An unstable balance nearer to the drawn posture than the rest the rig went to, if there is one.

        The rig is let down with every centre of gravity far below its place, where it hangs as drawn; from
        there the balance of the true rig is sought without lowering the energy.
        """
        arrays = self.arrays
        down = np.einsum("bji,j->bi", self.drawn.rotation, np.array([0.0, 0.0, -arrays.coordinate_size_m]))
        down[~arrays.has_mass] = 0.0
        low = arrays.with_reference_moved(down)
        drawn = self.drawn.with_reference_moved(down)
        held = cold(low, NeutralFinder(low), drawn)
        if not held.converged:
            return None
        upright = held.state.with_reference_moved(-down)
        found = find_balance(arrays, upright, self.neutral, tolerance=TOLERANCE)
        if not found.converged:
            return None
        near = self._turn(self.drawn, found.state, carrying_at(self.arrays, found.state))
        return found if near < turn_rad else None

    def _measured(self, descent: Descent, found: Lines | Seen, verdict: Verdict) -> Equilibrium:
        """The result at a posture with the status that its modes and its proof allow."""
        arrays, state = self.arrays, descent.state
        seen = found if isinstance(found, Seen) else Seen.of(arrays, state, found)
        now = seen.now
        readings = read(self.graph, arrays, state, seen, self.table)
        turn, shift = moved_from(arrays, self.neutral, self.drawn, state, now.active > 0.0)
        proof = readings.proof
        stable = proof.holds and verdict.modes.negative == 0 and verdict.modes.indifferent == 0
        posture = AssembledPosture(
            in_equilibrium=proof.holds and turn <= _AS_DRAWN_RAD and shift <= _AS_DRAWN_SHIFT * arrays.size_m,
            stable=stable,
            turn_rad=turn,
        )
        status, message = EquilibriumStatus.UNSTABLE, ""
        if stable:
            status, message = EquilibriumStatus.STABLE, self._rests(now)
        elif not proof.holds:
            status = EquilibriumStatus.NO_EQUILIBRIUM
            message = f"The independent proof does not hold: {proof.worst}. Do not use these forces."
        ending = Ending(self.graph.name, status, message, descent.iterations, posture)
        return measure(arrays, self.neutral, state, seen, verdict, readings, ending)

    def _rests(self, now: Lines) -> str:
        """How a stable rig is at rest, in a sentence."""
        if not self.arrays.structure.has_supports:
            return "The rig hangs at rest and resists every small push."
        held = ~apart(self.arrays, now)[0]
        standing = [body for group in self.neutral.loose(held).standing for body in group]
        if not standing:
            how = "hangs and stands" if (held & self.arrays.is_support).any() else "hangs"
            return f"The rig {how} at rest and resists every small push."
        subject = ", ".join(f"'{self.graph.bodies[body].name}'" for body in standing)
        return (
            f"The rig is at rest and resists every small push that tilts or lifts it; {subject} stands on supports "
            "only, where nothing but friction, which is not counted, resists sliding."
        )

    def _kicked(self, saddle: State, verdict: Verdict) -> RestAfterKick | None:
        """Follow the rig from a saddle: push it along its lowest mode, let it down, push again if need be."""
        state = saddle
        for _ in range(_KICKS):
            motion = verdict.lowest_motion.reshape(-1, 6)
            turn = float(np.sqrt((motion[:, 3:] ** 2).sum(axis=1)).max())
            move = float(np.sqrt((motion[:, :3] ** 2).sum(axis=1)).max()) / self.arrays.size_m
            descent = warm(
                self.arrays, self.neutral, moved(state, verdict.lowest_motion * (_KICK_RAD / max(turn, move)))
            )
            if not descent.converged:
                return None
            state = descent.state
            now = self._lines(state)
            verdict = judge(self.arrays, state, self.neutral, now)
            if verdict.modes.negative == 0:
                break
        rest = self._measured(descent, now, verdict)
        return self._rest_record(rest, self._turn(saddle, state, now.active > 0.0))

    def _rest_record(self, rest: Equilibrium, turn_rad: float) -> RestAfterKick:
        return RestAfterKick(
            stable=rest.status is EquilibriumStatus.STABLE,
            poses=rest.poses,
            tilt_rad=rest.tilt_rad,
            turn_rad=turn_rad,
            tensions_N=rest.tensions_N,
            slack_m=rest.slack_m,
        )

    def _falls(self, verdict: Verdict, kick: RestAfterKick | None) -> str:
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
        turn = np.sqrt((motion[:, 3:] ** 2).sum(axis=1))
        move = np.sqrt((motion[:, :3] ** 2).sum(axis=1)) / self.arrays.size_m
        part = turn + move
        moving = part >= 0.3 * part.max()
        return ", ".join(f"'{body.name}'" for body, it in zip(self.graph.bodies, moving, strict=True) if it)
