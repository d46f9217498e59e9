"""The watch itself: hears, looks, decides, has sets checked, tells; one thread does all of it but hear."""

import os
import queue
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from labelcheck.review.wording import counted, printable, some_of
from labelcheck.trade.file_systems import ON_WINDOWS
from labelcheck.trade.in_force import NOTHING_ASKED, Asked
from labelcheck.trade.units import Unit
from labelcheck.watching.answering import Answering
from labelcheck.watching.deciding import PATIENCE, Act, Decider, Decision, Patience
from labelcheck.watching.folders import base_of, review_folders
from labelcheck.watching.hearing import Ears
from labelcheck.watching.hiring import Hired
from labelcheck.watching.index import INDEX, INDEX_FOLDER, Row, index_page, row_of, row_of_trouble, write_index
from labelcheck.watching.looking import Looked, Looker, Place
from labelcheck.watching.messages import BoardTold, Came, Job, Result
from labelcheck.watching.telling import board_lines
from labelcheck.watching.wholeness import lacking_in

LOOK_EVERY_S = 5.0
"""How often a folder is looked at although nothing was heard: the system may lose what it should tell."""
POLL_EVERY_S = 1.0
"""How often where nothing can be heard."""
LOOK_GAP_S = 0.05
"""Between two looks, however much is heard."""
_BUSY_AT_MOST = 4.0
"""Between two looks passes at least this many times what a look takes."""
_TURN_S = 0.2
"""How often a running command of the person's is seen to."""
_CHECK_ON_WORKER_S = 0.5 if ON_WINDOWS else 30.0
"""At least so often a turn passes; Windows lets no signal end a wait, and Ctrl-C must not wait longer."""


@dataclass(frozen=True, slots=True)
class Options:
    """What the person asks of a watch."""

    limits_file: Path | None = None
    asked: Asked = NOTHING_ASKED
    unit: Unit = "mm"
    out: Path | None = None
    quiet: bool = False
    bell: bool = False
    on_verdict: tuple[str, ...] = ()
    poll: bool = False
    from_now: bool = False
    patience: Patience = PATIENCE


PLAIN = Options()


@dataclass(slots=True)
class _Root:
    """One watched folder."""

    path: Path
    looker: Looker
    look_at_s: float = 0.0
    looked_s: float = float("-inf")
    heard_s: float = float("-inf")
    """When something was heard of it last; set by another thread."""
    cost_s: float = 0.0
    looked: Looked | None = None
    identity: tuple[int, int] | None = None
    """Device and number of the folder: another one where it was replaced."""
    deaf: bool = True
    places: dict[Path, Place] = field(default_factory=dict)
    reviews: dict[Path, Path] = field(default_factory=dict)
    troubles: tuple[str, ...] = ()
    index: str = ""
    """As last written."""


