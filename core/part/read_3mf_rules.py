"""What may stand where in a 3MF model: elements, their places and attributes, and how values are written.

After the schemas of the 3MF Core Specification (1.2.2, appendix B) and of its Materials and Properties Extension.
"""

import re
from dataclasses import dataclass, field

from core.refusal import Refusal

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MATERIAL = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
BEAMS = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
XML = "http://www.w3.org/XML/1998/namespace"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
READABLE = (
    CORE,
    MATERIAL,
    PRODUCTION,
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
    "http://schemas.3mf.io/3dmanufacturing/trianglesets/2021/07",
)
"""Extensions that change nothing about a part's shape, or that are resolved here (production)."""

_NUMBER = r"[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?"
_SHAPES = {
    "id": re.compile(r"\s*\+?0*[1-9][0-9]{0,9}\s*"),
    "index": re.compile(r"\s*\+?[0-9]{1,10}\s*"),
    "number": re.compile(rf"\s*{_NUMBER}\s*"),
    "numbers": re.compile(rf"\s*{_NUMBER}(\s+{_NUMBER})*\s*"),
    "indices": re.compile(r"\s*[0-9]{1,10}(\s+[0-9]{1,10})*\s*"),
    "ids": re.compile(r"\s*[0-9]{1,10}(\s+[0-9]{1,10})*\s*"),
    "matrix": re.compile(rf"\s*{_NUMBER}(\s+{_NUMBER}){{11}}\s*"),
    "colour": re.compile(r"#([0-9A-Fa-f]{6}|[0-9A-Fa-f]{8})"),
    "unit": re.compile("micron|millimeter|centimeter|inch|foot|meter"),
    "type": re.compile("model|solidsupport|support|surface|other"),
    "picture": re.compile("image/png|image/jpeg"),
    "path": re.compile("/.+"),
    "text": re.compile(".*", re.DOTALL),
}


@dataclass(frozen=True, kw_only=True)
class Rule:
    """inside: elements it may stand in. needs, may: attributes without namespace and how their values are written."""

    inside: tuple[str, ...]
    needs: dict[str, str] = field(default_factory=dict)
    may: dict[str, str] = field(default_factory=dict)
    holds_text: bool = False


def core(name: str) -> str:
    """An element of the core namespace, as the parser spells it."""
    return f"{CORE} {name}"


def material(name: str) -> str:
    """An element of the materials namespace, as the parser spells it."""
    return f"{MATERIAL} {name}"


