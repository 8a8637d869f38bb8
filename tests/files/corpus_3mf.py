"""Malformed, nasty and hostile 3MF packages: units, placings, types, relationships, paths, entities, cycles, bombs."""

import io
import random
import warnings
import zipfile
from collections.abc import Iterator

from tests.files.cases import Case
from tests.files.corpus_stl import bad as bad_file
from tests.files.corpus_stl import good as good_file
from tests.files.solids import (
    BOX_MM3,
    CORE,
    ITEM,
    RELATION,
    START,
    TYPES,
    box,
    mesh_text,
    model,
    package,
    relations,
    thing,
)  # fmt: skip

THUMBNAIL = "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
NEXT = '<item objectid="{}" transform="1 0 0 0 1 0 0 0 1 50 0 0"/>'


def package_cases(seed: int = 3) -> Iterator[Case]:
    """All 3MF packages of the corpus."""
    yield from _sound()
    yield from _objects()
    yield from _broken_model()
    yield from _broken_package()
    yield from _hostile()
    whole = package()
    rng = random.Random(seed)
    for k in range(8):
        yield _bad("truncated", f"cut {k}", whole[: rng.randrange(30, len(whole) - 1)])


def _good(name: str, data: bytes, *warns: str, kind: str = "sound", **more: object) -> Case:
    return good_file(f"3MF, {kind}", name, data, *warns, **({"file": "part.3mf"} | more))


def _bad(kind: str, name: str, data: bytes, word: str = "") -> Case:
    return bad_file(f"3MF, {kind}", name, data, word, "part.3mf")


def _sound() -> Iterator[Case]:
    scale = {"micron": 1e-3, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
    for unit, mm in scale.items():  # 3MF Core Specification, section 3.4
        usual = 1 <= 30 * mm <= 1500
        yield _good(unit, package(model(unit=unit)), *([] if usual else ["own unit"]), volume=BOX_MM3 * mm**3)
    yield _good("named as STL", package(), file="part.stl")
    yield _good("UTF-16", package(model(encoding="UTF-16").encode("utf-16")))
    yield _good("byte order mark", package("\ufeff" + model()))
    yield _good("comments", package(model().replace("<vertices>", "<vertices><!-- <vertices> -->")))
    yield _good("rows in other order", package(model().replace('v1="0" v2="1" v3="3"', "v3='3'  v1='0'\nv2='1'")))
    prefixed = model().replace("<", "<m:").replace("<m:/", "</m:").replace("<m:?", "<?").replace("xmlns=", "xmlns:m=")
    yield _good("with a prefix", package(prefixed))
    yield _good("blanks and plus signs", package(model().replace('x="10.0"', 'x=" +1.0e1 "')))
    yield _good("escaped digits", package(model().replace('x="10.0"', 'x="&#49;0"')))
    other = 'xmlns:q="http://example.com/q"'
    yield _good(
        "foreign elements", package(model(inside="", top=f" {other}").replace("</mesh>", "<q:x><q:y/></q:x></mesh>"))
    )
    yield _good("unknown attribute", package(model(items='<item objectid="1" printed="1"/>')), "doesn't know")
    shown = relations(START, ("/Metadata/t.png", THUMBNAIL))
    yield _good("thumbnail", package(parts={"Metadata/t.png": b"\x89PNG", "_rels/.rels": shown}))
    yield _good("stored, not packed", _stored())
    moved = {"3D/3dmodel.model": None, "Other/Körper 1.model": model()}
    yield _good(
        "model elsewhere",
        package(parts={**moved, "_rels/.rels": relations(("/Other/K%C3%B6rper%201.model", START[1]))}),
    )
    decoy = model(thing(mesh=mesh_text(box(scale=2))))
    yield _good("a decoy beside the model", package(parts={"3D/decoy.model": decoy, "3D/3dmodel2.model": decoy}))
    entry = package(parts={"big.xml": bytes(3 << 20)})
    yield _good("a large part that isn't read", entry)


def _stored() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package())) as packed, zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as stored:
        for name in packed.namelist():
            stored.writestr(name, packed.read(name))
    return out.getvalue()


