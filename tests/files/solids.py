"""Small solids of known volume, and every format written by a few lines of our own, so that faults can be put in."""

import io
import struct
import zipfile
from collections.abc import Sequence

import numpy as np

BOX_MM3 = 6000.0
"""10 x 20 x 30 mm, different along every axis so that a swap shows in the size."""
CORNERS = np.array([(x, y, z) for x in (0.0, 10.0) for y in (0.0, 20.0) for z in (0.0, 30.0)])
QUADS = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
"""Outward by the right-hand rule."""
TRIANGLES = np.array([t for a, b, c, d in QUADS for t in ((a, b, c), (a, c, d))])

Mesh = tuple[np.ndarray, np.ndarray]


def box(at: Sequence[float] = (0, 0, 0), scale: float = 1.0) -> Mesh:
    """Corners and triangles of the box."""
    return CORNERS * scale + np.asarray(at, float), TRIANGLES


def joined(*meshes: Mesh) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0] + [len(points) for points, _ in meshes])
    return np.concatenate([p for p, _ in meshes]), np.concatenate(
        [t + s for (_, t), s in zip(meshes, starts, strict=False)]
    )


def stl(
    mesh: Mesh, header: bytes = b"a box", normal: float = 0.0, attribute: int = 0, count: int | None = None
) -> bytes:
    """Binary STL after the StereoLithography Interface Specification (3D Systems, 1989)."""
    points, triangles = mesh
    n = len(triangles)
    out = [header.ljust(80, b" ")[:80], struct.pack("<I", n if count is None else count)]
    for corners in points[triangles]:
        out.append(struct.pack("<12fH", normal, normal, normal, *corners.ravel().tolist(), attribute))
    return b"".join(out)


def text_stl(mesh: Mesh, name: str = "box", end: str = "\n", form: str = "{!r}") -> str:
    """STL as text, after the same specification."""
    points, triangles = mesh
    lines = [f"solid {name}".rstrip()]
    for corners in points[triangles]:
        rows = [" ".join(form.format(float(v)) for v in corner) for corner in corners]
        lines += ["facet normal 0 0 0", "outer loop", *(f"vertex {row}" for row in rows), "endloop", "endfacet"]
    return end.join([*lines, f"endsolid {name}".rstrip(), ""])


def obj(points: np.ndarray = CORNERS, faces: Sequence[Sequence[int]] = QUADS, form: str = "{}") -> str:
    """OBJ with the faces' corners counted from 1 and written in the given form."""
    rows = [f"v {x!r} {y!r} {z!r}" for x, y, z in np.asarray(points, float).tolist()]
    rows += ["f " + " ".join(form.format(i + 1) for i in face) for face in faces]
    return "\n".join(rows) + "\n"


PACKED = {"char": "b", "uchar": "B", "short": "h", "ushort": "H", "int": "i", "uint": "I", "float": "f", "double": "d"}


def ply_header(order: str, vertex: str, face: str, n_points: int = 8, n_faces: int = 6) -> str:
    """A PLY header; vertex and face: their property lines."""
    return (
        f"ply\nformat {order} 1.0\ncomment a box\nelement vertex {n_points}\n{vertex}"
        f"element face {n_faces}\n{face}end_header\n"
    )


def ply(
    order: str = "ascii", kind: str = "float", count: str = "uchar", index: str = "int", header: str | None = None,
    points: np.ndarray = CORNERS, faces: Sequence[Sequence[int]] = QUADS,
) -> bytes:  # fmt: skip
    """PLY after Turk's description of 1994, text or binary of either byte order."""
    vertex = "".join(f"property {kind} {axis}\n" for axis in "xyz")
    head = ply_header(order, vertex, f"property list {count} {index} vertex_indices\n", len(points), len(faces))
    head = head if header is None else header
    if order == "ascii":
        rows = [" ".join(f"{v:g}" for v in p) for p in points] + [" ".join(map(str, (len(f), *f))) for f in faces]
        return (head + "\n".join(rows) + "\n").encode()
    mark = "<" if "little" in order else ">"
    whole = kind not in ("float", "double")
    body = [struct.pack(f"{mark}3{PACKED[kind]}", *(int(v) if whole else float(v) for v in p)) for p in points]
    body += [struct.pack(f"{mark}{PACKED[count]}{len(f)}{PACKED[index]}", len(f), *f) for f in faces]
    return head.encode() + b"".join(body)


CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/"
TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    '<Default Extension="png" ContentType="image/png"/><Default Extension="xml" ContentType="application/xml"/></Types>'
)
START = ("/3D/3dmodel.model", f"{RELATION}3dmodel")
ITEM = '<item objectid="1"/>'


def relations(*rows: tuple[str, ...]) -> str:
    """A relationships part; rows: target, type and, if not inside the package, the target's mode."""
    body = "".join(
        f'<Relationship Id="r{k}" Target="{row[0]}" Type="{row[1]}"'
        + (f' TargetMode="{row[2]}"' if row[2:] else "")
        + "/>"
        for k, row in enumerate(rows)
    )
    space = "http://schemas.openxmlformats.org/package/2006/relationships"
    return f'<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="{space}">{body}</Relationships>'


def mesh_text(mesh: Mesh | None = None, extra: str = "") -> str:
    """A <mesh>; extra: attributes of the first triangle."""
    points, triangles = mesh or box()
    rows = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in points.tolist())
    faces = [f'<triangle v1="{a}" v2="{b}" v3="{c}"' for a, b, c in triangles.tolist()]
    faces = [row + (f" {extra}/>" if extra and k == 0 else "/>") for k, row in enumerate(faces)]
    return f"<mesh><vertices>{rows}</vertices><triangles>{''.join(faces)}</triangles></mesh>"


def thing(number: int = 1, kind: str = "model", mesh: str | None = None, more: str = "") -> str:
    """An <object>."""
    return f'<object id="{number}" type="{kind}"{more}>{mesh_text() if mesh is None else mesh}</object>'


def model(objects: str | None = None, items: str = ITEM, *, unit: str = "millimeter", before: str = "",
          inside: str = "", top: str = "", encoding: str = "UTF-8") -> str:  # fmt: skip
    """A model part. before: ahead of <model>. inside: ahead of <resources>. top: attributes of <model>."""
    return (
        f'<?xml version="1.0" encoding="{encoding}"?>{before}<model unit="{unit}" xml:lang="en-US" xmlns="{CORE}"{top}>'
        f"{inside}<resources>{thing() if objects is None else objects}</resources><build>{items}</build></model>"
    )


def package(text: str | bytes | None = None, parts: dict[str, str | bytes | None] | None = None) -> bytes:
    """A 3MF package; parts: entries to add or replace, None to leave one out."""
    entries: dict[str, str | bytes | None] = {"[Content_Types].xml": TYPES, "_rels/.rels": relations(START)}
    entries["3D/3dmodel.model"] = model() if text is None else text
    entries |= parts or {}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries.items():
            if data is not None:
                archive.writestr(name, data)
    return out.getvalue()
