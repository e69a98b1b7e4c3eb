"""Published struts and beam-columns, solved as struts of pieces: the cases are data, no answer is known here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from plumbhook.core.verification import VerificationCase, cases_of_data
from plumbhook.statics.beam_column.critical import critical_load_N
from plumbhook.statics.beam_column.member import BeamColumn
from plumbhook.statics.beam_column.solution import Bent
from plumbhook.statics.beam_column.solve import solve

# Cuts at which uniform struts are put together again; the answer must not know of them.
_CUTS = np.array([0.07, 0.21, 0.22, 0.22, 0.21, 0.07])


def beam_column_cases() -> tuple[VerificationCase, ...]:
    """Every published beam-column with the value computed now."""
    return cases_of_data("statics_beam_columns.json", _FUNCTIONS)


def _simply_supported(
    span_m: float, second_moment_m4: float, modulus_Pa: float, compression_N: float, load_N_per_m: float
) -> Bent:
    strut = BeamColumn.of(_CUTS * span_m, modulus_Pa * second_moment_m4, line_load_N_per_m=load_N_per_m)
    return solve(strut, compression_N)


def _largest_moment(**strut: float) -> float:
    return float(_simply_supported(**strut).largest_moment()[0])


def _middle_deflection(**strut: float) -> float:
    return float(_simply_supported(**strut).joint_deflection_m()[3])


def _cantilever(
    length_m: float, second_moment_m4: float, modulus_Pa: float, compression_N: float, tip_load_N: float
) -> Bent:
    """Half of a strut of twice the length with twice the load at mid-span."""
    loads = [0.0, 0.0, 2.0 * tip_load_N, 0.0, 0.0]
    strut = BeamColumn.of(_CUTS * 2.0 * length_m, modulus_Pa * second_moment_m4, joint_load_N=loads)
    return solve(strut, compression_N)


def _foot_moment(**strut: float) -> float:
    return float(_cantilever(**strut).largest_moment()[0])


def _tip_deflection(**strut: float) -> float:
    return float(_cantilever(**strut).joint_deflection_m()[3])


def _stepped_factor(middle_share: float, stiffness_ratio: float) -> float:
    """``Pcr L2/EI2`` of a pin-ended strut with a middle of EI2 and ends of EI1."""
    end = 0.5 * (1.0 - middle_share)
    return float(
        critical_load_N(BeamColumn.of([end, middle_share, end], [stiffness_ratio, 1.0, stiffness_ratio]))
    )


def _uniform_load_factor(load_ratio: float) -> float:
    """Moment under a uniform load over that without compression, at a share of the critical load."""
    strut = BeamColumn.of(_CUTS, 1.0, line_load_N_per_m=1.0)
    return float(8.0 * solve(strut, load_ratio * np.pi**2).largest_moment()[0])


def _eccentric_moment(
    span_m: float, second_moment_m4: float, modulus_Pa: float, compression_N: float, eccentricity_m: float
) -> float:
    strut = BeamColumn.of(_CUTS * span_m, modulus_Pa * second_moment_m4, end_eccentricity_m=eccentricity_m)
    return float(solve(strut, compression_N).largest_moment()[0])


_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "largest_moment": _largest_moment,
        "middle_deflection": _middle_deflection,
        "foot_moment": _foot_moment,
        "tip_deflection": _tip_deflection,
        "stepped_factor": _stepped_factor,
        "uniform_load_factor": _uniform_load_factor,
        "eccentric_moment": _eccentric_moment,
    }
)
