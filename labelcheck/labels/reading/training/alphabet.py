"""Our own stroke alphabet: each character in the several skeletons in which legends draw it.

`alphabet.txt` holds one skeleton a line: the character, a blank, its width as a share of the height of capitals, a
colon, then paths parted by `|`, each a row of `x,y` points. x runs from 0 to 1 across the width; y is 0 on the base
line, 1 at the top of capitals, X_HEIGHT at the top of lower case, negative below the line. A point followed by `~` is
a *soft* corner: a style rounds it, chamfers it or leaves it square, so that one skeleton gives round, rounded and
octagonal faces. A path of one point is a dot. Drawn for this project; no other face was traced.
"""

from dataclasses import dataclass
from pathlib import Path

X_HEIGHT = 0.65
"""Where the skeletons draw the top of lower-case letters; a style moves it."""


@dataclass(frozen=True, slots=True)
class Skeleton:
    """A parsed skeleton: paths of points in shares of width and height, with a flag for soft corners."""

    width: float
    paths: tuple[tuple[tuple[float, float, bool], ...], ...]


def parse(skeleton: str) -> Skeleton:
    """Read a skeleton: its width, a colon, its paths."""
    width, _, rest = skeleton.partition(":")
    paths = []
    for path in rest.split("|"):
        points = []
        for point in path.split():
            x, y = point.rstrip("~").split(",")
            points.append((float(x), float(y), point.endswith("~")))
        paths.append(tuple(points))
    return Skeleton(float(width), tuple(paths))


def _read() -> dict[str, tuple[Skeleton, ...]]:
    """Character -> its skeletons, in the order of the file."""
    skeletons: dict[str, tuple[Skeleton, ...]] = {}
    for line in Path(__file__).with_name("alphabet.txt").read_text("utf-8").splitlines()[1:]:
        character, skeleton = line[0], line[2:]
        skeletons[character] = (*skeletons.get(character, ()), parse(skeleton))
    return skeletons


ALPHABET = _read()
"""Character -> skeletons; the commoner forms first."""
