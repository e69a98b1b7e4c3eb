"""Results that take long, kept in the user's cache folder by the hash of what they were made from."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from plumbhook.cli.files import write_atomically


def cache_folder() -> Path:
    """Folder for what can be made again: ``XDG_CACHE_HOME`` where it is set, else ``.cache`` of the user."""
    own = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(own) if own else Path.home() / ".cache") / "plumbhook"


def cache_path(kind: str, *parts: object) -> Path:
    """File for a result: its name is the hash of everything that decides it."""
    name = hashlib.sha256("\n".join(str(part) for part in parts).encode()).hexdigest()
    return cache_folder() / kind / f"{name}.json"


def read_cached(path: Path) -> str | None:
    """Text of a cached result, None where there is none or it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def keep(path: Path, text: str) -> bool:
    """Keep a result; whether the folder let us. A cache that cannot be written costs time and nothing else."""
    try:
        write_atomically(path, text.encode())
    except OSError:
        return False
    return True
