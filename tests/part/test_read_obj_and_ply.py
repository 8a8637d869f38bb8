"""OBJ and PLY files: sound ones as trimesh writes them, polygons by hand, and broken ones."""

import struct
from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from core.part.part import Part
from core.refusal import Refusal

Loader = Callable[..., Part]
CORNERS = "".join(f"v {x} {y} {z}\n" for x in (0, 10) for y in (0, 10) for z in (0, 10))
QUADS = [[1, 2, 4, 3], [5, 7, 8, 6], [1, 5, 6, 2], [3, 4, 8, 7], [1, 3, 7, 5], [2, 6, 8, 4]]
CUBE_OBJ = CORNERS + "".join("f " + " ".join(map(str, quad)) + "\n" for quad in QUADS)


def ply(order: str, extra: bool = False, first: str = "vertex") -> bytes:
    """The cube as quads; extra adds properties and an element that must be passed over."""
    form = {"": "ascii", "<": "binary_little_endian", ">": "binary_big_endian"}[order]
    points = [(x, y, z) for x in (0.0, 10.0) for y in (0.0, 10.0) for z in (0.0, 10.0)]
    heads = {
        "vertex": "element vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
        + ("property uchar red\nproperty list uchar short more\n" if extra else ""),
        "face": "element face 6\n" + ("property double weight\n" if extra else "")
        + "property list uchar int vertex_indices\n",
    }  # fmt: skip
    rows: dict[str, list[bytes]] = {"vertex": [], "face": []}
    for point in points:
        if order:
            tail = struct.pack(f"{order}BBhh", 9, 2, -1, 5) if extra else b""
            rows["vertex"].append(struct.pack(f"{order}fff", *point) + tail)
        else:
            rows["vertex"].append((" ".join(map(str, point)) + (" 9 2 -1 5" if extra else "") + "\n").encode())
    for quad in QUADS:
        zero = [corner - 1 for corner in quad]
        if order:
            weight = struct.pack(f"{order}d", 1.5) if extra else b""
            rows["face"].append(weight + struct.pack(f"{order}B4i", 4, *zero))
        else:
            rows["face"].append((("1.5 " if extra else "") + "4 " + " ".join(map(str, zero)) + "\n").encode())
    elements = ["vertex", "face"] if first == "vertex" else ["face", "vertex"]
    head = f"ply\nformat {form} 1.0\ncomment by hand\n" + "".join(heads[name] for name in elements)
    return (head + "end_header\n").encode() + b"".join(b"".join(rows[name]) for name in elements)


def is_the_cube(part: Part) -> bool:
    return bool(part.health.buildable and part.n_faces == 12 and abs(part.volume_mm3 - 1000) < 1e-9)


@pytest.mark.parametrize(("name", "options"), [("ball.obj", {}), ("ball.ply", {}), ("ball.ply", {"encoding": "ascii"})])
def test_files_of_trimesh_come_back_as_they_were(load_bytes: Loader, name: str, options: dict[str, str]) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=10)
    data = mesh.export(file_type=name[-3:], **options)
    part = load_bytes(data.encode() if isinstance(data, str) else data, name)
    assert part.vertices_mm == pytest.approx(np.asarray(mesh.vertices), abs=1e-5)
    assert np.array_equal(part.triangles, mesh.faces)
    assert part.health.watertight and part.file_format == name[-3:]


@pytest.mark.parametrize(
    "data",
    [
        CUBE_OBJ,
        "mtllib ../secret.mtl\nusemtl red\no cube\ng a\ns 1\nvn 0 0 1\nvt 0 0\n" + CUBE_OBJ,
        CUBE_OBJ.replace("\n", "\r\n"),
        CUBE_OBJ.replace("f 1 2 4 3", "f -8 -7 -5 -6"),
        CUBE_OBJ.replace("f 1 2 4 3", "f 1/1/1 2/2/2 4/3/3 3/4/4").replace("f 5 7 8 6", "f 5//1 7//1 8//1 6//1"),
        CUBE_OBJ.replace("f 1 2 4 3", "f 1 2 \\\n4 3  # a face"),
        CUBE_OBJ.replace("v 0 0 0\n", "v 0 0 0 1.0\n").replace("v 0 0 10\n", "v 0 0 10 0.5 0.5 0.5\n"),
        "# made by hand\n" + CUBE_OBJ + "l 1 2\np 3\n",
    ],
)
def test_an_obj_cube_of_quads_is_the_cube(load_bytes: Loader, data: str) -> None:
    assert is_the_cube(load_bytes(data.encode(), "cube.obj"))


def test_a_concave_face_keeps_its_area(load_bytes: Loader) -> None:
    # an L of 75 mm², 5 mm high: 375 mm³
    outline = ((0, 0), (10, 0), (10, 10), (5, 10), (5, 5), (0, 5))
    data = "".join(f"v {x} {y} {z}\n" for z in (0, 5) for x, y in outline) + "f 6 5 4 3 2 1\nf 7 8 9 10 11 12\n"
    data += "".join(f"f {i + 1} {(i + 1) % 6 + 1} {(i + 1) % 6 + 7} {i + 7}\n" for i in range(6))
    part = load_bytes(data.encode(), "l.obj")
    assert part.health.buildable and part.volume_mm3 == pytest.approx(375.0)
    assert part.areas_mm2[:8].sum() == pytest.approx(150.0)
    assert (part.normals[:4, 2] < -0.99).all() and (part.normals[4:8, 2] > 0.99).all()


@pytest.mark.parametrize("order", ["", "<", ">"])
@pytest.mark.parametrize("extra", [False, True])
@pytest.mark.parametrize("first", ["vertex", "face"])
def test_a_ply_cube_is_the_cube_in_every_form(load_bytes: Loader, order: str, extra: bool, first: str) -> None:
    assert is_the_cube(load_bytes(ply(order, extra, first), "cube.ply"))


