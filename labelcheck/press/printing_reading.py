"""Reads labels back from their ink on the raster: as drawn and as printed by the same path.

Both states are drawn for the reader from row runs, are set in the same line, and settled by the same grammar, so that
a difference in what they read as comes from the print and not from the path.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.glyphs import Glyphs, turn_upright
from labelcheck.labels.label import Label
from labelcheck.labels.lines import Lines
from labelcheck.labels.pictures import draw_glyphs
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.setting import Setting, set_lines
from labelcheck.press.evidence import Misread
from labelcheck.press.printing_shape import transposed
from labelcheck.raster.runs import Runs, boxes_by_group, regroup
from labelcheck.trade.sides import Side

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Logs = NDArray[np.float32]

SAME_SHAPE = ("0Oo", "1Il|", "cC", "kK", "pP", "sS", "uU", "vV", "wW", "xX", "zZ")
"""Characters that faces draw alike but for their size: one read for another is no change."""
SURE, LEAST_SHARE = 0.8, 0.4
"""So much of the network's belief in a character of the drawn one's shape settles it; so much leaves it readable,
as for any glyph of the reader's."""
NO_INK = -30.0
"""Log-probability of every character where there is no ink at all."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Labels as rows of glyphs: `mark` (k,) number of each mark, `glyph` (k,) the glyph it belongs to.

    `turned_deg`, `mirrored`, `stroke_mm` are per glyph, `setting` that of the labels as drawn.
    """

    labels: tuple[Label, ...]
    mark: Integers
    glyph: Integers
    setting: Setting
    turned_deg: Floats
    mirrored: Flags
    stroke_mm: Floats

    @property
    def glyphs(self) -> int:
        """How many glyphs all labels have together."""
        return len(self.turned_deg)


def rows_of(labels: Sequence[Label], drawn: Runs) -> Rows:
    """Set those labels in lines of glyphs whose glyphs match their text one by one; the others are left out.

    `drawn` is the ink as drawn, grouped by mark number.
    """
    rows = _set(labels, drawn)
    told = np.array([len((label.text or "").replace(" ", "")) for label in labels])
    fitting = (np.diff(rows.setting.glyph_first) == told) & (told > 0)
    if fitting.all():
        return rows
    return _set([label for label, fits in zip(labels, fitting.tolist(), strict=True) if fits], drawn)


def _set(labels: Sequence[Label], drawn: Runs) -> Rows:
    sizes = np.array([len(label.marks) for label in labels], dtype=np.int64)
    owner = np.repeat(np.arange(len(labels)), sizes)
    mark = np.array([mark.number for label in labels for mark in label.marks], dtype=np.int64)
    turned = np.array([label.turned_deg for label in labels])
    mirrored = np.array([(label.side is Side.BOTTOM) != label.mirrored for label in labels], dtype=np.bool_)
    stroke = np.array([label.stroke_typical_mm for label in labels])
    of_mark = _of_groups(drawn, mark, np.arange(len(mark)))
    box = upright_glyphs(of_mark, turned[owner], mirrored[owner]).box
    first = np.concatenate(([0], np.cumsum(sizes))).astype(np.int64)
    setting = set_lines(Lines(np.arange(len(mark)), box, first, np.zeros(len(labels), dtype=np.int64)))
    of_glyph = np.repeat(np.arange(len(labels)), np.diff(setting.glyph_first))
    return Rows(tuple(labels), mark, setting.glyph, setting, turned[of_glyph], mirrored[of_glyph], stroke[of_glyph])


def _of_groups(runs: Runs, groups: Integers, new: Integers) -> Runs:
    """The runs of some groups only, renamed."""
    largest = max(int(groups.max(initial=-1)), int(runs.group.max(initial=-1)) if runs.group is not None else -1)
    name = np.full(largest + 1, -1, dtype=np.int64)
    name[groups] = new
    return regroup(runs, name)


