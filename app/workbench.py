"""Everything inside the window, wired: job tree, view with layer strip, inspector, commands."""

from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from app.autosave import Autosave, autosave_folder
from app.background import Background
from app.colour_commands import make_colours, show_colour_commands
from app.command_list import make_commands
from app.docks import make_docks, make_pages, place_docks
from app.file_commands import FileCommands
from app.heat_commands import show_heat_commands
from app.heat_follower import HeatFollower
from app.heat_link import HeatLink
from app.images_follower import ImagesFollower
from app.job_state import JobState
from app.messages import MessageBar
from app.panels.check_panel import CheckPanel
from app.panels.heat_panel import HeatPanel
from app.panels.job_tree import JobTree
from app.panels.keys_panel import KeysPanel
from app.panels.limits_panel import LimitsPanel
from app.panels.pick_rule import PickRule
from app.panels.place_panel import PlacePanel
from app.panels.process_panel import ProcessPanel
from app.panels.progress_line import ProgressLine
from app.panels.sink_panel import SinkPanel
from app.panels.start_page import StartPage, sample_part
from app.parts_follower import PartsFollower
from app.remedies import Remedies
from app.scan_follower import ScanFollower
from app.session import Session
from app.settings import Settings
from app.view.layer_strip import LayerStrip
from app.view.part_view import PartView
from app.view_link import ViewLink
from app.view_tools import ViewTools
from app.view_tools_commands import follow_view_tools

PAGES = ("place", "sink", "process", "check", "heat")


