"""Build the kernel ahead of time: ``python -m plumbhook.statics.kernel.build [FOLDER [--every]]``.

Needs numba to translate and a linker: the system's ``cc``, or that of the package ``ziglang``, which links for other
systems too. The library goes into the folder given, else into the environment's cache, where it is found from then
on. It depends on nothing but itself; users of it need neither.
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from plumbhook.statics.kernel.forms import KernelBuildError, cache_folders, keep_file, object_of, translated
from plumbhook.statics.kernel.levels import TARGETS, Target, here, targets_here

# The only function that the machine code wants of a C library is memset. Elsewhere it is there in every process; on
# Windows it would have to be linked in, with much else, so it gets this one and an entry that does nothing.
_WINDOWS_PART = """
void *memset(void *at, int byte, __SIZE_TYPE__ count) {
    for (__SIZE_TYPE__ n = 0; n < count; n++) ((volatile unsigned char *)at)[n] = (unsigned char)byte;
    return at;
}
int DllMainCRTStartup(void *module, unsigned reason, void *spare) { return 1; }
"""


def linker(target: Target) -> list[str]:
    """Command that links a shared library for a system.

    Raises:
        KernelBuildError: if there is none.
    """
    is_here = (target.system, target.machine) == (here().system, here().machine)
    if importlib.util.find_spec("ziglang") is not None:
        given = [] if is_here else ["-target", target.linked_for]
        return [sys.executable, "-m", "ziglang", "cc", *given]
    compiler = shutil.which("cc")
    if compiler is None or not is_here:
        raise KernelBuildError(
            f"No linker for {target.system} was found; install the package ziglang (group 'kernel')"
            f"{' or a C compiler' if is_here else ''}."
        )
    return [compiler]


def linked(code: bytes, target: Target) -> bytes:
    """Shared library of an object file.

    Raises:
        KernelBuildError: with the linker's own words.
    """
    command = [*linker(target), "-shared", "-o", target.library_name, "statics.o"]
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "statics.o").write_bytes(code)
        if target.system == "win32":
            (Path(folder) / "windows.c").write_text(_WINDOWS_PART, encoding="utf-8")
            command += ["windows.c", "-O2", "-fno-builtin", "-nostdlib"]
        elif target.system == "linux":
            command.append("-nostdlib")
        try:
            subprocess.run(command, check=True, capture_output=True, cwd=folder)
        except subprocess.CalledProcessError as error:
            words = error.stderr.decode(errors="replace").strip()
            raise KernelBuildError(
                f"The kernel could not be linked for {target.system} on {target.machine}: {words}"
            ) from error
        return (Path(folder) / target.library_name).read_bytes()


def build(folder: Path | None = None, targets: Sequence[Target] | None = None) -> list[Path]:
    """Compile and link the kernel; returns where the libraries are.

    Args:
        folder: where to put them; None puts one for this processor into the cache of the environment.
        targets: what to put into the folder; None for every level of this system and kind of processor.

    Raises:
        KernelBuildError: with the reason.
    """
    text = translated()
    if folder is None:
        path = keep_file(here().library_name, linked(object_of(text, here()), here()))
        if path is None:
            raise KernelBuildError(f"No folder can be written to: {', '.join(map(str, cache_folders()))}.")
        return [path]
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for target in targets_here() if targets is None else targets:
        path = folder / target.library_name
        path.write_bytes(linked(object_of(text, target), target))
        paths.append(path)
    return paths


if __name__ == "__main__":
    given = [argument for argument in sys.argv[1:] if argument != "--every"]
    try:
        built = build(Path(given[0]) if given else None, TARGETS if "--every" in sys.argv[1:] else None)
    except KernelBuildError as error:
        sys.exit(str(error))
    sys.stdout.writelines(f"{path}\n" for path in built)
