"""The places of a module where a small wrong change can be made, and the changed text of the module."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

BINARY: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.MatMult: ast.Add,
}
COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
CALLED = {
    "min": "max",
    "max": "min",
    "minimum": "maximum",
    "maximum": "minimum",
    "any": "all",
    "all": "any",
    "sin": "cos",
    "cos": "sin",
    "tan": "sin",
    "ceil": "floor",
    "floor": "ceil",
    "argmin": "argmax",
    "argmax": "argmin",
}
# Calls that only make the sentence of a refusal: their arguments are text.
SENTENCES = frozenset({"Problem", "InputError", "one", "format_quantity"})
# Smaller numbers are tolerances of a comparison: one per cent of them is nothing, so they grow a millionfold.
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Mutant:
    """One wrong change.

    Attributes:
        line: line of the module, from 1.
        before: the expression as it is.
        after: the expression as the mutant has it.
        source: the whole text of the module with the change.
    """

    line: int
    before: str
    after: str
    source: str


def mutants(source: str) -> list[Mutant]:
    """Every mutant of a module, in the order of the text.

    Docstrings, text, type hints, decorators, the sentences of refusals and the version guards of imports are left
    alone.

    Args:
        source: text of the module.

    Returns:
        The mutants; each is the module with exactly one change.
    """
    tree = ast.parse(source)
    found = [_mutant(tree, node, changed) for node in _code(tree) for changed in _changes(node)]
    return sorted(found, key=lambda mutant: mutant.line)


def _code(node: ast.AST) -> Iterator[ast.AST]:
    """Nodes that compute something."""
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "decorator_list", "type_params", "type_comment"}:
            continue
        if isinstance(node, ast.Call) and name != "func" and _name(node.func) in SENTENCES:
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or isinstance(child, ast.JoinedStr | ast.Raise):
                # A raise is changed as a whole; what it says is text.
                if isinstance(child, ast.Raise):
                    yield child
                continue
            if isinstance(child, ast.keyword) and child.arg == "strict":
                continue
            if _is_alias(child):
                continue
            yield child
            yield from _code(child)


def _is_alias(node: ast.AST) -> bool:
    """Whether an assignment only names a type: ``FloatOrArray = float | ...``."""
    return (
        isinstance(node, ast.Assign)
        and isinstance(node.value, ast.BinOp)
        and isinstance(node.value.op, ast.BitOr)
        and isinstance(node.value.left, ast.Name)
        and node.value.left.id in {"float", "int", "str"}
    )


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.BinOp():
            if type(node.op) in BINARY and not (_is_text(node.left) or _is_text(node.right)):
                yield ast.BinOp(node.left, BINARY[type(node.op)](), node.right)
        case ast.Compare():
            for place, operator in enumerate(node.ops):
                for other in COMPARED[type(operator)]:
                    ops = [*node.ops[:place], other(), *node.ops[place + 1 :]]
                    yield ast.Compare(node.left, ops, node.comparators)
        case ast.BoolOp():
            yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert()):
            yield node.operand
        case ast.Constant():
            yield from _numbers(node.value)
        case ast.If() | ast.While() | ast.IfExp():
            test = ast.UnaryOp(ast.Not(), node.test)
            yield from (_with(node, "test", test) for _ in [0] if not isinstance(node.test, ast.Compare))
        case ast.Attribute(attr="nan"):
            yield ast.Constant(0.0)
        case ast.Attribute() | ast.Name():
            return
        case ast.Call():
            name = _name(node.func)
            if name in CALLED:
                yield _with(node, "func", _renamed(node.func, CALLED[name]))
        case ast.Raise():
            yield ast.Pass()
        case ast.Expr(value=ast.Call()):
            yield ast.Pass()


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _numbers(value: object) -> Iterator[ast.Constant]:
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield ast.Constant(value + 1)
    elif isinstance(value, float):
        if value == 0.0:
            yield ast.Constant(0.01)
        else:
            yield ast.Constant(value * (1e6 if abs(value) <= TOLERANCE else 1.01))


def _renamed(function: ast.expr, name: str) -> ast.expr:
    if isinstance(function, ast.Attribute):
        return ast.Attribute(function.value, name, function.ctx)
    return ast.Name(name, ast.Load())


def _with(node: ast.AST, field: str, value: ast.AST) -> ast.AST:
    changed = copy.copy(node)
    setattr(changed, field, value)
    return changed


def _mutant(tree: ast.Module, node: ast.AST, changed: ast.AST) -> Mutant:
    class Put(ast.NodeTransformer):
        def visit(self, visited: ast.AST) -> ast.AST:
            if visited is node:
                return ast.copy_location(changed, node)
            return visited if isinstance(visited, ast.Constant) else _rebuilt(self, visited)

    whole = ast.fix_missing_locations(Put().visit(tree))
    return Mutant(
        getattr(node, "lineno", 1), _shown(node, changed, 0), _shown(node, changed, 1), ast.unparse(whole)
    )


def _rebuilt(put: ast.NodeTransformer, node: ast.AST) -> ast.AST:
    """A copy of a node with its children visited; the tree that all mutants start from stays as it is."""
    made = copy.copy(node)
    for name, value in ast.iter_fields(node):
        if isinstance(value, list):
            setattr(made, name, [put.visit(v) if isinstance(v, ast.AST) else v for v in value])
        elif isinstance(value, ast.AST):
            setattr(made, name, put.visit(value))
    return made


def _shown(node: ast.AST, changed: ast.AST, which: int) -> str:
    shown = changed if which else node
    if isinstance(node, ast.If | ast.While | ast.IfExp):
        shown = getattr(shown, "test", shown)
    text = ast.unparse(ast.fix_missing_locations(copy.copy(shown))).splitlines()[0]
    return text if len(text) <= 100 else text[:97] + "..."
