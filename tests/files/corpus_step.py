"""Malformed and nasty STEP files: text as Open CASCADE writes it for a box, then broken; needs the extra `step`."""

import random
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.files.cases import Case
from tests.files.solids import BOX_MM3

CUT = "were cut into triangles"


def written(shapes: list[Any], unit: str = "MM") -> str:
    """The shapes as STEP text."""
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    Message.DefaultMessenger_s().ChangePrinters().Clear()  # it would write to our standard output
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    for shape in shapes:
        writer.Transfer(shape, STEPControl_AsIs)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.step"
        writer.Write(str(path))
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        return path.read_text(encoding="utf-8")


def step_box(at: float = 0.0) -> Any:
    """The box of 10 x 20 x 30 mm as a solid."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt

    return BRepPrimAPI_MakeBox(gp_Pnt(at, 0, 0), 10.0, 20.0, 30.0).Solid()


def _shell() -> Any:
    from OCP.TopAbs import TopAbs_SHELL
    from OCP.TopExp import TopExp_Explorer

    return TopExp_Explorer(step_box(), TopAbs_SHELL).Current()


def step_cases(seed: int = 4) -> Iterator[Case]:
    """All STEP files of the corpus."""
    rng = random.Random(seed)
    text = written([step_box()])

    def good(name: str, data: str, *warns: str, **more: Any) -> Case:
        wanted = {"volume": BOX_MM3, "file": "part.step"} | more
        return Case(kind="STEP, sound", name=name, data=data.encode(), warns=(CUT, *warns), **wanted)

    def bad(name: str, data: str | bytes, word: str = "", file: str = "part.step") -> Case:
        raw = data.encode() if isinstance(data, str) else data
        return Case(kind="STEP, broken", name=name, data=raw, file=file, refused=word)

    yield good("millimetres", text)
    yield good("named as STL", text, file="part.stl")
    for unit in ("INCH", "M", "UM"):  # Open CASCADE's names of the units of ISO 10303-41
        yield good(f"in {unit}", written([step_box()], unit))
    yield good("comments first", "/* made */ /* by hand */\n" + text)
    yield good("two solids", written([step_box(), step_box(50)]), "2 solids", volume=2 * BOX_MM3, bodies=2)
    yield bad("a shell, no solid", written([_shell()]), "no solid")
    yield bad("head only", text[: text.index("DATA;")])
    yield bad("no data", text[: text.index("DATA;")] + "DATA;\nENDSEC;\nEND-ISO-10303-21;\n")
    for k in range(4):
        yield bad(f"cut {k}", text[: rng.randrange(len(text) // 4, len(text) * 3 // 4)])
    yield bad("garbage after the head", b"ISO-10303-21;\n" + rng.randbytes(4000))
    yield bad("another format's text", "ISO-10303-22;\n" + text[13:], "", "part.step")
    yield bad("all references to one entity", re.sub(r"#\d+([,)])", r"#1\1", text))
    yield bad(
        "every coordinate a word", re.sub(r"CARTESIAN_POINT\('',\([^)]*\)", "CARTESIAN_POINT('',('a','b','c')", text)
    )
