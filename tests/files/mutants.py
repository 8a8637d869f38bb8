"""Damage sound files at random, by a seed: bits, bytes, blocks, numbers; and the rules every outcome must keep."""

import random
import re
import struct
import zipfile
from io import BytesIO

import numpy as np

from tests.files.cases import Outcome, bad_sentence
from tests.files.corpus_obj import prism
from tests.files.solids import box, obj, package, ply, stl, text_stl

_NUMBERS = (b"0", b"-1", b"1e999", b"nan", b"4294967295", b"1e-320", b"99999999999999999999", b"0.1", b"-0", b"7")
_WORDS = (0, 1, 0xFF, 0x7FFFFFFF, 0xFFFFFFFF, 0x80000000, 0x7F800000, 0x7FC00000, 11, 13)


def _sources() -> list[tuple[str, bytes]]:
    """Sound files, all small: a mutant should hit what matters."""
    points, faces = prism(7, 10.0, 5.0)
    return [
        ("part.stl", stl(box())),
        ("part.stl", text_stl(box()).encode()),
        ("part.obj", obj(form="{0}").encode()),
        ("part.obj", obj(points, faces).encode()),
        ("part.ply", ply()),
        ("part.ply", ply("binary_little_endian", "double", points=points, faces=faces)),
        ("part.ply", ply("binary_big_endian", count="int", index="ushort")),
        ("part.3mf", package()),
        ("model.3mf", package()),
    ]


SOURCES = _sources()


def mutant(seed: int) -> tuple[str, bytes]:
    """A file name and damaged bytes; the same for the same seed. 'model' packages are damaged inside the zip."""
    rng = random.Random(seed)
    name, data = SOURCES[seed % len(SOURCES)]
    if name == "model.3mf":
        with zipfile.ZipFile(BytesIO(data)) as archive:
            inside = archive.read("3D/3dmodel.model")
        return name, package(_damaged(inside, rng))
    return name, _damaged(data, rng)


def _damaged(data: bytes, rng: random.Random) -> bytes:
    raw = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 4, 16))):
        at = rng.randrange(len(raw)) if raw else 0
        if rng.random() < 0.3:  # heads hold the counts
            at = min(at, rng.randrange(200))
        way = rng.randrange(8)
        if way == 0 and raw:
            raw[at] ^= 1 << rng.randrange(8)
        elif way == 1 and raw:
            raw[at] = rng.randrange(256)
        elif way == 2:
            del raw[at : at + rng.randrange(1, 40)]
        elif way == 3:
            raw[at:at] = rng.randbytes(rng.randrange(1, 20))
        elif way == 4:
            raw[at:at] = raw[at : at + rng.randrange(1, 200)]
        elif way == 5:
            raw[at : at + 4] = struct.pack(rng.choice("<>") + "I", rng.choice(_WORDS))
        elif way == 6:
            found = list(re.finditer(rb"[-+]?\d+(\.\d+)?", bytes(raw)))
            if found:
                hit = rng.choice(found)
                raw[hit.start() : hit.end()] = rng.choice(_NUMBERS)
        else:
            del raw[at:]
    return bytes(raw)


def broken_rule(outcome: Outcome) -> str:
    """'' when a mutant's outcome is a sound Part or a Refusal of one sentence, else what is wrong."""
    if outcome.fault:
        return outcome.fault
    if outcome.seconds > 20:
        return f"took {outcome.seconds:.0f} s"
    part = outcome.part
    if part is None:
        return bad_sentence(outcome.sentence)
    triangles, points = part.triangles, part.vertices_mm
    if not np.isfinite(points).all() or len(triangles) == 0:
        return "a part without triangles or with numbers that are none"
    if triangles.min() < 0 or triangles.max() >= len(points):
        return "a triangle names a vertex that isn't there"
    if np.abs(points).max() > 1e7:
        return "a part of kilometres"
    return next((bad for text in part.warnings if (bad := bad_sentence(text))), "")
