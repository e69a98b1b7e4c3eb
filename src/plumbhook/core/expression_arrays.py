"""The same formulas over arrays: one printed formula, thousands of samples.

The tree of :mod:`plumbhook.core.expression` is walked once, and every operation is done on whole arrays. Where the
scalar evaluator would refuse (division by zero, root of a negative number), an array has no number there: NaN or
infinity, which no verdict takes for a pass.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt

from plumbhook.core.expression import (
    CONSTANTS,
    Binary,
    Call,
    ExpressionError,
    Name,
    Negative,
    Node,
    Number,
    parse,
)

Numbers = float | npt.NDArray[np.float64]

_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "sin": np.sin,
        "cos": np.cos,
        "tan": np.tan,
        "asin": np.arcsin,
        "acos": np.arccos,
        "atan": np.arctan,
        "atan2": np.arctan2,
        "sqrt": np.sqrt,
        "abs": np.abs,
        "exp": np.exp,
        "log": np.log,
    }
)


def evaluate_arrays(formula: str, values: Mapping[str, Numbers]) -> Numbers:
    """The value of a formula for every sample.

    Args:
        formula: expression in Python syntax, as in a step of a check.
        values: by symbol, SI: a number, or an array with one number per sample; arrays share one shape.

    Returns:
        A number where no symbol is an array, else an array of that shape; NaN or infinite where there is no value.

    Raises:
        ExpressionError: the formula cannot be read or lacks a value for a symbol.
    """
    with np.errstate(all="ignore"):
        found = _walk(parse(formula), values)
    return found if isinstance(found, np.ndarray) and found.ndim else float(found)


def _walk(node: Node, values: Mapping[str, Numbers]) -> Numbers:
    match node:
        case Number(value):
            return value
        case Name(symbol):
            if symbol in CONSTANTS:
                return CONSTANTS[symbol]
            if symbol not in values:
                raise ExpressionError(f"no value is given for '{symbol}'")
            return values[symbol]
        case Negative(operand):
            return -_walk(operand, values)
        case Binary(operator, left, right):
            return _binary(operator, _walk(left, values), _walk(right, values))
        case Call(function, arguments):
            return _call(function, [_walk(argument, values) for argument in arguments])


def _binary(operator: str, left: Numbers, right: Numbers) -> Numbers:
    a, b = np.asarray(left, dtype=np.float64), np.asarray(right, dtype=np.float64)
    match operator:
        case "+":
            found = a + b
        case "-":
            found = a - b
        case "*":
            found = a * b
        case "/":
            found = a / b
        case _:
            found = a**b
    return found


def _call(function: str, arguments: list[Numbers]) -> Numbers:
    if function not in ("min", "max"):
        found: Numbers = _FUNCTIONS[function](*arguments)
        return found
    choose = np.minimum if function == "min" else np.maximum  # both give NaN where one of two is NaN
    best = arguments[0]
    for other in arguments[1:]:
        best = choose(best, other)
    return best
