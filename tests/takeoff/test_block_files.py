"""One solid, a block with a bore and a boss, in every format, against its closed form."""

import numpy as np
import pytest
from tests.takeoff.files import model

from solid_files import figures as f

# Relative; STL and glTF hold numbers of single precision.
FILES = {
    "block.step": (None, 1e-9),
    "block.ifc": (None, 1e-9),
    "block.obj": (f.SIDES, 1e-8),
    "block.ply": (f.SIDES, 1e-9),
    "block.stl": (f.SIDES, 1e-7),
    "block.glb": (f.SIDES, 1e-7),
}


@pytest.mark.parametrize("name", FILES)
def test_volume_and_centroid_are_those_of_the_closed_form(name: str) -> None:
    sides, tolerance = FILES[name]
    volume, centroid = f.block(sides)
    if name.endswith("glb"):
        centroid = (centroid[0] + 10.0, centroid[1], centroid[2])  # the node moves it along x
    report = model(name, densities={"*": "7850 kg/m3"})
    assert len(report.solids) == 1
    found = report.solids[0].solid
    assert found.name.startswith("block")
    assert found.shape.volume_m3 == pytest.approx(volume, rel=tolerance)
    assert found.shape.centroid_m == pytest.approx(centroid, abs=tolerance * 10)
    assert report.mass_kg == pytest.approx(volume * f.STEEL, rel=tolerance)
    assert report.cog_m == found.shape.centroid_m


def test_the_inertia_is_that_of_block_less_bore_and_boss_on_top() -> None:
    # Parallel axis theorem on box, cylinder and cylinder: the textbook sum, about the common centroid.
    _, centroid = f.block()
    a, b, c = f.BLOCK
    parts = [(a * b * c, (a / 2, b / 2, c / 2), np.diag([b * b + c * c, a * a + c * c, a * a + b * b]) / 12)]
    for sign, at, radius, low, high in (
        (-1, f.BORE_AT, f.BORE_RADIUS, 0.0, c),
        (1, f.BOSS_AT, f.BOSS_RADIUS, c, c + f.BOSS_HEIGHT),
    ):
        height = high - low
        across = radius**2 / 4 + height**2 / 12
        own = np.diag([across, across, radius**2 / 2])
        parts.append((sign * f.circle_area(radius, None) * height, (*at, (low + high) / 2), own))
    expected = np.zeros((3, 3))
    for part, at, own in parts:
        d = np.array(at) - centroid
        expected += part * (own + d @ d * np.eye(3) - np.outer(d, d))
    for name in ("block.step", "block.ifc"):
        found = np.array(model(name, densities={"*": "7850 kg/m3"}).inertia_kg_m2)
        assert np.allclose(found, f.STEEL * expected, rtol=1e-8, atol=1e-6)


@pytest.mark.parametrize(("name", "unit"), [("block.stl", "mm"), ("block.stl", "in")])
def test_the_unit_of_a_mesh_is_the_one_that_the_user_says(name: str, unit: str) -> None:
    size = {"mm": 1.0, "in": 25.4}[unit]
    shape = model(name, unit=unit).solids[0].solid.shape
    assert shape.volume_m3 == pytest.approx(f.block(f.SIDES)[0] * size**3, rel=1e-6)
    assert shape.high_m[0] == pytest.approx(4.0 * size)


def test_each_file_says_its_unit_and_its_axes() -> None:
    assert model("block.step").model.unit == "millimetre, as the file says"
    assert model("block.ifc").model.unit == "millimetre, as the file says"
    assert model("block.stl").model.unit == "mm, as said by the user"
    gltf = model("block.glb").model
    assert gltf.unit == "metre, as the glTF 2.0 standard says"
    assert gltf.axes == "y is up in glTF and was turned to z up: (x, y, z) became (x, -z, y)"


def test_density_and_material_of_the_file_are_used_and_named() -> None:
    for name, source in (
        ("block.step", "density in the STEP file"),
        ("block.ifc", "MassDensity of the material"),
    ):
        one = model(name).solids[0]
        assert one.solid.material == "steel S355"
        assert one.density_kg_m3 == pytest.approx(7850.0)
        assert source in one.source
        assert model(name).mass_coverage == 1.0


def test_named_faces_and_nodes_are_points_to_lift_by() -> None:
    boss = model("block.step").model.points
    assert [(one.name, one.feature) for one in boss] == [("top of boss", "centre of face")]
    assert boss[0].at_m == pytest.approx((*f.BOSS_AT, f.BLOCK[2] + f.BOSS_HEIGHT))
    node = model("block.glb").model.points
    assert [(one.name, one.at_m) for one in node] == [("lug A", pytest.approx((13.0, 1.0, 1.7)))]


def test_groups_of_an_obj_that_close_only_together_are_one_solid() -> None:
    one = model("block.obj").solids[0].solid
    assert one.name == "block lower + block upper"
    assert one.material == "steel"
