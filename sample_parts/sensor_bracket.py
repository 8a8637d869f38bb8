"""Sensor bracket of Nordhaven Tidal: a flat 20 x 20 mm ceiling and a 30 degree ledge, as triangles and as STEP."""

import re
from pathlib import Path

import manifold3d as m3
import numpy as np

from solids import arc, box, hole_along_z, prism_along_x, prism_along_y, prism_along_z

WALL_X, WALL_THICK, DEPTH = 38.0, 12.0, 40.0
SHELF, SHELF_Z = 20.0, 40.0
LEDGE_LONG, LEDGE_Z, LEDGE_DEG = 18.0, 20.0, 30.0
LEDGE_RISE = LEDGE_LONG * float(np.tan(np.radians(LEDGE_DEG)))
SLOT_PEAK_Z = 22.0 + 8.0 * float(np.tan(np.radians(55.0)))

CEILING_AREA_MM2 = SHELF * SHELF
"""The shelf's underside is a 20 x 20 mm rectangle and touches nothing else flatter than 45 degrees."""
LEDGE_AREA_MM2 = WALL_THICK * LEDGE_LONG / float(np.cos(np.radians(LEDGE_DEG)))
"""A rectangle as wide as the wall is thick and 18 mm long in plan, tilted by 30 degrees."""

SLOT = [(12.0, 14.0), (28.0, 14.0), (28.0, 22.0), (20.0, SLOT_PEAK_Z), (12.0, 22.0)]
RIB = [(18.0, 6.0), (WALL_X, 6.0), (WALL_X, 48.0)]
LEDGE = [(DEPTH, LEDGE_Z), (DEPTH + LEDGE_LONG, LEDGE_Z + LEDGE_RISE), (DEPTH + LEDGE_LONG, 36.0), (DEPTH, 36.0)]
RIBS_Y = ((4.0, 9.0), (31.0, 36.0))
BOLTS_XY = ((9.0, 10.0), (9.0, 30.0), (27.0, 20.0))
SCREWS_XY = ((60.0, 13.0), (60.0, 27.0))


def sensor_bracket() -> m3.Manifold:
    """The bracket as triangles; its rounds have 256 sides."""
    end = WALL_X + WALL_THICK
    foot = [*arc((8.0, 32.0), 8.0, 90.0, 180.0, 64), *arc((8.0, 8.0), 8.0, 180.0, 270.0, 64), (end, 0.0), (end, DEPTH)]
    top = [*arc((30.0, 60.0), 10.0, 0.0, 90.0, 64), *arc((10.0, 60.0), 10.0, 90.0, 180.0, 64)]
    wall = [(0.0, 0.0), (DEPTH, 0.0), *top]
    added = [
        prism_along_z(np.array(foot), 0.0, 6.0),
        prism_along_x(np.array(wall), WALL_X, end),
        box((end - 4.0, 10.0, SHELF_Z), (end + SHELF, 30.0, SHELF_Z + 8.0)),
        prism_along_x(np.array([(DEPTH - 4.0, LEDGE_Z), *LEDGE, (DEPTH - 4.0, 36.0)]), WALL_X, end),
        *(prism_along_y(np.array(RIB), *y) for y in RIBS_Y),
    ]
    cut = [
        prism_along_x(np.array(SLOT), WALL_X - 1.0, end + 1.0),
        *(hole_along_z(x, y, 3.3, -1.0, 7.0, 256) for x, y in BOLTS_XY),
        *(hole_along_z(x, y, 1.25, SHELF_Z + 3.0, SHELF_Z + 9.0, 256) for x, y in SCREWS_XY),
        hole_along_z(60.0, 20.0, 5.0, SHELF_Z + 4.0, SHELF_Z + 9.0, 256),
        prism_along_x(arc((50.0, 36.0), 3.0, 0.0, 360.0, 256)[:-1], WALL_X - 1.0, end + 1.0),
    ]
    body = m3.Manifold.batch_boolean(added, m3.OpType.Add)
    return m3.Manifold.batch_boolean([body, *cut], m3.OpType.Subtract).simplify(1e-5)


