"""The kinds of package that a 3MF reader must take, and those it must refuse, built from our own data.

Each follows a sentence of the 3MF Core Specification (chapter before the colon) or, marked "ext", of its Materials and
Properties Extension. The list of kinds is that of the 3MF Consortium's conformance files: 13 to take, 38 to refuse.
"""

from tests.files.solids import (
    CORE,
    ITEM,
    RELATION,
    START,
    box,
    mesh_text,
    model,
    package,
    relations,
    thing,
)  # fmt: skip

MATERIAL = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
M = f' xmlns:m="{MATERIAL}"'
THUMBNAIL = "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
BASE = (
    '<basematerials id="10"><base name="steel" displaycolor="#808080"/>'
    '<base name="tin" displaycolor="#C0C0C0FF"/></basematerials>'
)
COLOURS = '<m:colorgroup id="11"><m:color color="#FF0000"/><m:color color="#00FF0080"/></m:colorgroup>'
PICTURE = '<m:texture2d id="12" path="/3D/a.png" contenttype="image/png" tilestyleu="wrap"/>'
MAPPED = '<m:texture2dgroup id="13" texid="12"><m:tex2coord u="0" v="0.5"/></m:texture2dgroup>'
MIXED = (
    '<m:compositematerials id="14" matid="10" matindices="0 1"><m:composite values="0.5 0.5"/></m:compositematerials>'
)
LAYERS = '<m:multiproperties id="15" pids="14 11"><m:multi pindices="0 1"/></m:multiproperties>'
WITH_PICTURE = {
    "3D/a.png": b"\x89PNG\r\n\x1a\n",
    "3D/_rels/3dmodel.model.rels": relations(("/3D/a.png", f"{RELATION}3dtexture")),
}
PAIR = thing() + '<object id="2"><components><component objectid="1"/></components></object>'
TURNED = '<item objectid="1" transform="0 1 0 -1 0 0 0 0 1 200 0 0"/>'


def _with(resources: str, objects: str | None = None) -> bytes:
    """A model with these resources ahead of its object."""
    return package(
        model(resources + (thing(more=' pid="15" pindex="0"') if objects is None else objects), top=M), WITH_PICTURE
    )


def _metadata(*names: str) -> str:
    return "".join(f'<metadata name="{name}">some text</metadata>' for name in names)


MUST_LOAD: dict[str, tuple[bytes, float]] = {
    "2.1: relationships to model, thumbnail and ticket": (
        package(
            parts={
                "Metadata/t.png": b"\x89PNG",
                "3D/ticket.xml": "<t/>",
                "_rels/.rels": relations(START, ("/Metadata/t.png", THUMBNAIL)),
                "3D/_rels/3dmodel.model.rels": relations(("/3D/ticket.xml", f"{RELATION}printticket")),
            }
        ),
        1,
    ),
    "2.2: parts of any name": (
        package(
            parts={
                "3D/3dmodel.model": None,
                "Anywhere/Body-1_a.model": model(),
                "_rels/.rels": relations(("/Anywhere/Body-1_a.model", START[1])),
            }
        ),
        1,
    ),
    "2.3: markup of other namespaces is ignored": (
        package(
            model(top=' xmlns:q="http://example.com/q" q:seen="yes"')
            .replace("</mesh>", '<q:note q:by="us"/></mesh>')
            .replace("</resources>", "</resources>")
        ),
        1,
    ),
    "3.2: millimetres": (package(model(unit="millimeter")), 1),
    "3.2: several items, placed": (package(model(items=ITEM + TURNED)), 2),
    "3.4.1: metadata of undefined names are ignored": (
        package(model(top=' xmlns:q="http://example.com/q"', inside=_metadata("Title", "q:batch", "Furnace"))),
        1,
    ),
    "3.4.2: metadata, resources, build": (
        package(
            model(
                BASE + thing(more=' pid="10" pindex="0"'),
                inside=_metadata(
                    "Title",
                    "Designer",
                    "Description",
                    "Copyright",
                    "LicenseTerms",
                    "Rating",
                    "CreationDate",
                    "Application",
                ),
            )
        ),
        1,
    ),
    "3.4.3: objects that no item refers to are not built": (
        package(model(thing() + thing(2, mesh=mesh_text(box(scale=3))))),
        1,
    ),
    "4.1: a support beside the object": (
        package(model(thing() + thing(2, "support"), ITEM + '<item objectid="2"/>')),
        1,
    ),
    "4.2: components": (package(model(PAIR, '<item objectid="2"/>' + TURNED)), 2),
    "ext 5.1: composites and layers": (_with(BASE + COLOURS + MIXED + LAYERS), 1),
    "ext 5.1: several objects with composites and layers": (
        package(
            model(
                BASE
                + COLOURS
                + PICTURE
                + MAPPED
                + MIXED
                + LAYERS
                + thing(more=' pid="14" pindex="0"')
                + thing(2, mesh=mesh_text(extra='pid="15" p1="0"')),
                ITEM + TURNED.replace('"1"', '"2"'),
                top=M,
            ),
            WITH_PICTURE,
        ),
        2,
    ),
    "ext 5.1: colours with and without alpha": (
        _with(COLOURS, thing(mesh=mesh_text(extra='pid="11" p1="0" p2="1" p3="0"'))),
        1,
    ),
}
"""Kind: package and how many boxes it builds."""

