"""Open a 3MF package: entries, relationships and content types, nothing inflated beyond a cap counted while reading.

After the Open Packaging Conventions (ECMA-376, part 2) as the 3MF Core Specification, chapters 1 and 2, uses them.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from urllib.parse import unquote
from xml.parsers import expat

from core.part.read_3mf_rules import breaks, plain
from core.refusal import Refusal

MOST_INFLATED_BYTES = 1 << 30
_MOST_ENTRIES = 4096
_MOST_RATIO = 100
_ALWAYS_BYTES = 64 << 20
"""Up to this many inflated bytes the ratio to the packed ones doesn't matter."""
_MOST_SMALL_XML = 4 << 20
_PIECE = 1 << 20
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
MODEL = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
PRINT_TICKET = "http://schemas.microsoft.com/3dmanufacturing/2013/01/printticket"
_KNOWN = (
    MODEL,
    PRINT_TICKET,
    "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dtexture",
    "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail",
    "http://schemas.openxmlformats.org/package/2006/relationships/mustpreserve",
)
"""Relationships whose target must be in the package."""


@dataclass(frozen=True, kw_only=True)
class Relation:
    """kind: the relationship's type. target: the part's name, starting with a slash."""

    kind: str
    target: str


class Parser:
    """A parser that takes UTF-8 and UTF-16 only, no document type, no entity; subclasses handle the elements."""

    what = "3MF model"

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.ordered_attributes = True
        self.parser.XmlDeclHandler = self._declaration
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._doctype
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end

    def _declaration(self, version: str, encoding: str | None, standalone: int) -> None:
        if (encoding or "UTF-8").upper() not in ("UTF-8", "UTF-16"):
            raise breaks(f"its text is in {plain(encoding or '')}, not in UTF-8 or UTF-16")

    def _doctype(self, *_: object) -> None:
        raise Refusal("The 3MF file has a document type or entity, which 3MF forbids. Don't trust this file.")

    def start(self, name: str, attributes: list[str]) -> None:
        """An element begins; attributes: names and values in turn."""

    def end(self, name: str) -> None:
        """An element ends."""

    def feed(self, data: bytes, last: bool = False) -> None:
        """Parse some bytes; Refusal when they are no well-formed XML."""
        try:
            self.parser.Parse(data, last)
        except expat.ExpatError as fault:
            where = f"line {fault.lineno} of its {self.what}" if self.counts_lines() else f"its {self.what}"
            raise breaks(f"{where} is no well-formed XML ({expat.ErrorString(fault.code)})") from None
        except (LookupError, ValueError) as fault:
            if isinstance(fault, (KeyError, IndexError, Refusal)):
                raise
            raise breaks(f"its {self.what} is in an unknown encoding") from None

    def counts_lines(self) -> bool:
        """True while the parser has seen every byte of the part."""
        return True


class _Rows(Parser):
    """Collects the attributes of the elements right below the root."""

    what = "relationships"

    def __init__(self, root: str) -> None:
        super().__init__()
        self.root = root
        self.depth = 0
        self.rows: list[tuple[str, dict[str, str]]] = []

    def start(self, name: str, attributes: list[str]) -> None:
        self.depth += 1
        if self.depth == 1 and name != self.root:
            raise breaks(f"{plain(name.rsplit(' ', 1)[-1])} instead of its {self.what}")
        if self.depth == 2:
            row = dict(zip(attributes[::2], attributes[1::2], strict=True))
            self.rows.append((name.rsplit(" ", 1)[-1], row))
        if len(self.rows) > _MOST_ENTRIES or self.depth > 8:
            raise breaks(f"too many {self.what}")

    def end(self, name: str) -> None:
        self.depth -= 1