class Watch:
    """Watches folders until it is stopped."""

    def __init__(self, roots: Sequence[Path], options: Options, say: Callable[[str], None]) -> None:
        self._options, self._say_line = options, say
        self._inbox: queue.SimpleQueue[Path | Result | None] = queue.SimpleQueue()
        self._heard_of: set[Path] = set()
        out = None if options.out is None else Path(os.path.abspath(options.out))
        self._out = out
        paths = list(dict.fromkeys(Path(os.path.abspath(root)) for root in roots))
        left_alone = () if out is None or out in paths else (out,)
        self._roots = {path: _Root(path, Looker(path, left_alone)) for path in paths}
        self._decider = Decider(options.patience)
        self._ears = Ears(self._heard)
        self._hired = Hired(self._inbox.put)
        self._answering = Answering(options.on_verdict)
        self._stopped = False
        self._rows: dict[Path, tuple[Row, ...]] = {}
        self._verdicts: dict[Path, str] = {}
        """By review folder."""
        self._trouble_of: dict[Path, str] = {}
        self._begun: set[Path] = set()
        """Sets that a check was begun of."""

    def stop(self) -> None:
        """End the watch; may be called by a signal handler or another thread."""
        self._stopped = True
        self._inbox.put(None)

    def run(self) -> None:
        """Watch until stopped."""
        try:
            self._hired.hire()
            while not self._stopped:
                now_s = time.monotonic()
                self._look_where_due(now_s)
                self._act()
                self._prepare()
                self._hired.end_if_it_hangs(now_s)
                self._tell_trouble_once(Path(), self._answering.turn(now_s))
                self._take(self._next_turn_s())
        finally:
            self._hired.end()
            self._answering.end()
            self._ears.end()

    def _heard(self, root: Path) -> None:
        """From the thread that hears: one message a folder, however much happens in it."""
        self._roots[root].heard_s = time.monotonic()
        if root not in self._heard_of:
            self._heard_of.add(root)
            self._inbox.put(root)

    def _take(self, until_s: float) -> None:
        """Wait for the next message, and take all that are there."""
        try:
            message = self._inbox.get(timeout=max(0.0, until_s - time.monotonic()))
            while True:
                if isinstance(message, Result):
                    self._came(message)
                elif message is not None:
                    self._heard_of.discard(message)
                    root = self._roots[message]
                    gap_s = max(LOOK_GAP_S, _BUSY_AT_MOST * root.cost_s)
                    root.look_at_s = min(root.look_at_s, root.looked_s + gap_s)
                message = self._inbox.get_nowait()
        except queue.Empty:
            return

    def _next_turn_s(self) -> float:
        now_s = time.monotonic()
        times = [now_s + _CHECK_ON_WORKER_S, *(root.look_at_s for root in self._roots.values())]
        due_s = self._decider.next_s()
        # While the worker has a job, sets that are due wait for its result, not for the clock.
        if due_s is not None and (self._hired.free or due_s > now_s):
            times.append(due_s)
        if self._hired.may_prepare and (prepare_s := self._decider.prepare_at_s()) is not None:
            times.append(prepare_s)
        if self._answering.busy:
            times.append(now_s + _TURN_S)
        return min(times)

    def _look_where_due(self, now_s: float) -> None:
        for root in self._roots.values():
            if now_s >= root.look_at_s:
                self._look(root)

    def _look(self, root: _Root) -> None:
        """Look at one folder, and pass on what is there."""
        begun_s, before_s = time.monotonic(), root.looked_s
        first = root.looked is None
        self._listen(root)
        looked = root.looker.look()
        now_s, heard_s = time.monotonic(), root.heard_s
        root.looked_s, root.cost_s = now_s, now_s - begun_s
        # What is seen now changed when it was heard of last, not when there was time to look.
        changed_s = heard_s if before_s < heard_s <= now_s else now_s
        every_s = POLL_EVERY_S if root.deaf else LOOK_EVERY_S
        root.look_at_s = now_s + max(every_s, _BUSY_AT_MOST * root.cost_s)
        self._note_place(root, looked, first)
        seen = {place.path: (place.stamps, place.limits) for place in root.places.values()}
        before = [path for path in self._decider_keys(root) if path not in seen]
        self._decider.saw(seen, before, changed_s, reviewed=self._options.from_now and first)

    def _decider_keys(self, root: _Root) -> list[Path]:
        """Known sets that lay in a folder and in no other one now."""
        elsewhere = {path for other in self._roots.values() if other is not root for path in other.places}
        return [path for path in self._known_of(root) if path not in elsewhere]

    def _roots_above(self, key: Path) -> list[_Root]:
        return [root for root in self._roots.values() if root.path == key or root.path in key.parents]

    def _known_of(self, root: _Root) -> list[Path]:
        return [path for path in self._decider.known() if path == root.path or root.path in path.parents]

    def _note_place(self, root: _Root, looked: Looked, first: bool) -> None:
        """What lies in a folder now, and what is to be said about the folder itself."""
        others = {
            os.path.realpath(path)
            for other in self._roots.values()
            if other is not root
            for path in other.places
        }
        root.places = {
            place.path: place for place in looked.places if not others or os.path.realpath(place.path) not in others
        }
        out = self._out
        if out is not None and len(self._roots) > 1:
            out = out / root.path.name
        root.reviews = review_folders(root.path, root.places.values(), out, looked.is_set)
        was_there = root.looked is not None and root.looked.there
        root.looked = looked
        if first and looked.there:
            self._say(_opening(root.path, looked))
        elif first:
            self._say(f"{root.path}: This folder is not there yet. It is watched as soon as it is.")
        elif was_there and not looked.there:
            told = "The folder is gone, or its drive is. It is watched again when it is back."
            self._say(f"{_clock()}  {root.path}: {told}")
        elif looked.there and not was_there:
            self._say(f"{_clock()}  {root.path}: The folder is there now.")
        for trouble in looked.troubles:
            if trouble not in root.troubles:
                self._say(trouble)
        root.troubles = looked.troubles

    def _listen(self, root: _Root) -> None:
        """Keep listening to the folder that stands at the path now."""
        try:
            status = os.stat(root.path)
            identity = (status.st_dev, status.st_ino)
        except OSError:
            if root.identity is not None:
                self._ears.leave(root.path)
            root.identity, root.deaf = None, True
            return
        if self._options.poll:
            root.identity = identity
            return
        if identity == root.identity and (root.deaf or not self._ears.deaf_to(root.path)):
            return
        root.identity = identity
        why = self._ears.listen(root.path)
        root.deaf = why is not None
        if why is not None:
            told = f"The system tells of no changes here ({why}). It is looked at every {POLL_EVERY_S:g} s instead."
            self._say(f"{root.path}: {told}")

    def _act(self) -> None:
        """Do what is decided; a set is looked at again right before it is inspected."""
        for _ in range(3):
            decisions = self._decider.decide(time.monotonic(), self._hired.free)
            to_inspect = [decision for decision in decisions if decision.act is Act.INSPECT]
            for root in self._roots.values():
                if any(decision.key in root.places for decision in to_inspect):
                    self._look(root)
            for decision in decisions:
                self._do(decision)
            if not to_inspect:
                return

    def _prepare(self) -> None:
        """Use the quiet time: begin a check that is likely to be due, and drop one that is not any more."""
        if self._hired.prepares is not None and not self._decider.is_prepared(self._hired.prepares):
            self._hired.give_up()
        if not self._hired.may_prepare or (key := self._decider.to_prepare(time.monotonic())) is None:
            return
        if (root := self._root_of(key)) is not None:
            self._look(root)
        root = self._root_of(key)  # it may be gone by now
        if root is not None and self._decider.is_prepared(key) and not lacking_in(root.places[key]):
            self._hired.prepare(self._job(key, root))

    def _root_of(self, key: Path) -> _Root | None:
        return next((root for root in self._roots.values() if key in root.places), None)

    def _job(self, key: Path, root: _Root) -> Job:
        alone = root.looked is not None and root.looked.is_set
        options = self._options
        return Job(key, root.reviews[key], options.limits_file, options.asked, options.unit, alone)

    def _do(self, decision: Decision) -> None:
        root = self._root_of(decision.key)
        if decision.act is Act.TELL_GONE:
            self._forget(decision.key)
        elif root is None:
            if decision.act is Act.CHECK:
                self._decider.finished(decision.key, time.monotonic())
        elif decision.act is Act.INSPECT:
            place = root.places[decision.key]
            self._decider.inspected(decision.key, (place.stamps, place.limits), lacking_in(place))
        elif decision.act is Act.TELL_CUT_SHORT:
            if not root.places[decision.key].is_folder:
                return  # of a zip that does not open the check that follows tells
            names = some_of([printable(name) for name in decision.names], 3)
            verb = "stays" if len(decision.names) == 1 else "stay"
            told = f"{names} {verb} cut short: the end of the file is missing. Export again."
            self._say(f"{_clock()}  {printable(decision.key.name)}  {told}")
        else:
            self._begun.add(decision.key)
            self._hired.give(self._job(decision.key, root), time.monotonic())

    def _forget(self, key: Path) -> None:
        # Of a folder that is gone as a whole it is told once.
        there = any(root.looked is not None and root.looked.there for root in self._roots_above(key))
        if there and key in self._begun:
            stays = any(row.folder is not None for row in self._rows.get(key, ()))
            rest = "its review stays" if stays else "it was not checked to the end"
            self._say(f"{_clock()}  {printable(key.name)}  The set is gone; {rest}.")
        self._begun.discard(key)
        self._rows.pop(key, None)
        self._trouble_of.pop(key, None)
        self._write_indexes()

    def _came(self, result: Result) -> None:
        """A check came to its end."""
        now_s = time.monotonic()
        told = self._hired.took(result, now_s)
        if told is None:
            return
        self._decider.finished(told.path, now_s, written=told.came is not Came.NOT_WRITTEN)
        if not os.path.lexists(told.path):
            return  # deleted during its check, which is told as such
        for board in told.boards:
            self._tell(board)
        self._tell_trouble_once(told.path, told.trouble)
        rows = [row_of(board) for board in told.boards]
        if told.trouble is not None:
            rows.append(row_of_trouble(told.path, told.trouble, datetime.now(UTC)))
        self._rows.pop(told.path, None)  # so that the last that was told is the last here
        self._rows[told.path] = tuple(sorted(rows, key=lambda row: row.name))
        self._write_indexes()

    def _tell(self, board: BoardTold) -> None:
        changed = self._verdicts.get(board.folder) != board.verdict
        if board.folder not in self._verdicts and board.changes is not None:
            changed = board.changes.verdict_changed
        elif board.folder not in self._verdicts and board.came is Came.CURRENT:
            changed = False
        self._verdicts[board.folder] = board.verdict
        if changed or not self._options.quiet:
            lines = board_lines(board, _clock(), self._options.unit)
            for line in lines[:1] if self._options.quiet else lines:
                self._say(line)
        if changed and self._options.bell:
            self._say_line("\a")
        if changed and self._options.on_verdict:
            self._answering.verdict_changed(board)

    def _tell_trouble_once(self, key: Path, trouble: str | None) -> None:
        if trouble is None:
            if key != Path():
                self._trouble_of.pop(key, None)
            return
        if self._trouble_of.get(key) != trouble:
            self._trouble_of[key] = trouble
            name = f"{printable(key.name)}  " if key != Path() else ""
            # The problems of a limits file are told one a line.
            first, *others = (printable(line) for line in trouble.splitlines() or [""])
            self._say("\n          ".join([f"{_clock()}  {name}{first}", *others]))

    def _write_indexes(self) -> None:
        """The index of every drop folder, where it changed."""
        for root in self._roots.values():
            looked = root.looked
            if looked is None or not looked.there or looked.is_set:
                continue
            out = self._out if self._out is None or len(self._roots) == 1 else self._out / root.path.name
            folder = base_of(root.path, looked.is_set, out) / INDEX_FOLDER
            rows = [row for path, told in reversed(self._rows.items()) if path in root.places for row in told]
            page = index_page(f"Fab sets in {root.path.name}", rows, folder)
            if page == root.index or (not root.places and not (folder / INDEX).exists()):
                continue
            if out is None and not root.path.is_dir():
                continue  # moved away since it was looked at; it must not be made anew
            sets = [place.path for place in root.places.values() if place.is_folder]
            trouble = write_index(folder, page, sets, with_parents=out is not None)
            if trouble is None:
                root.index = page
            self._tell_trouble_once(folder, trouble)

    def _say(self, line: str) -> None:
        self._say_line(line)


def _opening(root: Path, looked: Looked) -> str:
    if looked.is_set:
        return f"Watching the export folder {printable(str(root))}. Ctrl-C ends it."
    sets = counted(len(looked.places), "set")
    return f"Watching the drop folder {printable(str(root))} with {sets}. Ctrl-C ends it."


def _clock() -> str:
    return datetime.now().strftime("%H:%M:%S")
