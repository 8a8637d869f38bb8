"""The list of commands of one window: text, key, icon, and what each does."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, qVersion

from app.after_build_report import after_build_commands
from app.appearance import use_look
from app.best_gap_link import BestGapLink
from app.colour_commands import COLOUR_COMMANDS, colour_commands
from app.command_palette import CommandPalette
from app.commands import Command, Commands, Keys
from app.go_commands import GO_COMMANDS, go_commands
from app.handbook_command import handbook_command
from app.heat_commands import heat_commands
from app.language_commands import LANGUAGE_COMMANDS, language_commands
from app.library_link import library_commands
from app.main_window import log_folder
from app.orient_link import ORIENT_COMMANDS, orient_commands, orient_link
from app.panels.start_page import SAMPLE_FOLDER
from app.parts_link import parts_commands
from app.propose_link import ProposeLink
from app.view_tools_commands import FIT_COMMANDS, TOOL_COMMANDS, view_tool_commands
from app.zone_link import ZoneLink, zone_commands
from core.version import PROGRAM, VERSION

if TYPE_CHECKING:
    from app.workbench import Workbench


def make_commands(bench: "Workbench") -> Commands:
    """All actions, menus and the tool bar of a workbench."""
    made = Commands(bench.window)
    colours_and_heat = (*view_tool_commands(bench), *colour_commands(bench), *heat_commands(bench))
    parts = (*parts_commands(bench), *after_build_commands(bench), *library_commands(bench))
    places = (*parts, *go_commands(bench), *language_commands(bench), *zone_commands(bench), *orient_commands(bench))
    for command in (*_file_and_edit(bench), *_view(bench), *_build_and_help(bench, made), *colours_and_heat, *places):
        made.add(command)
    # Escape belongs to the view and the tree, which handle the key themselves; here it only stands in the menu.
    made["clear_picks"].setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
    made["orthographic"].setChecked(bench.view.moves.parallel)
    ZoneLink(bench)
    orient_link(bench).follow(made)
    ProposeLink(bench, made)
    BestGapLink(bench, made)
    for name in ("show_plate", "show_sinks", "show_zones", "show_angles", "show_part"):
        made[name].setChecked(True)
    made["build_at_once"].setChecked(bench.session.builder.at_once)
    made["smooth_edges"].setChecked(bench.settings.smooth_edges())
    for name in ("handbook", "limits", "shortcuts", "parts", "trials", "after", "library"):
        bench.docks["keys" if name == "shortcuts" else name].visibilityChanged.connect(made[name].setChecked)
    bench.keys.fill(made.shortcut_list())
    bench.tree.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
    bench.tree.addActions([made[name] for name in ("copy_settings", "paste_settings", "pick_rule", "copy_patches")])
    tr = made.tr
    made.fill_menus(
        {
            tr("&File"): (
                *("open", "add_part", "recent", "-", "save", "save_as", "-"),
                *("export", "export_heat", "save_picture", "-", "quit"),
            ),
            tr("&Edit"): (
                *("undo", "redo", "-", "pick_all", "pick_rule", "clear_picks", "-"),
                *("copy_settings", "paste_settings", "give_to_all", "-", "copy_patches", "-"),
                *(*ORIENT_COMMANDS, "-", "find"),
            ),
            tr("&View"): (
                *("fit", "below", "above", "front", "back", "left", "right", "top", "bottom", "iso"),
                *FIT_COMMANDS,
                "-",
                *TOOL_COMMANDS,
                "-",
                *("orthographic", "show_part", "show_angles", "show_sinks", "show_zones", "show_plate", "-"),
                *COLOUR_COMMANDS,
                "-",
                "look_system",
                "look_light",
                "look_dark",
                "smooth_edges",
                *LANGUAGE_COMMANDS,
                *("parts", "library"),
                "reset_layout",
            ),
            tr("&Go to"): GO_COMMANDS,
            tr("&Sinks"): (
                *("propose", "best_gap", "build", "build_at_once", "follow_build", "-"),
                *("trials", "after", "report_after", "-", "stop"),
            ),
            tr("&Help"): ("handbook", "limits", "shortcuts", "sample_parts", "log_folder", "about"),
        }
    )
    bench.window.addToolBar(
        made.tool_bar(
            ("open", "save", "-", "undo", "redo", "-", "fit", "below", "above", "-", "build", "export", "-", "limits")
        )
    )
    made.show_recent(bench.settings.recent_files(), bench.open_file)
    return made


def _file_and_edit(bench: "Workbench") -> tuple[Command, ...]:
    files, session, state, tr = bench.files, bench.session, bench.state, bench.tr
    settings = session.settings

    def open_rule() -> None:
        bench.docks["job"].show()
        bench.pick_rule.open()

    return (
        Command(
            name="open",
            text=tr("&Open…"),
            run=files.open,
            keys=Keys.StandardKey.Open,
            picture="open",
            tip=tr("Open a part or a job"),
        ),
        Command(
            name="save",
            text=tr("&Save"),
            run=files.save,
            keys=Keys.StandardKey.Save,
            picture="save",
            tip=tr("Save the job"),
        ),
        Command(name="save_as", text=tr("Save &as…"), run=files.save_as, keys="Ctrl+Shift+S"),
        Command(name="export", text=tr("&Export…"), run=files.export, keys="Ctrl+E", picture="export"),
        Command(name="quit", text=tr("&Quit"), run=bench.window.close, keys="Ctrl+Q"),
        Command(name="undo", text=tr("&Undo"), run=state.undo, keys=Keys.StandardKey.Undo, picture="undo"),
        Command(name="redo", text=tr("&Redo"), run=state.redo, keys="Ctrl+Shift+Z", picture="redo"),
        Command(name="pick_all", text=tr("Pick all patches"), run=session.picker.pick_all, keys="Ctrl+Shift+A"),
        Command(name="pick_rule", text=tr("Pick by rule…"), run=open_rule, keys="Ctrl+R"),
        Command(name="copy_settings", text=tr("Copy settings of the sink"), run=settings.copy, keys="Ctrl+Shift+C"),
        Command(
            name="paste_settings",
            text=tr("Paste settings to the chosen sinks"),
            run=settings.paste,
            keys="Ctrl+Shift+V",
        ),
        Command(name="give_to_all", text=tr("Give settings of the sink to all"), run=settings.give_to_all),
        Command(name="clear_picks", text=tr("Clear picked faces"), run=session.picker.clear, keys="Esc"),
        Command(name="copy_patches", text=tr("Copy the patch table"), run=bench.tree.copy_patches),
    )


def _view(bench: "Workbench") -> tuple[Command, ...]:
    view, tr = bench.view, bench.tr

    def look(name: str) -> Callable[..., None]:
        return lambda _=False: view.look(name)

    def use(name: str) -> Callable[..., None]:
        def chosen(_: bool = False) -> None:
            bench.settings.set_look(name)
            use_look(name)

        return chosen

    return (
        Command(name="fit", text=tr("&Fit"), run=view.fit, keys="F", picture="fit", tip=tr("Show the whole part")),
        Command(
            name="below",
            text=tr("From &below"),
            run=look("below"),
            keys="B",
            picture="below",
            tip=tr("Look at the downskin from below"),
        ),
        Command(
            name="above",
            text=tr("From &above"),
            run=look("above"),
            keys="A",
            picture="above",
            tip=tr("Look from above"),
        ),
        Command(name="front", text=tr("Front"), run=look("front"), keys="1"),
        Command(name="back", text=tr("Back"), run=look("back"), keys="2"),
        Command(name="left", text=tr("Left"), run=look("left"), keys="3"),
        Command(name="right", text=tr("Right"), run=look("right"), keys="4"),
        Command(name="top", text=tr("Top"), run=look("top"), keys="5"),
        Command(name="bottom", text=tr("Bottom"), run=look("bottom"), keys="6"),
        Command(name="iso", text=tr("Isometric"), run=look("iso"), keys="7"),
        Command(name="orthographic", text=tr("Orthographic"), run=view.set_parallel, keys="O", checkable=True),
        Command(
            name="show_part",
            text=tr("Show faces above the limit"),
            run=view.set_part_visible,
            checkable=True,
            keys="Ctrl+1",
        ),
        Command(
            name="show_angles",
            text=tr("Show colours on the part"),
            run=view.set_colours_visible,
            checkable=True,
            keys="Ctrl+2",
        ),
        Command(name="show_sinks", text=tr("Show sinks"), run=view.set_sinks_visible, checkable=True, keys="Ctrl+3"),
        Command(
            name="show_plate",
            text=tr("Show the build plate"),
            run=view.set_plate_visible,
            checkable=True,
            keys="Ctrl+4",
        ),
        Command(name="look_system", text=tr("Colours of the desktop"), run=use("system")),
        Command(name="look_light", text=tr("Light colours"), run=use("light")),
        Command(name="look_dark", text=tr("Dark colours"), run=use("dark")),
        Command(
            name="smooth_edges",
            text=tr("Smooth edges (needs a graphics card)"),
            run=bench.set_smooth_edges,
            checkable=True,
        ),
        Command(name="reset_layout", text=tr("Reset the layout"), run=bench.reset_layout),
    )


def _build_and_help(bench: "Workbench", made: Commands) -> tuple[Command, ...]:
    session, tr = bench.session, bench.tr

    def find() -> None:
        CommandPalette(list(made.actions.values()), bench.window).open()

    def about() -> None:
        from importlib.metadata import version

        names = {"VTK": "vtk", "pyvista": "pyvista", "numpy": "numpy", "scipy": "scipy", "trimesh": "trimesh"}
        lines = [f"{name} {version(package)}" for name, package in names.items()]
        versions = "\n".join((f"Qt {qVersion()}", *lines, f"{tr('Log')}: {log_folder()}"))
        bench.message_bar.say(
            "ok", tr("{0} {1}, open source; sinks under low-angle downskin.").format(PROGRAM, VERSION), versions
        )
        bench.message_bar.unfold()

    return (
        Command(
            name="build",
            text=tr("&Build sinks"),
            run=session.builder.build,
            keys="F5",
            picture="build",
            tip=tr("Build the exact sinks of the job"),
        ),
        Command(name="build_at_once", text=tr("Build after every change"), run=bench.set_build_at_once, checkable=True),
        Command(
            name="stop",
            text=tr("Stop the work in the background"),
            run=lambda _=False: bench.background.stop(),
            keys="Ctrl+.",
        ),
        Command(name="find", text=tr("Find a command…"), run=find, keys="Ctrl+K"),
        Command(
            name="trials",
            text=tr("Coupon and trials"),
            run=lambda on: bench.show_help("trials", on),
            checkable=True,
            tip=tr("A test build over gaps and angles, and what came out of it"),
        ),
        Command(
            name="after",
            text=tr("After the build"),
            run=lambda on: bench.show_help("after", on),
            checkable=True,
            tip=tr("What was measured of the built part, compared with the job"),
        ),
        handbook_command(bench),
        Command(
            name="limits",
            text=tr("About the limits"),
            run=lambda on: bench.show_help("limits", on),
            picture="help",
            checkable=True,
            tip=tr("What a sink does not do, how sure the numbers are, safety"),
        ),
        Command(
            name="shortcuts",
            text=tr("Keys and mouse"),
            run=lambda on: bench.show_help("keys", on),
            keys="F1",
            checkable=True,
        ),
        Command(
            name="sample_parts",
            text=tr("Folder of the sample parts"),
            run=lambda _=False: bench.files.show_folder(Path(SAMPLE_FOLDER)),
        ),
        Command(
            name="log_folder", text=tr("Folder of the log"), run=lambda _=False: bench.files.show_folder(log_folder())
        ),
        Command(name="about", text=tr("About Underfin"), run=about),
    )
