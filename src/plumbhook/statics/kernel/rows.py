"""Kernel, part 5: the way of every row of samples from its start to its rest."""

from __future__ import annotations

from plumbhook.statics.kernel.compliance import taut_only, tilt_compliance
from plumbhook.statics.kernel.factor import factor, solve_down
from plumbhook.statics.kernel.newton import (
    begin,
    conclude,
    copy,
    decide,
    diagonal,
    keep,
    negligible_share,
    raise_shifts,
    residuals,
    still_running,
)
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


def solve_rows(
    lanes: int,
    n_rows: int,
    n_bodies: int,
    n_elements: int,
    n_hooks: int,
    n_modes: int,
    limit_steps: int,
    watched: int,
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
    out_compliance: Numbers,
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
    compliance: Numbers,
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
    the status as numbered in ``newton``, and how far the body ``watched`` tilts under a moment (-1: of no body), which
    means something at a stable rest only; the rest is room for one block of lanes. No two arrays may overlap.
    """
    share = negligible_share(n_elements, law)
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
                diagonal(lanes, need, share, shifted, total, size, cut, added, taken)
                loosen(lanes, n_elements, law, cut, tension, across, along)
                assemble(
                    lanes, n_bodies, n_elements, end_a, end_b, law, arm_a, arm_b, span, across, along, matrix
                )
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
                    diagonal(lanes, need, share, shifted, total, size, cut, added, taken)
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
            running = still_running(lanes, phase)
        scatter(lanes, first, last, n_elements, tension, out_tension)
        scatter(lanes, first, last, 3 * n_bodies, position, out_position)
        scatter(lanes, first, last, 9 * n_bodies, rotation, out_rotation)
        scatter(lanes, first, last, 1, now_force, out_force)
        scatter(lanes, first, last, 1, now_moment, out_moment)
        scatter(lanes, first, last, 1, smallest, out_pivot)
        scatter(lanes, first, last, 1, status, out_status)
        scatter(lanes, first, last, 1, iterations, out_iterations)
        if watched >= 0:
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
            taut_only(lanes, total, cut)
            loosen(lanes, n_elements, law, cut, tension, across, along)
            assemble(
                lanes, n_bodies, n_elements, end_a, end_b, law, arm_a, arm_b, span, across, along, matrix
            )
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
            factor(lanes, n_bodies, metric, matrix, lower, inverse, pivot)
            tilt_compliance(lanes, n_bodies, watched, lower, inverse, gradient, rest, found, compliance)
            scatter(lanes, first, last, 3, compliance, out_compliance)
        first += lanes
