"""The forms that the kernel runs in.

All run the same functions on the same numbers and give the same digits: ``interpreted`` by Python itself,
``jit`` compiled on this machine once and kept in a cache, ``ahead-of-time`` from a library that was built before.
"""

from __future__ import annotations

import ctypes
import importlib.util
import logging
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Protocol

from plumbhook.core.errors import PlumbhookError
from plumbhook.statics._arrays import Floats, Ints
from plumbhook.statics.kernel.at_rest import read_rest
from plumbhook.statics.kernel.levels import Target, here
from plumbhook.statics.kernel.rows import solve_rows
from plumbhook.statics.kernel.signature import ARRAYS, SCALARS

log = logging.getLogger("plumbhook.statics.kernel")

WIDTHS = (1, 8)
CACHE_VARIABLE = "PLUMBHOOK_KERNEL_CACHE"
_TRANSLATION_LIMIT_S = 600.0


class KernelBuildError(PlumbhookError):
    """The kernel could not be compiled; it still runs interpreted."""


Call = Callable[[tuple[int, ...], float], None]


class Form(Protocol):
    """A form of the kernel.

    Attributes:
        name: ``interpreted``, ``jit`` or ``ahead-of-time``.
    """

    name: str

    def bound(self, arrays: Mapping[str, Floats | Ints]) -> Call:
        """``solve_rows`` with arrays by name, which hold the results after each call.

        Args:
            arrays: flat, contiguous, of float64 or int64, none sharing memory with another.

        Returns:
            A function of the integers that ``solve_rows`` begins with and the tolerance.
        """

    def read(self, wholes: Ints, given: Floats, found: Floats) -> None:
        """``read_rest``: its five counts with its integers behind them, what is given, and zeros for what is found."""


class Interpreted:
    """The kernel as plain Python."""

    name = "interpreted"

    def bound(self, arrays: Mapping[str, Floats | Ints]) -> Call:
        """See :class:`Form`; any number of lanes."""
        entry: Callable[..., None] = solve_rows

        def call(scalars: tuple[int, ...], tolerance: float) -> None:
            # A plain loop is several times faster over lists than over arrays.
            lists = {name: array.tolist() for name, array in arrays.items()}
            entry(*scalars, tolerance, *(lists[name] for name in ARRAYS))
            for name, array in arrays.items():
                if name.startswith("out_"):
                    array[:] = lists[name]

        return call

    def read(self, wholes: Ints, given: Floats, found: Floats) -> None:
        """See :class:`Form`."""
        numbers = found.tolist()
        bodies, elements, points, lines, hooks, *rest = wholes.tolist()
        read_rest(bodies, elements, points, lines, hooks, rest, given.tolist(), numbers)
        found[:] = numbers


class Compiled:
    """The kernel as machine code; other threads run while it works."""

    def __init__(self, name: str, addresses: Mapping[int, int], reading: int, owner: object) -> None:
        """Take functions by number of lanes and the one that reads; ``owner`` keeps them in memory."""
        self.name = name
        self._owner = owner
        pointer = ctypes.c_void_p
        prototype = ctypes.CFUNCTYPE(ctypes.c_int32, pointer, pointer, ctypes.c_double, pointer)
        self._functions = {lanes: prototype(address) for lanes, address in addresses.items()}
        self._reading = ctypes.CFUNCTYPE(ctypes.c_int32, *[pointer] * 4)(reading)
        self._spare = (ctypes.c_int64 * 2)()
        self._spare_at = ctypes.addressof(self._spare)

    def bound(self, arrays: Mapping[str, Floats | Ints]) -> Call:
        """See :class:`Form`; numbers of lanes as in :data:`WIDTHS`."""
        functions = self._functions
        spare = (ctypes.c_int64 * 2)()
        wholes = (ctypes.c_int64 * (len(SCALARS) - 2))()
        table = (ctypes.c_void_p * len(ARRAYS))(*(arrays[name].ctypes.data for name in ARRAYS))
        places = [ctypes.addressof(part) for part in (spare, wholes, table)]
        kept = (spare, table, arrays)

        def call(scalars: tuple[int, ...], tolerance: float, _kept: object = kept) -> None:
            wholes[:] = list(scalars[1:])
            functions[scalars[0]](places[0], places[1], tolerance, places[2])

        return call

    def read(self, wholes: Ints, given: Floats, found: Floats) -> None:
        """See :class:`Form`."""
        self._reading(self._spare_at, wholes.ctypes.data, given.ctypes.data, found.ctypes.data)


_READING = "plumbhook_statics_at_rest"


def _symbol(lanes: int) -> str:
    return f"plumbhook_statics_{lanes}"


