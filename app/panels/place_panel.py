"""First page of the inspector: the part, how it stands, the plate, and from which angle on a face is low-angle."""

from dataclasses import replace
from functools import partial

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from app.panels.fields import ChoiceBox, FieldNote, Form, NumberField, Section, bind, bind_value, plain_text, take
from app.session import Session
from core.job import Job
from core.job_parts import with_part_turned
from core.part.part import Part
from core.part.place_on_plate import Plate, Pose
from core.units import MM_PER_UNIT

DEFAULT = Job()


class PlacePanel(QWidget):
    """Facts of the part, unit, turns about X, Y and Z, plate, recoater blade and low-angle limit."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._state = session, session.state
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        column.addWidget(self._facts_section())
        column.addWidget(self._pose_section())
        column.addWidget(self._downskin_section())
        column.addWidget(self._plate_section())
        column.addStretch(1)
        self._state.changed.connect(self._show)
        session.patches_changed.connect(self._show)
        self._show()

    def _facts_section(self) -> Section:
        section = Section(self.tr("Part"), self)
        self.facts = plain_text(parent=self)
        self.warnings = plain_text(parent=self)
        self.units = ChoiceBox(self.tr("Length unit of the file"), self)
        self.units.addItem(self.tr("as the file says"), None)
        for unit in MM_PER_UNIT:
            self.units.addItem({"um": "µm"}.get(unit, unit), unit)
        self.units.activated.connect(self._unit_chosen)
        form = Form(self)
        self._unit_note = form.add(self.tr("Unit of the file"), self.units)
        for widget in (self.facts, form, self.warnings):
            section.body.addWidget(widget)
        return section

    def _pose_section(self) -> Section:
        section = Section(self.tr("How it stands"), self)
        form = Form(self)
        self.turns: list[NumberField] = []
        for axis, letter in enumerate("XYZ"):
            field = NumberField(
                unit="°", decimals=2, step=5, default=0, name=self.tr("Turn about {0}").format(letter), parent=self
            )
            row = QHBoxLayout()
            row.setSpacing(4)
            row.addWidget(field, 1)
            for quarter in (-90, 90):
                button = QToolButton(self)
                button.setText(f"{quarter:+d}°")
                button.setToolTip(self.tr("Turn by {0}° about {1}").format(quarter, letter))
                button.clicked.connect(lambda _=False, a=axis, q=quarter: self._turn_by(a, q))
                row.addWidget(button)
            note = form.add(self.tr("About {0}").format(letter), row)
            field.edited.connect(lambda value, a=axis, n=note: self._turn_to(a, value, n))
            self.turns.append(field)
        section.body.addWidget(form)
        self.drop = QCheckBox(self.tr("Lower it onto the plate"), self)
        self.drop.setToolTip(self.tr("For a part that floats: moves it down along z until it touches the plate."))
        self.drop.clicked.connect(self._drop_chosen)
        section.body.addWidget(self.drop)
        return section

    def _downskin_section(self) -> Section:
        section = Section(self.tr("Downskin"), self)
        form = Form(self)
        self.limit = NumberField(
            unit="°", decimals=1, step=1, default=DEFAULT.max_angle_deg, name=self.tr("Low-angle limit"), parent=self
        )
        self.limit.setToolTip(self.tr("Faces flatter than this, measured from the build plate, are low-angle."))
        note = form.add(self.tr("Low-angle limit"), self.limit)
        bind(
            self.limit,
            note,
            self._state,
            self.tr("Set low-angle limit"),
            lambda job: job.max_angle_deg,
            lambda job, value: replace(job, max_angle_deg=value),
        )
        self.grow = NumberField(
            unit="°", decimals=1, step=1, default=DEFAULT.grow_angle_deg, name=self.tr("Grow angle"), parent=self
        )
        self.grow.setToolTip(self.tr("A click spreads over edges that bend less than this."))
        note = form.add(self.tr("Grow a click over"), self.grow)
        bind(
            self.grow,
            note,
            self._state,
            self.tr("Set grow angle"),
            lambda job: job.grow_angle_deg,
            lambda job, value: replace(job, grow_angle_deg=value),
        )
        section.body.addWidget(form)
        return section

    def _plate_section(self) -> Section:
        section = Section(self.tr("Build plate"), self)
        form = Form(self)
        plate = DEFAULT.plate
        self.plate_fields: dict[str, NumberField] = {}
        for axis, label, step in (
            (0, self.tr("Width X"), self.tr("Set plate width")),
            (1, self.tr("Depth Y"), self.tr("Set plate depth")),
        ):
            field = NumberField(unit="mm", decimals=2, step=5, default=plate.size_mm[axis], name=label, parent=self)
            bind(field, form.add(label, field), self._state, step, partial(_side, axis), partial(_with_side, axis))
        for key, label, unit, step, tip in (
            ("height_mm", self.tr("Build height"), "mm", self.tr("Set build height"), ""),
            ("border_mm", self.tr("Free border"), "mm", self.tr("Set plate border"),
             self.tr("Strip along the plate's edge that stays free.")),
            ("apart_mm", self.tr("Sinks apart"), "mm", self.tr("Set distance of sinks"),
             self.tr("Parts and sinks nearer to each other than this are named, as they may grow together.")),
            ("blade_deg", self.tr("Recoater blade"), "°", self.tr("Set recoater blade"),
             self.tr("Direction of the blade from the X axis: 90° lies along Y and travels along X.")),
        ):  # fmt: skip
            field = NumberField(unit=unit, decimals=2, step=5, default=getattr(plate, key), name=label, parent=self)
            field.setToolTip(f"{tip} {field.default_tip()}".strip())
            bind_value(field, form.add(label, field), self._state, step, "plate", key)
            self.plate_fields[key] = field
        self.origin = ChoiceBox(self.tr("Origin of the plate"), self)
        self.origin.addItem(self.tr("centre of the plate"), "centre")
        self.origin.addItem(self.tr("front left corner"), "corner")
        self.origin.activated.connect(self._origin_chosen)
        self._origin_note = form.add(self.tr("Origin"), self.origin)
        self.at = [
            NumberField(
                unit="mm", decimals=2, step=5, default=0, name=self.tr("Part centre {0}").format(letter), parent=self
            )
            for letter in "XY"
        ]
        for axis, field in enumerate(self.at):
            note = form.add(self.tr("Part centre {0}").format("XY"[axis]), field)
            field.edited.connect(lambda value, a=axis, n=note: self._part_at(a, value, n))
        section.body.addWidget(form)
        return section

    def _show(self) -> None:
        job = self._state.job
        for field, angle in zip(self.turns, job.pose.rotate_deg, strict=True):
            field.show_value(angle)
        self.drop.setChecked(job.pose.drop)
        self.units.show_choice(job.units)
        self.origin.show_choice(job.plate.origin)
        for axis, field in enumerate(self.at):
            field.show_value(_part_at(job.plate)[axis])
        part = self._session.part
        self.facts.setText(_facts(part, self) if part is not None else self.tr("No part is open."))
        texts = (*part.health.problems, *part.health.repaired, *part.warnings) if part is not None else ()
        self.warnings.setText("\n".join(f"• {text}" for text in texts))
        self.warnings.setVisible(bool(texts))

    def _unit_chosen(self) -> None:
        unit = self.units.currentData()
        take(self._unit_note, lambda: self._state.set(replace(self._state.job, units=unit), self.tr("Set unit")))

    def _turn_to(self, axis: int, angle_deg: float, note: FieldNote) -> None:
        angles = list(self._state.job.pose.rotate_deg)
        angles[axis] = (angle_deg + 180.0) % 360.0 - 180.0 if abs(angle_deg) > 180 else angle_deg
        take(
            note,
            lambda: self._set_pose(
                Pose(rotate_deg=(angles[0], angles[1], angles[2]), drop=self._state.job.pose.drop),
                self.tr("Turn about {0}").format("XYZ"[axis]),
            ),
        )

    def _turn_by(self, axis: int, angle_deg: float) -> None:
        self.turns[axis].setValue((self.turns[axis].value() + angle_deg + 180.0) % 360.0 - 180.0)

    def _drop_chosen(self, on: bool) -> None:
        self._set_pose(replace(self._state.job.pose, drop=on), self.tr("Lower onto the plate"))

    def _set_pose(self, pose: Pose, step: str) -> None:
        """Another pose has other downskin, so picked faces are let go, except for a turn about Z alone."""
        job, part, raw = self._state.job, self._session.part, self._session.raw
        if job.more_parts and part is not None and raw is not None:
            self._state.set(with_part_turned(job, part, 0, raw, pose), step, merge=True)
            return
        same = pose.rotate_deg[:2] == job.pose.rotate_deg[:2]
        self._state.set(replace(job, pose=pose, picks=job.picks if same else ()), step, merge=True)

    def _origin_chosen(self) -> None:
        origin = self.origin.currentData()
        take(
            self._origin_note,
            lambda: self._state.set(
                replace(self._state.job, plate=replace(self._state.job.plate, origin=origin, part_at_mm=None)),
                self.tr("Set plate origin"),
            ),
        )

    def _part_at(self, axis: int, value_mm: float, note: FieldNote) -> None:
        at = list(_part_at(self._state.job.plate))
        at[axis] = value_mm
        take(
            note,
            lambda: self._state.set(
                replace(self._state.job, plate=replace(self._state.job.plate, part_at_mm=(at[0], at[1]))),
                self.tr("Move the part on the plate"),
                merge=True,
            ),
        )


def _side(axis: int, job: Job) -> float:
    return job.plate.size_mm[axis]


def _with_side(axis: int, job: Job, value_mm: float) -> Job:
    sides = list(job.plate.size_mm)
    sides[axis] = value_mm
    return replace(job, plate=replace(job.plate, size_mm=(sides[0], sides[1])))


def _part_at(plate: Plate) -> tuple[float, float]:
    if plate.part_at_mm is not None:
        return plate.part_at_mm
    return (plate.size_mm[0] / 2, plate.size_mm[1] / 2) if plate.origin == "corner" else (0.0, 0.0)


def _facts(part: Part, panel: QWidget) -> str:
    x, y, z = part.size_mm
    closed = panel.tr("closed") if part.health.watertight else panel.tr("not closed")
    lines = [
        f"{part.name} · {part.file_format}, {part.units}",
        panel.tr("Size {0} × {1} × {2} mm").format(f"{x:.2f}", f"{y:.2f}", f"{z:.2f}"),
        panel.tr("{0} triangles, {1}").format(f"{part.n_faces:,}".replace(",", " "), closed),
    ]
    if part.health.watertight:
        lines.append(panel.tr("Volume {0} mm³").format(f"{part.volume_mm3:.1f}"))
    return "\n".join(lines)
