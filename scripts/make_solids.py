"""Write the small model files that the tests of the take-off read, into ``tests/data/solids``.

    python scripts/make_solids.py

They are committed; this script is run by hand when a figure in :mod:`solid_files.figures` changes.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from solid_files import ifc, meshes, step

FOLDER = Path(__file__).resolve().parent.parent / "tests" / "data" / "solids"
WRITERS: Mapping[str, Callable[[Path], None]] = {
    "block.step": step.write_block,
    "skid.step": step.write_skid,
    "block.ifc": ifc.write_block,
    "skid.ifc": ifc.write_skid,
    "block.stl": meshes.write_stl,
    "block.obj": meshes.write_obj,
    "block.ply": meshes.write_ply,
    "block.glb": meshes.write_glb,
}


def main() -> int:
    """Write every file."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, write in WRITERS.items():
        write(FOLDER / name)
        print(f"wrote {FOLDER / name}, {(FOLDER / name).stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
