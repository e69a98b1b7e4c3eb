"""Parts of an assembly in STEP stand where the assemblies above them put them, turned and moved."""

import math

import numpy as np
import pytest
from tests.takeoff.files import FOLDER

import plumbhook
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import Order, reader_of

pytest.importorskip("OCP", reason="OCP is not installed; it comes with the extra 'geometry'")

BOX = (4.0, 1.0, 0.5)


def read(path):
    return reader_of(Format.STEP)(Order(path, path.stem, None, ""))


@pytest.fixture(scope="module")
def nested(tmp_path_factory):
    """A box in a rack that is turned by 30° and moved, the rack twice in a frame."""
    from solid_files import kernel
    from solid_files.step import Assembly

    path = tmp_path_factory.mktemp("step") / "nested.step"
    file = Assembly()
    frame, rack = file.assembly("frame"), file.assembly("rack")
    box = file.product("box", kernel.box((0.0, 0.0, 0.0), BOX), "steel", 7850.0)
    file.put(rack, box, "inner", (1.0, 2.0, 3.0), math.pi / 6)
    file.put(frame, rack, "left", (10.0, 0.0, 0.0), math.pi / 2)
    file.put(frame, rack, "right", (0.0, -5.0, 1.0))
    file.write(path)
    return read(path)


def turned(angle: float, point) -> np.ndarray:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ np.array(point)


def test_each_use_of_an_assembly_gives_its_own_solids(nested) -> None:
    assert nested.questions == ()
    assert [one.name for one in nested.solids] == ["rack (left) / box (inner)", "rack (right) / box (inner)"]
    middle = np.array(BOX) / 2
    in_rack = turned(math.pi / 6, middle) + np.array((1.0, 2.0, 3.0))
    left, right = (one.shape.centroid_m for one in nested.solids)
    assert left == pytest.approx(turned(math.pi / 2, in_rack) + np.array((10.0, 0.0, 0.0)), abs=1e-9)
    assert right == pytest.approx(in_rack + np.array((0.0, -5.0, 1.0)), abs=1e-9)


def test_inertia_turns_with_the_part_and_the_box_fits_it(nested) -> None:
    a, b, c = BOX
    own = np.diag([b * b + c * c, a * a + c * c, a * a + b * b]) * a * b * c / 12
    for one, angle in zip(nested.solids, (2 * math.pi / 3, math.pi / 6), strict=True):
        way = np.stack([turned(angle, axis) for axis in np.eye(3)], axis=1)
        assert np.allclose(one.shape.inertia_m5, way @ own @ way.T, atol=1e-9)
        corners = np.array([[x, y, z] for x in (0, a) for y in (0, b) for z in (0, c)]) @ way.T
        size = np.subtract(one.shape.high_m, one.shape.low_m)
        assert size == pytest.approx(np.ptp(corners, axis=0), abs=1e-6)


def test_solids_that_share_space_are_named(tmp_path) -> None:
    from solid_files import kernel
    from solid_files.step import Assembly

    file = Assembly()
    whole = file.assembly("whole")
    file.put(whole, file.product("plate", kernel.box((0.0, 0.0, 0.0), (2.0, 2.0, 0.1))), "plate")
    file.put(whole, file.product("bolt", kernel.round_bar((1.0, 1.0, -0.5), 0.05, 1.0)), "bolt")
    file.put(whole, file.product("pin", kernel.round_bar((0.5, 0.5, 0.02), 0.01, 0.05)), "pin")
    file.put(whole, file.product("post", kernel.box((0.0, 0.0, 0.1), (0.2, 0.2, 1.0))), "post")
    path = tmp_path / "a.step"
    file.write(path)
    model = read(path)
    names = [one.name for one in model.solids]
    pairs = {(names[one.first], names[one.second], one.inside) for one in model.overlaps}
    assert pairs == {("plate", "bolt", False), ("plate", "pin", True)}


def test_scripts_weigh_a_model_with_one_call() -> None:
    report = plumbhook.take_off(FOLDER / "block.ply", unit="mm", densities={"block": 2400.0})
    assert report.mass_kg == pytest.approx(2400.0 * report.solids[0].solid.shape.volume_m3)
    assert report.questions == ()