def test_a_bent_quad_is_said(load_bytes: Loader) -> None:
    part = load_bytes(CUBE_OBJ.replace("v 10 10 10", "v 10 10 13").encode(), "bent.obj")
    assert any("aren't flat" in warning for warning in part.warnings)


def changed(data: bytes, old: bytes, new: bytes) -> bytes:
    assert old in data
    return data.replace(old, new, 1)


BROKEN = {
    "obj-index-zero.obj": CUBE_OBJ.replace("f 1 2", "f 0 2").encode(),
    "obj-index-too-large.obj": CUBE_OBJ.replace("f 1 2", "f 9 2").encode(),
    "obj-index-too-negative.obj": CUBE_OBJ.replace("f 1 2", "f -9 2").encode(),
    "obj-index-enormous.obj": CUBE_OBJ.replace("f 1 2", "f 99999999999999999999 2").encode(),
    "obj-index-word.obj": CUBE_OBJ.replace("f 1 2", "f one 2").encode(),
    "obj-index-fraction.obj": CUBE_OBJ.replace("f 1 2", "f 1.5 2").encode(),
    "obj-negative-before-its-vertices.obj": ("f -1 -2 -3\n" + CUBE_OBJ).encode(),
    "obj-two-coordinates.obj": CUBE_OBJ.replace("v 0 0 10", "v 0 0").encode(),
    "obj-nan.obj": CUBE_OBJ.replace("v 0 0 10", "v 0 0 nan").encode(),
    "obj-comma.obj": CUBE_OBJ.replace("v 0 0 10", "v 0,5 0 10").encode(),
    "obj-no-faces.obj": CORNERS.encode(),
    "obj-no-vertices.obj": b"f 1 2 3\n",
    "obj-zero-bytes.obj": CUBE_OBJ.replace("f 1 2", "f 1\0 2").encode(),
    "obj-empty.obj": b"\n\n",
    "ply-no-end.ply": b"ply\nformat ascii 1.0\nelement vertex 8\n",
    "ply-endless-header.ply": b"ply\nformat ascii 1.0\n" + b"comment x\n" * 20000,
    "ply-no-format.ply": changed(ply(""), b"format ascii 1.0\n", b""),
    "ply-unknown-format.ply": changed(ply(""), b"ascii", b"utf8"),
    "ply-unknown-type.ply": changed(ply("<"), b"property float x", b"property quad x"),
    "ply-no-z.ply": changed(ply(""), b"property float z\n", b""),
    "ply-count-too-large.ply": changed(ply("<"), b"vertex 8", b"vertex 9"),
    "ply-count-enormous.ply": changed(ply("<"), b"vertex 8", b"vertex 4000000000"),
    "ply-count-negative.ply": changed(ply("<"), b"vertex 8", b"vertex -8"),
    "ply-text-count-too-large.ply": changed(ply(""), b"face 6", b"face 7"),
    "ply-text-count-too-small.ply": changed(ply(""), b"face 6", b"face 5"),
    "ply-face-count-too-small.ply": changed(ply("<"), b"face 6", b"face 5"),
    "ply-face-count-enormous.ply": changed(ply(">"), b"face 6", b"face 999999999999"),
    "ply-cut.ply": ply("<")[:-3],
    "ply-index-too-large.ply": changed(ply(""), b"4 0 1 3 2", b"4 0 1 3 8"),
    "ply-index-negative.ply": changed(ply(""), b"4 0 1 3 2", b"4 0 1 3 -2"),
    "ply-index-fraction.ply": changed(ply(""), b"4 0 1 3 2", b"4 0 1 3 2.5"),
    "ply-wrong-order.ply": changed(ply("<"), b"little", b"big"),
    "ply-face-of-255.ply": ply("<")[: -17 * 6] + b"\xff" + ply("<")[-17 * 6 + 1 :],
    "ply-strips.ply": changed(ply("<"), b"element face 6", b"element tristrips 6"),
    "ply-nan.ply": changed(ply(""), b"0.0 0.0 10.0", b"0.0 nan 10.0"),
    "ply-element-twice.ply": changed(ply(""), b"element face", b"element vertex 0\nelement face"),
    "ply-float-indices.ply": changed(ply("<"), b"uchar int vertex", b"uchar float vertex"),
    "ply-only-points.ply": changed(ply(""), b"element face 6\nproperty list uchar int vertex_indices\n", b""),
    "not-really.ply": CUBE_OBJ.encode(),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_refused_in_one_line(load_bytes: Loader, name: str) -> None:
    with pytest.raises(Refusal) as refusal:
        load_bytes(BROKEN[name], name)
    sentence = str(refusal.value)
    assert "\n" not in sentence and 20 < len(sentence) <= 400 and sentence.endswith(".")


def test_random_damage_never_gives_anything_but_a_part_or_a_refusal(load_bytes: Loader) -> None:
    rng = np.random.default_rng(9)
    for original, name in (
        (CUBE_OBJ.encode(), "x.obj"),
        (ply("", True), "x.ply"),
        (ply("<", True), "x.ply"),
        (ply(">"), "x.ply"),
    ):
        for _ in range(80):
            data = bytearray(original)
            for _ in range(int(rng.integers(1, 4))):
                data[int(rng.integers(len(data)))] = int(rng.integers(256))
            cut = len(data) if rng.random() < 0.7 else int(rng.integers(len(data)))
            try:
                part = load_bytes(bytes(data[:cut]), name)
                assert np.isfinite(part.vertices_mm).all() and part.n_faces > 0
            except Refusal as refusal:
                assert "\n" not in str(refusal) and len(str(refusal)) <= 400
