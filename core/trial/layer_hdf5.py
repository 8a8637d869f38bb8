"""Read layer images from an HDF5 file: one dataset of all layers, or a group of numbered images."""

from pathlib import Path
from typing import Any

from core.refusal import Refusal
from core.trial.layer_pages import Page, damage_named, natural, shown, slices_of


def hdf5_pages(path: Path, inside: str | None) -> list[Page]:
    """The layers of an HDF5 file: a dataset (layers, rows, columns), or a group of numbered images.

    inside: path of the dataset or group; None takes the only dataset of three axes. Links to other files are refused.
    """
    name = shown(path.name)
    try:
        import h5py
    except ImportError:
        raise Refusal(f"{name} needs the package h5py; install it with: pip install 'underfin[images]'.") from None
    with damage_named(name):
        file = h5py.File(path, "r")
        found = _only_stack(file, name, h5py) if inside is None else _inside(file, name, inside, h5py)
        if isinstance(found, h5py.Dataset):
            return _dataset_pages(f"{name} dataset {shown(found.name)}", found)
        members = sorted((m for m in found if _is_own(found, m, h5py)), key=natural)
        images = [(m, found[m]) for m in members if isinstance(found[m], h5py.Dataset)]
        if not images:
            raise Refusal(f"{name} has no images in {shown(found.name)}; give --h5 the path of a dataset.")
        pages = []
        for member, image in images:
            at = f"{name} dataset {shown(image.name)}"
            if image.ndim != 2:
                raise Refusal(f"{at} has {image.ndim} axes; a group must hold images of rows, columns, here {member}.")
            pages += _dataset_pages(at, image)
    return pages


def _dataset_pages(name: str, data: Any) -> list[Page]:
    if data.is_virtual or data.external:
        raise Refusal(f"{name} lies in other files; copy its values into one file.")
    return slices_of(name, data.shape, data.dtype, lambda k: data[()] if k is None else data[k])


def _is_own(group: Any, member: str, h5py: Any) -> bool:
    """True for what lies in this very file."""
    return isinstance(group.get(member, getlink=True), h5py.HardLink)


def _inside(file: Any, name: str, inside: str, h5py: Any) -> Any:
    here = file
    for word in filter(None, inside.split("/")):
        if not isinstance(here, h5py.Group) or word not in here:
            raise Refusal(f"{name} has no {shown(inside)}; it has {_names(file, h5py)}.")
        if not _is_own(here, word, h5py):
            raise Refusal(f"{name} only links to {shown(inside)}; give the place where the images lie.")
        here = here[word]
    return here


def _only_stack(file: Any, name: str, h5py: Any) -> Any:
    stacks = [d for d in _datasets(file, h5py) if d.ndim == 3]
    if len(stacks) != 1:
        raise Refusal(f"{name} needs --h5 with the path of its images; it has {_names(file, h5py)}.")
    return stacks[0]


def _datasets(file: Any, h5py: Any) -> list[Any]:
    found: list[Any] = []
    file.visititems(lambda path, item: found.append(item) if isinstance(item, h5py.Dataset) else None)
    return found


def _names(file: Any, h5py: Any) -> str:
    found = [f"{d.name} {d.shape}" for d in _datasets(file, h5py)]
    return ", ".join(found[:4]) + (f" and {len(found) - 4} more" if len(found) > 4 else "") or "no datasets"
