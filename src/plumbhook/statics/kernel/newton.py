"""Kernel, part 4: Newton's method on the energy, every lane with its own step length and its own end.

One round of the loop evaluates the trial posture of every lane: lanes whose trial lowers the energy enough take it
and get a new step, the others shorten theirs, lanes that have ended keep what they have. Shifts of the matrix,
caps of the step, the test of sufficient descent and its guard against rounding are per lane.
"""

from __future__ import annotations

import math

from plumbhook.statics.kernel.factor import SMALLEST_PIVOT, factor, solve_down
from plumbhook.statics.kernel.posture import (
    Counts,
    Given,
    Numbers,
    Whole,
    forces,
    gather,
    move,
    scatter,
    set_scales,
    set_start,
)
from plumbhook.statics.kernel.stiffness import add_diagonal, assemble, hold_neutral, loosen

# Where a sample ended.
STABLE = 0  # at rest, every small push resisted
NOT_STABLE = 1  # in equilibrium, but some motion is not resisted
LIMIT = 2  # more Newton steps than allowed
STALLED = 3  # no step lowers the energy
NOT_FINITE = 4  # an infinite or undefined number

# What a lane is doing.
_FRESH = 0  # looks at its posture at the start
_SEARCH = 1  # tries a step
_POLISH = 2  # tries a step below the rounding floor, as long as the residual falls
_JUDGE = 3  # looks at its rest for the verdict
_DONE = 4

# What a lane needs of the matrix in a round.
_NOTHING = 0
_STEP = 1
_VERDICT = 2

SMALLEST_SHIFT = 1e-12
FIRST_SHIFT = 1e-5
LARGEST_SHIFT = 1e8
LARGEST_MOVE = 0.5
LARGEST_TURN = 0.6
SUFFICIENT = 1e-4
ROUNDING = 1e-13
MOST_TRIALS = 60
MOST_POLISHING = 6
ZERO_STIFFNESS = 1e-7
BARELY_TAUT = 1e-9
INFINITE = 1e300


def residuals(lanes: int, n_bodies: int, gradient: Given, force: Numbers, moment: Numbers) -> None:
    """Largest net force and largest net moment on a body of every lane."""
    for v in range(lanes):
        force[v] = 0.0
        moment[v] = 0.0
    for body in range(n_bodies):
        g = 6 * body
        for v in range(lanes):
            fx = gradient[g * lanes + v]
            fy = gradient[(g + 1) * lanes + v]
            fz = gradient[(g + 2) * lanes + v]
            mx = gradient[(g + 3) * lanes + v]
            my = gradient[(g + 4) * lanes + v]
            mz = gradient[(g + 5) * lanes + v]
            f = fx * fx + fy * fy + fz * fz
            m = mx * mx + my * my + mz * mz
            # Written so that an undefined number is kept.
            force[v] = force[v] if force[v] >= f else f
            moment[v] = moment[v] if moment[v] >= m else m
    for v in range(lanes):
        force[v] = math.sqrt(force[v])
        moment[v] = math.sqrt(moment[v])


def begin(
    lanes: int,
    n_bodies: int,
    phase: Counts,
    iterations: Counts,
    trials: Counts,
    polished: Counts,
    status: Counts,
    fraction: Numbers,
    shifted: Numbers,
    last_shift: Numbers,
    step: Numbers,
    smallest: Numbers,
) -> None:
    """Every lane at its start posture with no step yet."""
    for v in range(lanes):
        phase[v] = _FRESH
        iterations[v] = 0
        trials[v] = 0
        polished[v] = 0
        status[v] = NOT_FINITE
        fraction[v] = 0.0
        shifted[v] = SMALLEST_SHIFT
        last_shift[v] = 0.0
        smallest[v] = -INFINITE
    for n in range(6 * n_bodies):
        for v in range(lanes):
            step[n * lanes + v] = 0.0


