"""The heat engine against solutions from books; steel-like metal: k 20 W/mK, rho c 4e6 J/m³K, diffusivity 5e-6 m²/s.

Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. (1959); Incropera & DeWitt, Fundamentals of Heat and Mass
Transfer, chapters 3 and 5. The formulas are evaluated here; both books from memory.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erfc

from tests.heat.drawn_grids import Block, column, growing_steps

K, RHO_C = 20.0, 4e6
ALPHA = K / RHO_C
EFFUSIVITY = math.sqrt(K * RHO_C)


def test_constant_flux_into_a_half_space() -> None:
    # Carslaw & Jaeger 2.9: T = 2 q sqrt(a t/pi)/k exp(-x²/4at) - q x/k erfc(x/(2 sqrt(at)))
    q, t = 1e6, 1.0
    block = column([(0.03, K)], 1e-4)
    block.heat_above(q)
    block.run(growing_steps(1e-4, t))
    depth = (np.arange(300) + 0.5)[::-1] * 1e-4
    for x in (0.5e-3, 1e-3, 5e-3):
        exact = 2 * q * math.sqrt(ALPHA * t / math.pi) / K * math.exp(-(x**2) / (4 * ALPHA * t)) - q * x / K * erfc(
            x / (2 * math.sqrt(ALPHA * t))
        )
        assert np.interp(-x, -depth, block.inside[:, 0, 0]) == pytest.approx(exact, abs=0.005 * 126.157)
    assert block.top_surface(q) == pytest.approx(126.1566, rel=0.005)


@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0])
@pytest.mark.parametrize("fourier", [0.2, 0.5, 1.0])
def test_a_plane_wall_cools_as_in_the_charts(biot: float, fourier: float) -> None:
    # Incropera 5.5: sum of C cos(zeta x/L) exp(-zeta² Fo), zeta tan zeta = Bi, C = 4 sin z/(2 z + sin 2z)
    roots = [brentq(lambda z: z * math.sin(z) - biot * math.cos(z), n * math.pi, (n + 0.5) * math.pi) for n in range(6)]
    terms = [4 * math.sin(z) / (2 * z + math.sin(2 * z)) * math.exp(-(z**2) * fourier) for z in roots]
    centre, face = sum(terms), sum(c * math.cos(z) for c, z in zip(terms, roots, strict=True))
    half = 0.01
    block = column([(half, K)], half / 100, RHO_C)
    block.rise[1:-1, 1:-1, 1:-1] = 1.0
    h = biot * K / half
    block.cool_above(h)
    block.run(growing_steps(1e-3, fourier * half**2 / ALPHA))
    assert block.inside[0, 0, 0] == pytest.approx(centre, rel=0.004)
    last = float(block.inside[-1, 0, 0])
    surface = last / (1.0 + h * 0.5 * block.cell_m / K)
    assert surface == pytest.approx(face, rel=0.004)


def test_resistances_in_a_row_add_up_across_a_powder_gap() -> None:
    # 20 mm plate, 10 mm sink, 0.25 mm powder, 5 mm part; 50 kW/m² into the top (Incropera 3.1)
    block = column([(0.02, 15.0), (0.01, 15.0), (0.25e-3, 0.15), (0.005, 15.0)], 0.25e-3)
    block.hold_below()
    block.heat_above(5e4)
    block.steady()
    rise = block.inside[:, 0, 0]
    half = 0.5 * block.cell_m * 5e4 / 15.0
    assert block.top_surface(5e4) == pytest.approx(553.15 - 353.15, abs=1e-6)
    assert rise[121] - half == pytest.approx(536.4833 - 353.15, abs=1e-3)
    assert rise[119] + half == pytest.approx(453.15 - 353.15, abs=1e-3)
    assert rise[79] + half == pytest.approx(419.8167 - 353.15, abs=1e-3)


def test_a_fin_loses_its_heat_along_its_length() -> None:
    # Incropera 3.6: m = sqrt(2h/(k t)), tip 1/cosh(mL), efficiency tanh(mL)/(mL); h 100, 1 mm, k 15, 10 mm
    cell, length, h = 1e-4, 0.01, 100.0
    block = column([(length, 15.0)], cell)
    block.cool_above(math.inf, 1.0)
    block.held[1:-1, 1:-1, 1:-1] = h * 2.0 / 1e-3 * cell**3  # both faces of a 1 mm fin, per volume
    block.steady()
    m = math.sqrt(2 * h / (15.0 * 1e-3))
    assert block.inside[0, 0, 0] == pytest.approx(0.573358, rel=1e-4)
    assert block.inside.mean() == pytest.approx(math.tanh(m * length) / (m * length), rel=1e-4)


def test_heat_spreads_from_a_strip_into_a_slab() -> None:
    # 2 mm strip on a slab 20 mm wide and 10 mm high, base held, k 20: 0.0562555 K m/W by the cosine series
    cell, n = 1e-4, 100
    block = Block(np.full((n, 1, n), K), RHO_C, cell)  # one half, as the other is its mirror
    flux = np.zeros((1, n))
    flux[0, :10] = 1e5
    block.heat_above(flux)
    block.hold_below()
    block.steady()
    mean = float(block.inside[-1, 0, :10].mean()) + 0.5 * cell * 1e5 / K
    heat_w_m = 2 * 1e5 * 1e-3
    width, half, depth = 0.02, 1e-3, 0.01
    n_term = np.arange(1, 4001)
    wave = 2 * math.pi * n_term / width
    series = depth / (K * width) + float(
        np.sum(2 / (K * width * wave) * np.tanh(wave * depth) * (np.sin(wave * half) / (wave * half)) ** 2)
    )
    assert series == pytest.approx(0.0562555, rel=1e-4)
    assert mean / heat_w_m == pytest.approx(series, rel=0.005)


def test_two_half_spaces_exchange_heat_through_a_conductance() -> None:
    # Carslaw & Jaeger 2.7 and 12: q = h dT exp(g² t) erfc(g sqrt t), g = h (1/e1 + 1/e2)
    h, drop, cell, n = 600.0, 1000.0, 1e-4, 600
    block = column([(n * cell, K), (n * cell, K)], cell)
    block.links.z[n + 1, 1, 1] = cell**2 / (1 / h + cell / K)
    block.rise[n + 1 : -1, 1:-1, 1:-1] = drop
    g = h * 2 / EFFUSIVITY
    block.run(growing_steps(1e-3, 1.0))
    flux = block.links.z[n + 1, 1, 1] * (block.rise[n + 1, 1, 1] - block.rise[n, 1, 1]) / cell**2
    exact = h * drop * math.exp(g**2) * erfc(g)
    assert exact == pytest.approx(518967, rel=1e-5)
    assert flux == pytest.approx(exact, rel=0.005)


def test_a_plane_source_parts_by_effusivity() -> None:
    # dT = Q/(sqrt(pi t)(e1 + e2)) at the plane; metal below, powder above (e 574.456)
    cell, n, t = 2e-5, 150, 0.01
    k_powder = 0.15
    heat = np.full((2 * n, 1, 1), RHO_C)
    heat[n:] = 574.456**2 / k_powder
    k = np.full((2 * n, 1, 1), K)
    k[n:] = k_powder
    block = Block(k, heat, cell)
    block.rise[n, 1, 1] = 1e6 / (RHO_C * cell)  # into the topmost metal cell
    block.run(growing_steps(1e-6, t, 1.03))
    assert block.rise[n, 1, 1] == pytest.approx(592.72, rel=0.01)


def test_a_mode_decays_at_its_own_rate() -> None:
    # sin sin sin in a cube held at zero: exp(-3 pi² a t/L²), Carslaw & Jaeger 6; 0.227537 at 1 s for 10 mm
    side, n = 0.01, 32
    assert _decay(side, n, 1.0) == pytest.approx(0.227537, rel=0.01)


def test_space_is_second_order() -> None:
    exact = math.exp(-3 * math.pi**2 * ALPHA * 0.5 / 0.01**2)
    coarse, fine = (abs(_decay(0.01, n, 0.5) - exact) for n in (8, 16))
    assert math.log2(coarse / fine) > 1.9


def _decay(side: float, n: int, t: float) -> float:
    cell = side / n
    block = Block(np.full((n, n, n), K), RHO_C, cell)
    wall = 2.0 * K * cell  # half a cell to the held wall
    for axis in range(3):
        for end in (1, n):
            place: list[slice | int] = [slice(1, -1)] * 3
            place[axis] = end
            block.held[tuple(place)] += wall
    x = np.sin(math.pi * (np.arange(n) + 0.5) / n)
    mode = x[:, None, None] * x[None, :, None] * x[None, None, :]
    block.rise[1:-1, 1:-1, 1:-1] = mode
    block.run(np.full(60, t / 60))
    return float((block.inside * mode).sum() / (mode * mode).sum())


def test_time_is_second_order() -> None:
    errors = []
    for n in (4, 8, 16):
        block = column([(0.01, K)], 5e-4)
        block.hold_below()
        x = np.sin(math.pi / 2 * (np.arange(20) + 0.5) / 20)
        block.rise[1:-1, 1, 1] = x
        block.run(np.full(n, 20.0 / n))
        # the discrete mode decays with its own eigenvalue, so only time is wrong
        eigen = 4 * ALPHA / 5e-4**2 * math.sin(math.pi / 80) ** 2
        errors.append(abs(float(block.inside[:, 0, 0] @ x / (x @ x)) - math.exp(-eigen * 20.0)))
    assert math.log2(errors[0] / errors[1]) > 1.9
    assert math.log2(errors[1] / errors[2]) > 1.9


def test_a_made_up_solution_is_met_with_its_source() -> None:
    # T = sin(pi z/2L)(1 - exp(-t/tau)) on a column held below, insulated above; the source follows from the equation
    length, n, tau = 0.01, 50, 2.0
    block = column([(length, K)], length / n)
    block.hold_below()
    z = (np.arange(n) + 0.5) * block.cell_m
    shape = np.sin(math.pi * z / (2 * length))
    decay = K * (math.pi / (2 * length)) ** 2
    t, step = 0.0, 0.02
    for _ in range(200):
        mean = math.exp(-t / tau) * tau / step * (1 - math.exp(-step / tau))  # of exp(-t/tau) over the step
        per_m3 = shape * (RHO_C / tau * mean + decay * (1 - mean))
        block.source[:, 1, 1] = per_m3 * block.cell_m**3
        block.run(np.array([step]))
        t += step
    assert block.inside[:, 0, 0] == pytest.approx(shape * (1 - math.exp(-t / tau)), abs=1e-3)


def test_pulses_on_a_half_space_pile_up_like_the_root_of_their_number() -> None:
    # sum over pulses E/(e sqrt(pi n t)), just before the next: 16.2868 after one, 81.7757 K after ten (1 MJ/m², 15 s)
    cell, n = 5e-4, 800
    block = column([(n * cell, K)], cell)
    found = []
    for _ in range(10):
        block.rise[n, 1, 1] += 1e6 / (RHO_C * cell)
        block.run(growing_steps(5e-3, 15.0, 1.15))
        found.append(block.rise[n, 1, 1])
    assert found[0] == pytest.approx(16.2868, rel=0.01)
    assert found[9] == pytest.approx(81.7757, rel=0.01)


def test_endless_pulses_on_a_slab_reach_their_cycle() -> None:
    # sum 2E/(rho c H) X/(1 - X), X = exp(-((m+1/2) pi/H)² a t): 42.8935 K for 20 mm on a held base
    cell = 5e-4
    block = column([(0.02, K)], cell)
    block.hold_below()
    for _ in range(40):
        block.rise[40, 1, 1] += 1e6 / (RHO_C * cell)
        block.run(growing_steps(5e-3, 15.0, 1.15))
    assert block.rise[40, 1, 1] == pytest.approx(42.8935, rel=0.01)


def test_a_hot_plate_cools_over_a_powder_gap() -> None:
    # 1 mm at 1000 K over 0.25 mm powder (k 0.15, 2.2e6) over 5 mm on a base at 353.15 K: 933.7 / 895.8 / 830.3 K
    # at 0.5 / 1 / 2 s by a resolved one-dimensional finite difference run made for this project
    cell = 2.5e-5
    heat = np.full((250, 1, 1), RHO_C)
    heat[200:210] = 2.2e6
    k = np.full((250, 1, 1), 15.0)
    k[200:210] = 0.15
    block = Block(k, heat, cell)
    block.hold_below()
    block.rise[211:-1, 1:-1, 1:-1] = 1000.0 - 353.15
    for until, expected in ((0.5, 933.7), (1.0, 895.8), (2.0, 830.3)):
        block.run(growing_steps(1e-3, 0.5 if until < 2 else 1.0))
        assert block.top_surface(0.0) + 353.15 == pytest.approx(expected, abs=1.0)


def test_no_joule_is_lost() -> None:
    rng = np.random.default_rng(5)
    block = Block(rng.uniform(0.1, 30.0, (9, 7, 11)), RHO_C, 1e-3)
    block.hold_below(500.0)
    block.cool_above(25.0, -20.0)
    block.heat_above(rng.uniform(0, 1e5, (7, 11)))
    step = block.run(np.array([0.1, 1.0, 10.0, 100.0]))
    held = float((block.capacity * block.rise).sum())
    put_in = float(block.source.sum()) * 111.1
    assert put_in - step.lost_j == pytest.approx(held, rel=1e-12)


def test_a_mirrored_block_gives_a_mirrored_answer() -> None:
    rng = np.random.default_rng(6)
    k = rng.uniform(0.2, 20.0, (12, 10, 14))
    answers = []
    for turned in (k, k[:, ::-1, ::-1]):
        block = Block(turned, RHO_C, 1e-3)
        block.hold_below()
        block.heat_above(1e4)
        block.run(np.array([1.0, 5.0]))
        answers.append(block.inside.copy())
    assert answers[1][:, ::-1, ::-1] == pytest.approx(answers[0], rel=1e-8)


@pytest.mark.parametrize(("thick_m", "k", "h", "tip_rises_k"), [
    (1e-3, 15.0, 474.0, (6, 31, 71, 100)),
    (1e-3, 110.0, 474.0, (1, 5, 19, 53)),
    (1e-3, 15.0, 15.0, (7, 41, 160, 571)),
])  # fmt: skip
def test_a_ledge_over_a_gap_is_a_fin(thick_m: float, k: float, h: float, tip_rises_k: tuple[float, ...]) -> None:
    # (q/h)(1 - 1/cosh(L sqrt(h/(k t)))), 50 kW/m² over the whole ledge, its root at the sink's temperature
    q, cell = 5e4, 2.5e-4
    for length, listed in zip((2e-3, 5e-3, 10e-3, 20e-3), tip_rises_k, strict=True):
        n = round(length / cell)
        block = Block(np.full((round(thick_m / cell), 1, n), k), RHO_C, cell)
        block.hold_below(h)
        block.held[1:-1, 1, 1] += 2 * k * cell
        block.heat_above(q)
        block.steady()
        exact = q / h * (1 - 1 / math.cosh(length * math.sqrt(h / (k * thick_m))))
        assert exact == pytest.approx(listed, abs=0.6)
        assert float(block.inside[:, 0, -1].mean()) == pytest.approx(exact, rel=0.05)
