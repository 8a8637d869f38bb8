"""What the window remembers between two starts: recent files, layout, look."""

import json
from dataclasses import asdict
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings, QStandardPaths

from core.heat.heat_choice import HeatChoice
from core.refusal import Refusal

RECENT_MAX = 8
LOOKS = ("system", "light", "dark")


class Settings:
    """Typed access to the stored settings; a broken or missing entry gives the default."""

    def __init__(self, store: QSettings | None = None) -> None:
        self._store = store or QSettings("Underfin", "Underfin")

    def recent_files(self) -> list[str]:
        """Files opened last, newest first; those that are gone are left out."""
        text = str(self._store.value("recent_files", "", type=str))
        return [name for name in text.split("\n") if name and Path(name).is_file()][:RECENT_MAX]

    def add_recent_file(self, path: str) -> None:
        """Put a file at the top of the list."""
        others = [name for name in self.recent_files() if name != path]
        self._store.setValue("recent_files", "\n".join([path, *others][:RECENT_MAX]))

    def look(self) -> str:
        """'system', 'light' or 'dark'."""
        look = str(self._store.value("look", "system", type=str))
        return look if look in LOOKS else "system"

    def set_look(self, look: str) -> None:
        self._store.setValue("look", look)

    def language(self) -> str:
        """'system', 'en' or 'de'; taken up at the next start."""
        return str(self._store.value("language", "system", type=str))

    def set_language(self, language: str) -> None:
        self._store.setValue("language", language)

    def smooth_edges(self) -> bool:
        """True when the view draws several samples per pixel (slow without a graphics card)."""
        return bool(self._store.value("smooth_edges", False, type=bool))

    def set_smooth_edges(self, on: bool) -> None:
        self._store.setValue("smooth_edges", on)

    def build_at_once(self) -> bool:
        """True when the sinks are built again after every change."""
        return bool(self._store.value("build_at_once", True, type=bool))

    def set_build_at_once(self, on: bool) -> None:
        self._store.setValue("build_at_once", on)

    def gap_unit(self) -> str:
        """'µm' or 'mm': how the gap is shown."""
        unit = str(self._store.value("gap_unit", "µm", type=str))
        return unit if unit in ("µm", "mm") else "µm"

    def set_gap_unit(self, unit: str) -> None:
        self._store.setValue("gap_unit", unit)

    def heat_choice(self) -> HeatChoice:
        """How a build is followed, as it was set last."""
        try:
            return HeatChoice(**json.loads(str(self._store.value("heat_choice", "{}", type=str))))
        except (ValueError, TypeError, Refusal):
            return HeatChoice()

    def set_heat_choice(self, choice: HeatChoice) -> None:
        self._store.setValue("heat_choice", json.dumps(asdict(choice)))

    def last_folder(self) -> str:
        """Folder of the last file dialog; the documents folder at first."""
        folder = str(self._store.value("last_folder", "", type=str))
        documents = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        return folder if folder and Path(folder).is_dir() else documents

    def set_last_folder(self, folder: str) -> None:
        self._store.setValue("last_folder", folder)

    def layout(self) -> tuple[QByteArray, QByteArray] | None:
        """Window geometry and dock layout as Qt stores them, or None at the first start."""
        geometry = self._store.value("geometry")
        docks = self._store.value("docks")
        if isinstance(geometry, QByteArray) and isinstance(docks, QByteArray):
            return geometry, docks
        return None

    def set_layout(self, geometry: QByteArray, docks: QByteArray) -> None:
        self._store.setValue("geometry", geometry)
        self._store.setValue("docks", docks)

    def warmed_up_for(self) -> str:
        """Version of the loops that were compiled last."""
        return str(self._store.value("warmed_up_for", "", type=str))

    def set_warmed_up_for(self, version: str) -> None:
        self._store.setValue("warmed_up_for", version)
