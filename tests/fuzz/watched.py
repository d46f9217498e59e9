"""Drop folders in which exports are made, cut short, renamed and deleted at random; what the watch decides of them.

Disk, looking, wholeness and deciding are those of a watch; the clock is a number and the worker only notes the bytes
that it was given, so that hours of watching pass in a second.
"""

import os
import random
import shutil
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from labelcheck.board.opening import open_sets
from labelcheck.trade.errors import LabelcheckError
from labelcheck.watching.deciding import Act, Decider, Signature
from labelcheck.watching.folders import review_folders
from labelcheck.watching.looking import Looker, Place
from labelcheck.watching.wholeness import lacking_in
from tests.sets_made import a_set, artwork, word, write

from .running import Outcome, judge
from .seeds import seeds_of, zipped

EVENTS_AT_MOST = 25
LOOK_EVERY_S = 5.0
HEARD = 0.7
"""Share of events that the system tells of at once."""
SETTLED_S = 120.0
"""After the last event, everything must have come to rest."""
CHECK_TAKES_S = (0.1, 1.0, 7.0)
PAUSES_S = (0.0, 0.05, 0.3, 0.9, 3.0, 12.0)

Event = Callable[[random.Random, Path], None]


@dataclass(slots=True)
class Watched:
    """One watch over one folder; mutable while time passes."""

    root: Path
    takes_s: float
    now_s: float = 0.0
    decider: Decider = field(default_factory=Decider)
    looker: Looker = field(init=False)
    seen: dict[Path, Signature] = field(default_factory=dict)
    places: dict[Path, Place] = field(default_factory=dict)
    at_work: Path | None = None
    ends_s: float = 0.0
    begun: list[tuple[Path, Signature]] = field(default_factory=list)
    checked: dict[Path, str | None] = field(default_factory=dict)
    """The fingerprints of what each set's last check was given; None where it could not be opened."""

    def __post_init__(self) -> None:
        self.looker = Looker(self.root)

    def look(self) -> None:
        """What lies there now goes to the decider, as the watch's loop passes it on."""
        looked = self.looker.look()
        self.places = {place.path: place for place in looked.places}
        folders = review_folders(self.root, looked.places, None, looked.is_set)
        assert len(set(folders.values())) == len(looked.places), "two sets would have one review"
        assert all("\n" not in repr(trouble) for trouble in looked.troubles)
        self.seen = {place.path: (place.stamps, place.limits) for place in looked.places}
        away = [key for key in self.decider.known() if key not in self.seen]
        self.decider.saw(self.seen, away, self.now_s)

    def turn(self) -> None:
        """Do what is decided now."""
        if self.at_work is not None and self.now_s >= self.ends_s:
            self.decider.finished(self.at_work, self.now_s)
            self.at_work = None
        for _ in range(3):
            decisions = self.decider.decide(self.now_s, free=self.at_work is None)
            if any(decision.act is Act.INSPECT for decision in decisions):
                self.look()
            for decision in decisions:
                if decision.act is Act.INSPECT and decision.key in self.places:
                    lacking = lacking_in(self.places[decision.key])
                    self.decider.inspected(decision.key, self.seen[decision.key], lacking)
                elif decision.act is Act.CHECK:
                    assert self.at_work is None, "two checks at once"
                    self.begun.append((decision.key, decision.signature))
                    self.checked[decision.key] = fingerprint_of(decision.key)
                    self.at_work, self.ends_s = decision.key, self.now_s + self.takes_s

    def until(self, end_s: float) -> None:
        """Let time pass, with a look every few seconds."""
        while self.now_s < end_s:
            due = [time for time in (self.decider.next_s(), self.ends_s if self.at_work else None) if time]
            later = [time for time in due if time > self.now_s]
            self.now_s = min([end_s, self.now_s + LOOK_EVERY_S, *later])
            self.look()
            self.turn()


def fingerprint_of(path: Path) -> str | None:
    """Of the bytes of all boards of a set; None where it cannot be opened."""
    try:
        return " ".join(one.fingerprint for one in open_sets(path))
    except LabelcheckError:
        return None


def run_watched(seed: int, numbers: range) -> Outcome:
    """Watch one folder for each number."""
    outcome = Outcome("watch")
    for number in numbers:
        judge(outcome, seed, number, lambda number=number: _bear(seed, number))
    return outcome


def _bear(seed: int, number: int) -> None:
    chance = random.Random(f"watch {seed} {number}")
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "drop"
        root.mkdir()
        watched = Watched(root, chance.choice(CHECK_TAKES_S))
        for _ in range(chance.randrange(1, EVENTS_AT_MOST)):
            with suppress(OSError):  # a file where it wanted a folder, say: nothing happened
                chance.choice(EVENTS)(chance, root)
            if chance.random() < HEARD:
                watched.look()
            watched.until(watched.now_s + chance.choice(PAUSES_S))
        watched.until(watched.now_s + SETTLED_S)
        _judge(watched)


