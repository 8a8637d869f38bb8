"""The orientation study beside its target: 200,000 triangles on two cores in ten seconds."""

from benchmark_figures import Figure, seconds
from benchmark_parts import SAMPLE


def measure_orientations() -> list[Figure]:
    """800 directions, those to the flat sides, two rounds of refining, and up to 20 scored with the real chain."""
    from core.export.orientation_pictures import thumbnail
    from core.job import Job
    from core.part.load_part import load_part
    from core.run_orientations import study_orientations

    part = load_part(SAMPLE)
    study = study_orientations(Job(), part)  # compiles
    took = seconds(lambda: study_orientations(Job(), part), 3)
    pictures = seconds(lambda: [thumbnail(study.part, one, 45.0) for one in study.front], 3)
    what = f"orientation study, 194k sample, {study.tried_count} directions"
    return [
        Figure(what=what, value=took, unit="s", target=10.0),
        Figure(what=f"pictures of its {len(study.front)} orientations", value=pictures, unit="s", target=5.0),
    ]
