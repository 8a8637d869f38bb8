"""Which sinks belong to which of several parts on a plate."""

from core.part.more_parts import part_of_face, single_parts
from core.part.part import Part
from core.part.patch import Patch
from core.sink.sink import Sink


def sinks_of_parts(part: Part, sinks: tuple[Sink, ...], patches: tuple[Patch, ...]) -> tuple[tuple[Sink, ...], ...]:
    """For each part, in order, the sinks under its patches; all of them for a part alone.

    A sink under patches of several parts belongs to the one of its first patch.
    """
    owner = {patch.id: int(part_of_face(part, patch.faces[:1])[0]) for patch in patches}
    return tuple(
        tuple(sink for sink in sinks if owner.get(sink.patches[0], 0) == number)
        for number in range(len(single_parts(part)))
    )