def _objects() -> Iterator[Case]:
    two = {"volume": 2 * BOX_MM3, "bodies": 2, "kind": "placing"}
    yield _good("two items", package(model(items=ITEM + NEXT.format(1))), "builds 2 objects", **two)
    yield _good(
        "mirrored", package(model(items='<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>')), kind="placing"
    )
    half = "0.5 0 0 0 0.5 0 0 0 0.5 1 2 3"
    group = '<object id="2"><components><component objectid="1" transform="{}"/></components></object>'
    yield _good("a component of half size", package(model(thing() + group.format(half), '<item objectid="2"/>')),
                volume=BOX_MM3 / 8, kind="placing")  # fmt: skip
    pair = group.replace("</components>", '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 50 0 0"/></components>')
    pair = pair.format("1 0 0 0 1 0 0 0 1 0 0 0")
    yield _good("two components", package(model(thing() + pair, '<item objectid="2"/>')), "2 separate bodies", **two)
    for kind in ("support", "solidsupport", "surface"):
        objects = thing() + thing(2, kind)
        yield _good(f"{kind} left out", package(model(objects, ITEM + NEXT.format(2))), "left out", kind="object types")
        yield _bad("object types", f"only {kind}", package(model(thing(kind=kind))), "no object of type model")
    yield _good("an object that isn't built", package(model(thing() + thing(2))), kind="object types")
    beams = 'xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"'
    lattice = model(top=f" {beams}").replace("</mesh>", '<b:beamlattice><b:beam v1="0" v2="1"/></b:beamlattice></mesh>')
    yield _good("beams beside the mesh", package(lattice), "beams", kind="object types")
    start, rels = f' xmlns:p="{PRODUCTION}" requiredextensions="p"', "3D/_rels/3dmodel.model.rels"
    away = model("", '<item objectid="1" p:path="/3D/a.model"/>', top=start)
    parts = {"3D/a.model": model(), rels: relations(("/3D/a.model", START[1]))}
    yield _good("an object in another model", package(away, parts), kind="placing")
    yield _bad("placing", "a path no relationship names", package(away, {"3D/a.model": model()}), "no relationship")
    yield _bad("placing", "a path out of the package", package(away.replace("/3D/a.model", "/../../etc/passwd"), parts))
    onward = model(
        group.format(half).replace("objectid", 'p:path="/3D/a.model" objectid'), '<item objectid="2"/>', top=start
    )
    yield _bad("cycle", "two models that name each other", package(away, {**parts, "3D/a.model": onward}))


def _broken_model() -> Iterator[Case]:
    def changed(old: str, new: str, count: int = 1) -> bytes:
        return package(model().replace(old, new, count))

    for value in ("nan", "inf", "1e999", "ten", "", "1 2", "1,5", "0x1", "1_0", "--1"):
        yield _bad("no finite number", f"x {value!r}", changed('x="10.0"', f'x="{value}"'))
    shifted = model().replace('x="0.0" y="0.0" z="0.0"', 'x="0 0" y="" z="0"', 1)
    yield _bad("no finite number", "two words and none", package(shifted))
    for value in ("8", "-1", "99999999999", "1.5", "a", "", "1e0"):
        yield _bad("no such vertex", f"v1 {value!r}", changed('v1="0"', f'v1="{value}"'))
    for matrix in ("0 0 0 0 1 0 0 0 1 0 0 0", "1 0 0", "nan 0 0 0 1 0 0 0 1 0 0 0", "1e999 0 0 0 1 0 0 0 1 0 0 0", "a"):
        yield _bad("transform", matrix, package(model(items=f'<item objectid="1" transform="{matrix}"/>')))
    for name, text in {
        "no unit known": model(unit="furlong"),
        "unknown attribute of XML": model(top=' xml:space="preserve"'),
        "wrong namespace": model().replace(CORE, "http://example.com/nothing"),
        "unknown extension is required": model(top=' xmlns:q="http://example.com/q" requiredextensions="q"'),
        "an extension without a namespace is required": model(top=' requiredextensions="q"'),
        "missing object": model(items='<item objectid="7"/>'),
        "nothing is built": model(items=""),
        "two objects of one number": model(thing() + thing()),
        "object 0": model(thing(0), '<item objectid="0"/>'),
        "a component of itself": model(
            thing() + '<object id="2"><components><component objectid="2"/></components></object>',
            '<item objectid="2"/>',
        ),
        "a component of a later object": model(
            '<object id="2"><components><component objectid="1"/></components></object>' + thing(),
            '<item objectid="2"/>',
        ),
        "a mesh and components": model(thing(mesh=mesh_text() + "<components/>")),
        "neither mesh nor components": model(thing(mesh="")),
        "two meshes": model(thing(mesh=mesh_text() * 2)),
        "triangles before vertices": model(thing(mesh="<mesh><triangles/><vertices/></mesh>")),
        "no triangles": model(thing(mesh="<mesh><vertices/><triangles/></mesh>")),
        "a vertex among triangles": model().replace("<triangles>", '<triangles><vertex x="0" y="0" z="0"/>'),
        "a lost bracket": model().replace("<vertex", " vertex", 1).replace("/>", " ", 1),
        "text among vertices": model().replace("<vertices>", "<vertices>hello"),
        "cut off": model()[:700],
        "two roots": model() + model()[38:],
        "nothing": "",
        "no XML": "hello",
        "wrong end": model().replace("</build>", "</bild>"),
    }.items():
        yield _bad("broken model", name, package(text))
    latin = model(encoding="ISO-8859-1").replace("<resources>", '<metadata name="Title">é</metadata><resources>')
    yield _bad("broken model", "an encoding that isn't Unicode", package(latin.encode("latin-1")), "UTF-8")
    yield _bad("broken model", "an unknown encoding", package(model(encoding="UTF-3")), "UTF-8")
    yield _bad("broken model", "bytes that aren't UTF-8", package(model().encode().replace(b"en-US", b"\xff\xfe")))


