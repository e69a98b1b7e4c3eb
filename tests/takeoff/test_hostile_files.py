"""Files that are no model, or are made to harm: one sentence with the cure, and nothing left behind."""

import json
import shutil
import struct
import tempfile
import zipfile
from pathlib import Path

import pytest
from tests.takeoff.files import FOLDER, need_library

import plumbhook
from plumbhook.core.errors import InputError
from plumbhook.takeoff.formats import HEAD_BYTES, format_of
from plumbhook.takeoff.isolation import read_apart
from plumbhook.takeoff.limits import Limits
from plumbhook.takeoff.reading import FileRefusedError, Order, reader_of
from plumbhook.takeoff.solids import read_solids

STL = (FOLDER / "block.stl").read_bytes()
STEP = (FOLDER / "block.step").read_bytes()
IFC = (FOLDER / "block.ifc").read_bytes()
SKID = (FOLDER / "skid.step").read_bytes()
GLB = (FOLDER / "block.glb").read_bytes()


@pytest.fixture(autouse=True)
def _nothing_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Every test reads its file while the folder of temporary files is one that must be empty afterwards."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    before = set(tmp_path.iterdir())
    yield
    assert list(folder.iterdir()) == []
    assert all(path.parent == tmp_path for path in before)


def refusal(path: Path, **options) -> str:
    with pytest.raises(InputError) as refused:
        read_solids(path, **options)
    assert len(refused.value.problems) == 1
    message = refused.value.problems[0].message
    assert "Traceback" not in message
    assert "\n" not in message
    return message


def written(tmp_path: Path, name: str, data: bytes) -> Path:
    path = tmp_path / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.step", b"", "the file is empty; export the model again"),
        ("a.step", STL, "the name says STEP, but it holds STL; give it the ending .stl"),
        ("a.step", IFC, "the name says STEP, but it holds IFC; give it the ending .ifc"),
        ("a.ifc", STEP, "the name says IFC, but it holds STEP; give it the ending .step"),
        (
            "a.step",
            b"%PDF-1.7 ...",
            "the name says STEP, but it holds a PDF document; export the model again as STEP",
        ),
        (
            "a.stl",
            b"\x7fELF" + bytes(200),
            "the name says STL, but it holds a program; export the model again as STL",
        ),
        ("a.ifc", b"<?xml version='1.0'?><!DOCTYPE x>", "holds XML; export the model again as IFC"),
        ("a.obj", b"hello, world\nthis is no model\n", "the name says OBJ, but it holds something else"),
        ("a.dwg", b"AC1032", "the ending .dwg is none of a format that can be read"),
        ("a", STL, "the ending (none) is none of a format that can be read"),
        ("a.ifczip", b"PK\x03\x04" + bytes(100), "this is a ZIP archive, and packed files are not opened"),
        ("a.step", b"\x1f\x8b\x08" + bytes(100), "this is packed with gzip, and packed files are not opened"),
        ("a.3mf", b"PK\x03\x04" + bytes(100), "this is a ZIP archive"),
    ],
)
def test_a_file_that_is_not_what_its_name_says(tmp_path: Path, name: str, data: bytes, sentence: str) -> None:
    assert sentence in refusal(written(tmp_path, name, data), unit=None)


def test_a_zip_bomb_is_not_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "bomb.ifczip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bomb, bomb.open("model.ifc", "w") as inside:
        for _ in range(64):
            inside.write(bytes(1 << 20))
    assert path.stat().st_size < 100_000
    assert "packed files are not opened" in refusal(path)
    renamed = path.rename(tmp_path / "bomb.step")
    assert "packed files are not opened" in refusal(renamed)


def test_half_a_gigabyte_of_stl_is_refused_by_its_size_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.stl"
    with path.open("wb") as file:
        file.truncate(500 * 1024 * 1024)
    message = refusal(path, unit="mm")
    assert message.startswith("the file has 500 MB and at most 200 MB are read")
    assert "--largest-file" in message


