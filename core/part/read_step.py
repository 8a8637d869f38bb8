"""Read STEP with Open CASCADE: solids, triangulated face by face, every triangle knowing its face.

A damaged file can crash the library, so step_child runs this in a process of its own.
"""

import math
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from core.part.raw_mesh import MOST_TRIANGLES, RawMesh, check_triangle_count
from core.refusal import Refusal
from core.units import MM_PER_UNIT, FloatArray, IntArray

ANGULAR_RAD = 0.2
"""Largest turn of the normal along one edge of the triangulation of a curved face (11.5 degrees)."""
LINEAR_MM = 0.01
"""Largest distance between a curved face and its triangles; parts below 100 mm get a ten-thousandth of their size."""
NEEDS_PACKAGE = 'Reading STEP needs an extra package. Install it with: pip install "underfin[step]"'
_UNIT_NAMES = {"millimetre": "mm", "mm": "mm", "inch": "in", "in": "in", "metre": "m", "m": "m", "centimetre": "cm"}
_UNIT_NAMES |= {"cm": "cm", "micrometre": "um", "um": "um", "foot": "ft", "ft": "ft", "millimeter": "mm", "meter": "m"}


def read_step(data: bytes) -> RawMesh:
    """The solids of a STEP file as triangles in mm, with the number of the B-rep face of each.

    Raises Refusal when the package is missing, the file can't be read, or it holds no solid.
    """
    try:
        from OCP.Standard import Standard_Failure  # noqa: F401
        from OCP.STEPControl import STEPControl_Reader  # noqa: F401
    except ImportError:
        raise Refusal(NEEDS_PACKAGE) from None
    try:
        return _read(data)
    except Refusal:
        raise
    except Exception as fault:  # noqa: BLE001 - Open CASCADE raises many kinds; none may reach the engineer
        kind = type(fault).__name__
        raise Refusal(f"The STEP file can't be turned into triangles ({kind}). Export it again as AP214.") from None


def _read(data: bytes) -> RawMesh:
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_SOLID

    shape, unit = _shape_of(data)
    solids = _sub_shapes(shape, TopAbs_SOLID)
    if not solids:
        raise Refusal("The STEP file holds no solid, only surfaces or curves. Export the part as a solid body.")
    size = _largest_size_mm(shape)
    deflection = min(LINEAR_MM, max(size * 1e-4, 1e-4))
    BRepMesh_IncrementalMesh(shape, deflection, False, ANGULAR_RAD, False)
    points, triangles, brep_face, n_faces, bare = _triangles_of(solids)
    check_triangle_count(len(triangles))
    warnings = [
        f"Curved faces of the STEP file were cut into triangles to within {deflection:.2g} mm "
        f"and {math.degrees(ANGULAR_RAD):.0f}°."
    ]
    if len(solids) > 1:
        warnings.append(f"The STEP file holds {len(solids)} solids; they were read as one part.")
    if bare:
        warnings.append(f"{bare} of {n_faces} faces of the STEP file could not be triangulated; the part has holes.")
    return RawMesh(
        points=points / MM_PER_UNIT[unit],
        triangles=triangles,
        file_format="step",
        unit=unit,
        brep_face=brep_face,
        warnings=tuple(warnings),
    )


