"""Where the files that come with the program are."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def examples_dir() -> Path:
    """Folder of the example lifts: packaged with the program, or beside the source in a checkout.

    Raises:
        FileNotFoundError: neither is there; the installation is not complete.
    """
    packaged = Path(str(files("plumbhook"))) / "data" / "examples"
    checkout = Path(__file__).resolve().parents[3] / "examples"
    for folder in (packaged, checkout):
        if folder.is_dir():
            return folder
    raise FileNotFoundError("the example lifts are not installed; install plumbhook again")
