"""Do the labels along a row of pins say what the files say that those pins are?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.pin_rows import PinRow
from labelcheck.press.signal_names import words_of
from labelcheck.press.swapped_names import Confusion, confusions
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import Side

MOST_TOLD = 4
"""Labels that a sentence tells one by one."""
FROM_EITHER_END = frozenset(
    ("TX", "RX", "MOSI", "MISO", "RTS", "CTS", "DTR", "DSR", "DIN", "DOUT", "SDI", "SDO", "IN", "OUT")
)
"""Names that change with the end they are seen from: what this board sends is what the other one receives."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Swapped pairs and shifted rows, one measurement a row; nothing where the files do not tell what pins are.

    A label that differs from the name of its net and says the name of no other pin is a matter of naming, and none.
    """
    return [_measured(confusion, evidence.pin_rows, limits) for confusion in confusions(evidence.pin_rows)]


def _measured(confusion: Confusion, rows: Sequence[PinRow], limits: Limits) -> Measurement:
    wrong = confusion.misplaced
    labels = [one.named.label for one in wrong]
    boxes = [label.box_mm for label in labels]
    seen_from_an_end = all(words_of(str(label.text)) & FROM_EITHER_END for label in labels)
    return Measurement(
        value=float(len(wrong)),
        limit=limits.misplaced_names,
        box_mm=(
            min(box[0] for box in boxes), min(box[1] for box in boxes),
            max(box[2] for box in boxes), max(box[3] for box in boxes),
        ),
        said=_said(confusion),
        asked=(
            "unless they are meant as seen from the other end of the cable, it is wired the wrong way round"
            if seen_from_an_end else "whoever wires by the legend connects the wrong pins"
        ),
        advice=_advice(confusion),
        at_worst=Severity.DOUBTFUL if seen_from_an_end else Severity.UNREADABLE,
        side=Side(labels[0].side),
        label=labels[0],
    )


def _said(confusion: Confusion) -> str:
    """`stands at pin 3 of J5, which the files call B1, and "B1" at pin 4, called B2`."""
    first, *others = confusion.misplaced
    part = f" of {confusion.component.reference}" if confusion.component.reference is not None else ""
    told = [f'{one.named.label.called()} at pin {one.named.pin.name}, called {one.own_name}' for one in others]
    more = len(told) - (MOST_TOLD - 1)
    if more > 0:
        told = [*told[: MOST_TOLD - 1], f"{more} more likewise"]
    head = f"stands at pin {first.named.pin.name}{part}, which the files call {first.own_name}"
    return head if not told else f"{head}, {', '.join(told[:-1])}{', ' if told[:-1] else ''}and {told[-1]}"


def _advice(confusion: Confusion) -> str:
    """What to do where no change with its numbers is worked out, see `labelcheck/cures`."""
    wrong, right = confusion.misplaced, confusion.right_pins()
    if confusion.shift is not None and len(wrong) > 2:
        pins = "one pin" if abs(confusion.shift) == 1 else f"{abs(confusion.shift)} pins"
        towards = right[-1] if confusion.shift > 0 else right[0]
        return f"Move these {len(wrong)} labels along by {pins}, towards pin {towards.name}."
    if len(wrong) == 2 and right[0] is wrong[1].named.pin:
        return f"Change the two over: {wrong[0].named.label.called()} belongs at pin {right[0].name}."
    return "Put " + ", ".join(
        f"{one.named.label.called()} at pin {pin.name}"
        for one, pin in list(zip(wrong, right, strict=True))[:MOST_TOLD]
    ) + ", or correct the net."


ANALYSER = Analyser(
    name="pin-order",
    question=__doc__,
    rationale=(
        "The legend is the manual that the board carries: swapped names or a row shifted by one pin cost whoever "
        "wires by them a board, or what is connected to it."
    ),
    measure_board=measure,
)
