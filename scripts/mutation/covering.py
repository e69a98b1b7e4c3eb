"""Which test files notice a module: those that import it, directly, through a helper or through other modules."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

# Where the tests of the layers under mutation are; the rest of the suite would notice more, in far more time.
TEST_FILES = (
    "tests/checks/test_*.py",
    "tests/beam_column/test_*.py",
    "tests/statics/test_statics_verification.py",
    "tests/planning/test_check_*.py",
    "tests/planning/test_strut_of_pieces.py",
    "tests/planning/test_tolerance_checks.py",
    "tests/planning/test_capacity_chart.py",
)
# Whole lifts: thorough and slow, so they come last.
SLOW = "tests/planning/"
# The one file that runs every builder of a check; only the builders concerned are chosen from it.
EVERY_BUILDER = "tests/checks/test_checks_all_builders.py"


@dataclass(frozen=True)
class Covering:
    """Tests of a module.

    Attributes:
        direct: test files that import the module, or whose published cases call it.
        helped: test files whose helpers import it.
        builders: builders of checks that the module defines or that use it.
        far: every other test file that reaches it through the package.
    """

    direct: tuple[str, ...]
    helped: tuple[str, ...]
    builders: tuple[str, ...]
    far: tuple[str, ...]


class Tree:
    """The imports of a checkout."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._modules = {name_of(root, path): path for path in (root / "src").rglob("*.py")}
        self._imports = {name: self._imported(path) for name, path in self._modules.items()}

    def covering(self, module: str) -> Covering:
        """Tests of one module, the closest first.

        Args:
            module: dotted name.

        Returns:
            The test files as paths below the root.
        """
        near, helped_files, far = [], [], []
        users = self._users(module)
        package, _, last = module.rpartition(".")
        # A private module is tested through its package.
        wanted = {module, package} if last.startswith("_") else {module}
        for pattern in TEST_FILES:
            for path in sorted(self._root.glob(pattern)):
                name = path.relative_to(self._root).as_posix()
                direct, helped = self._of_test(path)
                if name == EVERY_BUILDER:
                    continue
                if name.startswith(SLOW):
                    far += [name] if users & (direct | helped) else []
                elif wanted & direct or (module in helped and "verification" in name):
                    near.append(name)
                elif module in helped:
                    helped_files.append(name)
                elif users & (direct | helped):
                    far.append(name)
        builders = sorted(
            b
            for user in users
            if user.startswith("plumbhook.checks.")
            for b in _builders(self._modules[user])
        )
        return Covering(tuple(near), tuple(helped_files), tuple(builders), tuple(far))

    def _users(self, module: str) -> set[str]:
        """The module and every module of the package that reaches it."""
        users, grown = {module}, True
        while grown:
            more = {
                name
                for name, imports in self._imports.items()
                if imports & users and "verification" not in name
            }
            grown = bool(more - users)
            users |= more
        return {user for user in users if user.split(".")[1] in {"checks", "statics", "planning"}}

    def _of_test(self, path: Path) -> tuple[set[str], set[str]]:
        direct = self._imported(path)
        # What a package offers under its own name is imported from its modules.
        for package in [name for name in direct if self._modules[name].name == "__init__.py"]:
            direct |= self._imports[package]
        helped: set[str] = set()
        waiting, seen = [path], {path}
        # Published cases are data that a test file runs: the modules that they call are called by that file.
        cases = {name for name in direct if "verification" in name}
        while cases:
            called = self._imports[cases.pop()]
            cases |= {name for name in called if "verification" in name}
            helped |= called
        while waiting:
            for name in _plain_imports(waiting.pop()):
                helper = path.parent / f"{name}.py"
                if helper.exists() and helper not in seen:
                    seen.add(helper)
                    waiting.append(helper)
                    helped |= self._imported(helper)
        return direct, helped

    def _imported(self, path: Path) -> set[str]:
        found: set[str] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
                found.update(name for name in names if name in self._modules)
            elif isinstance(node, ast.Import):
                found.update(alias.name for alias in node.names if alias.name in self._modules)
        return found


def name_of(root: Path, path: Path) -> str:
    """Dotted name of a source file."""
    parts = path.relative_to(root / "src").with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def _plain_imports(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(
        node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module
    )


@cache
def _builders(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(
        node.name
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
        and not node.name.startswith("_")
        and isinstance(node.returns, ast.Name)
        and node.returns.id == "Check"
    )
