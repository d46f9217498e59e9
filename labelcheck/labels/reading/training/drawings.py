"""What is no character: drawings of component legends, pieces of letters, letters grown together, letters turned."""

import numpy as np

from labelcheck.labels.reading.training.strokes import Glyph, Path2D

Random = np.random.Generator

TURNS = (
    np.array(((0.0, 1.0), (-1.0, 0.0))), np.array(((0.0, -1.0), (1.0, 0.0))),
    np.array(((-1.0, 0.0), (0.0, -1.0))), np.array(((-1.0, 0.0), (0.0, 1.0))),
)
"""A quarter turn either way, upside down, in a mirror."""


STRAIGHT = 0.02
"""Points lie on a line where they stray from it by less, in heights of capitals."""


def turned(random: Random, glyph: Glyph) -> Glyph:
    """A glyph turned or mirrored, standing on the line again."""
    turn = TURNS[int(random.choice(4, p=(0.15, 0.15, 0.45, 0.25)))]
    paths = [path @ turn for path in glyph]
    least = min(path[:, 1].min() for path in paths)
    return tuple(path - (0, least) for path in paths)


def piece(random: Random, glyph: Glyph) -> Glyph:
    """The part of a glyph on one side of a line through its middle parts; the whole glyph where nothing is left."""
    points = np.concatenate(glyph)
    low, high = points.min(axis=0), points.max(axis=0)
    axis = int(random.random() < 0.5)
    at = low[axis] + (high[axis] - low[axis]) * random.uniform(0.3, 0.7)
    sign = 1 if random.random() < 0.5 else -1
    left: list[Path2D] = []
    for path in glyph:
        fine = _finely(path)
        kept = sign * (fine[:, axis] - at) > 0
        changes = np.flatnonzero(np.diff(kept.astype(int))) + 1
        left += [run for run, keep in zip(np.split(fine, changes), np.split(kept, changes), strict=True) if keep[0]]
    return tuple(run for run in left if len(run) > 1) or glyph


def is_bar(glyph: Glyph) -> bool:
    """Whether a glyph is one straight bar or a dot: whatever it was cut from, it is also a dash, a stroke, a stop."""
    points = np.concatenate(glyph)
    return float(np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[-1]) < STRAIGHT * np.sqrt(len(points))


def _finely(path: Path2D) -> Path2D:
    """The path with points at every eighth of each of its pieces."""
    if len(path) < 2:
        return path
    steps = np.linspace(0, len(path) - 1, (len(path) - 1) * 8 + 1)
    whole = np.arange(len(path))
    return np.column_stack((np.interp(steps, whole, path[:, 0]), np.interp(steps, whole, path[:, 1])))


def grown_together(random: Random, glyphs: tuple[Glyph, ...]) -> Glyph:
    """Glyphs set so close that they touch or nearly."""
    paths: list[Path2D] = []
    edge = 0.0
    for at, glyph in enumerate(glyphs):
        points = np.concatenate(glyph)
        shift = edge - points[:, 0].min() + (random.uniform(-0.04, 0.2) if at else 0.0)
        paths += [path + np.array((shift, 0)) for path in glyph]
        edge = points[:, 0].max() + shift
    return tuple(paths)


def drawing(random: Random, surely: bool) -> Glyph:
    """A shape as component legends hold them, about as high as a character or far from it.

    `surely` no character, or one of the arcs, corners and scribbles that may happen to look like one.
    """
    shapes = _SURE if surely else _DOUBTFUL
    shape = shapes[int(random.integers(len(shapes)))]
    paths = shape(random)
    if random.random() < 0.5 and shape is not _box:
        paths = tuple(path @ TURNS[int(random.integers(4))] for path in paths)
    size = float(np.exp(random.normal(0, 0.35))) if random.random() < 0.5 else 1.0
    least = min(path[:, 1].min() for path in paths)
    return tuple((path - (0, least)) * size + (0, random.normal(0, 0.1) if size != 1 else 0) for path in paths)


