"""Collect the texts of the window and compile their translations: `python -m app.languages.renew_texts`.

Every text that goes through `tr` lands in the .ts files beside this one, which Qt Linguist or an editor can fill;
translations already there are kept, texts that are gone are dropped. Then each .ts is compiled to its .qm.
"""

import ast
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
APP = FOLDER.parent
LANGUAGES = ("de",)
CONTEXT = "Underfin"
"""One for all: the same words mean the same in every panel."""


def texts_of(source: str) -> set[str]:
    """The texts that a file hands to `tr`."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and node.args:
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            text = node.args[0]
            if name in ("tr", "_tr") and isinstance(text, ast.Constant) and isinstance(text.value, str):
                found.add(text.value)
    return found


def all_texts() -> list[str]:
    """Every text of the window, sorted."""
    found: set[str] = set()
    for path in sorted(APP.rglob("*.py")):
        found |= texts_of(path.read_text(encoding="utf-8"))
    return sorted(found - {""})


def translations(language: str) -> dict[str, str]:
    """What the .ts file of a language has; empty texts are not translated yet."""
    path = FOLDER / f"underfin_{language}.ts"
    if not path.exists():
        return {}
    messages = ET.parse(path).getroot().iter("message")  # noqa: S314  # our own file
    return {message.findtext("source", ""): message.findtext("translation") or "" for message in messages}


def write(language: str, known: dict[str, str]) -> Path:
    """Write the .ts file with all texts of today."""
    root = ET.Element("TS", version="2.1", language=language, sourcelanguage="en")
    context = ET.SubElement(root, "context")
    ET.SubElement(context, "name").text = CONTEXT
    for text in all_texts():
        message = ET.SubElement(context, "message")
        ET.SubElement(message, "source").text = text
        words = ET.SubElement(message, "translation")
        words.text = known.get(text) or None
        if words.text is None:
            words.set("type", "unfinished")
    ET.indent(root, " ")
    path = FOLDER / f"underfin_{language}.ts"
    path.write_bytes(b'<?xml version="1.0" encoding="utf-8"?>\n<!DOCTYPE TS>\n' + ET.tostring(root, "utf-8") + b"\n")
    return path


def main() -> int:
    """Renew and compile all languages; returns the exit code of the compiler."""
    for language in LANGUAGES:
        path = write(language, translations(language))
        known = translations(language)
        missing = sum(not words for words in known.values())
        sys.stdout.write(f"{path.name}: {len(known)} texts, {missing} not translated\n")
        compiler = Path(sys.executable).parent / "pyside6-lrelease"
        done = subprocess.run(  # noqa: S603  # Qt's own compiler, our own files
            [compiler, "-silent", path, "-qm", path.with_suffix(".qm")], check=False
        )
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main())