MUST_REFUSE: dict[str, bytes] = {
    "2.1.1: the model isn't there": package(parts={"_rels/.rels": relations(("/3D/gone.model", START[1]))}),
    "2.1.1: the model is outside": package(
        parts={"_rels/.rels": relations(("http://example.com/a.model", START[1], "External"))}
    ),
    "2.1.2: two models to start with": package(
        parts={"3D/b.model": model(), "_rels/.rels": relations(START, ("/3D/b.model", START[1]))}
    ),
    "2.1.3: the thumbnail isn't there": package(
        parts={"_rels/.rels": relations(START, ("/Metadata/t.png", THUMBNAIL))}
    ),
    "2.1.4: two print tickets": package(
        parts={
            "3D/t.xml": "<t/>",
            "3D/u.xml": "<t/>",
            "3D/_rels/3dmodel.model.rels": relations(
                ("/3D/t.xml", f"{RELATION}printticket"), ("/3D/u.xml", f"{RELATION}printticket")
            ),
        }
    ),
    "2.3.2: neither UTF-8 nor UTF-16": package(model(encoding="ISO-8859-1").encode("latin-1")),
    "2.3.2: a document type": package(model(before="<!DOCTYPE model [<!ELEMENT model ANY>]>")),
    "2.3.2: a namespace that isn't declared": package(model().replace("<vertices>", "<vertices><q:x/>", 1)),
    "2.3.2: attributes of xsi": package(model(top=f' xmlns:xsi="{XSI}" xsi:schemaLocation="{CORE} core.xsd"')),
    "2.3.4: xml:space": package(model(top=' xml:space="preserve"')),
    "3.4: two model elements": package(model() + model()[38:]),
    "3.4: no build": package(model().replace(f"<build>{ITEM}</build>", "")),
    "3.4: no resources": package(model(items="").replace(f"<resources>{thing()}</resources>", "")),
    "3.4.1: metadata without a name": package(model(inside="<metadata>text</metadata>")),
    "3.4.1: two metadata of one name": package(model(inside=_metadata("Title", "Title"))),
    "3.4.3: an item without its object": package(model(items='<item objectid="8"/>')),
    "3.4.3: an item of type other": package(model(thing(kind="other"))),
    "4: an object type that isn't defined": package(model(thing(kind="scaffold"))),
    "4: a property index without its group": package(model(BASE + thing(more=' pindex="0"'))),
    "5: two material groups of one number": package(model(BASE + BASE + thing(more=' pid="10" pindex="0"'))),
    "ext 2: two colour groups of one number": _with(COLOURS + COLOURS, thing()),
    "ext 2: one number for groups of two kinds": _with(BASE + COLOURS.replace('"11"', '"10"'), thing()),
    "ext 2: a colour without its value": _with(COLOURS.replace(' color="#FF0000"', ""), thing()),
    "ext 3: two texture groups of one number": _with(PICTURE + MAPPED + MAPPED, thing()),
    "ext 3: a texture group without texture": _with(PICTURE + MAPPED.replace(' texid="12"', ""), thing()),
    "ext 4: two composites of one number": _with(BASE + MIXED + MIXED, thing()),
    "ext 4: a composite of something that is no material": _with(
        COLOURS + MIXED.replace('matid="10"', 'matid="11"'), thing()
    ),
    "ext 4: a composite without materials": _with(BASE + MIXED.replace(' matid="10" matindices="0 1"', ""), thing()),
    "ext 4: a composite without indices": _with(BASE + MIXED.replace(' matindices="0 1"', ""), thing()),
    "ext 5: layers without groups": _with(BASE + COLOURS + MIXED + LAYERS.replace(' pids="14 11"', "")),
    "ext 5: layers of two base materials": _with(
        BASE + BASE.replace('"10"', '"16"') + LAYERS.replace("14 11", "10 16")
    ),
    "ext 5: layers of a base and a composite": _with(BASE + MIXED + LAYERS.replace("14 11", "10 14")),
    "ext 5: layers of other layers": _with(
        BASE + COLOURS + MIXED + LAYERS + LAYERS.replace('"15"', '"17"').replace("14 11", "14 15")
    ),
    "ext 5: layers of two colour groups": _with(
        COLOURS + COLOURS.replace('"11"', '"18"') + LAYERS.replace("14 11", "11 18")
    ),
    "ext 5: layers of two composites": _with(
        BASE + MIXED + MIXED.replace('"14"', '"19"') + LAYERS.replace("14 11", "14 19")
    ),
    "ext 5: layers of themselves": _with(BASE + COLOURS + LAYERS.replace("14 11", "15 11")),
    "ext 6: a texture without path": _with(PICTURE.replace(' path="/3D/a.png"', ""), thing()),
    "ext 6: a texture that is no picture": _with(PICTURE.replace("image/png", "text/plain"), thing()),
}
"""Kind: package. The types of content in these packages are right unless the kind says otherwise."""
