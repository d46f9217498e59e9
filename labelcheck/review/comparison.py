"""Two checks of one board in words: what got worse, what was mended, what became of every label."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from labelcheck.judging import SEVERITIES, Severity
from labelcheck.review.changes import Changes, Fault, StillThere, faults_alike
from labelcheck.review.matching import SAME_SIZE_MM, LabelMatching, LabelPair
from labelcheck.review.seen import FindingSeen, LabelSeen, Seen
from labelcheck.review.summary import PLAIN_TERMINAL, Terminal, laid_out
from labelcheck.review.wording import amount, counted, in_unit, listed, printable, short_fingerprint, some_of
from labelcheck.trade.units import Unit

OTHER_HEIGHT_MM = 0.02
"""A character height that differs by less is the same one measured twice (records round to 0.001 mm; judgement)."""
OTHER_STROKE_MM = 0.01
"""The same for a stroke width."""
OTHER_TURN_DEG = 1.0
_SHOWN = 12
"""Sentences a heading; what is beyond is counted."""
_SERIOUS = (str(Severity.UNREADABLE), str(Severity.DOUBTFUL))


@dataclass(frozen=True, slots=True)
class LabelChange:
    """One label that is on both boards and not the same."""

    pair: LabelPair
    how: tuple[str, ...]
    """Ends of a sentence that begins with the label: `moved 1.20 mm right`, `was "R7"`."""


def label_changes(labels: LabelMatching) -> tuple[LabelChange, ...]:
    """Labels whose text is another, then those that changed otherwise, then those that only moved."""
    changed = [change for pair in labels.pairs if (change := LabelChange(pair, _how(pair))).how]

    def only_moved(change: LabelChange) -> bool:
        return change.pair.moved and len(change.how) == 1

    def renamed(change: LabelChange) -> bool:
        return change.pair.renamed or change.pair.told_otherwise

    return tuple(sorted(changed, key=lambda change: (not renamed(change), only_moved(change))))


def worse(changes: Changes) -> tuple[str, ...]:
    """What got worse, as ends of a sentence: `2 findings are new`; nothing where nothing did.

    A note is a hint and makes nothing worse; nor does a finding that the limits file accepts. A question that can no
    longer be asked does: nobody knows the answer.
    """
    new = [fault for fault in changes.new if _counts(fault.finding)]
    still = [one for one in changes.still if got_worse(one)]
    open_again = [one for one in changes.still if no_longer_accepted(one)]
    told = []
    if new:
        told.append(f"{counted(len(new), 'finding')} {'is' if len(new) == 1 else 'are'} new")
    if still:
        told.append(f"{counted(len(still), 'finding')} got worse")
    if open_again:
        told.append(
            f"{counted(len(open_again), 'finding')} {'is' if len(open_again) == 1 else 'are'} no longer accepted"
        )
    if changes.unasked:
        told.append(f"{counted(len(changes.unasked), 'finding')} could not be looked for again")
    if changes.holding:
        told.append(f"there {'is' if len(changes.holding) == 1 else 'are'} "
                    f"{counted(len(changes.holding), 'new reason')} to hold the board")
    if changes.verdict == ("release", "hold") and not told:
        told.append("the verdict went from release to hold")
    return tuple(told)


def got_worse(one: StillThere) -> bool:
    """Whether a fault that was there before counts for more now."""
    return _counts(one.new.finding) and one.went == "worse"


def no_longer_accepted(one: StillThere) -> bool:
    """Whether a fault is as it was, and somebody has to decide about it again."""
    return _counts(one.new.finding) and one.old.finding.accepted and one.went != "worse"


def _got_better(one: StillThere) -> bool:
    return one.went == "better" and not no_longer_accepted(one)


def comparison_told(old: Seen, new: Seen, changes: Changes, unit: Unit, terminal: Terminal = PLAIN_TERMINAL) -> str:
    """The whole comparison for a terminal, without a line feed at its end."""
    sections = [
        _opening(old, new, changes, unit),
        _section("New", _faults(changes.new, unit)),
        _section("Got worse", [_still(one, unit) for one in changes.still if got_worse(one)]),
        _no_longer_accepted(old, new, changes, unit),
        _section("Not asked again", _faults(changes.unasked, unit)),
        _section("New reasons to hold", [_item(in_unit(reason, unit)) for reason in changes.holding]),
        _section("Fixed", _faults(changes.fixed, unit, advice=False)),
        _section("Gone with its label", _faults(changes.gone, unit, advice=False)),
        _section("Got better, not gone", [_still(one, unit) for one in changes.still if _got_better(one)]),
        _section("Still there", _still_there(changes)),
        _section("Labels", _labels(changes.labels, unit)),
        _section("Behind it", _behind(changes, unit)),
    ]
    return laid_out([lines for lines in sections if lines], terminal)


def comparison_line(old: Seen, new: Seen, changes: Changes) -> str:
    """The comparison in one line."""
    return printable(f"{old.set_name} -> {new.set_name}: {headline(changes)}")


def _opening(old: Seen, new: Seen, changes: Changes, unit: Unit) -> list[str]:
    lines = [headline(changes)]
    for word, seen in (("old", old), ("new", new)):
        when = seen.checked_at.replace("T", " ").replace("Z", " UTC")
        lines.append(
            printable(
                f"{word}: {seen.set_name} · {seen.verdict} · {counted(len(seen.labels), 'label')}, "
                f"{counted(len(seen.findings), 'finding')} · checked {when} · {short_fingerprint(seen.fingerprint)}"
            )
        )
    x, y = changes.labels.shift_mm
    if (x, y) != (0.0, 0.0):
        told = f"The whole board lies {x:+.2f}, {y:+.2f} mm from where it lay; no label counts as moved for that."
        lines.append(in_unit(told, unit))
    return lines


def headline(changes: Changes) -> str:
    """Whether it got better or worse, and by how much, in one sentence."""
    bad = worse(changes)
    mended = len(changes.fixed)
    good = f"{counted(mended, 'finding')} {'is' if mended == 1 else 'are'} fixed" if mended else ""
    if bad:
        return f"WORSE: {listed(bad)}{f'; {good}' if good else ''}"
    if good:
        return f"BETTER: {good}, and nothing got worse"
    labels = changes.labels
    if changes.new or labels.added or labels.removed or label_changes(labels):
        return "NO WORSE: what changed makes nothing harder to read"
    return "SAME: no label and no finding differs"


def _faults(faults: Sequence[Fault], unit: Unit, advice: bool = True) -> list[str]:
    """A line for each kind of fault: the worst one's own sentence, and who else has the same."""
    lines = []
    for alike in faults_alike(faults):
        others = ""
        if len(alike) > 1:
            names = [one.finding.id if one.label is None else one.label.called() for one in alike[1:]]
            others = printable(in_unit(f" The same fault on {len(names)} more: {some_of(names, _SHOWN)}.", unit))
        lines.append(_fault(alike[0], unit, advice) + others)
    return lines


