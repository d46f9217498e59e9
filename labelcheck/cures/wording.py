"""A cure in a sentence, as a person sees it on the label's side."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from labelcheck.cures.along_pins import ROWS
from labelcheck.cures.cure import THE_EDGE, Cure
from labelcheck.cures.curing import WHOSE, asks_for_cure
from labelcheck.judging import Finding
from labelcheck.labels.label import Label
from labelcheck.trade.sides import Side

MOST_NAMED = 3


def with_cures(
    findings: Iterable[Finding], cures: Sequence[Cure], labels: Mapping[str, Label]
) -> tuple[Finding, ...]:
    """The findings, with the computed cure of their label for an advice where there is one.

    Where a reference belongs is told even where there is no room for it.
    """
    of = {cure.label: cure for cure in cures}
    return tuple(
        replace(finding, advice=told(of[finding.label], labels, of))
        if finding.label in of and asks_for_cure(finding) and _is_of(of[finding.label], finding) else finding
        for finding in findings
    )


def _is_of(cure: Cure, finding: Finding) -> bool:
    """Whether a cure of the finding's label says what to do about the finding."""
    if finding.analyser in ROWS and not (finding.analyser in WHOSE and cure.found):
        return cure.together != ()
    return cure.found or finding.analyser not in WHOSE


def told(cure: Cure, labels: Mapping[str, Label], cures: Mapping[str, Cure]) -> str:
    """What to do, for a person: `Make it 1.17 mm high and move it 0.8 mm left and 0.3 mm up.`

    `cures` are those of all labels, for some of them change together.
    """
    label = labels[cure.label]
    if cure.together:
        return _along_pins(cure, labels, [cures[one] for one in cure.together])
    if cure.cleared_by is not None:
        return f"It is clear once {labels[cure.cleared_by].called()} is changed as advised there."
    if cure.over_with is not None:
        other = labels[cure.over_with].called()
        return f"Change it over with {other}: move it {way(cure.shift_mm, label.side)}, and {other} where it stood."
    parts = _changes(cure, label)
    if not cure.found:
        return f"{_sentence(parts)} {_no_place(cure, bool(parts))}".strip()
    if cure.moved:
        parts.append(f"move it {way(cure.shift_mm, label.side)}")
    where = "" if not cure.moved else ", the nearest free place"
    return _sentence(parts, where)


def _along_pins(cure: Cure, labels: Mapping[str, Label], row: Sequence[Cure]) -> str:
    """Which labels of a row of pins go which way, and to which pins."""
    how = way(cure.shift_mm, labels[cure.label].side)
    if cure.at_pin is None:
        all_of_it = "it" if len(row) == 1 else f"all {len(row)} labels of the row"
        return f"Move {all_of_it} {how}, nearer to the pins of their own row."
    first, *others = sorted(row, key=lambda one: one.label != cure.label)
    if cure.over_with is not None:
        other = labels[cure.over_with].called()
        return f"Change it over with {other}: move it {how}, to pin {cure.at_pin}, and {other} the same way back."
    if len(row) > 2 and all(one.shift_mm == cure.shift_mm for one in row):
        lead = labels[cure.label].called()
        return f"Move these {len(row)} labels {how}, each to its own pin: {lead} to pin {cure.at_pin}."
    moves = [f"Move it {how}, to pin {first.at_pin}"] + [
        f"{labels[one.label].called()} {way(one.shift_mm, labels[one.label].side)}, to pin {one.at_pin}"
        for one in others[: MOST_NAMED - 1]
    ]
    left = len(row) - len(moves)
    moves += [f"{left} more to the pins that they name"] if left else []
    return f"{'; '.join(moves)}."


def way(shift_mm: tuple[float, float], side: Side) -> str:
    """`0.8 mm left and 0.3 mm up`; the bottom is seen mirrored."""
    x, y = shift_mm
    if side is Side.BOTTOM:
        x = -x
    told = []
    if abs(x) > 1e-6:
        told.append(f"{_length(abs(x))} {'right' if x > 0 else 'left'}")
    if abs(y) > 1e-6:
        told.append(f"{_length(abs(y))} {'up' if y > 0 else 'down'}")
    return " and ".join(told)


def _changes(cure: Cure, label: Label) -> list[str]:
    parts = []
    with_pen = "" if cure.pen_mm is None else f"{cure.pen_mm:.2f} mm"
    pen = "a pen" if label.drawn_as == "strokes" else "strokes"
    if cure.height_mm is not None:
        parts.append(f"make it {cure.height_mm:.2f} mm high" + (f" with {pen} of {with_pen}" if with_pen else ""))
    elif with_pen:
        parts.append(f"draw it with {pen} of {with_pen}")
    if cure.spacing_mm is not None:
        parts.append(f"set its characters {cure.spacing_mm:.2f} mm further apart")
    if cure.mirrored:
        parts.append("mirror it")
    if cure.turn_deg == 180:
        parts.append("turn it by half a turn")
    elif cure.turn_deg:
        parts.append(f"turn it a quarter turn to the {'left' if cure.turn_deg == 90 else 'right'}")
    return parts


def _no_place(cure: Cure, changed: bool) -> str:
    kinds = list(cure.in_the_way[:MOST_NAMED])
    named = " and ".join([", ".join(kinds[:-1]), kinds[-1]] if len(kinds) > 1 else kinds)
    are = "is" if kinds == [THE_EDGE] else "are"
    way = f": {named} {are} in the way" if named else ""
    so = " for it at that size" if changed else " for it"
    if cure.looked_mm > 0:
        return f"No place is free{so} within {cure.looked_mm:g} mm{way}."
    return f"There is no room{so} where it stands{way}."


def _sentence(parts: Sequence[str], end: str = "") -> str:
    if not parts:
        return ""
    text = " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
    return f"{text[0].upper()}{text[1:]}{end}."


def _length(length_mm: float) -> str:
    return f"{length_mm:.2f}".rstrip("0").rstrip(".") + " mm"
