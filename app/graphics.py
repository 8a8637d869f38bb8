"""Says in one sentence why the window can't be shown, where no screen or no OpenGL 3.2 can be had."""

import os
import sys

from PySide6.QtCore import QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QGuiApplication, QOffscreenSurface, QOpenGLContext
from PySide6.QtWidgets import QMessageBox

LEAST_OPENGL = (3, 2)
WITHOUT_VIEW = ("offscreen", "minimal", "linuxfb", "vnc")
"""Platforms of Qt that hold no OpenGL widgets."""
COMMAND_LINE = "The command line needs none: underfin-cli build PART --out FOLDER."
NO_SCREEN = f"Underfin found no screen to show its window on. {COMMAND_LINE}"


def say_when_there_is_no_screen() -> None:
    """Qt ends the process when it finds no screen; from now on a sentence is said before, and the exit code is 2."""

    def on_message(kind: QtMsgType, context: object, text: str | None) -> None:
        if kind == QtMsgType.QtFatalMsg:
            sys.stderr.write(f"{NO_SCREEN}\n")
            sys.stderr.flush()
            os._exit(2)

    qInstallMessageHandler(on_message)


def screen_was_found() -> None:
    """Qt's messages take their usual way again."""
    qInstallMessageHandler(None)


def why_no_view() -> str:
    """A sentence when the 3-D view can't be drawn here, else nothing. Needs the application, before any window."""
    platform = QGuiApplication.platformName()
    if platform in WITHOUT_VIEW:
        return f"The 3-D view can't be shown on Qt's platform '{platform}'; use a screen. {COMMAND_LINE}"
    surface, context = QOffscreenSurface(), QOpenGLContext()
    surface.create()
    if not (context.create() and context.makeCurrent(surface)):
        return f"The 3-D view needs OpenGL 3.2, and none can be used here; mend the graphics driver. {COMMAND_LINE}"
    found = context.format().version()
    context.doneCurrent()
    if found < LEAST_OPENGL:
        version = ".".join(map(str, found))
        return f"The 3-D view needs OpenGL 3.2, and the graphics driver gives {version}; renew it. {COMMAND_LINE}"
    return ""


def tell(sentence: str) -> None:
    """On stderr, and in a box where there is a screen for it."""
    sys.stderr.write(f"{sentence}\n")
    sys.stderr.flush()
    if QGuiApplication.platformName() not in WITHOUT_VIEW:
        QMessageBox.critical(None, "Underfin", sentence)