_PLACED = {"transform": "matrix"}
_PROPERTIES = dict.fromkeys(("pid", "pindex"), "index")
_CORNER_PROPERTIES = dict.fromkeys(("pid", "p1", "p2", "p3"), "index")
_SHOWN = {"displaypropertiesid": "id"}
_TEXTURE = dict.fromkeys(("tilestyleu", "tilestylev", "filter", "box"), "text")
RULES = {
    core("model"): Rule(
        inside=("",), may={"unit": "unit", **dict.fromkeys(("requiredextensions", "recommendedextensions"), "text")}
    ),
    core("metadata"): Rule(
        inside=(core("model"), core("metadatagroup")),
        needs={"name": "text"},
        may={"preserve": "text", "type": "text"},
        holds_text=True,
    ),
    core("metadatagroup"): Rule(inside=(core("object"), core("item"))),
    core("resources"): Rule(inside=(core("model"),)),
    core("build"): Rule(inside=(core("model"),)),
    core("basematerials"): Rule(inside=(core("resources"),), needs={"id": "id"}, may=_SHOWN),
    core("base"): Rule(inside=(core("basematerials"),), needs={"name": "text", "displaycolor": "colour"}),
    core("object"): Rule(
        inside=(core("resources"),),
        needs={"id": "id"},
        may={"type": "type", **_PROPERTIES, **dict.fromkeys(("thumbnail", "partnumber", "name"), "text")},
    ),
    core("mesh"): Rule(inside=(core("object"),)),
    core("vertices"): Rule(inside=(core("mesh"),)),
    core("vertex"): Rule(inside=(core("vertices"),), needs=dict.fromkeys("xyz", "number")),
    core("triangles"): Rule(inside=(core("mesh"),)),
    core("triangle"): Rule(
        inside=(core("triangles"),), needs=dict.fromkeys(("v1", "v2", "v3"), "index"), may=_CORNER_PROPERTIES
    ),
    core("components"): Rule(inside=(core("object"),)),
    core("component"): Rule(inside=(core("components"),), needs={"objectid": "id"}, may=_PLACED),
    core("item"): Rule(inside=(core("build"),), needs={"objectid": "id"}, may={**_PLACED, "partnumber": "text"}),
    material("colorgroup"): Rule(inside=(core("resources"),), needs={"id": "id"}, may=_SHOWN),
    material("color"): Rule(inside=(material("colorgroup"),), needs={"color": "colour"}),
    material("texture2d"): Rule(
        inside=(core("resources"),), needs={"id": "id", "path": "path", "contenttype": "picture"}, may=_TEXTURE
    ),
    material("texture2dgroup"): Rule(inside=(core("resources"),), needs={"id": "id", "texid": "id"}, may=_SHOWN),
    material("tex2coord"): Rule(inside=(material("texture2dgroup"),), needs={"u": "number", "v": "number"}),
    material("compositematerials"): Rule(
        inside=(core("resources"),), needs={"id": "id", "matid": "id", "matindices": "indices"}, may=_SHOWN
    ),
    material("composite"): Rule(inside=(material("compositematerials"),), needs={"values": "numbers"}),
    material("multiproperties"): Rule(
        inside=(core("resources"),), needs={"id": "id", "pids": "ids"}, may={"blendmethods": "text", **_SHOWN}
    ),
    material("multi"): Rule(inside=(material("multiproperties"),), needs={"pindices": "indices"}),
}
"""By element; other elements of these two namespaces are none, other namespaces are passed over."""
FOREIGN_INSIDE = tuple(core(name) for name in ("model", "resources", "object", "mesh"))
"""Where elements of other namespaces may stand; anywhere else the schema allows none."""
MATERIAL_INSIDE = core("resources")


def breaks(what: str) -> Refusal:
    """The refusal for a file that isn't as the specification wants it."""
    return Refusal(f"The 3MF file breaks its format: {what}. Export the part again.")


def plain(text: str) -> str:
    """A name of the file, cut and made harmless, in quotes."""
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return f"'{clean[:40]}{'…' if len(clean) > 40 else ''}'"


def local(name: str) -> str:
    """The name without its namespace, for a sentence."""
    return plain(name.rsplit(" ", 1)[-1])


def check_element(name: str, parent: str, attributes: dict[str, str]) -> list[str]:
    """Refuse an element of a known namespace that stands in the wrong place or has wrong attributes.

    attributes: by the parser's spelling. Returns the unknown attributes without namespace.
    """
    rule = RULES.get(name)
    if rule is None or parent not in rule.inside:
        where = f"in {local(parent)}" if parent else "at the top"
        raise breaks(f"an element {local(name)} {where}")
    for needed in rule.needs:
        if needed not in attributes:
            raise breaks(f"{local(name)} without {needed}")
    strange = []
    for attribute, value in attributes.items():
        shape = rule.needs.get(attribute) or rule.may.get(attribute)
        if shape is not None:
            if not _SHAPES[shape].fullmatch(value) or (shape in ("id", "index") and int(value) >= 2**31):
                raise breaks(f"{local(name)} with {attribute} {plain(value)}")
        elif attribute.startswith((f"{XML} ", f"{XSI} ")):
            if not (name == core("model") and attribute == f"{XML} lang"):
                raise breaks(f"an attribute {local(attribute)} of XML itself at {local(name)}")
        elif " " not in attribute:
            strange.append(f"{attribute} of {name.rsplit(' ', 1)[-1]}")
        elif attribute.startswith(f"{CORE} "):
            raise breaks(f"{local(name)} with an attribute {local(attribute)}")
    return strange
