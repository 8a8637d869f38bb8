"""The user's kept trials as a job sees them: which there are for its alloy and laser, and which one is in force."""

from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path

from core.job import Job
from core.refusal import Refusal
from core.trial.kept_trial import KeptTrial
from core.trial.trial_columns import SETTINGS
from core.trial.trial_library import NONE, in_force, kept_list, library_state, use_trial

Settings = dict[str, str | float]


@dataclass(frozen=True, kw_only=True)
class TrialHistory:
    """entries: of the job's alloy and layer, those of its laser settings first, of these the newest first.

    used: the one in force, None where the model's estimate is. problem: a sentence when the library can't be used.
    """

    entries: tuple[KeptTrial, ...] = ()
    used: KeptTrial | None = None
    problem: str = ""


def settings_of(job: Job) -> Settings:
    """Alloy and laser over the downskin, by the names that a trial sheet gives them."""
    laser = {key: float(value) for key, value in asdict(job.downskin_laser).items() if key in SETTINGS}
    return {"alloy": job.alloy, **laser}


def trial_history(job: Job, library: Path | None = None) -> TrialHistory:
    """Kept trials for a job. library: a folder in place of the user's; read again only when something changed in it."""
    return _history(tuple(settings_of(job).items()), library, library_state(library))


def kept_trial(job: Job, library: Path | None = None) -> tuple[KeptTrial | None, str]:
    """The kept trials in force for a job, and a sentence when the library can't be used."""
    history = trial_history(job, library)
    return history.used, f"Kept trials can't be used: {history.problem}" if history.problem else ""


def use_kept(job: Job, kept: KeptTrial | None, library: Path | None = None) -> None:
    """Put kept trials in force for the job's alloy and laser, or None. Raises Refusal when that can't be written."""
    use_trial(settings_of(job), NONE if kept is None else kept.sha256, library)


def kept_named(history: TrialHistory, name: str) -> KeptTrial:
    """The entry whose checksum begins with a name, or that was built on it. Raises Refusal unless it is exactly one."""
    found = [k for k in history.entries if name and (k.sha256.startswith(name.lower()) or k.built_on == name)]
    if len(found) == 1:
        return found[0]
    what = "No kept trials are" if not found else f"{len(found)} kept trials are"
    raise Refusal(f"{what} called '{name[:40]}'; name one by the mark in the list that `underfin-cli trials` prints.")


@lru_cache(maxsize=64)
def _history(settings: tuple[tuple[str, str | float], ...], library: Path | None, state: object) -> TrialHistory:
    try:
        return TrialHistory(entries=kept_list(dict(settings), library), used=in_force(dict(settings), library))
    except Refusal as reason:
        return TrialHistory(problem=str(reason))
