"""Shipped examples with a few words changed, read as if from a file."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from plumbhook.core.resources import examples_dir
from plumbhook.model.files import parse_lift
from plumbhook.model.lift import Lift
from plumbhook.planning import Assessment, assess


def example(
    folder: str,
    *changes: tuple[str, str],
    file: str = "lift.yaml",
    stock: Mapping[str, Mapping[str, str]] = MappingProxyType({}),
) -> Lift:
    """The lift of an example with each first text replaced by the second; a text that is not there is an error.

    Args:
        folder: folder of the example.
        changes: texts of the lift file and what stands there instead.
        file: the lift file.
        stock: cells of the stock file that differ, by serial and column.
    """
    base = examples_dir() / folder
    text = (base / file).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)

    def beside(name: str) -> str:
        written = (base / name).read_text(encoding="utf-8")
        return _with_cells(written, stock) if name == "stock.csv" and stock else written

    return parse_lift(text, source=file, read_text=beside)


@cache
def assessed(folder: str) -> Assessment:
    """The assessment of an example as it is shipped; made once, for records never change."""
    return assess(example(folder))


def _with_cells(written: str, cells: Mapping[str, Mapping[str, str]]) -> str:
    rows = list(csv.DictReader(io.StringIO(written)))
    by_serial = {row["serial"]: row for row in rows}
    for serial, changed in cells.items():
        assert set(changed) <= set(by_serial[serial])
        by_serial[serial].update(changed)
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()
