"""From a lift file and the files it names to a :class:`plumbhook.model.lift.Lift`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any
import hashlib
import json

from pydantic import ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.equipment_file import family_of, item_of
from plumbhook.model.lift import Lift
from plumbhook.model.lift_file import LiftFile
from plumbhook.model.rig import used_serials
from plumbhook.model.stock import read_stock, read_strut_families
from plumbhook.model.yaml_source import LARGEST_BYTES, decode, read_yaml


def read_text(path: Path) -> str:
    """Text of a file a user named.

    Raises:
        InputError: it is not there, cannot be read, is too large or is not UTF-8.
    """
    name = str(path)
    try:
        if path.is_dir():
            raise InputError.one("this is a folder; name a file in it", source=name)
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_BYTES + 1)
            if len(raw) > LARGEST_BYTES:
                raw += stream.read()
    except FileNotFoundError:
        raise InputError.one("there is no such file; check the name and the folder", source=name) from None
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise InputError.one(f"the file cannot be read ({reason}); check its rights", source=name) from None
    return decode(raw, name)


def read_lift(path: Path) -> Lift:
    """Read a lift file with the files it names."""
    folder = path.parent
    return parse_lift(read_text(path), source=str(path), read_text=lambda name: read_text(folder / name))


def parse_lift(text: str, *, source: str = "", read_text: Callable[[str], str]) -> Lift:
    """Read a lift from text."""
    tree = read_yaml(text, source)
    file = LiftFile.model_validate(tree.data)
    items: dict[str, Item] = {}
    families: dict[str, StrutFamily] = {}
    if file.stock and file.stock.items:
        items.update(read_stock(read_text(file.stock.items), file.stock.items))
    if file.stock and file.stock.strut_families:
        families.update(read_strut_families(read_text(file.stock.strut_families), file.stock.strut_families))
    items.update({inline.serial: item_of(inline) for inline in file.equipment})
    families.update({name: family_of(name, inline) for name, inline in file.strut_families.items()})
    return Lift(file, MappingProxyType(items), MappingProxyType(families), "0" * 64, source)