@pytest.mark.parametrize("name", ["no.step", "folder.step"])
def test_what_is_no_file(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder.step").mkdir()
    assert refusal(tmp_path / name) in (
        "there is no such file; check the name and the folder",
        "this is a folder; name a file in it",
    )


def test_a_device_is_no_file() -> None:
    assert refusal(Path("/dev/zero")) == "this is not an ordinary file; name a model file"


def test_a_mesh_without_unit_asks_for_it_and_names_the_option() -> None:
    for name in ("block.stl", "block.obj", "block.ply"):
        message = refusal(FOLDER / name)
        assert "has no unit of length; say in which it was drawn, for instance --unit mm" in message
    assert "has its own unit of length; leave --unit out" in refusal(FOLDER / "block.step", unit="mm")
    assert "Angstrom" in refusal(FOLDER / "block.stl", unit="Angstrom")


BINARY_EMPTY = bytes(80) + struct.pack("<I", 0)
TEXT_FACET = b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.stl", BINARY_EMPTY, "the STL has no facets: the mesh is empty; export the model again"),
        ("a.stl", STL[:-25], "it is cut short or damaged, export it again"),
        ("a.stl", b"solid a\nendsolid a\n", "the mesh is empty"),
        ("a.stl", b"solid a\n" + TEXT_FACET, "does not end with endsolid; it is cut short"),
        (
            "a.stl",
            b"solid a\n" + TEXT_FACET.replace(b"1 0 0", b"1 x 0") + b"endsolid\n",
            "is not three numbers",
        ),
        ("a.stl", b"solid a\n" + TEXT_FACET.replace(b"vertex 1 0 0\n", b"") + b"endsolid\n", "three corners"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nf 1 2 9\n", "line 3 of the OBJ is wrong (f 1 2 9)"),
        ("a.obj", b"v 0 0 0\nv 1 0\n", "line 2 of the OBJ is wrong"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\n", "the OBJ has no faces: the mesh is empty"),
        (
            "a.ply",
            b"ply\nformat ascii 1.0\nelement vertex 9999999999\nproperty float x\nend_header\n",
            "cut short",
        ),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 1\n", "no end of its header"),
        ("a.ply", b"ply\nformat odd 1.0\nend_header\n", "wrong line (format odd 1.0)"),
        ("a.ply", b"ply\nformat ascii 1.0\nend_header\n", "the PLY has no faces"),
    ],
)
def test_damaged_and_empty_meshes(tmp_path: Path, name: str, data: bytes, sentence: str) -> None:
    assert sentence in refused_by_reader(written(tmp_path, name, data))


def refused_by_reader(path: Path) -> str:
    """What a reader says of a file, here without the process of its own."""
    kind = format_of(path.name, path.read_bytes()[:HEAD_BYTES], path.stat().st_size)
    with pytest.raises(FileRefusedError) as refused:
        reader_of(kind)(Order(path, path.stem, 0.001, "mm"))
    return str(refused.value)


def gltf(**changes: object) -> bytes:
    return json.dumps({"asset": {"version": "2.0"}, "scenes": [{"nodes": []}], **changes}).encode()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (gltf(buffers=[{"uri": "../../etc/passwd", "byteLength": 1}]), "points to another file"),
        (gltf(buffers=[{"uri": "https://example.com/a.bin", "byteLength": 1}]), "points to another file"),
        (gltf(images=[{"uri": "picture.png"}]), "export it as one .glb"),
        (
            gltf(extensionsRequired=["KHR_draco_mesh_compression"]),
            "KHR_draco_mesh_compression, which is not read",
        ),
        (gltf(asset={"version": "1.0"}), "this is no glTF of version 2"),
        (gltf(nodes=[{"children": [0]}], scenes=[{"nodes": [0]}]), "nested without end"),
        (gltf(buffers=[{"uri": "data:;base64,!!!"}]), "the data inside the glTF are damaged"),
        (b'{"asset": ', "its description is no JSON"),
        (gltf(), "the glTF has no triangles: the mesh is empty"),
    ],
)
def test_gltf_that_is_damaged_or_reaches_outside(tmp_path: Path, data: bytes, sentence: str) -> None:
    assert sentence in refused_by_reader(written(tmp_path, "a.gltf", data))


def test_a_refusal_of_the_reader_comes_back_from_its_process(tmp_path: Path) -> None:
    stl = written(tmp_path, "a.stl", BINARY_EMPTY)
    assert refusal(stl, unit="mm") == "the STL has no facets: the mesh is empty; export the model again"
    deep = written(tmp_path, "a.gltf", b'{"a":' + b"[" * 100_000)
    assert "export it again" in refusal(deep)


def test_a_glb_that_is_cut_short(tmp_path: Path) -> None:
    assert "is cut short" in refused_by_reader(written(tmp_path, "a.glb", GLB[:-40]))


@pytest.mark.parametrize(("name", "data"), [("a.step", STEP), ("a.ifc", IFC)])
@pytest.mark.parametrize("share", [0.3, 0.8, 0.999])
def test_a_step_or_ifc_that_is_cut_short_is_refused(
    tmp_path: Path, name: str, data: bytes, share: float
) -> None:
    message = refusal(written(tmp_path, name, data[: int(share * len(data))]))
    assert "does not end as it must (END-ISO-10303-21); it is cut short" in message


