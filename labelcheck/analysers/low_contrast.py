"""Does the ink of the legend stand out from the solder mask?"""

import math
from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.trade.colours import ink_of, mask_of
from labelcheck.trade.contrast import contrast_ratio, least_modulation, ratio_of
from labelcheck.trade.limits import ARCMINUTES_PER_RADIAN, Limits
from labelcheck.trade.sides import Side

LEAST_ARCMINUTES = 12.0
"""What is seen smaller is told to be too short; what it asks of contrast no ink can give."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Contrast of the two colours that job file or limits file name, once a side; nothing where one is not named."""
    mask, ink = mask_of(evidence.appearance.mask), ink_of(evidence.appearance.legend)
    if mask is None or ink is None:
        return ()
    ratio = contrast_ratio(mask[0], ink)
    return [told for side in evidence.legends if (told := _on_side(side, ratio, evidence, limits)) is not None]


def _on_side(side: Side, ratio: float, evidence: BoardEvidence, limits: Limits) -> Measurement | None:
    heights = [one.label.character_height_mm for one in evidence.on(side)]
    if not heights:
        return None
    seen = 2 * math.atan(median(heights) / 2 / limits.reading_distance_mm) * ARCMINUTES_PER_RADIAN
    asked = ratio_of(least_modulation(max(seen, LEAST_ARCMINUTES)))
    appearance = evidence.appearance
    return Measurement(
        value=ratio,
        limit=replace(limits.contrast, note=asked if limits.contrast.note is None else limits.contrast.note),
        box_mm=evidence.box_mm,
        said=(
            f"on the {side} {(appearance.legend or '').lower()} ink on {(appearance.mask or '').lower()} mask has a "
            f"contrast of {ratio:.1f}:1"
        ),
        asked="symbols need {bound} at the least",
        advice="Choose another colour for the ink or the mask when you order.",
        asked_as_note=(
            f"characters as small as here ({median(heights):.2f} mm at {limits.reading_distance_mm:g} mm) "
            "need {bound} to be read with ease (NUREG-0700 rev. 3)"
        ),
        side=side,
    )


ANALYSER = Analyser(
    name="low-contrast",
    question=__doc__,
    rationale="What is printed perfectly still cannot be read where ink and mask are nearly as light as one another.",
    measure_board=measure,
)
