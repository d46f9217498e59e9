"""Says which silkscreen labels of a printed circuit board people will not be able to read."""

from labelcheck.trade.version import VERSION as __version__

__all__ = ["__version__"]
