"""Check what a 3MF model says of materials and colours: they don't shape the part, but a false one shows damage.

After the 3MF Core Specification, chapter 5, and the Materials and Properties Extension, chapters 2 to 6.
"""

from collections.abc import Callable

from core.part.read_3mf_rules import breaks, core, local, material

_BASE, _MIXED = core("basematerials"), material("compositematerials")
_COLOURS, _LAYERS = material("colorgroup"), material("multiproperties")
_PICTURE, _PICTURE_GROUP = material("texture2d"), material("texture2dgroup")
_GROUPS = (_BASE, _MIXED, _COLOURS, _LAYERS, _PICTURE_GROUP)


class Resources:
    """The numbers a model part has given to its resources, and of which kind each is."""

    def __init__(self, holds: Callable[[str], bool]) -> None:
        """holds: says whether the package has a part of a name."""
        self.holds = holds
        self.kinds: dict[int, str] = {}

    def add(self, name: str, attributes: dict[str, str]) -> None:
        """Refuse a resource whose number is taken or that refers to something it can't."""
        number = int(attributes["id"])
        if number in self.kinds:
            raise breaks(f"two resources with the number {number}")
        if name == _PICTURE and not self.holds(attributes["path"]):
            raise breaks("a texture whose picture isn't in it")
        if name == _PICTURE_GROUP:
            self._must_be(attributes["texid"], (_PICTURE,), name)
        if name == _MIXED:
            self._must_be(attributes["matid"], (_BASE,), name)
        if name == _LAYERS:
            layers = [self._must_be(word, _GROUPS, name) for word in attributes["pids"].split()]
            if _LAYERS in layers:
                raise breaks("multiproperties made of multiproperties")
            if sum(kind in (_BASE, _MIXED) for kind in layers) > 1 or layers.count(_COLOURS) > 1:
                raise breaks("multiproperties with more than one material or colour group")
        self.kinds[number] = name

    def add_foreign(self, name: str, number: str) -> None:
        """Note a resource of another namespace, to which properties may refer."""
        if number.isascii() and number.isdigit() and len(number) < 11:
            self.kinds.setdefault(int(number), name)

    def _must_be(self, number: str, kinds: tuple[str, ...], name: str) -> str:
        kind = self.kinds.get(int(number), "")
        if kind not in kinds:
            raise breaks(f"{local(name)} refers to {number}, which is no {' or '.join(map(local, kinds))} before it")
        return kind

    def check_properties(self, attributes: dict[str, str], has_group: bool, name: str) -> None:
        """Refuse an object or triangle whose properties name no group; has_group: the object names one for it."""
        if "pid" in attributes:
            kind = self.kinds.get(int(attributes["pid"]), "")
            if kind in ("", core("object"), _PICTURE):
                raise breaks(f"{local(name)} refers to properties {attributes['pid']} that aren't given before it")
        elif not has_group and any(key in attributes for key in ("pindex", "p1", "p2", "p3")):
            raise breaks(f"{local(name)} has a property without saying of which group")
