"""Mesh formats in the forms that programs write them: text, binary, quads, instances, turned and mirrored."""

import base64
import json
import struct
from pathlib import Path

import numpy as np
import pytest
from tests.model import meshes

from plumbhook.model.solids import SolidModel
from plumbhook.takeoff.formats import HEAD_BYTES, format_of
from plumbhook.takeoff.reading import Order, reader_of

BOX = meshes.box(size=(2.0, 3.0, 4.0))
QUADS = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]


def read(tmp_path: Path, name: str, data: bytes | str, unit_m: float | None = 1.0) -> SolidModel:
    path = tmp_path / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    raw = path.read_bytes()
    kind = format_of(name, raw[:HEAD_BYTES], len(raw))
    return reader_of(kind)(Order(path, path.stem, unit_m, "m"))


def stl_text(name: str, mesh) -> str:
    corners, triangles = mesh
    facets = [
        "  facet normal 0 0 0\n    outer loop\n"
        + "".join(f"      vertex {x:.7e} {y:.7e} {z:.7e}\n" for x, y, z in corners[triangle])
        + "    endloop\n  endfacet\n"
        for triangle in triangles
    ]
    return f"solid {name}\n{''.join(facets)}endsolid {name}\n"


def volumes(model: SolidModel) -> dict[str, float]:
    assert model.left_out == ()
    return {one.name: pytest.approx(one.shape.volume_m3, rel=1e-6) for one in model.solids}


def test_text_stl_with_two_named_solids(tmp_path) -> None:
    text = stl_text("plinth", BOX) + stl_text("post", meshes.box((5.0, 0.0, 0.0)))
    assert volumes(read(tmp_path, "a.stl", text)) == {"plinth": 24.0, "post": 1.0}


def test_text_stl_with_line_ends_of_another_system(tmp_path) -> None:
    assert volumes(read(tmp_path, "a.stl", stl_text("", BOX).replace("\n", "\r\n"))) == {"a": 24.0}


def test_binary_stl_whose_header_says_solid(tmp_path) -> None:
    corners, triangles = BOX
    facets = b"".join(struct.pack("<12fH", 0, 0, 0, *corners[t].ravel(), 0) for t in triangles)
    assert volumes(read(tmp_path, "a.stl", b"solid a".ljust(80) + struct.pack("<I", 12) + facets)) == {
        "a": 24.0
    }


def test_the_unit_scales_a_mesh(tmp_path) -> None:
    found = read(tmp_path, "a.stl", stl_text("a", BOX), unit_m=0.0254)
    assert volumes(found) == {"a": 24.0 * 0.0254**3}


@pytest.mark.parametrize("style", ["{0}", "{0}/1", "{0}//1", "{0}/1/1"])
def test_obj_with_quads_and_objects(tmp_path, style) -> None:
    lines = [f"v {x} {y} {z}" for x, y, z in BOX[0]] + [
        "vt 0 0",
        "vn 0 0 1",
        "o plinth",
        "usemtl concrete",
        "s off",
    ]
    lines += ["f " + " ".join(style.format(k + 1) for k in quad) for quad in QUADS]
    lines += ["o post", "usemtl steel"] + [f"v {x + 5} {y} {z}" for x, y, z in meshes.box()[0]]
    lines += ["f " + " ".join(style.format(k - 8) for k in quad) for quad in QUADS]
    found = read(tmp_path, "a.obj", "# by hand\nmtllib ../../secret.mtl\n" + "\n".join(lines) + "\n")
    assert volumes(found) == {"plinth": 24.0, "post": 1.0}
    assert [one.material for one in found.solids] == ["concrete", "steel"]


def test_ply_as_text_with_quads_and_colours(tmp_path) -> None:
    header = (
        "ply\nformat ascii 1.0\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
        "property uchar red\nelement face 6\nproperty list uchar int vertex_index\nproperty uchar red\nend_header\n"
    )
    rows = [f"{x} {y} {z} 255" for x, y, z in BOX[0]] + [f"4 {' '.join(map(str, quad))} 7" for quad in QUADS]
    assert volumes(read(tmp_path, "a.ply", header + "\n".join(rows) + "\n")) == {"a": 24.0}


@pytest.mark.parametrize(("word", "order"), [("binary_little_endian", "<"), ("binary_big_endian", ">")])
def test_ply_binary_in_both_orders_with_an_element_more(tmp_path, word, order) -> None:
    header = (
        f"ply\nformat {word} 1.0\nelement material 1\nproperty int id\nelement vertex 8\nproperty float x\n"
        "property float y\nproperty float z\nelement face 6\nproperty list uchar uint vertex_indices\nend_header\n"
    )
    body = struct.pack(f"{order}i", 1) + BOX[0].astype(f"{order}f4").tobytes()
    body += b"".join(struct.pack(f"{order}B4I", 4, *quad) for quad in QUADS)
    assert volumes(read(tmp_path, "a.ply", header.encode() + body)) == {"a": 24.0}


