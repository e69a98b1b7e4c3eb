"""How much a file that somebody else made may cost before its reading is stopped."""

from __future__ import annotations

from dataclasses import dataclass

RESULT_NAME = "result.json"
_MIB = 1 << 20


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds of reading one model.

    Attributes:
        file_bytes: largest file; looked at before anything is read.
        time_s: longest reading, by the clock and by the processor.
        memory_bytes: most memory (address space) of the process that reads; not held on Windows.
        result_bytes: largest result that the process may hand back.
    """

    file_bytes: int = 200 * _MIB
    time_s: float = 120.0
    memory_bytes: int = 4096 * _MIB
    result_bytes: int = 64 * _MIB

    def __post_init__(self) -> None:
        if min(self.file_bytes, self.time_s, self.memory_bytes, self.result_bytes) <= 0:
            raise ValueError("limits are above zero")


def megabytes(size: int) -> str:
    """A size as people say it, e.g. ``200 MB``."""
    return f"{size / _MIB:.0f} MB" if size >= _MIB else f"{size / 1024:.0f} kB"
