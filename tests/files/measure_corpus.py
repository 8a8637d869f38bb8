"""Print how many files of the corpus come out right, by class: `python tests/files/measure_corpus.py [mutants]`."""

import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.files.cases import Case, judge, outcome_of
from tests.files.conformance_3mf import MUST_LOAD, MUST_REFUSE
from tests.files.corpus_3mf import package_cases
from tests.files.corpus_bodies import body_cases
from tests.files.corpus_obj import obj_cases
from tests.files.corpus_ply import ply_cases
from tests.files.corpus_step import step_cases
from tests.files.corpus_stl import stl_cases
from tests.files.heavy import bombs, heaps, weigh
from tests.files.mutants import broken_rule, mutant
from tests.files.solids import BOX_MM3, box, stl


def corpus(folder: Path) -> None:
    """The whole corpus, STEP through its child process."""
    right: Counter[tuple[str, str]] = Counter()
    total: Counter[tuple[str, str]] = Counter()
    slowest = 0.0
    for case in (*stl_cases(), *body_cases(), *obj_cases(), *ply_cases(), *package_cases(), *step_cases()):
        outcome = outcome_of(case.data, case.file, folder)
        said = judge(case, outcome)
        key = (case.kind, "must refuse" if case.refused is not None else "must load")
        total[key] += 1
        right[key] += not said
        slowest = max(slowest, outcome.seconds)
        if said:
            print(f"WRONG  {case.kind}: {case.name}: {said}")
    for kind, answer in sorted(total):
        print(f"{kind:34} {answer:12} {right[kind, answer]:4} of {total[kind, answer]}")
    for answer in ("must load", "must refuse"):
        pair = [sum(n for (_, a), n in table.items() if a == answer) for table in (right, total)]
        print(f"{'ALL':34} {answer:12} {pair[0]:4} of {pair[1]}")
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) / 1024
    print(f"slowest file {slowest:.1f} s, largest process {peak:.0f} MiB")


def conformance(folder: Path) -> None:
    """The kinds of the 3MF Consortium's conformance files, rebuilt."""
    loaded = 0
    for data, boxes in MUST_LOAD.values():
        part = outcome_of(data, "a.3mf", folder).part
        loaded += part is not None and abs(part.volume_mm3 - boxes * BOX_MM3) < 1e-6
    cases = [Case(kind="", name=k, data=data, file="a.3mf", refused="3MF") for k, data in MUST_REFUSE.items()]
    refused = sum(not judge(case, outcome_of(case.data, case.file, folder)) for case in cases)
    print(f"3MF conformance: {loaded} of {len(MUST_LOAD)} taken, {refused} of {len(MUST_REFUSE)} refused")


def heavy() -> None:
    """Bombs and heaps, each in a process of its own."""
    for case in (*bombs(), *heaps()):
        found = weigh(case)
        print(
            f"{case.kind}: {case.name:56} {found['seconds']:6.2f} s {found['extra_mib']:5.0f} MiB more, "
            f"peak {found['peak_mib']:5.0f} MiB {found['wrong'] and 'WRONG: ' + found['wrong']}"
        )


def mutants(count: int, folder: Path) -> None:
    """Seeded mutants of sound files."""
    found: Counter[str] = Counter()
    began, slowest = time.perf_counter(), 0.0
    for seed in range(count):
        name, data = mutant(seed)
        outcome = outcome_of(data, name, folder)
        said = broken_rule(outcome)
        found["broken rule" if said else "part" if outcome.part else "refusal"] += 1
        slowest = max(slowest, outcome.seconds)
        if said:
            print(f"WRONG  mutant {seed} of {name}: {said}")
    took = time.perf_counter() - began
    print(f"mutants {count:,}: {dict(found)}, {took:.0f} s, slowest {slowest:.1f} s")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        here = Path(name)
        outcome_of(stl(box()), "first.stl", here)  # compiled first
        corpus(here)
        conformance(here)
        heavy()
        mutants(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000, here)
