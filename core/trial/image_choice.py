"""What layer images are compared by: heights, limits for hot spots, and what counts as near a patch."""

from dataclasses import dataclass

import numpy as np

from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True)
class ImageChoice:
    """Heights in mm; all other defaults are common practice, no source."""

    layer_mm: float
    first_layer_mm: float
    """Height of the top of the first image's layer."""
    z_limit: float = 4.0
    """Pixels this many robust standard deviations above their layer's median are hot."""
    least_pixels: int = 4
    """Fewer hot pixels that touch are no spot."""
    inset_px: int = 1
    """Pixels so near to the rim of the slice show powder too and are left out."""
    depth_layers: int = 5
    """Pixels count for a patch up to so many layers above its faces."""
    link_mm: float = 2.0
    """A hot spot nearer than this to a patch belongs to it."""
    worst_layers: int = 6
    """Layers of which a picture is drawn."""

    def __post_init__(self) -> None:
        if not (np.isfinite(self.layer_mm) and 0.005 <= self.layer_mm <= 2):
            raise Refusal(f"A layer of {self.layer_mm:g} mm is out of range; set 0.005 to 2 mm.")
        if not 0 < self.first_layer_mm <= 2000:
            raise Refusal(f"A first layer that ends at {self.first_layer_mm:g} mm is out of range; set 0 to 2000 mm.")
        if not 2 <= self.z_limit <= 50:
            raise Refusal(f"A limit of {self.z_limit:g} standard deviations is out of range; set 2 to 50.")
        if not 1 <= self.least_pixels <= 100_000:
            raise Refusal(f"A spot of at least {self.least_pixels} pixels is out of range; set 1 to 100000.")
        if not 0 <= self.inset_px <= 20:
            raise Refusal(f"A rim of {self.inset_px} pixels is out of range; set 0 to 20.")
        if not 1 <= self.depth_layers <= 1000:
            raise Refusal(f"A depth of {self.depth_layers} layers is out of range; set 1 to 1000.")
        if not 0 < self.link_mm <= 100:
            raise Refusal(f"A distance of {self.link_mm:g} mm to a patch is out of range; set above 0 to 100 mm.")

    @property
    def depth_mm(self) -> float:
        return self.depth_layers * self.layer_mm

    def top_mm(self, layer: int) -> float:
        """Height of the top of an image's layer, counted from 0."""
        return self.first_layer_mm + layer * self.layer_mm
