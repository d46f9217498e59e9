"""Whole fab sets damaged as disks, downloads and people damage them, checked from files to the written record."""

import os
import random
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import Enum, auto
from functools import cache
from pathlib import Path

from labelcheck.board.limits_beside import limits_of_set
from labelcheck.checking import check_path
from labelcheck.review.contents import Verdict
from labelcheck.review.record import record_text
from labelcheck.review.summary import summarise
from labelcheck.review.writing import write_review
from labelcheck.trade.limits import limits_for
from tests.sets_made import a_set

from .mangling import json_mangled, mangled
from .running import Outcome, judge
from .seeds import BOARDS, seeds_of, zipped
from .targets import TARGETS

NOW = datetime(2026, 1, 31, 12, 0, 0, tzinfo=UTC)
WRITTEN_EACH = 10
"""Of so many checked sets one is written whole, with its pictures and its page."""
HUGE_BYTES = 300_000_000
ENDS = {"gbr": b"M02*", "xnc": b"M30", "drl": b"M30"}
NEEDED = ("legend", "Silkscreen", "mask", "Mask", "profile", "Edge_Cuts", "plated", ".drl", "copper", "_Cu")
"""Parts of the names of files without which nothing may be released."""


class Expected(Enum):
    """What a damaged set must come to."""

    HELD = auto()
    """Held, or refused with a clear error."""
    SAME = auto()
    """The same labels as the sound set, or held or refused."""
    ANY = auto()
    """No fault of ours; what was lost may not be visible in what is left."""


@dataclass(slots=True)
class Set:
    """A set on its way to the disk; mutable while it is damaged."""

    files: dict[str, bytes]
    odd: dict[str, Callable[[Path], None]] = field(default_factory=dict)
    """Things that are no files, by name, with what makes them."""
    packed: Callable[[bytes], bytes] | None = None
    """For a set in a zip: what becomes of the zip."""

    def some(self, chance: random.Random, *parts: str) -> str:
        """A name that holds one of these parts; any where none is given."""
        return chance.choice(
            [name for name in sorted(self.files) if not parts or any(part in name for part in parts)]
        )


Damage = Callable[[random.Random, Set], Expected]


@cache
def sound_sets() -> tuple[dict[str, bytes], ...]:
    """A set of five small files, and the two demo boards without faults."""
    demos = [
        {path.name: path.read_bytes() for path in sorted((BOARDS / name).iterdir()) if path.name != "expected.json"}
        for name in ("signal-head", "turnout-driver")
    ]
    return ({name: text.encode() for name, text in a_set().items()}, *demos)


def run_sets(seed: int, numbers: range, only: str | None = None) -> Outcome:
    """Check a damaged set for each number."""
    outcome = Outcome("set")
    for number in numbers:
        judge(outcome, seed, number, lambda number=number: _bear(seed, number, only))
    return outcome


def _bear(seed: int, number: int, only: str | None) -> None:
    chance = random.Random(f"set {seed} {number}")
    which = chance.choice((0, 0, 0, 1, 1, 2))
    damaged = Set(dict(sound_sets()[which]))
    damage = chance.choice([one for one in DAMAGES if only is None or one.__name__ == only])
    expected = damage(chance, damaged)
    with tempfile.TemporaryDirectory() as folder:
        place = _on_disk(Path(folder), damaged)
        checked = check_path(place, limits_of_set(place), NOW)
        for one in checked:
            record_text(one.review)
            summarise(one.review)
        if number % WRITTEN_EACH == 0:
            write_review(Path(folder) / "review", checked[0].review, checked[0].board, "mm")
    released = all(one.review.verdict is Verdict.RELEASE for one in checked)
    labels = sum(len(one.review.labels) for one in checked)
    called = f"{damage.__name__} of set {which}"
    assert not (released and expected is Expected.HELD), f"{called} was released"
    assert not (released and expected is Expected.SAME and labels != _labels(which)), f"{called}: {labels} labels"


@cache
def _labels(which: int) -> int:
    with tempfile.TemporaryDirectory() as folder:
        (checked,) = check_path(_on_disk(Path(folder), Set(sound_sets()[which])), limits_for(), NOW)
    assert checked.review.verdict is Verdict.RELEASE
    return len(checked.review.labels)


def _on_disk(folder: Path, damaged: Set) -> Path:
    if damaged.packed is not None:
        (folder / "set.zip").write_bytes(damaged.packed(zipped(damaged.files)))
        return folder / "set.zip"
    place = folder / "set"
    for name, data in damaged.files.items():
        path = place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    for name, make in damaged.odd.items():
        place.mkdir(exist_ok=True)
        make(place / name)
    return place


