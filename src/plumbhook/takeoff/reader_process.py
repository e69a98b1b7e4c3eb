"""The process that reads one foreign file: limits first, then the reader of its format, then one JSON file.

Started by :mod:`plumbhook.takeoff.isolation` in a folder of its own; never imported by the rest.
"""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.limits import RESULT_NAME, megabytes
from plumbhook.takeoff.reading import FileRefusedError, Order, reader_of


def main() -> int:
    """Carry out the order on standard input; 0 when an answer was written, whether model or refusal."""
    order = json.loads(sys.stdin.buffer.read())
    _hold_limits(order)
    answer = _answer(order)
    Path(RESULT_NAME).write_text(json.dumps(answer, allow_nan=False), encoding="utf-8")
    return 0


def _answer(order: Mapping[str, Any]) -> dict[str, Any]:
    kind = Format[order["format"]]
    try:
        read = reader_of(kind)
        model = read(Order(Path(order["file"]), order["name"], order["unit_m"], order["unit_word"]))
        return {"model": dataclasses.asdict(model)}
    except FileRefusedError as refusal:
        return {"refused": str(refusal)}
    except MemoryError:
        return {
            "refused": f"reading needs more than {megabytes(order['memory_bytes'])} of memory and was stopped; export "
            "the model simpler or in parts, or raise the limit with --most-memory"
        }
    except RecursionError:
        return {"refused": f"the {kind.word} is nested too deeply; export it again"}
    except Exception as error:  # noqa: BLE001 - whatever a foreign file does to a reader ends in one sentence
        return {
            "refused": f"the reader of {kind.word} failed on this file, which may be damaged ({type(error).__name__}: "
            f"{' '.join(str(error).split())[:160]}); check the model and export it again"
        }


def _hold_limits(order: Mapping[str, Any]) -> None:
    try:
        import resource  # noqa: PLC0415 - not there on Windows
    except ImportError:
        return
    seconds = int(order["time_s"]) + 1
    for what, most in (
        (resource.RLIMIT_AS, int(order["memory_bytes"])),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_FSIZE, int(order["result_bytes"])),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_NOFILE, 64),
    ):
        _, hard = resource.getrlimit(what)
        allowed = most if hard == resource.RLIM_INFINITY else min(most, hard)
        # Past the softer limit of the processor the process gets a signal of its own; past the harder it is killed.
        above = allowed + 1 if what == resource.RLIMIT_CPU and hard == resource.RLIM_INFINITY else allowed
        resource.setrlimit(what, (allowed, above))


if __name__ == "__main__":
    sys.exit(main())