class Package:
    """A 3MF package whose names have been checked; parts are read through `pieces`, never all at once."""

    def __init__(self, data: bytes) -> None:
        """Raise Refusal for what is no package, or one that hides, overlaps or encrypts its entries."""
        self.packed = len(data)
        self.inflated = 0
        try:
            self.zip = zipfile.ZipFile(io.BytesIO(data))
            entries = self.zip.infolist()
        except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError, EOFError):
            raise Refusal("The file is a damaged zip package, so no 3MF. Copy or export it again.") from None
        if len(entries) > _MOST_ENTRIES:
            raise Refusal(f"The 3MF package has {len(entries):,} entries, more than any part needs. Export it again.")
        self.entries: dict[str, zipfile.ZipInfo] = {}
        for entry in entries:
            self._add(entry)
        order = sorted(entries, key=lambda entry: entry.header_offset)
        for one, other in pairwise(order):
            if one.header_offset + 30 + one.compress_size > other.header_offset:
                raise Refusal("The 3MF package has entries that overlap. Don't trust this file.")
        self._check_types()

    def _add(self, entry: zipfile.ZipInfo) -> None:
        name = entry.filename
        if name.endswith("/") and entry.file_size == 0:
            return
        if name.startswith("/") or ".." in unquote(name).split("/") or "\\" in name or "\0" in entry.orig_filename:
            raise Refusal("The 3MF package has an entry whose name leaves the package. Don't trust this file.")
        if entry.flag_bits & 1:
            raise Refusal("The 3MF package is encrypted. Export the part without protection.")
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise Refusal("The 3MF package is packed in a way 3MF doesn't have. Export the part again.")
        self._check_size(entry.file_size)
        key = unquote("/" + name).casefold()
        if key in self.entries:
            raise Refusal("The 3MF package holds two entries with one name. Export the part again.")
        self.entries[key] = entry

    def _check_size(self, inflated: int) -> None:
        if inflated > MOST_INFLATED_BYTES:
            raise Refusal("The 3MF package unpacks to more than 1 GiB. Export the part with a coarser tolerance.")
        if inflated > _ALWAYS_BYTES and inflated > _MOST_RATIO * self.packed:
            raise Refusal(f"The 3MF package unpacks to over {_MOST_RATIO} times its size. Don't trust this file.")

    def holds(self, part: str) -> bool:
        """True when the package has a part of this name, which starts with a slash."""
        return unquote(part).casefold() in self.entries

    def pieces(self, part: str) -> Iterator[bytes]:
        """The part's bytes, a MiB at a time; what all parts inflate to is counted here, not believed."""
        try:
            with self.zip.open(self.entries[unquote(part).casefold()]) as stream:
                while piece := stream.read(_PIECE):
                    self.inflated += len(piece)
                    self._check_size(self.inflated)
                    yield piece
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError):
            raise Refusal("The 3MF package is damaged: an entry can't be unpacked. Copy or export it again.") from None
        except (ValueError, KeyError, UnicodeError) as fault:
            if isinstance(fault, Refusal):
                raise
            raise Refusal("The 3MF package is damaged: its entries don't fit. Copy or export it again.") from None

    def _rows(self, part: str, root: str, what: str) -> list[tuple[str, dict[str, str]]]:
        parser = _Rows(root)
        parser.what = what
        read = 0
        for piece in self.pieces(part):
            read += len(piece)
            if read > _MOST_SMALL_XML:
                raise breaks(f"its {what} are larger than 4 MiB")
            parser.feed(piece)
        parser.feed(b"", last=True)
        return parser.rows

    def _check_types(self) -> None:
        if not self.holds("/[Content_Types].xml"):
            raise Refusal("The zip package says nothing of its contents, so it is no 3MF. Export the part again.")
        self.extensions: dict[str, str] = {}
        self.overrides: dict[str, str] = {}
        for name, row in self._rows("/[Content_Types].xml", f"{_TYPES} Types", "content types"):
            table, key = (self.extensions, "Extension") if name == "Default" else (self.overrides, "PartName")
            if key not in row or "ContentType" not in row:
                raise breaks(f"a content type without {key} or ContentType")
            where = unquote(row[key]).casefold()
            if where in table:
                raise breaks(f"two content types for {plain(row[key])}")
            table[where] = row["ContentType"]

    def type_of(self, part: str) -> str:
        """The content type of a part; '' when none is stated."""
        key = unquote(part).casefold()
        return self.overrides.get(key) or self.extensions.get(key.rsplit(".", 1)[-1], "")

    def relations(self, part: str = "/") -> list[Relation]:
        """The relationships of a part, or of the package; their targets are in the package, at most one ticket."""
        folder, _, name = part.rpartition("/")
        where = f"{folder}/_rels/{name}.rels"
        if not self.holds(where):
            return []
        found: list[Relation] = []
        seen: set[str] = set()
        for _, row in self._rows(where, f"{_RELATIONS} Relationships", "relationships"):
            if not all(key in row for key in ("Id", "Type", "Target")):
                raise breaks("a relationship without Id, Type or Target")
            if row["Id"] in seen:
                raise breaks(f"two relationships with the id {plain(row['Id'])}")
            seen.add(row["Id"])
            if row.get("TargetMode", "Internal") != "Internal":
                raise Refusal("The 3MF file points outside its package, which isn't followed. Don't trust this file.")
            target = _resolve(folder, row["Target"])
            if row["Type"] in _KNOWN and not self.holds(target):
                raise breaks(f"it names a part {plain(target)} that isn't in it")
            found.append(Relation(kind=row["Type"], target=target))
        if sum(relation.kind == PRINT_TICKET for relation in found) > 1:
            raise breaks("more than one print ticket")
        return found

    def model(self) -> str:
        """The name of the one model part the package starts with."""
        models = [relation.target for relation in self.relations() if relation.kind == MODEL]
        if not models:
            raise Refusal("The zip package holds no 3MF model. Give the part as STL, OBJ, PLY, 3MF or STEP.")
        if len(models) > 1:
            raise breaks(f"{len(models)} models to start with instead of one")
        if self.type_of(models[0]) != MODEL_TYPE:
            raise breaks(f"its model has the content type {plain(self.type_of(models[0]))}")
        return models[0]


def _resolve(folder: str, target: str) -> str:
    """The part a relationship of a part in this folder points to; Refusal when that lies outside the package."""
    if "\\" in target or ":" in target.split("/")[0]:
        raise Refusal("The 3MF file points outside its package, which isn't followed. Don't trust this file.")
    steps = [] if target.startswith("/") else [step for step in folder.split("/") if step]
    for step in unquote(target.split("#")[0]).split("/"):
        if step == "..":
            if not steps:
                raise Refusal("The 3MF file points outside its package, which isn't followed. Don't trust this file.")
            steps.pop()
        elif step not in ("", "."):
            steps.append(step)
    return "/" + "/".join(steps)