def content_mangled(chance: random.Random, damaged: Set) -> Expected:
    """Bytes or commands of one to three files."""
    for _ in range(chance.choice((1, 1, 1, 3))):
        name = damaged.some(chance, *chance.choice((("legend", "Silkscreen"), ("",))))
        other = damaged.files[damaged.some(chance)]
        if name.endswith("job") and chance.random() < 0.7:
            damaged.files[name] = json_mangled(chance, damaged.files[name])
        else:
            damaged.files[name] = mangled(chance, damaged.files[name], TARGETS[_kind(name)].dialect, other)
    return Expected.ANY


def lists_mangled(chance: random.Random, damaged: Set) -> Expected:
    """Everything that tells of parts and of files, and nothing that is drawn on the board."""
    for name in sorted(damaged.files):
        if _kind(name) == "job":
            damaged.files[name] = json_mangled(chance, damaged.files[name])
        elif _kind(name) in ("placement", "netlist") or "pnp" in name:
            damaged.files[name] = mangled(chance, damaged.files[name], TARGETS[_kind(name)].dialect, b"")
    return Expected.ANY


def _kind(name: str) -> str:
    endings = {
        "xnc": "drill",
        "drl": "drill",
        "gbrjob": "job",
        "csv": "placement",
        "ipc": "netlist",
        "d356": "netlist",
    }
    return endings.get(name.rpartition(".")[2], "artwork")


def file_cut_short(chance: random.Random, damaged: Set) -> Expected:
    """A file that matters without its end."""
    name = damaged.some(chance, *NEEDED)
    data = damaged.files[name]
    end = data.rindex(ENDS[name.rpartition(".")[2]])
    damaged.files[name] = data[: chance.choice((0, 1, end, end + 1, chance.randrange(end), chance.randrange(end)))]
    return Expected.HELD


def file_garbled(chance: random.Random, damaged: Set) -> Expected:
    """A file that matters full of something else."""
    name = damaged.some(chance, "legend", "Silkscreen", "mask", "Mask")
    other = [
        bytes(5000),
        chance.randbytes(5000),
        b"\x89PNG\r\n\x1a\n" + bytes(99),
        b"<html>not found</html>",
        b"\n",
        b"*",
    ]
    damaged.files[name] = chance.choice(other)
    return Expected.HELD


def file_lost(chance: random.Random, damaged: Set) -> Expected:
    """A legend or a mask that is not there."""
    del damaged.files[damaged.some(chance, "legend", "Silkscreen", "mask", "Mask")]
    return Expected.HELD


def anything_lost(chance: random.Random, damaged: Set) -> Expected:
    """Some files that are not there."""
    for _ in range(chance.randrange(1, len(damaged.files))):
        del damaged.files[damaged.some(chance)]
    return Expected.ANY


def not_a_file(chance: random.Random, damaged: Set) -> Expected:
    """A legend or mask of which only a folder, a pipe or a broken link is left."""
    name = damaged.some(chance, "legend", "Silkscreen", "mask", "Mask")
    del damaged.files[name]
    damaged.odd[name] = chance.choice(
        (Path.mkdir, os.mkfifo, _linked_to("nowhere"), _linked_to(name), _linked_to("/dev/zero"))
    )
    return Expected.HELD


def _linked_to(target: str) -> Callable[[Path], None]:
    return lambda path: path.symlink_to(target)


def far_too_large(chance: random.Random, damaged: Set) -> Expected:
    """A legend or mask with hundreds of megabytes of nothing behind it."""
    name = damaged.some(chance, "legend", "Silkscreen", "mask", "Mask")
    del damaged.files[name]
    damaged.odd[name] = _huge
    return Expected.HELD


def _huge(path: Path) -> None:
    with path.open("wb") as stream:
        stream.truncate(HUGE_BYTES)


def strangers_added(chance: random.Random, damaged: Set) -> Expected:
    """Things that lie about in folders."""
    strangers = {
        "notes.txt": b"order 20 of these",
        "photo.jpg": b"\xff\xd8\xff" + chance.randbytes(2000),
        "empty": b"",
        "board.bak": chance.randbytes(3000),
        ".hidden.gbr": b"G04*",
        "Thumbs.db": b"x",
        "~$lock": b"x",
        "deep/er/still/and/more/x.gbr": b"G04 x*M02*",
        "parts.csv": b"a,b\n1,2\n",
        "x.pdf": b"%PDF-1.4 %\n",
    }
    for name in chance.sample(sorted(strangers), 3):
        damaged.files[name] = strangers[name]
    damaged.odd["pipe"] = os.mkfifo
    return Expected.SAME


