"""Read PLY."""

from core.part.raw_mesh import RawMesh


def read_ply(data: bytes) -> RawMesh:
    raise NotImplementedError
