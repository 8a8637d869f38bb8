"""Layer images in the window: which images and points, how they lie on the plate, and what they show."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.images_follower import ImagesFollower
from app.panels.fields import Section
from app.session import Session


class ImagesPanel(Section):
    """Images of a build, laid over its layers."""

    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, session: Session, follower: ImagesFollower, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Layer images"), parent)
        self._session, self._follower = session, follower
