"""How geometry becomes cells and links: gaps thinner than a cell keep their resistance, whatever their slope.

The outside reference is scikit-fem (BSD, Gustafsson & McBain, JOSS 5:2369, 2020) on a mesh that follows the gap.
"""

from functools import cache

import numpy as np
import pytest
import shapely
import skfem
import trimesh
from skfem.helpers import dot, grad

from core.heat import cell_heat
from core.heat.cell_heat import METAL_UNIT, WALLS_UNIT
from core.heat.heat_grid import HeatGrid, grid_around, heat_grid
from core.heat.multigrid import Links, Multigrid
from core.units import FloatArray

METAL, POWDER = 20.0, 0.2
WIDE, HIGH = 12.0, 20.0
TABLES = np.array([[METAL, METAL], [POWDER, POWDER], [0.0, 0.0]])
"""Metal, powder and wall resistance at 0 and 1000 K."""
DROP = 100.0


@cache
def by_finite_elements(angle_deg: float, gap_mm: float) -> float:
    """Heat flow per area through the block of `by_cells`; biquadratic elements whose edges lie on the gap's walls."""
    across = np.linspace(0.0, WIDE, 49)
    parts = [np.linspace(a, b, n, endpoint=False) for a, b, n in ((0.0, 1.0, 24), (1.0, 2.0, 8), (2.0, 3.0, 24))]
    rows = np.append(np.concatenate(parts), 3.0)
    mesh = skfem.MeshQuad.init_tensor(across, rows)
    x, s = mesh.p
    middle = HIGH / 2 + (x - WIDE / 2) * np.tan(np.radians(angle_deg))
    half = gap_mm / 2 / np.cos(np.radians(angle_deg))
    z = np.where(
        s <= 1,
        s * (middle - half),
        np.where(s <= 2, middle + half * (2 * s - 3), HIGH + (3 - s) * (middle + half - HIGH)),
    )
    mesh = skfem.MeshQuad(np.vstack([x, z]), mesh.t)
    basis = skfem.Basis(mesh, skfem.ElementQuad2())
    centre = mesh.p[:, mesh.t].mean(axis=1)
    away = np.abs((centre[1] - HIGH / 2) - (centre[0] - WIDE / 2) * np.tan(np.radians(angle_deg)))
    conductivity = np.where(away < half, POWDER, METAL)[:, None]
    matrix = skfem.BilinearForm(lambda u, v, w: w.k * dot(grad(u), grad(v))).assemble(basis, k=conductivity)
    rise = basis.zeros()
    held = basis.get_dofs(lambda p: p[1] > HIGH - 1e-9)
    rise[held] = DROP
    ends = np.concatenate([held.flatten(), basis.get_dofs(lambda p: p[1] < 1e-9).flatten()])
    rise = skfem.solve(*skfem.condense(matrix, x=rise, D=ends))
    return float(rise @ (matrix @ rise)) / DROP / WIDE * 1e3


def by_cells(angle_deg: float, gap_mm: float, cell_mm: float) -> float:
    """Heat flow per area in W/m² through a block 12 mm wide and 20 mm high, 100 K apart, cut by a sloping gap."""
    depth = 2 * cell_mm
    grid = heat_grid(
        _two_halves(angle_deg, gap_mm, depth), np.zeros(3), cell_mm, (round(HIGH / cell_mm), 2, round(WIDE / cell_mm))
    )
    links = _links(grid)
    held = 2 * METAL * cell_mm * 1e-3
    links.own[1, 1:-1, 1:-1] = links.own[-2, 1:-1, 1:-1] = held
    right = np.zeros_like(links.own)
    right[-2, 1:-1, 1:-1] = held * DROP
    rise = np.zeros_like(right)
    solver = Multigrid(links, steady=True)
    solver.prepare()
    solver.solve(right, rise, 1e-9)
    return float((held * rise[1, 1:-1, 1:-1]).sum() / (depth * WIDE * 1e-6))


def _links(grid: HeatGrid) -> Links:
    arrays = []
    for axis in range(3):
        g = np.zeros(grid.metal.shape)
        cell_heat.set_links(
            True, np.zeros(grid.metal.shape), 300.0, grid.metal_links[axis], grid.walls[axis],
            grid.powder_links[axis], axis, TABLES, 0.0, 1000.0, grid.cell_mm * 1e-3, grid.shape[0], g,
        )  # fmt: skip
        for other in range(3):
            ends = [slice(None)] * 3
            ends[other] = slice(0, 2 if other == 2 - axis else 1)
            g[tuple(ends)] = 0
            ends[other] = slice(-1, None)
            g[tuple(ends)] = 0
        arrays.append(g)
    return Links(x=arrays[0], y=arrays[1], z=arrays[2], own=np.zeros_like(arrays[0]))


