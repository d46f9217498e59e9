"""Do the clear spaces inside and between the characters stay open when the ink spreads?"""

from labelcheck.judging import Analyser, Measurement
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """The narrowest clear space of the label; not applicable where it has none (a lone `1`).

    A gap that opens once a short label is made as high as it must be is one fault with its height, told there.
    """
    label, limit = evidence.label, limits.gap
    if label.gap_mm is None or _opens_with_height(label, label.gap_mm, limits):
        return None
    missing = (limit.doubtful or 0.0) - label.gap_mm
    return Measurement(
        value=label.gap_mm,
        limit=limit,
        box_mm=label.box_mm,
        said=f"has a gap of only {format_length(label.gap_mm)}",
        asked=f"gaps under {{bound}} fill with ink on {limits.process.legend}",
        advice=(
            f"Open it by {format_length(missing)}: space the characters wider, "
            "make them larger, or draw them with a thinner pen that still prints."
        ),
    )


def _opens_with_height(label: Label, gap_mm: float, limits: Limits) -> bool:
    """Whether the label is short, and redrawing it as advised for its height opens the gap to its bound."""
    asked, bound = limits.height.doubtful, limits.gap.doubtful
    height = label.character_height_mm
    if asked is None or bound is None or height >= asked - limits.height.tolerance:
        return False
    between_lines = (gap_mm + label.stroke_typical_mm) * asked / height
    return between_lines - limits.pen_for(asked) >= bound - limits.gap.tolerance


ANALYSER = Analyser(
    name="closed-gap",
    question=__doc__,
    rationale="Ink spreads at every edge: a narrow counter closes, an 8 becomes a blot, neighbours run together.",
    measure=measure,
)
