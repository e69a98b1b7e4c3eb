"""What machine code is made for: systems, processors and levels of processors, and names of the files it is kept in.

Code for a level runs on every processor of that level or above. The target and a digest of the kernel's source are
part of the file's name, so that a file of another source, system or better processor is never loaded.
"""

from __future__ import annotations

import hashlib
import platform
import sys
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module
from pathlib import Path

# What numpy calls the instructions that the third level of x86-64 adds, as far as they are used here.
_V3 = ("AVX2", "FMA3")
_SOURCES = (
    "posture",
    "stiffness",
    "factor",
    "newton",
    "compliance",
    "rows",
    "at_rest",
    "signature",
    "translate",
    "objects",
)
_SYSTEMS = {
    # system: what the compiler, then the linker calls it; ending of a library
    "linux": ("unknown-linux-gnu", "linux-gnu.2.17", ".so"),
    "win32": ("w64-windows-gnu", "windows-gnu", ".dll"),
    "darwin": ("apple-macosx11.0.0", "macos.11.0", ".dylib"),
}


@dataclass(frozen=True, slots=True)
class Target:
    """A system and a kind of processor.

    Attributes:
        system: in the words of ``sys.platform``.
        machine: kind of processor by its common name.
        level: least processor of its kind: ``generic``, or ``v3`` of x86-64.
    """

    system: str
    machine: str
    level: str = "generic"

    @property
    def triple(self) -> str:
        """What the compiler calls the system."""
        arch = "arm64" if (self.system, self.machine) == ("darwin", "aarch64") else self.machine
        return f"{arch}-{_SYSTEMS[self.system][0]}"

    @property
    def linked_for(self) -> str:
        """What the linker of the package ``ziglang`` calls the system."""
        return f"{self.machine}-{_SYSTEMS[self.system][1]}"

    @property
    def cpu(self) -> str:
        """What the compiler calls the least processor."""
        if self.machine == "x86_64":
            return "x86-64-v3" if self.level == "v3" else "x86-64"
        return "apple-m1" if self.system == "darwin" else "generic"

    def file_name(self, ending: str) -> str:
        """Name of a file of machine code of the present source."""
        return f"statics-{digest()}-{self.system}-{self.machine}-{self.level}{ending}"

    @property
    def library_name(self) -> str:
        """Name of the library of the present source."""
        return self.file_name(_SYSTEMS.get(self.system, ("", "", ".so"))[2])


# Every target that a wheel can carry a library for.
TARGETS = (
    Target("linux", "x86_64"),
    Target("linux", "x86_64", "v3"),
    Target("linux", "aarch64"),
    Target("win32", "x86_64"),
    Target("win32", "x86_64", "v3"),
    Target("darwin", "aarch64"),
    Target("darwin", "x86_64"),
)


@cache
def here() -> Target:
    """Target of the running system, at the highest level of its processor that code is made for."""
    name = platform.machine().lower()
    target = Target(sys.platform, {"amd64": "x86_64", "arm64": "aarch64"}.get(name, name))
    return replace(target, level="v3") if target.machine == "x86_64" and _has_v3() else target


def _has_v3() -> bool:
    try:
        features = import_module("numpy._core._multiarray_umath").__cpu_features__
    except (ImportError, AttributeError):
        return False
    return all(features.get(name, False) for name in _V3)


def targets_here() -> tuple[Target, ...]:
    """Every level that code is made for on this system and kind of processor."""
    plain = replace(here(), level="generic")
    return (plain, replace(plain, level="v3")) if plain.machine == "x86_64" else (plain,)


@cache
def digest() -> str:
    """Digest of everything that the digits of the kernel depend on."""
    folder = Path(__file__).parent
    seen = hashlib.sha256()
    for name in _SOURCES:
        seen.update((folder / f"{name}.py").read_bytes())
    return seen.hexdigest()[:16]
