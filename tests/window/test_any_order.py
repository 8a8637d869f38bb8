"""Anything an engineer may do, in any order: no fault, and what is shown belongs to the job."""

import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

PARTS = ("sensor-bracket.stl", "sensor-fairing.3mf", "valve-body.stl", "manifold-block.stl")
LEFT_OUT = {
    "open", "save", "save_as", "quit", "export", "export_heat", "save_picture", "add_part", "log_folder", "orient",
    "report_after", "copy_patches", "sample_parts", "language_de", "language_en", "language_system", "follow_build",
    "propose",
}  # fmt: skip
"""Commands that ask for a file, leave the program, or take minutes."""


class Engineer:
    """Does something, drawn by lot."""

    def __init__(self, hand: Any, seed: int, folder: Path) -> None:
        self.bench, self.session, self.folder = hand.bench, hand.bench.session, folder
        self.lot = random.Random(seed)
        self.commands = sorted(set(self.bench.commands.actions) - LEFT_OUT)
        self.done: list[str] = []

    def step(self) -> None:
        ways: dict[str, Callable[[], object]] = {
            "open": self.open,
            "pick": self.pick,
            "turn": lambda: self.change(pose=self.turned()),
            "gap": lambda: self.change(gap=replace(self.session.job.gap, gap_mm=self.lot.choice([0.2, 0.3, 0.5]))),
            "limit": lambda: self.change(max_angle_deg=self.lot.choice([30.0, 45.0, 60.0])),
            "zone": lambda: self.change(zone=replace(self.session.job.zone, layers=self.lot.choice([0, 3]))),
            "slide": lambda: self.session.preview_gap(self.lot.choice([None, 0.2, 0.4, 0.9])),
            "colour": lambda: self.bench.colours.choose(self.lot.choice(self.bench.colours.available or ("angle",))),
            "cut": lambda: self.bench.view.cut_at(self.lot.choice([None, 5.0, 20.0])),
            "resize": lambda: self.bench.window.resize(self.lot.randint(900, 1500), self.lot.randint(600, 900)),
            "look": lambda: (self.bench.view.moves.turn(self.lot.randint(-50, 50), 9), self.bench.view.moved()),
            "command": self.command,
        }
        name = self.lot.choices(list(ways), weights=[2, 4, 1, 1, 1, 1, 2, 1, 1, 1, 2, 6])[0]
        self.done.append(name)
        ways[name]()

    def open(self) -> None:
        self.bench.state.mark_saved(self.folder / "job.underfin")
        self.bench.open_file(Path(__file__).parents[2] / "sample_parts" / self.lot.choice(PARTS))

    def pick(self) -> None:
        if self.session.patches:
            patch = self.lot.choice(self.session.patches)
            face, how = self.lot.choice(patch.faces.tolist()), self.lot.choice(["add", "toggle"])
            self.session.picker.pick_face(int(face), how)

    def turned(self) -> Any:
        angles = (self.lot.choice([0.0, 10.0, 90.0]), self.lot.choice([0.0, -20.0]), 0.0)
        return replace(self.session.job.pose, rotate_deg=angles, drop=self.lot.random() < 0.5)

    def change(self, **values: Any) -> None:
        self.bench.state.set(replace(self.session.job, **values), "change")

    def command(self) -> None:
        name = self.lot.choice(self.commands)
        self.done[-1] = name
        if self.bench.commands[name].isEnabled():
            self.bench.commands[name].trigger()


@pytest.mark.parametrize(
    ("seed", "steps"),
    [(1, 60), *(pytest.param(seed, 250, marks=pytest.mark.slow) for seed in range(2, 8))],
)
def test_no_order_of_steps_makes_a_fault(hand: Any, tmp_path: Path, seed: int, steps: int) -> None:
    engineer = Engineer(hand, seed, tmp_path)
    failed: list[str] = []
    hand.bench.session.said.connect(lambda level, text, details: failed.append(details) if "Trace" in details else None)
    with hand.qtbot.capture_exceptions() as faults:
        for _ in range(steps):
            engineer.step()
            hand.qtbot.wait(engineer.lot.choice([1, 20, 200, 500]))
            assert not faults and not failed, engineer.done[-8:]
        hand.bench.session.preview_gap(None)
        hand.wait(lambda: not hand.bench.background.busy())
    assert not faults and not failed, engineer.done[-8:]
    session = hand.bench.session
    if session.result_is_current:
        assert session.result.job == session.job and session.result.part is session.part
