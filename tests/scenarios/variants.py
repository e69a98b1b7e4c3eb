"""Shipped examples with a few words changed, read as if from a file."""

from __future__ import annotations

from plumbhook.core.resources import examples_dir
from plumbhook.model.files import parse_lift
from plumbhook.model.lift import Lift


def example(folder: str, *changes: tuple[str, str], file: str = "lift.yaml") -> Lift:
    """The lift of an example with each first text replaced by the second; a text that is not there is an error."""
    base = examples_dir() / folder
    text = (base / file).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return parse_lift(text, source=file, read_text=lambda name: (base / name).read_text(encoding="utf-8"))