def accept(
    v: int,
    energy: float,
    height: Given,
    slope: Given,
    total: Given,
    size: Given,
    fraction: Numbers,
) -> bool:
    """Whether a trial lowers the energy enough; shortens the step of the lane if it does not."""
    gain = -fraction[v] * slope[v]
    noise = ROUNDING * (total[v] * size[v] + abs(height[v]))
    if energy <= height[v] - SUFFICIENT * gain:
        return True
    if gain < noise and energy <= height[v] + noise:
        return True
    curve = 2.0 * (energy - height[v] + gain)
    shorter = 0.5 * fraction[v]
    if curve > 0.0 and curve < INFINITE:
        shorter = gain * fraction[v] / curve
    shorter = 0.5 * fraction[v] if shorter > 0.5 * fraction[v] else shorter
    shorter = 0.1 * fraction[v] if shorter < 0.1 * fraction[v] else shorter
    fraction[v] = shorter
    return False


def decide(
    lanes: int,
    limit_steps: int,
    energy: Given,
    force: Given,
    moment: Given,
    total: Given,
    size: Given,
    wanted: Given,
    limit: Given,
    phase: Counts,
    iterations: Counts,
    trials: Counts,
    polished: Counts,
    status: Counts,
    fraction: Numbers,
    height: Numbers,
    slope: Numbers,
    best: Numbers,
    need: Counts,
    take: Counts,
    now_force: Numbers,
    now_moment: Numbers,
) -> int:
    """What every lane does with its trial; returns how many lanes need the matrix (-1: every lane has ended)."""
    wanting = 0
    running = 0
    for v in range(lanes):
        need[v] = _NOTHING
        take[v] = 0
        what = phase[v]
        if what == _DONE:
            continue
        if what == _SEARCH and not accept(v, energy[v], height, slope, total, size, fraction):
            trials[v] += 1
            running += 1
            if trials[v] >= MOST_TRIALS:
                phase[v] = _DONE
                status[v] = STALLED
                fraction[v] = 0.0
                running -= 1
            continue
        off = moment[v] / size[v]
        off = force[v] if force[v] > off else off
        finite = force[v] + moment[v] < INFINITE
        if what == _POLISH and not (finite and off < 0.5 * best[v]):
            phase[v] = _JUDGE
            fraction[v] = 0.0
            running += 1
            continue
        take[v] = 1
        height[v] = energy[v]
        now_force[v] = force[v]
        now_moment[v] = moment[v]
        if what == _SEARCH:
            iterations[v] += 1
        elif what == _POLISH:
            iterations[v] += 1
            polished[v] += 1
        if not finite:
            phase[v] = _DONE
            status[v] = NOT_FINITE
            fraction[v] = 0.0
            continue
        if what == _JUDGE or off <= wanted[v] or (off <= limit[v] and polished[v] >= MOST_POLISHING):
            need[v] = _VERDICT
        elif off <= limit[v]:
            need[v] = _STEP
            phase[v] = _POLISH
            best[v] = off
        elif iterations[v] >= limit_steps:
            phase[v] = _DONE
            status[v] = LIMIT
            fraction[v] = 0.0
            continue
        else:
            need[v] = _STEP
            phase[v] = _SEARCH
        wanting += 1
        running += 1
    if running == 0:
        return -1
    return wanting


def diagonal(
    lanes: int,
    need: Whole,
    shifted: Given,
    total: Given,
    size: Given,
    cut: Numbers,
    added: Numbers,
    taken: Numbers,
) -> None:
    """What goes on the diagonal: the shift for a step; for a verdict the stiffness that counts as none, taken off."""
    for v in range(lanes):
        judged = need[v] == _VERDICT
        cut[v] = BARELY_TAUT * total[v] if judged else -1.0
        added[v] = 0.0 if judged else shifted[v]
        taken[v] = ZERO_STIFFNESS * total[v] / size[v] if judged else 0.0