def upright_glyphs(runs: Runs, turned_deg: Floats, mirrored: Flags) -> Glyphs:
    """Groups of runs as glyphs, each turned upright by its own angle; every run is a strip of a pixel's height.

    Strips lie along the line of reading, so that the pictures drawn of them are exact along it.
    """
    on_end = np.rint(turned_deg / 90.0).astype(np.int64) % 2 == 1
    parts = []
    for ends in (False, True):
        name = np.where(on_end == ends, np.arange(len(turned_deg)), -1)
        chosen = regroup(runs, name)
        strips = transposed(chosen) if ends else chosen
        low, high = strips.row * runs.pitch_mm, (strips.row + 1) * runs.pitch_mm
        start, end = strips.start * runs.pitch_mm, strips.end * runs.pitch_mm
        x = np.stack((low, low, high, high) if ends else (start, end, end, start), axis=1)
        y = np.stack((start, end, end, start) if ends else (low, low, high, high), axis=1)
        parts.append((_groups(strips), x, y))
    group, x, y = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    order = np.argsort(group, kind="stable")
    group, x, y = group[order], x[order], y[order]
    angle = turned_deg[group][:, None]
    ax, ay = turn_upright(np.where(mirrored[group][:, None], -x, x), y, angle, mirrored=False)
    box = np.empty((len(turned_deg), 4))
    box[:, :2], box[:, 2:] = np.inf, -np.inf
    np.minimum.at(box, (group[:, None], np.array([0, 1])), np.stack((ax.min(axis=1), ay.min(axis=1)), axis=1))
    np.maximum.at(box, (group[:, None], np.array([2, 3])), np.stack((ax.max(axis=1), ay.max(axis=1)), axis=1))
    box[box[:, 2] < box[:, 0]] = 0.0
    none, nothing = np.zeros(0, dtype=np.int64), np.zeros(0)
    corner = np.repeat(group, 4)
    return Glyphs(
        box=box, bar_glyph=none, bar_layer=none, x0=nothing, y0=nothing, x1=nothing, y1=nothing, radius=nothing,
        edge_glyph=corner, edge_layer=np.zeros(len(corner), dtype=np.int64),
        edge_object=np.repeat(np.arange(len(group)), 4),
        ax=ax.ravel(), ay=ay.ravel(), bx=np.roll(ax, -1, axis=1).ravel(), by=np.roll(ay, -1, axis=1).ravel(),
    )


def _groups(runs: Runs) -> Integers:
    if runs.group is None:
        raise ValueError("glyphs need grouped runs")
    return runs.group.astype(np.int64)


def read_back(
    rows: Rows, inks: tuple[Runs, Runs], changed: Flags, reader: Reader, spread_mm: float
) -> dict[str, tuple[Misread, ...]]:
    """For each label of the rows, by id, the characters that do not read as they do as drawn.

    `inks` as drawn and as printed, grouped by mark number; `changed` (marks,) by mark number: only glyphs with a
    changed mark are read as printed, the others read as drawn. A character that does not even read as drawn by this
    path tells nothing and is passed over.
    """
    again = np.zeros(rows.glyphs, dtype=np.bool_)
    np.logical_or.at(again, rows.glyph, changed[rows.mark])
    printed = _logs(rows, inks[1], np.flatnonzero(again), reader, spread_mm)
    meant = [character for label in rows.labels for character in (label.text or "").replace(" ", "")]
    likely = _share_of_shape(printed, [meant[at] for at in np.flatnonzero(again).tolist()], reader.classes)
    # Where the shape leaves no doubt there is nothing for the grammar to settle, which costs most.
    line = np.repeat(np.arange(len(rows.labels)), np.diff(rows.setting.glyph_first))
    doubted = np.unique(line[again][likely < SURE])
    if len(doubted) == 0:
        return {}
    part = np.flatnonzero(np.isin(line, doubted))
    logs = np.zeros((rows.glyphs, len(reader.classes)), dtype=np.float32)
    logs[part] = _logs(rows, inks[0], part, reader, 0.0)
    as_drawn = logs[part]
    logs[again] = printed
    first = np.concatenate(([0], np.cumsum(np.diff(rows.setting.glyph_first)[doubted]))).astype(np.int64)
    told = [reader.decode(each, first, rows.setting.spaced[part]) for each in (as_drawn, logs[part])]
    shares = np.ones(rows.glyphs)
    shares[again] = likely
    as_read = _Back(shares, logs, tuple(reader.classes))
    return {
        rows.labels[row].id: _misread(rows, row, (told[0][place].text, told[1][place].text), as_read)
        for place, row in enumerate(doubted.tolist())
    }


