"""How any measurement becomes a finding: analysers measure, this module judges, words, and sorts."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from labelcheck.labels.label import Box, Label
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.evidence import MUCH_LEFT, Evidence, Loss, Misread, text_left
from labelcheck.trade.limits import Limit, Limits
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import Acceptance, Weight
from labelcheck.trade.units import format_length


class Severity(StrEnum):
    """How bad a finding is for the person who reads the board."""

    UNREADABLE = "unreadable"
    DOUBTFUL = "doubtful"
    NOTE = "note"


SEVERITIES = tuple(Severity)
"""Worst first."""


@dataclass(frozen=True, slots=True)
class Finding:
    """An analyser's answer about one label, or about a side where `label` is None."""

    id: str
    """`F1`, `F2`, … worst first."""
    analyser: str
    severity: Severity
    label: str | None
    """Id of the label."""
    side: Side
    at_mm: tuple[float, float]
    """The middle of what is wrong."""
    box_mm: Box
    """The box of what is wrong: the whole label, or the part that is lost."""
    measured: float | None
    limit: float | None
    unit: str
    message: str
    advice: str | None
    source: str
    matters: Weight | None = None
    """How much its label matters, where the limits file says so; the severity has followed."""
    accepted: Acceptance | None = None
    """The acceptance of the limits file that covers it: it stays in the record and does not hold the verdict."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What an analyser measured on one label."""

    value: float
    limit: Limit
    box_mm: Box
    said: str
    """The measured fact as the end of a sentence that begins with the label: `is 0.71 mm high`."""
    asked: str
    """What the bound means, with `{bound}` where its value goes: `{bound} prints reliably`."""
    advice: str | None
    asked_as_note: str | None = None
    """The same for a note, where it means something milder."""
    at_worst: Severity = Severity.UNREADABLE
    """No finding is worse than this, for measurements that rest on an estimate."""
    at_least: Severity | None = None
    """The finding is no milder than this, whatever the value: the print was read back, and came out wrong."""
    side: Side | None = None
    """For a question asked once a board: the side that it is about."""
    label: Label | None = None
    """For a question asked once a board: the label that it is about, None where it is about the side as a whole.
    Without one `said` begins the sentence."""
    matters: Weight | None = None
    """`Weight.MORE` where a person asked for it in so many words: then it stands first among those as bad."""


MISREAD_ABOVE = "a character that loses over {bound} can be misread"
LONG_WORD, MOST_GUESSED = 5, 4
"""From so many characters on one in four of a word is guessed from the rest (judgement)."""

STILL_READ = 0.4
"""A character of which more is lost cannot be read, whatever a reader that has learned much makes of it: with the
benchmark of read-back in view, where four in five are lost then."""
TELL_NOTHING = frozenset("_")
"""Characters that a label reads the same without."""


@dataclass(frozen=True, slots=True)
class LossWording:
    """How lost ink is told: ends of sentences with `{share}` where the share goes, `up to 40 % of "R" and "2"`."""

    loses: str
    may_lose: str
    advice: str
    at_worst: Severity = Severity.UNREADABLE


Measure = Callable[[Evidence, Limits], Measurement | None]
MeasureBoard = Callable[[BoardEvidence, Limits], Sequence[Measurement]]


@dataclass(frozen=True, slots=True)
class Analyser:
    """One question, asked of every label or once a board: exactly one of the two measures is there."""

    name: str
    question: str
    rationale: str
    """Why a maker of boards should care, in the words of the trade."""
    measure: Measure | None = None
    """Asked of every label."""
    measure_board: MeasureBoard | None = None
    """Asked once, with all labels of the board at hand; every measurement names its side."""
    notes_together: str | None = None
    """What many notes say as one a side, the end of a sentence that begins with how many labels there are:
    `are {least} to {most} high; {bound} reads with ease`. None where each note stands for itself."""
    needs: str | None = None
    """What must be known of the board before it applies: `openings`, `holes`, `outline`, `bodies`, or nothing."""
    causes: tuple[str, ...] = ()
    """Analysers whose findings about the same place of a label tell what may be the cause of this one's: of a fault
    and its cause only the worse is told, and the cause where they are as bad."""


