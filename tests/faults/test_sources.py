"""What the sources may not do: load pickles, open the network, start a shell, run text as code."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted(path for folder in ("app", "core") for path in (ROOT / folder).rglob("*.py"))
FORBIDDEN_MODULES = {
    "pickle": {"pickle", "cPickle", "dill", "cloudpickle", "joblib", "shelve", "marshal"},
    "network": {"socket", "socketserver", "ssl", "http", "urllib.request", "requests", "ftplib", "smtplib", "telnetlib",
                "xmlrpc", "asyncio", "aiohttp", "httpx", "webbrowser", "QtNetwork", "distributed", "dask"},
    "processes": {"subprocess", "multiprocessing", "pty", "pexpect"},
    "entities": {"xml.sax.expatreader", "xml.dom", "lxml", "yaml"},
}  # fmt: skip
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "breakpoint", "input"}
FORBIDDEN_METHODS = {
    "os": {"system", "popen", "execv", "execve", "execvp", "spawnl", "spawnv", "startfile", "posix_spawn"},
    "tempfile": {"mktemp"},
    "importlib": {"import_module"},
    "np": {"loads"},
}
ALLOWED = {
    ("core/part/step_child.py", "subprocess"): "our own interpreter reads STEP apart, as its kernel crashes; no shell",
    ("app/languages/renew_texts.py", "subprocess"): "run by developers only: Qt's compiler of translations; no shell",
    ("core/sweep_workers.py", "multiprocessing"): "our own worker processes; nothing from a file is unpickled",
    ("core/sweep_workers.py", "distributed"): "only with --scheduler, to an address the engineer gives",
    ("core/sink/zones_apart.py", "subprocess"): "our own interpreter on our own module, without a shell",
}


def names_of(node: ast.AST) -> Iterator[str]:
    """The modules an import statement names."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield node.module
        yield from (f"{node.module}.{alias.name}" for alias in node.names)


def faults_in(text: str, place: str) -> Iterator[str]:
    """What a source may not do, as text with its line."""
    for node in ast.walk(ast.parse(text)):
        where = f"{place}:{getattr(node, 'lineno', 0)}"
        for name in names_of(node):
            words = set(name.split(".")) | {name}
            for kind, modules in FORBIDDEN_MODULES.items():
                if (found := words & modules) and (place, name.split(".")[0]) not in ALLOWED:
                    yield f"{where} imports {kind}: {', '.join(found)}"
        if isinstance(node, ast.Call):
            yield from (f"{where} {fault}" for fault in faults_of_call(node))


def faults_of_call(node: ast.Call) -> Iterator[str]:
    called = node.func
    if isinstance(called, ast.Name) and called.id in FORBIDDEN_CALLS:
        yield f"calls {called.id}"
    given = {word.arg: word.value for word in node.keywords}
    if isinstance(called, ast.Attribute) and isinstance(called.value, ast.Name):
        if called.attr in FORBIDDEN_METHODS.get(called.value.id, ()):
            yield f"calls {called.value.id}.{called.attr}"
        if (called.value.id, called.attr) == ("np", "load"):
            allow = given.get("allow_pickle")
            if not (isinstance(allow, ast.Constant) and allow.value is False):
                yield "calls np.load without allow_pickle=False"
        if called.value.id == "subprocess" and "shell" in given:
            yield "gives subprocess a shell"


def test_no_source_loads_pickles_opens_the_network_or_runs_text() -> None:
    texts = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in SOURCES}
    assert len(texts) > 200
    assert [fault for place, text in texts.items() for fault in faults_in(text, place)] == []


@pytest.mark.parametrize(
    "text",
    [
        "import pickle",
        "from urllib.request import urlopen",
        "from multiprocessing import shared_memory",
        "from PySide6.QtNetwork import QNetworkAccessManager",
        "eval('1')",
        "import os\nos.system('ls')",
        "import numpy as np\nnp.load('a.npz')",
        "import numpy as np\nnp.load('a.npz', allow_pickle=True)",
        "import subprocess",
        "def f():\n    import socket",
    ],
)
def test_the_check_itself_finds_each_kind(text: str) -> None:
    assert list(faults_in(text, "app/new.py"))


def test_every_exception_is_still_needed() -> None:
    for place, module in ALLOWED:
        assert re.search(rf"^\s*import {module}", (ROOT / place).read_text(encoding="utf-8"), re.MULTILINE)


def test_every_security_rule_left_out_says_why() -> None:
    """A `noqa` of ruff's S rules is followed by its reason."""
    for path in SOURCES:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            if match := re.search(r"# noqa: [A-Z0-9, ]*\bS\d{3}[, A-Z0-9]*(.*)", line):
                assert len(match[1].strip(" -()")) > 10, f"{path}:{number}"
