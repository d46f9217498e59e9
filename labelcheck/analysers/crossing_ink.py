"""Is the label struck through by another label or by a drawing?"""

from labelcheck.judging import Analyser, Measurement, characters_named
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Foreign ink that touches a character and runs through it, as a share of the character's own ink."""
    crossing = evidence.crossing
    if crossing is None:
        return None
    by = crossing.by_label.called() if crossing.by_label is not None else "a drawn line"
    whose = characters_named(evidence.label, crossing.characters)
    where = "" if len(crossing.characters) == len(evidence.label.marks) else f" at {whose}"
    return Measurement(
        value=crossing.fraction,
        limit=limits.crossed_ink,
        box_mm=crossing.box_mm,
        said=f"is crossed by {by}{where}: foreign ink of {crossing.fraction * 100:.0f} % of the character's own",
        asked="{bound} can still be told apart",
        advice="Move one of the two, or break the line around the label.",
    )


ANALYSER = Analyser(
    name="crossing-ink",
    question=__doc__,
    rationale="All ink is one colour: a line through a character makes another character of it, or a blot.",
    measure=measure,
)