def _shape_of(data: bytes) -> tuple[Any, str]:
    """The shape in mm and the unit the file states."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPControl import STEPControl_Reader

    try:
        from OCP.collections import Sequence_TCollection_AsciiString as Names
    except ImportError:  # releases before 8.0
        from OCP.TColStd import TColStd_SequenceOfAsciiString as Names

    Message.DefaultMessenger_s().ChangePrinters().Clear()  # it would write to our standard output
    reader = STEPControl_Reader()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    with tempfile.TemporaryDirectory(prefix="underfin-") as folder:
        copy = Path(folder) / "part.step"
        copy.write_bytes(data)
        if reader.ReadFile(str(copy)) != IFSelect_RetDone:
            raise Refusal("The STEP file is damaged or cut off and can't be read. Copy or export it again.")
    lengths, angles, solid_angles = (Names() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    named = lengths.Value(1).ToCString().strip().lower() if lengths.Length() else "mm"
    if reader.TransferRoots() == 0 or reader.NbShapes() == 0:
        raise Refusal("The STEP file holds no shape. Export the part as a solid body.")
    return reader.OneShape(), _UNIT_NAMES.get(named, "mm")


def _sub_shapes(shape: Any, kind: Any) -> list[Any]:
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def _largest_size_mm(shape: Any) -> float:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    if box.IsVoid():
        raise Refusal("The STEP file's shape is empty. Export the part as a solid body.")
    low, high = box.CornerMin(), box.CornerMax()
    return float(max(high.X() - low.X(), high.Y() - low.Y(), high.Z() - low.Z()))


def _triangles_of(solids: list[Any]) -> tuple[FloatArray, IntArray, IntArray, int, int]:
    """Points welded along the B-rep's edges, triangles, face numbers, the count of faces and of faces left bare."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    as_face = getattr(TopoDS, "Face_s", None) or TopoDS.Face  # the name differs between releases
    points: list[FloatArray] = []
    triangles: list[IntArray] = []
    numbers: list[IntArray] = []
    twins: list[IntArray] = []
    offset, number, bare = 0, 0, 0
    for solid in solids:
        shared = _SharedEdges()
        for raw in _sub_shapes(solid, TopAbs_FACE):
            face = as_face(raw)
            place = TopLoc_Location()
            mesh = BRep_Tool.Triangulation_s(face, place)
            number += 1
            if mesh is None or mesh.NbTriangles() == 0:
                bare += 1
                continue
            if offset + mesh.NbTriangles() > MOST_TRIANGLES:
                check_triangle_count(offset + mesh.NbTriangles())
            here, corners = _arrays_of(mesh, place)
            points.append(here)
            triangles.append((corners[:, ::-1] if face.Orientation() == TopAbs_REVERSED else corners) + offset)
            numbers.append(np.full(len(corners), number - 1, dtype=np.int32))
            shared.add(face, mesh, place, offset)
            offset += len(here)
        twins.extend(shared.twins)
    if not points:
        raise Refusal("No face of the STEP file could be triangulated. Export it again as AP214.")
    welded = np.ascontiguousarray(_join(offset, twins)[np.concatenate(triangles)], dtype=np.int32)
    a, b, c = welded.T
    whole = (a != b) & (b != c) & (a != c)  # at the pole of a sphere two corners are one point
    return np.concatenate(points), welded[whole], np.concatenate(numbers)[whole], number, bare


def _arrays_of(mesh: Any, place: Any) -> tuple[FloatArray, IntArray]:
    """Nodes in part coordinates and triangles from 0 of one face's triangulation."""
    nodes = [mesh.Node(i) for i in range(1, mesh.NbNodes() + 1)]
    points = np.array([(p.X(), p.Y(), p.Z()) for p in nodes], dtype=np.float64)
    corners = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)], dtype=np.int64) - 1
    if not place.IsIdentity():
        move = place.Transformation()
        matrix = np.array([[move.Value(i, j) for j in (1, 2, 3, 4)] for i in (1, 2, 3)])
        points = points @ matrix[:, :3].T + matrix[:, 3]
        if move.IsNegative():
            corners = corners[:, ::-1]
    return points, corners


class _SharedEdges:
    """Finds the nodes of neighbouring faces that are one point of the edge between them."""

    def __init__(self) -> None:
        self.seen: dict[int, list[tuple[Any, IntArray]]] = {}
        self.twins: list[IntArray] = []
        """(n, 2) arrays of node numbers that are the same point."""

    def add(self, face: Any, mesh: Any, place: Any, offset: int) -> None:
        """Look at the edges of one face, whose nodes are numbered from `offset`."""
        from OCP.BRep import BRep_Tool
        from OCP.TopAbs import TopAbs_EDGE
        from OCP.TopoDS import TopoDS

        as_edge = getattr(TopoDS, "Edge_s", None) or TopoDS.Edge
        for raw in _sub_shapes(face, TopAbs_EDGE):
            edge = as_edge(raw)
            polygon = BRep_Tool.PolygonOnTriangulation_s(edge, mesh, place)
            if polygon is None:
                continue
            nodes = np.array([polygon.Node(i) for i in range(1, polygon.NbNodes() + 1)], dtype=np.int64) - 1 + offset
            if BRep_Tool.Degenerated_s(edge):
                self.twins.append(np.stack([nodes, np.full_like(nodes, nodes[0])], axis=1))
                continue
            same = self.seen.setdefault(hash(edge), [])
            for other, other_nodes in same:
                if other.IsSame(edge) and len(other_nodes) == len(nodes):
                    self.twins.append(np.stack([nodes, other_nodes], axis=1))
            same.append((edge, nodes))


def _join(n_points: int, twins: list[IntArray]) -> IntArray:
    """(n_points,) the lowest node each node is the same point as."""
    from scipy.sparse import coo_array  # a sixth of a second to load, and only STEP asks for it
    from scipy.sparse.csgraph import connected_components

    pairs = np.concatenate([*twins, np.zeros((0, 2), dtype=np.int64)])
    links = coo_array((np.ones(len(pairs), dtype=np.int8), (pairs[:, 0], pairs[:, 1])), shape=(n_points, n_points))
    n_groups, group = connected_components(links, directed=False)
    lowest = np.full(n_groups, n_points, dtype=np.int64)
    np.minimum.at(lowest, group, np.arange(n_points))
    return np.asarray(lowest[group])
