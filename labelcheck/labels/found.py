"""Lines found to be labels: what stays of the hypotheses."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.lines import Lines
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.setting import Setting, set_lines
from labelcheck.trade.shapes import Flags, Floats


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Labels as columns: their lines, how they are set and turned, and what each was read as, None for unread."""

    lines: Lines
    setting: Setting
    turned_deg: Floats
    readings: tuple[Reading | None, ...]

    def take(self, kept: Flags) -> "Found":
        """The chosen labels only."""
        lines = self.lines.take(kept)
        readings = tuple(reading for reading, stays in zip(self.readings, kept.tolist(), strict=True) if stays)
        return found_lines(lines, self.turned_deg[kept], readings)


def found_lines(lines: Lines, turned_deg: Floats, readings: tuple[Reading | None, ...]) -> Found:
    """Lines with their setting worked out."""
    return Found(lines, set_lines(lines), np.asarray(turned_deg) % 360.0, readings)