def read_rows(rows: Rows, ink: Runs, reader: Reader, spread_mm: float) -> tuple[str, ...]:
    """What all labels of the rows read as in one state of their ink, blanks left out, `?` for what is not read."""
    logs = _logs(rows, ink, np.arange(rows.glyphs), reader, spread_mm)
    return tuple(
        one.text.replace(" ", "") for one in reader.decode(logs, rows.setting.glyph_first, rows.setting.spaced)
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Back:
    """What was read back: `share` (g,) of each glyph's own shape, and log-probabilities (g, classes) as printed."""

    share: Floats
    logs: Logs
    classes: tuple[str, ...]


def _misread(rows: Rows, row: int, told: tuple[str, str], back: _Back) -> tuple[Misread, ...]:
    """The characters of one label that read otherwise as printed; `told` as drawn and as printed.

    How much ink is left of them is for the caller to say: `left` is 1.
    """
    read, left = (text.replace(" ", "") for text in told)
    label = rows.labels[row]
    first = int(rows.setting.glyph_first[row])
    mark_first = sum(len(before.marks) for before in rows.labels[:row])
    glyph = rows.glyph[mark_first : mark_first + len(label.marks)] - first
    wrong = []
    for place, meant in enumerate((label.text or "").replace(" ", "")):
        share = float(back.share[first + place])
        if share < LEAST_SHARE and same_shape(read[place], meant) and not same_shape(left[place], meant):
            printed = None if left[place] == "?" else left[place]
            if printed is not None:
                share = float(_share_of_shape(back.logs[[first + place]], printed, back.classes)[0])
            wrong.append(
                Misread(place, tuple(np.flatnonzero(glyph == place).tolist()), meant, printed, share, left=1.0)
            )
    return tuple(wrong)


def _share_of_shape(logs: Logs, meant: Sequence[str], classes: Sequence[str]) -> Floats:
    """What the network gives to each glyph's own character and to those drawn alike, (n,) 0 to 1."""
    alike = np.array([_alike(character, tuple(classes)) for character in meant], dtype=np.bool_)
    return np.asarray((np.exp(logs) * alike.reshape(logs.shape)).sum(axis=1), dtype=np.float64)


@lru_cache(maxsize=1024)
def _alike(character: str, classes: tuple[str, ...]) -> tuple[bool, ...]:
    return tuple(bool(other) and same_shape(character, other) for other in classes)


def _logs(rows: Rows, ink: Runs, chosen: Integers, reader: Reader, spread_mm: float) -> Logs:
    """Log-probabilities of the chosen glyphs in one of the inks, which has spread by so much."""
    new = np.full(rows.glyphs, -1, dtype=np.int64)
    new[chosen] = np.arange(len(chosen))
    own = new[rows.glyph]
    kept = own >= 0
    runs = _of_groups(ink, rows.mark[kept], own[kept])
    glyphs = upright_glyphs(runs, rows.turned_deg[chosen], rows.mirrored[chosen])
    line = np.repeat(np.arange(len(rows.labels)), np.diff(rows.setting.glyph_first))[chosen]
    height, base = rows.setting.height[line] + 2 * spread_mm, rows.setting.base[line] - spread_mm
    box = glyphs.box
    metrics = np.column_stack((
        (box[:, 2] - box[:, 0]) / height, (box[:, 3] - box[:, 1]) / height, (box[:, 1] - base) / height,
        (rows.stroke_mm[chosen] + 2 * spread_mm) / height,
    ))
    logs = reader.read(draw_glyphs(glyphs), metrics.astype(np.float32))
    bare = ~np.isfinite(boxes_by_group(runs, len(chosen))[:, 0])
    logs[bare] = NO_INK
    logs[bare, -1] = 0.0
    return logs


def same_shape(one: str, other: str) -> bool:
    """Whether two characters are the same, or drawn alike."""
    return one == other or any(one in group and other in group for group in SAME_SHAPE)
