"""Says which silkscreen labels of a printed circuit board people will not be able to read."""

__version__ = "0.1.0"