class Workbench(QObject):
    """Owns the job's state and all panels of one window."""

    limits: LimitsPanel
    keys: KeysPanel
    images: ImagesFollower
    parts: PartsFollower
    scan: ScanFollower

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self.window = window
        settings = getattr(window, "settings", None)
        self.settings: Settings = settings if isinstance(settings, Settings) else Settings()
        self.state = JobState(self)
        self.background = Background(self)
        self.session = Session(self.state, self.background, self)
        self.session.builder.at_once = self.settings.build_at_once()
        self.heat = HeatFollower(self.session, self.background, self.settings.heat_choice(), self)
        self._make_middle()
        self._make_docks()
        self.link = ViewLink(self.session, self.view, self.strip, self)
        self.heat_link = HeatLink(self.session, self.heat, self.strip, self)
        self.colours = make_colours(self)
        self.view_tools = ViewTools(self)
        self.files = FileCommands(self.session, self.heat, self.settings, window)
        self.commands = make_commands(self)
        self._make_status_bar()
        self._wire()
        follow_view_tools(self)
        layout = self.settings.layout()
        if layout is not None:
            window.restoreState(layout[1])
            # Once more when all have their sizes, else the docks share the room evenly.
            QTimer.singleShot(0, window, lambda: window.restoreState(layout[1]))
        window.installEventFilter(self)
        self.autosave = Autosave(self.state, autosave_folder(), self)
        self._offer_left_over()
        self._show_state()

    # Making --------------------------------------------------------------------------------------

    def _make_middle(self) -> None:
        middle = QWidget(self.window)
        column = QVBoxLayout(middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.message_bar = MessageBar(middle)
        column.addWidget(self.message_bar)
        self.stack = QStackedWidget(middle)
        column.addWidget(self.stack, 1)
        self.start_page = StartPage(self.settings.recent_files(), middle)
        self.stack.addWidget(self.start_page)
        canvas = QWidget(middle)
        row = QHBoxLayout(canvas)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        self.view = PartView(canvas, smooth_edges=self.settings.smooth_edges())
        self.strip = LayerStrip(canvas)
        row.addWidget(self.view, 1)
        row.addWidget(self.strip)
        self.stack.addWidget(canvas)
        self.old_sign = QLabel(self.tr("Sinks out of date"), self.view)
        self.old_sign.setAutoFillBackground(True)
        self.old_sign.setMargin(5)
        self.old_sign.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.old_sign.hide()
        self.window.setCentralWidget(middle)

    def _make_docks(self) -> None:
        self.tree, self.pick_rule = JobTree(self.session), PickRule(self.session)
        self.place_panel = PlacePanel(self.session)
        self.sink_panel = SinkPanel(self.session, self.settings.gap_unit())
        self.sink_panel.unit_chosen.connect(self.settings.set_gap_unit)
        self.remedies = Remedies(self.session, self.settings.gap_unit, self)
        self.process_panel, self.check_panel = ProcessPanel(self.session), CheckPanel(self.session, self.remedies)
        self.heat_panel = HeatPanel(self.session, self.heat)
        tr = self.tr
        titles = [tr("1 Place"), tr("2 Sink"), tr("3 Process"), tr("4 Check"), tr("5 Heat")]
        panels = (self.place_panel, self.sink_panel, self.process_panel, self.check_panel, self.heat_panel)
        self.pages = make_pages(titles, panels)
        self.pages.setAccessibleName(self.tr("Pages of the inspector"))
        self.docks = make_docks(self)

    def _make_status_bar(self) -> None:
        bar = self.window.statusBar()
        self.read_out = QLabel(bar)
        self.read_out.setAccessibleName(self.tr("What lies under the mouse"))
        bar.addWidget(self.read_out, 1)
        bar.setObjectName("status_bar")
        self.progress = ProgressLine(bar, self.window)
        bar.addPermanentWidget(self.progress)
        bar.setMinimumHeight(self.progress.sizeHint().height() + 6)

    def _wire(self) -> None:
        self.link.hovered.connect(self.read_out.setText)
        self.link.picked.connect(self._show_sink_page)
        self.link.sink_chosen.connect(self._show_sink_page)
        self.background.started.connect(self.progress.watch)
        self._load_timer = QTimer(self, interval=0, singleShot=True)  # after the first picture, not within it
        self._load_timer.timeout.connect(self.session.builder.load)
        self.view.drawn.connect(self._load_timer.start, Qt.ConnectionType.SingleShotConnection)
        self.session.said.connect(self.message_bar.say)
        self.remedies.refused.connect(lambda text: self.message_bar.say("stop", text))
        self.files.said.connect(self.message_bar.say)
        self.files.recent_changed.connect(self._show_recent)
        self.session.part_changed.connect(self._part_changed)
        self.session.result_changed.connect(self._show_state)
        self.session.settings.looked.connect(self._show_state)
        self.session.patches_changed.connect(self._prepare_later)
        self.colours.changed.connect(lambda: show_colour_commands(self))
        show_colour_commands(self)
        self.state.changed.connect(self._show_state)
        self.tree.page_wanted.connect(self.show_page)
        self.tree.finding_wanted.connect(self.link.show_finding)
        self.tree.sink_eye.connect(self.view.set_sink_visible)
        self.check_panel.finding_wanted.connect(self.link.show_finding)
        self.check_panel.export_wanted.connect(self.files.export)
        self.check_panel.build_wanted.connect(self.session.builder.build)
        self._wire_heat()
        self.start_page.open_wanted.connect(self.files.open)
        self.start_page.file_wanted.connect(lambda path: self.open_file(Path(path)))
        self.start_page.demo_wanted.connect(self.open_demo)

    def _wire_heat(self) -> None:
        self.heat.changed.connect(self._show_heat)
        self.heat.refused.connect(lambda text: self.message_bar.say("stop", text))
        self.heat.failed.connect(self.session.tell_failure)
        self.heat.exported.connect(self.files.tell_exported)
        self.heat_panel.export_wanted.connect(self.commands["export_heat"].trigger)
        self.heat_panel.choice_changed.connect(self.settings.set_heat_choice)
        self._show_heat()

    def _show_heat(self) -> None:
        show_heat_commands(self)

    # Following -----------------------------------------------------------------------------------

    def open_file(self, path: Path) -> None:
        """Open a part or a job."""
        self.files.open_file(path)

    def open_demo(self) -> None:
        """Open a sample part and give every patch of it a sink."""
        part = sample_part()
        if part is not None and self.files.may_discard():
            self.session.opened.connect(self._pick_demo, Qt.ConnectionType.SingleShotConnection)
            self.session.open(part)

    def _pick_demo(self, path: str) -> None:
        if Path(path) == sample_part():
            self.session.picker.pick_all()
            self.show_page("sink")
            self.view.look("below")

    def _offer_left_over(self) -> None:
        copy = self.autosave.left_over
        if copy is not None:
            self.message_bar.offer(
                self.tr("Underfin ended last time with changes that were not saved."),
                self.tr("Bring them back"),
                lambda: self.session.open(copy, bring_back=True),
            )

    def show_page(self, name: str) -> None:
        """Bring a page of the inspector to the front."""
        self.pages.setCurrentIndex(PAGES.index(name))

    def _show_sink_page(self) -> None:
        if self.session.job.picks:
            self.show_page("sink")

    def _part_changed(self, fit: bool) -> None:
        self.stack.setCurrentIndex(1)
        self.message_bar.hide()
        if fit:
            self.view.setFocus()

    def _prepare_later(self) -> None:
        QTimer.singleShot(300, self.view, self.view.prepare_picking)  # after the first picture

    def _show_recent(self) -> None:
        self.start_page.show_recent(self.settings.recent_files())
        self.commands.show_recent(self.settings.recent_files(), self.open_file)

    def _show_state(self) -> None:
        """Title, and which commands can be used now."""
        open_part = self.session.part is not None
        self.window.setWindowTitle(f"{self.files.job_name}[*] – Underfin" if open_part else "Underfin")
        self.window.setWindowModified(open_part and self.state.modified)
        actions = self.commands.actions
        actions["undo"].setEnabled(bool(self.state.undo_name))
        actions["redo"].setEnabled(bool(self.state.redo_name))
        actions["undo"].setText(self.tr("&Undo {0}").format(self.state.undo_name).strip())
        actions["redo"].setText(self.tr("&Redo {0}").format(self.state.redo_name).strip())
        for name in ("undo", "redo"):
            actions[name].setIconText(self.tr("Undo") if name == "undo" else self.tr("Redo"))
        shown = ("fit", "below", "above", "save_picture", "pick_all", "pick_rule", "copy_patches")
        for name in ("save", "save_as", *shown):
            actions[name].setEnabled(open_part)
        for name in ("clear_picks", "copy_settings", "give_to_all"):
            actions[name].setEnabled(bool(self.session.job.picks))
        actions["paste_settings"].setEnabled(bool(self.session.job.picks) and self.session.settings.copied is not None)
        current = self.session.result_is_current
        actions["build"].setEnabled(open_part and bool(self.session.job.picks) and not current)
        refusal = self.check_panel.export_refusal()
        actions["export"].setEnabled(not refusal)
        actions["export"].setToolTip(refusal or self.tr("Write sinks, 3MF and report to a folder"))
        old = self.session.result is not None and bool(self.session.job.picks) and not current
        self.old_sign.setVisible(old)
        self.old_sign.adjustSize()
        self.old_sign.move(self.view.width() // 2 - self.old_sign.width() // 2, self.view.top_px)

    def set_build_at_once(self, on: bool) -> None:
        """Build after every change, or only when asked."""
        self.session.builder.at_once = on
        self.settings.set_build_at_once(on)

    def set_smooth_edges(self, on: bool) -> None:
        """Several samples per pixel; taken up at once and kept for the next start."""
        self.settings.set_smooth_edges(on)
        self.view.set_smooth_edges(on)

    def show_help(self, name: str, on: bool) -> None:
        """A page of help, with more room than the job tree while it is read."""
        self.docks[name].setVisible(on)
        if on and not self.docks[name].isFloating():
            self.window.resizeDocks([self.docks["job"], self.docks[name]], [2, 3], Qt.Orientation.Vertical)

    def reset_layout(self) -> None:
        """Put panels back where they were at the first start."""
        place_docks(self.window, self.docks)

    def may_discard(self) -> bool:
        """Asked before the window closes."""
        return self.files.may_discard()

    def close(self) -> None:
        """Stop work and timers, then free the view; order matters."""
        self._load_timer.stop()
        self.session.close()
        self.autosave.close()
        self.background.close()
        self.heat.close()
        self.progress.close_down()
        self.window.removeEventFilter(self)
        self.view.shut()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.PaletteChange:
            self.commands.redraw_icons()
            self.tree.redraw_icons()
        return super().eventFilter(watched, event)
