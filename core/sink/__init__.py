"""The sacrificial sink that stands one powder gap below the downskin."""
