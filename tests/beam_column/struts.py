"""Struts for the tests of the beam-column, and an independent solution of the same equation.

The independent one knows no formula of a beam-column: it integrates ``w'' = -(M1 + N (w0 + w))/EI`` from pin to pin
with a general integrator of initial value problems and finds the starting slope that closes at the other pin.
"""

import numpy as np
from scipy.integrate import solve_ivp

from plumbhook.statics.beam_column import BeamColumn, critical_load_N, stations_m

EI = np.array([3.0e6, 7.5e6, 7.5e6, 2.0e6])
LENGTHS = np.array([0.4, 2.4, 1.2, 0.6])


def uneven(**changes) -> BeamColumn:
    """Four unlike pieces with springs in the joints, unequal ends, loads, a bow and an offset of the joints."""
    given = {
        "line_load_N_per_m": [900.0, 600.0, 700.0, 1200.0],
        "splice_Nm_per_rad": [2e6, 5e6, 1.5e6],
        "joint_load_N": [60.0, 50.0, 80.0],
        "joint_offset_m": [0.001, 0.004, 0.0025],
        "piece_rise_m": [0.0002, 0.001, 0.0004, 0.0],
        "sine_bow_m": 0.003,
        "end_eccentricity_m": [0.008, -0.004],
        "end_moment_Nm": [200.0, 350.0],
    }
    return BeamColumn.of(LENGTHS, EI, **{**given, **changes})


def integrated_moments(member: BeamColumn, force: float) -> np.ndarray:
    """Moments at pins and joints by integration along the strut."""
    homogeneous, particular = _ends(member, force, 1.0, loads=False), _ends(member, force, 0.0, loads=True)
    slope = -particular[0] / homogeneous[0]
    return particular[1] + slope * homogeneous[1]


def _ends(member: BeamColumn, force: float, slope: float, *, loads: bool) -> tuple[float, np.ndarray]:
    """Deflection at the far pin and moments at the nodes for a given slope at the first pin."""
    at = stations_m(member.length_m)
    first = _first_order(member, force, at) if loads else np.zeros_like
    offsets = np.concatenate([[0.0], member.joint_offset_m, [0.0]])
    shape = np.array([0.0, slope])
    moments = []
    for i in range(member.pieces):
        length, rise = member.length_m[i], member.piece_rise_m[i]

        def initial(x, i=i, length=length, rise=rise):
            share = (x - at[i]) / length
            chord = offsets[i] + (offsets[i + 1] - offsets[i]) * share
            bow = member.sine_bow_m * np.sin(np.pi * x / at[-1])
            return (chord + 4.0 * rise * share * (1.0 - share) + bow) if loads else 0.0

        def moment(x, w, initial=initial):
            return (first(x) if loads else 0.0) + force * (initial(x) + w)

        moments.append(float(moment(at[i] + 1e-12, shape[0])))
        run = solve_ivp(
            lambda x, s, i=i, moment=moment: [s[1], -moment(x, s[0]) / member.stiffness_Nm2[i]],
            (at[i], at[i + 1]), shape, method="DOP853", rtol=1e-12, atol=1e-15,
        )  # fmt: skip
        shape = run.y[:, -1].copy()
        end = float(moment(at[i + 1] - 1e-12, shape[0]))
        if i < member.pieces - 1:
            shape[1] -= end / member.splice_Nm_per_rad[i]
    moments.append(end)
    return float(shape[0]), np.array(moments)


def _first_order(member: BeamColumn, force: float, at: np.ndarray):
    span = at[-1]
    ends = force * member.end_eccentricity_m + member.end_moment_Nm
    weights = member.line_load_N_per_m * member.length_m
    middles = 0.5 * (at[:-1] + at[1:])
    places = np.concatenate([middles, at[1:-1]])
    forces = np.concatenate([weights, member.joint_load_N])
    reaction = float((forces * (span - places)).sum() / span)

    def moment(x):
        inside = np.clip(x - at[:-1], 0.0, member.length_m)
        spread = (member.line_load_N_per_m * inside * (x - at[:-1] - 0.5 * inside)).sum()
        points = (member.joint_load_N * np.clip(x - at[1:-1], 0.0, None)).sum()
        return ends[0] * (1.0 - x / span) + ends[1] * x / span + reaction * x - spread - points

    return moment


def critical(member: BeamColumn) -> float:
    return float(critical_load_N(member))
