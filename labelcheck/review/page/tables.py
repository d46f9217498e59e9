"""The tables of the page: findings, limits, files, and the questions that were asked."""

from collections.abc import Callable, Mapping, Sequence

from labelcheck.judging import Analyser, Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import FileEntry, LimitEntry
from labelcheck.review.grouping import FindingGroup
from labelcheck.review.page.markup import Markup, element, together
from labelcheck.review.wording import amount, in_unit, some_of
from labelcheck.trade.units import Unit

SEVERITY_WORDS = {
    Severity.UNREADABLE: "cannot be read",
    Severity.DOUBTFUL: "doubtful",
    Severity.NOTE: "worth a look",
}

_FINDING_COLUMNS = (
    ("No.", "number"),
    ("Label", "label"),
    ("What is wrong, and what to change", "question"),
    ("Measured", "measured"),
)
"""Headings, and what a line is sorted by."""
_NAMES_SHOWN = 12
"""Of the labels with the same fault, in the line of the worst of them."""


def findings_table(groups: Sequence[FindingGroup], labels: Mapping[str, Label], unit: Unit) -> Markup:
    """One line a finding in the order of the review: worst first, accepted ones last."""
    group_of = {finding.id: group for group in groups for finding in group.findings}
    findings = sorted((finding for group in groups for finding in group.findings), key=_number)
    heads = [element("th", words, scope="col", data_by=by) for words, by in _FINDING_COLUMNS]
    rows = [
        _finding_row(finding, group_of[finding.id], labels.get(finding.label or ""), unit) for finding in findings
    ]
    caption = element("caption", "Every finding, the worst first", class_="unseen")
    return element(
        "table",
        [caption, element("thead", element("tr", heads)), element("tbody", together(rows))],
        id="findings-table",
    )


def _finding_row(finding: Finding, group: FindingGroup, label: Label | None, unit: Unit) -> Markup:
    severity = str(finding.severity)
    measured, limit = _amounts(finding, unit)
    name = "" if label is None else label.text if label.text is not None else "not read"
    link = element(
        "a", finding.id, href=f"#mark-{finding.id}", data_choose=finding.id, class_=f"badge {severity}"
    )
    number = [link, element("span", SEVERITY_WORDS[finding.severity], class_="word")]
    alike = finding is not group.worst
    if alike:
        number.append(element("span", f"as {group.worst.id}", class_="word"))
    cells = [
        element("th", number, scope="row", class_="number"),
        element("td", [name, element("span", str(finding.side), class_="word")], class_="label"),
        element("td", [*_told(finding, unit), *([] if alike else _on_others(group, unit))]),
        element("td", [measured, element("span", f"limit {limit}", class_="word")] if limit else measured,
                class_="amount"),
    ]
    looks = [word for word, so in (("accepted", finding.accepted is not None), ("alike", alike)) if so]
    return element(
        "tr",
        cells,
        id=finding.id,
        class_=" ".join(looks) if looks else None,
        data_number=_number(finding),
        data_severity="accepted" if finding.accepted is not None else severity,
        data_side=str(finding.side),
        data_question=finding.analyser,
        data_label=name,
        data_measured=finding.measured,
        data_unit=finding.unit,
    )


def _amounts(finding: Finding, unit: Unit) -> tuple[str, str]:
    """What was measured and its limit; empty where a number alone says less than the sentence, as with a count."""
    if finding.measured is None or finding.unit == "count":
        return "", ""
    limit = "" if not finding.limit else amount(finding.limit, finding.unit, unit)  # none, or 0: "at all"
    return amount(finding.measured, finding.unit, unit), limit


def _on_others(group: FindingGroup, unit: Unit) -> list[Markup]:
    """Which other labels have the same fault; each has its own line too."""
    if len(group.findings) == 1:
        return []
    told = f"The same fault on {len(group.findings) - 1} more: {some_of(group.called()[1:], _NAMES_SHOWN)}."
    return [element("p", in_unit(told, unit), class_="same")]


def _told(finding: Finding, unit: Unit) -> list[Markup]:
    """The sentence, what to change, why it was accepted, and where the limit comes from."""
    told = [element("p", in_unit(finding.message, unit), class_="fault")]
    if finding.advice is not None:
        told.append(element("p", in_unit(finding.advice, unit), class_="advice"))
    if finding.accepted is not None:
        told.append(element("p", f"Accepted: {finding.accepted.because}", class_="because"))
    told.append(element("p", f"{finding.analyser} · {finding.source}", class_="source"))
    return told


def limits_table(limits: Sequence[LimitEntry], unit: Unit) -> Markup:
    """Every value in force with its source."""

    def value(limit: LimitEntry) -> str:
        return limit.value if isinstance(limit.value, str) else amount(limit.value, limit.unit, unit)

    columns = ("Limit", "Value", "Where it comes from")
    rows: list[Sequence[str]] = [(limit.name, value(limit), limit.source) for limit in limits]
    return _plain_table("Limits in force", columns, rows, ("", "amount", ""))


def files_table(files: Sequence[FileEntry]) -> Markup:
    """Every file of the set with what it was taken for and its digest."""
    columns = ("File", "Taken for", "Known by", "SHA-256")
    rows: list[Sequence[str]] = [
        (
            entry.name,
            entry.role if entry.side is None else f"{entry.role}, {entry.side}",
            entry.known_by,
            entry.sha256 or "its bytes could not be had",
        )
        for entry in sorted(files, key=lambda entry: entry.name)
    ]
    return _plain_table("Files of the set", columns, rows, ("", "", "", "digest"))


def questions_table(analysers: Sequence[Analyser], findings: Sequence[Finding]) -> Markup:
    """What was asked, why, and how often it found something."""
    columns = ("Question", "Why it matters", "Findings")
    rows: list[Sequence[str]] = [
        (
            f"{analyser.name}: {analyser.question}",
            analyser.rationale,
            str(sum(1 for finding in findings if finding.analyser == analyser.name)),
        )
        for analyser in analysers
    ]
    return _plain_table("Questions that were asked", columns, rows, ("", "", "amount"))


def _plain_table(
    caption: str, columns: Sequence[str], rows: Sequence[Sequence[str]], looks: Sequence[str]
) -> Markup:
    """A table whose first column names its lines; `looks` is the class of each column, empty where it has none."""
    heads = element("tr", [element("th", words, scope="col") for words in columns])

    def cell(place: int) -> Callable[[str], Markup]:
        if place == 0:
            return lambda text: element("th", text, scope="row")
        return lambda text: element("td", text, class_=looks[place] or None)

    cells = [cell(place) for place in range(len(columns))]
    lines = [element("tr", [make(text) for make, text in zip(cells, row, strict=True)]) for row in rows]
    head = [element("caption", caption, class_="unseen"), element("thead", heads)]
    # A wide table scrolls by itself, by keyboard too; the page never does.
    return element(
        "div",
        element("table", [*head, element("tbody", together(lines))]),
        class_="wide",
        role="region",
        aria_label=f"Table: {caption.lower()}",
        tabindex="0",
    )


def _number(finding: Finding) -> int:
    digits = finding.id.removeprefix("F")
    return int(digits) if digits.isdecimal() else 0
