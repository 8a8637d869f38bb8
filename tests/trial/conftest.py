"""The command line is run here as in its own tests."""

from tests.cli.conftest import run as run
