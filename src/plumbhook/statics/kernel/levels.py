"""Levels of processors that machine code is made for, and names of the files it is kept in.

Code for a level runs on every processor of that level or above. The level and a digest of the kernel's source are
part of the file's name, so that a file of another source or for a better processor is never loaded.
"""

from __future__ import annotations

import hashlib
import platform
import sys
from functools import cache
from importlib import import_module
from pathlib import Path

# What numpy calls the instructions that the third level of x86-64 adds, as far as they are used here.
_V3 = ("AVX2", "FMA3")
_SOURCES = ("posture", "stiffness", "factor", "newton", "rows", "problem", "translate", "objects")


def machine() -> str:
    """Kind of processor by its common name."""
    name = platform.machine().lower()
    return {"amd64": "x86_64", "arm64": "aarch64"}.get(name, name)


@cache
def level() -> str:
    """Highest level of this processor that code is made for."""
    if machine() != "x86_64":
        return "generic"
    try:
        features = import_module("numpy._core._multiarray_umath").__cpu_features__
    except (ImportError, AttributeError):
        return "generic"
    return "v3" if all(features.get(name, False) for name in _V3) else "generic"


def levels_of_machine() -> tuple[str, ...]:
    """Every level that code is made for on this kind of processor."""
    return ("generic", "v3") if machine() == "x86_64" else ("generic",)


def llvm_cpu(of_level: str) -> str:
    """What the compiler calls the processor of a level."""
    if machine() == "x86_64":
        return "x86-64-v3" if of_level == "v3" else "x86-64"
    return "generic"


@cache
def digest() -> str:
    """Digest of everything that the digits of the kernel depend on."""
    folder = Path(__file__).parent
    seen = hashlib.sha256()
    for name in _SOURCES:
        seen.update((folder / f"{name}.py").read_bytes())
    return seen.hexdigest()[:16]


def file_name(suffix: str, of_level: str = "") -> str:
    """Name of the file for this source and system, and for this processor or another level."""
    return f"statics-{digest()}-{sys.platform}-{machine()}-{of_level or level()}{suffix}"


def library_name(of_level: str = "") -> str:
    """Name of the library for this source and system, and for this processor or another level."""
    return file_name({"win32": ".dll", "darwin": ".dylib"}.get(sys.platform, ".so"), of_level)