def judge(analyser: Analyser, evidence: Evidence, limits: Limits) -> Finding | None:
    """One analyser's finding about one label, without its id; None where nothing is wrong or nothing applies."""
    measurement = None if analyser.measure is None else analyser.measure(evidence, limits)
    if measurement is None:
        return None
    return _judged(analyser, measurement, evidence.label, evidence.label.side)


def judge_board(analyser: Analyser, evidence: BoardEvidence, limits: Limits) -> tuple[Finding, ...]:
    """The findings of an analyser that is asked once a board, without their ids."""
    measurements = () if analyser.measure_board is None else analyser.measure_board(evidence, limits)
    findings = [
        _judged(analyser, one, one.label, one.side if one.side is not None else Side.TOP) for one in measurements
    ]
    return tuple(finding for finding in findings if finding is not None)


def _judged(analyser: Analyser, measurement: Measurement, label: Label | None, side: Side) -> Finding | None:
    """A measurement compared with its limit and worded; None where nothing is wrong."""
    judged = _severity_and_bound(measurement.value, measurement.limit)
    if measurement.at_least is not None and (judged is None or _rank(judged[0]) > _rank(measurement.at_least)):
        judged = measurement.at_least, None
    if judged is None:
        return None
    severity, bound = judged
    severity = max(severity, measurement.at_worst, key=_rank)
    x0, y0, x1, y1 = measurement.box_mm
    milder = severity is Severity.NOTE and measurement.asked_as_note is not None
    asked = (measurement.asked_as_note or "") if milder else measurement.asked
    asked = asked.format(bound="" if bound is None else _bound_text(bound, measurement.limit))
    sentence = measurement.said if label is None else f"{label.called()} {measurement.said}"
    return Finding(
        id="",
        analyser=analyser.name,
        severity=severity,
        label=None if label is None else label.id,
        side=side,
        at_mm=((x0 + x1) / 2, (y0 + y1) / 2),
        box_mm=measurement.box_mm,
        measured=measurement.value,
        limit=bound,
        unit=measurement.limit.unit,
        message=f"{sentence[0].upper()}{sentence[1:]}; {asked}.",
        advice=measurement.advice,
        source=measurement.limit.source_of(severity),
        matters=measurement.matters,
    )


