"""As assembled: what is to be seen of every label as printed once the parts are on, and what that reads as.

Only labels of which bodies hide a part are looked at: the others read as printed, or are not seen at all.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.label import Label
from labelcheck.labels.reading.protocol import Reader
from labelcheck.press.evidence import Assembled, Misread
from labelcheck.press.hiding import WORTH_TELLING, Covered
from labelcheck.press.obstacles import Obstacles
from labelcheck.press.printing import CRUMBS, ink_as_printed, ink_of, with_ink_left
from labelcheck.press.printing_clear import ClearInk, knocked_out
from labelcheck.press.printing_ink import without_slivers
from labelcheck.press.printing_reading import read_back, rows_of
from labelcheck.raster.run_algebra import subtract
from labelcheck.raster.runs import Runs, area_by_group
from labelcheck.trade.limits import Limits

Flags = NDArray[np.bool_]

HIDDEN = 0.999
"""A label of which more is under bodies is not seen any more."""


def as_assembled(
    ink: Runs, labels: Sequence[Label], around: tuple[Covered, tuple[Obstacles, Flags], ClearInk | None],
    limits: Limits, reader: Reader | None,
) -> tuple[Assembled | None, ...]:
    """What is seen of each label of one side, in their order; None for all where no bodies are known.

    `ink` is the ink as drawn, grouped by mark number; `around` what bodies do to it, the obstacles with the marks
    that those may take ink of, and the ink of knocked-out labels. Without a reader nothing is read.
    """
    covered, surroundings, clear = around
    shares = dict(zip((label.id for label in labels), covered.shares.tolist(), strict=True))
    parts = [
        label for label in labels
        if 0.0 < shares[label.id] <= HIDDEN and label.text is not None
    ]
    worst: dict[str, tuple[Misread, ...]] = {}
    surely: dict[str, tuple[Misread, ...]] = {}
    hollow = knocked_out(parts)
    inked = [label for label in parts if label not in hollow]
    if inked and reader is not None:
        inks = ink_of(ink, inked, len(surroundings[1])), ink_as_printed(ink, inked, surroundings, limits)
        worst |= _misread(inks, inked, covered.largest, reader, limits)
        surely |= _misread(inks, inked, covered.as_told, reader, limits)
    if hollow and clear is not None and reader is not None:
        inks = clear.drawn, clear.printed
        worst |= _misread(inks, hollow, covered.largest, reader, limits, clear=True)
        surely |= _misread(inks, hollow, covered.as_told, reader, limits, clear=True)
    return tuple(
        None if hiding is None else Assembled(
            seen=0.0 if shares[label.id] > HIDDEN else 1.0 - shares[label.id],
            misread=worst.get(label.id, ()),
            misread_surely=surely.get(label.id, ()),
        )
        for label, hiding in zip(labels, covered.hiding, strict=True)
    )


def _misread(
    inks: tuple[Runs, Runs], labels: Sequence[Label], bodies: Runs, reader: Reader, limits: Limits,
    clear: bool = False,
) -> dict[str, tuple[Misread, ...]]:
    """By label, the characters that do not read as drawn beside some bodies; `inks` as drawn and as printed.

    `clear` where the ink stands for the clear space of knocked-out characters, which printing narrows.
    """
    drawn, printed = inks
    count = 1 + max(mark.number for label in labels for mark in label.marks)
    printed = ink_of(printed, labels, count)
    # The rim that is left of a stroke along a body is not seen.
    seen = without_slivers(subtract(printed, bodies), limits.thinnest_print.value_mm)
    area = area_by_group(printed, count)
    left = np.where(area > 0, area_by_group(seen, count) / np.maximum(area, 1e-12), 1.0)
    hidden = left < 1.0 - WORTH_TELLING
    to_read = [label for label in labels if any(hidden[mark.number] for mark in label.marks)]
    if not to_read:
        return {}
    # Crumbs are not read, whatever they look like.
    seen = seen.take((left >= CRUMBS)[seen.group])
    spread_mm = -limits.spread.value_mm if clear else limits.spread.value_mm
    misread = read_back(rows_of(to_read, drawn), (drawn, seen), hidden, reader, spread_mm)
    marks = {label.id: np.array([mark.number for mark in label.marks]) for label in to_read}
    return {
        label_id: with_ink_left(told, marks[label_id], left, area) for label_id, told in misread.items()
    }
