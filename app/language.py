"""The language of the window: our own texts and those of Qt. Sentences of core, such as findings, stay English."""

from pathlib import Path

from PySide6.QtCore import QLibraryInfo, QLocale, QObject, QTranslator
from PySide6.QtWidgets import QApplication

FOLDER = Path(__file__).parent / "languages"
CONTEXT = "Underfin"
LANGUAGES = ("en", "de")
NAMES = {"en": "English", "de": "Deutsch"}


class Texts(QTranslator):
    """Looks every text up under one context, whichever panel asks."""

    def translate(self, context: str, text: str, note: str | None = None, n: int = -1) -> str:
        """An empty answer leaves the text as it is in the source."""
        return super().translate(CONTEXT, text) or None  # type: ignore[return-value]  # None is Qt's null text


def chosen_language(setting: str) -> str:
    """The language for a setting: 'system' follows the desktop where we have its language, else English."""
    language = QLocale.system().name()[:2] if setting == "system" else setting
    return language if language in LANGUAGES else "en"


def use_language(app: QApplication, language: str) -> None:
    """Install the texts of a language; must come before the first widget."""
    qt, ours = QTranslator(app), Texts(app)
    if qt.load(f"qtbase_{language}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)):
        app.installTranslator(qt)
    if language != "en" and ours.load(f"underfin_{language}", str(FOLDER)):
        app.installTranslator(ours)


def languages_to_choose(speaker: QObject) -> tuple[tuple[str, str], ...]:
    """Setting and words of each choice."""
    return (("system", speaker.tr("Language of the desktop")), *NAMES.items())
