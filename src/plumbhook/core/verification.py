"""Record of one verification case: a number that others published beside the number this package computes.

Layers that compute hand out tuples of these records; one command lists them all, and the page of verification
cases is generated from the same records.
"""

from __future__ import annotations

import itertools
import json
import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from typing import Any, Literal

from plumbhook.core.check import SourceQuality
from plumbhook.core.unit_words import BY_WORD

ToleranceKind = Literal["absolute", "relative"]


@dataclass(frozen=True, slots=True)
class VerificationCase:
    """One published value beside the computed one.

    Attributes:
        case_id: stable identifier, ``<subject>.<case>.<quantity>``, unique over the whole package.
        title: what is compared, in the words of the trade.
        source: document, edition and table, clause, example or page of the published value.
        quality: how the published value was obtained; an own derivation is not a publication and says so.
        published: the value as the source gives it, in ``unit``.
        computed: the value as this package computes it, in ``unit``.
        unit: the unit of the source, as printed there, e.g. ``kN``, ``mm``, ``psi``, ``1``.
        tolerance: largest accepted difference; usually half a unit of the last printed digit.
        tolerance_kind: ``absolute`` in ``unit``, or ``relative`` to the published value.
        note: why the tolerance is what it is, a misprint, a trap; "" where there is nothing to say.
    """

    case_id: str
    title: str
    source: str
    quality: SourceQuality
    published: float
    computed: float
    unit: str
    tolerance: float
    tolerance_kind: ToleranceKind
    note: str = ""

    def __post_init__(self) -> None:
        if not self.case_id or not self.title or not self.source:
            raise ValueError("a verification case needs an id, a title and a source")
        if self.tolerance_kind not in ("absolute", "relative"):
            raise ValueError(f"{self.case_id}: tolerance_kind must be 'absolute' or 'relative'")
        if not (math.isfinite(self.published) and math.isfinite(self.tolerance) and self.tolerance >= 0.0):
            raise ValueError(f"{self.case_id}: published value and tolerance must be numbers")
        if self.tolerance_kind == "relative" and self.published == 0.0:
            raise ValueError(f"{self.case_id}: a published zero needs an absolute tolerance")

    @property
    def difference(self) -> float:
        """Computed minus published, in ``unit``; divided by the published value for a relative tolerance."""
        difference = self.computed - self.published
        return difference if self.tolerance_kind == "absolute" else difference / abs(self.published)

    @property
    def ok(self) -> bool:
        """Whether the difference is within the tolerance; a computed NaN or infinity never is."""
        return math.isfinite(self.computed) and abs(self.difference) <= self.tolerance


_NUMBER = re.compile(r"-?\d+(\.\d+)?(e-?\d+)?(/\d+)?", re.IGNORECASE)
_QUALITY_BY_WORD = {
    "published": SourceQuality.PUBLISHED,
    "from memory": SourceQuality.FROM_MEMORY,
    "common practice": SourceQuality.COMMON_PRACTICE,
    "own derivation": SourceQuality.OWN_DERIVATION,
}


def cases_of_data(
    file_name: str, functions: Mapping[str, Callable[..., Any]]
) -> tuple[VerificationCase, ...]:
    """Verification cases of one data file, each computed now.

    Args:
        file_name: name of the JSON file in ``data/verification``: a list of objects with ``id``, ``title``,
            ``source``, ``quality``, ``function``, ``arguments``, ``value``, ``unit``, ``tolerance``,
            ``tolerance_kind`` and ``note``. An argument is a number, or text with its unit as the source
            prints it, e.g. ``"244.5 mm"``; other text is handed on as it is. An item with ``rows`` is a whole
            printed table: ``columns`` gives the further arguments of each column by its name, ``row_argument``
            the argument that a row sets and ``rows`` the values of each row by its name, one for each column.
        functions: the functions the file may name; they take and give SI.

    Returns:
        The cases in the order of the file, the computed value in the unit of the source.

    Raises:
        KeyError: the file names a function, quality or unit that is not known.
    """
    text = files("plumbhook").joinpath("data", "verification", file_name).read_text(encoding="utf-8")
    return tuple(
        _case(item, functions)
        for entry in json.loads(text)
        for item in (_cells(entry) if "rows" in entry else (entry,))
    )


def _cells(table: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """One item for each cell of a printed table; an empty cell (null) has none."""
    for row, values in table["rows"].items():
        for (column, further), value in zip(table["columns"].items(), values, strict=True):
            if value is None:
                continue
            yield {
                **table,
                "id": f"{table['id']}.{row}.{column}".replace(" ", "-"),
                "title": f"{table['title']}: {row}, {column}",
                "arguments": {**table["arguments"], **further, table["row_argument"]: row},
                "value": value,
            }


def _case(item: Mapping[str, Any], functions: Mapping[str, Callable[..., Any]]) -> VerificationCase:
    arguments = {name: _argument(value) for name, value in item["arguments"].items()}
    computed = float(functions[item["function"]](**arguments))
    return VerificationCase(
        case_id=item["id"],
        title=item["title"],
        source=item["source"],
        quality=_QUALITY_BY_WORD[item["quality"]],
        published=float(item["value"]),
        computed=computed / float(BY_WORD[item["unit"]].factor),
        unit=item["unit"],
        tolerance=float(item["tolerance"]),
        tolerance_kind=item["tolerance_kind"],
        note=item["note"],
    )


def _argument(value: float | str) -> float | str:
    """A number as it is; a text such as ``244.5 mm``, ``1 1/4 in`` or ``9 short ton`` in SI; other text as it is."""
    if not isinstance(value, str):
        return value
    parts = value.split()
    numbers = list(itertools.takewhile(_NUMBER.fullmatch, parts))
    unit = BY_WORD.get(" ".join(parts[len(numbers) :]))
    if not numbers or unit is None:
        return value
    return float(sum(map(Fraction, numbers))) * float(unit.factor)