def without(data: bytes, *words: bytes) -> bytes:
    """A STEP or IFC file without the first entity that has all these words."""
    entities = data.split(b";\n")
    gone = next(k for k, entity in enumerate(entities) if all(word in entity for word in words))
    return b";\n".join(entities[:gone] + entities[gone + 1 :])


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.step", without(SKID, b"NEXT_ASSEMBLY_USAGE", b"'west'"), "the STEP file has "),
        (
            "a.step",
            without(SKID, b"CONTEXT_DEPENDENT_SHAPE", b"#416"),
            "places of parts in assemblies in the file only",
        ),
        ("a.step", without(SKID, b"ITEM_DEFINED_TRANSFORMATION"), "something may be missing"),
        ("a.step", without(SKID, b"ADVANCED_FACE"), "of 4 solids in the file only 3 can be built"),
        (
            "a.ifc",
            without(IFC, b"IFCOPENINGELEMENT"),
            "the IFC file has 1 fault, the first: Instance reference",
        ),
        (
            "a.ifc",
            IFC.replace(b"IFCRELVOIDSELEMENT(", b"IFCNOTHING("),
            "something may be missing, export it again",
        ),
        (
            "a.ifc",
            IFC.replace(b"RELVOIDSELEMENT('", b"RELVOIDSELEMENT((('"),
            "something may be missing, export it again",
        ),
    ],
)
def test_a_file_with_an_entity_missing_gives_no_total(
    tmp_path: Path, name: str, data: bytes, sentence: str
) -> None:
    need_library(name)
    path = written(tmp_path, name, data)
    kind = format_of(path.name, data[:HEAD_BYTES], len(data))
    model = reader_of(kind)(Order(path, "a", None, ""))
    assert any(sentence in question for question in model.questions), model.questions


def test_a_file_that_breaks_the_reader_down_ends_in_a_sentence(tmp_path: Path) -> None:
    need_library("a.step")
    path = written(tmp_path, "a.step", without(SKID, b"CLOSED_SHELL"))
    assert "open the model in the program that made it" in refusal(path)


def test_an_ifc_without_units_is_refused(tmp_path: Path) -> None:
    need_library("a.ifc")
    path = written(tmp_path, "a.ifc", without(IFC, b"IFCPROJECT("))
    assert "has no project with units" in refused_by_reader(path)


def test_a_step_file_that_refers_to_another_file_is_refused(tmp_path: Path) -> None:
    need_library("a.step")
    reference = (
        b"#90001=DOCUMENT_FILE('../secret.step','','',#90002,'','');\n#90002=DOCUMENT_TYPE('shape');\n"
    )
    end = b"ENDSEC;\nEND-ISO"
    path = written(tmp_path, "a.step", STEP.replace(end, reference + end))
    assert 'refers to another file ("../secret.step"), which is not read' in refused_by_reader(path)


def many_facets(count: int) -> bytes:
    facet = struct.pack("<12fH", *[0.0] * 3, *[0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0], 0)
    return bytes(80) + struct.pack("<I", count) + facet * count


def test_reading_that_takes_too_long_is_stopped(tmp_path: Path) -> None:
    path = written(tmp_path, "a.stl", STL)
    message = refusal(path, unit="mm", limits=Limits(time_s=0.01))
    assert message.startswith("reading took longer than 0.01 s and was stopped")
    assert "--longest" in message


def test_reading_that_needs_too_much_memory_is_stopped(tmp_path: Path) -> None:
    pytest.importorskip("resource", reason="memory is not limited on this system")
    path = written(tmp_path, "a.stl", many_facets(1_000_000))
    message = refusal(path, unit="mm", limits=Limits(memory_bytes=360 << 20))
    assert "needs more than 360 MB of memory" in message or "broke down on this file" in message


def test_a_result_that_is_too_large_is_not_taken(tmp_path: Path) -> None:
    pytest.importorskip("resource", reason="the size of a file is not limited on this system")
    message = refusal(FOLDER / "block.stl", unit="mm", limits=Limits(result_bytes=100))
    assert (
        "broke down on this file" in message
        or "file is damaged" in message
        or "failed on this file" in message
    )


def test_the_file_itself_is_not_touched(tmp_path: Path) -> None:
    path = written(tmp_path, "a.stl", STL)
    path.chmod(0o400)
    assert read_solids(path, unit="mm").solids[0].solid.shape.volume_m3 > 9.0
    assert path.read_bytes() == STL


def test_what_the_reader_may_see_of_this_process_is_little(tmp_path: Path, monkeypatch) -> None:
    from plumbhook.takeoff import isolation

    seen = {}
    start = isolation.subprocess.Popen

    def watched(command, **options):
        seen.update(options["env"], cwd=str(options["cwd"]))
        return start(command, **options)

    monkeypatch.setenv("SECRET_OF_THE_SERVER", "x")
    monkeypatch.setattr(isolation.subprocess, "Popen", watched)
    read_solids(FOLDER / "block.ply", unit="mm")
    assert "SECRET_OF_THE_SERVER" not in seen
    assert seen["HOME"] == seen["TMPDIR"] == seen["cwd"]
    assert not Path(seen["cwd"]).exists()


def test_the_reading_process_leaves_no_byte_code_behind(tmp_path, monkeypatch) -> None:
    """Its limit on what it may write would cut byte code off, and every later start would stumble over it."""
    fresh = tmp_path / "fresh"
    shutil.copytree(
        Path(plumbhook.__file__).parent, fresh / "plumbhook", ignore=shutil.ignore_patterns("__pycache__")
    )
    monkeypatch.syspath_prepend(str(fresh))
    monkeypatch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
    model = read_apart(FOLDER / "block.stl", 1.0, "m", Limits())
    assert len(model.solids) == 1
    assert list(fresh.rglob("*.pyc")) == []
