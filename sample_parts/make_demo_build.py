"""Invent what comes back after building the sensor bracket: layer images, a scan and a filled trial sheet.

Run: python sample_parts/make_demo_build.py FOLDER. Nothing in it was ever measured; the same bytes come out every time.
"""

import csv
import io
import shutil
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import trimesh
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from scipy.spatial.transform import Rotation

from core.export.coupon_sheet import sheet_csv
from core.export.write_stl import HEADER_BYTES, write_stl
from core.job import Job, pick_of
from core.job_file import new_job, save_job
from core.part.downskin import find_patches
from core.part.layers import slice_layers
from core.part.part import Part
from core.part.patch import Patch
from core.refusal import Refusal
from core.run_job import load_placed_part
from core.trial.coupon import Cell, Coupon, drawn_places
from core.trial.coupon_cell import cell_part, label_of, low_angle_faces
from core.trial.coupon_choice import CouponChoice
from core.trial.image_mask import slice_mask
from core.trial.register_images import COLUMNS, ImagePlace, mapped, register

BRACKET = Path(__file__).resolve().parent / "sensor-bracket.stl"
INVENTED = "Invented for the fictional workshop Nordhaven Tidal; nothing here was measured on a machine."
LAYER_MM, PIXEL_MM, TURN_DEG = 0.5, 0.2, 4.0
"""Of the images. The job's layers are thinner: every image stands for several."""
BORDER_MM = 5.0
POWDER, METAL, NOISE, WARMING = 40.0, 120.0, 3.0, 12.0
"""Grey values; the metal gets brighter by WARMING from the plate to the top."""
HOT_SIGMA, MILD_SIGMA, FADES_MM = 9.0, 2.0, 1.5
"""Over downskin without a sink and with one, in standard deviations of the noise; e-fold height above it."""
SPOT_MM, SPOT_RADIUS_MM, SPOT_LAYERS, SPOT_SIGMA = (44.0, 6.0, 55.0), 0.8, 3, 12.0
SWELLS_MM, EDGE_SWELLS_MM, EDGE_FADES_MM, SWELLS_WITH_MM = 0.06, 0.24, 1.0, 0.02
"""Without a sink everywhere and more at the lowest edge, fading upwards; with a sink everywhere."""
SCAN_EDGE_MM, SCAN_NOISE_MM = 3.0, 0.012
SCAN_TURN = Rotation.from_rotvec(np.radians(6.0) * np.array([0.6, -0.64, 0.48]))
SCAN_SHIFT_MM = np.array([14.0, -9.0, 6.0])
HALF_FREE_MM = {20.0: 0.26, 30.0: 0.22, 45.0: 0.18}
"""Gap at which half of the cells come free, by angle; the logistic curve is FREE_WIDTH_MM wide."""
FREE_WIDTH_MM = 0.03
BUILT_ON = "2026-11-20"

README = f"""{INVENTED}

demo.underfin      the job: sensor bracket, a sink under the flat shelf (patch 2), none under the ledge (patch 1)
images/            an image every {LAYER_MM:g} mm, {PIXEL_MM:g} mm a pixel; hot over the ledge, mild over the shelf
image-points.csv   where the images lie on the plate
scan.stl           the surface, swollen at the lowest edge of the ledge, moved and turned
trials.csv         a gap coupon's filled sheet

underfin-cli images demo.underfin images --points image-points.csv --layer {LAYER_MM:g} --out compared-images
underfin-cli scan demo.underfin scan.stl --out compared-scan
underfin-cli fit trials.csv
"""


