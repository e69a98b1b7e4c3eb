"""How a formula is shown: plain text and Typst mathematics, symbolic or with the numbers put in.

Both targets are drawn from the tree of :mod:`plumbhook.core.expression`, so that what is read is what was
evaluated. A further target is one more subclass of the renderer. How a number looks (unit, digits) is the
caller's business: it hands in a function.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from types import MappingProxyType

from plumbhook.core.check import Value
from plumbhook.core.expression import (
    Binary,
    Call,
    ExpressionError,
    Name,
    Negative,
    Node,
    Number,
    parse,
)

FormatValue = Callable[[Value], str]
"""Writes a value with its unit as the reader shall see it, e.g. ``128.0 kN``."""

_GREEK: Mapping[str, str] = MappingProxyType(
    {
        "alpha": "α",
        "beta": "β",
        "gamma": "γ",
        "delta": "δ",
        "epsilon": "ε",
        "zeta": "ζ",
        "eta": "η",
        "theta": "θ",
        "iota": "ι",
        "kappa": "κ",
        "lambda": "λ",
        "mu": "μ",
        "nu": "ν",
        "xi": "ξ",
        "pi": "π",
        "rho": "ρ",
        "sigma": "σ",
        "tau": "τ",
        "phi": "φ",
        "chi": "χ",
        "psi": "ψ",
        "omega": "ω",
        "Gamma": "Γ",
        "Delta": "Δ",
        "Theta": "Θ",
        "Lambda": "Λ",
        "Xi": "Ξ",
        "Pi": "Π",
        "Sigma": "Σ",
        "Phi": "Φ",
        "Psi": "Ψ",
        "Omega": "Ω",
    }
)
_COMBINING_MACRON = "\u0304"
_PRIME = "\u2032"
_MINUS = "\u2212"
_DOT = "\u00b7"
_BASE_AND_DIGITS = re.compile(r"([A-Za-z]+?)(\d+)\Z")


class _Level(IntEnum):
    """How tightly a piece holds together; a looser piece gets parentheses where a tighter one is needed."""

    SUM = 1
    PRODUCT = 2
    QUANTITY = 3  # a number with its unit: a product in kind, but no reader takes it apart
    NEGATIVE = 4
    POWER = 5
    ATOM = 6


@dataclass(frozen=True, slots=True)
class _Piece:
    text: str
    level: _Level


@dataclass(frozen=True, slots=True)
class _Symbol:
    base: str
    subscripts: tuple[str, ...]
    bar: bool
    primes: int


def _split_symbol(symbol: str) -> _Symbol:
    base, *rest = symbol.split("_")
    parts = [part for part in rest if part]
    primes = parts.count("prime")
    bar = "bar" in parts
    subscripts = [part for part in parts if part not in ("prime", "bar")]
    with_digits = _BASE_AND_DIGITS.match(base)
    if with_digits and (len(with_digits[1]) == 1 or with_digits[1] in _GREEK):
        base = with_digits[1]
        subscripts.insert(0, with_digits[2])
    return _Symbol(base, tuple(subscripts), bar, primes)


def symbol_text(symbol: str) -> str:
    """A symbol as plain text: ``N_b_Rd`` is ``N_b,Rd``, ``lambda_bar`` is a lambda with a bar."""
    parts = _split_symbol(symbol)
    text = _GREEK.get(parts.base, parts.base) + (_COMBINING_MACRON if parts.bar else "")
    text += _PRIME * parts.primes
    if parts.subscripts:
        text += "_" + ",".join(_GREEK.get(part, part) for part in parts.subscripts)
    return text


def symbol_typst(symbol: str) -> str:
    """A symbol as Typst mathematics: ``N_b_Rd`` is ``N_("b,Rd")``, ``gamma_M1`` is ``gamma_("M1")``."""
    parts = _split_symbol(symbol)
    single = parts.base in _GREEK or len(parts.base) == 1
    text = parts.base if single else f'italic("{parts.base}")'
    if parts.bar:
        text = f"overline({text})"
    text += "'" * parts.primes
    if not parts.subscripts:
        return text
    if any(part in _GREEK for part in parts.subscripts):
        joined = ' "," '.join(part if part in _GREEK else f'"{part}"' for part in parts.subscripts)
    else:
        joined = '"' + ",".join(parts.subscripts) + '"'
    return f"{text}_({joined})"


def to_text(
    formula: str,
    values: Iterable[Value] = (),
    format_value: FormatValue | None = None,
    *,
    arguments_per_line: int = 4,
) -> str:
    """A formula as plain text.

    Args:
        formula: expression in Python syntax.
        values: the inputs of the step; needed where ``format_value`` is given.
        format_value: writes each number put in; None shows symbols.
        arguments_per_line: a longer list of arguments of ``max`` or ``min`` goes on in a new line.

    Returns:
        Text, of more than one line only for a long list of arguments.

    Raises:
        ExpressionError: the formula cannot be read, or a symbol has no value to be put in.
    """
    return _PlainText(values, format_value, arguments_per_line).render(parse(formula)).text


def to_typst(
    formula: str,
    values: Iterable[Value] = (),
    format_value: FormatValue | None = None,
    *,
    arguments_per_line: int = 3,
) -> str:
    """A formula as Typst mathematics, without the dollar signs.

    Args:
        formula: expression in Python syntax.
        values: the inputs of the step; needed where ``format_value`` is given.
        format_value: writes each number put in; None shows symbols.
        arguments_per_line: a longer list of arguments of ``max`` or ``min`` is set in rows.

    Returns:
        Markup for Typst's math mode, with fractions, roots and subscripts.

    Raises:
        ExpressionError: the formula cannot be read, or a symbol has no value to be put in.
    """
    return _Typst(values, format_value, arguments_per_line).render(parse(formula)).text


class _Renderer(ABC):
    """Walks the tree and decides the parentheses; a target says how each kind of node is written."""

    def __init__(
        self, values: Iterable[Value], format_value: FormatValue | None, arguments_per_line: int
    ) -> None:
        self._values = {value.symbol: value for value in values}
        self._format_value = format_value
        self._arguments_per_line = arguments_per_line

    def render(self, node: Node) -> _Piece:
        match node:
            case Number():
                return self.number(node.text)
            case Name(symbol):
                return self._name(symbol)
            case Negative(operand):
                return _Piece(self.minus + self._at_least(_Level.POWER, operand), _Level.NEGATIVE)
            case Binary(operator, left, right):
                return self._binary(operator, left, right)
            case Call(function, arguments):
                pieces = [self.render(argument) for argument in arguments]
                if function == "abs":
                    return _Piece(self.absolute(pieces[0].text), _Level.ATOM)
                if function == "sqrt":
                    return _Piece(self.root(pieces[0].text), _Level.ATOM)
                return _Piece(self.call(function, [piece.text for piece in pieces]), _Level.ATOM)

    def _name(self, symbol: str) -> _Piece:
        if symbol == "pi" or self._format_value is None:
            return _Piece(self.symbol(symbol), _Level.ATOM)
        if symbol not in self._values:
            raise ExpressionError(f"no value is given to be put in for '{symbol}'")
        text = self._format_value(self._values[symbol])
        level = _Level.ATOM if text.replace(".", "", 1).isdigit() else _Level.QUANTITY
        if text.startswith(("-", _MINUS)):
            level = _Level.SUM
        return _Piece(self.quantity(text), level)

    def _binary(self, operator: str, left: Node, right: Node) -> _Piece:
        match operator:
            case "+" | "-":
                # A sum on the right keeps its parentheses: rounding depends on the order of adding.
                text = self._at_least(_Level.SUM, left) + (
                    self.plus if operator == "+" else self.spaced_minus
                )
                return _Piece(text + self._right(_Level.PRODUCT, right), _Level.SUM)
            case "*":
                text = self._at_least(_Level.PRODUCT, left) + self.times + self._right(_Level.QUANTITY, right)
                return _Piece(text, _Level.PRODUCT)
            case "/":
                return self.quotient(left, right)
            case _:
                return self.power(left, right)

    def _at_least(self, level: _Level, node: Node) -> str:
        piece = self.render(node)
        return piece.text if piece.level >= level else f"({piece.text})"

    def _right(self, level: _Level, node: Node) -> str:
        piece = self.render(node)
        bare = piece.level >= level and piece.level is not _Level.NEGATIVE
        return piece.text if bare else f"({piece.text})"

    minus: str
    plus: str
    spaced_minus: str
    times: str

    @abstractmethod
    def symbol(self, symbol: str) -> str: ...

    @abstractmethod
    def quantity(self, text: str) -> str: ...

    @abstractmethod
    def number(self, text: str) -> _Piece: ...

    @abstractmethod
    def quotient(self, left: Node, right: Node) -> _Piece: ...

    @abstractmethod
    def power(self, left: Node, right: Node) -> _Piece: ...

    @abstractmethod
    def root(self, argument: str) -> str: ...

    @abstractmethod
    def absolute(self, argument: str) -> str: ...

    @abstractmethod
    def call(self, function: str, arguments: Sequence[str]) -> str: ...


class _PlainText(_Renderer):
    minus = "-"
    plus = " + "
    spaced_minus = " - "
    times = f" {_DOT} "

    def symbol(self, symbol: str) -> str:
        return symbol_text(symbol)

    def quantity(self, text: str) -> str:
        return text

    def number(self, text: str) -> _Piece:
        return _Piece(text, _Level.ATOM)

    def quotient(self, left: Node, right: Node) -> _Piece:
        text = f"{self._at_least(_Level.PRODUCT, left)} / {self._right(_Level.NEGATIVE, right)}"
        return _Piece(text, _Level.PRODUCT)

    def power(self, left: Node, right: Node) -> _Piece:
        text = f"{self._at_least(_Level.ATOM, left)}^{self._at_least(_Level.ATOM, right)}"
        return _Piece(text, _Level.POWER)

    def root(self, argument: str) -> str:
        return f"sqrt({argument})"

    def absolute(self, argument: str) -> str:
        return f"abs({argument})"

    def call(self, function: str, arguments: Sequence[str]) -> str:
        name = "ln" if function == "log" else function
        rows = _in_rows(arguments, self._arguments_per_line)
        indent = "\n" + " " * (len(name) + 1)
        return f"{name}({(',' + indent).join(', '.join(row) for row in rows)})"


class _Typst(_Renderer):
    minus = "-"
    plus = " + "
    spaced_minus = " - "
    times = " dot.op "

    _NAMES: Mapping[str, str] = MappingProxyType(
        {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "atan2": 'op("atan2")', "log": "ln"}
    )

    def symbol(self, symbol: str) -> str:
        return symbol_typst(symbol)

    def quantity(self, text: str) -> str:
        # A string stays upright and in one piece, whatever characters the unit has.
        escaped = text.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'

    def number(self, text: str) -> _Piece:
        mantissa, _, exponent = text.lower().partition("e")
        if not exponent:
            return _Piece(text, _Level.ATOM)
        return _Piece(f"{mantissa} dot.op 10^({int(exponent)})", _Level.PRODUCT)

    def quotient(self, left: Node, right: Node) -> _Piece:
        text = f"frac({self.render(left).text}, {self.render(right).text})"
        return _Piece(text, _Level.POWER)

    def power(self, left: Node, right: Node) -> _Piece:
        text = f"{self._at_least(_Level.ATOM, left)}^({self.render(right).text})"
        return _Piece(text, _Level.POWER)

    def root(self, argument: str) -> str:
        return f"sqrt({argument})"

    def absolute(self, argument: str) -> str:
        return f"abs({argument})"

    def call(self, function: str, arguments: Sequence[str]) -> str:
        name = self._NAMES.get(function, function)
        rows = _in_rows(arguments, self._arguments_per_line)
        if len(rows) == 1:
            return f"{name}({', '.join(rows[0])})"
        cells = [[f'{argument} ","' for argument in row] for row in rows]
        cells[-1][-1] = rows[-1][-1]
        return f"{name} lr((mat(delim: #none, align: #left, {'; '.join(', '.join(row) for row in cells)})))"


def _in_rows(arguments: Sequence[str], per_row: int) -> list[Sequence[str]]:
    return [arguments[start : start + per_row] for start in range(0, len(arguments), per_row)]
