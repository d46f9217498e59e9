"""How well labels of real legends are found and read, against transcriptions by eye and against drawn references.

Run: `python tests/benchmarks/finding_and_reading.py [--verbose] [--only SET]`. The real fab sets lie outside the
repository, in `../shared/real-boards`; what is not there is named and left out.

A label is found whole when each edge of its box lies where the transcribed one does, within a quarter of the
character height or 0.1 mm. Labels of which the transcription is not sure count neither for nor against.
"""

import argparse
import json
import re
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from drawn_text import Box, Standing, standing, strokes_of, whole

from labelcheck.board.board import Layer
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.trade.sides import Side

REAL_BOARDS = Path(__file__).resolve().parents[3] / "shared" / "real-boards"
TRANSCRIBED = Path(__file__).resolve().parent / "transcribed"

REFERENCE_SETS = ("a64-sbc", "kbd-adapter", "isa-sound", "rotary-breakout", "fpga-stick-evt2", "fpga-stick-evt3")
"""Their legends are drawn in one public stroke face, so that it is known to the stroke where a reference stands."""

REFERENCE = re.compile(r"[A-Z]{1,4}[0-9]{1,4}")
"""What looks like a reference designator: letters of a class, a number (common practice; IEEE 315 lists classes)."""

SIGNS_OF_NO_DIRECTION = ("+", "-", "*")
"""They read alike when turned upside down, the first also on its side."""

EDGE_OF_HEIGHT, EDGE_MM = 0.25, 0.1
"""How far an edge may lie off: less than the narrowest character with its gap."""


@dataclass(slots=True)
class Tally:
    """Counts of one set, or of all; and what went wrong, in words."""

    labels: int = 0
    found: int = 0
    turned: int = 0
    exact: int = 0
    unread: int = 0
    characters: int = 0
    wrong_characters: int = 0
    judged: int = 0
    """Labels found, those left out that touch what the transcription is not sure of."""
    drawings: int = 0
    drawings_taken: int = 0
    seconds: float = 0.0
    failures: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        """Take in the counts of another one."""
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))

    def line(self, name: str) -> str:
        """One line of the table."""
        read = self.found - self.unread
        return (
            f"{name:16} {self.labels:6} {_share(self.found, self.labels)} {_share(self.found, self.judged)} "
            f"{_share(self.turned, self.found)} {_share(self.exact, self.labels)} {_share(self.exact, read)} "
            f"{_share(self.characters - self.wrong_characters, self.characters)} {_share(self.unread, self.found)} "
            f"{self.drawings:8} {self.drawings_taken:6} {self.seconds:7.2f}"
        )


HEADING = (
    f"{'set':16} {'labels':>6} {'recall':>7} {'precis.':>7} {'turned':>7} {'exact':>7} {'of read':>7} "
    f"{'charac.':>7} {'unread':>7} {'drawings':>8} {'taken':>6} {'seconds':>7}"
)


@cache
def reader() -> BuiltInReader:
    """The reader of the package, loaded once."""
    return built_in_reader()


def legend_of(folder: Path, pattern: str) -> Artwork:
    """The one legend file of a set whose name fits the pattern."""
    (path,) = folder.glob(pattern)
    return read_artwork(path.name, path.read_bytes())


def labels_of(artwork: Artwork, side: Side) -> tuple[Label, ...]:
    """All labels found on a legend."""
    layer = Layer((artwork.name,), artwork.shapes, artwork.apertures, artwork.attribute_sets)
    return find_labels(side, layer, reader()).labels


# Transcriptions


def against_transcription(truth: dict) -> Tally:
    """Find and read the labels of one set's regions."""
    tally, labels, artworks = Tally(), {}, {}
    seen: dict[str, list[Box]] = {}
    for region in truth["regions"]:
        side, pattern = Side(region["side"]), region["file"]
        if pattern not in labels:
            artworks[pattern] = legend_of(REAL_BOARDS / truth["set"], pattern)
            start = time.perf_counter()
            labels[pattern] = labels_of(artworks[pattern], side)
            tally.seconds += time.perf_counter() - start
        before = seen.setdefault(pattern, [])
        box = tuple(region["box_mm"])
        inside = [one for one in labels[pattern] if _middle_in(one.box_mm, box)]
        inside = [one for one in inside if not any(_middle_in(one.box_mm, other) for other in before)]
        before.append(box)
        tally.add(_compare(region, inside, f"{truth['set']} {region['board'] or ''} {side}"))
    return tally


