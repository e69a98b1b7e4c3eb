"""Something wrong in a lift file, and where."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.model.yaml_source import Path


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong at a path of the lift file: one sentence with the cure."""

    path: Path
    message: str
