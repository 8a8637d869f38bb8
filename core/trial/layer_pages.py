"""Read pages of PNG and TIFF files and of NumPy arrays one at a time; nothing is ever unpickled."""

import os
import re
import struct
import tokenize
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from PIL import Image

from core.refusal import Refusal
from core.units import FloatArray

MOST_PIXELS = 100_000_000
"""Of one image; 400 MB as single precision."""
MOST_PAGES = 200_000
GREY = {"L": "uint8", "I;16": "uint16", "I;16B": "uint16", "I": "int32", "F": "float32"}
"""Modes of the reader that hold one grey value a pixel."""
ALL_RIGHT_KINDS = "uif"
_DAMAGE = (
    OSError, SyntaxError, ValueError, EOFError, KeyError, TypeError, IndexError, AttributeError, OverflowError,
    RuntimeError, tokenize.TokenError, struct.error, zlib.error, zipfile.BadZipFile, Image.DecompressionBombError,
    NotImplementedError,
)  # fmt: skip
"""What the libraries raise for a damaged file."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Page:
    """One image that is read only when it is asked for.

    name: file and page for sentences. shape: rows, columns. step: between two grey values, 0 for floats.
    read: gives the grey values (rows, columns).
    """

    name: str
    shape: tuple[int, int]
    step: float
    read: Callable[[], Any]

    def image(self) -> FloatArray:
        """(rows, columns) float32, a copy. Raises Refusal when the data is damaged."""
        with damage_named(self.name):
            values = np.array(self.read(), dtype=np.float32)
            if values.shape != self.shape:
                raise Refusal(f"{self.name} has {values.shape} values, not {self.shape} as it states; export it again.")
            return values


@contextmanager
def damage_named(name: str) -> Iterator[None]:
    """Turn what a library raises into one sentence with the name of file and page."""
    try:
        yield
    except Refusal:
        raise
    except MemoryError:
        raise Refusal(f"{name} needs more memory than there is; export the images smaller.") from None
    except _DAMAGE as fault:
        raise Refusal(f"{name} can't be read ({_reason(fault)}); copy or export it again.") from None


def _reason(fault: BaseException) -> str:
    if isinstance(fault, OSError) and fault.strerror:
        return fault.strerror.lower()
    words = " ".join(str(fault).split())
    return "".join(c if c.isprintable() else "?" for c in words)[:90].rstrip(".") or "it is damaged"


@contextmanager
def _without_c_messages() -> Iterator[None]:
    """The TIFF library under the reader prints of its own accord; what is wrong is said in our sentence instead."""
    try:
        kept = os.dup(2)
    except OSError:  # a window without a terminal
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """A sorting key by which layer_9 comes before layer_10."""
    return tuple((1, int(w), "") if w.isdigit() else (0, 0, w) for w in re.split(r"([0-9]+)", name.lower()))


def shown(name: str) -> str:
    """A file name, printable and short, in quotes."""
    clean = "".join(c if c.isprintable() else "?" for c in name)
    return f"'{clean if len(clean) <= 60 else clean[:40] + '…' + clean[-16:]}'"


def check_shape(name: str, rows: int, columns: int) -> None:
    """Refuse an image without pixels or too large for one in memory."""
    if rows < 1 or columns < 1:
        raise Refusal(f"{name} has no pixels; export it again.")
    if rows * columns > MOST_PIXELS:
        raise Refusal(f"{name} has {rows} x {columns} pixels; at most {MOST_PIXELS // 10**6} million can be read.")


def picture_pages(path: Path) -> list[Page]:
    """The pages of a PNG or TIFF file: grey values of 8, 16 or 32 bits."""
    name = shown(path.name)
    with damage_named(name), _without_c_messages():
        image = Image.open(path, formats=("PNG", "TIFF"))
        count = int(getattr(image, "n_frames", 1))
        if count > MOST_PAGES:
            raise Refusal(f"{name} has {count} pages; at most {MOST_PAGES} can be read.")
        pages = []
        for k in range(count):
            at = name if count == 1 else f"{name} page {k + 1}"
            with damage_named(at):
                if count > 1:
                    image.seek(k)
                _check_grey(at, image.mode)
                columns, rows = image.size
                check_shape(at, rows, columns)
                pages.append(_picture_page(at, path, image, k, count, (rows, columns)))
        if count == 1:
            image.close()  # a folder of thousands would keep as many files open
    return pages


def _check_grey(name: str, mode: str) -> None:
    if mode not in GREY:
        what = "black and white only" if mode == "1" else "in colour"
        raise Refusal(f"{name} is {what}; export the camera's grey values with 8, 16 or 32 bits.")


def _picture_page(
    name: str, path: Path, image: Any, k: int, count: int, shape: tuple[int, int]
) -> Page:
    def values(source: Any) -> Any:
        grey = np.asarray(source)
        tags = getattr(source, "tag_v2", {})
        unsigned = source.mode == "I" and tags.get(258) == (32,) and tags.get(339, (1,))[0] == 1
        return grey.view(np.uint32) if unsigned else grey  # the reader knows no unsigned 32 bits

    def read() -> Any:
        with _without_c_messages():
            if count > 1:
                image.seek(k)
                return values(image)
            with Image.open(path, formats=("PNG", "TIFF")) as again:
                return values(again)

    return Page(name=name, shape=shape, step=0.0 if image.mode == "F" else 1.0, read=read)


def array_pages(path: Path) -> list[Page]:
    """The layers of a .npy file (layers, rows, columns) or of one image (rows, columns), mapped, not loaded."""
    name = shown(path.name)
    with damage_named(name):
        values = np.load(path, mmap_mode="r", allow_pickle=False)
        return slices_of(name, values.shape, values.dtype, lambda k: values if k is None else values[k])


def zip_pages(path: Path) -> list[Page]:
    """The layers of a .npz file: one array of three axes, read layer by layer, or one image an array."""
    name = shown(path.name)
    with damage_named(name):
        archive = zipfile.ZipFile(path)
        members = sorted((m for m in archive.namelist() if m.endswith(".npy")), key=natural)
        if not members:
            raise Refusal(f"{name} holds no arrays; save the layers with numpy.savez.")
        if len(members) > MOST_PAGES:
            raise Refusal(f"{name} holds {len(members)} arrays; at most {MOST_PAGES} can be read.")
        pages = []
        for member in members:
            at = f"{name} array {shown(member.removesuffix('.npy'))}"
            with damage_named(at):
                pages += _member_pages(at, archive, member, alone=len(members) == 1)
    return pages


def _member_pages(name: str, archive: zipfile.ZipFile, member: str, *, alone: bool) -> list[Page]:
    with archive.open(member) as file:
        shape, fortran, dtype = _array_header(file)
        start = file.tell()
    if len(shape) == 3 and not alone:
        raise Refusal(f"{name} has three axes beside other arrays; save one array of layers, or one image an array.")
    if fortran and len(shape) == 3:
        raise Refusal(f"{name} is stored column by column; save it with numpy.ascontiguousarray.")
    open_file: list[IO[bytes]] = []

    def read(k: int | None) -> Any:
        if k is None:
            with archive.open(member) as whole:
                return np.lib.format.read_array(whole, allow_pickle=False)
        if not open_file:
            open_file.append(archive.open(member))
        size = int(np.prod(shape[1:])) * dtype.itemsize
        open_file[0].seek(start + k * size)
        data = open_file[0].read(size)
        return np.frombuffer(data, dtype=dtype).reshape(shape[1:])

    return slices_of(name, shape, dtype, read)


def _array_header(file: IO[bytes]) -> tuple[tuple[int, ...], bool, np.dtype[Any]]:
    version = np.lib.format.read_magic(file)
    readers = {(1, 0): np.lib.format.read_array_header_1_0, (2, 0): np.lib.format.read_array_header_2_0}
    if version not in readers:
        raise ValueError(f"its array format {version} isn't known")
    shape, fortran, dtype = readers[version](file)
    return shape, fortran, dtype


def slices_of(name: str, shape: tuple[int, ...], dtype: np.dtype[Any], read: Callable[[int | None], Any]) -> list[Page]:
    """The pages of an array of two or three axes; read(None) gives an array of two axes."""
    if dtype.kind not in ALL_RIGHT_KINDS:
        raise Refusal(f"{name} holds {dtype} values; save grey values as whole or decimal numbers.")
    if len(shape) not in (2, 3):
        raise Refusal(f"{name} has {len(shape)} axes; save layers, rows, columns, or one image of rows, columns.")
    step = 0.0 if dtype.kind == "f" else 1.0
    check_shape(name, *shape[-2:])
    if len(shape) == 2:
        return [Page(name=name, shape=(shape[0], shape[1]), step=step, read=lambda: read(None))]
    if not 1 <= shape[0] <= MOST_PAGES:
        raise Refusal(f"{name} has {shape[0]} layers; between 1 and {MOST_PAGES} can be read.")

    def page(k: int) -> Page:
        at = f"{name} layer {k + 1}"
        return Page(name=at, shape=(shape[1], shape[2]), step=step, read=lambda: read(k))

    return [page(k) for k in range(shape[0])]