def conclude(
    lanes: int,
    n_bodies: int,
    need: Counts,
    pivot: Given,
    elongation: Given,
    size: Given,
    gradient: Given,
    found: Given,
    phase: Counts,
    trials: Counts,
    status: Counts,
    fraction: Numbers,
    shifted: Numbers,
    last_shift: Numbers,
    slope: Numbers,
    smallest: Numbers,
    scale: Numbers,
    moved: Numbers,
    turned: Numbers,
    step: Numbers,
) -> None:
    """Verdicts, larger shifts, or new steps, bounded in move and turn."""
    for v in range(lanes):
        moved[v] = 0.0
        turned[v] = 0.0
        slope[v] = slope[v] if need[v] == _NOTHING else 0.0
    for body in range(n_bodies):
        q = 6 * body
        for v in range(lanes):
            x = found[q * lanes + v]
            y = found[(q + 1) * lanes + v]
            z = found[(q + 2) * lanes + v]
            d = x * x + y * y + z * z
            moved[v] = moved[v] if moved[v] >= d else d
            x = found[(q + 3) * lanes + v]
            y = found[(q + 4) * lanes + v]
            z = found[(q + 5) * lanes + v]
            d = x * x + y * y + z * z
            turned[v] = turned[v] if turned[v] >= d else d
    for v in range(lanes):
        room = elongation[v] if elongation[v] > size[v] else size[v]
        over = math.sqrt(moved[v]) / (LARGEST_MOVE * room)
        turn = math.sqrt(turned[v]) / LARGEST_TURN
        over = turn if turn > over else over
        scale[v] = 1.0 / over if over > 1.0 else 1.0
        if need[v] == _VERDICT:
            phase[v] = _DONE
            smallest[v] = pivot[v]
            status[v] = STABLE if pivot[v] > SMALLEST_PIVOT else NOT_STABLE
        elif need[v] == _STEP:
            _shift_or_step(v, pivot, phase, trials, status, fraction, shifted, last_shift, need)
    for n in range(6 * n_bodies):
        for v in range(lanes):
            d = found[n * lanes + v] * scale[v]
            d = d if need[v] == _STEP else 0.0
            slope[v] += gradient[n * lanes + v] * d
            step[n * lanes + v] = d if need[v] != _NOTHING else step[n * lanes + v]


def raise_shifts(
    lanes: int, need: Whole, pivot: Given, phase: Whole, shifted: Numbers, last_shift: Given
) -> int:
    """A larger shift for the lanes whose matrix is not positive definite; returns how many have got one."""
    raised = 0
    for v in range(lanes):
        # Below the rounding floor a lane does better to stay where it is.
        if need[v] == _STEP and phase[v] == _SEARCH and not (pivot[v] > SMALLEST_PIVOT):
            larger = 0.3 * last_shift[v] if 0.3 * last_shift[v] > FIRST_SHIFT else FIRST_SHIFT
            if shifted[v] >= FIRST_SHIFT:
                larger = 4.0 * shifted[v]
            if larger < LARGEST_SHIFT:
                shifted[v] = larger
                raised += 1
    return raised


def _shift_or_step(
    v: int,
    pivot: Given,
    phase: Counts,
    trials: Counts,
    status: Counts,
    fraction: Numbers,
    shifted: Numbers,
    last_shift: Numbers,
    need: Counts,
) -> None:
    """A whole step where the matrix is positive definite; else the lane ends, or is judged where it is."""
    fraction[v] = 1.0
    trials[v] = 0
    if not (pivot[v] > SMALLEST_PIVOT):
        need[v] = _VERDICT  # no step in this round
        fraction[v] = 0.0
        if phase[v] == _POLISH:
            phase[v] = _JUDGE
        else:
            phase[v] = _DONE
            status[v] = STALLED
    if shifted[v] > SMALLEST_SHIFT:
        last_shift[v] = shifted[v]
    shifted[v] = SMALLEST_SHIFT


def copy(lanes: int, n: int, source: Given, target: Numbers) -> None:
    """All entries of all lanes."""
    for at in range(n):
        for v in range(lanes):
            target[at * lanes + v] = source[at * lanes + v]


