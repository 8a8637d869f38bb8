"""Run all checks and tests on a machine with or without a screen: `python tests/run_tests.py [--slow] [pytest words]`.

Needs only the standard library to start; installs missing system libraries where it may, and brings its own screen.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests"))

from system_libraries import missing_packages, provide  # noqa: E402

WORKERS = 2
"""Files run side by side, each worker on a screen of its own, or windows would take the keyboard from each other."""


def own_screen() -> tuple[subprocess.Popen[bytes], str]:
    """Start Xvfb on a free display of its own choosing; returns the process and the display's name."""
    read_end, write_end = os.pipe()
    command = ["Xvfb", "-displayfd", str(write_end), "-screen", "0", "1920x1200x24", "-nolisten", "tcp", "-noreset"]
    server = subprocess.Popen(command, pass_fds=[write_end], stderr=subprocess.DEVNULL)
    os.close(write_end)
    with os.fdopen(read_end) as answer:
        number = answer.readline().strip()
    if not number:
        server.kill()
        raise SystemExit("Xvfb did not start. Type `Xvfb :99` to see why.")
    return server, f":{number}"


def run(settings: dict[str, str], words: list[str]) -> int:
    """Checks first, then pytest, whose summary stays the last line; returns the first exit code that isn't 0."""
    checked = subprocess.run([sys.executable, "tests/check.py"], cwd=ROOT, env=settings, check=False).returncode
    tested = subprocess.run([sys.executable, "-m", "pytest", *words], cwd=ROOT, env=settings, check=False).returncode
    return checked or tested


def main(arguments: list[str]) -> int:
    """Returns 0 when every check and test passed, 2 when system libraries are missing."""
    words = [word for word in arguments if word != "--slow"]
    left_out = "not card" if "--slow" in arguments else "not slow and not card"
    words = ["-m", left_out, "-n", str(WORKERS), "--dist", "loadfile", *words]
    settings = dict(os.environ)
    if not sys.platform.startswith("linux"):
        return run(settings, words)
    missing = missing_packages()
    refusal = provide(missing) if missing else None
    if refusal is not None:
        print(refusal, file=sys.stderr)
        return 2
    screens = [own_screen() for _ in range(WORKERS)]
    names = [name for _, name in screens]
    settings |= {"DISPLAY": names[0], "TEST_SCREENS": " ".join(names)}
    settings |= {"QT_QPA_PLATFORM": "xcb", "LIBGL_ALWAYS_SOFTWARE": "1"}
    settings.pop("WAYLAND_DISPLAY", None)
    with tempfile.TemporaryDirectory() as runtime_folder:
        settings.setdefault("XDG_RUNTIME_DIR", runtime_folder)
        try:
            return run(settings, words)
        finally:
            for server, _ in screens:
                server.terminate()
                server.wait()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
