"""A lift ready to be assessed: the file, the items and strut families it uses, and the hash of all of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.lift_file import LiftFile


@dataclass(frozen=True, slots=True)
class Lift:
    """A lift whose references all resolve.

    Attributes:
        file: the lift file in SI, with the crane chart read where it is a file of its own.
        items: every item of the stock and of the file, by serial.
        families: every strut family, by name.
        content_hash: SHA-256 (hex) of the lift in SI with the items and families it uses: equal for equal
            lifts, whatever their units, comments and spacing.
        source: name of the lift file.
    """

    file: LiftFile
    items: Mapping[str, Item]
    families: Mapping[str, StrutFamily]
    content_hash: str
    source: str
