"""Read OBJ."""

from core.part.raw_mesh import RawMesh


def read_obj(data: bytes) -> RawMesh:
    raise NotImplementedError
