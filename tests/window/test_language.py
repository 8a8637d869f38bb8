"""Two languages: all texts go through translation, and the German ones keep their places for numbers."""

import ast
import re
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QApplication, QLabel

from app.language import FOLDER, Texts, chosen_language
from app.languages.renew_texts import APP, all_texts, translations
from app.settings import Settings

SHOWING = {"setText", "setToolTip", "setAccessibleName", "setPlaceholderText", "setWindowTitle", "addTab", "addItem",
           "QLabel", "QPushButton", "QCheckBox", "QDockWidget", "QMenu", "plain_text", "Section"}  # fmt: skip


@pytest.fixture
def german(qapp: QApplication) -> Any:
    texts = Texts(qapp)
    assert texts.load("underfin_de", str(FOLDER))
    qapp.installTranslator(texts)
    yield texts
    qapp.removeTranslator(texts)


def _places(text: str) -> list[str]:
    return sorted(re.findall(r"\{\d?\}", text))


def test_a_translation_keeps_places_for_values_lines_and_keys() -> None:
    known = {text: words for text, words in translations("de").items() if words}
    assert len(known) > 400 and len(known) >= 0.95 * len(all_texts())
    for text, words in known.items():
        assert _places(text) == _places(words), text
        assert text.count("\n") == words.count("\n"), text
        assert text.count("&") == words.count("&"), text


def test_the_compiled_file_says_what_the_readable_one_says(german: Texts) -> None:
    for text, words in translations("de").items():
        if words:
            assert german.translate("AnyPanel", text) == words
    assert QCoreApplication.translate("AnyPanel", "a text that nobody translated") == "a text that nobody translated"


def test_the_window_speaks_german_and_numbers_keep_their_point(german: Texts, bench: Any) -> None:
    assert [menu.title() for menu in bench.window.menuBar().findChildren(type(bench.commands.recent_menu))][:1]
    titles = [action.text() for action in bench.window.menuBar().actions()]
    assert {"&Datei", "&Bearbeiten", "&Ansicht", "&Hilfe"} <= set(titles)
    assert bench.pages.tabText(3) == "4 Prüfen" and bench.commands["open"].text() == "&Öffnen…"
    assert "Öffnen Sie ein Teil" in [label.text() for label in bench.start_page.findChildren(QLabel)]
    bench.sink_panel.unit.setCurrentText("mm")
    assert bench.sink_panel.spin.text() == "0.300 mm"


def test_the_language_is_kept_and_an_unknown_one_is_english(bench: Any, settings: Settings) -> None:
    assert settings.language() == "system"
    bench.commands["language_de"].trigger()
    assert settings.language() == "de" and "started again" in bench.message_bar.text.text()
    assert [chosen_language(name) for name in ("de", "en", "fr", "")] == ["de", "en", "en", "en"]


def _untranslated(path: Path) -> list[str]:
    """Words given to a widget as they stand."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in SHOWING:
                shown = node.args[:1] if name == "addItem" else node.args  # the second is the key of the choice
                words = [a.value for a in shown if isinstance(a, ast.Constant) and isinstance(a.value, str)]
                found += [f"{path.name}: {text}" for text in words if re.search(r"[A-Za-z]{3}", text)]
    return found


def test_no_panel_shows_words_that_cannot_be_translated() -> None:
    """Names of the program and of units are the same everywhere."""
    found = [text for path in sorted(APP.rglob("*.py")) for text in _untranslated(path)]
    assert [text for text in found if not text.endswith(": Underfin")] == []
