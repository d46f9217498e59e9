"""Are the characters high enough for the process to print them and for the eye to read them?"""

from dataclasses import replace

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limit, Limits
from labelcheck.trade.units import format_length

NEARLY = 0.95
"""Of what is read with ease; nobody sees the difference (judgement). A bound that somebody states holds exactly."""


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Height of capitals and digits; the stricter of printer and eye holds, and the message names which.

    Signs alone (`+`, `-`) have no character height: not applicable.
    """
    label = evidence.label
    if label.text is not None and not any(character.isalnum() for character in label.text):
        return None
    height = label.character_height_mm
    for_eye = _is_stricter(limits.height_for_eye, limits.height, height)
    limit = limits.height_for_eye if for_eye else limits.height
    if limit.note is not None and "note" not in dict(limit.stated) and height >= NEARLY * limit.note:
        limit = replace(limit, note=None)
    wanted = max(bound for bound in (limits.height.doubtful, limits.height_for_eye.doubtful) if bound is not None)
    if height >= wanted and limits.height_for_eye.note is not None:
        wanted = limits.height_for_eye.note
    distance = f"{limits.reading_distance_mm:g} mm"
    asked_by_eye = f"{{bound}} is the least that is read surely at {distance}"
    asked_by_press = f"{{bound}} is the least for {limits.process.legend}"
    return Measurement(
        value=height,
        limit=limit,
        box_mm=label.box_mm,
        said=f"is {format_length(height)} high",
        asked=asked_by_eye if for_eye else asked_by_press,
        advice=(
            f"Make it {format_length(wanted)} high or more, with a pen of about "
            f"{format_length(limits.pen_for(wanted))}."
        ),
        asked_as_note=f"{{bound}} is read with ease at {distance}",
    )


def _is_stricter(eye: Limit, press: Limit, height: float) -> bool:
    """Whether the eye's bound of the worst severity reached is the one to name."""
    for eye_bound, press_bound in (
        (eye.unreadable, press.unreadable),
        (eye.doubtful, press.doubtful),
        (eye.note, press.note),
    ):
        below = [bound for bound in (eye_bound, press_bound) if bound is not None and height < bound - eye.tolerance]
        if below:
            return eye_bound is not None and max(below) == eye_bound
    return False


ANALYSER = Analyser(
    name="short-character",
    question=__doc__,
    rationale=(
        "Small characters fill in when printed and cannot be made out at the distance a board is held from the eye."
    ),
    measure=measure,
    notes_together="are {least} to {most} high, which can be read; {bound} is read with ease",
)
