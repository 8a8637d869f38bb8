"""A stack of layer images, opened without loading it: which files, how many layers, and one image at a time."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.refusal import Refusal
from core.trial.layer_hdf5 import hdf5_pages
from core.trial.layer_pages import (
    MOST_PAGES,
    Page,
    array_pages,
    damage_named,
    natural,
    picture_pages,
    shown,
    zip_pages,
)
from core.units import FloatArray

READERS: dict[str, Callable[[Path], list[Page]]] = {
    ".png": picture_pages, ".tif": picture_pages, ".tiff": picture_pages, ".npy": array_pages, ".npz": zip_pages,
}  # fmt: skip
HDF5 = (".h5", ".hdf5", ".hdf")
KNOWN = "PNG, TIFF, .npy, .npz or HDF5"
MOST_NAMED = 3


@dataclass(frozen=True, kw_only=True, eq=False)
class LayerImages:
    """Images of all layers, lowest first; all have the same rows and columns."""

    pages: tuple[Page, ...]
    warnings: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.pages)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.pages[0].shape

    def image(self, i: int) -> FloatArray:
        """(rows, columns) float32 grey values of layer i. Raises Refusal when the data is damaged."""
        return self.pages[i].image()


def open_layer_images(path: Path | str, inside: str | None = None) -> LayerImages:
    """Open a folder of images, or one file that holds all layers, in the order of the names (9 before 10).

    inside: path of the dataset or group in an HDF5 file.
    Only heads are read here. Raises Refusal naming every bad file or page, the first few in full.
    """
    path = Path(path)
    with damage_named(shown(path.name or str(path))):
        if not path.exists():
            raise Refusal(f"There is no folder or file '{path}' with layer images; check the name.")
        files, warnings = _files(path) if path.is_dir() else ([path], [])
    if inside is not None and (path.is_dir() or path.suffix.lower() not in HDF5):
        raise Refusal(f"--h5 is the path inside an HDF5 file; {shown(path.name)} is none.")
    pages: list[Page] = []
    faults: list[str] = []
    for file in files:
        try:
            pages += _pages_of(file, inside)
        except Refusal as fault:
            faults.append(str(fault))
        if len(pages) > MOST_PAGES:
            raise Refusal(f"{shown(path.name)} has more than {MOST_PAGES} layers; give a part of them.")
    for page in pages:
        if page.shape != pages[0].shape:
            faults.append(f"{page.name} has {_size(page)} pixels, but {pages[0].name} has {_size(pages[0])}; "
                          "export all layers alike.")  # fmt: skip
    if faults:
        more = f" {len(faults) - MOST_NAMED} more can't be used either." if len(faults) > MOST_NAMED else ""
        raise Refusal(" ".join(faults[:MOST_NAMED]) + more)
    return LayerImages(pages=tuple(pages), warnings=tuple(warnings))


def _size(page: Page) -> str:
    return f"{page.shape[1]} x {page.shape[0]}"


def _files(folder: Path) -> tuple[list[Path], list[str]]:
    """The image files of a folder in natural order, and a warning that names what was left out."""
    inside = [f for f in folder.iterdir() if not f.name.startswith(".") and f.is_file()]
    files = sorted((f for f in inside if f.suffix.lower() in READERS), key=lambda f: natural(f.name))
    if not files:
        raise Refusal(f"The folder '{folder}' has no layer images; put {KNOWN} files there, or give one such file.")
    others = sorted(f.name for f in inside if f.suffix.lower() not in READERS)
    named = ", ".join(shown(name) for name in others[:5]) + (f" and {len(others) - 5} more" if len(others) > 5 else "")
    return files, [f"Left out, as they are no layer images: {named}."] if others else []


def _pages_of(file: Path, inside: str | None) -> list[Page]:
    ending = file.suffix.lower()
    with damage_named(shown(file.name)):
        if file.stat().st_size == 0:
            raise Refusal(f"{shown(file.name)} is empty; copy or export it again.")
    if ending in HDF5:
        return hdf5_pages(file, inside)
    if ending not in READERS:
        raise Refusal(f"{shown(file.name)} is no file of layer images known here; give {KNOWN}.")
    return READERS[ending](file)