def notes_as_one(analyser: Analyser, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings of one analyser, with its notes told once a side where the analyser has a sentence for that.

    What is a note only because its label does not matter is none of them: their sentence would be wrong about it.
    """
    if analyser.notes_together is None:
        return tuple(findings)
    alike = [finding for finding in findings if finding.severity is Severity.NOTE and finding.matters is None]
    told = [finding for finding in findings if finding not in alike]
    for side in OUTER_SIDES:
        notes = [finding for finding in alike if finding.side is side]
        if len(notes) < 2:
            told += notes
            continue
        worst = max(notes, key=lambda note: (_excess(note), -note.at_mm[0], -note.at_mm[1]))
        values = [note.measured for note in notes if note.measured is not None]
        least, most = (format_length(value) for value in (min(values), max(values)))
        sentence = analyser.notes_together if least != most else analyser.notes_together.replace("{least} to ", "")
        message = sentence.format(least=least, most=most, bound=format_length(worst.limit or 0.0))
        told.append(replace(worst, label=None, message=f"{len(notes)} labels on the {side} {message}."))
    return tuple(told)


def _severity_and_bound(value: float, limit: Limit) -> tuple[Severity, float | None] | None:
    """The worst severity whose bound is passed by more than the tolerance, and that bound."""
    sign = -1.0 if limit.worse_above else 1.0
    for severity, bound in (
        (Severity.UNREADABLE, limit.unreadable),
        (Severity.DOUBTFUL, limit.doubtful),
        (Severity.NOTE, limit.note),
    ):
        if bound is not None and sign * (bound - value) > limit.tolerance:
            return severity, bound
    return None


def _bound_text(bound: float, limit: Limit) -> str:
    if limit.unit == "ratio":
        return f"{bound:.1f}:1"
    if limit.unit != "mm":
        return f"{bound * 100:.0f} %"
    return format_length(bound)


def measure_loss(loss: Loss | None, evidence: Evidence, limits: Limits, wording: LossWording) -> Measurement | None:
    """Lost ink as a measurement: what the obstacle surely takes, or, where that is little, what it may take.

    What the label reads as once printed is told where one of the characters that lose ink no longer reads as drawn.
    """
    label = evidence.label
    if loss is None or not loss.characters:
        return None
    limit = limits.lost_ink
    surely = _severity_and_bound(loss.sure, limit)
    by_clearance = surely is None or (surely[0] is not Severity.UNREADABLE and loss.possible > 2 * loss.sure)
    value = loss.possible if by_clearance else loss.sure
    share = _share_of(value, label, loss.characters)
    misread = [one for one in evidence.printed.misread if not set(one.marks).isdisjoint(loss.characters)]
    # What is a note at most takes no ink of the print that was read back.
    told_elsewhere = by_clearance or evidence.far_off_board or wording.at_worst is Severity.NOTE
    wrong = None if told_elsewhere else misread_severity(misread, label)
    mild = by_clearance or (not misread and _reads_still(evidence, value, limit)) or _tells_nothing(loss, label)
    return Measurement(
        value=value,
        limit=limit,
        box_mm=loss.box_mm,
        said=(wording.may_lose if by_clearance else wording.loses).format(share=share),
        asked=MISREAD_ABOVE if wrong is None else read_as_printed(label, misread, wrong is Severity.UNREADABLE),
        advice=_with_its_field(wording.advice, label),
        at_least=wrong,
        at_worst=wording.at_worst if not mild else max(Severity.DOUBTFUL, wording.at_worst, key=_rank),
    )


def _with_its_field(advice: str, label: Label) -> str:
    """Of a knocked-out label the filled ink has to move along: it is what shows the label."""
    return advice.replace("Move it", "Move it with the filled area around it", 1) if _is_clear(label) else advice


def _is_clear(label: Label) -> bool:
    return label.drawn_as == "knocked out"


def _reads_still(evidence: Evidence, lost: float, limit: Limit) -> bool:
    """Whether a label that was read back is not called unreadable for the share that one character lost.

    A bound that somebody has stated holds whatever is read.
    """
    return evidence.printed.read and lost <= STILL_READ and "unreadable" not in dict(limit.stated)


def _tells_nothing(loss: Loss, label: Label) -> bool:
    return all(label.marks[place].character in TELL_NOTHING for place in loss.characters)


def misread_severity(misread: Sequence[Misread], label: Label) -> Severity | None:
    """How bad it is that these characters do not read as drawn once printed; None where it is not worth telling.

    A character that looks like another one, or is mostly gone, makes a label unreadable, unless it is one of a longer
    word, which people guess from the rest.
    """
    told = [one for one in misread if one.counts and one.drawn not in TELL_NOTHING]
    if not told:
        return None
    lost = [one for one in told if _surely_wrong(one, label) and not _is_guessed(one, told, label)]
    return Severity.UNREADABLE if lost else Severity.DOUBTFUL


def _surely_wrong(one: Misread, label: Label) -> bool:
    """Whether nobody reads a character as drawn; of a number in a reference people know that it is no letter."""
    no_number = one.printed is not None and not one.printed.isdigit()
    if label.kind == "reference" and one.drawn.isdigit() and no_number:
        return one.left < MUCH_LEFT
    return one.sure


def _is_guessed(one: Misread, all_misread: Sequence[Misread], label: Label) -> bool:
    """Whether people guess a character from the rest of its word."""
    first = 0
    for word in (label.text or "").split(" "):
        own = range(first, first + len(word))
        if one.place in own:
            wrong = sum(other.place in own for other in all_misread)
            return label.kind == "word" and len(word) >= LONG_WORD and wrong * MOST_GUESSED <= len(word)
        first += len(word)
    return False


def read_as_printed(label: Label, misread: Sequence[Misread], sure: bool) -> str:
    """What printing makes of a label, for a sentence: `printed, it reads "F14"`; a pattern, so braces are doubled.

    What is not sure is told as what may be.
    """
    told = [one for one in misread if one.counts]
    another = read_as_another(label, told)
    if another is None:
        places = tuple(sorted({mark for one in told for mark in one.marks}))
        said = f"printed, {characters_named(label, places)} {'cannot' if sure else 'may not'} be read"
    else:
        said = f'printed, it {"reads" if sure else "may read"} "{another}"'
    return said.replace("{", "{{").replace("}", "}}")


def read_as_another(label: Label, misread: Sequence[Misread]) -> str | None:
    """The other text that a label reads as, None where characters are merely not read, or all of it is gone."""
    left = text_left(label.text or "", misread)
    known = any(one.printed is not None for one in misread) or "?" not in left
    return left if known and left and misread else None


def one_fault_one_finding(analysers: Sequence[Analyser], findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings without those that tell the same fault as another one, see `Analyser.causes`."""
    causes = {analyser.name: analyser.causes for analyser in analysers if analyser.causes}
    of_label: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.label is not None:
            of_label.setdefault(finding.label, []).append(finding)
    silent: set[int] = set()
    advice: dict[int, str] = {}
    for finding in findings:
        if finding.analyser not in causes or finding.label is None:
            continue
        same = [
            other for other in of_label[finding.label]
            if other.analyser in causes[finding.analyser] and _meet(other.box_mm, finding.box_mm)
        ]
        if any(_rank(other.severity) <= _rank(finding.severity) for other in same):
            silent.add(id(finding))
            continue
        silent.update(id(other) for other in same)
        cured = next((other.advice for other in same if other.advice is not None), None)
        if cured is not None:
            advice[id(finding)] = cured
    return tuple(
        replace(finding, advice=advice.get(id(finding), finding.advice))
        for finding in findings if id(finding) not in silent
    )


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def move(loss: Loss) -> str:
    """The beginning of an advice: `Move it 0.45 mm up or more`."""
    return f"Move it {format_length(loss.move_mm)} {loss.towards} or more"


def _share_of(fraction: float, label: Label, places: tuple[int, ...]) -> str:
    """For a sentence: `40 % of "1"`, `up to 40 % of "R" and "2"`, `40 % of its ink`, `40 % of the ink around "1"`."""
    percent = f"{min(fraction, 1.0) * 100:.0f} %"
    if _is_clear(label):
        return f"{'up to ' if len(places) > 1 else ''}{percent} of the ink around {characters_named(label, places)}"
    if len(label.marks) == 1:
        return f"{percent} of its ink"
    return f"{'up to ' if len(places) > 1 else ''}{percent} of {characters_named(label, places)}"


def characters_named(label: Label, places: tuple[int, ...]) -> str:
    """The characters at one or more places of a label, for a sentence: `"1" and "2"`, `all 4 characters`."""
    marks = label.marks
    if len(places) == len(marks):
        return {1: "it", 2: "both characters"}.get(len(marks), f"all {len(marks)} characters")
    read = [marks[place].character for place in places]
    if len(read) > 4 or any(character is None for character in read):
        return f"{len(places)} of its {len(marks)} characters"
    quoted = [f'"{character}"' for character in read]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _rank(severity: Severity) -> int:
    return SEVERITIES.index(severity)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Worst first, then what matters more, how far the bound is passed, and place; ids `F1`, … in that order.

    Accepted findings come last.
    """

    def rank(finding: Finding) -> tuple[bool, int, bool, float, int, float, float, str]:
        return (
            finding.accepted is not None,
            _rank(finding.severity),
            finding.matters is not Weight.MORE,
            -_excess(finding),
            OUTER_SIDES.index(finding.side),
            -finding.at_mm[1],
            finding.at_mm[0],
            finding.analyser,
        )

    return tuple(
        replace(finding, id=f"F{number}") for number, finding in enumerate(sorted(findings, key=rank), start=1)
    )


def _excess(finding: Finding) -> float:
    """How far the bound is passed as a share of it, rounded so that noise does not order findings."""
    if finding.measured is None or finding.limit is None:
        return 0.0
    if finding.limit == 0:
        return 1.0  # what must not be at all: read in a mirror, at a wrong pin
    return round(abs(finding.limit - finding.measured) / abs(finding.limit), 2)
