"""What keeps a job safe while the window is open: copies of unsaved changes, and an eye on the part's file."""

from app.part_watch import PartWatch
from app.workbench import Workbench


def keep_safe(bench: Workbench) -> PartWatch:
    """Wire the copies and the watch of a workbench to its message bar; returns the watch."""
    bar, session, autosave = bench.message_bar, bench.session, bench.autosave
    autosave.said.connect(bar.say)
    session.brought_back.connect(autosave.bring_back)
    watch = PartWatch(session, bench)
    watch.gone.connect(lambda text: bar.say("note", text))
    watch.changed.connect(lambda text: bar.offer(text, bench.tr("Read it again"), session.read_again))
    return watch
