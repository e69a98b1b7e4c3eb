"""The command: table, questions, JSON, parts for the lift file, exit codes."""

import json
import sys

import pytest
import yaml
from tests.cli.running import plumbhook
from tests.model import meshes
from tests.takeoff.files import FOLDER, model

from plumbhook.core.errors import InputError
from plumbhook.model.load import Load
from plumbhook.model.mass_properties import mesh_mass_properties
from plumbhook.model.solids import NamedPoint, Solid, SolidModel
from plumbhook.takeoff.densities import densities_of_mapping
from plumbhook.takeoff.parts_list import chosen_points, lift_file_text, parts_of, plain
from plumbhook.takeoff.solids import weigh

STL = FOLDER / "block.stl"
STEEL = ("--unit", "mm", "--density", "block=7850 kg/m3")


def run(monkeypatch, capsys, *arguments):
    return plumbhook(monkeypatch, capsys, "takeoff", *arguments)


def skid(**options):
    """A small model of two solids and three named points, in the memory only."""
    solids = (
        Solid("deck [A]", mesh_mass_properties(*meshes.box(size=(6.0, 3.0, 0.25))), material="concrete"),
        Solid("cone", mesh_mass_properties(*meshes.frustum(8, 1.0, 0.5, 2.0)), material="steel"),
    )
    points = (
        NamedPoint("lug: north", (1.0, 2.0, 0.25), "vertex"),
        NamedPoint("eye", (0.0, 0.0, 1.0), "vertex"),
        NamedPoint("eye", (0.0, 1.0, 1.0), "vertex"),
    )
    found = SolidModel("STEP", "millimetre", "z up", solids, points=points)
    given = densities_of_mapping({"concrete": "2.4 t/m3", "steel": "7850 kg/m3"})
    return weigh(found, given, source="skid.step", **options)


def test_a_complete_take_off_ends_with_its_total_and_nought(monkeypatch, capsys) -> None:
    ran = run(monkeypatch, capsys, STL, *STEEL)
    assert ran.code == 0
    assert "block.stl: STL, unit mm, as said by the user" in ran.out
    assert "total 74" in ran.out.replace("\u00a0", "")
    assert "100.0% of the mass has a declared weight or a real density" in ran.out


def test_an_open_question_ends_with_three_and_no_total(monkeypatch, capsys) -> None:
    ran = run(monkeypatch, capsys, STL, "--unit", "mm")
    assert ran.code == 3
    assert "OPEN: block: no density and no material; give one by material or by name." in ran.out
    assert "NO TOTAL while 1 question is open" in ran.out


def text_stl(name, mesh) -> str:
    corners, triangles = mesh
    facets = (
        "facet normal 0 0 0\nouter loop\n"
        + "".join(f"vertex {x} {y} {z}\n" for x, y, z in corners[list(facet)].tolist())
        + "endloop\nendfacet\n"
        for facet in triangles
    )
    return f"solid {name}\n{''.join(facets)}endsolid {name}\n"


def crossed():
    """A prism on six corners with two of them changed over, so that its walls cross."""
    corners, triangles = meshes.frustum(6, 1.0, 1.0, 2.0)
    corners[[1, 4, 7, 10]] = corners[[4, 1, 10, 7]]
    return corners, triangles


def without_lid():
    corners, triangles = meshes.box()
    return corners, triangles[:-1]


@pytest.mark.parametrize(("mesh", "reason"), [(crossed, "crosses itself"), (without_lid, "open edges")])
@pytest.mark.parametrize("density", [(), ("--density", "hood=7850 kg/m3")], ids=["bare", "with density"])
def test_a_mesh_that_encloses_nothing_certain_is_left_out_with_the_reason(
    monkeypatch, capsys, tmp_path, mesh, reason, density
) -> None:
    path = tmp_path / "hood.stl"
    path.write_text(text_stl("hood", mesh()), encoding="ascii")
    ran = run(monkeypatch, capsys, path, "--unit", "m", *density)
    assert ran.code == 3
    assert "OPEN: hood: left out: " in ran.out
    assert reason in ran.out
    assert "NO TOTAL" in ran.out


def test_an_empty_mesh_is_wrong_input(monkeypatch, capsys, tmp_path) -> None:
    path = tmp_path / "empty.stl"
    path.write_text("solid a\nendsolid a\n", encoding="ascii")
    ran = run(monkeypatch, capsys, path, "--unit", "m")
    assert ran.code == 2
    assert "the mesh is empty" in ran.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((STL,), "STL has no unit of length; say in which it was drawn, for instance --unit mm"),
        ((STL, "--unit", "mm", "--density", "block=-1 kg/m3"), "check the sign"),
        (
            (STL, "--unit", "mm", "--density", "beam=7850 kg/m3"),
            "no material or solid of block.stl is called beam",
        ),
        ((STL, *STEEL, "--duplicates", "never"), '"never" is none of ask, once and all'),
        ((STL, *STEEL, "--json", "--yaml"), "choose one of --json and --yaml"),
        ((STL, *STEEL, "--lift-point", "lug"), "no point of the model is called lug; it names no points"),
        ((STL, *STEEL, "--lift-point", "lug=1,2,3"), "lug: "),
        (("no.step",), "there is no such file"),
        ((STL, "--unit", "mm", "--densities", "no.csv"), "there is no such file"),
    ],
)
def test_wrong_input_is_a_sentence_and_two(monkeypatch, capsys, arguments, sentence) -> None:
    ran = run(monkeypatch, capsys, *arguments)
    assert ran.code == 2
    assert sentence in ran.err
    assert "Traceback" not in ran.err


