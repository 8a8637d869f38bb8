"""Where the cells are worked on: the processor, or an NVIDIA card where CuPy finds one."""

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from core.compiled import GridLoop
from core.heat import cell_heat, conduction, cycle_loops
from core.refusal import Refusal
from core.units import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Machine:
    """Arrays and loops of one kind of hardware.

    xp: numpy or cupy. loops: what conduction, cycle_loops and cell_heat hold.
    """

    name: str
    xp: Any
    loops: Any

    def array(self, values: FloatArray | IntArray) -> Any:
        """The values where this machine works on them."""
        return self.xp.asarray(values)


def to_host(array: Any) -> FloatArray:
    """The values of any machine as a numpy array."""
    return np.asarray(array.get() if hasattr(array, "get") else array)


PROCESSOR = Machine(
    name="processor",
    xp=np,
    loops=SimpleNamespace(
        **{
            name: loop
            for module in (conduction, cycle_loops, cell_heat)
            for name, loop in vars(module).items()
            if isinstance(loop, GridLoop)
        }
    ),
)


def card() -> Machine:
    """The NVIDIA card. Raises Refusal where CuPy (the extra `card`) or a card is missing."""
    try:
        import cupy

        cupy.cuda.runtime.getDeviceCount()
        name = cupy.cuda.runtime.getDeviceProperties(0)["name"].decode()
    except Exception as problem:
        raise Refusal(
            f"No NVIDIA card can be used ({type(problem).__name__}); install the extra 'card' and the card's driver, "
            "or follow the build on the processor."
        ) from problem
    from core.heat.card_loops import CardLoops

    return Machine(name=name, xp=cupy, loops=CardLoops)
