"""What keeps a job safe while the window is open: copies of unsaved changes, and an eye on the part's file."""

import contextlib
import os
import shutil
import tempfile
import time
from pathlib import Path

from app.part_watch import PartWatch
from app.workbench import Workbench

LEFT_DAYS = 3
"""No run of ours goes longer without writing; what is older was left by a kill."""


def clear_left_folders(folder: Path) -> None:
    """Remove our own temporary files and folders that a kill left there; what belongs to others is left alone."""
    for left in folder.glob("underfin-*"):
        with contextlib.suppress(OSError):
            facts = left.lstat()
            mine = not hasattr(os, "getuid") or facts.st_uid == os.getuid()
            if mine and time.time() - facts.st_mtime > LEFT_DAYS * 86400 and not left.is_symlink():
                shutil.rmtree(left) if left.is_dir() else left.unlink()


def keep_safe(bench: Workbench) -> PartWatch:
    """Clear what kills left, wire copies and watch of a workbench to its message bar; returns the watch."""
    clear_left_folders(Path(tempfile.gettempdir()))
    bar, session, autosave = bench.message_bar, bench.session, bench.autosave
    autosave.said.connect(bar.say)
    session.brought_back.connect(autosave.bring_back)
    watch = PartWatch(session, bench)
    watch.gone.connect(lambda text: bar.say("note", text))
    watch.changed.connect(lambda text: bar.offer(text, bench.tr("Read it again"), session.read_again))
    return watch
