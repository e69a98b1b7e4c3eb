"""The model files of the tests, and what reads them."""

from __future__ import annotations

import importlib.util
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

import pytest

from plumbhook.model.solids import Duplicates, SolidModel, SolidsReport
from plumbhook.takeoff.densities import densities_of_mapping
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import Order, reader_of
from plumbhook.takeoff.solids import read_solids, weigh

FOLDER = Path(__file__).resolve().parents[1] / "data" / "solids"
LIBRARY = {"step": "OCP", "ifc": "ifcopenshell"}


def need_library(name: str) -> None:
    """Skip where the library for this file is not installed."""
    for ending, library in LIBRARY.items():
        if name.endswith(f".{ending}") and importlib.util.find_spec(library) is None:
            pytest.skip(f"{library} is not installed; it comes with the extra 'geometry'")


def model(
    name: str,
    *,
    unit: str = "mm",
    densities: Mapping[str, str] = MappingProxyType({}),
    duplicates: Duplicates = "ask",
) -> SolidsReport:
    """The take-off of a test file; a file is read once and weighed every time.

    All are read in a process of its own, save the block in STEP and IFC: starting the process takes longest.
    """
    need_library(name)
    given = densities_of_mapping(densities)
    return weigh(_read(name, unit), given, duplicates=duplicates, source=name)


@cache
def _read(name: str, unit: str) -> SolidModel:
    if name in ("block.step", "block.ifc"):
        return reader_of(Format[name.rpartition(".")[2].upper()])(Order(FOLDER / name, "block", None, ""))
    without_unit = name.rpartition(".")[2] in ("stl", "obj", "ply")
    return read_solids(FOLDER / name, unit=unit if without_unit else None).model
