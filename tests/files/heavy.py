"""Files made to cost time or memory: bombs, heaps of points, tangles, stacked shells; and a scale to weigh them on.

`python -m tests.files.heavy FILE` loads a box first, then the file, and says what the file cost more.
"""

import io
import json
import struct
import subprocess
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.files.cases import Case, bad_sentence, outcome_of
from tests.files.corpus_ply import LIST, XYZ
from tests.files.solids import box, joined, model, package, ply_header, stl, thing

ROOT = Path(__file__).resolve().parents[2]


def _bad(name: str, data: bytes, word: str = "", file: str = "part.3mf") -> Case:
    return Case(kind="bomb", name=name, data=data, file=file, refused=word)


def bombs() -> Iterator[Case]:
    """Small packages that would fill memory or time; what they cost is held to 256 MiB and 3 s."""
    vertices = b'<vertex x="0" y="0" z="0"/>' * 40_000
    head, tail = model().encode().split(b"<vertices>")
    yield _bad("vertices, 600 MB of them", _deflated(head + b"<vertices>", vertices, 560, tail), "times its size")
    yield _bad("blanks, 600 MB of them", _deflated(head, b" " * (1 << 20), 600, b"<vertices>" + tail), "times its size")
    yield _bad("a thumbnail of 200 MB", package(parts={"Metadata/t.png": bytes(200 << 20)}), "times its size")
    lying = _renamed_size(package(parts={"Metadata/t.png": bytes(200 << 20)}), b"Metadata/t.png", 100)
    yield Case(kind="bomb", name="a thumbnail that lies about its size is never unpacked", data=lying, file="part.3mf")
    small = _renamed_size(_deflated(head + b"<vertices>", vertices, 560, tail), b"3D/3dmodel.model", 5000)
    yield _bad("a model that lies about its size", small, "")
    yield _bad("one entry listed 3,000 times", _overlapping(3000), "")
    yield _bad("elements, 20 million of them", _deflated(head, b"<q/>" * (1 << 18), 80, b"<vertices>" + tail), "")
    layers = thing()
    for level in range(2, 28):
        inner = f'<component objectid="{level - 1}"/>' * 4
        layers += f'<object id="{level}"><components>{inner}</components></object>'
    yield _bad("components, 4 to the 26", package(model(layers, '<item objectid="27"/>')), "")
    yield _bad(
        "PLY that declares 60 million corners", ply_header("ascii", XYZ, LIST, 60_000_000).encode(), "", "part.ply"
    )
    empty = ply_header("ascii", XYZ, LIST).replace("element vertex", "element x 60000000\nelement vertex")
    yield _bad("PLY with 60 million empty rows", empty.encode(), "", "part.ply")
    count = struct.pack("<I", 80_000_000)
    yield _bad("STL that declares 4 GB", b" " * 80 + count + bytes(5000), "cut off", "part.stl")


def heaps() -> Iterator[Case]:
    """Valid files of ordinary size whose check is more than linear work; held to 20 s and 4 GiB."""
    rng = np.random.default_rng(5)
    points = rng.uniform(0, 1e-5, (60_000, 3)) + np.where(np.arange(60_000)[:, None] % 3, [0, 0, 0], [50.0, 0, 0])
    yield Case(kind="heap", name="20,000 loose triangles with corners within 10 nm", data=_loose(points), file="a.stl")
    points = rng.uniform(0, 100, (90_000, 3))
    yield Case(kind="heap", name="30,000 triangles across each other", data=_loose(points), file="a.stl")
    shells = joined(*(box((0, 0, 0), 1 + k / 8000) for k in range(8000)))
    yield Case(kind="heap", name="8,000 boxes in each other", data=stl(shells), file="a.stl")
    column = joined(*(box((0, 0, 40.0 * k)) for k in range(8000)))
    yield Case(kind="heap", name="8,000 boxes above each other", data=stl(column), file="a.stl")
    n = 40_000
    ring = np.stack([50 * np.cos(2 * np.pi * np.arange(n) / n), 50 * np.sin(2 * np.pi * np.arange(n) / n)], axis=1)
    cone = np.concatenate([[[0, 0, 0], [0, 0, 50]], np.column_stack([ring, np.zeros(n)])])
    i, j = np.arange(n) + 2, (np.arange(n) + 1) % n + 2
    faces = np.concatenate([np.column_stack([0 * i, j, i]), np.column_stack([0 * i + 1, i, j])])
    yield Case(kind="heap", name="80,000 slivers at two corners", data=stl((cone, faces)), file="a.stl")