def volume_mm3() -> float:
    """Exact volume of the true shape, piece by piece; every piece below touches the others only face to face."""
    end = WALL_X + WALL_THICK
    foot = (end * DEPTH - 2 * 64.0 * (1 - np.pi / 4)) * 6.0
    wall = (DEPTH * 70.0 - 2 * 100.0 * (1 - np.pi / 4)) * WALL_THICK - WALL_THICK * DEPTH * 6.0
    slot = (16.0 * 8.0 + 0.5 * 16.0 * (SLOT_PEAK_Z - 22.0)) * WALL_THICK
    shelf = SHELF * SHELF * 8.0 - 2 * np.pi * 1.25**2 * 5.0 - np.pi * 25.0 * 4.0
    ledge = (LEDGE_LONG * 16.0 - 0.5 * LEDGE_LONG * LEDGE_RISE - 0.5 * np.pi * 9.0) * WALL_THICK
    ribs = 2 * 5.0 * 0.5 * 20.0 * 42.0
    return float(foot + wall - slot + shelf + ledge + ribs - 3 * np.pi * 3.3**2 * 6.0)


def write_step(path: Path) -> float:
    """The same bracket with true planes and cylinders, AP214 in mm; returns its volume in mm3 by the kernel."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    shape = _step_shape()
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", "sensor bracket")
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    if writer.Write(str(path)) != IFSelect_RetDone:
        raise SystemExit("The STEP file was not written.")
    name = "FILE_NAME('sensor-bracket.step','2026-11-25T00:00:00',('Nordhaven Tidal'),('Nordhaven Tidal'),'','','');"
    text = re.sub(r"FILE_NAME\(.*?\);", name, path.read_text(encoding="ascii"), count=1, flags=re.DOTALL)
    path.write_text(text, encoding="ascii")
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    return float(found.Mass())


def _step_shape() -> "TopoDS_Shape":  # type: ignore[name-defined]  # noqa: F821
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    def block(low, high):  # type: ignore[no-untyped-def]
        return BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Shape()

    def prism(points, along):  # type: ignore[no-untyped-def]
        outline = BRepBuilderAPI_MakePolygon()
        for point in points:
            outline.Add(gp_Pnt(*point))
        outline.Close()
        return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(outline.Wire()).Face(), gp_Vec(*along)).Shape()

    def rod(start, way, radius, length):  # type: ignore[no-untyped-def]
        return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(*start), gp_Dir(*way)), radius, length).Shape()

    def rounded(shape, radius, ends):  # type: ignore[no-untyped-def]
        """Round the straight edges whose middle is one of the given points."""
        from OCP.BRepAdaptor import BRepAdaptor_Curve

        fillet, edges, done = BRepFilletAPI_MakeFillet(shape), TopExp_Explorer(shape, TopAbs_EDGE), set()
        while edges.More():
            edge = TopoDS.Edge(edges.Current()) if hasattr(TopoDS, "Edge") else TopoDS.Edge_s(edges.Current())
            curve = BRepAdaptor_Curve(edge)
            middle = curve.Value(0.5 * (curve.FirstParameter() + curve.LastParameter()))
            key = tuple(round(value, 6) for value in (middle.X(), middle.Y(), middle.Z()))
            if key in ends and key not in done:
                done.add(key)
                fillet.Add(radius, edge)
            edges.Next()
        return fillet.Shape()

    end, middle_x = WALL_X + WALL_THICK, WALL_X + WALL_THICK / 2
    shape = rounded(block((0, 0, 0), (end, DEPTH, 6)), 8.0, {(0.0, 0.0, 3.0), (0.0, DEPTH, 3.0)})
    wall = rounded(block((WALL_X, 0, 0), (end, DEPTH, 70)), 10.0, {(middle_x, 0.0, 70.0), (middle_x, DEPTH, 70.0)})
    ledge = [(WALL_X, DEPTH - 4.0, LEDGE_Z), *((WALL_X, *yz) for yz in LEDGE), (WALL_X, DEPTH - 4.0, 36.0)]
    added = [wall, block((end - 4, 10, SHELF_Z), (end + SHELF, 30, SHELF_Z + 8)), prism(ledge, (WALL_THICK, 0, 0))]
    added += [prism([(x, y0, z) for x, z in RIB], (0, y1 - y0, 0)) for y0, y1 in RIBS_Y]
    for piece in added:
        shape = BRepAlgoAPI_Fuse(shape, piece).Shape()
    cut = [prism([(WALL_X - 1, *yz) for yz in SLOT], (WALL_THICK + 2, 0, 0))]
    cut += [rod((x, y, -1), (0, 0, 1), 3.3, 8) for x, y in BOLTS_XY]
    cut += [rod((x, y, SHELF_Z + 3), (0, 0, 1), 1.25, 6) for x, y in SCREWS_XY]
    cut += [rod((60, 20, SHELF_Z + 4), (0, 0, 1), 5.0, 5), rod((WALL_X - 1, 50, 36), (1, 0, 0), 3.0, WALL_THICK + 2)]
    for piece in cut:
        shape = BRepAlgoAPI_Cut(shape, piece).Shape()
    whole = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    whole.Build()
    return whole.Shape()