def test_all_that_is_wrong_with_densities_is_told_at_once(monkeypatch, capsys, tmp_path) -> None:
    table = tmp_path / "d.csv"
    table.write_text("name,density,source\nsteel,heavy,x\n", encoding="utf-8")
    ran = run(monkeypatch, capsys, STL, "--unit", "mm", "--density", "a", "--densities", table)
    assert ran.code == 2
    assert "The input needs 2 corrections" in ran.err


def test_json_has_nothing_but_json_on_standard_output(monkeypatch, capsys) -> None:
    ran = run(monkeypatch, capsys, STL, "--unit", "mm", "--json", "--lift-point", "top=0 m, 0 m, 1 m")
    data = json.loads(ran.out)
    assert ran.code == 3
    assert data["complete"] is False
    assert data["mass_kg"] is None
    assert data["solids"][0]["mass_source"] == "no density"
    assert data["lift_points"] == {"top": [0.0, 0.0, 1.0]}
    assert "OPEN" in ran.err


def test_yaml_is_parts_that_a_lift_file_accepts(monkeypatch, capsys) -> None:
    ran = run(monkeypatch, capsys, STL, *STEEL, "--yaml", "--lift-point", "north=1.2 m, 0 m, 1.7 m")
    assert ran.code == 0
    load = yaml.safe_load(ran.out)
    assert load["lift_points"] == {"north": {"at": ["1.2 m", "0 m", "1.7 m"]}}
    assert [part["name"] for part in load["parts"]] == ["block"]


def test_parts_of_a_take_off_carry_mass_place_and_source_into_the_lift_file() -> None:
    report = skid()
    text = lift_file_text(report, chosen_points(report, ["lug: north", "eye=0 m, 0 m, 1 m"]))
    data = yaml.safe_load(text)
    weight = {"source": "take-off", "state": "as drawn", "tolerance": "5 %"}
    box = {"x": "0.1 m", "y": "0.1 m", "z": "0.1 m", "source": "drawing"}
    load = Load.model_validate({"name": "skid", "axes": "z up", "weight": weight, "cog_box": box, **data})
    assert tuple(load.parts) == parts_of(report)
    assert sum(part.mass_kg for part in load.parts) == pytest.approx(report.mass_kg, rel=1e-8)
    assert load.parts[0].name == "deck [A]"
    assert load.parts[0].size_m == pytest.approx((6.0, 3.0, 0.25))
    assert "skid.step, volume 4.5 m³ × 2400 kg/m³, given by the user for concrete" in load.parts[0].source
    assert {name: point.at_m for name, point in load.lift_points.items()} == {
        "lug- north": (1.0, 2.0, 0.25),
        "eye": (0.0, 0.0, 1.0),
    }


def test_a_solid_whose_centre_is_not_in_the_middle_of_its_box_gives_no_box() -> None:
    cone = parts_of(skid())[1]
    assert cone.size_m is None
    assert cone.at_m[2] < 1.0


def test_what_is_open_stands_first_in_the_parts() -> None:
    solids = (Solid("a", mesh_mass_properties(*meshes.box())),)
    report = weigh(SolidModel("STEP", "mm", "z up", solids), (), source="a.step")
    text = lift_file_text(report)
    assert text.splitlines()[1] == "# OPEN: a: no density and no material; give one by material or by name"
    assert "parts" not in text


def test_points_are_chosen_by_a_name_that_is_there_once() -> None:
    report = skid()
    assert chosen_points(report, ["LUG: NORTH"])[0].at_m == (1.0, 2.0, 0.25)
    with pytest.raises(InputError) as refused:
        chosen_points(report, ["eye", "nose", "ear=1 m, 2 m"])
    messages = [problem.message for problem in refused.value.problems]
    assert "2 points of the model are called eye; give the place, as eye=X,Y,Z" in messages
    assert "no point of the model is called nose; there are: lug: north, eye" in messages
    assert any("write NAME=X,Y,Z with units" in message for message in messages)


def test_plain_data_hold_no_number_that_json_has_not() -> None:
    json.dumps(plain(model("block.stl")), allow_nan=False)
    json.dumps(plain(skid()), allow_nan=False)


@pytest.mark.parametrize(("kind", "library"), [("step", "OCP"), ("ifc", "ifcopenshell")])
def test_without_the_library_the_sentence_names_the_command_that_installs_it(
    kind, library, monkeypatch
) -> None:
    from plumbhook.takeoff.formats import Format
    from plumbhook.takeoff.reading import FileRefusedError, reader_of

    readers = ("step", "ifc", "brep", "step_properties", "ifc_facts")
    loaded = {library, *(f"plumbhook.takeoff.{name}" for name in readers)}
    for name in [name for name in sys.modules if name in loaded or name.startswith(f"{library}.")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, library, None)
    with pytest.raises(FileRefusedError, match=r"install it with: pip install 'plumbhook\[geometry\]'"):
        reader_of(Format[kind.upper()])
