"""Are the strokes wide enough for the legend process to print them?"""

from dataclasses import replace

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement:
    """Stroke width of the label: the pen where it is drawn with one, else measured on its ink.

    The thinnest place of a filled or painted letter may be a hairline between sound strokes, or where the arms of a
    K meet its stem: it counts as one step less than a stroke that is thin all along.
    """
    label, limit = evidence.label, limits.stroke
    typical, least = label.stroke_typical_mm, label.stroke_least_mm
    filled = label.drawn_as != "strokes" or _is_painted(label)
    sound_but_for_hairlines = filled and not _too_thin(typical, limits)
    wanted = format_length(limit.doubtful if limit.doubtful is not None else typical)
    clear = label.drawn_as == "knocked out"
    return Measurement(
        value=typical if filled and not sound_but_for_hairlines else least,
        limit=replace(limit, doubtful=limit.unreadable) if sound_but_for_hairlines else limit,
        box_mm=label.box_mm,
        said=(
            f"has places only {format_length(least)} wide"
            if sound_but_for_hairlines
            else f"has strokes {format_length(min(typical, least))} wide"
        )
        + (", left clear in ink that spreads into them" if clear else ""),
        asked=f"{{bound}} is the least for {limits.process.legend}",
        advice=f"Leave strokes of {wanted} or wider clear." if clear else f"Draw it with a pen of {wanted} or wider.",
        at_worst=Severity.DOUBTFUL if sound_but_for_hairlines else Severity.UNREADABLE,
    )


def _is_painted(label: Label) -> bool:
    """Whether scan lines side by side paint its characters, so that no pen is the width of their strokes."""
    return bool(label.marks) and all(mark.pen_mm is None for mark in label.marks)


def _too_thin(width_mm: float, limits: Limits) -> bool:
    doubtful = limits.stroke.doubtful
    return doubtful is not None and width_mm < doubtful - limits.stroke.tolerance


ANALYSER = Analyser(
    name="thin-stroke",
    question=__doc__,
    rationale="Ink lines thinner than the process resolves come out broken, or are left out by the fabricator.",
    measure=measure,
)
