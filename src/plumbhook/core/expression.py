"""The formula of a step: one short expression, parsed once and evaluated by a whitelist.

A formula is text in Python syntax. It is parsed into a small tree of frozen nodes; the same tree gives the
number (the audit) and, in :mod:`plumbhook.core.expression_text`, what the reader sees. Nothing else
than numbers, names, ``+ - * / **``, unary minus and the functions of :data:`FUNCTIONS` is accepted, so a
formula can neither reach into the program nor hide a branch.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from plumbhook.core.errors import PlumbhookError

_LONGEST_FORMULA = 4000
_DEEPEST_TREE = 60


class ExpressionError(PlumbhookError):
    """A formula that cannot be read, or has no value for the numbers put in."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number written in the formula; never negative (a minus sign is :class:`Negative`)."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Name:
    """A symbol, or the constant ``pi``."""

    symbol: str


@dataclass(frozen=True, slots=True)
class Negative:
    """Unary minus."""

    operand: Node


@dataclass(frozen=True, slots=True)
class Binary:
    """One of ``+ - * / **`` between two expressions."""

    operator: str
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Call:
    """A function of :data:`FUNCTIONS` with its arguments."""

    function: str
    arguments: tuple[Node, ...]


Node = Number | Name | Negative | Binary | Call


def _largest(*arguments: float) -> float:
    return math.nan if any(math.isnan(a) for a in arguments) else max(arguments)


def _smallest(*arguments: float) -> float:
    return math.nan if any(math.isnan(a) for a in arguments) else min(arguments)


@dataclass(frozen=True, slots=True)
class _Function:
    evaluate: Callable[..., float]
    fewest: int = 1
    most: int = 1


_MANY = 1000

FUNCTIONS: Mapping[str, _Function] = MappingProxyType(
    {
        "sin": _Function(math.sin),
        "cos": _Function(math.cos),
        "tan": _Function(math.tan),
        "asin": _Function(math.asin),
        "acos": _Function(math.acos),
        "atan": _Function(math.atan),
        "atan2": _Function(math.atan2, 2, 2),
        "sqrt": _Function(math.sqrt),
        "abs": _Function(math.fabs),
        "exp": _Function(math.exp),
        "log": _Function(math.log),
        # A NaN among the arguments is the answer: Python's own max and min would lose it by order.
        "min": _Function(_smallest, 1, _MANY),
        "max": _Function(_largest, 1, _MANY),
    }
)
"""Every function that a formula may use. ``log`` is the natural logarithm; angles are in radians."""

CONSTANTS: Mapping[str, float] = MappingProxyType({"pi": math.pi})
"""Names that need no input."""

_OPERATORS: Mapping[type[ast.operator], str] = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Div: "/",
    ast.Pow: "**",
}


