"""An assessment as JSON and back, unchanged."""

from __future__ import annotations

import dataclasses
import json
import math
from enum import Enum
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.planning.assessment import Assessment


def to_plain(value: Any) -> Any:  # noqa: ANN401 - walks any record
    """Records, enums and tuples as plain JSON values; a number that is not finite becomes a word."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, dict):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [to_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return "NaN" if math.isnan(value) else ("Infinity" if value > 0 else "-Infinity")
    return value


def to_json(assessment: Assessment, *, indent: int | None = None) -> str:
    """The assessment as JSON text with derived verdicts beside the stored numbers.

    Status and utilisation are derived from demand and capacity, so they are written for readers of the JSON and
    ignored when it is read back.
    """
    data = to_plain(assessment)
    data["status"] = assessment.status.value
    for record, check in zip(data["checks"], assessment.checks, strict=True):
        record["status"] = check.status.value
        record["utilisation"] = to_plain(check.utilisation)
    return json.dumps(data, indent=indent, ensure_ascii=False, allow_nan=False)


def from_json(text: str) -> Assessment:
    """Read an assessment back.

    Raises:
        InputError: the text is not an assessment of this format; names each field that is wrong.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError.one(f"this is not JSON: {error.msg}", line=error.lineno) from None
    if not isinstance(data, dict):
        raise InputError.one("an assessment is a JSON object; this is something else")
    try:
        return _adapter().validate_python(data)
    except ValidationError as error:
        problems = tuple(
            Problem(field=".".join(str(part) for part in item["loc"]), message=item["msg"])
            for item in error.errors()
        )
        raise InputError(problems) from None


@cache
def _adapter() -> TypeAdapter[Assessment]:
    return TypeAdapter(Assessment)
