"""Commands that choose the language of the window."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.commands import Command
from app.language import LANGUAGES, languages_to_choose

if TYPE_CHECKING:
    from app.workbench import Workbench

LANGUAGE_COMMANDS = ("-", "language_system", *(f"language_{language}" for language in LANGUAGES), "-")


def language_commands(bench: "Workbench") -> tuple[Command, ...]:
    """The choice is kept; texts change at the next start, as every panel holds its own."""

    def use(language: str) -> Callable[..., None]:
        def chosen(_: bool = False) -> None:
            bench.settings.set_language(language)
            bench.message_bar.say("ok", bench.tr("The language changes when Underfin is started again."))

        return chosen

    return tuple(
        Command(name=f"language_{key}", text=words, run=use(key)) for key, words in languages_to_choose(bench)
    )
