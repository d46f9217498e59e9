"""Reads a limits file: every value with its line; unknown keys, wrong types and impossible values are errors."""

import hashlib
import re
import tomllib

from labelcheck.formats.limits_file.asking import Document, Table
from labelcheck.formats.limits_file.lines import KeyPath, lines_of
from labelcheck.formats.limits_file.statements import read_accepted, read_bodies, read_must_carry, read_weights
from labelcheck.trade.colours import LEGEND_COLOURS, MASK_COLOURS, ink_of, mask_of
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import LimitsFile, StatedNumber
from labelcheck.trade.limits import BOUNDS, Distance, Limit, LimitsFileBytes, Process, limits_for, names_of_limits
from labelcheck.trade.stated import StatedColour

BYTES_AT_MOST = 2_000_000
"""A larger file is no limits file; ten thousand acceptances are smaller."""

NEVER = "never"
"""Written instead of a number, it switches a bound off."""

TOP_KEYS = frozenset(
    {"process", "reading-distance", "pitch", "colours", "limits", "distances", "labels", "must-carry", "bodies",
     "accepted"}
)

READING_DISTANCE_MM = (10.0, 100_000.0)
PITCH_MM = (0.002, 0.1)
_TIMES_DEFAULT = 20.0
"""A length so many times the largest default is none in millimetres: mils, most likely."""
_PROBLEMS_SHOWN = 10
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


def read_limits_file(name: str, place: str, data: bytes) -> LimitsFile:
    """Read a limits file; `name` goes into sources, `place` into errors.

    Raises `WrongArguments` with every problem on a line of its own: place, problem, cure.
    """
    text = _decoded(place, data)
    values, lines = _parsed(place, text)
    document = Document(name, place, lines, TOP_KEYS)
    top = Table(document, (), values)
    process = top.choice("process", tuple(Process))
    colours = top.table("colours")
    found = LimitsFile(
        place=place,
        bytes=LimitsFileBytes(name, hashlib.sha256(data).hexdigest()),
        process=None if process is None else Process(process),
        process_source=top.source("process"),
        reading_distance_mm=top.number("reading-distance", *READING_DISTANCE_MM, "mm"),
        reading_distance_source=top.source("reading-distance"),
        pitch_mm=top.number("pitch", *PITCH_MM, "mm"),
        pitch_source=top.source("pitch"),
        numbers=(*_bounds(top), *_distances(top)),
        mask_colour=_colour(colours, "mask", MASK_COLOURS),
        legend_colour=_colour(colours, "legend", LEGEND_COLOURS),
        weights=read_weights(top),
        must_carry=read_must_carry(top),
        accepted=read_accepted(top),
        bodies=read_bodies(top),
    )
    if colours is not None:
        colours.finish()
    top.finish()
    _raise_if_wrong(document)
    return found


def _decoded(place: str, data: bytes) -> str:
    if len(data) > BYTES_AT_MOST:
        raise WrongArguments(f"{place}: This is larger than {BYTES_AT_MOST:,} bytes. Name a limits file (TOML).")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise WrongArguments(f"{place}:{line}: This is no UTF-8 text. Save the file as UTF-8.") from error


def _parsed(place: str, text: str) -> tuple[dict[str, object], dict[KeyPath, int]]:
    """The values of the file, and the lines of their keys."""
    try:
        return tomllib.loads(text), lines_of(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        at = _AT_LINE.search(said)
        line = at.group(1) if at is not None and at.group(1) else str(text.rstrip("\n").count("\n") + 1)
        problem = _AT_LINE.sub("", said).strip().rstrip(".")
        raise WrongArguments(
            f"{place}:{line}: The line is not valid TOML ({problem}). "
            'Write key = value, texts in double quotes, tables as [name] or [[name]].'
        ) from error
    except (RecursionError, ValueError) as error:
        # A number of thousands of digits, or brackets nested without end: nothing that a person wrote.
        raise WrongArguments(f"{place}: This is nested or long beyond anything a limits file needs.") from error


def _raise_if_wrong(document: Document) -> None:
    if not document.problems:
        return
    told = [f"{document.place}:{line}: {problem}" for line, problem in sorted(set(document.problems))]
    beyond = len(told) - _PROBLEMS_SHOWN
    more = [f"{document.place}: {beyond} more problems."] if beyond > 0 else []
    raise WrongArguments("\n".join([*told[:_PROBLEMS_SHOWN], *more]))


def _bounds(top: Table) -> list[StatedNumber]:
    """`[limits.stroke]` with `doubtful-below = 0.15` and the like."""
    limits = top.table("limits")
    if limits is None:
        return []
    defaults = limits_for()
    found: list[StatedNumber] = []
    for name in names_of_limits():
        limit = getattr(defaults, name)
        if isinstance(limit, Limit) and (table := limits.table(name.replace("_", "-"))) is not None:
            found += _bounds_of(table, name, limit)
            table.finish()
    limits.finish()
    return found


def _bounds_of(table: Table, name: str, limit: Limit) -> list[StatedNumber]:
    own_source = table.text("source")
    found = []
    for bound in BOUNDS:
        key = f"{bound}-{'above' if limit.worse_above else 'below'}"
        value = None if table.get(key) == NEVER else table.number(key, 0.0, _most(limit), limit.unit)
        if table.has(key):
            source = table.source(key) + (f" ({own_source})" if own_source is not None else "")
            found.append(StatedNumber(name, bound, value, source, table.line(key)))
    return found


def _most(limit: Limit) -> float:
    bounds = [bound for bound in (limit.unreadable, limit.doubtful, limit.note) if bound is not None]
    if limit.unit == "mm":
        return max(1.0, _TIMES_DEFAULT * max(bounds, default=1.0))
    return 1.0 if limit.unit == "fraction" else 1e6


def _distances(top: Table) -> list[StatedNumber]:
    """`[distances]` with `clip = 0.1`, or `clip = { mm = 0.1, source = "…" }`."""
    table = top.table("distances")
    if table is None:
        return []
    defaults = limits_for()
    found = []
    for name in names_of_limits():
        distance = getattr(defaults, name)
        if not isinstance(distance, Distance):
            continue
        key = name.replace("_", "-")
        own_source, most = None, max(1.0, _TIMES_DEFAULT * distance.value_mm)
        if isinstance(table.get(key), dict):
            inner = table.table(key)
            assert inner is not None  # it is a dict
            inner.need("mm", "the length")
            own_source, value = inner.text("source"), inner.number("mm", 0.0, most, "mm")
            inner.finish()
        else:
            value = table.number(key, 0.0, most, "mm")
        if value is not None:
            source = table.source(key) + (f" ({own_source})" if own_source is not None else "")
            found.append(StatedNumber(name, "", value, source, table.line(key)))
    table.finish()
    return found


def _colour(table: Table | None, key: str, known: tuple[str, ...]) -> StatedColour | None:
    """Words that name a known colour (`green`, `matte black`), or its parts (`#0e542c`)."""
    words = None if table is None else table.text(key)
    if table is None or words is None:
        return None
    if (mask_of(words) if key == "mask" else ink_of(words)) is not None:
        return StatedColour(words, table.source(key))
    table.choice(key, known)  # complains, and names the nearest
    return None
