"""Which parts have no reference on the legend, on a board that names its parts?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.whose import unnamed_parts
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import OUTER_SIDES

MOST_TOLD = 8
"""References that the sentence lists."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Once a side, as a list; nothing on a side that plainly draws few references or none."""
    found = []
    for side in OUTER_SIDES:
        labels = [one.label for one in evidence.on(side)]
        unnamed = unnamed_parts(evidence.components, labels, side)
        if not unnamed:
            continue
        more = f" and {len(unnamed) - MOST_TOLD} more" if len(unnamed) > MOST_TOLD else ""
        listed = ", ".join(unnamed[:MOST_TOLD]) + more
        many = len(unnamed) > 1
        found.append(Measurement(
            value=float(len(unnamed)),
            limit=limits.unnamed,
            box_mm=evidence.box_mm,
            said=f"{len(unnamed)} part{'s' * many} on the {side} {'have' if many else 'has'} no reference: {listed}",
            asked="the other parts of this side have theirs",
            advice=f"Draw {'them' if many else 'it'}, or leave {'them' if many else 'it'} out on purpose.",
            side=side,
        ))
    return found


ANALYSER = Analyser(
    name="unnamed-part",
    question=__doc__,
    rationale="A part without a name is found last when the board is tested or repaired.",
    measure_board=measure,
)
