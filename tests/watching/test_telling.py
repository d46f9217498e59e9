"""What a watch says of a check: the line, and below it what changed; nothing of it twice."""

from dataclasses import replace
from pathlib import Path

from labelcheck.review.changes import changes_between
from labelcheck.review.seen import FindingSeen, LabelSeen, Seen
from labelcheck.watching.messages import BoardTold, Came
from labelcheck.watching.telling import board_lines, change_lines


def label(number: int, text: str) -> LabelSeen:
    x = 5.0 * number
    return LabelSeen(f"T{number}", "top", text, (x, 5.0, x + 2, 6.0), 0.0, 1.0, 0.15)


def low(of: LabelSeen, height_mm: float = 0.8, **other: object) -> FindingSeen:
    message = f"{of.called()} is {height_mm:.2f} mm high; characters under 1.00 mm print poorly."
    plain = FindingSeen(
        f"F{of.id[1:]}", "short-character", "doubtful", of.id, "top", of.middle_mm, height_mm, 1.0, "mm", message,
        "Make it 1.00 mm high.",
    )  # fmt: skip
    return replace(plain, **other)


LABELS = [label(number, f"R{number}") for number in range(1, 13)]


def seen(*findings: FindingSeen, **other: object) -> Seen:
    plain = Seen("release", "points", "2026-01-31T12:00:00Z", "sha256:0", (), None, tuple(LABELS), findings, (),
                 frozenset(), ())  # fmt: skip
    return replace(plain, **other)


def told(old: Seen, new: Seen) -> list[str]:
    return change_lines(changes_between(old, new))


def test_new_faults_come_with_their_advice_and_fixed_ones_without() -> None:
    assert told(seen(low(LABELS[0])), seen(low(LABELS[1]))) == [
        'new      top     "R2" is 0.80 mm high; characters under 1.00 mm print poorly. Make it 1.00 mm high.',
        'fixed    top     "R1" is 0.80 mm high; characters under 1.00 mm print poorly.',
        "still    nothing",
    ]


def test_one_fault_of_many_labels_is_told_once() -> None:
    lines = told(seen(), seen(*(low(one) for one in LABELS)))
    assert len(lines) == 2
    assert 'The same fault on 11 more: "R2", "R3", "R4", "R5", "R6" and 6 others, see the review.' in lines[0]


def test_what_did_not_change_is_counted() -> None:
    assert told(seen(low(LABELS[0])), seen(low(LABELS[0]))) == ["no change to any fault (1 fault still there)"]
    assert told(seen(), seen()) == ["no change to any fault (no faults still there)"]


def test_worse_and_better() -> None:
    lines = told(seen(low(LABELS[0]), low(LABELS[1])), seen(low(LABELS[0], 0.6), low(LABELS[1], 0.9)))
    assert [line.split()[0] for line in lines] == ["worse", "better", "still"]


def test_what_went_away_without_being_mended_is_not_called_fixed() -> None:
    old = seen(low(LABELS[0]))
    gone = told(old, replace(seen(), labels=tuple(LABELS[1:])))
    assert gone[0] == 'gone with its label: short-character of "R1"'
    unasked = told(old, seen(not_applied=frozenset({("short-character", "top")})))
    assert unasked[0] == 'could not be asked again: short-character of "R1"'


def test_accepted_faults_are_neither_new_nor_still_there() -> None:
    accepted = low(LABELS[0], accepted=True)
    assert told(seen(low(LABELS[0])), seen(accepted))[0] == "accepted 1 fault by the limits file"
    assert told(seen(), seen(accepted)) == ["no change to any fault (no faults still there)"]


def test_other_limits_are_told_because_faults_come_and_go_by_them() -> None:
    assert "limits   other than before: process" in told(
        seen(limits=(("process", "inkjet"),)), seen(low(LABELS[0]), limits=(("process", "photo-imaged"),))
    )


def test_the_line_of_a_check() -> None:
    board = BoardTold(
        "points\n", Path("points.review"), "hold", "HOLD: 1 label cannot be read",
        "3 labels checked: 1 cannot be read", "2026-01-31T12:00:00Z", "sha256:0", Came.CHECKED, None,
    )  # fmt: skip
    first = "12:00:01  points\ufffd  HOLD: 1 label cannot be read (3 labels checked: 1 cannot be read)"
    assert board_lines(board, "12:00:01", "mm") == [first, "          written: points.review"]
    assert board_lines(replace(board, came=Came.CURRENT), "12:00:01", "mm") == [f"{first}; its review is up to date"]
    inches = board_lines(replace(board, changes=changes_between(seen(), seen(low(LABELS[0])))), "12:00:01", "inch")
    assert "0.0315 in high" in inches[1]
