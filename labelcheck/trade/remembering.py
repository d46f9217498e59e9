"""Results of pure functions remembered by what went into them, so that a second check does only what changed.

Nothing is remembered unless somebody asks for it with `with memory.in_use():`. What went in is compared by content,
never by place or time, and what comes out is a copy of its own: a check with a memory gives the same as one without.
"""

import hashlib
import io
import pickle
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, is_dataclass
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast

from labelcheck.trade.together import both

Arguments = ParamSpec("Arguments")
Result = TypeVar("Result")

HELD_BYTES_AT_MOST = 200_000_000
"""What was not asked for the longest is forgotten beyond this; the largest real board holds 15 MB."""
ROW_BYTES = 200
"""What each costs beside its content."""
ROUNDS_KEPT = 8
"""What so many rounds did not ask for is forgotten: earlier states of a board, and boards nobody works on."""


class Memory:
    """Results by function and arguments; the one in use belongs to the thread that uses it."""

    def __init__(self, held_bytes_at_most: int = HELD_BYTES_AT_MOST) -> None:
        self._most = held_bytes_at_most
        self._held: OrderedDict[bytes, _Held] = OrderedDict()
        self._round = 0
        self._noted: dict[bytes, bytes] | None = None
        self.held_bytes = 0

    @contextmanager
    def in_use(self) -> Iterator[None]:
        """Let remembered functions use it meanwhile, which is one round, unless it is broken off."""
        self._round += 1
        before = getattr(_USED, "memory", None)
        _USED.memory = self
        try:
            yield
        except BaseException:
            self._round -= 1  # it has not asked for all that it would have
            raise
        finally:
            _USED.memory = before
            while self._held and next(iter(self._held.values())).asked_in <= self._round - ROUNDS_KEPT:
                self._forget_oldest()

    def recall(self, key: bytes) -> tuple[bool, Any]:
        """Whether a result is held, and a copy of it."""
        row = self.row(key)
        return (False, None) if row is None else (True, pickle.loads(row))

    def keep(self, key: bytes, result: object) -> None:
        """Hold a result."""
        if key not in self._held:
            self.keep_row(key, pickle.dumps(result, protocol=5))

    def row(self, key: bytes) -> bytes | None:
        """The bytes that are held, if any are."""
        held = self._held.get(key)
        if held is None:
            return None
        self._held[key] = _Held(held.content, self._round)
        self._held.move_to_end(key)
        return held.content

    def keep_row(self, key: bytes, content: bytes) -> None:
        """Hold some bytes."""
        if key in self._held or len(content) > self._most:
            return
        # Counted first: whoever breaks in between leaves too much counted, never too little.
        self.held_bytes += len(content) + ROW_BYTES
        self._held[key] = _Held(content, self._round)
        if self._noted is not None:
            self._noted[key] = content
        while self.held_bytes > self._most:
            self._forget_oldest()

    @contextmanager
    def noted(self) -> Iterator[Mapping[bytes, bytes]]:
        """What is kept meanwhile; the mapping grows with it."""
        before, self._noted = self._noted, {}
        try:
            yield self._noted
        finally:
            self._noted = before

    def take_over(self, memories: Mapping[bytes, bytes]) -> None:
        """Hold what another process has come to remember."""
        for key, content in memories.items():
            self.keep_row(key, content)

    def _forget_oldest(self) -> None:
        _, oldest = self._held.popitem(last=False)
        self.held_bytes -= len(oldest.content) + ROW_BYTES


@dataclass(frozen=True, slots=True)
class _Held:
    """One result, and the round that asked for it last."""

    content: bytes
    asked_in: int


_USED = threading.local()


def remembered(function: Callable[Arguments, Result]) -> Callable[Arguments, Result]:
    """A pure function whose results a memory may hold; arguments and result must be picklable.

    Errors are not remembered. Arguments are told apart by content: names, numbers, bytes, records, arrays.
    """

    @wraps(function)
    def asked(*arguments: Arguments.args, **named: Arguments.kwargs) -> Result:
        memory = getattr(_USED, "memory", None)
        if memory is None:
            return function(*arguments, **named)
        key = _key(function, arguments, named)
        known, result = memory.recall(key)
        if known:
            return cast(Result, result)
        made = function(*arguments, **named)
        memory.keep(key, made)
        return made

    return asked


