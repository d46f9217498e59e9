"""Decides what is to be done about the watched sets: a pure object that looks at no clock, disk or thread.

What was seen goes in with its time, decisions come out. A set is known by a key (its path), its state by a signature
(names, sizes and times of its files): equal signatures are equal states, whatever they are made of.
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from enum import Enum, auto
from pathlib import Path

Signature = Hashable
"""Equal where nothing of a set changed."""


@dataclass(frozen=True, slots=True)
class Patience:
    """How long to wait for what, in seconds."""

    settled_s: float = 0.05
    """Without a change for so long, a check may be prepared: begun in the quiet time, thrown away if more changes."""
    quiet_s: float = 0.8
    """Without a change for so long, an export is taken to be complete."""
    gathering_s: float = 10.0
    """A set that never comes to rest is checked after so long all the same, where it is whole."""
    cut_short_s: float = 4.0
    """Without a change for so long, a file that is not whole stays so."""
    gone_s: float = 2.0
    """A set that is away for so long is gone; programs delete their files before they write them anew."""
    retry_s: float = 5.0
    """How soon a check is tried again whose review could not be written; twice as long after each failure …"""
    retry_at_most_s: float = 60.0
    """… up to this."""


PATIENCE = Patience()


class Act(Enum):
    """What is to be done about a set."""

    INSPECT = auto()
    """Look at it again and say whether its files are whole."""
    CHECK = auto()
    TELL_CUT_SHORT = auto()
    """Say that `names` stay cut short; a check of them follows."""
    TELL_GONE = auto()


@dataclass(frozen=True, slots=True)
class Decision:
    """One thing to be done about one set."""

    act: Act
    key: Path
    signature: Signature = None
    names: tuple[str, ...] = ()


@dataclass(slots=True)
class _Watched:
    """One set; mutable, and never seen outside of the decider."""

    signature: Signature
    """As last seen; None while it is away."""
    changed_s: float
    dirty_since_s: float | None
    """First change since the last check began; None where there was none."""
    preparing: Signature = None
    """What a check was last prepared for."""
    checking: Signature = None
    checked: Signature = None
    """What the last check that came to an end was begun for."""
    inspected: Signature = None
    lacking: tuple[str, ...] = ()
    """Files that were not whole when it was inspected."""
    told_lacking: tuple[str, ...] = ()
    retry_at_s: float | None = None
    retry_s: float = 0.0


class Decider:
    """Everything known of the sets of one watch."""

    def __init__(self, patience: Patience = PATIENCE) -> None:
        self._patience = patience
        self._sets: dict[Path, _Watched] = {}

    def saw(self, seen: Mapping[Path, Signature], of: Iterable[Path], now_s: float, reviewed: bool = False) -> None:
        """A look at the disk: the sets that are there, and of which known sets it can tell that they are not.

        `reviewed`: what is seen for the first time counts as checked.
        """
        for key, signature in seen.items():
            known = self._sets.get(key)
            if known is None:
                checked = signature if reviewed else None
                self._sets[key] = _Watched(signature, now_s, None if reviewed else now_s, checked=checked)
            elif known.signature != signature:
                self._note_change(known, signature, now_s)
        for key in of:
            known = self._sets.get(key)
            if key not in seen and known is not None and known.signature is not None:
                self._note_change(known, None, now_s)

    def _note_change(self, known: _Watched, signature: Signature, now_s: float) -> None:
        known.signature, known.changed_s = signature, now_s
        known.retry_at_s = None
        if known.dirty_since_s is None:
            known.dirty_since_s = now_s

    def inspected(self, key: Path, signature: Signature, lacking: tuple[str, ...]) -> None:
        """What an inspection found: the names of files that are not whole."""
        known = self._sets.get(key)
        if known is not None:
            known.inspected, known.lacking = signature, lacking
            if not lacking:
                known.told_lacking = ()

    def finished(self, key: Path, now_s: float, written: bool = True) -> None:
        """The check of a set came to an end; where its review could not be `written`, it is tried again."""
        known = self._sets.get(key)
        if known is None or known.checking is None:
            return
        known.checked, known.checking = known.checking, None
        if written:
            known.retry_at_s, known.retry_s = None, 0.0
            return
        known.retry_s = min(2 * known.retry_s or self._patience.retry_s, self._patience.retry_at_most_s)
        known.retry_at_s = now_s + known.retry_s

    def decide(self, now_s: float, free: bool) -> tuple[Decision, ...]:
        """What is to be done now; at most one check, and none unless somebody is `free` for it.

        A check counts as begun with this answer. Among several sets the one that changed last comes first: it is the
        one that a person is working on.
        """
        decisions: list[Decision] = []
        ready: list[tuple[Path, _Watched]] = []
        for key, known in sorted(self._sets.items()):
            if known.checking is not None or now_s < self._due_s(known):
                continue
            if known.signature is None:
                decisions.append(Decision(Act.TELL_GONE, key))
                del self._sets[key]
            elif known.inspected != known.signature:
                decisions.append(Decision(Act.INSPECT, key, known.signature))
            else:
                ready.append((key, known))
        if ready and free:
            key, known = max(ready, key=lambda one: one[1].changed_s)
            if known.lacking and known.lacking != known.told_lacking:
                decisions.append(Decision(Act.TELL_CUT_SHORT, key, known.signature, known.lacking))
                known.told_lacking = known.lacking
            known.checking, known.dirty_since_s = known.signature, None
            decisions.append(Decision(Act.CHECK, key, known.signature))
        return tuple(decisions)

    def to_prepare(self, now_s: float) -> Path | None:
        """The set whose check may be begun ahead of its time; of each of its states once.

        Nothing may be published of it before `decide` says so.
        """
        due = [key for key in self._sets if self._prepare_at_s(key) <= now_s]
        if not due:
            return None
        key = max(due, key=lambda one: self._sets[one].changed_s)
        known = self._sets[key]
        known.preparing = known.signature
        return key

    def prepare_at_s(self) -> float | None:
        """When there may be something to prepare if nothing is seen before; None where there is not."""
        return min((at_s for key in self._sets if (at_s := self._prepare_at_s(key)) != _NEVER), default=None)

    def is_prepared(self, key: Path) -> bool:
        """Whether the state that a check was prepared for is still the state of the set."""
        known = self._sets.get(key)
        return known is not None and known.signature is not None and known.preparing == known.signature

    def _prepare_at_s(self, key: Path) -> float:
        known = self._sets[key]
        at_s, patience = known.changed_s + self._patience.settled_s, self._patience
        if known.signature in (None, known.checked, known.preparing) or known.checking is not None:
            return _NEVER
        if (known.lacking and known.inspected == known.signature) or patience.settled_s >= patience.quiet_s:
            return _NEVER
        return at_s

    def next_s(self) -> float | None:
        """When to decide again if nothing is seen before; None where there is nothing to wait for."""
        waiting = [known for known in self._sets.values() if known.checking is None]
        return min((due for known in waiting if (due := self._due_s(known)) != _NEVER), default=None)

    def known(self) -> tuple[Path, ...]:
        """Every set that is there, or was lately."""
        return tuple(sorted(self._sets))

    def _due_s(self, known: _Watched) -> float:
        """When something is to be done about a set that does not change any more."""
        patience = self._patience
        if known.signature is None:
            return known.changed_s + patience.gone_s
        if known.signature == known.checked:
            return _NEVER if known.retry_at_s is None else known.retry_at_s
        if known.inspected == known.signature and known.lacking:
            return known.changed_s + max(patience.quiet_s, patience.cut_short_s)
        quiet_s = known.changed_s + patience.quiet_s
        if known.dirty_since_s is None:
            return quiet_s
        return min(quiet_s, known.dirty_since_s + patience.gathering_s)


_NEVER = float("inf")
