"""Densities that a load can plausibly have: bands of materials and of whole loads, as data with their origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from plumbhook.core.check import SourceQuality
from plumbhook.core.tables import Column, SourcedTable, read_sourced_table
from plumbhook.core.units import Kind


@dataclass(frozen=True, slots=True)
class DensityBand:
    """Smallest and largest plausible density of something, kg/m3, and who says so."""

    name: str
    low_kg_per_m3: float
    high_kg_per_m3: float
    document: str
    quality: SourceQuality

    def holds(self, density_kg_per_m3: float) -> bool:
        """Whether a density is within the band; NaN never is."""
        return self.low_kg_per_m3 <= density_kg_per_m3 <= self.high_kg_per_m3


@cache
def material_densities() -> Mapping[str, DensityBand]:
    """Bands of materials by name."""
    return _bands("material_densities", "material")


@cache
def load_densities() -> Mapping[str, DensityBand]:
    """Bands of whole loads by kind, mass over the volume of the box around them; ``any`` for whatever it is."""
    return _bands("load_densities", "kind")


def _bands(name: str, key: str) -> Mapping[str, DensityBand]:
    table = _table(name, key)
    bands = {}
    for row in table.rows:
        low, high = row.number("low"), row.number("high")
        assert low is not None
        assert high is not None
        provenance = table.provenance
        bands[row.text(key)] = DensityBand(row.text(key), low, high, provenance.document, provenance.quality)
    return MappingProxyType(bands)


def _table(name: str, key: str) -> SourcedTable:
    folder = files("plumbhook").joinpath("data", "load")
    columns = (
        Column(key, "text", required=True),
        Column("low", Kind.DENSITY, required=True),
        Column("high", Kind.DENSITY, required=True),
    )
    return read_sourced_table(
        folder.joinpath(f"{name}.csv").read_text(encoding="utf-8"),
        folder.joinpath(f"{name}.toml").read_text(encoding="utf-8"),
        columns,
        source=f"{name}.csv",
    )
