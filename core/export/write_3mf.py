"""Write part and sinks as one 3MF build: unit mm, named, each with its object type.

Own text writer: the coordinates of the library used for reading back came out up to one float32 step off
(measured with lib3mf 2.5), these come back exactly. Structure by the 3MF Core Specification 1.3, sections 2 to 4.
"""

import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from core.export.body import Body
from core.refusal import Refusal
from core.version import PROGRAM, VERSION

OBJECT_TYPES = ("model", "solidsupport")
"""Of the core specification's object types, those a build item may have and a part or sink can be."""

MODEL_PATH = "3D/3dmodel.model"
CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="rel0" Target="/{MODEL_PATH}" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
LINES_AT_ONCE = 20_000


def write_3mf(path: Path, bodies: list[Body], job_hash: str = "") -> Path:
    """Write the bodies as objects and build items, in order, and return the path.

    Coordinates are written in full, so float64 values keep all their digits. The same bodies give the same bytes.
    """
    for body in bodies:
        if body.object_type not in OBJECT_TYPES:
            raise Refusal(f"3MF object type '{body.object_type}' can't be built; choose {' or '.join(OBJECT_TYPES)}.")
        if not len(body.triangles):
            raise Refusal(f"'{body.name}' holds no triangles and was not written.")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for name, text in (("[Content_Types].xml", CONTENT_TYPES), ("_rels/.rels", RELATIONS)):
            package.writestr(_entry(name), text.encode())
        with package.open(_entry(MODEL_PATH), "w", force_zip64=True) as model:
            for text in _model_text(bodies, job_hash):
                model.write(text.encode())
    return path


def _entry(name: str) -> zipfile.ZipInfo:
    """A compressed entry without a clock in it."""
    entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


def _model_text(bodies: list[Body], job_hash: str) -> Iterator[str]:
    yield (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<model unit="millimeter" xml:lang="en-US" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n'
        f'<metadata name="Application">{escape(f"{PROGRAM} {VERSION}")}</metadata>\n'
        f'<metadata name="Description">Part with contact-free heat sinks; job {escape(job_hash)}</metadata>\n'
        "<resources>\n"
    )
    for number, body in enumerate(bodies, start=1):
        name = quoteattr(xml_characters(body.name))
        yield f'<object id="{number}" type="{body.object_type}" name={name}>\n<mesh>\n<vertices>\n'
        for start in range(0, len(body.vertices_mm), LINES_AT_ONCE):
            some = body.vertices_mm[start : start + LINES_AT_ONCE].tolist()
            yield "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>\n' for x, y, z in some)
        yield "</vertices>\n<triangles>\n"
        for start in range(0, len(body.triangles), LINES_AT_ONCE):
            some = body.triangles[start : start + LINES_AT_ONCE].tolist()
            yield "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n' for a, b, c in some)
        yield "</triangles>\n</mesh>\n</object>\n"
    yield "</resources>\n<build>\n"
    yield "".join(f'<item objectid="{number}"/>\n' for number in range(1, len(bodies) + 1))
    yield "</build>\n</model>\n"


def xml_characters(text: str) -> str:
    """The text with every character that XML 1.0 forbids (section 2.2) replaced by '?'."""
    return "".join(
        c if c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000" else "?"
        for c in text
    )