def _broken_package() -> Iterator[Case]:
    rels = "_rels/.rels"
    for name, parts in {
        "no model": {"3D/3dmodel.model": None},
        "no relationships": {rels: None},
        "no content types": {"[Content_Types].xml": None},
        "model of another type": {"[Content_Types].xml": TYPES.replace("3dmodel+xml", "other+xml")},
        "two models to start with": {"3D/b.model": model(), rels: relations(START, ("/3D/b.model", START[1]))},
        "a relationship to nothing": {rels: relations(("/3D/c.model", START[1]))},
        "a relationship outside": {rels: relations(("http://example.com/a.model", START[1], "External"))},
        "a relationship upwards": {rels: relations(("../../../etc/passwd", START[1]))},
        "a relationship upwards, escaped": {rels: relations(("/3D/%2e%2e/%2e%2e/etc/passwd", START[1]))},
        "a relationship with a scheme": {rels: relations(("file:///etc/passwd", START[1]))},
        "a relationship without type": {rels: relations(START).replace("Type=", "Kind=")},
        "relationships that are none": {rels: "<html/>"},
        "relationships cut off": {rels: relations(START)[:150]},
        "a thumbnail that isn't there": {rels: relations(START, ("/t.png", THUMBNAIL))},
        "two tickets": {
            "a.xml": "<a/>",
            "3D/_rels/3dmodel.model.rels": relations(
                ("/a.xml", f"{RELATION}printticket"), ("/a.xml", f"{RELATION}printticket")
            ),
        },
        "a name upwards": {"../evil.txt": b"x"},
        "a name from the root": {"/etc/evil.txt": b"x"},
        "a name with backslashes": {"..\\evil.txt": b"x"},
        "two names that differ by capitals": {"3D/3DMODEL.model": model()},
    }.items():
        yield _bad("broken package", name, package(parts=parts))
    out = io.BytesIO(package())
    with warnings.catch_warnings(), zipfile.ZipFile(out, "a") as archive:
        warnings.simplefilter("ignore")  # that a name is there already is the point
        archive.writestr("3D/3dmodel.model", model(thing(mesh=mesh_text(box(scale=2)))))
    yield _bad("broken package", "two models of one name", out.getvalue(), "two entries")
    yield _bad("broken package", "a zip of something else", package(parts={"[Content_Types].xml": None, rels: None}))
    whole = package()
    encrypted = whole.replace(b"PK\x01\x02", b"\0\0\0\0")
    yield _bad("broken package", "no directory", encrypted)
    flags = bytearray(whole)
    for at in _directory(whole):
        flags[at + 8] |= 1
    yield _bad("broken package", "encrypted", bytes(flags), "encrypted")
    for method in (12, 14, 93):
        other = bytearray(whole)
        for at in _directory(whole):
            other[at + 10] = method
        yield _bad("broken package", f"packing method {method}", bytes(other))
    damaged = bytearray(whole)
    at = whole.index(b"3D/3dmodel.model") + 40
    damaged[at : at + 30] = bytes(b ^ 0x55 for b in damaged[at : at + 30])
    yield _bad("broken package", "damaged bytes", bytes(damaged), "damaged")
    sums = bytearray(whole)
    for at in _directory(whole):
        sums[at + 16] ^= 1
    yield _bad("broken package", "wrong check sums", bytes(sums))


def _directory(data: bytes) -> list[int]:
    """Where the entries of the central directory begin."""
    return [at for at in range(len(data) - 4) if data[at : at + 4] == b"PK\x01\x02"]


def _hostile() -> Iterator[Case]:
    entity = '<!DOCTYPE model [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    for name, data in {
        "entity bomb": package(model(before=entity)),
        "entity bomb in UTF-16": package(model(before=entity, encoding="UTF-16").encode("utf-16")),
        "external entity": package(model(before='<!DOCTYPE m [<!ENTITY x SYSTEM "file:///etc/passwd">]>')),
        "external document type": package(model(before='<!DOCTYPE m SYSTEM "http://example.com/m.dtd">')),
        "document type in the relationships": package(parts={"_rels/.rels": entity + relations(START)[38:]}),
        "document type in the content types": package(parts={"[Content_Types].xml": entity + TYPES[38:]}),
    }.items():
        yield _bad("entities", name, data, "forbids")
    yield _bad("bomb", "components, 2 to the 30", package(_nested(30, 2)), "")
    yield _bad("bomb", "components, a chain of 40", package(_nested(40, 1)), "deep")
    yield _bad("bomb", "components, 60,000 of one", package(model(items=ITEM * 60_000)), "")
    yield _bad("bomb", "elements nested 100,000 deep", package(model(inside="<a>" * 100_000)), "")
    names = {f"x{k}.txt": b"" for k in range(5000)}
    yield _bad("bomb", "5,000 entries", package(parts=names), "entries")


def _nested(levels: int, times: int) -> str:
    objects = thing()
    for level in range(2, levels + 2):
        inner = f'<component objectid="{level - 1}"/>' * times
        objects += f'<object id="{level}"><components>{inner}</components></object>'
    return model(objects, f'<item objectid="{levels + 1}"/>')