def keep(lanes: int, n: int, take: Whole, trial: Given, value: Numbers) -> None:
    """Trial values into the lanes that take them."""
    for at in range(n):
        for v in range(lanes):
            value[at * lanes + v] = trial[at * lanes + v] if take[v] != 0 else value[at * lanes + v]


def _still_running(lanes: int, phase: Whole) -> int:
    running = 0
    for v in range(lanes):
        if phase[v] != _DONE:
            running += 1
    return running


def solve_rows(
    lanes: int,
    n_rows: int,
    n_bodies: int,
    n_elements: int,
    n_hooks: int,
    n_modes: int,
    limit_steps: int,
    tolerance: float,
    end_a: Whole,
    end_b: Whole,
    law: Whole,
    mode_end: Whole,
    mode_spins: Whole,
    mode_members: Whole,
    lever_a: Given,
    lever_b: Given,
    mode_lever: Given,
    mode_axis: Given,
    start_position: Given,
    start_rotation: Given,
    row_weight: Given,
    row_shift: Given,
    row_length: Given,
    row_stiffness: Given,
    row_hook: Given,
    row_mode_on: Given,
    out_tension: Numbers,
    out_position: Numbers,
    out_rotation: Numbers,
    out_force: Numbers,
    out_moment: Numbers,
    out_pivot: Numbers,
    out_status: Counts,
    out_iterations: Counts,
    weight: Numbers,
    shift: Numbers,
    length: Numbers,
    stiffness: Numbers,
    hook: Numbers,
    mode_on: Numbers,
    position: Numbers,
    rotation: Numbers,
    trial_position: Numbers,
    trial_rotation: Numbers,
    total: Numbers,
    size: Numbers,
    wanted: Numbers,
    limit: Numbers,
    reach_a: Numbers,
    reach_b: Numbers,
    metric: Numbers,
    place_a: Numbers,
    place_b: Numbers,
    arm_a: Numbers,
    arm_b: Numbers,
    span: Numbers,
    tension: Numbers,
    across: Numbers,
    along: Numbers,
    elongation: Numbers,
    energy: Numbers,
    gradient: Numbers,
    force: Numbers,
    moment: Numbers,
    now_force: Numbers,
    now_moment: Numbers,
    fraction: Numbers,
    shifted: Numbers,
    last_shift: Numbers,
    height: Numbers,
    slope: Numbers,
    best: Numbers,
    smallest: Numbers,
    cut: Numbers,
    added: Numbers,
    taken: Numbers,
    norm: Numbers,
    motion: Numbers,
    held: Numbers,
    matrix: Numbers,
    work: Numbers,
    lower: Numbers,
    inverse: Numbers,
    pivot: Numbers,
    rest: Numbers,
    found: Numbers,
    step: Numbers,
    moved: Numbers,
    turned: Numbers,
    scale: Numbers,
    phase: Counts,
    iterations: Counts,
    trials: Counts,
    polished: Counts,
    status: Counts,
    need: Counts,
    take: Counts,
) -> None:
    """Equilibrium of every row of samples of one rig, ``lanes`` rows at a time, from one start posture.

    Integers: ``law`` of each element, ``end_a`` and ``end_b``; per neutral motion the body or hook its point
    belongs to, whether it spins about an axis of that body, and its members (n_modes, n_bodies). Rows hold weights
    (N), moves of the centres of gravity in body axes (m), unstretched lengths (m), stiffnesses (N/m), hook positions
    (m) and, as 1 or 0, whether each neutral motion is one in that sample. ``out_`` rows receive the result, with
    the status as numbered at the top of this module; the rest is room for one block of lanes. No two arrays may
    overlap.
    """
    first = 0
    while first < n_rows:
        last = n_rows - 1
        gather(lanes, first, last, n_bodies, row_weight, weight)
        gather(lanes, first, last, 3 * n_bodies, row_shift, shift)
        gather(lanes, first, last, n_elements, row_length, length)
        gather(lanes, first, last, n_elements, row_stiffness, stiffness)
        gather(lanes, first, last, 3 * n_hooks, row_hook, hook)
        gather(lanes, first, last, n_modes, row_mode_on, mode_on)
        set_start(lanes, n_bodies, start_position, start_rotation, shift, position, rotation)
        set_scales(
            lanes,
            n_bodies,
            n_elements,
            tolerance,
            end_a,
            end_b,
            law,
            lever_a,
            lever_b,
            weight,
            shift,
            length,
            stiffness,
            hook,
            total,
            size,
            wanted,
            limit,
            reach_a,
            reach_b,
            metric,
        )
        begin(
            lanes,
            n_bodies,
            phase,
            iterations,
            trials,
            polished,
            status,
            fraction,
            shifted,
            last_shift,
            step,
            smallest,
        )
        running = lanes
        while running > 0:
            move(lanes, n_bodies, position, rotation, step, fraction, trial_position, trial_rotation)
            forces(
                lanes,
                n_bodies,
                n_elements,
                end_a,
                end_b,
                law,
                lever_a,
                lever_b,
                weight,
                shift,
                length,
                stiffness,
                hook,
                trial_position,
                trial_rotation,
                place_a,
                place_b,
                arm_a,
                arm_b,
                span,
                tension,
                across,
                along,
                elongation,
                energy,
                gradient,
            )
            residuals(lanes, n_bodies, gradient, force, moment)
            wanting = decide(
                lanes,
                limit_steps,
                energy,
                force,
                moment,
                total,
                size,
                wanted,
                limit,
                phase,
                iterations,
                trials,
                polished,
                status,
                fraction,
                height,
                slope,
                best,
                need,
                take,
                now_force,
                now_moment,
            )
            keep(lanes, 3 * n_bodies, take, trial_position, position)
            keep(lanes, 9 * n_bodies, take, trial_rotation, rotation)
            if wanting > 0:
                diagonal(lanes, need, shifted, total, size, cut, added, taken)
                loosen(lanes, n_elements, law, cut, tension, across, along)
                assemble(lanes, n_bodies, n_elements, end_a, end_b, arm_a, arm_b, span, across, along, matrix)
                hold_neutral(
                    lanes,
                    n_bodies,
                    n_modes,
                    mode_end,
                    mode_spins,
                    mode_members,
                    mode_lever,
                    mode_axis,
                    mode_on,
                    shift,
                    hook,
                    trial_position,
                    trial_rotation,
                    metric,
                    place_a,
                    place_b,
                    norm,
                    motion,
                    held,
                    matrix,
                )
                raised = 1
                while raised > 0:
                    diagonal(lanes, need, shifted, total, size, cut, added, taken)
                    copy(lanes, 18 * n_bodies * (n_bodies + 1), matrix, work)
                    add_diagonal(lanes, n_bodies, added, taken, size, metric, work)
                    factor(lanes, n_bodies, metric, work, lower, inverse, pivot)
                    raised = raise_shifts(lanes, need, pivot, phase, shifted, last_shift)
                solve_down(lanes, n_bodies, gradient, lower, inverse, rest, found)
                conclude(
                    lanes,
                    n_bodies,
                    need,
                    pivot,
                    elongation,
                    size,
                    gradient,
                    found,
                    phase,
                    trials,
                    status,
                    fraction,
                    shifted,
                    last_shift,
                    slope,
                    smallest,
                    scale,
                    moved,
                    turned,
                    step,
                )
            running = _still_running(lanes, phase)
        scatter(lanes, first, last, n_elements, tension, out_tension)
        scatter(lanes, first, last, 3 * n_bodies, position, out_position)
        scatter(lanes, first, last, 9 * n_bodies, rotation, out_rotation)
        scatter(lanes, first, last, 1, now_force, out_force)
        scatter(lanes, first, last, 1, now_moment, out_moment)
        scatter(lanes, first, last, 1, smallest, out_pivot)
        scatter(lanes, first, last, 1, status, out_status)
        scatter(lanes, first, last, 1, iterations, out_iterations)
        first += lanes
