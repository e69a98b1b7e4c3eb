"""Read a model file and weigh its solids: the one call for command line, scripts and web."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import get_args

from plumbhook.core.errors import InputError
from plumbhook.core.units import Kind, UnitError, parse_quantity
from plumbhook.model.solids import Duplicates, SolidModel, SolidsReport, duplicates_of, weighed
from plumbhook.takeoff.densities import GivenDensity, densities_of_mapping, matched
from plumbhook.takeoff.isolation import read_apart
from plumbhook.takeoff.limits import Limits


def read_solids(
    path: Path | str,
    *,
    unit: str | None = None,
    densities: Mapping[str, str | float] | Sequence[GivenDensity] = (),
    duplicates: Duplicates = "ask",
    limits: Limits | None = None,
) -> SolidsReport:
    """Weigh the solids of a model file: STEP, IFC, glTF, STL, OBJ or PLY.

    Args:
        path: the file. It is not trusted: a process of its own reads it, under limits.
        unit: unit of length of STL, OBJ and PLY, which have none of their own, e.g. ``mm``.
        densities: densities by name of material or solid, as text with unit or in kg/m3; ``*`` for all the rest.
        duplicates: whether solids of the same shape at the same place count ``once`` or ``all`` times; ``ask``
            leaves the totals open.
        limits: bounds of size, time and memory.

    Returns:
        The take-off in the axes of the model, z up, SI units; its totals are NaN while a question is open.

    Raises:
        InputError: the file cannot be used, the unit is missing or not wanted, or a density is wrong or fits
            nothing; one sentence each.
    """
    path = Path(path)
    if duplicates not in get_args(Duplicates):
        raise InputError.one("duplicates are counted once or all, or asked about", field="--duplicates")
    given = densities_of_mapping(densities) if isinstance(densities, Mapping) else tuple(densities)
    model = read_apart(path, _unit_m(unit), unit or "", limits or Limits())
    return weigh(model, given, duplicates=duplicates, source=path.name)


def weigh(
    model: SolidModel, densities: Sequence[GivenDensity], *, duplicates: Duplicates = "ask", source: str = ""
) -> SolidsReport:
    """Put masses to the solids of a model.

    Raises:
        InputError: a density fits nothing in the model, or two differ.
    """
    chosen, rest = matched(densities, model.solids, source or "the model", model.left_out)
    groups = duplicates_of(model.solids)
    dropped = {k for group in groups for k in group[1:]} if duplicates == "once" else set()
    assumed = (rest.density_kg_m3, f"{rest.source}, for all without density") if rest is not None else None
    solids = tuple(
        weighed(
            solid,
            (one.density_kg_m3, f"{one.source} for {one.name}") if one is not None else None,
            assumed,
            counted=k not in dropped,
        )
        for k, (solid, one) in enumerate(zip(model.solids, chosen, strict=True))
    )
    return SolidsReport(model, solids, groups, duplicates, source)


def _unit_m(unit: str | None) -> float | None:
    if unit is None:
        return None
    try:
        return parse_quantity(f"1 {unit}", Kind.LENGTH)
    except UnitError as error:
        raise InputError.one(str(error), field="--unit") from None
