"""The least height, pen and spacing that clear all limits of size at once.

Enlarging a drawing s times and moving its edges outward by d makes of a height H, a stroke t and a clear space g the
height s H + 2 d, the stroke s t + 2 d and the clear space s g - 2 d. That holds for lines drawn with a pen and for
filled letters alike, so that both are cured by the same sums.
"""

import math
from dataclasses import dataclass

from labelcheck.labels.label import Label
from labelcheck.labels.pockets import NARROW_MM
from labelcheck.trade.limits import Limits

STEP_MM = 0.01
"""Heights and pens are told, and so are to be set, in steps of this."""
LEAST_DRAWN_MM = 0.05
"""Labels lower than this over their stroke are dots and dashes, whose size tells nothing."""
LARGEST_SCALE = 4.0
"""Text that had to grow more than this is no text, or is measured wrongly."""


@dataclass(frozen=True, slots=True)
class Gaps:
    """Narrowest clear spaces of one label, inf where there is none."""

    inside: float
    """Within a character."""
    between: float
    """Between neighbours."""
    characters: int


@dataclass(frozen=True, slots=True)
class Size:
    """How a label's drawing is to change, as in `Cure`; new values, None where they stay as they are."""

    scale: float = 1.0
    growth_mm: float = 0.0
    height_mm: float | None = None
    pen_mm: float | None = None
    spacing_mm: float | None = None


AS_IT_IS = Size()


def heights_asked(limits: Limits) -> tuple[float, ...]:
    """Heights to aim at: the one read with ease, else the least that neither press nor eye is in doubt about."""
    least = max(limits.height.doubtful or 0.0, limits.height_for_eye.doubtful or 0.0)
    ease = max(least, limits.height_for_eye.note or 0.0)
    return (ease, least) if ease > least else (least,)


def resized(label: Label, gaps: Gaps, height_asked_mm: float | None, limits: Limits) -> Size | None:
    """The least change that makes a label as high as asked for, with strokes and gaps within their limits.

    None where no sensible change does. Without a height asked for it only stays as high as it is.
    """
    height, stroke = label.character_height_mm, label.stroke_typical_mm
    thinnest = limits.stroke.doubtful or 0.0
    narrowest = limits.gap.doubtful or 0.0
    least_height = max(height_asked_mm or 0.0, min(height, heights_asked(limits)[0]))
    uneven = max(stroke - label.stroke_least_mm, 0.0)
    if height - stroke < LEAST_DRAWN_MM:
        return AS_IT_IS if label.stroke_least_mm >= thinnest else None
    scale = 1.0
    for _ in range(4):
        least_pen = _up(thinnest + scale * uneven)
        # A thinner pen opens every gap; one that still prints is changed before the drawing is enlarged.
        widest = scale * (min(gaps.inside, gaps.between) + stroke) - narrowest
        pen = max(min(max(stroke, least_pen), _down(widest)), least_pen)
        opened = (narrowest + pen) / (gaps.inside + stroke) if math.isfinite(gaps.inside) else 0.0
        wanted = max(1.0, opened, (least_height - pen) / (height - stroke))
        if wanted <= scale + 1e-9:
            break
        scale = wanted
    new_height = scale * (height - stroke) + pen
    if scale > 1.0:
        new_height = _up(new_height)
        scale = (new_height - pen) / (height - stroke)
    if scale > LARGEST_SCALE:
        return None
    growth = (pen - scale * stroke) / 2
    spacing = 0.0
    if math.isfinite(gaps.between) and gaps.characters > 1:
        spacing = max(_up(narrowest - (scale * gaps.between - 2 * growth)), 0.0)
    return Size(
        scale=scale,
        growth_mm=growth,
        height_mm=new_height if abs(new_height - height) > limits.height.tolerance and scale > 1.0 else None,
        pen_mm=pen if abs(pen - stroke) > limits.stroke.tolerance else None,
        spacing_mm=spacing if spacing > 0 else None,
    )


def _up(length_mm: float) -> float:
    return round(math.ceil(round(length_mm / STEP_MM, 6)) * STEP_MM, 6)


def _down(length_mm: float) -> float:
    return round(math.floor(round(length_mm / STEP_MM, 6)) * STEP_MM, 6) if math.isfinite(length_mm) else length_mm


def gaps_of(label: Label) -> Gaps:
    """The narrowest clear spaces of a label; those that were too wide to be noted are as wide as its narrowest."""
    if label.gap_mm is None:
        return Gaps(math.inf, math.inf, _characters(label))
    wide = max(label.gap_mm, NARROW_MM)
    inside = [place.width_mm for place in label.narrow_places if place.kind != "neighbours"]
    between = [place.width_mm for place in label.narrow_places if place.kind == "neighbours"]
    return Gaps(min(inside, default=wide), min(between, default=wide), _characters(label))


def _characters(label: Label) -> int:
    return len(label.marks) if label.text is None else len(label.text.replace(" ", ""))
