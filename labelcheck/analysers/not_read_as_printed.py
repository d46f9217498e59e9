"""Does the label still read as drawn once it is printed?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement, Severity, misread_severity, read_as_printed
from labelcheck.labels.label import Box, Label
from labelcheck.press.evidence import Evidence, Misread
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """How many characters do not read as drawn, with the legend where it belongs, else in the worst case of shift.

    A character that turns into another one is worse than one that turns into none: that one is seen to be spoilt.
    """
    label, printed = evidence.label, evidence.printed
    severity, misread = misread_severity(printed.misread, label), printed.misread
    shifted = severity is None
    if shifted:
        severity, misread = misread_severity(printed.misread_when_shifted, label), printed.misread_when_shifted
    if severity is None:
        return None
    told = [one for one in misread if one.counts]
    return Measurement(
        value=float(len(told)),
        limit=limits.read_back,
        box_mm=_box(label, told),
        said=_said(evidence, told, limits, shifted),
        asked=read_as_printed(label, told, severity is Severity.UNREADABLE),
        advice=_advice(evidence, limits),
        at_worst=Severity.DOUBTFUL if shifted else severity,
    )


def _said(evidence: Evidence, told: Sequence[Misread], limits: Limits, shifted: bool) -> str:
    if shifted:
        return f"does not read as drawn where the legend lies {format_length(limits.registration.value_mm)} off"
    if evidence.label.drawn_as == "knocked out":
        return "is left clear in filled ink, which " + (
            "runs into its strokes" if _runs_in(evidence) else "is lost around some of it"
        )
    if evidence.label.stroke_least_mm < limits.thinnest_print.value_mm:
        return f"has strokes of {format_length(evidence.label.stroke_least_mm)}, which are not printed"
    left = min(one.left for one in told)
    if left > 0.99:
        return "does not read as drawn once its clear spaces have filled"
    return f"keeps {left * 100:.0f} % of a character when it is printed"


def _advice(evidence: Evidence, limits: Limits) -> str:
    height = evidence.label.character_height_mm
    if evidence.label.drawn_as == "knocked out":
        if not _runs_in(evidence):
            return "Move it with the filled area around it clear of openings, holes and edges."
        spread_mm = limits.spread.value_mm
        clear, spread = format_length(limits.pen_for(height) + 2 * spread_mm), format_length(spread_mm)
        return f"Leave strokes of {clear} clear: ink spreads {spread} into them from either side."
    if evidence.label.stroke_least_mm < limits.thinnest_print.value_mm:
        pen = format_length(limits.pen_for(height))
        return f"Draw it with strokes of {pen}: what is thinner than {_thinnest(limits)} is not printed."
    return f"Keep it clear of openings, holes and edges; what they leave is to be over {_thinnest(limits)} wide."


def _runs_in(evidence: Evidence) -> bool:
    """Whether what is misread of a knocked-out label falls into pieces, as where ink closes its strokes."""
    printed = evidence.printed
    wrong = [one for one in printed.misread if one.counts]
    return bool(wrong) and all(not set(printed.broken).isdisjoint(one.marks) for one in wrong)


def _thinnest(limits: Limits) -> str:
    return format_length(limits.thinnest_print.value_mm)


def _box(label: Label, told: Sequence[Misread]) -> Box:
    boxes = [label.marks[mark].box_mm for one in told for mark in one.marks]
    lows, highs = [min(edge) for edge in zip(*boxes, strict=True)], [max(edge) for edge in zip(*boxes, strict=True)]
    return (*lows[:2], *highs[2:])


ANALYSER = Analyser(
    name="not-read-as-printed",
    question=__doc__,
    rationale=(
        "The screen shows the ink as drawn. What is left after clipping, what is too thin to print and what runs "
        "together make another character of it, and nobody sees that before the boards arrive."
    ),
    measure=measure,
    causes=("in-opening", "across-hole", "past-outline", "thin-stroke", "closed-gap", "short-character"),
)
