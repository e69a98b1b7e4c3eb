"""Rules of the house that no linter holds: units in names, who may print, who must be documented."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "src" / "plumbhook"
MODULES = sorted(PACKAGE.rglob("*.py"))

# Units of the trade in names are for the places where people are near, and for readers of tables.
NEAR_PEOPLE = ("core/units.py", "core/tables.py", "documents/", "web/", "cli/")
TRADE_UNITS = (
    "mm",
    "cm",
    "t",
    "tf",
    "kN",
    "kNm",
    "kPa",
    "MPa",
    "GPa",
    "deg",
    "lb",
    "lbf",
    "ft",
    "psi",
    "ksi",
)


def relative(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def named_inputs(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and name of every parameter of a function and every field of a class."""
    for node in ast.walk(tree):
        if isinstance(node, ast.arg):
            yield node.lineno, node.arg
        elif isinstance(node, ast.ClassDef):
            for inner in node.body:
                if isinstance(inner, ast.AnnAssign) and isinstance(inner.target, ast.Name):
                    yield inner.lineno, inner.target.id


def trade_units_in_names(source: str) -> list[str]:
    return [
        f"{line}: {name}"
        for line, name in named_inputs(ast.parse(source))
        if "_" in name and name.rsplit("_", 1)[1] in TRADE_UNITS
    ]


def prints(source: str) -> list[int]:
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]


def undocumented(source: str) -> list[str]:
    """Public functions, classes and methods without a docstring; those inside functions are private."""
    found: list[str] = []
    waiting: list[tuple[str, ast.AST]] = [("", ast.parse(source))]
    while waiting:
        owner, scope = waiting.pop()
        for node in ast.iter_child_nodes(scope):
            if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                continue
            if node.name.startswith("_"):
                continue
            name = f"{owner}{node.name}"
            if ast.get_docstring(node) is None and not is_overload(node):
                found.append(name)
            if isinstance(node, ast.ClassDef):
                waiting.append((f"{name}.", node))
    return sorted(found)


def is_overload(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) -> bool:
    return any(isinstance(mark, ast.Name) and mark.id == "overload" for mark in node.decorator_list)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("def tension(load_t, span_m): ...", ["1: load_t"]),
        ("def tension(*, load_kN): ...", ["1: load_kN"]),
        ("class Sling:\n    length_mm: float\n    mass_kg: float", ["2: length_mm"]),
        ("def lean(angle_deg, angle_rad, t): ...", ["1: angle_deg"]),
        ("def weight(mass_kg, tension_N, pressure_Pa): ...", []),
    ],
)
def test_the_unit_rule_sees_parameters_and_fields(source: str, expected: list[str]) -> None:
    assert trade_units_in_names(source) == expected


def test_the_rules_on_printing_and_docstrings_see_a_breach() -> None:
    source = (
        'def public():\n    print("x")\n\n'
        'class Rig:\n    """A rig."""\n\n    def solve(self): ...\n    def _own(self): ...'
    )
    assert prints(source) == [2]
    assert undocumented(source) == ["Rig.solve", "public"]


def test_there_is_source_to_look_at() -> None:
    assert len(MODULES) > 10


@pytest.mark.parametrize(
    "path", [path for path in MODULES if not relative(path).startswith(NEAR_PEOPLE)], ids=relative
)
def test_names_carry_si_units_away_from_people(path: Path) -> None:
    assert trade_units_in_names(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "path", [path for path in MODULES if not relative(path).startswith("cli/")], ids=relative
)
def test_only_the_command_line_prints(path: Path) -> None:
    assert prints(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_what_is_public_is_documented(path: Path) -> None:
    assert undocumented(path.read_text(encoding="utf-8")) == []
