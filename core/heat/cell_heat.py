"""What a cell holds and what its links let through: enthalpy, heat capacity and conductances at its temperature."""

import numpy as np
from numba import prange

from core.compiled import GridLoop

METAL_UNIT, WALLS_UNIT, POWDER_UNIT = 65520.0, 16.0, 240.0
"""One, in the whole numbers in which a grid keeps what its links cross."""


@GridLoop
def set_links(rise, base_k, metal, walls, powder, axis, tables, first_k, step_k, cell_m, high, out):  # type: ignore[no-untyped-def]
    """Conductances along one axis (0 x, 1 y, 2 z) on the lowest `high` planes, at the mean temperature of both cells.

    Lines in powder alone (share p) conduct beside the rest: G = h (p k_powder + (1 - p)/r), where for the rest
    r = f/k_metal + (1 - f)/k_powder + walls * wall resistance/h and f is its metal share. A row of resistances for all
    lines would insulate walls thinner than a cell, a row of conductances would open gaps thinner than a cell.
    metal, walls, powder: whole numbers in the units above. tables: (3, n) metal and powder conductivity, wall
    resistance. The links to the ghost layer stay as they are.
    """
    ny, nx = rise.shape[1:]
    last = tables.shape[1] - 2
    back_k, back_j, back_i = int(axis == 2), int(axis == 1), int(axis == 0)
    for k in prange(1 + back_k, high + 1):
        for j in range(1 + back_j, ny - 1):
            for i in range(1 + back_i, nx - 1):
                mean = 0.5 * (rise[k, j, i] + rise[k - back_k, j - back_j, i - back_i]) + base_k
                at = (mean - first_k) / step_k
                row = min(max(int(at), 0), last)
                w = min(max(at - row, 0.0), 1.0)
                metal_w_mk = tables[0, row] + w * (tables[0, row + 1] - tables[0, row])
                powder_w_mk = tables[1, row] + w * (tables[1, row + 1] - tables[1, row])
                wall = tables[2, row] + w * (tables[2, row + 1] - tables[2, row])
                p = powder[k, j, i] / POWDER_UNIT
                g = p * powder_w_mk
                if p < 1.0:
                    rest = 1.0 - p
                    f = min(metal[k, j, i] / METAL_UNIT / rest, 1.0)
                    crossed = walls[k, j, i] / WALLS_UNIT / rest
                    g += rest / (f / metal_w_mk + (1.0 - f) / powder_w_mk + crossed * wall / cell_m)
                out[k, j, i] = cell_m * g


@GridLoop
def take_heat(moved, metal, heat, rise, capacity, kg, loose, base_k, base_j_kg, enthalpy, first_k, step_k, high):  # type: ignore[no-untyped-def]
    """heat += moved, then temperature and heat capacity from the enthalpy table; returns the sum of moved, J.

    A cell of metal weighs kg, one of powder `loose` as much; metal in the unit above.
    """
    nz, ny, nx = rise.shape
    planes = np.zeros(nz)
    last = len(enthalpy) - 2
    for k in prange(1, high + 1):
        for j in range(1, ny - 1):
            row_sum = 0.0
            for i in range(1, nx - 1):
                row_sum += moved[k, j, i]
                held = heat[k, j, i] + moved[k, j, i]
                heat[k, j, i] = held
                mass = kg * (loose + (1.0 - loose) * (metal[k, j, i] / METAL_UNIT))
                j_kg = held / mass + base_j_kg
                row = min(max(int((rise[k, j, i] + base_k - first_k) / step_k), 0), last)
                while row > 0 and j_kg < enthalpy[row]:
                    row -= 1
                while row < last and j_kg >= enthalpy[row + 1]:
                    row += 1
                slope = (enthalpy[row + 1] - enthalpy[row]) / step_k
                rise[k, j, i] = first_k - base_k + row * step_k + (j_kg - enthalpy[row]) / slope
                capacity[k, j, i] = mass * slope
            planes[k] += row_sum
    return planes.sum()
