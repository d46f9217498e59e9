"""The graphics state as it changes along a file: columns with the byte offset where each state begins."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

ROOT = 0
"""Number of the container that is the image itself."""


@dataclass(frozen=True, slots=True)
class CoordinateMap:
    """Deprecated axis select, scale, mirror, offset and layer rotation of coordinate data (AS, SF, MI, OF, RO).

    They move coordinates only; an aperture keeps its size, and turns only with a layer rotation.
    """

    swapped: bool = False
    mirror_a: bool = False
    mirror_b: bool = False
    scale_a: float = 1.0
    scale_b: float = 1.0
    offset_a: float = 0.0
    offset_b: float = 0.0
    rotation: float = 0.0

    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """a, b, c, d, dx, dy as in `Placement`; the order is axes, scale, mirror, offset, turn."""
        p = -self.scale_a if self.mirror_a else self.scale_a
        q = -self.scale_b if self.mirror_b else self.scale_b
        rows = np.array([[0.0, p], [q, 0.0]]) if self.swapped else np.array([[p, 0.0], [0.0, q]])
        turn = rotation_matrix(self.rotation)
        (a, b), (c, d) = (turn @ rows).tolist()
        dx, dy = (turn @ np.array([self.offset_a, self.offset_b])).tolist()
        return a, b, c, d, dx, dy


@dataclass(frozen=True, slots=True)
class ApertureTurn:
    """Aperture transformation LM, LR, LS: mirrored first, then rotated, then scaled (clause 4.9)."""

    mirror_x: bool = False
    mirror_y: bool = False
    rotation: float = 0.0
    scale: float = 1.0

    def matrix(self, more_degrees: float = 0.0) -> tuple[float, float, float, float]:
        """a, b, c, d, turned by some degrees more."""
        flips = np.diag([-1.0 if self.mirror_x else 1.0, -1.0 if self.mirror_y else 1.0])
        (a, b), (c, d) = (self.scale * rotation_matrix(self.rotation + more_degrees) @ flips).tolist()
        return a, b, c, d


def rotation_matrix(degrees: float) -> Floats:
    """Counter-clockwise rotation; exact for quarter turns."""
    quarter, rest = divmod(degrees, 90)
    if rest == 0:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        cos, sin = float(np.cos(np.radians(degrees))), float(np.sin(np.radians(degrees)))
    return np.array([[cos, -sin], [sin, cos]])


@dataclass(frozen=True, slots=True)
class State:
    """What extended commands have set for the objects that follow."""

    dark: bool = True
    turn: ApertureTurn = ApertureTurn()
    map: CoordinateMap = CoordinateMap()
    container: int = ROOT


@dataclass(slots=True)
class Timeline:
    """A number that changes along the file: the byte offset of each change, and the number from there on."""

    at: list[int]
    value: list[int]

    def change(self, at: int, value: int) -> None:
        """From this byte offset on the number is `value`; changes come in order."""
        if value != self.value[-1]:
            self.at.append(at)
            self.value.append(value)

    def values_at(self, offsets: Integers) -> Integers:
        """The number in force at each byte offset."""
        values = np.array(self.value, dtype=np.int64)
        if len(values) == 1:
            return np.full(len(offsets), values[0])
        found: Integers = values[np.searchsorted(np.array(self.at), offsets, side="right") - 1]
        return found


def timeline(initial: int = 0) -> Timeline:
    """A number that has not changed yet."""
    return Timeline([-1], [initial])


@dataclass(slots=True)
class StateLine:
    """Every state of a file; equal states share one row."""

    rows: Timeline = field(default_factory=timeline)
    states: list[State] = field(default_factory=lambda: [State()])
    _known: dict[State, int] = field(default_factory=lambda: {State(): 0})

    def change(self, at: int, state: State) -> None:
        """From this byte offset on, this state is in force."""
        row = self._known.setdefault(state, len(self.states))
        if row == len(self.states):
            self.states.append(state)
        self.rows.change(at, row)

    @property
    def now(self) -> State:
        """The state in force."""
        return self.states[self.rows.value[-1]]
