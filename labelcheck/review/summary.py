"""The summary of a review for the terminal: the verdict first, then the worst, in sentences."""

import os
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from labelcheck.judging import SEVERITIES, Severity
from labelcheck.review.cautions import CAUTION
from labelcheck.review.contents import Review
from labelcheck.review.grouping import FindingGroup, RemarkGroup, group_findings, group_remarks
from labelcheck.review.verdict import (
    HEADINGS,
    cannot_be_read,
    origin_of,
    spread_of,
    tally,
    verdict_words,
    worst_of_labels,
)
from labelcheck.review.wording import counted, in_unit, listed, printable, some_of
from labelcheck.review.writing import PICTURES, RECORD
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.units import Unit

TERMINAL_COLUMNS = 100
"""Width of a summary where nobody says how wide the terminal is."""
_LEAST_COLUMNS = 40
_INDENT = "  "
_GROUPS_SHOWN = 12
"""Sentences a severity; what is beyond is counted and stands in the record."""
_NAMES_SHOWN = 6

_BOLD, _PLAIN = "\x1b[1m", "\x1b[0m"


@dataclass(frozen=True, slots=True)
class Terminal:
    """What the summary is shown on: its width in columns, and whether headings are to stand in bold type."""

    columns: int = TERMINAL_COLUMNS
    bold: bool = False


PLAIN_TERMINAL = Terminal()


def summarise(
    review: Review,
    unit: Unit = "mm",
    folder: Path | None = None,
    short: bool = False,
    terminal: Terminal = PLAIN_TERMINAL,
) -> str:
    """The whole summary, lines no wider than the terminal where words allow it, without a line feed at its end.

    `folder` is where the review was written; without one the summary does not speak of files. A short summary is
    one line.
    """
    if short:
        return f"{printable(review.set_name)}: {verdict_words(review)} ({tally(review.findings, len(review.labels))})"
    labels = {state.label.id: state.label for state in review.labels}
    groups = group_findings(review.findings, labels)
    sections = [
        _opening(review),
        *(_findings(severity, groups, unit) for severity in SEVERITIES),
        _section("Why it is on hold", (_item(reason) for reason in _holding(review, unit))),
        _section("Not read, not asked", (_item(sentence) for sentence in (*_not_read(review), *_not_asked(review)))),
        _section("Remarks", (_item(_remark(group, unit)) for group in group_remarks(review.remarks))),
        _section("Written", [] if folder is None else [_item(_written(folder))]),
        [CAUTION],
    ]
    columns = max(terminal.columns, _LEAST_COLUMNS)
    blocks = [_set_in_columns(lines, columns, terminal.bold) for lines in sections if lines]
    return "\n\n".join(blocks)


def _opening(review: Review) -> list[str]:
    sides = [(side, sum(1 for state in review.labels if state.label.side is side)) for side in OUTER_SIDES]
    where = listed([f"{count} on the {side}" for side, count in sides if count])
    return [
        verdict_words(review),
        printable(f"{review.set_name} · {origin_of(review)}"),
        tally(review.findings, len(review.labels)) + (f" ({where})." if where else "."),
    ]


def _findings(severity: Severity, groups: Sequence[FindingGroup], unit: Unit) -> list[str]:
    chosen = [group for group in groups if group.severity is severity]
    lines = [line for group in chosen[:_GROUPS_SHOWN] for line in _told(group, unit)]
    beyond = [finding for group in chosen[_GROUPS_SHOWN:] for finding in group.findings]
    if beyond:
        analysers = listed(sorted({finding.analyser for finding in beyond}))
        lines.append(_item(f"{counted(len(beyond), 'more finding')} of this kind in the record ({analysers})."))
    return _section(HEADINGS[severity], lines)


def _told(group: FindingGroup, unit: Unit) -> list[str]:
    """The worst finding's own sentence and advice, and who else has the same fault."""
    worst = group.worst
    advice = f" {worst.advice}" if worst.advice is not None else ""
    sentence = in_unit(_sentence(worst.message) + advice, unit)
    lines = [f"{_INDENT}{worst.id:<5}{worst.side:<7} {printable(sentence)}"]
    if len(group.findings) > 1:
        spread = spread_of(group, unit)
        measured = f" (all {len(group.findings)}: {spread})" if spread else ""
        others = some_of(group.called()[1:], _NAMES_SHOWN, "others, see the record")
        same = f"The same fault on {len(group.findings) - 1} more: {others}{measured}."
        lines.append(f"{_INDENT}{'':<5}{'':<7} {printable(in_unit(same, unit))}")
    return lines


def _holding(review: Review, unit: Unit) -> list[str]:
    """Every reason; nothing where findings alone hold the board, for then the first line has said it."""
    if not review.holding:
        return []
    unreadable = worst_of_labels(review.findings)[Severity.UNREADABLE]
    reasons = [f"{cannot_be_read(unreadable)}."] if unreadable else []
    return reasons + [printable(in_unit(_sentence(reason), unit)) for reason in review.holding]


def _not_read(review: Review) -> list[str]:
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
    return sentences


def _not_asked(review: Review) -> list[str]:
    """Questions that had nothing to go by, those with one reason together."""
    together: dict[tuple[Side, str], list[str]] = {}
    for one in review.not_applied:
        together.setdefault((one.side, one.why), []).append(one.analyser)
    return [
        f"On the {side}, {listed(names)} could not be asked: {printable(_sentence(why))}"
        for (side, why), names in together.items()
    ]


def _written(folder: Path) -> str:
    pictures = f"{', '.join(PICTURES)} (the marked-up board)"
    return f"{printable(str(folder))}{os.sep}: {pictures} and {RECORD} (everything found)."


def _remark(group: RemarkGroup, unit: Unit) -> str:
    text = printable(in_unit(_sentence(str(group.first)), unit))
    count = len(group.remarks)
    if count == 1:
        return text
    lines = [str(remark.line) for remark in group.remarks[1:] if remark.line is not None]
    where = f" (lines {some_of(lines, _NAMES_SHOWN)})" if lines else ""
    return f"{text} {count - 1} more of this kind in the file{where}."


def _sentence(text: str) -> str:
    stripped = text.strip()
    return stripped if stripped.endswith((".", "!", "?")) else stripped + "."


def _item(sentence: str) -> str:
    return f"{_INDENT}- {sentence}"


def _section(heading: str, lines: Iterable[str]) -> list[str]:
    """A heading with its lines; nothing at all where there are none."""
    content = list(lines)
    return [heading, *content] if content else []


def _set_in_columns(lines: Sequence[str], columns: int, bold: bool) -> str:
    wrapped = []
    for number, line in enumerate(lines):
        hanging = " " * _hanging(line)
        text = textwrap.fill(line, columns, subsequent_indent=hanging, break_long_words=False, break_on_hyphens=False)
        heading = number == 0 and not line.startswith(_INDENT) and len(lines) > 1
        wrapped.append(f"{_BOLD}{text}{_PLAIN}" if bold and heading else text)
    return "\n".join(wrapped)


def _hanging(line: str) -> int:
    """Where the second row of a wrapped line begins: below the first letter of its sentence."""
    if line.startswith(f"{_INDENT}- "):
        return len(_INDENT) + 2
    return len(_INDENT) + 5 + 7 + 1 if line.startswith(_INDENT) else 0
