"""Whether the files of a set belong together: one project, one revision, one export, one origin, one size."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from labelcheck.board.board import Outline, Project
from labelcheck.board.recognising import Form, Recognised
from labelcheck.board.roles import Role
from labelcheck.formats.job_file import JobFile
from labelcheck.trade.places import Remark

LAYERS_WITHIN = timedelta(minutes=10)
"""Layers are written in one go; those that are farther apart were not (judgement)."""
OTHERS_WITHIN = timedelta(hours=1)
"""Drills, placement and the job file are written by hand after the layers, sooner or later (judgement)."""
SIZE_DIFFERS_MM = 0.5
"""A job file may count the pen that drew the outline."""

_LAYERS = frozenset({Role.LEGEND, Role.MASK, Role.COPPER, Role.PASTE, Role.OUTLINE})
_DRILL_ATTRIBUTE = re.compile(
    rb"(?:^|[\r\n])[ \t]*;[ \t]*#@![ \t]*TF\.(CreationDate|ProjectId)[ \t]*,([^\r\n*]{1,400})"
)
_HEAD_BYTES = 8_000
_NOT_TOLD = frozenset({"", "rev?", "rev", "?", "none", "unknown", "undefined", "n/a", "-"})
"""What programs write for a revision that nobody has entered."""
_NAMES_SHOWN = 4

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class _Told:
    """What one file says of where it comes from."""

    name: str
    is_layer: bool
    project: tuple[str, str, str] | None
    """Name, identifier, revision."""
    created: str | None
    coordinates: str | None
    """Its `.SameCoordinates` identifier; files with the same one share an origin."""


def project_of(found: Iterable[Recognised], jobs: Iterable[JobFile]) -> Project | None:
    """The project that most files name, its revision None where nobody has entered one; None where none is named."""
    told = [one.project for one in _all_told(found, jobs) if one.project is not None]
    if not told:
        return None
    name, _, revision = _most_common(told)
    return Project(name, None if revision.strip().lower() in _NOT_TOLD else revision.strip())


def inconsistent(found: Iterable[Recognised], jobs: Sequence[JobFile], outline: Outline | None) -> list[Remark]:
    """One remark for each way in which the files do not belong together."""
    told = _all_told(found, jobs)
    # Files of two projects have two revisions as a matter of course.
    remarks = _projects(told) or _revisions(told)
    return [*remarks, *_export_times(told), *_origins(told), *_sizes(jobs, outline)]


def _all_told(found: Iterable[Recognised], jobs: Iterable[JobFile]) -> list[_Told]:
    told = [_told_by(one) for one in found if one.form in (Form.GERBER, Form.DRILL) and one.role is not Role.UNREAD]
    told += [_Told(job.name, False, job.project, job.created, None) for job in jobs]
    return told


def _told_by(one: Recognised) -> _Told:
    attributes: Mapping[str, tuple[str, ...]] = dict(one.attributes)
    if one.form is Form.DRILL:
        attributes = {
            f".{match[1].decode()}": tuple(part.strip() for part in match[2].decode("utf-8", "replace").split(","))
            for match in _DRILL_ATTRIBUTE.finditer(one.file.data[:_HEAD_BYTES])
        }
    project = (*attributes.get(".ProjectId", ()), "", "", "")
    created = attributes.get(".CreationDate")
    coordinates = attributes.get(".SameCoordinates")
    return _Told(
        name=one.name,
        is_layer=one.form is Form.GERBER and one.role in _LAYERS,
        project=(project[0], project[1], project[2]) if project[0] or project[1] else None,
        created=created[0] if created else None,
        # Without an identifier it says only that there is some other file, not which.
        coordinates=coordinates[0] if coordinates and coordinates[0] else None,
    )


def _projects(told: Sequence[_Told]) -> list[Remark]:
    named = {one.name: one.project[:2] for one in told if one.project is not None}
    layers = {one.name for one in told if one.is_layer}
    identifiers: dict[str, list[str]] = {}
    for file, (name, identifier) in named.items():
        if file in layers:
            identifiers.setdefault(_plain(name), []).append(_plain(identifier))
    of_name = {name: _most_common(found) for name, found in identifiers.items()}
    # Some programs make an identifier up for files beside the layers: there the name alone counts.
    odd = _odd_ones({
        file: (_plain(name), _plain(identifier) if file in layers else of_name.get(_plain(name), ""))
        for file, (name, identifier) in named.items()
    })
    if not odd:
        return []
    others = next(project for name, project in named.items() if name not in odd)
    first = named[odd[0]]
    # Two projects of one name are told apart by their identifiers alone.
    ours, theirs = (first[0], others[0]) if first[0] != others[0] else (first[1], others[1])
    return [
        Remark(
            odd[0] if len(odd) == 1 else "",
            None,
            f"{_names(odd)} {_are(odd)} of the project {ours}, the other files of {theirs}: files of two boards may "
            "be mixed. Export all files of this board anew.",
        )
    ]


def _revisions(told: Sequence[_Told]) -> list[Remark]:
    revisions = {
        one.name: one.project[2].strip()
        for one in told
        if one.project is not None and one.project[2].strip().lower() not in _NOT_TOLD
    }
    odd = _odd_ones({name: revision.lower() for name, revision in revisions.items()})
    if not odd:
        return []
    others = next(revision for name, revision in revisions.items() if name not in odd)
    return [
        Remark(
            odd[0] if len(odd) == 1 else "",
            None,
            f"{_names(odd)} {_are(odd)} of revision {revisions[odd[0]]}, the other files of revision {others}. "
            "Export all files of one revision anew.",
        )
    ]


def _export_times(told: Sequence[_Told]) -> list[Remark]:
    """Files written at another time than the layers: the layout may have been changed in between."""
    times = {one.name: time for one in told if one.created is not None and (time := _time(one.created)) is not None}
    # Times with and without a time zone cannot be compared.
    zoned = sum(time.tzinfo is not None for time in times.values()) * 2 >= len(times)
    times = {name: time for name, time in times.items() if (time.tzinfo is not None) == zoned}
    layers = {one.name for one in told if one.is_layer and one.name in times}
    if len(times) < 2:
        return []
    reference = _main_time([times[name] for name in sorted(layers or times)])
    odd = [
        name
        for name, time in sorted(times.items())
        if abs(time - reference) > (LAYERS_WITHIN if name in layers else OTHERS_WITHIN)
    ]
    if not odd:
        return []
    apart = {
        name: f"{_duration(abs(times[name] - reference))} {'after' if times[name] > reference else 'before'}"
        for name in odd
    }
    if len(odd) == 1:
        told_times = f"This file was exported {apart[odd[0]]} the other files"
    else:
        names = _names([f"{name} ({when})" for name, when in apart.items()])
        told_times = f"{names} were exported at other times than the rest"
    return [
        Remark(
            odd[0] if len(odd) == 1 else "",
            None,
            f"{told_times}. If the layout was changed in between they do not belong together: export all in one go.",
        )
    ]


def _origins(told: Sequence[_Told]) -> list[Remark]:
    odd = _odd_ones({one.name: one.coordinates for one in told if one.coordinates is not None})
    if not odd:
        return []
    return [
        Remark(
            odd[0] if len(odd) == 1 else "",
            None,
            f"{_names(odd)} {'says' if len(odd) == 1 else 'say'} that the origin is another than that of the other "
            "files (.SameCoordinates). Check that the layers lie on one another, or export all in one go.",
        )
    ]


def _sizes(jobs: Sequence[JobFile], outline: Outline | None) -> list[Remark]:
    if outline is None or outline.area.is_empty:
        return []
    x0, y0, x1, y1 = outline.area.bounds
    for job in jobs:
        if job.width_mm is None or job.height_mm is None:
            continue
        said = sorted((job.width_mm, job.height_mm))
        drawn = sorted((x1 - x0, y1 - y0))
        if any(abs(a - b) > SIZE_DIFFERS_MM for a, b in zip(said, drawn, strict=True)):
            return [
                Remark(
                    job.name,
                    None,
                    f"The job file says {job.width_mm:.2f} x {job.height_mm:.2f} mm, but the outline is "
                    f"{x1 - x0:.2f} x {y1 - y0:.2f} mm. Export the job file together with the layers.",
                )
            ]
    return []


def _odd_ones(values: Mapping[str, object]) -> list[str]:
    """Names of those whose value is not the most common one, sorted; none where all agree."""
    if len(set(values.values())) < 2:
        return []
    common = _most_common(list(values.values()))
    return sorted(name for name, value in values.items() if value != common)


def _most_common(values: Sequence[_Value]) -> _Value:
    """The value that occurs most often, the first of several."""
    return Counter(values).most_common(1)[0][0]


def _main_time(times: Sequence[datetime]) -> datetime:
    """The time around which most of them lie, the earliest of several."""
    ordered = sorted(times)
    return max(sorted(set(times)), key=lambda time: sum(abs(other - time) <= LAYERS_WITHIN for other in ordered))


def _time(written: str) -> datetime | None:
    try:
        return datetime.fromisoformat(written.strip())
    except ValueError:
        return None


def _duration(apart: timedelta) -> str:
    minutes = round(apart.total_seconds() / 60)
    if minutes < 120:
        return f"{minutes} minutes"
    if minutes < 48 * 60:
        return f"{round(minutes / 60)} hours"
    return f"{apart.days} days"


def _plain(word: str) -> str:
    return word.strip().lower()


def _names(names: Sequence[str]) -> str:
    if len(names) == 1:
        return "This file"
    shown = list(names[:_NAMES_SHOWN])
    beyond = len(names) - len(shown)
    return f"{', '.join(shown)} and {beyond} more" if beyond else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _are(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"
