"""Kind and dimensions of the sinks; only what the kind has is shown."""

from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QVBoxLayout, QWidget

from app.job_state import JobState
from app.panels.fields import ChoiceBox, FieldNote, Form, NumberField, Section, take
from app.sink_settings import SinkSettings
from core.job import Job
from core.sink.sink_choice import KINDS

DEFAULT = Job()
WALLS = frozenset({"fins", "plate"})
STANDING = frozenset({"fins", "plate", "edge"})
ALL = frozenset(KINDS)


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One field: name in SinkChoice, words, unit, and the kinds that have it."""

    key: str
    label: str
    help_text: str
    kinds: frozenset[str] = ALL
    unit: str = "mm"


class SinkForm(QWidget):
    """Two blocks: the sink itself, and its legs on the plate."""

    def __init__(self, state: JobState, settings: SinkSettings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self.fields: dict[str, NumberField] = {}
        self._notes: dict[str, FieldNote] = {}
        self._rows: list[tuple[Form, QWidget | QHBoxLayout, frozenset[str]]] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._sink_section())
        self.legs = self._legs_section()
        column.addWidget(self.legs)
        for signal in (state.changed, settings.looked):
            signal.connect(self._show)
        self._show()

    def _sink_section(self) -> Section:
        section = Section(self.tr("Sink"), self)
        form = Form(self)
        self.kind = ChoiceBox(self.tr("Kind of sink"), self)
        words = {
            "fins": self.tr("fins"),
            "plate": self.tr("plate on ribs"),
            "block": self.tr("solid block"),
            "edge": self.tr("slim wall under the edge"),
        }
        for kind in KINDS:
            self.kind.addItem(words.get(kind, kind), kind)
        self.kind.activated.connect(self._kind_chosen)
        self._kind_note = form.add(self.tr("Kind"), self.kind)
        thickness = self.tr("Thickness of a fin or rib.")
        for dimension in (
            Dimension(key="fin_thickness_mm", label=self.tr("Fin thickness"), help_text=thickness, kinds=WALLS),
            Dimension(
                key="fin_pitch_mm",
                label=self.tr("Fin pitch"),
                help_text=self.tr("From the middle of one fin to the next."),
                kinds=WALLS,
            ),
            Dimension(
                key="edge_width_mm",
                label=self.tr("Wall width"),
                help_text=self.tr("Width of the slim wall."),
                kinds=frozenset({"edge"}),
            ),
            Dimension(
                key="skin_mm",
                label=self.tr("Closed top"),
                help_text=self.tr("Least thickness of the closed top."),
                kinds=WALLS,
            ),
            Dimension(
                key="margin_mm",
                label=self.tr("Margin"),
                help_text=self.tr("How far the sink reaches beyond the patch; negative stays inside."),
            ),
            Dimension(
                key="roof_deg",
                label=self.tr("Roof slope"),
                help_text=self.tr("Slope of the roofs between fins, from the plate."),
                kinds=WALLS,
                unit="°",
            ),
        ):
            self._add(form, dimension)
        self.direction = NumberField(
            unit="°", decimals=1, step=5, default=0, name=self.tr("Fin direction"), parent=self
        )
        self.direction.edited.connect(self._set_direction)
        self.free = QCheckBox(self.tr("choose"), self)
        self.free.setToolTip(self.tr("Unticked, the fins run across the lowest edge of the patch."))
        self.free.clicked.connect(self._direction_chosen)
        row = QHBoxLayout()
        row.addWidget(self.free)
        row.addWidget(self.direction, 1)
        self._direction_note = form.add(self.tr("Fin direction"), row)
        self._rows.append((form, row, WALLS))
        section.body.addWidget(form)
        return section

    def _legs_section(self) -> Section:
        section = Section(self.tr("Foot, neck and drains"), self)
        form = Form(self)
        for dimension in (
            Dimension(
                key="foot_mm",
                label=self.tr("Foot height"),
                help_text=self.tr("A foot joins the walls on the plate; 0 for none."),
                kinds=STANDING,
            ),
            Dimension(
                key="neck_mm",
                label=self.tr("Neck thickness"),
                help_text=self.tr("Walls are this thin just above the plate, where they snap off; 0 for no neck."),
                kinds=STANDING,
            ),
            Dimension(
                key="drain_pitch_mm",
                label=self.tr("Drain pitch"),
                help_text=self.tr("Distance of cross openings by which powder drains; 0 for none."),
                kinds=WALLS,
            ),
            Dimension(
                key="drain_mm", label=self.tr("Drain width"), help_text=self.tr("Width of those openings."), kinds=WALLS
            ),
        ):
            self._add(form, dimension)
        section.body.addWidget(form)
        return section

    def _add(self, form: Form, dimension: Dimension) -> None:
        key, unit = dimension.key, dimension.unit
        default = float(getattr(DEFAULT.sink, key))
        field = NumberField(
            unit=unit,
            decimals=2,
            step=0.1 if unit == "mm" else 1.0,
            default=default,
            name=dimension.label,
            parent=self,
        )
        field.setToolTip(f"{dimension.help_text} {field.toolTip()}")
        note = form.add(dimension.label, field)
        step = self.tr("Set {0}").format(dimension.label.lower())
        field.edited.connect(lambda value: self._change(note, step, {key: value}))
        self.fields[key], self._notes[key] = field, note
        self._rows.append((form, field, dimension.kinds))

    def _show(self) -> None:
        sink = self._settings.job.sink
        self.kind.show_choice(sink.kind)
        for form, row, kinds in self._rows:
            form.set_row_visible(row, sink.kind in kinds)
        for key, field in self.fields.items():
            field.show_value(getattr(sink, key))
            self._notes[key].say("")
        self.legs.setVisible(sink.kind in STANDING)
        self.free.setChecked(sink.direction_deg is not None)
        self.direction.setEnabled(sink.direction_deg is not None)
        self.direction.show_value(sink.direction_deg or 0.0)

    def _change(self, note: FieldNote, step: str, dimensions: dict[str, Any], *, merge: bool = True) -> None:
        take(
            note,
            lambda: self._settings.change(step, sink=replace(self._settings.job.sink, **dimensions), merge=merge),
        )

    def _kind_chosen(self) -> None:
        self._change(self._kind_note, self.tr("Set kind of sink"), {"kind": self.kind.currentData()}, merge=False)

    def _direction_chosen(self, chosen: bool) -> None:
        self._set_direction(self.direction.value() if chosen else None)

    def _set_direction(self, angle_deg: float | None) -> None:
        self._change(self._direction_note, self.tr("Set fin direction"), {"direction_deg": angle_deg})