@lru_cache(maxsize=4096)
def parse(formula: str) -> Node:
    """Read a formula into its tree.

    Args:
        formula: expression in Python syntax.

    Returns:
        The root of the tree.

    Raises:
        ExpressionError: the text is no expression, or uses anything outside the whitelist.
    """
    if len(formula) > _LONGEST_FORMULA:
        raise ExpressionError(f"a formula of {len(formula)} characters is too long to be read by anyone")
    try:
        tree = ast.parse(formula.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise ExpressionError(f"'{formula}' is not an expression") from error
    return _convert(tree.body, formula, 0)


def _convert(node: ast.expr, formula: str, depth: int) -> Node:
    if depth > _DEEPEST_TREE:
        raise ExpressionError(f"'{formula[:60]}...' is nested too deeply")
    match node:
        case ast.Constant(value=bool()):
            pass
        case ast.Constant(value=int() | float() as number):
            return _number(number, ast.unparse(node), formula)
        case ast.Name(id=name) if name not in FUNCTIONS:
            return Name(name)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return Negative(_convert(operand, formula, depth + 1))
        case ast.BinOp(left=left, op=operator, right=right) if type(operator) in _OPERATORS:
            return Binary(
                _OPERATORS[type(operator)],
                _convert(left, formula, depth + 1),
                _convert(right, formula, depth + 1),
            )
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS:
            function = FUNCTIONS[name]
            if not function.fewest <= len(arguments) <= function.most:
                raise ExpressionError(f"'{formula}': {name} takes another number of arguments")
            return Call(name, tuple(_convert(argument, formula, depth + 1) for argument in arguments))
        case _:
            pass
    raise ExpressionError(f"'{formula}': '{ast.unparse(node)}' is not allowed in a formula")


def _number(number: float, text: str, formula: str) -> Number:
    try:
        value = float(number)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise ExpressionError(f"'{formula[:60]}': a number in it is too large")
    return Number(value, text)


@lru_cache(maxsize=4096)
def symbols(formula: str) -> tuple[str, ...]:
    """Symbols that a formula uses, each once, in the order they are read; constants left out.

    Raises:
        ExpressionError: the formula cannot be read.
    """
    found: dict[str, None] = {}

    def visit(node: Node) -> None:
        match node:
            case Name(symbol):
                if symbol not in CONSTANTS:
                    found[symbol] = None
            case Negative(operand):
                visit(operand)
            case Binary(_, left, right):
                visit(left)
                visit(right)
            case Call(_, arguments):
                for argument in arguments:
                    visit(argument)
            case Number():
                pass

    visit(parse(formula))
    return tuple(found)


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """The value of a formula; NaN where an input is NaN.

    Args:
        formula: expression in Python syntax.
        values: number of each symbol, SI.

    Returns:
        The value, SI.

    Raises:
        ExpressionError: the formula cannot be read, lacks a value for a symbol, or has no value there
            (division by zero, square root of a negative number, overflow).
    """
    return evaluate_scaled(formula, values)[0]


def evaluate_scaled(formula: str, values: Mapping[str, float]) -> tuple[float, float]:
    """The value of a formula, and the size of the terms it was made from.

    Where large terms nearly cancel, rounding is in proportion to the terms and not to their difference; the
    second number is what a comparison must be relative to. It is never smaller than the value itself.

    Raises:
        ExpressionError: as :func:`evaluate`.
    """
    try:
        return _evaluate(parse(formula), values)
    except (ZeroDivisionError, ValueError, OverflowError) as error:
        raise ExpressionError(f"'{formula}' has no value for the numbers put in ({error})") from error


def _evaluate(node: Node, values: Mapping[str, float]) -> tuple[float, float]:
    match node:
        case Number(value):
            return value, value
        case Name(symbol):
            if symbol in CONSTANTS:
                return CONSTANTS[symbol], CONSTANTS[symbol]
            if symbol not in values:
                raise ExpressionError(f"no value is given for '{symbol}'")
            value = float(values[symbol])
            return value, abs(value)
        case Negative(operand):
            value, scale = _evaluate(operand, values)
            return -value, scale
        case Binary(operator, left, right):
            return _evaluate_binary(operator, _evaluate(left, values), _evaluate(right, values))
        case Call(function, arguments):
            results = [_evaluate(argument, values) for argument in arguments]
            value = FUNCTIONS[function].evaluate(*(result[0] for result in results))
            if function in ("min", "max"):
                return value, max(abs(value), *(scale for _, scale in results))
            return value, abs(value)


def _evaluate_binary(
    operator: str, left: tuple[float, float], right: tuple[float, float]
) -> tuple[float, float]:
    (a, size_a), (b, size_b) = left, right
    match operator:
        case "+":
            return a + b, size_a + size_b
        case "-":
            return a - b, size_a + size_b
        case "*":
            return a * b, size_a * size_b
        case "/":
            return a / b, size_a / abs(b)
        case _:
            power = a**b
            if isinstance(power, complex):
                raise ExpressionError("a broken power of a negative number has no value")
            return power, abs(power)
