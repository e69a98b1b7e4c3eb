"""The lift file, format 1, as it is written: all sections, read and in SI, nothing looked up yet."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from plumbhook.model.equipment_file import InlineItem, InlineStrutFamily
from plumbhook.model.load import CogBox, Envelope, LiftPoint, Load, WeightClaim
from plumbhook.model.part import Container, Cylinder, Movable, Part
from plumbhook.model.people import Circumstances, MethodNotes, Person, Relaxation
from plumbhook.model.place import Crane, Ground, Place, PlaceStation, Tracks, Wind
from plumbhook.model.quantity import Date, Flag, Name, Section, Text, refuse
from plumbhook.model.rig import Body, Line, LineEntry, Rig, Strut
from plumbhook.model.rules import Rules
from plumbhook.model.tolerances import Tolerances
from plumbhook.model.weighing import EndPick, HookWeighing, Instrument, TiltedWeighing, Weighing

FORMAT = 1


def _format(raw: object) -> object:
    if raw == FORMAT and not isinstance(raw, bool):
        return FORMAT
    raise refuse(f'"{raw}" is not a format that this version reads; it reads format {FORMAT}')


class LiftInfo(Section):
    """Which lift this is, when, and who plans it."""

    lift_id: Text = Field(alias="id", description="Number of the lift.")
    revision: Text = Field(description="Revision of the plan.")
    title: Text = Field(description="What is done, in a few words.")
    site: Text = Field(description="Where.")
    date: Date = Field(description="Day of the lift.")
    equipment_back: Date | None = Field(
        default=None,
        description="Day on which the equipment is back; its examinations are to be in date until then. Without it "
        "they are to be in date on the day of the lift.",
    )
    planned_by: Text = Field(description="Who plans it.")
    load_owner: Text = Field(description="Whose load it is.")
    invented: Flag = Field(default=False, description="true for demo data; it is then printed on every page.")


class StockSource(Section):
    """CSV files with the equipment, beside the lift file."""

    items: Text | None = Field(
        default=None, description="CSV of items: serial, kind, rated load, mass, length ..."
    )
    strut_families: Text | None = Field(
        default=None, description="CSV of strut families: tube, steel, joints."
    )
    strut_ratings: Text | None = Field(
        default=None,
        description="CSV of the makers' rating tables: family, span, angle of the top slings, rated load.",
    )


class LiftFile(Section):
    """A lift: what is lifted, with which rig, where, and by which rules. Every quantity carries its unit."""

    format: Annotated[Literal[1], BeforeValidator(_format)] = Field(
        examples=[1], description="Format of this file."
    )
    lift: LiftInfo = Field(description="Which lift this is.")
    rules: Rules = Field(default=Rules(), description="Factors, limits and policies.")
    stock: StockSource | None = Field(default=None, description="Files with the equipment.")
    equipment: tuple[InlineItem, ...] = Field(
        default=(), description="Items given here instead of in a file."
    )
    strut_families: dict[Name, InlineStrutFamily] = Field(
        default={}, description="Strut families given here instead of in a file."
    )
    load: Load = Field(description="What is lifted.")
    rig: Rig = Field(description="How it hangs: struts, lines and items, from the hook to the lift points.")
    place: Place | None = Field(default=None, description="Crane, path, ground and wind.")
    tolerances: Tolerances | None = Field(
        default=None,
        description="How lengths, stiffness, mass and centre of gravity scatter, for the tolerance study.",
    )
    circumstances: Circumstances = Field(
        default=Circumstances(), description="What decides the category of the lift."
    )
    people: tuple[Person, ...] = Field(default=(), description="Who does what.")
    method: MethodNotes = Field(default=MethodNotes(), description="How the work is done, in words.")


def lift_file_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the lift file, by the keys of the file."""
    derived = LiftFile.model_json_schema(by_alias=True, mode="validation")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Lift file, format 1",
        **{key: value for key, value in derived.items() if key != "title"},
    }


__all__ = [
    "FORMAT",
    "Body",
    "Circumstances",
    "CogBox",
    "Container",
    "Crane",
    "Cylinder",
    "EndPick",
    "Envelope",
    "Ground",
    "HookWeighing",
    "InlineItem",
    "InlineStrutFamily",
    "Instrument",
    "LiftFile",
    "LiftInfo",
    "LiftPoint",
    "Line",
    "LineEntry",
    "Load",
    "MethodNotes",
    "Movable",
    "Part",
    "Person",
    "Place",
    "PlaceStation",
    "Relaxation",
    "Rig",
    "Rules",
    "StockSource",
    "Strut",
    "TiltedWeighing",
    "Tracks",
    "Weighing",
    "WeightClaim",
    "Wind",
    "lift_file_schema",
]
