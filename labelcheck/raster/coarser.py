"""The same ink on a coarser raster, rounded up: a pixel is taken where any of the finer ones in it is."""

import numpy as np

from labelcheck.raster.intervals import merge
from labelcheck.raster.runs import NumberLine, Runs


def coarser(runs: Runs, times: int) -> Runs:
    """Ink without groups at a pitch so many times as large."""
    if times == 1 or len(runs) == 0:
        return Runs(runs.pitch_mm * times, runs.row, runs.start, runs.end)
    wide = Runs(
        runs.pitch_mm * times, runs.row // np.int32(times), runs.start // np.int32(times),
        -(-runs.end // np.int32(times)),
    )
    line = NumberLine.over(wide)
    return line.runs(merge(*line.intervals(wide)), wide.pitch_mm)