def _judge(watched: Watched) -> None:
    """Every set that is there was checked last with the bytes that it has, and nothing is left to be done."""
    assert watched.decider.next_s() is None and watched.at_work is None, "it never comes to rest"
    for key, signature in watched.seen.items():
        last = [one for begun, one in watched.begun if begun == key]
        assert last and last[-1] == signature, f"{key.name} was not checked in its last state"
        assert watched.checked[key] == fingerprint_of(key), f"{key.name} was checked with other bytes"
    assert set(watched.decider.known()) == set(watched.seen)
    for before, after in zip(watched.begun, watched.begun[1:], strict=False):
        assert before != after, f"{after[0].name} was checked twice in one state"


NAMES = ("crossing", "signal head", "points/left", "points/right", "ünder°", "deep/er/still", "a.zip", "b.ZIP")


def _files(chance: random.Random) -> dict[str, str]:
    return a_set(artwork("Legend,Top", chance.choice((0.08, 0.18)), word(chance.randrange(3, 9), 10, 1.5)))


def exported(chance: random.Random, root: Path) -> None:
    """A set, whole, as a folder or as a zip."""
    path, files = root / chance.choice(NAMES), _files(chance)
    if path.suffix.lower() == ".zip":
        path.write_bytes(zipped({name: text.encode() for name, text in files.items()}))
    else:
        write(path, files)


def exported_in_part(chance: random.Random, root: Path) -> None:
    """An export under way: some files, the last one cut short."""
    files = _files(chance)
    names = chance.sample(sorted(files), chance.randrange(1, len(files)))
    files = {name: files[name] for name in names}
    files[names[-1]] = files[names[-1]][: chance.randrange(len(files[names[-1]]))]
    write(root / chance.choice(NAMES[:6]), files)


def a_file_lost(chance: random.Random, root: Path) -> None:
    """A file deleted."""
    chance.choice(_all_files(root)).unlink()


def a_file_damaged(chance: random.Random, root: Path) -> None:
    """A file overwritten with something else, in place or by renaming."""
    path = chance.choice(_all_files(root))
    data = chance.choice((b"", b"hello", path.read_bytes()[:-7], chance.choice(seeds_of("artwork"))))
    if chance.random() < 0.5:
        path.write_bytes(data)
    else:
        new = path.with_name(path.name + ".new")
        new.write_bytes(data)
        os.replace(new, path)


def touched(chance: random.Random, root: Path) -> None:
    """A file with another time."""
    os.utime(chance.choice(_all_files(root)), ns=(chance.randrange(10**18), chance.randrange(10**18)))


def moved(chance: random.Random, root: Path) -> None:
    """A set under another name, or two that change places."""
    one, two = root / chance.choice(NAMES), root / chance.choice(NAMES)
    if two.exists():
        os.rename(two, root / "aside")
    os.rename(one, two)
    if (root / "aside").exists():
        os.rename(root / "aside", one)


def deleted(chance: random.Random, root: Path) -> None:
    """A set that is gone, or everything."""
    path = chance.choice((*(root / name for name in NAMES), root))
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def brought_back(_chance: random.Random, root: Path) -> None:
    """The watched folder, where it was away."""
    root.mkdir(exist_ok=True)


def limits_written(chance: random.Random, root: Path) -> None:
    """A limits file above or in a set."""
    folder = chance.choice((root, root / chance.choice(NAMES[:6])))
    (folder / "labelcheck.toml").write_bytes(chance.choice(seeds_of("limits")))


def strangers(chance: random.Random, root: Path) -> None:
    """What is no set: pictures, pipes, links, folders named like layers, zips of nothing."""
    place = chance.choice((root, root / chance.choice(NAMES[:6])))
    what = chance.randrange(6)
    if what == 0:
        (place / "photo.jpg").write_bytes(b"\xff\xd8")
    elif what == 1:
        os.mkfifo(place / "top.gbr")
    elif what == 2:
        (place / "circle").symlink_to(root)
    elif what == 3:
        (place / f"folder-{chance.randrange(3)}.gbr").mkdir()
    elif what == 4:
        (place / "to-nowhere.gbr").symlink_to("nowhere")
    else:
        with zipfile.ZipFile(place / "pictures.zip", "w") as archive:
            archive.writestr("a.jpg", b"\xff\xd8")


def _all_files(root: Path) -> list[Path]:
    found = sorted(path for path in root.rglob("*") if path.is_file())
    if not found:
        raise FileNotFoundError(root)
    return found


EVENTS: tuple[Event, ...] = (
    exported,
    exported,
    exported,
    exported_in_part,
    exported_in_part,
    a_file_lost,
    a_file_damaged,
    a_file_damaged,
    touched,
    moved,
    deleted,
    brought_back,
    limits_written,
    strangers,
)