def _compare(region: dict, found: list[Label], where: str) -> Tally:
    tally = Tally(drawings=len(region["drawings"]))
    sure = [one for one in region["labels"] if one["certain"]]
    unsure = [box for one in region["labels"] if not one["certain"] for box in one.get("parts_mm", [one["box_mm"]])]
    unsure += region["beyond_mm"]
    partner = _partners(sure, found)
    matched = {id(label) for label in partner.values()}
    for number, one in enumerate(sure):
        label = partner.get(number)
        _count(tally, one, label, where, [other for other in found if id(other) not in matched])
    for label in found:
        if id(label) in matched:
            tally.judged += 1
        elif not any(max(_covered(label.box_mm, box), _covered(box, label.box_mm)) > 0.4 for box in unsure):
            tally.judged += 1
            overlaps = max((_covered(label.box_mm, one["box_mm"]) for one in sure), default=0.0)
            if overlaps < 0.2:
                tally.drawings_taken += 1
                tally.failures.append(f"{where}: drawing taken for {_called(label)}")
            else:
                tally.failures.append(f"{where}: no such label: {_called(label)}")
    return tally


def _count(tally: Tally, one: dict, label: Label | None, where: str, others: Sequence[Label]) -> None:
    """Count one transcribed label."""
    text, box = one["text"], _told(one["box_mm"])
    tally.labels += 1
    if label is None:
        near = [_called(other) for other in others if _covered(one["box_mm"], other.box_mm) > 0.1]
        tally.failures.append(f"{where}: {text!r} at {box} not found whole; there: {', '.join(near) or 'nothing'}")
        return
    tally.found += 1
    off = abs((label.turned_deg - one["turned_deg"] + 180) % 360 - 180)
    tally.turned += off < 10 or text in SIGNS_OF_NO_DIRECTION
    if label.text is None:
        tally.unread += 1
        tally.failures.append(f"{where}: {text!r} at {box} unread")
        return
    tally.characters += len(text)
    tally.wrong_characters += min(len(text), edit_distance(text, label.text))
    tally.exact += label.text == text
    if label.text != text:
        tally.failures.append(
            f"{where}: {text!r} at {box} read as {label.text!r} ({label.text_confidence:.2f}), {off:.0f} deg off"
        )


def _partners(sure: Sequence[dict], found: Sequence[Label]) -> dict[int, Label]:
    """For each transcribed label, by number, the label that has its box."""
    partner = {}
    for number, one in enumerate(sure):
        fitting = [(_edges_off(one["box_mm"], label.box_mm), n) for n, label in enumerate(found)]
        off, best = min(fitting, default=(9.0, -1))
        if best >= 0 and off <= _allowed(one, found[best]):
            partner[number] = found[best]
    return partner


def _allowed(one: dict, label: Label) -> float:
    x0, y0, x1, y1 = one["box_mm"]
    across = x1 - x0 if one["turned_deg"] in (90, 270) else y1 - y0
    height = across if one["turned_deg"] % 90 == 0 and len(one["text"]) > 1 else label.character_height_mm
    return max(EDGE_MM, EDGE_OF_HEIGHT * height)


# References that are drawn as text


@dataclass(slots=True)
class ReferenceTally:
    """Counts of the references of one set."""

    drawn: int = 0
    found: int = 0
    exact: int = 0
    looking_like: int = 0
    true: int = 0
    failures: list[str] = field(default_factory=list)

    def add(self, other: "ReferenceTally") -> None:
        """Take in the counts of another one."""
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))

    def line(self, name: str) -> str:
        """One line of the table."""
        return (
            f"{name:16} {self.drawn:6} {_share(self.found, self.drawn)} {_share(self.exact, self.drawn)} "
            f"{self.looking_like:8} {_share(self.true, self.looking_like)}"
        )


REFERENCE_HEADING = f"{'set':16} {'drawn':>6} {'whole':>7} {'exact':>7} {'readings':>8} {'true':>7}"


def against_references(name: str) -> ReferenceTally:
    """Find and read the references of one set, on both sides."""
    folder, tally = REAL_BOARDS / name, ReferenceTally()
    named = set(_of_netlist(folder))
    for side, pattern in ((Side.TOP, "*F?Silk*"), (Side.BOTTOM, "*B?Silk*")):
        artwork = legend_of(folder, pattern)
        strokes = strokes_of(artwork.shapes, side is Side.BOTTOM)
        texts = sorted(named | set(_of_attributes(artwork)))
        places = whole([place for text in texts for place in standing(text, strokes)], strokes)
        labels = labels_of(artwork, side)
        for place in places:
            _count_reference(tally, place, labels, f"{name} {side}")
        for label in labels:
            if label.text is None or REFERENCE.fullmatch(label.text) is None:
                continue
            tally.looking_like += 1
            there = [place for place in places if place.text == label.text]
            if _stands(label, there) or _stands(label, whole(standing(label.text, strokes), strokes)):
                tally.true += 1
            else:
                tally.failures.append(f"{name} {side}: {_called(label)} stands there on no account")
    return tally


