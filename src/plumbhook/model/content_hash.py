"""One number for the content of a lift: equal lifts have equal hashes, however they are written."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from enum import Enum
from typing import Any

from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.lift_file import LiftFile
from plumbhook.model.rig import used_serials


def content_hash(file: LiftFile, items: Mapping[str, Item], families: Mapping[str, StrutFamily]) -> str:
    """SHA-256 in hexadecimal of the lift in SI, with the items and strut families that its rig names.

    Independent of units, comments, spacing, order of keys, and of whether an item stands in the lift file or
    in a stock file. Sorted JSON, floats by their shortest text.
    """
    used = {serial: items[serial] for serial in used_serials(file.rig)}
    names = {item.family for item in used.values() if item.family}
    left_out: dict[str, Any] = {
        "stock": True,
        "equipment": True,
        "strut_families": True,
        "place": {"crane": {"chart_file"}},
    }
    if file.tolerances is None:
        left_out["tolerances"] = True  # a lift without the section keeps the hash it had before there was one
    written = file.model_dump(by_alias=False, exclude=left_out)
    written["lift"] = _without(written["lift"], {"equipment_back": None})
    if written["place"] is not None:
        written["place"]["crane"] = _without(written["place"]["crane"], {**_LATER_IN_CRANE, **_WAY_OF_CRANE})
        written["place"]["stations"] = [
            _without(one, _WAY_OF_STATION) for one in written["place"]["stations"]
        ]
        _ground_as_first_written(written["place"])
        written["place"] = _without(written["place"], _LATER_IN_PLACE)
    written["rig"]["lines"] = {
        name: _without(line, {"use": None}) for name, line in written["rig"]["lines"].items()
    }
    written["load"] = _load_as_first_written(written["load"])
    content = {
        "file": written,
        "items": {serial: asdict(item) for serial, item in used.items()},
        "families": {name: asdict(families[name]) for name in names if name in families},
    }
    text = json.dumps(
        _plain(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return hashlib.sha256(text.encode()).hexdigest()


_LATER_IN_CRANE: dict[str, Any] = {
    "set_up": None, "hook_block_rating_kg": None, "rope": None, "stowed_jib_kg": None, "deductions": (),
    "radius_growth": None, "chart_for": None, "rigged_as": None, "boom": None,
}  # fmt: skip
_LATER_IN_PLACE: dict[str, Any] = {"temperature": None, "obstacles": (), "power_lines": ()}
_WAY_OF_CRANE: dict[str, Any] = {"position_m": (0.0, 0.0), "heading_rad": 0.0}
_WAY_OF_STATION: dict[str, Any] = {
    "slew_rad": None, "load_bearing_rad": None, "load_bottom_m": None, "hook_height_m": None,
    "crane_position_m": None, "moves": (),
}  # fmt: skip
_LATER_IN_LOAD: dict[str, Any] = {"kind": None, "weighing": None}
_LATER_IN_PART: dict[str, Any] = {
    "cylinder": None, "tolerance": None, "position_tolerance_m": None, "state": None, "opening": False,
    "solid_of": None, "movable": None,
}  # fmt: skip


_LATER_IN_TRACKS: dict[str, Any] = {"gauge_m": None, "slew_sector": None}
_LATER_IN_GROUND: dict[str, Any] = {
    "given_by": None, "presumed": None, "soil": None, "mat": None, "settlement": None, "hazards": (),
}  # fmt: skip


def _ground_as_first_written(place: dict[str, Any]) -> None:
    """Ground, tracks and outriggers without what was added since and is left out."""
    crane = place["crane"]
    if crane["tracks"] is not None:
        crane["tracks"] = _without(crane["tracks"], _LATER_IN_TRACKS)
    if crane["outriggers"] is not None:
        crane["outriggers"] = _without(crane["outriggers"], {"geometry": None})
    if place["ground"] is not None:
        place["ground"] = _without(place["ground"], _LATER_IN_GROUND)


def _load_as_first_written(load: dict[str, Any]) -> dict[str, Any]:
    """A load with the names it has always been hashed by, and without what was added since and is left out."""
    weight = _without(load["weight"], {"errors": "worst"})
    weight["tolerance"] = weight.pop("declared_tolerance")
    parts = [_without(part, _LATER_IN_PART) for part in load["parts"]]
    first = {**_without(load, _LATER_IN_LOAD), "weight": weight, "parts": parts}
    first["cog_box"] = first.pop("declared_cog_box")
    return first


def _without(section: dict[str, Any], defaults: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in section.items() if key not in defaults or value != defaults[key]}


def _plain(value: object) -> object:
    """The value in JSON's own types; -0.0 as 0.0, which means the same."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        return value + 0.0
    if isinstance(value, datetime.date):
        return value.isoformat()
    return value.value if isinstance(value, Enum) else value
