"""Which parts fit both ways round, with nothing on the legend to tell which way is right?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.trade.limits import Limits

MOST_TOLD = 10
"""References that the sentence lists."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Once a side, as a list, of parts that have a first pin or a polarity and whose pads do not tell it."""
    found = []
    for side, references in evidence.unmarked:
        if not references:
            continue
        more = f" and {len(references) - MOST_TOLD} more" if len(references) > MOST_TOLD else ""
        many = len(references) > 1
        found.append(Measurement(
            value=float(len(references)),
            limit=limits.unnamed,
            box_mm=evidence.box_mm,
            said=(
                f"{len(references)} part{'s' * many} on the {side} {'show' if many else 'shows'} no first pin and no "
                f"polarity: {', '.join(references[:MOST_TOLD])}{more}"
            ),
            asked="ink and pads about each look the same turned half round",
            advice="Mark the first pin or the polarity, unless the part may be turned. A reversed part can be "
            "destroyed, and what it feeds with it.",
            side=side,
        ))
    return found


ANALYSER = Analyser(
    name="unmarked-direction",
    question=__doc__,
    rationale="Nobody sees on the finished board which way round the part belongs, and a test may come too late.",
    measure_board=measure,
)
