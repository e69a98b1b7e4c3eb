"""From a lift file and the files it names to a :class:`plumbhook.model.lift.Lift`."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.model._adjustment_rules import adjustment_findings
from plumbhook.model._arrangements import rig_findings
from plumbhook.model._chart_of_crane import chart_of_crane, with_chart
from plumbhook.model._crane_rules import crane_findings, wind_findings
from plumbhook.model._ground_rules import ground_findings, outrigger_findings, track_findings
from plumbhook.model._item_rules import item_findings, length_findings
from plumbhook.model._load_rules import (
    lift_info_findings,
    load_findings,
    rules_findings,
    station_findings,
)
from plumbhook.model._problems import nearest, problems_of
from plumbhook.model._way_rules import way_findings
from plumbhook.model.chart_workbook import LARGEST_WORKBOOK_BYTES
from plumbhook.model.content_hash import content_hash
from plumbhook.model.crane_chart import ImportedChart
from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.equipment_file import InlineItem, InlineStrutFamily, family_of, item_of
from plumbhook.model.finding import Finding
from plumbhook.model.lift import Lift
from plumbhook.model.lift_file import LiftFile, LiftInfo, StockSource
from plumbhook.model.load import Load
from plumbhook.model.place import Crane, Ground, PlaceStation, Wind
from plumbhook.model.rig import Rig
from plumbhook.model.rules import Rules
from plumbhook.model.stock import read_stock, read_strut_families, tube_faults
from plumbhook.model.strut_rating import RatingTable, read_rating_tables
from plumbhook.model.surroundings import Obstacle, PowerLineRoute, surrounding_findings
from plumbhook.model.yaml_source import (
    LARGEST_FILE_BYTES,
    YamlSource,
    decode,
    path_text,
    read_yaml,
    too_large,
)

ReadText = Callable[[str], str]
ReadBytes = Callable[[str], bytes]
Record = TypeVar("Record")
Content = TypeVar("Content", str, bytes)


def read_text(path: Path, *, largest_bytes: int = LARGEST_FILE_BYTES) -> str:
    """Text of a file that a user named.

    Raises:
        InputError: it is not there, is a folder, cannot be read, is too large, or is not UTF-8.
    """
    return decode(read_bytes(path, largest_bytes=largest_bytes), str(path))


def read_bytes(path: Path, *, largest_bytes: int) -> bytes:
    """Bytes of a file that a user named.

    Raises:
        InputError: it is not there, is a folder, cannot be read, or is too large.
    """
    name = str(path)
    try:
        if path.is_dir():
            raise InputError.one("this is a folder; name a file in it", source=name)
        size = path.stat().st_size
        if size > largest_bytes:
            raise too_large(size, largest_bytes, name)
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        raise InputError.one("there is no such file; check the name and the folder", source=name) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not possible"
        raise InputError.one(f"the file cannot be read: {reason}", source=name) from None


def read_lift(path: Path | str) -> Lift:
    """Read a lift file and the files it names, which must be in its folder or below.

    Raises:
        InputError: with every problem found, in the lift file and in the files it names.
    """
    path = Path(path)
    folder = path.parent

    def target(name: str) -> Path:
        beside = folder / name
        if not beside.resolve().is_relative_to(folder.resolve()):
            raise InputError.one(
                "the file is outside the folder of the lift file; put it beside the lift file"
            )
        return beside

    return parse_lift(
        read_text(path),
        source=str(path),
        read_text=lambda name: read_text(target(name)),
        read_bytes=lambda name: read_bytes(target(name), largest_bytes=LARGEST_WORKBOOK_BYTES),
    )


def parse_lift(
    text: str, *, source: str = "", read_text: ReadText, read_bytes: ReadBytes | None = None
) -> Lift:
    """Read a lift from text.

    Args:
        text: the lift file.
        source: its name, for the messages.
        read_text: gives the text of a file that the lift file names, by its name as written (relative, with
            forward slashes, never upwards); raises InputError or OSError where there is none.
        read_bytes: the same for the bytes of a workbook; None where only texts can be had.

    Raises:
        InputError: with every problem found, sorted by file and line.
    """
    reading = _Reading(read_yaml(text, source), read_text, read_bytes)
    lift = reading.lift()
    if lift is None:
        raise InputError(reading.sorted_problems())
    return lift


class _Reading:
    """One pass over a lift file that collects every problem before it gives up."""

    def __init__(self, tree: YamlSource, read_text: ReadText, read_bytes: ReadBytes | None) -> None:
        self._tree = tree
        self._read_text = read_text
        self._read_bytes = read_bytes
        self._problems: list[Problem] = list(tree.problems)

    def sorted_problems(self) -> tuple[Problem, ...]:
        """All problems, those of the lift file first, each file by line, none twice."""
        own = self._tree.source
        unique = dict.fromkeys(self._problems)
        return tuple(sorted(unique, key=lambda p: (p.source != own, p.source, p.line or 0)))

    def lift(self) -> Lift | None:
        """The lift, or None where there are problems."""
        try:
            file: LiftFile | None = LiftFile.model_validate(self._tree.data)
        except ValidationError as error:
            self._problems.extend(problems_of(error, self._tree))
            file = None
        items, families = self._equipment()
        crane = self._section("place.crane", Crane)
        chart = self._chart(crane)
        self._look_across(items, families, crane)
        if file is None or self._problems or items is None or families is None:
            return None
        if chart is not None:
            file = with_chart(file, chart)
        return Lift(
            file=file,
            items=MappingProxyType(items),
            families=MappingProxyType(families),
            content_hash=content_hash(file, items, families),
            source=self._tree.source,
        )

    def _raw(self, path: str) -> object:
        """What stands at a path of keys, None where nothing does."""
        here: object = self._tree.data
        for key in path.split("."):
            here = here.get(key) if isinstance(here, dict) else None
        return here

    def _section(self, path: str, kind: type[Record]) -> Record | None:
        """A section by itself; None where it is absent, or wrong and reported with the whole file."""
        raw = self._raw(path)
        if raw is None:
            return None
        try:
            return TypeAdapter(kind).validate_python(raw)
        except ValidationError:
            return None

    def _look_across(
        self, items: dict[str, Item] | None, families: dict[str, StrutFamily] | None, crane: Crane | None
    ) -> None:
        """What one section says against another, as far as the sections can be read."""
        load, rig, rules = (
            self._section("load", Load), self._section("rig", Rig), self._section("rules", Rules),
        )  # fmt: skip
        info, ground = self._section("lift", LiftInfo), self._section("place.ground", Ground)
        if info is not None:
            self._add(lift_info_findings(info))
        if load is not None:
            self._add(load_findings(load))
        if rules is not None:
            self._add(rules_findings(rules))
        if crane is not None:
            self._add(crane_findings(crane))
            self._add(wind_findings(crane, self._section("place.wind", Wind)))
            self._add(outrigger_findings(crane, ground))
            self._add(track_findings(crane))
        if ground is not None:
            self._add(ground_findings(ground))
        obstacles = self._section("place.obstacles", tuple[Obstacle, ...]) or ()
        lines = self._section("place.power_lines", tuple[PowerLineRoute, ...]) or ()
        self._add(surrounding_findings(obstacles, lines))
        stations = self._section("place.stations", tuple[PlaceStation, ...]) or ()
        self._add(station_findings(stations))
        self._add(way_findings(stations))
        if rig is None:
            return
        lift_points = self._raw("load.lift_points")
        if isinstance(lift_points, dict):
            self._add(rig_findings(rig, tuple(lift_points)))
        if items is not None:
            self._add(adjustment_findings(rig, items))
        if items is not None and families is not None:
            self._add(item_findings(rig, items, families))
            self._add(length_findings(rig, load, items, families))

    def _add(self, findings: Iterable[Finding]) -> None:
        for finding in findings:
            self._report(finding.path, finding.message)

    def _report(self, path: tuple[str | int, ...], message: str) -> None:
        self._problems.append(Problem(path_text(path), message, self._tree.line_of(path), self._tree.source))

    def _equipment(self) -> tuple[dict[str, Item] | None, dict[str, StrutFamily] | None]:
        """Items and strut families of stock and lift file; None where they cannot all be read."""
        stock = self._section("stock", StockSource)
        if stock is None and self._raw("stock") is not None:
            return None, None
        items = self._table(("stock", "items"), stock.items if stock else None, read_stock)
        families = self._table(
            ("stock", "strut_families"), stock.strut_families if stock else None, read_strut_families
        )
        ratings = self._table(
            ("stock", "strut_ratings"), stock.strut_ratings if stock else None, read_rating_tables
        )
        families = self._with_ratings(self._with_inline_families(families), ratings)
        return self._with_inline_items(items), families

    def _with_inline_items(self, items: dict[str, Item] | None) -> dict[str, Item] | None:
        inline = self._section("equipment", tuple[InlineItem, ...])
        if inline is None:
            return items if self._raw("equipment") is None else None
        for position, item in enumerate(inline):
            if items is not None and item.serial in items:
                message = f"{item.serial} is already in the stock file or above; keep one of the two"
                self._report(("equipment", position, "serial"), message)
            elif items is not None:
                items[item.serial] = item_of(item)
        return items

    def _with_inline_families(self, families: dict[str, StrutFamily] | None) -> dict[str, StrutFamily] | None:
        inline = self._section("strut_families", dict[str, InlineStrutFamily])
        if inline is None:
            return families if self._raw("strut_families") is None else None
        for name, written in inline.items():
            family = family_of(name, written)
            for fault in tube_faults(family):
                self._report(("strut_families", name, "wall"), fault)
            if families is not None and name in families:
                self._report(
                    ("strut_families", name), f"{name} is already in the stock file; keep one of the two"
                )
            elif families is not None:
                families[name] = family
        return families

    def _with_ratings(
        self, families: dict[str, StrutFamily] | None, ratings: dict[str, RatingTable] | None
    ) -> dict[str, StrutFamily] | None:
        """Families with the rating tables of their makers; a table of no family here is a slip of the pen."""
        if families is None or ratings is None:
            return None
        for name, table in ratings.items():
            path = ("stock", "strut_ratings")
            if name not in families:
                near = nearest(name, list(families))
                hint = f"did you mean {near}? " if near else ""
                self._report(
                    path, f"the strut family {name} of the rating table is not known; {hint}Correct it"
                )
            elif families[name].rating is not None:
                self._report(path, f"{name} has a rating table in the lift file already; keep one of the two")
            else:
                families[name] = replace(families[name], rating=table)
        return families

    def _table(
        self, path: tuple[str, str], name: str | None, reader: Callable[[str, str], Mapping[str, Record]]
    ) -> dict[str, Record] | None:
        if name is None:
            return {}
        text = self._text_of(path, name)
        if text is None:
            return None
        try:
            return dict(reader(text, name))
        except InputError as error:
            self._problems.extend(error.problems)
            return None

    def _chart(self, crane: Crane | None) -> ImportedChart | None:
        """The chart of the crane where it is a file of its own."""
        if crane is None or crane.chart_file is None:
            return None
        path, name = ("place", "crane", "chart_file"), crane.chart_file
        if self._read_bytes is not None or not name.casefold().endswith(".xlsx"):
            raw = self._bytes_of(path, name)
        else:
            raw = None
            self._report(path, "a workbook cannot be read here; save the chart as CSV")
        if raw is None:
            return None
        chart, problems, findings = chart_of_crane(raw, name, crane)
        self._problems.extend(problems)
        self._add(findings)
        return chart

    def _bytes_of(self, path: tuple[str, ...], name: str) -> bytes | None:
        """Bytes of a file that the lift file names; of a text where only texts can be had."""
        if self._read_bytes is None or not name.casefold().endswith(".xlsx"):
            text = self._text_of(path, name)
            return None if text is None else text.encode()
        return self._named(path, name, self._read_bytes)

    def _text_of(self, path: tuple[str, ...], name: str) -> str | None:
        """Text of a file that the lift file names at a path, None (and a problem) where it cannot be had."""
        return self._named(path, name, self._read_text)

    def _named(self, path: tuple[str, ...], name: str, read: Callable[[str], Content]) -> Content | None:
        if not _is_beside(name):
            self._report(path, f'"{name}" leads out of the folder of the lift file; put the file beside it')
            return None
        try:
            return read(name)
        except InputError as error:
            for problem in error.problems:
                self._report(path, f'"{name}": {problem.message}')
        except (OSError, KeyError):
            self._report(path, f'there is no file "{name}" beside the lift file; check the name')
        return None


def _is_beside(name: str) -> bool:
    """Whether a name stays in the folder of the lift file on every system."""
    if "\\" in name or "\0" in name or re.match(r"^[A-Za-z]:|^~", name):
        return False
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts
