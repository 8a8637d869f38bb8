"""3MF packages: written by lib3mf or packed by hand after the 3MF Core Specification 1.3."""

import io
import zipfile
from collections.abc import Callable

import lib3mf
import numpy as np
import pytest
import trimesh

from core.part.part import Part
from core.refusal import Refusal

Loader = Callable[..., Part]
MM_PER = {"micron": 1e-3, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
"""Units of the 3MF Core Specification, chapter 3.4."""
NAMES = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship '
    'Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>"
)
TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
POINTS = [(x, y, z) for x in (0, 10) for y in (0, 10) for z in (0, 10)]
VERTICES = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in POINTS)
FACES = trimesh.creation.box().faces
TRIANGLES = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in FACES)
MESH = f"<mesh><vertices>{VERTICES}</vertices><triangles>{TRIANGLES}</triangles></mesh>"


def cube(number: int = 1, kind: str = "model", mesh: str = MESH) -> str:
    return f'<object id="{number}" type="{kind}">{mesh}</object>'


def model(objects: str, items: str, unit: str = "millimeter", before: str = "") -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{before}<model unit="{unit}" xml:lang="en-US" '
        f'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources>{objects}</resources>'
        f"<build>{items}</build></model>"
    )


def package(text: str | bytes, extra: dict[str, bytes] | None = None, leave_out: str = "") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {"[Content_Types].xml": TYPES, "_rels/.rels": RELATIONS, "3D/3dmodel.model": text}.items():
            if name != leave_out:
                archive.writestr(name, data)
        for name, data in (extra or {}).items():
            archive.writestr(name, data)
    return out.getvalue()


ITEM = '<item objectid="1"/>'


def by_lib3mf(mesh: trimesh.Trimesh) -> bytes:
    wrapper = lib3mf.get_wrapper()
    document = wrapper.CreateModel()
    body = document.AddMeshObject()
    body.SetGeometry(
        [lib3mf.Position(tuple(map(float, point))) for point in mesh.vertices],
        [lib3mf.Triangle(tuple(map(int, face))) for face in mesh.faces],
    )
    document.AddBuildItem(body, wrapper.GetIdentityTransform())
    return bytes(document.QueryWriter("3mf").WriteToBuffer())


def test_a_file_of_lib3mf_comes_back_as_it_was(load_bytes: Loader) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=10)
    part = load_bytes(by_lib3mf(mesh), "ball.3mf")
    assert part.vertices_mm == pytest.approx(np.asarray(mesh.vertices), abs=1e-5)
    assert np.array_equal(part.triangles, mesh.faces)
    assert part.health.buildable and (part.file_format, part.units) == ("3mf", "mm") and part.warnings == ()


@pytest.mark.parametrize("unit", MM_PER)
def test_every_unit_of_the_specification_arrives_in_mm(load_bytes: Loader, unit: str) -> None:
    part = load_bytes(package(model(cube(), ITEM, unit)), "cube.3mf")
    assert part.size_mm == pytest.approx([10 * MM_PER[unit]] * 3)
    assert part.units == NAMES[unit] and part.health.buildable


def test_a_unit_given_by_hand_wins_with_a_warning(load_bytes: Loader) -> None:
    part = load_bytes(package(model(cube(), ITEM, "inch")), "cube.3mf", "mm")
    assert part.size_mm == pytest.approx([10.0] * 3)
    assert any("in" in warning and "mm" in warning for warning in part.warnings)


def test_transforms_of_components_and_items_are_chained(load_bytes: Loader) -> None:
    # component: scaled to half, then moved by (1, 2, 3); item: turned a quarter about z, then moved by (100, 0, 0).
    # by hand: x' = 100 - (y/2 + 2), y' = x/2 + 1, z' = z/2 + 3
    inner = '<component objectid="1" transform="0.5 0 0 0 0.5 0 0 0 0.5 1 2 3"/>'
    group = f'<object id="2"><components>{inner}</components></object>'
    item = '<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 100 0 0"/>'
    part = load_bytes(package(model(cube() + group, item)), "cube.3mf")
    expected = np.array([(100 - (y / 2 + 2), x / 2 + 1, z / 2 + 3) for x, y, z in POINTS])
    assert np.array_equal(np.unique(part.vertices_mm, axis=0), np.unique(expected, axis=0))
    assert part.volume_mm3 == pytest.approx(125.0)


def test_a_mirrored_item_stays_outward(load_bytes: Loader) -> None:
    part = load_bytes(package(model(cube(), '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>')), "cube.3mf")
    assert part.volume_mm3 == pytest.approx(1000.0) and part.health.repaired == ()


def test_two_items_become_one_part_with_a_warning(load_bytes: Loader) -> None:
    items = ITEM + '<item objectid="1" transform="1 0 0 0 1 0 0 0 1 20 0 0"/>'
    part = load_bytes(package(model(cube(), items)), "two.3mf")
    assert part.health.bodies == 2 and part.volume_mm3 == pytest.approx(2000.0)
    assert any("2 objects" in warning for warning in part.warnings)


@pytest.mark.parametrize("kind", ["support", "solidsupport", "surface"])
def test_objects_that_are_no_part_are_left_out_with_a_warning(load_bytes: Loader, kind: str) -> None:
    items = ITEM + '<item objectid="2" transform="1 0 0 0 1 0 0 0 1 20 0 0"/>'
    part = load_bytes(package(model(cube() + cube(2, kind), items)), "two.3mf")
    assert part.volume_mm3 == pytest.approx(1000.0)
    assert any(kind in warning and "left out" in warning for warning in part.warnings)


def test_an_object_that_is_not_built_is_no_part_of_the_part(load_bytes: Loader) -> None:
    part = load_bytes(package(model(cube() + cube(2), '<item objectid="2"/>')), "one.3mf")
    assert part.health.bodies == 1


def nested(levels: int, times: int) -> str:
    objects = cube()
    for level in range(2, levels + 2):
        inner = f'<component objectid="{level - 1}"/>' * times
        objects += f'<object id="{level}"><components>{inner}</components></object>'
    return model(objects, f'<item objectid="{levels + 1}"/>')


CYCLE = '<object id="2"><components><component objectid="2"/></components></object>'
REQUIRES = '<model xmlns:q="http://example.com/q" requiredextensions="q" '
ENTITY = '<!DOCTYPE model [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]>'
BROKEN = {
    "document type": package(model(cube(), ITEM, before=ENTITY)),
    "document type in UTF-16": package(model(cube(), ITEM, before=ENTITY).replace("UTF-8", "UTF-16").encode("utf-16")),
    "external entity": package(model(cube(), ITEM, before='<!DOCTYPE m [<!ENTITY x SYSTEM "file:///etc/passwd">]>')),
    "document type in the relations": package(
        model(cube(), ITEM), leave_out="_rels/.rels", extra={"_rels/.rels": (ENTITY + RELATIONS).encode()}
    ),
    "zip bomb": package(model(cube(), ITEM), {"Metadata/thumbnail.png": bytes(80 << 20)}),
    "component bomb": package(nested(24, 2)),
    "deep components": package(nested(40, 1)),
    "component cycle": package(model(cube() + CYCLE, '<item objectid="2"/>')),
    "missing object": package(model(cube(), '<item objectid="7"/>')),
    "vertex out of range": package(model(cube(mesh=MESH.replace('v1="0"', 'v1="8"', 1)), ITEM)),
    "negative vertex": package(model(cube(mesh=MESH.replace('v1="0"', 'v1="-1"', 1)), ITEM)),
    "not a number": package(model(cube(mesh=MESH.replace('x="10"', 'x="nan"', 1)), ITEM)),
    "words for numbers": package(model(cube(mesh=MESH.replace('x="10"', 'x="ten"', 1)), ITEM)),
    "nothing built": package(model(cube(), "")),
    "only supports": package(model(cube(kind="support"), ITEM)),
    "no model": package(b"", leave_out="3D/3dmodel.model"),
    "no relations": package(model(cube(), ITEM), leave_out="_rels/.rels"),
    "name that leaves the package": package(model(cube(), ITEM), {"../evil.txt": b"x"}),
    "model cut off": package(model(cube(), ITEM)[:700]),
    "wrong namespace": package(model(cube(), ITEM).replace("3dmanufacturing/core/2015/02", "nothing")),
    "unknown required extension": package(model(cube(), ITEM).replace("<model ", REQUIRES, 1)),
    "flattening transform": package(model(cube(), '<item objectid="1" transform="0 0 0 0 1 0 0 0 1 0 0 0"/>')),
    "unknown encoding": package(model(cube(), ITEM).replace('"UTF-8"', '"UTF-3"')),
    "zip cut off": package(model(cube(), ITEM))[:-40],
    "damaged bytes": bytes(b ^ 0x55 if 200 < i < 260 else b for i, b in enumerate(package(model(cube(), ITEM)))),
    "a zip of something else": package(b"", {"readme.txt": b"hello"}, leave_out="3D/3dmodel.model"),
    "no triangles": package(model(cube(mesh=f"<mesh><vertices>{VERTICES}</vertices><triangles/></mesh>"), ITEM)),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_or_hostile_package_is_refused_in_one_line(load_bytes: Loader, kind: str) -> None:
    with pytest.raises(Refusal) as refusal:
        load_bytes(BROKEN[kind], "broken.3mf")
    sentence = str(refusal.value)
    assert "\n" not in sentence and 20 < len(sentence) <= 400 and sentence.endswith(".")
    assert "root:" not in sentence


def test_random_damage_never_gives_anything_but_a_part_or_a_refusal(load_bytes: Loader) -> None:
    rng = np.random.default_rng(11)
    text = model(cube(), ITEM).encode()
    for _ in range(60):
        data = bytearray(text)
        for _ in range(int(rng.integers(1, 4))):
            data[int(rng.integers(len(data)))] = int(rng.integers(256))
        try:
            part = load_bytes(package(bytes(data)), "damaged.3mf")
            assert np.isfinite(part.vertices_mm).all() and part.n_faces > 0
        except Refusal as refusal:
            assert "\n" not in str(refusal) and len(str(refusal)) <= 400
