"""Build the kernel ahead of time: ``python -m plumbhook.statics.kernel.build [FOLDER]``.

Needs numba to translate and a linker: the system's ``cc``, or that of the package ``ziglang``. The library goes
into the folder given, else into the environment's cache, where it is found from then on. It depends on nothing but
itself; users of it need neither.
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from plumbhook.statics.kernel.forms import KernelBuildError, cache_folders, keep_file, object_of, translated
from plumbhook.statics.kernel.levels import level, levels_of_machine, library_name


def linker() -> list[str]:
    """Command that links a shared library.

    Raises:
        KernelBuildError: if there is none.
    """
    if importlib.util.find_spec("ziglang") is not None:
        return [sys.executable, "-m", "ziglang", "cc"]
    compiler = shutil.which("cc")
    if compiler is None:
        raise KernelBuildError(
            "No linker was found; install the package ziglang (group 'kernel') or a C compiler."
        )
    return [compiler]


def linked(code: bytes) -> bytes:
    """Shared library of an object file.

    Raises:
        KernelBuildError: with the linker's own words.
    """
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "statics.o", Path(folder) / library_name()
        source.write_bytes(code)
        try:
            subprocess.run(
                [*linker(), "-shared", "-o", str(target), str(source)], check=True, capture_output=True
            )
        except subprocess.CalledProcessError as error:
            words = error.stderr.decode(errors="replace").strip()
            raise KernelBuildError(f"The kernel could not be linked: {words}") from error
        return target.read_bytes()


def build(folder: Path | None = None) -> list[Path]:
    """Compile and link the kernel; returns where the libraries are.

    Args:
        folder: where to put one for every level of this kind of processor; None puts one for this processor into
            the cache of the environment.

    Raises:
        KernelBuildError: with the reason.
    """
    text = translated()
    if folder is None:
        path = keep_file(library_name(), linked(object_of(text, level())))
        if path is None:
            raise KernelBuildError(f"No folder can be written to: {', '.join(map(str, cache_folders()))}.")
        return [path]
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for each in levels_of_machine():
        path = folder / library_name(each)
        path.write_bytes(linked(object_of(text, each)))
        paths.append(path)
    return paths


if __name__ == "__main__":
    try:
        built = build(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
    except KernelBuildError as error:
        sys.exit(str(error))
    sys.stdout.writelines(f"{path}\n" for path in built)
