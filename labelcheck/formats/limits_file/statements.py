"""The tables of a limits file that are no plain limits: labels that matter, labels that must be there, bodies,
acceptances."""

from labelcheck.formats.limits_file.asking import Table
from labelcheck.trade.limits import BOUNDS
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import Acceptance, Box, MustCarry, StatedBody, StatedWeight, Weight

_ANYWHERE = (-100_000.0, 100_000.0)
"""Coordinates in millimetres that a board may have."""
_LARGEST_PART_MM = 1_000.0
_LABEL_HEIGHT_MM = (0.2, 100.0)
"""Less is no height of a character that anybody prints; 0 would ask for nothing."""
EITHER = "either"


def read_weights(top: Table) -> tuple[StatedWeight, ...]:
    """`[[labels]]`: which labels matter more, or not."""
    found = []
    for table in top.tables("labels"):
        table.need("matters", 'write matters = "more" or matters = "not"')
        weight = table.choice("matters", tuple(Weight))
        texts = table.texts("text")
        region = _region(table)
        side = _side(table)
        if not table.has("text") and not table.has("region"):
            table.wrong(None, 'Neither "text" nor "region" says which labels are meant. Add one of them.')
        because, board = table.text("because"), table.text("board")
        table.finish()
        if weight is not None:
            source, line = table.source(), table.own_line()
            found.append(StatedWeight(Weight(weight), texts, side, region, because, board, source, line))
    return tuple(found)


def _region(table: Table) -> Box | None:
    """`region = [x0, y0, x1, y1]`, lower left corner first; corners the other way round are typed wrong somewhere."""
    region = table.numbers("region", 4, *_ANYWHERE)
    if region is None:
        return None
    x0, y0, x1, y1 = region
    if x0 < x1 and y0 < y1:
        return (x0, y0, x1, y1)
    told = f'"region" is [{x0:g}, {y0:g}, {x1:g}, {y1:g}]'
    if x0 == x1 or y0 == y1:
        cure = ", which has no area. Write x0, y0, x1, y1 with x0 below x1 and y0 below y1, in mm."
    else:
        turned = ", ".join(f"{value:g}" for value in (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
        cure = f", whose corners are swapped: x0, y0 is the lower left one. Is [{turned}] meant?"
    table.wrong("region", told + cure)
    return None


def read_must_carry(top: Table) -> tuple[MustCarry, ...]:
    """`[[must-carry]]`: labels without which the board is not what it should be."""
    found = []
    for table in top.tables("must-carry"):
        table.need("text", "the text of the label, or a pattern with * and ?")
        text = table.text("text")
        side = _side(table, EITHER)
        height = table.number("height", *_LABEL_HEIGHT_MM, "mm")
        because, board = table.text("because"), table.text("board")
        table.finish()
        if text is not None:
            found.append(MustCarry(text, side, height, because, board, table.source(), table.own_line()))
    return tuple(found)


def read_bodies(top: Table) -> tuple[StatedBody, ...]:
    """`[[bodies]]` with a reference or a package each, or `[bodies.K1]`, named by the reference."""
    if isinstance(top.get("bodies"), dict):
        named = top.table("bodies")
        assert named is not None  # it is a dict
        tables = [(key, table) for key in named.values if (table := named.table(key)) is not None]
        return tuple(body for key, table in tables if (body := _body(table, key)) is not None)
    return tuple(body for table in top.tables("bodies") if (body := _body(table, None)) is not None)


def _body(table: Table, named: str | None) -> StatedBody | None:
    reference, package = table.text("reference"), table.text("package")
    if named is not None and reference is None:
        reference = named
    elif named is None and not table.has("reference") and not table.has("package"):
        table.wrong(None, 'Neither "reference" nor "package" says which parts are meant. Add one of them.')
    table.need("length", "along x as the part lies unturned, in mm")
    table.need("width", "along y as the part lies unturned, in mm")
    length, width, height = (table.number(key, 0.0, _LARGEST_PART_MM, "mm") for key in ("length", "width", "height"))
    offset = table.numbers("offset", 2, -_LARGEST_PART_MM, _LARGEST_PART_MM)
    own_source, board = table.text("source"), table.text("board")
    table.finish()
    if length is None or width is None:
        return None
    if (length == 0) != (width == 0):
        table.wrong(None, "One of length and width is 0. Give both, or 0 for both where nothing is fitted.")
    source = table.source() + (f" ({own_source})" if own_source is not None else "")
    x, y = offset if offset is not None else (0.0, 0.0)
    return StatedBody(reference, package, length, width, height, (x, y), board, source, table.own_line())


def read_accepted(top: Table) -> tuple[Acceptance, ...]:
    """`[[accepted]]`: findings that somebody decided to live with."""
    return tuple(one for table in top.tables("accepted") if (one := _acceptance(table)) is not None)


def _acceptance(table: Table) -> Acceptance | None:
    for key, meaning in (
        ("analyser", "the name of the question, as short-character"),
        ("severity", "how bad the finding is that is accepted"),
        ("side", "top or bottom"),
        ("because", "why this may stay; somebody will ask"),
    ):
        table.need(key, meaning)
    analyser, severity = table.text("analyser"), table.choice("severity", BOUNDS)
    side, because = _side(table), table.text("because")
    text, whole_side = table.text("text"), table.switch("whole-side") or False
    at, corner = table.numbers("at", 2, *_ANYWHERE), table.numbers("corner", 2, *_ANYWHERE)
    size = table.numbers("size", 2, 0.0, _ANYWHERE[1])
    measured = table.number("measured", *_ANYWHERE, "")
    board = table.text("board")
    table.finish()
    if not whole_side and not table.has("text") and not table.has("at"):
        table.wrong(None, 'Neither "text" nor "at" says which label is meant. Add one of them.')
    if analyser is None or severity is None or side is None or because is None:
        return None
    return Acceptance(
        analyser=analyser,
        severity=severity,
        side=side,
        text=text,
        whole_side=whole_side,
        at_mm=_pair(at),
        corner_mm=_pair(corner),
        size_mm=_pair(size),
        measured=measured,
        because=because,
        board=board,
        file=table.document.name,
        line=table.document.line(table.path),
    )


def _pair(values: tuple[float, ...] | None) -> tuple[float, float] | None:
    return None if values is None else (values[0], values[1])


def _side(table: Table, either: str | None = None) -> Side | None:
    """The side, None where none is given or either will do."""
    words = [str(side) for side in OUTER_SIDES] + ([either] if either is not None else [])
    word = table.choice("side", words)
    return None if word is None or word == either else Side(word)
