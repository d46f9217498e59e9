"""Lines held to be labels: what stays of the hypotheses, and the candidates on the way there."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.lines import Lines
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.setting import Setting
from labelcheck.trade.shapes import Flags, Floats, Integers


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Labels as columns: their lines, how they are set and turned, and what each was read as, None for unread."""

    lines: Lines
    setting: Setting
    turned_deg: Floats
    readings: tuple[Reading | None, ...]

    def __len__(self) -> int:
        return len(self.readings)

    def take(self, chosen: Flags | Integers) -> "Found":
        """The chosen labels only."""
        rows = np.flatnonzero(chosen) if chosen.dtype == np.bool_ else chosen
        return Found(
            self.lines.take(rows), self.setting.take(rows), self.turned_deg[rows],
            tuple(self.readings[row] for row in rows.tolist()),
        )
