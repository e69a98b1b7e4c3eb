"""Kernel, part 4: Newton's method on the energy, every lane with its own step length and its own end.

One round of the loop evaluates the trial posture of every lane: lanes whose trial lowers the energy enough take it
and get a new step, the others shorten theirs, lanes that have ended keep what they have. Shifts of the matrix,
caps of the step, the test of sufficient descent and its guard against rounding are per lane.
"""

from __future__ import annotations

import math

from plumbhook.statics.kernel.factor import SMALLEST_PIVOT
from plumbhook.statics.kernel.posture import SUPPORT, Counts, Given, Numbers, Whole

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
BARELY_CARRYING = 1e-6  # in a rig with supports
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


def negligible_share(n_elements: int, law: Whole) -> float:
    """Share of the weight up to which a sling counts as slack and a support as clear."""
    share = BARELY_TAUT
    for e in range(n_elements):
        if law[e] == SUPPORT:
            share = BARELY_CARRYING
    return share


def diagonal(
    lanes: int,
    need: Whole,
    share: float,
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
        cut[v] = share * total[v] if judged else -1.0
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


def still_running(lanes: int, phase: Whole) -> int:
    """How many lanes have not ended."""
    running = 0
    for v in range(lanes):
        if phase[v] != _DONE:
            running += 1
    return running