def gltf(nodes, *, mode=4, indices=None, mesh=BOX) -> str:
    corners, triangles = mesh
    order = np.asarray(triangles.ravel() if indices is None else indices, dtype="<u2")
    # Corners with a gap of four bytes between them, as interleaved data have.
    interleaved = np.zeros((len(corners), 4), dtype="<f4")
    interleaved[:, :3] = corners
    data = interleaved.tobytes() + order.tobytes()
    views = [{"buffer": 0, "byteLength": interleaved.nbytes, "byteStride": 16}]
    views.append({"buffer": 0, "byteOffset": interleaved.nbytes, "byteLength": order.nbytes})
    uri = "data:application/octet-stream;base64," + base64.b64encode(data).decode()
    return json.dumps(
        {
            "asset": {"version": "2.0"},
            "nodes": nodes,
            "meshes": [
                {"name": "box", "primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "mode": mode}]}
            ],
            "accessors": [
                {"bufferView": 0, "componentType": 5126, "count": len(corners), "type": "VEC3"},
                {"bufferView": 1, "componentType": 5123, "count": len(order), "type": "SCALAR"},
            ],
            "bufferViews": views,
            "buffers": [{"uri": uri, "byteLength": len(data)}],
        }
    )


def test_gltf_instances_stand_where_their_nodes_put_them_with_z_up(tmp_path) -> None:
    nodes = [
        {"name": "whole", "children": [1, 2, 3], "translation": [0.0, 0.0, 10.0]},
        {"name": "a", "mesh": 0},
        {"name": "b", "mesh": 0, "scale": [2.0, 1.0, 1.0], "translation": [10.0, 0.0, 0.0]},
        {"name": "eye", "translation": [1.0, 4.0, 1.5]},
    ]
    found = read(tmp_path, "a.gltf", gltf(nodes), None)
    assert volumes(found) == {"a": 24.0, "b": 48.0}
    # The box of 2 x 3 x 4 from the origin, y up: its middle (1, 1.5, 2 + 10) is (1, -12, 1.5) with z up.
    assert found.solids[0].shape.centroid_m == pytest.approx((1.0, -12.0, 1.5), abs=1e-6)
    assert found.solids[0].shape.high_m[2] == pytest.approx(3.0)
    assert [(one.name, one.at_m) for one in found.points] == [("eye", pytest.approx((1.0, -11.5, 4.0)))]


def test_gltf_quarter_turn_matrix_and_quaternion_agree(tmp_path) -> None:
    half = np.sqrt(0.5)
    quaternion = {"name": "a", "mesh": 0, "rotation": [0.0, 0.0, half, half], "translation": [1.0, 2.0, 3.0]}
    columns = [0.0, 1.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 2.0, 3.0, 1.0]
    matrix = {"name": "a", "mesh": 0, "matrix": columns}
    one, other = (
        read(tmp_path, "a.gltf", gltf([node]), None).solids[0].shape for node in (quaternion, matrix)
    )
    # Turned by 90° about z the middle (1, 1.5, 2) goes to (-1.5, 1, 2), then by (1, 2, 3), then z up.
    assert one.centroid_m == pytest.approx((-0.5, -5.0, 3.0), abs=1e-6)
    assert one.centroid_m == pytest.approx(other.centroid_m, abs=1e-6)
    assert np.allclose(one.inertia_m5, other.inertia_m5, atol=1e-4)


def test_gltf_mirrored_by_its_node_is_no_inside_out_solid(tmp_path) -> None:
    found = read(tmp_path, "a.gltf", gltf([{"mesh": 0, "scale": [-1.0, 1.0, 1.0]}]), None)
    assert volumes(found) == {"box": 24.0}
    assert found.solids[0].remarks == ()
    assert found.solids[0].shape.centroid_m[0] == pytest.approx(-1.0)


def test_gltf_with_a_strip_of_triangles(tmp_path) -> None:
    # A tetrahedron as one strip of six corners: each triangle shares two corners with the one before.
    corners = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    strip = [0, 1, 2, 3, 0, 1]
    found = read(tmp_path, "a.gltf", gltf([{"mesh": 0}], mode=5, indices=strip, mesh=(corners, None)), None)
    assert volumes(found) == {"box": 1.0 / 6.0}