def cache_folders() -> Iterator[Path]:
    """Folders that compiled code is looked for and kept in, best first.

    The variable ``PLUMBHOOK_KERNEL_CACHE`` names one; else the environment that Plumbhook is installed in, else
    the user's own cache. Never a folder that others may write to.
    """
    named = os.environ.get(CACHE_VARIABLE)
    if named:
        yield Path(named)
        return
    if sys.prefix != sys.base_prefix:
        yield Path(sys.prefix) / "share" / "plumbhook"
    default = Path.home() / (".cache" if sys.platform != "win32" else "AppData/Local")
    yield Path(os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or default) / "plumbhook"


def _found(name: str) -> Path | None:
    shipped = Path(__file__).parent / "built"
    return next(
        (folder / name for folder in (shipped, *cache_folders()) if (folder / name).is_file()),
        None,
    )


def keep_file(name: str, code: bytes) -> Path | None:
    """Write compiled code into the first cache folder that can be written to; None if there is none."""
    for folder in cache_folders():
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=folder, delete=False) as file:
                file.write(code)
            Path(file.name).replace(folder / name)  # at once, for processes that start together
        except OSError as error:
            log.info("no compiled kernel can be kept in %s: %s", folder, error)
            continue
        return folder / name
    return None


def ahead_of_time() -> Form | None:
    """The form from a library built before, if there is one for this source and processor."""
    path = _found(here().library_name)
    if path is None:
        return None
    try:
        library = ctypes.CDLL(str(path))
        addresses = {
            name: ctypes.cast(getattr(library, name), ctypes.c_void_p).value or 0
            for name in (*map(_symbol, WIDTHS), _READING)
        }
    except (OSError, AttributeError) as error:
        log.warning("the compiled kernel %s cannot be loaded: %s", path, error)
        return None
    return _compiled("ahead-of-time", addresses.__getitem__, library)


def just_in_time(*, compile_now: bool) -> Form | None:
    """The form compiled on this machine: from the cache, or compiled now if that is allowed and possible.

    Compiling takes about half a minute, once; it is announced in the log.
    """
    if importlib.util.find_spec("llvmlite") is None:
        return None
    path = _found(here().file_name(".o"))
    if path is not None:
        return _from_object(path.read_bytes())
    if not compile_now or importlib.util.find_spec("numba") is None:
        return None
    log.warning("compiling the statics kernel for this machine, once; it takes about half a minute")
    try:
        code = object_of(translated(), here())
    except KernelBuildError as error:
        log.warning("%s", error)
        return None
    keep_file(here().file_name(".o"), code)
    return _from_object(code)


def _from_object(code: bytes) -> Form:
    loaded = import_module("plumbhook.statics.kernel.objects").Loaded(code)
    return _compiled("jit", loaded.address, loaded)


def _compiled(name: str, address: Callable[[str], int], owner: object) -> Form:
    """The form of functions whose addresses are told by name."""
    return Compiled(name, {lanes: address(_symbol(lanes)) for lanes in WIDTHS}, address(_READING), owner)


def translated() -> str:
    """LLVM text of the kernel, made by numba in a process of its own.

    Raises:
        KernelBuildError: with the reason, if numba is not there or its version cannot do it.
    """
    command = [sys.executable, "-m", "plumbhook.statics.kernel.translate"]
    environment = os.environ | {
        "NUMBA_OPT": "0",
        "PYTHONPATH": os.pathsep.join(part for part in sys.path if part),
    }
    try:
        done = subprocess.run(
            command, env=environment, capture_output=True, check=True, timeout=_TRANSLATION_LIMIT_S
        )
    except subprocess.CalledProcessError as error:
        last = error.stderr.decode(errors="replace").strip().splitlines()[-1:]
        raise KernelBuildError(
            f"The statics kernel could not be translated ({''.join(last)}); it runs interpreted."
        ) from error
    except (OSError, subprocess.TimeoutExpired) as error:
        raise KernelBuildError(
            f"The statics kernel could not be compiled ({error}); it runs interpreted."
        ) from error
    return done.stdout.decode()


def object_of(text: str, target: Target) -> bytes:
    """Object file of the translated kernel for a system and processor.

    Raises:
        KernelBuildError: with the reason, if the compiler does not take the text.
    """
    try:
        code: bytes = import_module("plumbhook.statics.kernel.objects").object_code(text, target)
    except (ImportError, RuntimeError) as error:
        raise KernelBuildError(
            f"The statics kernel could not be compiled ({error}); it runs interpreted."
        ) from error
    return code


@cache
def _ready() -> Form:
    return ahead_of_time() or just_in_time(compile_now=False) or Interpreted()


@cache
def _compiled_now() -> Form:
    ready = _ready()
    if ready.name != "interpreted":
        return ready
    return just_in_time(compile_now=True) or ready


def chosen_form(*, worth_compiling: bool = False) -> Form:
    """The fastest form at hand; ``worth_compiling`` allows to wait once for a compile (told in the log)."""
    return _compiled_now() if worth_compiling else _ready()


def kernel_form() -> str:
    """Form that the kernel runs in now: ``interpreted``, ``jit`` or ``ahead-of-time``."""
    return chosen_form().name
