"""What was not read, not asked, and remarked on, in sentences that the summary and the page say alike."""

from labelcheck.review.contents import Review
from labelcheck.review.grouping import RemarkGroup
from labelcheck.review.wording import counted, in_unit, listed, printable, some_of
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.units import Unit

_NAMES_SHOWN = 6


def not_read(review: Review) -> tuple[str, ...]:
    """Labels and files that could not be read."""
    sentences = []
    for side in OUTER_SIDES:
        states = [state for state in review.labels if state.label.side is side]
        unread = sum(1 for state in states if state.label.text is None)
        if unread:
            sentences.append(
                f"{unread} of {counted(len(states), 'label')} on the {side}: the text was not recognised, "
                "but size, stroke and clearances were checked all the same."
            )
    files = [printable(entry.name) for entry in review.files if entry.role == "unread"]
    if files:
        sentences.append(f"{counted(len(files), 'file')} not read: {listed(files)}.")
    return tuple(sentences)


def not_asked(review: Review) -> tuple[str, ...]:
    """Questions that had nothing to go by, those with one reason together."""
    together: dict[tuple[Side, str], list[str]] = {}
    for one in review.not_applied:
        together.setdefault((one.side, one.why), []).append(one.analyser)
    return tuple(
        f"On the {side}, {listed(names)} could not be asked: {printable(sentence(why))}"
        for (side, why), names in together.items()
    )


def remark_told(group: RemarkGroup, unit: Unit) -> str:
    """The first of several remarks, and where the others stand."""
    text = printable(in_unit(sentence(str(group.first)), unit))
    count = len(group.remarks)
    if count == 1:
        return text
    lines = [str(remark.line) for remark in group.remarks[1:] if remark.line is not None]
    where = f" (lines {some_of(lines, _NAMES_SHOWN)})" if lines else ""
    return f"{text} {count - 1} more of this kind in the file{where}."


def sentence(text: str) -> str:
    """The text with a full stop at its end, where it has none."""
    stripped = text.strip()
    return stripped if stripped.endswith((".", "!", "?")) else stripped + "."