def make_demo_build(folder: Path) -> None:
    """Write all of it into a folder, which is made and must be empty. Raises Refusal when it isn't."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refusal(f"'{folder}' isn't an empty folder; name a new one.")
    (folder / "images").mkdir(parents=True)
    shutil.copyfile(BRACKET, folder / BRACKET.name)
    job, part, patches = _job(folder / BRACKET.name)
    place, shape = _camera(part, folder / "image-points.csv")
    _draw_images(part, patches, place, shape, folder / "images")
    _scan(part, patches, folder / "scan.stl")
    _trials(folder / "trials.csv")
    save_job(job, folder / "demo.underfin")
    (folder / "README.txt").write_text(README, encoding="utf-8")


def _job(part_file: Path) -> tuple[Job, Part, dict[bool, Patch]]:
    """The job, its part, and the patch with the sink (True: the larger) and without (False)."""
    job = new_job(part_file, "mm")
    part = load_placed_part(job)
    small, large = sorted(find_patches(part, job.max_angle_deg, job.laser.layer_mm), key=lambda p: p.area_mm2)
    return replace(job, picks=(pick_of(large.faces),)), part, {True: large, False: small}


def _camera(part: Part, table: Path) -> tuple[ImagePlace, tuple[int, int]]:
    """Where the images lie and how many rows and columns they have; writes six pairs, read to a tenth of a pixel."""
    low, high = part.low_mm[:2] - BORDER_MM, part.high_mm[:2] + BORDER_MM
    columns, rows = (int(n) for n in np.ceil((high - low) / PIXEL_MM))
    c, s = np.cos(np.radians(TURN_DEG)), np.sin(np.radians(TURN_DEG))
    x, y = np.meshgrid(np.linspace(low[0], high[0], 3), np.linspace(low[1], high[1], 2))
    plate = np.column_stack([x.ravel(), y.ravel()])
    seen = (plate - (low + high) / 2) @ np.array([[c, -s], [s, c]]).T / PIXEL_MM
    pixels = np.array([columns - 1, rows - 1]) / 2 + seen * [1, -1]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*COLUMNS, "remark"])
    read = np.round(pixels, 1).tolist()
    writer.writerows([*one, *two, "invented"] for one, two in zip(read, plate.tolist(), strict=True))
    table.write_text(out.getvalue(), encoding="utf-8")
    return register(pixels, plate, "affine"), (rows, columns)


def _draw_images(part: Part, patches: dict[bool, Patch], place: ImagePlace, shape: tuple[int, int],
                 folder: Path) -> None:  # fmt: skip
    """One image a layer; heat fades with the height of solid below a pixel."""
    random = np.random.default_rng(3)
    row, column = np.indices(shape)
    x, y = mapped(place.to_mm, np.column_stack([column.ravel(), row.ravel()]).astype(float)).T.reshape(2, *shape)
    strength = np.zeros(shape)
    for with_sink, patch in patches.items():
        corners = part.corners_mm[patch.faces].reshape(-1, 3)
        (x0, y0), (x1, y1) = corners.min(axis=0)[:2], corners.max(axis=0)[:2]
        strength[(x > x0) & (x < x1) & (y > y0) & (y < y1)] = MILD_SIGMA if with_sink else HOT_SIGMA
    layers = slice_layers(part.vertices_mm, part.triangles, LAYER_MM)
    whole = slice(0, shape[0]), slice(0, shape[1])
    solid_mm = np.zeros(shape)
    spot = np.hypot(x - SPOT_MM[0], y - SPOT_MM[1]) < SPOT_RADIUS_MM
    spot_layer = layers.layer_at(SPOT_MM[2])
    said = PngInfo()
    said.add_text("Comment", INVENTED)
    for i in range(len(layers)):
        solid = slice_mask(layers.segments(i), place, whole)
        solid_mm = np.where(solid, solid_mm + LAYER_MM, 0.0)
        score = strength * np.exp(-(solid_mm - LAYER_MM) / FADES_MM)
        if 0 <= i - spot_layer < SPOT_LAYERS:
            score[spot] += SPOT_SIGMA
        metal = METAL + WARMING * i / len(layers) + NOISE * (score + random.normal(size=shape))
        grey = np.where(solid, metal, POWDER + random.normal(size=shape))
        image = Image.fromarray(np.clip(np.rint(grey), 0, 255).astype(np.uint8))
        image.save(folder / f"layer-{i + 1:03d}.png", pnginfo=said)


def _scan(part: Part, patches: dict[bool, Patch], path: Path) -> None:
    """The part's surface in small triangles: swollen, noisy, moved and turned."""
    random = np.random.default_rng(5)
    vertices, faces, origin = trimesh.remesh.subdivide_to_size(
        part.vertices_mm, part.triangles, SCAN_EDGE_MM, max_iter=12, return_index=True
    )
    for with_sink, patch in patches.items():
        own = np.unique(faces[np.isin(origin, patch.faces)])
        normal = np.average(part.normals[patch.faces], axis=0, weights=part.areas_mm2[patch.faces])
        above = vertices[own, 2] - patch.z_min_mm
        bare = SWELLS_MM + EDGE_SWELLS_MM * np.exp(-above / EDGE_FADES_MM)
        swelling = np.full(len(own), SWELLS_WITH_MM) if with_sink else bare
        vertices[own] += swelling[:, None] * normal / np.linalg.norm(normal)
    vertices = vertices + random.normal(0, SCAN_NOISE_MM, vertices.shape)
    seen = SCAN_TURN.apply(vertices) + SCAN_SHIFT_MM
    write_stl(path, seen.astype(np.float32), faces)
    head = b"Invented scan, Nordhaven Tidal; nothing was measured. Unit mm"
    path.write_bytes(head.ljust(HEADER_BYTES) + path.read_bytes()[HEADER_BYTES:])


def _trials(path: Path) -> None:
    """A coupon's sheet, each cell free or stuck by lot along a logistic curve; rougher with wider gaps."""
    random = np.random.default_rng(11)
    choice = CouponChoice(replicates=2, angles_deg=tuple(HALF_FREE_MM))
    lots, _ = drawn_places(choice)
    cells = []
    for number, (at_mm, (gap_mm, angle_deg, replicate)) in enumerate(lots, start=1):
        label = label_of(number, gap_mm, angle_deg)
        part = cell_part(label, angle_deg, max(choice.gaps_mm) / np.cos(np.radians(45.0)), at_mm)
        cells.append(Cell(name=label[0], gap_mm=gap_mm, angle_deg=angle_deg, replicate=replicate, at_mm=at_mm,
                          part=part, faces=low_angle_faces(part, angle_deg), sinks=()))  # fmt: skip
    coupon = Coupon(choice=choice, cells=tuple(cells), marks=(), notes=())
    rows = list(csv.DictReader(io.StringIO(sheet_csv(coupon), newline="")))
    for row in rows:
        gap_mm, angle_deg = float(row["gap_mm"] or 1.5), float(row["angle_deg"])
        if row["gap_mm"]:
            share = 1 / (1 + np.exp((HALF_FREE_MM[angle_deg] - gap_mm) / FREE_WIDTH_MM))
            row["result"] = "free" if random.random() < share else "stuck"
        row["ra_um"] = f"{38 - 0.4 * angle_deg + 30 * gap_mm + random.normal(0, 2):.1f}"
        row["built_on"], row["remark"] = BUILT_ON, "invented"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    path.write_bytes(out.getvalue().encode())


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit("Name one folder to write to, such as demo-build.")
    try:
        make_demo_build(Path(sys.argv[1]))
    except Refusal as reason:
        raise SystemExit(str(reason)) from None
