"""Layer images: what other programs wrote is read to the last value, one image at a time, and bad files are named."""

import pickle
import subprocess
import sys
import tracemalloc
from pathlib import Path

import h5py
import numpy as np
import pytest
import tifffile
from PIL import Image

from core.refusal import Refusal
from core.trial.layer_images import open_layer_images

ROOT = Path(__file__).parents[2]
INVENTED = np.random.default_rng(3)


def layers_of(dtype: str, n: int = 5, rows: int = 7, columns: int = 11) -> np.ndarray:
    """Invented grey values over the whole range of a type."""
    kind = np.dtype(dtype)
    if kind.kind == "f":
        return INVENTED.normal(300, 50, (n, rows, columns)).astype(kind)
    info = np.iinfo(kind)
    values = INVENTED.integers(info.min, info.max, (n, rows, columns), dtype=kind.newbyteorder("="), endpoint=True)
    return values.astype(kind)


def all_equal(path: Path, values: np.ndarray, inside: str | None = None) -> bool:
    images = open_layer_images(path, inside)
    assert len(images) == len(values) and images.shape == values.shape[1:]
    backwards = {i: images.image(i) for i in reversed(range(len(images)))}
    return all(np.array_equal(backwards[i], values[i].astype(np.float32)) for i in range(len(values)))


@pytest.mark.parametrize("dtype", ["uint8", "uint16", "uint32", "int16", "int32", "float32"])
@pytest.mark.parametrize("options", [{}, {"compression": "zlib"}, {"bigtiff": True}], ids=["plain", "zlib", "big"])
def test_tiff_pages_by_tifffile(tmp_path: Path, dtype: str, options: dict[str, object]) -> None:
    values = layers_of(dtype)
    tifffile.imwrite(tmp_path / "invented.tif", values, photometric="minisblack", **options)
    assert all_equal(tmp_path / "invented.tif", values)


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_png_by_pillow_in_the_order_of_the_numbers(tmp_path: Path, dtype: str) -> None:
    values = layers_of(dtype, n=12)
    for i, image in enumerate(values):
        Image.fromarray(image).save(tmp_path / f"Layer {i + 1}.png")
    (tmp_path / "notes.txt").write_text("invented")
    assert all_equal(tmp_path, values)
    assert "notes.txt" in open_layer_images(tmp_path).warnings[0]


@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32", "float64", ">u2"])
def test_numpy_files(tmp_path: Path, dtype: str) -> None:
    values = layers_of(dtype)
    np.save(tmp_path / "invented.npy", values)
    np.savez_compressed(tmp_path / "one.npz", layers=values)
    np.savez(tmp_path / "many.npz", **{f"layer_{i}": image for i, image in enumerate(np.concatenate([values] * 3))})
    assert all_equal(tmp_path / "invented.npy", values)
    assert all_equal(tmp_path / "one.npz", values)
    assert all_equal(tmp_path / "many.npz", np.concatenate([values] * 3))


def test_hdf5_datasets_and_groups(tmp_path: Path) -> None:
    values = layers_of("uint16", n=11)
    with h5py.File(tmp_path / "invented.h5", "w") as file:
        file.create_dataset("slices/camera/0", data=values, chunks=(1, 7, 11), compression="gzip")
        for i, image in enumerate(values):
            file[f"single/{i}"] = image
    assert all_equal(tmp_path / "invented.h5", values)  # the only one of three axes
    assert all_equal(tmp_path / "invented.h5", values, "/slices/camera/0")
    assert all_equal(tmp_path / "invented.h5", values, "single")


def says(path: Path, *words: str, inside: str | None = None) -> None:
    with pytest.raises(Refusal) as caught:
        images = open_layer_images(path, inside)
        for i in range(len(images)):
            images.image(i)
    text = str(caught.value)
    assert all(word in text for word in words), text
    assert "\n" not in text and text.endswith(".")


def test_every_bad_file_is_named(tmp_path: Path) -> None:
    good = layers_of("uint8", n=1)[0]
    Image.fromarray(good).save(tmp_path / "a1.png")
    Image.fromarray(np.dstack([good] * 3)).save(tmp_path / "a2.png")
    (tmp_path / "a3.png").write_bytes(b"")
    (tmp_path / "a4.png").write_bytes(b"this is text")
    says(tmp_path, "'a2.png' is in colour", "'a3.png' is empty", "'a4.png' can't be read")
    (tmp_path / "a5.png").write_bytes(b"more text")
    says(tmp_path, "1 more can't be used")


