"""Is every label there that the board must carry, and is it as high as it must be?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.labels.label import Label
from labelcheck.labels.wanted import labels_that_carry
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.trade.limits import HEIGHT_TOLERANCE_MM, Limit, Limits
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import MustCarry, Weight
from labelcheck.trade.units import format_length


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Labels of the limits file's `[[must-carry]]` that no label of the board is, or that are too small.

    Where no legend was read at all the check is on hold for that, and nothing is told to be missing.
    """
    if not evidence.legends:
        return ()
    return [told for wanted in limits.must_carry for told in _measure_one(wanted, evidence)]


def _measure_one(wanted: MustCarry, evidence: BoardEvidence) -> list[Measurement]:
    sides = OUTER_SIDES if wanted.side is None else (wanted.side,)
    labels = [one.label for side in sides for one in evidence.on(side)]
    carrying = labels_that_carry(wanted.text, labels)
    if not carrying:
        return [_missing(wanted, [label for label in labels if label.text is None], evidence)]
    highest = max(carrying, key=lambda label: label.character_height_mm)
    return [] if wanted.height_mm is None else [_height(wanted, wanted.height_mm, highest)]


def _missing(wanted: MustCarry, unread: Sequence[Label], evidence: BoardEvidence) -> Measurement:
    where = "on either side" if wanted.side is None else f"on the {wanted.side}"
    among = {0: "", 1: "; one label there was not read and may be it"}.get(
        len(unread), f"; {len(unread)} labels there were not read and may be among them"
    )
    return Measurement(
        value=0.0,
        limit=Limit("labels of a text that must be there", "count", 1.0, None, None, wanted.source),
        box_mm=evidence.box_mm,
        said=f'no label {where} reads "{wanted.text}"{among}',
        asked=_asked(wanted, "the limits file asks for it"),
        advice="Put it on the legend, or read the unread labels yourself." if unread else "Put it on the legend.",
        side=wanted.side if wanted.side is not None else evidence.legends[0],
        matters=Weight.MORE,
    )


def _height(wanted: MustCarry, asked_mm: float, label: Label) -> Measurement:
    return Measurement(
        value=label.character_height_mm,
        limit=Limit("height of a label that must be there", "mm", asked_mm, None, None, wanted.source,
                    HEIGHT_TOLERANCE_MM),
        box_mm=label.box_mm,
        said=f"is {format_length(label.character_height_mm)} high",
        asked=_asked(wanted, f"the limits file asks for {format_length(asked_mm)}"),
        advice=f"Make it {format_length(asked_mm)} high or more.",
        side=Side(label.side),
        label=label,
        matters=Weight.MORE,
    )


def _asked(wanted: MustCarry, asked: str) -> str:
    """What is asked and why, as a pattern: braces of the person's own words must not count as such."""
    why = f" ({wanted.because})" if wanted.because is not None else ""
    return f"{asked}{why}".replace("{", "{{").replace("}", "}}")


ANALYSER = Analyser(
    name="missing-label",
    question=__doc__,
    rationale=(
        "A board without its revision, polarity or product name is built, tested and returned as the wrong one; "
        "what is missing draws no eye."
    ),
    measure_board=measure,
)
