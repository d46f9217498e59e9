"""The findings in SARIF 2.1.0, an open format (OASIS Standard, 2020) that servers for builds and code read."""

import hashlib
import json
from collections import Counter
from pathlib import Path, PurePath
from typing import Any
from urllib.parse import quote

from labelcheck.analysers import all_analysers
from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import FileEntry, Review
from labelcheck.review.wording import printable
from labelcheck.trade.version import MADE_BY

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
"""Where the standard says that its schema lies; nothing here ever fetches it."""

LEVELS = {Severity.UNREADABLE: "error", Severity.DOUBTFUL: "warning", Severity.NOTE: "note"}
FINGERPRINT = "labelAndQuestion/1"
"""Question, side and text of the label, and a count where that stands there more than once: the same in the next
check even where the label was moved. The number rises when that changes its meaning."""

Entry = dict[str, Any]


def results_text(runs: list[Entry]) -> str:
    """One log of several runs as JSON text, ending in a line feed."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": runs}
    return json.dumps(log, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def run_of(review: Review) -> Entry:
    """One board as one run: its findings as results, its files as artifacts, reasons to hold as notifications."""
    name, _, version = MADE_BY.partition(" ")
    analysers = all_analysers()
    rules = [
        {
            "id": analyser.name,
            "shortDescription": {"text": analyser.question},
            "fullDescription": {"text": analyser.rationale},
        }
        for analyser in analysers
    ]
    places = {analyser.name: place for place, analyser in enumerate(analysers)}
    files = sorted(review.files, key=lambda entry: entry.name)
    labels = {state.label.id: state.label for state in review.labels}
    alike: Counter[str] = Counter()
    results = []
    for finding in review.findings:
        label = labels.get(finding.label or "")
        same = f"{finding.analyser}\n{finding.side}\n{'' if label is None else label.text}"
        results.append(_result(finding, label, _legend(files, finding), review, f"{same}\n{alike[same]}"))
        results[-1]["ruleIndex"] = places[finding.analyser]
        alike[same] += 1
    return {
        "tool": {"driver": {"name": name, "semanticVersion": version, "rules": rules}},
        "automationDetails": {"id": f"labelcheck/{quote(printable(review.set_name))}/"},
        "artifacts": [_artifact(entry, review) for entry in files],
        "invocations": [_invocation(review)],
        "columnKind": "unicodeCodePoints",
        "results": results,
        "properties": {"verdict": str(review.verdict), "fingerprint": printable(review.fingerprint)},
    }


def _result(finding: Finding, label: Label | None, legend: int | None, review: Review, same: str) -> Entry:
    advice = "" if finding.advice is None else f" {finding.advice}"
    location: Entry = {
        "logicalLocations": [
            {
                "name": printable(f"{finding.side} side" if label is None else label.called()),
                "fullyQualifiedName": printable(
                    str(finding.side) if label is None else f"{finding.side}/{label.id}"
                ),
                "kind": "side" if label is None else "label",
            }
        ]
    }
    if legend is not None:
        entry = sorted(review.files, key=lambda one: one.name)[legend]
        location["physicalLocation"] = {"artifactLocation": {"uri": _address(entry, review), "index": legend}}
    result: Entry = {
        "ruleId": finding.analyser,
        "level": LEVELS[finding.severity],
        "message": {"text": printable(finding.message + advice)},
        "locations": [location],
        "partialFingerprints": {
            FINGERPRINT: hashlib.sha256(same.encode("utf-8", "backslashreplace")).hexdigest()
        },
        "properties": {
            "id": finding.id,
            "severity": str(finding.severity),
            "label": finding.label,
            "at_mm": [round(value, 3) for value in finding.at_mm],
            "measured": _number(finding.measured),
            "limit": _number(finding.limit),
            "unit": finding.unit,
            "source": printable(finding.source),
        },
    }
    if finding.accepted is not None:
        result["suppressions"] = [
            {"kind": "external", "status": "accepted", "justification": printable(finding.accepted.because)}
        ]
    return result


def _invocation(review: Review) -> Entry:
    notes = [{"level": "error", "message": {"text": printable(f"On hold: {one}")}} for one in review.holding]
    notes += [{"level": "note", "message": {"text": printable(str(one))}} for one in review.remarks]
    notes += [
        {
            "level": "warning",
            "message": {"text": printable(f"{one.analyser} could not be asked on the {one.side}: {one.why}")},
            "associatedRule": {"id": one.analyser},
        }
        for one in review.not_applied
    ]
    return {
        "executionSuccessful": True,
        "endTimeUtc": review.checked_at,
        "toolExecutionNotifications": notes,
    }


def _artifact(entry: FileEntry, review: Review) -> Entry:
    told: Entry = {
        "location": {"uri": _address(entry, review)},
        "description": {"text": entry.role if entry.side is None else f"{entry.role}, {entry.side}"},
    }
    if entry.sha256:
        told["hashes"] = {"sha-256": entry.sha256}
    return told


def _legend(files: list[FileEntry], finding: Finding) -> int | None:
    """The file that a finding is about: the first legend of its side."""
    for place, entry in enumerate(files):
        if entry.role == "legend" and entry.side is finding.side:
            return place
    return None


def _address(entry: FileEntry, review: Review) -> str:
    """Path of a file as an address; of one within a zip, its name stands behind the zip's."""
    return address_of(Path(review.set_path) / entry.name)


def address_of(path: PurePath) -> str:
    """A path as an address (RFC 8089), also one of Windows, with a drive or on another machine."""
    plain = path.as_posix()
    drive = path.drive.replace("\\", "/")
    rest = quote(printable(plain[len(drive) :]))
    if not path.is_absolute():
        return f"{quote(drive)}{rest}"
    return f"file:{drive}{rest}" if drive.startswith("//") else f"file:///{drive}{rest}" if drive else f"file://{rest}"


def _number(value: float | None) -> float | None:
    """A number that JSON can hold, to four decimals."""
    return None if value is None or value != value or abs(value) == float("inf") else round(float(value), 4)