def renamed(chance: random.Random, damaged: Set) -> Expected:
    """Names in other cases, with other endings, with signs that nobody expects."""
    names = [damaged.some(chance)] if chance.random() < 0.7 else sorted(damaged.files)
    change = chance.choice(
        (
            str.upper,
            str.swapcase,
            lambda name: name + ".txt",
            lambda name: name.rpartition(".")[0],
            lambda name: name.rpartition(".")[0] + ".GBR",
            lambda name: name.replace("-", " "),
            lambda name: name.replace("e", "é"),
            lambda name: name + "\n",
            lambda name: "a" * 150 + name,
            lambda name: name.encode().replace(b"e", b"\xe9").decode("utf-8", "surrogateescape"),
            lambda name: "-" + name,
            lambda name: name + ".",
            lambda name: "sub folder/" + name,
            lambda name: name + ".bak",
            lambda name: "".join(chance.choices("abcdefgh", k=6)),
            lambda name: "".join(chance.choices("abcdefgh", k=6)) + ".gbr",
            lambda name: "%s%d{0}" + name,
            lambda name: "\x1b[31m" + name,
        )
    )
    for name in names:
        damaged.files[change(name)] = damaged.files.pop(name)
    return Expected.SAME


def copied(chance: random.Random, damaged: Set) -> Expected:
    """Files that are there twice."""
    for _ in range(chance.choice((1, 3))):
        name = damaged.some(chance)
        stem, _, ending = name.rpartition(".")
        new = chance.choice(
            (f"{stem} (1).{ending}", f"{stem}-old.{ending}", f"copy/{name}", f"{name}.bak", f"x-{name}")
        )
        damaged.files[new] = damaged.files[name]
    return Expected.SAME


def limits_beside(chance: random.Random, damaged: Set) -> Expected:
    """A limits file among the files, mostly one written in haste."""
    text = chance.choice(seeds_of("limits"))
    if chance.random() < 0.8:
        text = mangled(chance, text, TARGETS["limits"].dialect, chance.choice(seeds_of("limits")))
    damaged.files[chance.choice(("labelcheck.toml", "labelcheck.toml", "LABELCHECK.TOML"))] = text
    return Expected.ANY


def swapped(chance: random.Random, damaged: Set) -> Expected:
    """Two files that have each other's content."""
    one, two = damaged.some(chance), damaged.some(chance)
    damaged.files[one], damaged.files[two] = damaged.files[two], damaged.files[one]
    return Expected.ANY


def transcribed(chance: random.Random, damaged: Set) -> Expected:
    """Every text in another encoding or with other line ends."""
    change = chance.choice(
        (
            lambda data: data.replace(b"\n", b"\r\n"),
            lambda data: data.replace(b"\n", b"\r"),
            lambda data: b"\xef\xbb\xbf" + data,
            lambda data: data.decode().encode("utf-16"),
            lambda data: data + b"\x1a",
            lambda data: data + bytes(512),
            lambda data: b"\n\n" + data,
            lambda data: data.replace(b"\n", b"\n\n"),
            lambda data: data.replace(b"\n", b" \n"),
        )
    )
    for name, data in damaged.files.items():
        damaged.files[name] = change(data)
    return Expected.SAME


def zip_sound(chance: random.Random, damaged: Set) -> Expected:
    """The set in a zip, and the zip with something before or behind it."""
    before, behind = chance.choice((b"", b"#!/bin/sh\n")), chance.choice((b"", b"comment"))
    damaged.packed = lambda data: before + data + behind
    return Expected.SAME


def zip_cut_short(chance: random.Random, damaged: Set) -> Expected:
    """A download that broke off."""
    part = chance.random()
    damaged.packed = lambda data: data[: int(part * (len(data) - 1))]
    return Expected.HELD


def zip_mangled(chance: random.Random, damaged: Set) -> Expected:
    """Bytes of the zip turned, lost, doubled."""
    damaged.packed = lambda data: mangled(chance, data, TARGETS["zip"].dialect, data)
    return Expected.SAME


def zip_in_folder(chance: random.Random, damaged: Set) -> Expected:
    """The zip beside nothing, or beside its own files, or as a folder of zips."""
    packed = zipped(damaged.files, zipfile.ZIP_STORED)
    if chance.random() < 0.5:
        damaged.files.clear()
    damaged.files["order.zip"] = packed if chance.random() < 0.7 else packed[: chance.randrange(len(packed))]
    return Expected.SAME


def two_boards(chance: random.Random, damaged: Set) -> Expected:
    """The files of two boards in one folder."""
    damaged.files |= chance.choice(sound_sets())
    return Expected.ANY


DAMAGES: tuple[Damage, ...] = (
    content_mangled,
    content_mangled,
    content_mangled,
    lists_mangled,
    lists_mangled,
    limits_beside,
    file_cut_short,
    file_cut_short,
    file_garbled,
    file_lost,
    anything_lost,
    not_a_file,
    far_too_large,
    strangers_added,
    renamed,
    renamed,
    copied,
    swapped,
    transcribed,
    zip_sound,
    zip_cut_short,
    zip_mangled,
    zip_in_folder,
    two_boards,
)