def each_remembered(
    function: Callable[..., object], contents: Sequence[bytes], make: Callable[[list[int]], Sequence[bytes]]
) -> list[bytes]:
    """A row for each of the contents: remembered, or made with all others that are not.

    `make` gives the rows of the contents at some places, for `function`, in whose name they are kept. A row must
    depend on its own content alone, to the last bit: sums of a matrix product, for one, depend on their neighbours.
    """
    memory: Memory | None = getattr(_USED, "memory", None)
    if memory is None:
        return list(make(list(range(len(contents)))))
    name = f"{function.__module__}.{function.__qualname__}\0".encode()
    keys = [hashlib.blake2b(name + content, digest_size=20).digest() for content in contents]
    rows = [memory.row(key) for key in keys]
    unknown = [place for place, row in enumerate(rows) if row is None]
    for place, row in zip(unknown, make(unknown) if unknown else (), strict=True):
        rows[place] = row
        memory.keep_row(keys[place], row)
    return cast(list[bytes], rows)


def is_remembering() -> bool:
    """Whether a memory is in use here."""
    return getattr(_USED, "memory", None) is not None


def both_at_once(
    first: Callable[[], Result], second: Callable[[], Result], worthwhile: bool
) -> tuple[Result, Result]:
    """As `both`, and what a child comes to remember while it does the second is remembered here."""
    memory: Memory | None = getattr(_USED, "memory", None)
    if memory is None:
        return both(first, second, worthwhile)

    def second_and_memories() -> tuple[Result, Mapping[bytes, bytes]]:
        with memory.noted() as memories:
            return second(), memories

    one, (other, memories) = both(first, second_and_memories, worthwhile)
    memory.take_over(memories)
    return one, other


def both_remembered(
    function: Callable[..., Result], first: Sequence[Any], second: Sequence[Any], worthwhile: bool
) -> tuple[Result, Result]:
    """What a pure function makes of two rows of arguments, at once as `both` does it where neither is remembered."""
    memory = getattr(_USED, "memory", None)
    if memory is None:
        return both(lambda: function(*first), lambda: function(*second), worthwhile)
    keys = [_key(function, row, {}) for row in (first, second)]
    (one_known, one), (other_known, other) = (memory.recall(key) for key in keys)
    if not one_known and not other_known:
        one, other = both_at_once(lambda: function(*first), lambda: function(*second), worthwhile)
    elif not one_known:
        one = function(*first)
    elif not other_known:
        other = function(*second)
    memory.keep(keys[0], one)
    memory.keep(keys[1], other)
    return one, other


def _key(function: Callable[..., object], arguments: Sequence[object], named: dict[str, Any]) -> bytes:
    """A digest of the function's name and of the content of what it is given."""
    sink = _Sink()
    pickler = _KeyPickler(sink, protocol=5, buffer_callback=sink.take)
    # Without a memo of its own the pickler writes equal things alike, whether or not they are one object.
    pickler.fast = True
    pickler.dump((function.__module__, function.__qualname__, tuple(arguments), sorted(named.items())))
    return sink.digest.digest()


class _KeyPickler(pickle.Pickler):
    """Writes what is to be told apart, never to be read again: so records may be written the short way."""

    def reducer_override(self, thing: Any) -> Any:
        """A record as its name and its fields; asking it for its state takes several times as long."""
        kind = type(thing)
        fields = _FIELDS_OF.get(kind)
        if fields is None:
            names = tuple(kind.__dataclass_fields__) if is_dataclass(kind) else ()
            known = (f"{kind.__module__}.{kind.__qualname__}", names)
            fields = _FIELDS_OF[kind] = known if names and "__reduce__" not in vars(kind) else _NONE
        if fields is _NONE:
            return NotImplemented
        return _record, (fields[0], *[getattr(thing, name) for name in fields[1]])


_NONE: tuple[str, tuple[str, ...]] = ("", ())
_FIELDS_OF: dict[type, tuple[str, tuple[str, ...]]] = {}
"""Names of the fields of each record that was met, with its own name."""


def _record(*_content: object) -> None:
    """Stands in a key for what makes a record."""


class _Sink(io.RawIOBase):
    """Where a pickle is digested as it is written."""

    def __init__(self) -> None:
        self.digest = hashlib.blake2b(digest_size=20)

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        self.digest.update(data)
        return len(data)

    def take(self, buffer: pickle.PickleBuffer) -> None:
        """An array, which need not be copied; its shape and type are in the pickle itself."""
        raw = buffer.raw()
        # Its length keeps it apart from what follows.
        self.digest.update(f"{raw.nbytes}:".encode())
        self.digest.update(raw)
