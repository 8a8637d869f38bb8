"""Which colours the part has: downskin angles, the powder gap, or temperatures, never those of another job."""

from collections.abc import Hashable
from typing import Protocol

from PySide6.QtCore import QObject, Signal

from app.session import Session
from app.view.part_view import PartView

ANGLE = "angle"


class Colouring(Protocol):
    """One way to colour the part."""

    @property
    def key(self) -> str:
        """Its short name."""

    @property
    def title(self) -> str:
        """Its name in the list."""

    def state(self) -> Hashable:
        """What would be shown now, cheap to compare; None when there is nothing to show."""

    def show(self, view: PartView) -> None:
        """Bring it onto the part."""


class AngleColouring:
    """The downskin angle of the low-angle faces; there as soon as a part is."""

    key = ANGLE

    def __init__(self, session: Session, title: str) -> None:
        self._session, self.title = session, title

    def state(self) -> Hashable:
        return self._session.placed

    def show(self, view: PartView) -> None:
        if self._session.placed is not None:
            view.colour_angles(self._session.placed.angles_deg, self._session.job.max_angle_deg)


class ColourLink(QObject):
    """Shows the colouring that was chosen as soon as it has something to show, and the angles until then."""

    changed = Signal()
    """Other colourings can be chosen than before."""
    shown = Signal(str)
    """Key of the colouring that is shown from now on."""

    def __init__(
        self, session: Session, view: PartView, colourings: tuple[Colouring, ...], parent: QObject | None = None
    ) -> None:
        """colourings: those beside the angle, in the order of the list."""
        super().__init__(parent)
        self._session, self._view = session, view
        self._patches_shown: object = None
        """What the view has the low-angle faces of; while another part is on its way, nothing is coloured."""
        self.colourings: tuple[Colouring, ...] = (AngleColouring(session, self.tr("Downskin angle")), *colourings)
        self.wanted = ANGLE
        self.available: tuple[str, ...] = ()
        """Keys of what can be shown now."""
        self._shown: tuple[str, Hashable] = (ANGLE, None)
        view.colour_choice.activated.connect(self._chosen)
        session.patches_changed.connect(self._follow_patches)

    def choose(self, key: str) -> None:
        """Colour by the key of a colouring, as soon as it can be shown."""
        self.wanted = key
        self.follow()

    def _chosen(self) -> None:
        self.choose(self._view.colour_choice.currentData())

    def _follow_patches(self) -> None:
        """The view was just coloured by angles."""
        self._patches_shown = self._session.placed
        self._shown = (ANGLE, self.colourings[0].state())
        self.follow()

    def follow(self) -> None:
        """Something changed that may change the colours; dear only when it did."""
        if self._session.placed is not self._patches_shown:
            return
        states = {one.key: one.state() for one in self.colourings}
        available = tuple(key for key, state in states.items() if state is not None)
        choice = self._view.colour_choice
        if available != self.available:
            self.available = available
            choice.clear()
            for one in self.colourings:
                if one.key in available:
                    choice.addItem(one.title, one.key)
            choice.setVisible(len(available) > 1)
            self._view.place_marks()
            self.changed.emit()
        key = self.wanted if self.wanted in available else ANGLE
        choice.show_choice(key)
        if self._shown != (key, states[key]):
            other = self._shown[0] != key
            self._shown = (key, states[key])
            if other:
                self.shown.emit(key)
            next(one for one in self.colourings if one.key == key).show(self._view)
