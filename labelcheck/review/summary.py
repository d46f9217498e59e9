"""The summary of a review for the terminal: the verdict first, then the worst, in sentences."""

import os
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from labelcheck.judging import SEVERITIES, Severity
from labelcheck.review.cautions import CAUTION
from labelcheck.review.contents import Review
from labelcheck.review.grouping import FindingGroup, group_findings, group_remarks
from labelcheck.review.sentences import not_asked, not_read, remark_told, sentence
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
from labelcheck.review.writing import PAGE, PICTURES, RECORD
from labelcheck.trade.sides import OUTER_SIDES
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
    """What the summary is shown on: its width in columns, and whether headings are to stand in bold type.

    `cautioned` is whether the caution stands elsewhere on it: below several summaries it stands once.
    """

    columns: int = TERMINAL_COLUMNS
    bold: bool = False
    cautioned: bool = False


PLAIN_TERMINAL = Terminal()


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One board of several, for the table at the end; `review` is None where it could not be checked."""

    name: str
    review: Review | None
    seconds: float


def batch_table(lines: Sequence[BatchLine], terminal: Terminal = PLAIN_TERMINAL) -> str:
    """What became of each board, one line each, without a line feed at the end."""
    rows = [("set", "verdict", "cannot be read", "doubtful", "worth a look", "seconds")]
    for line in lines:
        if line.review is None:
            rows.append((line.name, "not checked", "-", "-", "-", f"{line.seconds:.1f}"))
            continue
        worst = worst_of_labels(line.review.findings)
        counts = [str(worst[severity]) for severity in SEVERITIES]
        rows.append((line.name, str(line.review.verdict), counts[0], counts[1], counts[2], f"{line.seconds:.1f}"))
    others = [max(len(row[place]) for row in rows) for place in range(1, 6)]
    room = max(terminal.columns, _LEAST_COLUMNS) - sum(others) - 2 * len(others)
    names = [_cut(printable(row[0]), max(room, 8)) for row in rows]
    width = max(len(name) for name in names)
    return "\n".join(
        "  ".join(
            [
                name.ljust(width),
                row[1].ljust(others[0]),
                *(cell.rjust(space) for cell, space in zip(row[2:], others[1:], strict=True)),
            ]
        )
        for name, row in zip(names, rows, strict=True)
    )


def _cut(name: str, room: int) -> str:
    """The name, its middle left out where it is too long: its end tells one set from the next."""
    return name if len(name) <= room else f"{name[: room // 2 - 1]}…{name[len(name) - (room - room // 2) :]}"


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
        _accepted(groups, unit),
        _section("Why it is on hold", (_item(reason) for reason in _holding(review, unit))),
        _section("Not read, not asked", (_item(told) for told in (*not_read(review), *not_asked(review)))),
        _section("Remarks", (_item(remark_told(group, unit)) for group in group_remarks(review.remarks))),
        _section("Written", [] if folder is None else [_item(_written(folder))]),
        [] if terminal.cautioned else [CAUTION],
    ]
    return laid_out([lines for lines in sections if lines], terminal)


def batch_end(lines: Sequence[BatchLine], terminal: Terminal = PLAIN_TERMINAL) -> str:
    """What stands once below the summaries of several boards: the caution, and the table."""
    caution = "" if all(line.review is None for line in lines) else f"{laid_out([[CAUTION]], terminal)}\n\n"
    return f"{caution}{batch_table(lines, terminal)}"


def laid_out(sections: Iterable[Sequence[str]], terminal: Terminal) -> str:
    """Sections of lines, each under its heading, wrapped to the terminal, with empty lines between."""
    columns = max(terminal.columns, _LEAST_COLUMNS)
    return "\n\n".join(_set_in_columns(lines, columns, terminal.bold) for lines in sections)


def _opening(review: Review) -> list[str]:
    sides = [(side, sum(1 for state in review.labels if state.label.side is side)) for side in OUTER_SIDES]
    where = listed([f"{count} on the {side}" for side, count in sides if count])
    return [
        verdict_words(review),
        printable(f"{review.set_name} · {origin_of(review)}"),
        tally(review.findings, len(review.labels)) + (f" ({where})." if where else "."),
    ]


def _findings(severity: Severity, groups: Sequence[FindingGroup], unit: Unit) -> list[str]:
    chosen = [group for group in groups if group.severity is severity and not group.accepted]
    lines = [line for group in chosen[:_GROUPS_SHOWN] for line in _told(group, unit)]
    beyond = [finding for group in chosen[_GROUPS_SHOWN:] for finding in group.findings]
    if beyond:
        asked = listed(sorted({finding.analyser for finding in beyond}))
        lines.append(_item(f"{counted(len(beyond), 'more finding')}, told in review.html and the record ({asked})."))
    return _section(HEADINGS[severity], lines)


def _told(group: FindingGroup, unit: Unit) -> list[str]:
    """The worst finding's own sentence and advice, and who else has the same fault."""
    worst = group.worst
    advice = f" {worst.advice}" if worst.advice is not None else ""
    told = in_unit(sentence(worst.message) + advice, unit)
    lines = [f"{_INDENT}{worst.id:<5}{worst.side:<7} {printable(told)}"]
    if len(group.findings) > 1:
        spread = spread_of(group, unit)
        measured = f" (all {len(group.findings)}: {spread})" if spread else ""
        others = some_of(group.called()[1:], _NAMES_SHOWN, "others, see the record")
        ids = f"{group.findings[1].id} to {group.findings[-1].id}"
        same = f"The same fault on {len(group.findings) - 1} more ({ids}): {others}{measured}."
        lines.append(f"{_INDENT}{'':<5}{'':<7} {printable(in_unit(same, unit))}")
    return lines


def _accepted(groups: Sequence[FindingGroup], unit: Unit) -> list[str]:
    """What the limits file accepts, and why: one line a reason and fault."""
    chosen = [group for group in groups if group.accepted]
    lines = []
    for group in chosen[:_GROUPS_SHOWN]:
        worst, accepted = group.worst, group.worst.accepted
        others = f" (and {len(group.findings) - 1} alike)" if len(group.findings) > 1 else ""
        why = "" if accepted is None else f' Accepted in {accepted.source}: "{accepted.because}"'
        told = f"{sentence(in_unit(worst.message, unit))[:-1]}{others}.{why}"
        lines.append(f"{_INDENT}{worst.id:<5}{worst.side:<7} {printable(told)}")
    if len(chosen) > _GROUPS_SHOWN:
        beyond = sum(len(group.findings) for group in chosen[_GROUPS_SHOWN:])
        lines.append(_item(f"{counted(beyond, 'more accepted finding')} in the record."))
    return _section("Accepted, not counted", lines)


def _holding(review: Review, unit: Unit) -> list[str]:
    """Every reason; nothing where findings alone hold the board, for then the first line has said it."""
    if not review.holding:
        return []
    unreadable = worst_of_labels(review.findings)[Severity.UNREADABLE]
    reasons = [f"{cannot_be_read(unreadable)}."] if unreadable else []
    return reasons + [printable(in_unit(sentence(reason), unit)) for reason in review.holding]


def _written(folder: Path) -> str:
    pictures = f"{', '.join(PICTURES)} (the marked-up board)"
    page = f"{PAGE} (all of it in one page, to read, attach and print)"
    return f"{printable(str(folder))}{os.sep}: {page}, {pictures} and {RECORD} (the same for programs)."


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
