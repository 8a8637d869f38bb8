"""Triangle meshes as python-fcl takes them: the library that measures distances without knowing ours."""

import fcl

from core.units import FloatArray, IntArray


def fcl_object(vertices_mm: FloatArray, triangles: IntArray) -> fcl.CollisionObject:
    """vertices_mm: (n, 3); triangles: (m, 3). Where it stands."""
    model = fcl.BVHModel()
    model.beginModel(len(triangles), len(vertices_mm))
    model.addSubModel(vertices_mm, triangles)
    model.endModel()
    return fcl.CollisionObject(model)
