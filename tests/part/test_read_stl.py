"""STL files: sound ones as trimesh writes them, and the ways they arrive broken."""

import struct
from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from core.part.part import Part
from core.refusal import Refusal

Loader = Callable[..., Part]


def ball() -> trimesh.Trimesh:
    return trimesh.creation.icosphere(subdivisions=2, radius=10)


def binary(mesh: trimesh.Trimesh | None = None) -> bytes:
    return bytes((mesh or ball()).export(file_type="stl"))


def text(mesh: trimesh.Trimesh | None = None) -> bytes:
    return (mesh or ball()).export(file_type="stl_ascii").encode()


def with_number(value: float, at: int = 84 + 12) -> bytes:
    data = bytearray(binary())
    data[at : at + 4] = struct.pack("<f", value)
    return bytes(data)


def test_a_binary_file_gives_the_triangles_of_trimesh_in_file_order(load_bytes: Loader) -> None:
    mesh = ball()
    part = load_bytes(binary(mesh), "ball.stl")
    assert part.corners_mm == pytest.approx(np.asarray(mesh.triangles, np.float32))
    assert len(part.vertices_mm) == len(mesh.vertices)
    assert part.health.watertight and part.health.buildable and part.health.bodies == 1
    assert (part.file_format, part.units, part.warnings) == ("stl", "mm", ())


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t,
        lambda t: t.replace(b"\n", b"\r\n"),
        lambda t: t.replace(b"\n", b"\r"),
        lambda t: t.upper().replace(b"E-", b"e-"),
        lambda t: b"\xef\xbb\xbf" + t,
        lambda t: b"\n  " + t,
        lambda t: t.replace(b"\n", b"\n\t  ") + b"\n\n",
        lambda t: t.replace(b"solid", b"solid facet of a name with words", 1),
    ],
)
def test_text_files_are_read_in_every_usual_spelling(load_bytes: Loader, change: Callable[[bytes], bytes]) -> None:
    mesh = ball()
    part = load_bytes(change(text(mesh)), "ball.stl")
    assert part.corners_mm == pytest.approx(np.asarray(mesh.triangles), abs=1e-6)
    assert part.health.watertight


def test_numbers_in_text_are_rounded_as_python_rounds_them(load_bytes: Loader) -> None:
    # Python's float() is correctly rounded (David Gay's algorithm)
    rng = np.random.default_rng(5)
    words = [f"{x:.17g}" for x in rng.normal(0, 50, 12)] + ["1e-3", "+.5", "7.", "123456789012345678901e-19", "0.1e2"]
    corners = np.array([float(word) for word in words[:9]]).reshape(3, 3)
    facet = "facet normal 0 0 0\nouter loop\n" + "".join(
        f"vertex {' '.join(words[i : i + 3])}\n" for i in (0, 3, 6)
    ) + "endloop\nendfacet\n"  # fmt: skip
    part = load_bytes(f"solid x\n{facet}endsolid x\n".encode(), "one.stl")
    assert np.array_equal(part.corners_mm[0], corners)
    from core.part.text_numbers import find_words, read_numbers

    raw = np.frombuffer(" ".join(words).encode(), dtype=np.uint8)
    assert read_numbers(raw, *find_words(raw), "number").tolist() == [float(word) for word in words]


def test_a_binary_file_whose_header_says_solid_is_read(load_bytes: Loader) -> None:
    data = b"solid made by some program".ljust(80) + binary()[80:]
    assert load_bytes(data, "ball.stl").n_faces == 320


def test_several_text_solids_become_one_part_with_a_warning(load_bytes: Loader) -> None:
    other = ball().apply_translation([30, 0, 0])
    part = load_bytes(text() + text(other), "two.stl")
    assert part.health.bodies == 2 and part.n_faces == 640
    assert any("2 solids" in warning for warning in part.warnings)


def test_zero_bytes_after_the_last_triangle_are_ignored_with_a_warning(load_bytes: Loader) -> None:
    part = load_bytes(binary() + bytes(33), "ball.stl")
    assert part.n_faces == 320 and any("33 zero bytes" in warning for warning in part.warnings)


BROKEN = {
    "empty file": b"",
    "header only": binary()[:80],
    "no triangles": bytes(84),
    "cut inside a triangle": binary()[:-17],
    "cut after a triangle": binary()[:-50],
    "count too small": binary()[:80] + struct.pack("<I", 100) + binary()[84:],
    "count zero": binary()[:80] + bytes(4) + binary()[84:],
    "count huge": binary()[:80] + b"\xff\xff\xff\xff" + binary()[84:],
    "not a number": with_number(float("nan")),
    "infinite": with_number(float("inf")),
    "damaged exponent": with_number(1e30),
    "random bytes": np.random.default_rng(0).bytes(5000),
    "text without endsolid": text()[: len(text()) // 2],
    "text cut in a word": text()[:-40],
    "text with nan": text().replace(b"vertex ", b"vertex nan ", 1).replace(b"nan 0", b"nan", 1),
    "text with a word for a number": text().replace(b"vertex ", b"vertex minus", 1),
    "text with a quad": text().replace(b"endloop", b"vertex 1 2 3\nendloop", 1),
    "text with two coordinates": text().replace(b"vertex ", b"vertex\nvertex ", 1),
    "text without facets": b"solid nothing\nendsolid nothing\n",
    "text with a huge number": text().replace(b"vertex ", b"vertex 1e999 ", 1),
    "hexadecimal": text().replace(b"vertex ", b"vertex 0x10 ", 1),
    "all corners one point": b"x" * 80 + struct.pack("<I", 4) + bytes(200),
    "a web page": b"<html><body>404 not found</body></html>" * 10,
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_file_is_refused_in_one_line(load_bytes: Loader, kind: str) -> None:
    with pytest.raises(Refusal) as refusal:
        load_bytes(BROKEN[kind], "broken.stl")
    sentence = str(refusal.value)
    assert "\n" not in sentence and 20 < len(sentence) <= 400 and sentence.endswith(".")


def test_a_refusal_in_text_names_the_line(load_bytes: Loader) -> None:
    lines = text().split(b"\n")
    lines[10] = b"  vertex 1 2 abc"
    with pytest.raises(Refusal, match=r"Line 11 .*'abc'"):
        load_bytes(b"\n".join(lines), "broken.stl")


def test_random_damage_never_gives_anything_but_a_part_or_a_refusal(load_bytes: Loader) -> None:
    rng = np.random.default_rng(7)
    for original in (binary(trimesh.creation.box()), text(trimesh.creation.box())):
        for _ in range(120):
            data = bytearray(original)
            for _ in range(int(rng.integers(1, 4))):
                data[int(rng.integers(len(data)))] = int(rng.integers(256))
            cut = len(data) if rng.random() < 0.7 else int(rng.integers(len(data)))
            try:
                part = load_bytes(bytes(data[:cut]), "damaged.stl")
                assert np.isfinite(part.vertices_mm).all() and part.n_faces > 0
            except Refusal as refusal:
                assert "\n" not in str(refusal) and len(str(refusal)) <= 400
