"""A load on two hooks: shares by difference of hoist height, what each crane has to spare, how level to keep."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.core.audit import require_audit
from plumbhook.core.check import Check, Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.crane.two_hook_checks import height_difference_check, two_hook_share_check
from plumbhook.crane.two_hooks import (
    HeightDifference,
    TwoHookLoad,
    hook_1_N,
    largest_height_difference,
)
from plumbhook.model.tandem_file import TandemFile, TandemHook

_ROWS = 13
_WITHOUT = HeightDifference(math.nan, math.nan, 0, 0)


@dataclass(frozen=True, slots=True)
class TandemRow:
    """Shares at one difference of hoist height, the CoG anywhere in its box.

    Attributes:
        difference_m: first hook ahead of level, m.
        tilt_rad: tilt of the load, first hook up, rad.
        first_N: the most on the first hook, rig excluded, N.
        second_N: the most on the second hook likewise, N.
        closer_m: how much closer in plan the hooks must come for their lines to stay plumb, m.
    """

    difference_m: float
    tilt_rad: float
    first_N: float
    second_N: float
    closer_m: float


@dataclass(frozen=True, slots=True)
class TandemStatement:
    """What a lift by two cranes asks of each.

    Attributes:
        weight_N: weight with its factor, N.
        rows: shares by difference of hoist height, both ways.
        largest: how far the hooks may be from level with the margin kept; NaN where it is not known or none is left.
        checks: share of each crane with the margin, and the difference of height on site.
    """

    weight_N: float
    rows: tuple[TandemRow, ...]
    largest: HeightDifference
    checks: tuple[Check, ...]


def state_tandem(file: TandemFile) -> TandemStatement:
    """Work a lift by two cranes out.

    Raises:
        InputError: the CoG may be outside of the hooks, or the load cannot tilt by the difference of height.
        AuditError: a printed formula and the computed number disagree (a bug).
    """
    load = TwoHookLoad(
        file.mass_kg * file.weight_factor * file.gravity_m_s2,
        file.spacing_m,
        file.first.depth_m,
        file.second.depth_m,
        file.cog_from_second_m,
        file.cog_box.along_m,
        file.cog_box.height_m,
    )
    both = np.array([-1.0, 1.0]) * file.height_difference_m
    tilt = float(np.abs(load.tilt_rad(both)).max())
    if not tilt < math.pi / 2.0:
        raise InputError.one(
            "is more than the load can tilt by; keep the hooks closer", field="height_difference"
        )
    limits = (_limit_N(file, file.first), _limit_N(file, file.second))
    largest = _WITHOUT
    if all(limit > 0.0 for limit in limits):
        largest = largest_height_difference(load, *limits, file.largest_tilt_rad)
    checks = (
        _share(file, "first", file.first, load, tilt),
        _share(file, "second", file.second, load.swapped, tilt),
        height_difference_check(
            "tandem.height-difference",
            "hooks",
            "Difference of hoist height on site against the largest with the margin kept",
            difference_m=file.height_difference_m,
            largest_m=largest.either_way_m,
        ),
    )
    require_audit(checks)
    return TandemStatement(load.weight_N, _rows(file, load), largest, checks)


def _limit_N(file: TandemFile, hook: TandemHook) -> float:
    """Share of the load that a crane may take with the margin kept; NaN where its capacity is not stated."""
    if hook.capacity_kg is None or hook.source is None:
        return math.nan
    return (hook.capacity_kg / (1.0 + file.margin) - hook.rig_kg) * file.gravity_m_s2


def _share(file: TandemFile, which: str, hook: TandemHook, load: TwoHookLoad, tilt_rad: float) -> Check:
    known = hook.capacity_kg is not None and hook.source is not None
    return two_hook_share_check(
        f"tandem.{which}",
        which,
        f"{hook.name}: share of the load with margin against its chart",
        load=load,
        tilt_rad=tilt_rad,
        rig_N=hook.rig_kg * file.gravity_m_s2,
        capacity_N=hook.capacity_kg * file.gravity_m_s2 if known and hook.capacity_kg else None,
        capacity_source=hook.source or "",
        margin_ratio=file.margin,
        margin_clause=Clause(file.margin_source, quality=SourceQuality.POLICY),
    )


def _rows(file: TandemFile, load: TwoHookLoad) -> tuple[TandemRow, ...]:
    reach = max(file.height_difference_m, float(np.abs(load.difference_m(file.largest_tilt_rad))))
    differences = np.linspace(-reach, reach, _ROWS)
    tilts = load.tilt_rad(differences)
    deep = np.array([-1.0, 1.0])[:, None] * load.box_z_m
    first = hook_1_N(load, tilts, load.box_x_m, deep).max(axis=0)
    second = hook_1_N(load.swapped, -tilts, load.box_x_m, deep).max(axis=0)
    return tuple(
        TandemRow(*map(float, row))
        for row in zip(differences, tilts, first, second, load.closer_m(tilts), strict=True)
    )
