"""What every builder of a joint or a sling asks of its numbers, and the form in which results come back."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity

FloatOrArray = float | npt.NDArray[np.float64]


def as_given(result: npt.ArrayLike) -> FloatOrArray:
    """A plain number where a single one was computed, else the array."""
    array = np.asarray(result, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def input_problems(
    check_id: str,
    *,
    positive: Iterable[Value] = (),
    not_negative: Iterable[Value] = (),
    finite: Iterable[Value] = (),
) -> tuple[Problem, ...]:
    """One sentence for each value that is no number, is infinite, or has a sign it cannot have.

    Args:
        check_id: the check that asks, used as the field.
        positive: values that must be more than zero.
        not_negative: values that must be zero or more.
        finite: values that may have either sign.

    Returns:
        The problems; empty where the values can be used.
    """
    problems = []
    for need, values in (("more than zero", positive), ("zero or more", not_negative), ("a number", finite)):
        for value in values:
            above = value.value > 0.0 or need == "a number" or (value.value == 0.0 and need == "zero or more")
            if not (math.isfinite(value.value) and above):
                problems.append(Problem(check_id, _sentence(value, need)))
    return tuple(problems)


def _sentence(value: Value, least: str) -> str:
    if math.isnan(value.value):
        return f"the {value.meaning} is missing; enter it as on the drawing, the plate or the certificate"
    shown = format_quantity(value.value, value.unit, value.display)
    return (
        f"the {value.meaning} must be {least}, not {shown}; "
        "enter it as on the drawing, the plate or the certificate"
    )


def refuse(problems: Iterable[Problem]) -> None:
    """Raise all problems at once.

    Raises:
        InputError: there is at least one problem.
    """
    found = tuple(problems)
    if found:
        raise InputError(found)