def _fault(fault: Fault, unit: Unit, advice: bool = True) -> str:
    finding = fault.finding
    sentence = finding.message
    if advice and finding.advice is not None:
        sentence += f" {finding.advice}"
    if finding.accepted:
        sentence += " Accepted by the limits file."
    severity = finding.severity[:1].upper() + finding.severity[1:]
    return f"  {finding.id:<5}{finding.side:<7} {printable(in_unit(f'{severity}: {sentence}', unit))}"


def _no_longer_accepted(old: Seen, new: Seen, changes: Changes, unit: Unit) -> list[str]:
    """Faults that are as they were and open again, and why that may be."""
    open_again = [one for one in changes.still if no_longer_accepted(one)]
    lines = _section("No longer accepted", [_fault(one.new, unit) for one in open_again])
    if lines and old.set_name != new.set_name:
        told = (
            f'An acceptance belongs to the set of its name, "{old.set_name}". Where "{new.set_name}" is the same '
            'board, write a pattern for both names in the limits file: board = "NAME*".'
        )
        lines.append(_item(printable(told)))
    return lines


def _still(one: StillThere, unit: Unit) -> str:
    before, after = one.old.finding, one.new.finding
    told = ""
    if before.severity != after.severity:
        told = f" Before, it was told as {before.severity}."
    elif before.measured is not None and after.measured is not None:
        told = f" It was {amount(before.measured, before.unit.replace('count', ''), unit)}."
    if before.accepted and not after.accepted:
        told += " It is no longer accepted."
    return _fault(one.new, unit) + told


def _still_there(changes: Changes) -> list[str]:
    same = [one for one in changes.still if one.went == "same" and not no_longer_accepted(one)]
    if not same:
        return []
    counts = [
        f"{count} {severity}"
        for severity in map(str, SEVERITIES)
        if (count := sum(1 for one in same if one.new.finding.severity == severity))
    ]
    called = (one.new.label.called() if one.new.label is not None else one.new.finding.id for one in same)
    names = list(dict.fromkeys(called))
    return [_item(f"{counted(len(same), 'finding')} as before ({listed(counts)}): {some_of(names, _SHOWN)}.")]