def _count_reference(tally: ReferenceTally, place: Standing, labels: Iterable[Label], where: str) -> None:
    tally.drawn += 1
    off, label = min(((_edges_off(place.box_mm, one.box_mm), one) for one in labels), key=lambda pair: pair[0])
    if off > max(EDGE_MM, EDGE_OF_HEIGHT * label.character_height_mm):
        near = [_called(one) for one in labels if _covered(place.box_mm, one.box_mm) > 0.1]
        what = ", ".join(near) or "nothing"
        tally.failures.append(f"{where}: {place.text} at {_told(place.box_mm)} not found whole; there: {what}")
        return
    tally.found += 1
    tally.exact += label.text == place.text
    if label.text != place.text:
        tally.failures.append(f"{where}: {place.text} read as {_called(label)}")


def _stands(label: Label, places: Iterable[Standing]) -> bool:
    allowed = max(EDGE_MM, EDGE_OF_HEIGHT * label.character_height_mm)
    return any(_edges_off(label.box_mm, place.box_mm) <= allowed for place in places)


def _of_netlist(folder: Path) -> Iterator[str]:
    """References of an IPC-D-356 netlist: columns 21 to 26 of its test records (IPC-D-356A, table 1)."""
    for path in (*folder.glob("*.d356"), *folder.glob("netlist.ipc")):
        for line in path.read_text(errors="replace").splitlines():
            if line[:3] in ("317", "327") and line[20:26].strip() not in ("", "VIA"):
                yield line[20:26].strip()


def _of_attributes(artwork: Artwork) -> Iterator[str]:
    """Components that objects of a legend are said to belong to."""
    for attributes in artwork.attribute_sets:
        for name, values in attributes:
            if name == ".C" and values and values[0]:
                yield values[0]


# Small things


def edit_distance(a: str, b: str) -> int:
    """Fewest characters to insert, delete or replace (Levenshtein)."""
    row = list(range(len(b) + 1))
    for i, one in enumerate(a, 1):
        above, row[0] = row[0], i
        for j, other in enumerate(b, 1):
            above, row[j] = row[j], min(above + (one != other), row[j] + 1, row[j - 1] + 1)
    return row[-1]


def _middle_in(box: Sequence[float], region: Sequence[float]) -> bool:
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return region[0] <= x <= region[2] and region[1] <= y <= region[3]


def _edges_off(a: Sequence[float], b: Sequence[float]) -> float:
    return max(abs(p - q) for p, q in zip(a, b, strict=True))


def _covered(box: Sequence[float], by: Sequence[float]) -> float:
    """Share of a box that another one covers."""
    width, height = min(box[2], by[2]) - max(box[0], by[0]), min(box[3], by[3]) - max(box[1], by[1])
    return max(width, 0.0) * max(height, 0.0) / ((box[2] - box[0]) * (box[3] - box[1]))


def _called(label: Label) -> str:
    text = "an unread label" if label.text is None else f"{label.text!r} ({label.text_confidence:.2f})"
    return f"{text} at {_told(label.box_mm)} turned {label.turned_deg:.0f}"


def _told(box: Sequence[float]) -> str:
    return "({:.1f}, {:.1f})…({:.1f}, {:.1f})".format(*box)


def _share(part: int, of: int) -> str:
    return f"{part / of:7.2%}" if of else "      –"


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--verbose", action="store_true", help="list everything that went wrong")
    parser.add_argument("--only", metavar="SET", help="this set only")
    asked = parser.parse_args()
    if not REAL_BOARDS.is_dir():
        print("Left out: ../shared/real-boards, with the fab sets to measure against, is not there.")
        return
    failures: list[str] = []
    total = Tally()
    print(HEADING)
    for path in sorted(TRANSCRIBED.glob("*.json")):
        truth = json.loads(path.read_text(encoding="utf-8"))
        if asked.only in (None, truth["set"]):
            tally = against_transcription(truth)
            print(tally.line(truth["set"]), flush=True)
            failures += tally.failures
            total.add(tally)
    print(total.line("all"))
    references = ReferenceTally()
    print("\n" + REFERENCE_HEADING)
    for name in REFERENCE_SETS:
        if asked.only in (None, name):
            one = against_references(name)
            print(one.line(name), flush=True)
            failures += one.failures
            references.add(one)
    print(references.line("all"))
    if asked.verbose:
        print("", *failures, sep="\n")


if __name__ == "__main__":
    main()
