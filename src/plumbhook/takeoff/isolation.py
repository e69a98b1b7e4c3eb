"""Read a foreign file in a process of its own that can break down, hang or swell without harm.

The process works on a copy in a folder that is removed whatever happens, under limits of time, processor,
memory and output; it hands back one JSON file. Its endings become one sentence each.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import BinaryIO

from pydantic import TypeAdapter, ValidationError

from plumbhook.core.errors import InputError
from plumbhook.model.solids import SolidModel
from plumbhook.takeoff.formats import HEAD_BYTES, TAIL_BYTES, Format, format_of, hold_end
from plumbhook.takeoff.limits import RESULT_NAME, Limits, megabytes

_READER = "plumbhook.takeoff.reader_process"
_COPY_BYTES = 1 << 20
_KEPT_VARIABLES = ("PATH", "SYSTEMROOT", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "LANG", "LC_ALL")
_MODEL: TypeAdapter[SolidModel] = TypeAdapter(SolidModel)


def read_apart(path: Path, unit_m: float | None, unit_word: str, limits: Limits) -> SolidModel:
    """Read one model file in a process of its own.

    Args:
        path: the file.
        unit_m: size of the unit in metres for formats without one; None where the user gave none.
        unit_word: the unit as the user wrote it.
        limits: bounds of the reading.

    Raises:
        InputError: one sentence: the file is no model, is too large, needs a package that is not installed, or
            broke the limits. Nothing is left behind.
    """
    source = str(path)
    with tempfile.TemporaryDirectory(prefix="plumbhook-takeoff-", ignore_cleanup_errors=True) as folder:
        place = Path(folder)
        copy, kind = _copied(path, place, limits)
        _hold_unit(kind, unit_m, source)
        order = {
            "file": copy.name,
            "format": kind.name,
            "name": path.stem,
            "unit_m": unit_m,
            "unit_word": unit_word,
            "time_s": limits.time_s,
            "memory_bytes": limits.memory_bytes,
            "result_bytes": limits.result_bytes,
        }
        code = _run(order, place, limits.time_s, source)
        return _result(place / RESULT_NAME, code, kind, limits, source)


def _hold_unit(kind: Format, unit_m: float | None, source: str) -> None:
    if kind.has_unit and unit_m is not None:
        raise InputError.one(
            f"{kind.word} has its own unit of length; leave --unit out", field="--unit", source=source
        )
    if not kind.has_unit and unit_m is None:
        raise InputError.one(
            f"{kind.word} has no unit of length; say in which it was drawn, for instance --unit mm",
            field="--unit",
            source=source,
        )


def _copied(path: Path, folder: Path, limits: Limits) -> tuple[Path, Format]:
    """A copy under a name of our own, no longer than the limit, and its format."""
    source = str(path)
    try:
        if path.is_dir():
            raise InputError.one("this is a folder; name a file in it", source=source)
        if not path.exists():
            raise InputError.one("there is no such file; check the name and the folder", source=source)
        if not path.is_file():
            raise InputError.one("this is not an ordinary file; name a model file", source=source)
        with path.open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            if size > limits.file_bytes:
                raise _too_large(size, limits, source)
            kind = format_of(path.name, file.read(HEAD_BYTES), size)
            file.seek(max(0, size - TAIL_BYTES))
            hold_end(kind, file.read(TAIL_BYTES), source)
            file.seek(0)
            copy = folder / f"model{kind.value.suffixes[0]}"
            _copy(file, copy, limits, source)
    except ValueError:
        raise InputError.one("the name of the file is not possible", source=source) from None
    except OSError as error:
        raise InputError.one(
            f"the file cannot be read: {error.strerror or error}; check its rights", source=source
        ) from None
    return copy, kind


def _copy(file: BinaryIO, copy: Path, limits: Limits, source: str) -> None:
    left = limits.file_bytes
    with copy.open("wb") as target:
        while block := file.read(_COPY_BYTES):
            left -= len(block)
            if left < 0:
                raise _too_large(limits.file_bytes - left, limits, source)
            target.write(block)


def _too_large(size: int, limits: Limits, source: str) -> InputError:
    return InputError.one(
        f"the file has {megabytes(size)} and at most {megabytes(limits.file_bytes)} are read; export it coarser, "
        "or raise the limit with --largest-file",
        source=source,
    )


def _run(order: Mapping[str, object], folder: Path, time_s: float, source: str) -> int:
    """Run the reading process to its end; its exit code, negative for a signal."""
    environment = {name: os.environ[name] for name in _KEPT_VARIABLES if name in os.environ}
    environment |= dict.fromkeys(("HOME", "TMPDIR", "TEMP", "TMP"), str(folder))
    environment |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    environment["PYTHONPATH"] = os.pathsep.join(entry for entry in sys.path if entry)
    process = subprocess.Popen(
        # No byte code is written: the limit on what the reader may write would cut it off, and leave it behind.
        [sys.executable, "-B", "-P", "-s", "-m", _READER],
        cwd=folder,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        process.communicate(json.dumps(order).encode(), timeout=time_s)
    except subprocess.TimeoutExpired:
        raise _too_slow(time_s, source) from None
    finally:
        _end(process)
    return process.returncode


def _too_slow(time_s: float, source: str) -> InputError:
    return InputError.one(
        f"reading took longer than {time_s:g} s and was stopped; export the model simpler or in parts, or raise "
        "the limit with --longest",
        source=source,
    )


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the process and all that it started."""
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    elif process.poll() is None:
        process.kill()
    process.wait()


def _result(path: Path, code: int, kind: Format, limits: Limits, source: str) -> SolidModel:
    if code == -getattr(signal, "SIGXCPU", signal.SIGTERM):
        raise _too_slow(limits.time_s, source)
    answer = None
    if code == 0 and path.is_file() and path.stat().st_size <= limits.result_bytes:
        with contextlib.suppress(ValueError, RecursionError):
            answer = json.loads(path.read_bytes())
    if not isinstance(answer, dict):
        raise InputError.one(
            f"the reader of {kind.word} broke down on this file (ending {code}), or its result was beyond "
            f"{megabytes(limits.result_bytes)}; open the model in the program that made it, check it and export "
            "it again, in parts if it is large",
            source=source,
        )
    if "refused" in answer:
        raise InputError.one(str(answer["refused"]), source=source)
    try:
        return _MODEL.validate_python(answer["model"])
    except (KeyError, ValidationError):
        raise InputError.one(
            f"the reader of {kind.word} gave no usable result; check the model and export it again",
            source=source,
        ) from None
