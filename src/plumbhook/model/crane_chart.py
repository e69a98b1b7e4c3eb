"""What a duty chart holds for, how the crane is rigged, and whether the two are the same."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import Field

from plumbhook.core.units import format_quantity
from plumbhook.model.quantity import Length, Mass, MassOrZero, Section, Share, Speed, Text, Whole

ChartRow = tuple[Length, Mass | None]


class RiggedAs(Section):
    """How the crane is rigged for this lift: what decides which chart is its own."""

    counterweight_kg: MassOrZero | None = Field(
        default=None, alias="counterweight", description="Counterweight on the crane."
    )
    outrigger_spread: Text | None = Field(
        default=None, description="Spread of the outriggers or tracks, in the words of the chart."
    )
    falls: Whole | None = Field(default=None, description="Falls of hoist rope between boom head and block.")
    boom_length_m: Length | None = Field(default=None, alias="boom_length", description="Length of the boom.")
    jib: Text | None = Field(
        default=None, description="Jib in the words of the chart: its length and offset, stowed, or none."
    )
    sector: Text | None = Field(
        default=None, description="Slewing sector in the words of the chart: 360 deg, over the rear."
    )


class ChartIdentity(RiggedAs):
    """The head of a chart: what it holds for. What the chart leaves out is left out here."""

    machine: Text | None = Field(default=None, description="Machine that the chart is for.")
    configuration: Text | None = Field(default=None, description="Configuration, in the words of the chart.")
    page: Text | None = Field(default=None, description="Page of the chart.")
    wind_limit_m_s: Speed | None = Field(
        default=None, alias="wind_limit", description="Largest wind that the chart holds for."
    )
    stability_share: Share | None = Field(
        default=None,
        description="Share of the tipping load that the chart says its capacities are, for instance 75 %.",
    )
    standard: Text | None = Field(default=None, description="Standard that the chart says it is made by.")
    smallest_radius_m: Length | None = Field(
        default=None, alias="smallest_radius", description="Smallest radius at which the machine may work."
    )


@dataclass(frozen=True, slots=True)
class ImportedChart:
    """One chart of a file.

    Attributes:
        identity: what its head says.
        rows: radius m and capacity kg, None where the cell is empty; radii ascending.
        column: head of its column as written.
        sheet: sheet of the workbook; "" in a CSV.
        place: where its head stands, e.g. ``line 9, column 2``.
    """

    identity: ChartIdentity
    rows: tuple[tuple[float, float | None], ...]
    column: str
    sheet: str
    place: str

    @property
    def name(self) -> str:
        """The column, with its sheet where there is one."""
        return f"{self.sheet}, {self.column}" if self.sheet else self.column


@dataclass(frozen=True, slots=True)
class ChartFile:
    """Every chart of a file, with where it was read.

    Attributes:
        source: name of the file.
        sha256: SHA-256 of its bytes in hexadecimal.
        charts: the charts, in the order of the file.
        passed_over: sheets that hold no chart.
    """

    source: str
    sha256: str
    charts: tuple[ImportedChart, ...]
    passed_over: tuple[str, ...] = ()


_RIGGED = {
    "counterweight_kg": "counterweight",
    "outrigger_spread": "outrigger spread",
    "falls": "falls",
    "boom_length_m": "boom length",
    "jib": "jib",
    "sector": "slewing sector",
}
_LENGTH_GRACE_M = 0.005
_MASS_GRACE_KG = 0.5


def plain(words: str) -> str:
    """Words for comparison: small letters, single spaces, no commas."""
    return " ".join(words.casefold().replace(",", " ").replace(";", " ").split())


def stated(identity: RiggedAs) -> dict[str, str]:
    """What is stated of the rigging, by the words of the trade."""
    return {
        name: _written(key, getattr(identity, key))
        for key, name in _RIGGED.items()
        if getattr(identity, key) is not None
    }


def differences(chart: RiggedAs, crane: RiggedAs) -> Iterator[tuple[str, str, str]]:
    """Name, what the chart is for, and how the crane is rigged, where both say something and it differs."""
    for key, name in _RIGGED.items():
        for_chart, of_crane = getattr(chart, key), getattr(crane, key)
        if for_chart is None or of_crane is None or _alike(key, for_chart, of_crane):
            continue
        yield name, _written(key, for_chart), _written(key, of_crane)


def unanswered(chart: RiggedAs, crane: RiggedAs | None) -> tuple[str, ...]:
    """What the chart says it holds for and nobody has said of the crane."""
    return tuple(
        name
        for key, name in _RIGGED.items()
        if getattr(chart, key) is not None and (crane is None or getattr(crane, key) is None)
    )


def _alike(key: str, first: object, second: object) -> bool:
    if isinstance(first, str) and isinstance(second, str):
        return plain(first) == plain(second)
    if isinstance(first, float) and isinstance(second, float):
        return abs(first - second) <= (_MASS_GRACE_KG if key.endswith("kg") else _LENGTH_GRACE_M)
    return first == second


def _written(key: str, value: object) -> str:
    if isinstance(value, float):
        return format_quantity(value, "kg", "t") if key.endswith("kg") else format_quantity(value, "m")
    return str(value)
