"""Reading of plain JSON values with every problem collected, each under the path of its field."""

from __future__ import annotations

import difflib
import math
from typing import TYPE_CHECKING

from plumbhook.core.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence


class Reader:
    """Reads tables, texts, numbers and vectors; notes what is wrong and carries on.

    A number that cannot be read becomes NaN, so that one mistake is reported once.

    Attributes:
        source: name of the file, repeated in every problem.
        problems: what has been found so far.
    """

    def __init__(self, source: str) -> None:
        self.source = source
        self.problems: list[Problem] = []

    def problem(self, field: str, message: str) -> None:
        """Note one problem."""
        self.problems.append(Problem(field=field, message=message, source=self.source))

    @staticmethod
    def unknown_text(word: object, known: Sequence[str], what: str) -> str:
        """Sentence for a word that is none of the known ones, with the nearest of them."""
        shown = _shown(word)
        near = difflib.get_close_matches(word, known, n=1) if isinstance(word, str) else []
        if near:
            return f"{shown} is no known {what}; did you mean '{near[0]}'?"
        some = ", ".join(f"'{name}'" for name in known[:12]) + (", ..." if len(known) > 12 else "")
        return f"{shown} is no known {what}; use one of {some}." if known else f"{shown} is no known {what}."

    def unknown(self, field: str, word: object, known: Sequence[str], what: str) -> None:
        """Note a word that is none of the known ones."""
        self.problem(field, self.unknown_text(word, known, what))

    def table(
        self, data: object, path: str, *, required: Iterable[str], optional: Iterable[str], what: str
    ) -> Mapping[str, object] | None:
        """A mapping with its keys checked, or None (noted) if it is not a mapping."""
        if not isinstance(data, dict):
            self.problem(path, f"must be {what} given as a table of fields, not {_shown(data)}.")
            return None
        keys = (*required, *optional)
        join = f"{path}." if path else ""
        for key in data:
            if key not in keys:
                self.unknown(f"{join}{key}", key, keys, "field")
        for key in required:
            if key not in data:
                self.problem(f"{join}{key}", "is missing.")
        return data

    def items(self, data: object, path: str, table: Mapping[str, object]) -> Iterator[tuple[object, str]]:
        """Items of a list with their paths; none (noted, unless the key is missing) if it is no list."""
        if isinstance(data, (list, tuple)):
            yield from ((item, f"{path}[{number}]") for number, item in enumerate(data))
        elif path.rpartition(".")[2] in table:
            self.problem(path, f"must be a list, not {_shown(data)}.")

    def named(self, data: object, path: str) -> Iterator[tuple[str, object]]:
        """Pairs of name and value of a mapping; nothing (noted) if it is not a mapping."""
        if not isinstance(data, dict):
            self.problem(path, f"must be a table of names, not {_shown(data)}.")
            return
        for name, value in data.items():
            if isinstance(name, str):
                yield name, value
            else:
                self.problem(path, f"the name {_shown(name)} must be text; put it in quotes.")

    def text(self, data: object, path: str) -> str:
        """A text; "" (noted) if it is none."""
        if isinstance(data, str):
            return data
        self.problem(path, f"must be text, not {_shown(data)}; put it in quotes.")
        return "?"

    def number(self, data: object, path: str) -> float:
        """A finite number; NaN (noted) if it is none."""
        if isinstance(data, bool) or not isinstance(data, (int, float)):
            self.problem(path, f"must be a number, not {_shown(data)}.")
            return math.nan
        try:
            value = float(data)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            self.problem(path, f"is {_shown(data)}; give a finite number.")
            return math.nan
        return value

    def vector(self, data: object, path: str) -> tuple[float, float, float]:
        """Three finite numbers; NaN (noted) where there are none."""
        if not isinstance(data, (list, tuple)) or len(data) != 3:
            self.problem(path, f"must be three numbers [x, y, z], not {_shown(data)}.")
            return (math.nan, math.nan, math.nan)
        x, y, z = (self.number(value, f"{path}[{axis}]") for axis, value in enumerate(data))
        return (x, y, z)


def _shown(data: object) -> str:
    """A value as it appears in a sentence, cut to a readable length."""
    if data is None:
        return "nothing"
    if isinstance(data, dict):
        return "a table"
    if isinstance(data, (list, tuple)):
        return f"a list of {len(data)}"
    text = f"'{data}'" if isinstance(data, str) else str(data)
    return text if len(text) <= 60 else f"{text[:57]}..."
