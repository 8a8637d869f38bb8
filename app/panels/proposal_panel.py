"""Why sinks were proposed or not: the reasons of the patch looked at, and a line for each other patch."""

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from app.panels.fields import Form, NumberField, Section, plain_text
from app.session import Session
from core.proposed import Proposed

SHOWN_MAX = 12


class ProposalPanel(Section):
    """The last section of the sink page. What is proposed are ordinary picks; all of it is edited above."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Proposal"), parent)
        self._session = session
        self._patches: tuple[Proposed, ...] = ()
        self._old = False
        form = Form(self)
        name = self.tr("Metal of all sinks")
        self.most_metal = NumberField(
            unit=self.tr("× part"), decimals=1, step=0.5, default=1.0, low=0.1, high=100.0, name=name, parent=self
        )
        self.most_metal.setValue(1.0)
        self.most_metal.setToolTip(
            self.tr("Sinks that would make it more than this are built lighter or left out.")
            + " "
            + self.most_metal.default_tip()
        )
        form.add(self.tr("Metal at most"), self.most_metal)
        self.button = QPushButton(self.tr("Propose sinks"), self)
        self.button.setToolTip(self.tr("Choose patches, kinds of sink, gaps and zones for the whole part, and say why"))
        self.why = plain_text(parent=self)
        self.why.setTextFormat(Qt.TextFormat.RichText)
        self.why.setAccessibleName(self.tr("Why"))
        for widget in (form, self.button, self.why):
            self.body.addWidget(widget)
        session.settings.looked.connect(self._show)
        self._show()

    def show_proposal(self, patches: tuple[Proposed, ...], *, old: bool) -> None:
        """patches: most trouble first; empty for none. old: the job's settings are others by now."""
        self._patches, self._old = patches, old
        self._show()

    def _show(self) -> None:
        pick = self._session.settings.pick
        here = next(
            (p for p in self._patches if p.pick is not None and pick is not None and p.pick.runs == pick.runs), None
        )
        lines = []
        if self._patches and self._old:
            lines.append(f"<p><i>{escape(self.tr('Out of date: the job changed since.'))}</i></p>")
        if here is not None:
            title = self.tr("Why a sink under patch {0}").format(here.patch)
            if here.pick != pick:
                title += " " + self.tr("(changed by hand since)")
            lines.append(f"<p><b>{escape(title)}</b></p>{_bullets(here.reasons)}")
        others = [p for p in self._patches if p is not here]
        for proposed in others[:SHOWN_MAX]:
            title = self.tr("Patch {0}").format(proposed.patch)
            lines.append(f"<p><b>{escape(title)}</b></p>{_bullets(proposed.reasons[: 1 if proposed.taken else None])}")
        if len(others) > SHOWN_MAX:
            lines.append(f"<p>{escape(self.tr('… and {0} more').format(len(others) - SHOWN_MAX))}</p>")
        self.why.setText("".join(lines))
        self.why.setVisible(bool(lines))


def _bullets(reasons: tuple[str, ...]) -> str:
    """Sentences of core as a narrow list."""
    return (
        "<ul style='margin-left:-26px; margin-top:2px'>"
        + "".join(f"<li>{escape(reason)}</li>" for reason in reasons)
        + "</ul>"
    )