def test_a_page_of_another_size_and_a_cut_file_are_named(tmp_path: Path) -> None:
    with tifffile.TiffWriter(tmp_path / "odd.tif") as file:
        file.write(np.zeros((7, 11), np.uint8), photometric="minisblack")
        file.write(np.zeros((7, 12), np.uint8), photometric="minisblack")
    says(tmp_path / "odd.tif", "'odd.tif' page 2", "12 x 7", "11 x 7")
    Image.fromarray(layers_of("uint8", 1, 90, 90)[0]).save(tmp_path / "whole.png")
    data = (tmp_path / "whole.png").read_bytes()
    (tmp_path / "cut.png").write_bytes(data[: len(data) // 2])
    says(tmp_path / "cut.png", "'cut.png'", "can't be read")
    np.save(tmp_path / "whole.npy", layers_of("uint8"))
    (tmp_path / "cut.npy").write_bytes((tmp_path / "whole.npy").read_bytes()[:-50])
    says(tmp_path / "cut.npy", "'cut.npy'")


class Trap:
    """Would write a file when unpickled."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return Path.touch, (self.path,)


def test_nothing_is_unpickled(tmp_path: Path) -> None:
    sprung = tmp_path / "sprung"
    np.save(tmp_path / "trap.npy", np.array([[Trap(sprung)]], dtype=object), allow_pickle=True)
    np.savez(tmp_path / "trap.npz", a=np.array([[Trap(sprung)]], dtype=object))
    (tmp_path / "trap.pkl").write_bytes(pickle.dumps(Trap(sprung)))
    (tmp_path / "renamed.npy").write_bytes(pickle.dumps(Trap(sprung)))
    for name in ("trap.npy", "trap.npz", "trap.pkl", "renamed.npy"):
        says(tmp_path / name, name)
    assert not sprung.exists()


def test_hdf5_that_points_elsewhere_is_refused(tmp_path: Path) -> None:
    with h5py.File(tmp_path / "other.h5", "w") as file:
        file["secret"] = layers_of("uint8")
    with h5py.File(tmp_path / "links.h5", "w") as file:
        file["out"] = h5py.ExternalLink("other.h5", "secret")
        layout = h5py.VirtualLayout(shape=(5, 7, 11), dtype="u1")
        layout[:] = h5py.VirtualSource(str(tmp_path / "other.h5"), "secret", shape=(5, 7, 11))
        file.create_virtual_dataset("virtual", layout)
        file["words"] = np.array([[b"text"]])
    says(tmp_path / "links.h5", "only links to 'out'", inside="out")
    says(tmp_path / "links.h5", "other files", inside="virtual")
    says(tmp_path / "links.h5", "words", inside="words")
    says(tmp_path / "links.h5", "no 'none'", "/virtual", inside="none")


@pytest.mark.parametrize("ending", ["npy", "npz", "h5"])
def test_300_layers_need_the_memory_of_a_few(tmp_path: Path, ending: str) -> None:
    """300 invented layers of 256 x 256 take 20 MB as uint8 and 79 MB as float32; an image takes 0.26 MB."""
    n, size = 300, 256
    path = tmp_path / f"invented.{ending}"
    if ending == "h5":
        with h5py.File(path, "w") as file:
            file.create_dataset("a", shape=(n, size, size), dtype="u1", chunks=(1, size, size), fillvalue=9)
    else:
        lazily = np.lib.format.open_memmap(tmp_path / "invented.npy", "w+", np.uint8, (n, size, size))
        lazily[:] = 9
        lazily.flush()
        if ending == "npz":
            np.savez_compressed(path, lazily)
    tracemalloc.start()
    images = open_layer_images(path)
    total = sum(float(images.image(i).mean()) for i in range(n))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert total == 9.0 * n
    assert peak < 6 * 4 * size * size


MEASURE = """
import resource, sys
from core.trial.layer_images import open_layer_images
images = open_layer_images(sys.argv[1])
images.image(0)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
total = sum(float(images.image(i).mean()) for i in range(len(images)))
print(total, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="the standard library tells the peak memory on Unix only")
def test_300_tiff_pages_need_the_memory_of_a_few(tmp_path: Path) -> None:
    """The whole process's peak, as the decoder's memory isn't Python's: 300 pages of 512 x 512 are 157 MB as uint16."""
    tifffile.imwrite(
        tmp_path / "invented.tif", (np.full((512, 512), k, np.uint16) for k in range(300)), shape=(300, 512, 512),
        dtype=np.uint16, photometric="minisblack", compression="zlib",
    )  # fmt: skip
    command = [sys.executable, "-c", MEASURE, str(tmp_path / "invented.tif")]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    total, extra = map(float, done.stdout.split())
    assert total == sum(range(300))
    assert extra < 10 * 4 * 512 * 512


@pytest.mark.filterwarnings("ignore")  # the command line does so, too
@pytest.mark.parametrize("ending", ["png", "tif", "npy", "npz", "h5"])
def test_damaged_files_are_refused_by_name(tmp_path: Path, ending: str, capfd: pytest.CaptureFixture[str]) -> None:
    """Sixty damaged copies each: bytes changed anywhere, or the end cut off. Nothing else is printed, either."""
    values = layers_of("uint8", n=3)
    path = tmp_path / f"whole.{ending}"
    if ending == "h5":
        with h5py.File(path, "w") as file:
            file.create_dataset("a", data=values, chunks=(1, 7, 11), compression="gzip")
    elif ending == "tif":
        tifffile.imwrite(path, values, photometric="minisblack", compression="zlib")
    elif ending == "png":
        Image.fromarray(values[0]).save(path)
    else:
        np.save(path, values) if ending == "npy" else np.savez_compressed(path, values)
    whole = np.frombuffer(path.read_bytes(), dtype=np.uint8)
    random = np.random.default_rng(8)
    refused = 0
    for k in range(60):
        damaged = whole[: random.integers(1, len(whole))].copy() if k % 3 == 0 else whole.copy()
        damaged[random.integers(0, len(damaged), 4)] = random.integers(0, 256, 4)
        copy = tmp_path / f"damaged-{k}.{ending}"
        copy.write_bytes(damaged.tobytes())
        try:
            images = open_layer_images(copy)
            for i in range(min(len(images), 20)):
                images.image(i)
        except Refusal as refusal:
            refused += 1
            assert copy.name in str(refusal) and "\n" not in str(refusal)
    assert refused > 10
    assert capfd.readouterr() == ("", "")


def test_lzw_tiff_by_pillow(tmp_path: Path) -> None:
    values = layers_of("uint16", n=1, rows=64, columns=64)
    Image.fromarray(values[0]).save(tmp_path / "invented.tif", compression="tiff_lzw")
    assert all_equal(tmp_path / "invented.tif", values)
