"""A tolerance study as JSON and back, unchanged."""

from __future__ import annotations

import json
from functools import cache

from pydantic import TypeAdapter, ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.tolerance_study import ToleranceStudy


def study_to_json(study: ToleranceStudy, *, indent: int | None = None) -> str:
    """The study as JSON text; a number that is not finite becomes a word."""
    return json.dumps(to_plain(study), indent=indent, ensure_ascii=False, allow_nan=False)


def study_from_json(text: str) -> ToleranceStudy:
    """Read a study back.

    Raises:
        InputError: the text is not a study of this format; names each field that is wrong.
    """
    try:
        return _adapter().validate_python(json.loads(text))
    except json.JSONDecodeError as error:
        raise InputError.one(f"this is not JSON: {error.msg}", line=error.lineno) from None
    except ValidationError as error:
        raise InputError(
            tuple(
                Problem(field=".".join(str(part) for part in item["loc"]), message=item["msg"])
                for item in error.errors()
            )
        ) from None


@cache
def _adapter() -> TypeAdapter[ToleranceStudy]:
    return TypeAdapter(ToleranceStudy)
