"""Look into a 3MF package before a parser does: sizes, entities, names, required extensions."""

import contextlib
import io
import re
import zipfile
import zlib
from xml.parsers import expat

from core.part.raw_mesh import MOST_TRIANGLES, check_triangle_count
from core.refusal import Refusal

MOST_INFLATED_BYTES = 1 << 30
_MOST_ENTRIES = 4096
_FORBIDDEN = re.compile(rb"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)
_READABLE = (
    "http://schemas.microsoft.com/3dmanufacturing/core/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/production/2015/06",
    "http://schemas.3mf.io/3dmanufacturing/trianglesets/2021/07",
)
"""Extensions that change nothing about a part's shape, or that lib3mf resolves (production)."""


def look_into_package(data: bytes) -> None:
    """Raise Refusal for what must not reach the parser: bombs, entities, names that leave the package, encryption."""
    try:
        package = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise Refusal("The file is a damaged zip package, so no 3MF. Copy or export it again.") from None
    entries = package.infolist()
    if len(entries) > _MOST_ENTRIES:
        raise Refusal(f"The 3MF package has {len(entries):,} entries, more than any part needs. Export it again.")
    names = [entry.filename for entry in entries]
    if len(set(names)) < len(names):
        raise Refusal("The 3MF package holds two entries with one name. Export the part again.")
    if not any(name.lower().endswith(".model") for name in names):
        raise Refusal("The zip package holds no 3MF model. Give the part as STL, OBJ, PLY, 3MF or STEP.")
    inflated = 0
    for entry in entries:
        if entry.filename.startswith("/") or ".." in entry.filename.split("/") or "\\" in entry.filename:
            raise Refusal("The 3MF package has an entry whose name leaves the package. Don't trust this file.")
        if entry.flag_bits & 1:
            raise Refusal("The 3MF package is encrypted. Export the part without protection.")
        inflated = _look_into_entry(package, entry, inflated, len(data))


def _look_into_entry(package: zipfile.ZipFile, entry: zipfile.ZipInfo, inflated: int, packed: int) -> int:
    """Inflate one entry in pieces; returns the bytes inflated so far. Lying sizes don't matter here."""
    is_xml = entry.filename.lower().endswith((".model", ".rels", ".xml"))
    is_model = entry.filename.lower().endswith(".model")
    triangles = 0
    tail = b""
    try:
        with package.open(entry) as stream:
            while piece := stream.read(1 << 20):
                inflated += len(piece)
                if inflated > MOST_INFLATED_BYTES:
                    raise Refusal(
                        "The 3MF package unpacks to more than 1 GiB. Export the part with a coarser tolerance."
                    )
                if inflated > 64 << 20 and inflated > 200 * packed:
                    raise Refusal("The 3MF package unpacks to over 200 times its size. Don't trust this file.")
                if is_model and not tail:
                    _check_extensions(piece)
                if is_xml:
                    window = tail + piece
                    plain = window.replace(b"\0", b"")
                    if _FORBIDDEN.search(plain):
                        raise Refusal("The 3MF file has a document type or entity, which 3MF forbids. Don't trust it.")
                    triangles += window.count(b"triangle ") - tail.count(b"triangle ")
                    if triangles > MOST_TRIANGLES:
                        check_triangle_count(triangles)
                    tail = window[-64:]
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError) as fault:
        if isinstance(fault, Refusal):
            raise
        raise Refusal("The 3MF package is damaged: an entry can't be unpacked. Copy or export it again.") from None
    return inflated


class _Seen(Exception):
    """The first element was seen; nothing more is needed of the parser."""


def _check_extensions(beginning: bytes) -> None:
    """Raise Refusal when the model element requires an extension that isn't read here."""
    found: dict[str, str] = {}

    def first_element(name: str, attributes: dict[str, str]) -> None:
        found.update(attributes)
        raise _Seen

    parser = expat.ParserCreate()
    parser.StartElementHandler = first_element
    # faults of the text, an unknown encoding among them, are for the reader that follows to name
    with contextlib.suppress(_Seen, expat.ExpatError, LookupError, ValueError):
        parser.Parse(beginning, False)
    for prefix in found.get("requiredextensions", "").split():
        namespace = found.get(f"xmlns:{prefix}", "")
        if namespace not in _READABLE:
            name = "".join(c if c.isprintable() else "?" for c in (namespace or prefix))[-60:]
            raise Refusal(
                f"The 3MF file requires an extension that isn't read here (…{name}). "
                "Export the part as plain triangles."
            )
