"""One file of the corpus and what must come of it; and the judge who compares that with what came."""

import math
import time
from dataclasses import dataclass
from pathlib import Path

from core.part.load_part import load_part
from core.part.part import Part
from core.refusal import Refusal

LONGEST_S = 20.0
LONGEST_SENTENCE = 400


@dataclass(frozen=True, kw_only=True)
class Case:
    """kind: class of fault. refused: a word the refusal must have, or None when the file must load, and then:
    volume in mm³ (None: not asked), bodies, buildable, and one word for each warning there must be, in any order.
    """

    kind: str
    name: str
    data: bytes
    file: str
    refused: str | None = None
    volume: float | None = None
    bodies: int = 1
    buildable: bool = True
    warns: tuple[str, ...] = ()
    units: str | None = None


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What load_part made of a file: a part, a refusal, or anything else, which is a fault."""

    part: Part | None
    sentence: str
    fault: str
    seconds: float


def outcome_of(data: bytes, file: str, folder: Path, units: str | None = None) -> Outcome:
    """Write the bytes to a file of that name in the folder and load it."""
    path = folder / file
    path.write_bytes(data)
    began = time.perf_counter()
    part, sentence, fault = None, "", ""
    try:
        part = load_part(path, units)
    except Refusal as refusal:
        sentence = str(refusal)
    except Exception as error:  # noqa: BLE001 - anything but a Refusal is what is looked for
        fault = f"{type(error).__name__}: {error}"
    return Outcome(part=part, sentence=sentence, fault=fault, seconds=time.perf_counter() - began)


def bad_sentence(text: str) -> str:
    """What is wrong with a sentence for the engineer, or ''."""
    if "\n" in text or not text.isprintable():
        return f"more than one line: {text!r}"
    if not 20 <= len(text) <= LONGEST_SENTENCE or not text.endswith("."):
        return f"no sentence: {text!r}"
    marks = ("Traceback", "Error:", "Exception", "root:", "numpy", "None")
    return next((f"{mark!r} in {text!r}" for mark in marks if mark in text), "")


def judge(case: Case, outcome: Outcome) -> str:
    """'' when the outcome is right, else what is wrong with it."""
    if outcome.fault:
        return outcome.fault
    if outcome.seconds > LONGEST_S:
        return f"took {outcome.seconds:.0f} s"
    if outcome.part is None:
        if case.refused is None:
            return f"refused: {outcome.sentence}"
        if case.refused not in outcome.sentence:
            return f"refused for another reason than {case.refused!r}: {outcome.sentence}"
        return bad_sentence(outcome.sentence)
    if case.refused is not None:
        return f"loaded with {outcome.part.n_faces} faces: {outcome.part.warnings}"
    return _judge_part(case, outcome.part)


def _judge_part(case: Case, part: Part) -> str:
    if case.volume is not None and not math.isclose(part.volume_mm3, case.volume, rel_tol=1e-6):
        return f"encloses {part.volume_mm3:.6g} instead of {case.volume:.6g} mm³; {part.warnings}"
    if part.health.bodies != case.bodies or part.health.buildable != case.buildable:
        return f"{part.health.bodies} bodies, buildable {part.health.buildable}; {part.warnings}"
    missing = [word for word in case.warns if not any(word in text for text in part.warnings)]
    odd = [text for text in part.warnings if not any(word in text for word in case.warns)]
    if missing or odd:
        return f"no warning with {missing}; not expected: {odd}"
    return next((bad for text in part.warnings if (bad := bad_sentence(text))), "")