def _line(*points: tuple[float, float]) -> Path2D:
    return np.array(points, dtype=np.float64)


def _box(random: Random) -> Glyph:
    """A body outline too wide or too narrow for a letter O, with notch, dividers or a dot within."""
    width = random.uniform(1.4, 3) if random.random() < 0.7 else random.uniform(0.15, 0.35)
    outline = _line((0, 0), (width, 0), (width, 1), (0, 1), (0, 0))
    inner = (
        (_line((0, 0.35), (0.2, 0.35), (0.2, 0.65), (0, 0.65)),),
        (_line((width * 0.15, 0), (width * 0.15, 1)),),
        (_line((0, 0), (width, 1)), _line((0, 1), (width, 0))),
        (_line((0, 0.5), (width, 0.5)),),
        (_line((width * 0.2, 0.25)),),
        (_line((width / 3, 0), (width / 3, 1)), _line((width * 2 / 3, 0), (width * 2 / 3, 1))),
        (),
    )[int(random.integers(7))]
    return (outline, *inner)


def _small_box(random: Random) -> Glyph:
    """A box of a letter's proportions with something in it that no letter has."""
    width = random.uniform(0.5, 1.2)
    outline = _line((0, 0), (width, 0), (width, 1), (0, 1), (0, 0))
    inner = (
        (_line((0, 0), (width, 1)), _line((0, 1), (width, 0))),
        (_line((width / 2, 0), (width / 2, 1)), _line((0, 0.5), (width, 0.5))),
        (_line((0, 0.3), (width, 0.3)), _line((0, 0.7), (width, 0.7))),
        (_line((width / 2, 0), (width / 2, 1)),),
        (_line((0, 0.85), (width, 0.85)),),
    )[int(random.integers(5))]
    return (outline, *inner)


def _arc(random: Random) -> Glyph:
    """Part of a circle too large or too flat for a bracket, or a semicircle on its base."""
    first, sweep = random.uniform(0, 2 * np.pi), random.uniform(0.4, 2.6)
    angles = np.linspace(first, first + sweep, 9)
    arc = np.column_stack((np.cos(angles), np.sin(angles))) / 2
    arc /= max(float(np.ptp(arc[:, 1])), 0.25)
    if random.random() < 0.3:
        return (np.concatenate((arc, arc[:1])),)
    return (arc,)


def _circled(random: Random) -> Glyph:
    """A circle with a cross, a bar or a smaller circle within, as transistors, fiducials and capacitors have."""
    angles = np.linspace(0, 2 * np.pi, 17)
    circle = np.column_stack((np.cos(angles), np.sin(angles))) / 2
    inner = (
        (_line((-0.5, 0), (0.5, 0)), _line((0, -0.5), (0, 0.5))),
        (circle * random.uniform(0.4, 0.75),),
        (_line((-0.75, 0), (0.75, 0)), _line((0, -0.75), (0, 0.75))),
        (_line((0, -0.5), (0, 0.5)),),
        (_line((-0.35, -0.35), (0.35, 0.35)), _line((-0.35, 0.35), (0.35, -0.35))),
        (_line((-0.2, 0.1), (0.2, 0.1)), _line((-0.2, -0.1), (0.2, -0.1))),
    )[int(random.integers(6))]
    return (circle, *inner)


def _arrow(random: Random) -> Glyph:
    """An arrow with a shaft, or a filled-looking head."""
    head = random.uniform(0.2, 0.45)
    length = random.uniform(0.9, 2.2)
    tip = _line((length - head, head), (length, 0), (length - head, -head))
    if random.random() < 0.4:
        tip = np.concatenate((tip, tip[:1]))
    return (_line((0, 0), (length, 0)), tip)


