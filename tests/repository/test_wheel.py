"""The wheel with the compiled kernel, as a user without a compiler gets it."""

import importlib.util
import json
import os
import shutil
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from tests.statics.rigs import KINDS, random_rig

from plumbhook.model.rig_graph import to_json_dict
from plumbhook.statics.kernel import build, levels

ROOT = Path(__file__).resolve().parents[2]
ENTRIES = {"plumbhook_statics_1", "plumbhook_statics_8"}
BUILD = "from hatchling.build import build_wheel; import sys; sys.stdout.write(build_wheel(sys.argv[1]))"
# Solves as a user's first process does, and tells the form, the seconds until the first answer, and the answers.
FIRST_PROCESS = """
import time
begun = time.perf_counter()
import json, sys
sys.modules["numba"] = sys.modules["llvmlite"] = None
from plumbhook.model.rig_graph import parse_rig_graphs
from plumbhook.statics import equilibrium_json, solve
from plumbhook.statics.kernel import kernel_form
import plumbhook
rigs = parse_rig_graphs(json.load(open(sys.argv[1], encoding="utf-8")))
first = equilibrium_json(rigs[0], solve(rigs[0]))
seconds = time.perf_counter() - begun
answers = [first, *(equilibrium_json(rig, solve(rig)) for rig in rigs[1:])]
json.dump({"form": kernel_form(), "file": plumbhook.__file__, "first_s": seconds, "answers": answers}, sys.stdout)
"""

needs_tools = pytest.mark.skipif(
    any(importlib.util.find_spec(name) is None for name in ("numba", "hatchling")),
    reason="numba and hatchling are not both installed: install the groups kernel and build",
)
needs_linker = pytest.mark.skipif(
    importlib.util.find_spec("ziglang") is None and shutil.which("cc") is None,
    reason="there is no linker: install the package ziglang (group kernel) or a C compiler",
)
needs_linker_for_others = pytest.mark.skipif(
    importlib.util.find_spec("ziglang") is None,
    reason="there is no linker for other systems: install the package ziglang (group kernel)",
)


def answer(folder: Path, rigs: Path, environment: dict[str, str]) -> dict:
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PROCESS, str(rigs)],
        env={**os.environ, **environment},
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout)


