"""Does a label stand between two parts so that it may be either one's?"""

import math
from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.undecided import Between, Undecided, names_between, undecided_references
from labelcheck.press.whose import mistaken_references
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.units import format_length

MOST_TOLD = 4
"""Names of pins that the sentence lists."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """References and names of pins as near to another part as to their own, where nothing else tells whose they are.

    Those that are told to stand nearer to another part are left to that question.
    """
    found: list[Measurement] = []
    nearer_mm = min(limits.mistaken_part.bounds, default=math.inf)
    alike_mm = max(limits.undecided_part.bounds, default=-math.inf)
    for side in OUTER_SIDES:
        labels = [one.label for one in evidence.on(side)]
        undecided = undecided_references(evidence.components, labels, side, alike_mm)
        told = {
            one.label.id for one in (mistaken_references(evidence.components, labels, side) if undecided else ())
            if one.own_mm - one.other_mm > nearer_mm
        }
        found += [_of_reference(one, limits) for one in undecided if one.label.id not in told]
    return [*found, *(_of_pins(one, limits) for one in names_between(evidence.pin_rows, alike_mm))]


def _of_reference(one: Undecided, limits: Limits) -> Measurement:
    own, other = f"{one.own.reference}", f"{one.other.reference}"
    apart = f", {format_length(one.own_mm)} from each" if one.own_mm > 0 else ""
    also = f'and "{other}" may be either one\'s too' if one.both_ways else "and that one has no reference nearer by"
    return Measurement(
        value=one.farther_mm,
        limit=limits.undecided_part,
        box_mm=one.label.box_mm,
        said=f"stands as near to {own} as to {other}{apart}, {also}",
        asked="nobody can tell which of the two it names",
        advice=f"Move it nearer to {own}, or farther from {other}.",
        side=Side(one.label.side),
        label=one.label,
    )


def _of_pins(one: Between, limits: Limits) -> Measurement:
    first, *more = one.named
    own, other = (part.reference or "the other part" for part in (first.component, one.other))
    named = [second.label.called() for second in more[: MOST_TOLD - 1]]
    left = len(more) - len(named)
    named += [f"{left} more"] if left else []
    too = f", like {' and '.join([', '.join(named[:-1]), named[-1]] if len(named) > 1 else named)}" if named else ""
    return Measurement(
        value=one.farther_mm,
        limit=limits.undecided_part,
        box_mm=first.label.box_mm,
        said=f"stands as near to a pin of {other} as to pin {first.pin.name} of {own}, whose net it says{too}",
        asked="whoever wires by the legend may take the wrong one of the two",
        advice=f"Move the row nearer to {own}, or draw a line between it and {other}.",
        at_least=Severity.DOUBTFUL,
        side=Side(first.label.side),
        label=first.label,
    )


ANALYSER = Analyser(
    name="between-two-parts",
    question=__doc__,
    rationale="Where two parts of a kind could own a label, whoever fits or repairs the board guesses.",
    measure_board=measure,
)
