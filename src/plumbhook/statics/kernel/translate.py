"""The kernel as LLVM text, by the front end of numba: needs the extra ``fast`` and is only run to compile.

Run as ``python -m plumbhook.statics.kernel.translate``, which writes the text to standard output. A process of its
own because the optimiser of numba must be off: what it makes of a function by itself is harder to optimise as a
whole. The loops become one function per number of lanes, with that number as a constant, so that the innermost
loops turn into whole registers.
"""

from __future__ import annotations

import math
import os
import re
import sys
from types import FunctionType
from typing import Any

from plumbhook.statics.kernel import at_rest, compliance, factor, newton, posture, rows, stiffness
from plumbhook.statics.kernel.signature import ARGUMENTS, ARRAYS, INTEGERS, SCALARS

WIDTHS = (1, 8)
MODULES = (posture, stiffness, factor, newton, compliance, rows, at_rest)
READING = "plumbhook_statics_at_rest"
# What ``read_rest`` takes: counts, then arrays.
COUNTS = ("n_bodies", "n_elements", "n_points", "n_lines", "n_hooks")
# One entry for both functions, so that the text of the kernel is one module: which of the two, what only ``read_rest``
# takes, what ``solve_rows`` takes.
_OWN = ("reading", "n_points", "n_lines", "wholes", "given", "found_at_rest")


def symbol(lanes: int) -> str:
    """Name of the compiled function for a number of lanes.

    It takes pointers to sixteen spare bytes, to the integers of ``solve_rows`` after ``lanes`` and, behind the
    tolerance, to the table of the arrays.
    """
    return f"plumbhook_statics_{lanes}"


def compiled_functions() -> dict[str, Any]:
    """Namespace of the kernel in which every function is one of numba's, still without a type."""
    import numba  # noqa: PLC0415 - an extra, and slow to import

    names: dict[str, Any] = {"math": math}
    for module in MODULES:
        for name, value in vars(module).items():
            if isinstance(value, (int, float)):
                names[name] = value
            elif isinstance(value, FunctionType) and value.__module__ == module.__name__:
                # No fast-math: the digits must be those of the interpreted form.
                names[name] = numba.njit(error_model="numpy", fastmath=False)(
                    FunctionType(value.__code__, names, name)
                )
    return names


def translated() -> str:
    """LLVM text of the whole kernel as numba gives it."""
    import numba  # noqa: PLC0415

    types: Any = numba.types
    whole, real = types.int64, types.float64
    signature = types.void(
        *[whole] * 3,
        *[types.CPointer(own) for own in (whole, real, real)],
        *[whole] * (len(SCALARS) - 1),
        real,
        *[types.CPointer(whole if name in INTEGERS else real) for name in ARRAYS],
    )
    names = compiled_functions()
    # A function of a hundred named arguments.
    exec(
        f"def entry({', '.join((*_OWN, *ARGUMENTS))}):\n"
        "    if reading != 0:\n"
        f"        read_rest({', '.join(COUNTS)}, wholes, given, found_at_rest)\n"
        "    else:\n"
        f"        solve_rows({', '.join(ARGUMENTS)})\n",
        names,
    )
    return str(numba.cfunc(signature, error_model="numpy")(names["entry"]).inspect_llvm())


def freed(text: str) -> str:
    """The text without what ties it to Python: a module that needs nothing but its arguments.

    Every pointer is marked as sharing no memory with any other, which ``solve_rows`` demands of its caller.
    """
    head, *functions = re.split(r"(?m)^(?=define )", text)
    parts, between = [], []
    entry = ""
    for function in functions:
        end = function.index("\n}") + 3
        first, body = function[:end].split("\n", 1)
        between.append(function[end:])
        if "@cfunc." in first:
            continue  # the wrapper that would report errors to Python
        first = re.sub(r"ptr (?:noalias )?(?:captures\(none\) )?%", "ptr noalias captures(none) %", first)
        if not entry:
            entry = re.search(r"@[\w.$]+", first)[0]  # type: ignore[index]
            first = first.replace("define ", "define internal ", 1)
        first = first.replace("define linkonce_odr", "define internal", 1)
        first = re.sub(r"\)([^()]*)\{$", r") alwaysinline \1{", first)
        parts.append(first + "\n" + body)
    text = head + "".join(parts) + "".join(between)
    text = text.replace("common global", "internal global").replace("linkonce global", "internal global")
    text = re.sub(r"(?m)^target (?:triple|datalayout).*$", "", text)
    text = text.replace("@sqrt(", "@llvm.sqrt.f64(")
    return text + "".join(_specialised(entry, lanes) for lanes in WIDTHS) + _reading(entry)


def _specialised(entry: str, lanes: int) -> str:
    """A function that calls the kernel with a constant number of lanes."""
    wholes = SCALARS[1:-1]
    own = ["i64 0", "i64 0", "i64 0", "ptr null", "ptr null", "ptr null"]
    loads, passed = [], ["ptr %spare", "ptr %spare.2", *own, f"i64 {lanes}"]
    for number, name in enumerate(wholes):
        loads += [
            f"%at.{name} = getelementptr i64, ptr %wholes, i64 {number}",
            f"%{name} = load i64, ptr %at.{name}",
        ]
        passed.append(f"i64 %{name}")
    passed.append("double %tolerance")
    for number, name in enumerate(ARRAYS):
        loads += [
            f"%at.{name} = getelementptr ptr, ptr %arrays, i64 {number}",
            f"%{name} = load ptr, ptr %at.{name}",
        ]
        passed.append(f"ptr %{name}")
    return "\n".join(
        (
            "",
            f"define i32 @{symbol(lanes)}(ptr %spare, ptr %wholes, double %tolerance, ptr %arrays) {{",
            "%spare.2 = getelementptr i64, ptr %spare, i64 1",
            *loads,
            f"%done = call i32 {entry}({', '.join(passed)})",
            "ret i32 %done",
            "}",
            "",
        )
    )


def _reading(entry: str) -> str:
    """A function that calls ``read_rest``.

    It takes pointers to sixteen spare bytes, to the counts with the integers behind them, to what is given and to what
    is found.
    """
    loads = []
    for number, name in enumerate(COUNTS):
        loads += [
            f"%at.{name} = getelementptr i64, ptr %counts, i64 {number}",
            f"%{name} = load i64, ptr %at.{name}",
        ]
    known = {name: f"i64 %{name}" for name in COUNTS}
    scalars = [known.get(name, "i64 0") for name in SCALARS[:-1]]
    passed = [
        *("ptr %spare", "ptr %spare.2", "i64 1", known["n_points"], known["n_lines"]),
        *("ptr %wholes", "ptr %given", "ptr %found", *scalars, "double 0.0", *["ptr null"] * len(ARRAYS)),
    ]
    return "\n".join(
        (
            "",
            f"define i32 @{READING}(ptr %spare, ptr %counts, ptr %given, ptr %found) {{",
            "%spare.2 = getelementptr i64, ptr %spare, i64 1",
            f"%wholes = getelementptr i64, ptr %counts, i64 {len(COUNTS)}",
            *loads,
            f"%done = call i32 {entry}({', '.join(passed)})",
            "ret i32 %done",
            "}",
            "",
        )
    )


if __name__ == "__main__":
    os.environ["NUMBA_OPT"] = "0"
    sys.stdout.write(freed(translated()))