@pytest.mark.slow
@needs_tools
@needs_linker
def test_a_user_of_the_wheel_has_the_compiled_kernel_and_the_digits_of_here(tmp_path, compiled_here, capsys):
    done = subprocess.run(
        [sys.executable, "-c", BUILD, str(tmp_path)],
        cwd=ROOT,
        env={**os.environ, "PLUMBHOOK_BUILD_KERNEL": "1", "PYTHONPATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    wheel = tmp_path / done.stdout.splitlines()[-1]
    assert "-py3-none-any" not in wheel.name
    target = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(target)  # what an installer does with a wheel that has no scripts to make
    built = target / "plumbhook" / "statics" / "kernel" / "built"
    assert {path.name for path in built.iterdir()} == {each.library_name for each in levels.targets_here()}

    rigs = tmp_path / "rigs.json"
    rigs.write_text(json.dumps([to_json_dict(random_rig(kind, 5)) for kind in "c" + KINDS]), encoding="utf-8")
    empty = {"PLUMBHOOK_KERNEL_CACHE": str(tmp_path / "nothing")}
    there = answer(tmp_path, rigs, {**empty, "PYTHONPATH": str(target)})
    assert Path(there["file"]).is_relative_to(target)
    assert there["form"] == "ahead-of-time"
    here = answer(
        tmp_path, rigs, {"PLUMBHOOK_KERNEL_CACHE": str(compiled_here), "PYTHONPATH": str(ROOT / "src")}
    )
    assert here["form"] == "ahead-of-time"
    assert there["answers"] == here["answers"]
    without = answer(tmp_path, rigs, {**empty, "PYTHONPATH": str(ROOT / "src")})
    assert without["form"] == "interpreted"
    with capsys.disabled():
        sys.stdout.write(
            f"\nfirst answer of a fresh process, strut over two struts: {there['first_s']:.2f} s with the compiled "
            f"kernel of the wheel, {without['first_s']:.2f} s without one\n"
        )


@pytest.fixture(scope="module")
def compiled_here(tmp_path_factory):
    """Folder with the kernel compiled for this system from the source as it is."""
    folder = tmp_path_factory.mktemp("kernel")
    build.build(folder)
    return folder


@pytest.mark.slow
@needs_tools
@needs_linker_for_others
def test_libraries_for_other_systems_have_the_entries_of_the_kernel(tmp_path):
    paths = build.build(tmp_path, levels.TARGETS)
    assert [path.name for path in paths] == [target.library_name for target in levels.TARGETS]
    for path, target in zip(paths, levels.TARGETS, strict=True):
        machine, names = SYMBOLS[target.system](path.read_bytes())
        assert machine == target.machine, path.name
        assert names >= ENTRIES, path.name


def of_elf(code: bytes) -> tuple[str, set[str]]:
    """Processor and exported names of a library of Linux (System V ABI, chapters 4 and 5: 64 bits)."""
    assert code[:6] == b"\x7fELF\x02\x01"
    machine = {62: "x86_64", 183: "aarch64"}[struct.unpack_from("<H", code, 18)[0]]
    start, size, count = *struct.unpack_from("<Q", code, 40), *struct.unpack_from("<HH", code, 58)
    sections = [struct.unpack_from("<IIQQQQIIQQ", code, start + n * size) for n in range(count)]
    symbols = next(section for section in sections if section[1] == 11)  # SHT_DYNSYM
    strings = sections[symbols[6]][4]
    names = set()
    for at in range(symbols[4], symbols[4] + symbols[5], 24):
        name, _, _, section = struct.unpack_from("<IBBH", code, at)
        if section:  # defined here
            names.add(text_at(code, strings + name))
    return machine, names


def of_pe(code: bytes) -> tuple[str, set[str]]:
    """Processor and exported names of a library of Windows (Microsoft PE format, PE32+)."""
    head = struct.unpack_from("<I", code, 60)[0]
    assert code[:2] == b"MZ"
    assert code[head : head + 4] == b"PE\0\0"
    machine_number, n_sections = struct.unpack_from("<HH", code, head + 4)
    optional_size = struct.unpack_from("<H", code, head + 20)[0]
    sections = [
        struct.unpack_from("<8sIIII", code, head + 24 + optional_size + 40 * n) for n in range(n_sections)
    ]

    def at(address: int) -> int:
        section = next(each for each in sections if each[2] <= address < each[2] + max(each[1], each[3]))
        return address - section[2] + section[4]

    exports = at(struct.unpack_from("<I", code, head + 24 + 112)[0])
    count, table = (
        struct.unpack_from("<I", code, exports + 24)[0],
        struct.unpack_from("<I", code, exports + 32)[0],
    )
    names = {text_at(code, at(struct.unpack_from("<I", code, at(table) + 4 * n)[0])) for n in range(count)}
    return {0x8664: "x86_64", 0xAA64: "aarch64"}[machine_number], names


def of_macho(code: bytes) -> tuple[str, set[str]]:
    """Processor and exported names of a library of macOS (Mach-O, 64 bits): its table of symbols."""
    magic, cpu, _, kind, count = struct.unpack_from("<IIIII", code, 0)
    assert (magic, kind) == (0xFEEDFACF, 6)  # MH_MAGIC_64, MH_DYLIB
    at, names = 32, set()
    for _ in range(count):
        command, size = struct.unpack_from("<II", code, at)
        if command == 2:  # LC_SYMTAB
            symbols, n_symbols, strings, _ = struct.unpack_from("<IIII", code, at + 8)
            for number in range(n_symbols):
                name, symbol_type = struct.unpack_from("<IB", code, symbols + 16 * number)
                if symbol_type & 0x0F == 0x0F:  # external, defined in a section
                    names.add(text_at(code, strings + name).removeprefix("_"))
        at += size
    return {0x01000007: "x86_64", 0x0100000C: "aarch64"}[cpu], names


def text_at(code: bytes, start: int) -> str:
    return code[start : code.index(b"\0", start)].decode()


SYMBOLS = {"linux": of_elf, "win32": of_pe, "darwin": of_macho}