def _two_halves(angle_deg: float, gap_mm: float, depth_mm: float) -> FloatArray:
    """Triangles (n, 3, 3) of the metal below and above the gap, reaching a little out of the block."""
    turn = np.radians(angle_deg)
    along, up = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    middle, box = np.array([WIDE / 2, HIGH / 2]), shapely.box(-1, -1, WIDE + 1, HIGH + 1)
    halves = []
    for side in (up, -up):
        near, far = middle + side * gap_mm / 2, middle + side * 60
        corners = [near - along * 60, near + along * 60, far + along * 60, far - along * 60]
        solid = trimesh.creation.extrude_polygon(box.intersection(shapely.Polygon(corners)), depth_mm + 2)
        solid.apply_translation([0, 0, -1])
        halves.append(solid.vertices[:, [0, 2, 1]][solid.faces[:, ::-1]])
    return np.concatenate(halves)


def test_sloping_gaps_thinner_than_a_cell_keep_their_resistance() -> None:
    cases = [(a, g, c) for a in (20.0, 45.0) for g in (0.1, 0.3, 0.5) for c in (1.0, 0.5, 0.25)]
    errors = np.array([by_cells(a, g, c) / by_finite_elements(a, g) - 1 for a, g, c in cases])
    for (angle, gap, cell), error in zip(cases, errors, strict=True):
        print(f"{angle:g}°, gap {gap:g} mm on cells of {cell:g} mm: {error:+.1%}")
    assert np.abs(errors).mean() <= 0.02
    assert np.abs(errors).max() <= 0.06


def test_a_level_gap_is_exact_on_any_cells() -> None:
    # three resistances in a row; shares are kept in 65520ths, which is 4e-6 of the powder's resistance here
    for gap_mm, cell_mm in ((0.1, 1.0), (0.3, 0.5), (0.37, 1.0)):
        exact = DROP / ((HIGH - gap_mm) * 1e-3 / METAL + gap_mm * 1e-3 / POWDER)
        assert by_cells(0.0, gap_mm, cell_mm) == pytest.approx(exact, rel=2e-5)


def test_a_resolved_grid_agrees_with_finite_elements() -> None:
    assert by_cells(20.0, 0.5, 1 / 16) == pytest.approx(by_finite_elements(20.0, 0.5), rel=0.005)


def test_cells_hold_the_volume_and_links_the_surface() -> None:
    ball = trimesh.creation.icosphere(4, 10.0)
    low, shape = grid_around(ball.triangles + np.array([0, 0, 11.0]), 0.5, 2.0)
    grid = heat_grid(ball.triangles + np.array([0, 0, 11.0]), low, 0.5, shape)
    assert grid.metal.sum() / METAL_UNIT * 0.125 == pytest.approx(ball.volume, rel=1e-4)
    for axis in range(3):
        # lines along an axis meet the ball twice: as often as its shadow is large
        assert grid.walls[axis].sum() / WALLS_UNIT * 0.25 == pytest.approx(2 * np.pi * 100, rel=0.003)
        assert grid.metal_links[axis].sum() / METAL_UNIT * 0.125 == pytest.approx(ball.volume, rel=1e-3)


def test_lines_through_corners_and_edges_count_once() -> None:
    box = trimesh.creation.box((4.0, 4.0, 4.0))
    corners = box.triangles + 2.0
    grid = heat_grid(corners, np.array([-1.0, -1.0, 0.0]), 1.0, (5, 6, 6))
    # lines lie an eighth off the middles of cells; moved by that, they run along edges of the box
    moved = heat_grid(corners + np.array([0.125, 0.125, 0.0]), np.array([-1.0, -1.0, 0.0]), 1.0, (5, 6, 6))
    for found in (grid, moved):
        assert found.metal.sum() / METAL_UNIT == pytest.approx(64.0, rel=1e-6)
        assert found.metal.max() <= METAL_UNIT


@pytest.mark.parametrize("cell_mm", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("start_mm", [0.0, 0.25])
def test_upright_walls_thinner_than_a_cell_conduct_beside_the_powder(cell_mm: float, start_mm: float) -> None:
    # walls of 0.5 mm every 2 mm from bottom to top: a quarter metal, in parallel
    ends = [((start_mm + x, -1, -1), (start_mm + x + 0.5, 9, 21)) for x in range(0, 12, 2)]
    walls = np.concatenate([trimesh.creation.box(bounds=both).triangles for both in ends])
    grid = heat_grid(walls, np.zeros(3), cell_mm, (round(HIGH / cell_mm), round(8 / cell_mm), round(WIDE / cell_mm)))
    links = _links(grid)
    inner = (slice(2, -1), slice(1, -1), slice(1, -1))
    through = links.z[inner].sum(axis=(1, 2)) * cell_mm * 1e-3 / (WIDE * 8e-6)
    assert through == pytest.approx(0.25 * METAL + 0.75 * POWDER, rel=1e-4)