def _triangle(random: Random) -> Glyph:
    """A triangle, alone or as the diode of a drawing."""
    height = random.uniform(0.6, 1.2)
    triangle = _line((0, 0), (0, 1), (height, 0.5), (0, 0))
    return (
        (triangle,), (triangle, _line((height, 0), (height, 1))),
        (
            triangle, _line((height, 0), (height, 1)), _line((-0.6, 0.5), (0, 0.5)),
            _line((height, 0.5), (height + 0.6, 0.5)),
        ),
    )[int(random.integers(3))]


def _corner(random: Random) -> Glyph:
    """A corner of an outline, except the one that is an L."""
    wide, high = random.uniform(0.5, 1.6), 1.0
    return (
        (_line((0, high), (wide, high), (wide, 0)),), (_line((0, 0), (0, high), (wide, high)),),
        (_line((0, 0), (wide, 0), (wide, high)),),
    )[int(random.integers(3))]


def _open_box(random: Random) -> Glyph:
    """Three sides of an outline, often with a small circle at an end."""
    wide = random.uniform(0.4, 1.8)
    sides = _line((0, 1), (0, 0), (wide, 0), (wide, random.uniform(0.3, 1)))
    if random.random() < 0.5:
        return (sides,)
    angles = np.linspace(0, 2 * np.pi, 9)
    return sides, np.column_stack((np.cos(angles), np.sin(angles))) * random.uniform(0.05, 0.15) + sides[-1]


def _scribble(random: Random) -> Glyph:
    """A few strokes at random."""
    size = (random.uniform(0.6, 1.4), 1)
    return tuple(random.uniform(0, size, (int(random.integers(2, 5)), 2)) for _ in range(int(random.integers(2, 5))))


def _bars(random: Random) -> Glyph:
    """Parallel lines: pin rows, hatches, coils; three or more, so that it is neither = nor quotes."""
    count = int(random.integers(3, 8))
    pitch = random.uniform(0.12, 0.5)
    slope = random.choice((0.0, 0.0, random.uniform(-0.5, 0.5)))
    return tuple(_line((at * pitch, 0), (at * pitch + slope, 1)) for at in range(count))


def _zigzag(random: Random) -> Glyph:
    """A resistor's zigzag or a coil's waves."""
    count = int(random.integers(6, 11))
    step = random.uniform(0.15, 0.35)
    return (_line(*((at * step, float(at % 2)) for at in range(count))),)


def _capacitor(random: Random) -> Glyph:
    """Two plates with leads."""
    gap = random.uniform(0.2, 0.4)
    return (
        _line((0, 0), (0, 1)), _line((gap, 0), (gap, 1)), _line((-random.uniform(0.3, 0.9), 0.5), (0, 0.5)),
        _line((gap, 0.5), (gap + random.uniform(0.3, 0.9), 0.5)),
    )


def _blob(random: Random) -> Glyph:
    """A filled disc or box of the height of a letter."""
    width = random.uniform(0.5, 1.5)
    rows = np.linspace(0, 1, 24)
    round_half = np.sqrt(np.clip(0.25 - (rows - 0.5) ** 2, 0, None)) * width * 2
    half = round_half if random.random() < 0.5 else np.full(24, width / 2)
    return tuple(_line((-h, y), (h, y)) for y, h in zip(rows, half, strict=True))


def _comb(random: Random) -> Glyph:
    """A line with stubs: connector outlines, ground signs, ticks."""
    count = int(random.integers(2, 5))
    width = random.uniform(0.8, 2)
    if random.random() < 0.4:
        return (
            _line((0, 0.6), (1, 0.6)), _line((0.2, 0.3), (0.8, 0.3)), _line((0.4, 0), (0.6, 0)),
            _line((0.5, 0.6), (0.5, 1)),
        )
    stubs = tuple(_line((x, 0), (x, 1)) for x in np.linspace(0, width, count + 2)[1:-1])
    return (_line((0, 0), (width, 0)), *stubs)


_SURE = (_box, _small_box, _circled, _arrow, _triangle, _bars, _zigzag, _capacitor, _blob, _comb)
_DOUBTFUL = (_arc, _corner, _scribble, _open_box)