def _loose(points: np.ndarray) -> bytes:
    return stl((points, np.arange(len(points)).reshape(-1, 3)))


def _deflated(head: bytes, repeated: bytes, times: int, tail: bytes) -> bytes:
    """A package whose model is head, a text many times, tail; packed without ever being whole in memory."""
    out = io.BytesIO(package(parts={"3D/3dmodel.model": None}))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive, archive.open("3D/3dmodel.model", "w") as stream:
        stream.write(head)
        for _ in range(times):
            stream.write(repeated)
        stream.write(tail)
    return out.getvalue()


def _renamed_size(data: bytes, name: bytes, size: int) -> bytes:
    """The same package, whose directory and local head state another unpacked size for one entry."""
    raw = bytearray(data)
    for mark, to_name, to_size in ((b"PK\x01\x02", 46, 24), (b"PK\x03\x04", 30, 22)):
        at = raw.find(mark)
        while at >= 0:
            if raw[at + to_name : at + to_name + len(name)] == name:
                raw[at + to_size : at + to_size + 4] = struct.pack("<I", size)
            at = raw.find(mark, at + 4)
    return bytes(raw)


def _overlapping(times: int) -> bytes:
    """A package whose directory lists one packed entry under many names."""
    body = zlib.compress(bytes(10 << 20), 9)[2:-4]
    whole = package()
    at = whole.index(b"PK\x01\x02")
    local = struct.pack(
        "<4s5H3I2H", b"PK\x03\x04", 20, 0, 8, 0, 33, zlib.crc32(bytes(10 << 20)), len(body), 10 << 20, 5, 0
    )
    rows = b"".join(
        struct.pack("<4s6H3I5H2I", b"PK\x01\x02", 20, 20, 0, 8, 0, 33, zlib.crc32(bytes(10 << 20)), len(body), 10 << 20,
                    9, 0, 0, 0, 0, 0, at) + f"{k:05d}.xml".encode()
        for k in range(times)
    )  # fmt: skip
    old = whole[at : whole.index(b"PK\x05\x06")]
    begin = at + len(local) + 5 + len(body)
    end = struct.pack("<4s4H2IH", b"PK\x05\x06", 0, 0, times + 3, times + 3, len(rows) + len(old), begin, 0)
    return whole[:at] + local + b"a.xml" + body + old + rows + end


def weigh(case: Case) -> dict[str, Any]:
    """Load a case in a process of its own: what is wrong ('' when right), seconds and MiB beyond a box, peak MiB."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / case.file
        path.write_bytes(case.data)
        command = [sys.executable, "-m", "tests.files.heavy", str(path)]
        try:
            done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False)
        except subprocess.TimeoutExpired:
            return {"wrong": "hangs", "seconds": 120.0, "extra_mib": 0.0, "peak_mib": 0.0}
    if done.returncode != 0:
        return {
            "wrong": f"exit code {done.returncode}: {done.stderr[-200:]}",
            "seconds": 0.0,
            "extra_mib": 0.0,
            "peak_mib": 0.0,
        }
    found: dict[str, Any] = json.loads(done.stdout)
    refused, sentence = found.pop("refused"), found.pop("sentence")
    found["wrong"] = found.pop("fault") or (bad_sentence(sentence) if refused else "")
    if not found["wrong"] and case.kind == "bomb":
        asked = case.refused is not None
        if refused != asked or (case.refused or "") not in sentence:
            found["wrong"] = f"refused: {sentence}" if refused else "loaded"
    found["said"] = sentence
    return found


def _peak_mib(reset: bool) -> float:
    """Most memory held since the last reset; Linux only. What getrusage says includes the parent's, from the fork."""
    if reset:
        Path("/proc/self/clear_refs").write_text("5")
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def _main(path: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for file, data in (
            ("box.stl", stl(box())),
            ("box.3mf", package()),
            ("open.stl", stl((box()[0], box()[1][1:]))),
        ):
            outcome_of(data, file, Path(folder))  # compiled, and the memory that any file needs
        before = _peak_mib(reset=True)
        outcome = outcome_of(path.read_bytes(), path.name, Path(folder))
        after = _peak_mib(reset=False)
    said = outcome.sentence or " ".join(outcome.part.warnings if outcome.part else ())
    found = {"refused": outcome.part is None, "sentence": said, "fault": outcome.fault, "seconds": outcome.seconds}
    print(json.dumps(found | {"extra_mib": after - before, "peak_mib": after}))


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