def _labels(labels: LabelMatching, unit: Unit) -> list[str]:
    changed = label_changes(labels)
    lines = []
    for word, chosen in (("new", labels.added), ("gone", labels.removed)):
        for side in ("top", "bottom"):
            names = [label.called() for label in chosen if label.side == side]
            if names:
                told = f"{counted(len(names), 'label')} {word} on the {side}: {some_of(names, _SHOWN)}."
                lines.append(_item(printable(in_unit(told, unit))))
    for change in changed[:_SHOWN]:
        told = f"{change.pair.new.called()} on the {change.pair.new.side} {listed(change.how)}."
        lines.append(_item(printable(in_unit(told[0].upper() + told[1:], unit))))
    if len(changed) > _SHOWN:
        others = [change.pair.new.called() for change in changed[_SHOWN:]]
        lines.append(_item(printable(f"{counted(len(others), 'more label')} changed: {some_of(others, _SHOWN)}.")))
    return lines


def _behind(changes: Changes, unit: Unit) -> list[str]:
    """Files and limits that differ, and reasons to hold that are gone."""
    mended = [printable(in_unit(reason, unit)) for reason in changes.no_longer_holding]
    lines = [_item(f"No longer a reason to hold: {reason}") for reason in mended]
    if changes.limits:
        told = f"Limits that differ, by which findings come and go too: {some_of(changes.limits, _SHOWN)}."
        lines.append(_item(printable(told)))
    if changes.files:
        names = some_of(changes.files, _SHOWN // 2)
        lines.append(_item(printable(f"{counted(len(changes.files), 'file')} changed, new or gone: {names}.")))
    return lines


def _how(pair: LabelPair) -> tuple[str, ...]:
    old, new = pair.old, pair.new
    how = []
    if pair.told_otherwise:
        how.append(_joined(old, new))
    elif pair.renamed:
        how.append(_renamed(old, new))
    if old.side != new.side:
        how.append(f"was on the {old.side}")
    elif pair.moved and not _spread(pair):
        how.append(f"moved {_move_words(pair.moved_mm, new.side)}")
    how += _resized("character height", old.character_height_mm, new.character_height_mm, OTHER_HEIGHT_MM)
    how += _resized("stroke", old.stroke_mm, new.stroke_mm, OTHER_STROKE_MM)
    turned = (new.turned_deg - old.turned_deg + 180) % 360 - 180
    if abs(turned) > OTHER_TURN_DEG:
        how.append(f"was turned by {abs(turned):.0f}°")
    return tuple(how)


def _joined(old: LabelSeen, new: LabelSeen) -> str:
    """One label before and several now, or the other way round: where a label ends is the reader's judgement."""
    if not new.parts:
        return f"was told as {old.called()} before"
    return "were told as one unread label before" if old.text is None else f"were told as {old.called()} before"


def _spread(pair: LabelPair) -> bool:
    """Whether parts stand otherwise to one another than before, so that no one way tells where they went."""
    (x0, y0, x1, y1), (x2, y2, x3, y3) = pair.old.box_mm, pair.new.box_mm
    return pair.told_otherwise and math.dist((x1 - x0, y1 - y0), (x3 - x2, y3 - y2)) > SAME_SIZE_MM


def _renamed(old: LabelSeen, new: LabelSeen) -> str:
    if old.text is None:
        return "was not read before"
    return f'was "{old.text}"' if new.text is not None else f'was read "{old.text}" before'


def _resized(what: str, old: float | None, new: float | None, least: float) -> list[str]:
    if old is None or new is None or abs(new - old) <= least:
        return []
    return [f"has a {what} of {new:.2f} mm instead of {old:.2f} mm"]


def _move_words(move: tuple[float, float], side: str) -> str:
    """`1.20 mm right and 0.30 mm up`, as one sees it who looks at that side."""
    across, up = move if side == "top" else (-move[0], move[1])
    parts = [
        f"{abs(value):.2f} mm {word[value < 0]}"
        for value, word in ((across, ("right", "left")), (up, ("up", "down")))
        if abs(value) >= 0.005
    ]
    return " and ".join(parts) if parts else f"{math.hypot(*move):.2f} mm"


def _counts(finding: FindingSeen) -> bool:
    return finding.severity in _SERIOUS and not finding.accepted


def _section(heading: str, lines: Iterable[str]) -> list[str]:
    content = list(lines)
    return [heading, *_some(content)] if content else []


def _some(lines: Sequence[str]) -> list[str]:
    if len(lines) <= _SHOWN + 1:
        return list(lines)
    return [*lines[:_SHOWN], _item(f"and {len(lines) - _SHOWN} more")]


def _item(sentence: str) -> str:
    return f"  - {sentence}"
