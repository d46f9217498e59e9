"""Ways in which a file gets damaged: bytes turned, cut, spliced; commands lost, doubled, swapped, blown up."""

import json
import random
import re
from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

NUMBERS = [
    b"0",
    b"-0",
    b"1",
    b"-1",
    b"99999999",
    b"2147483648",
    b"9223372036854775808",
    b"-9223372036854775809",
    b"1e400",
    b"1e-400",
    b"0.0000001",
    b"nan",
    b"1000000",
    b"10000000000",
    b"999999999999999999",
    b"3.4.5",
    b"+",
    b"-",
    b".",
    b"",
]
"""What a number may turn into: the edges of machine integers and floats, and what is no number at all."""

_NUMBER = re.compile(rb"[-+]?\d+(?:\.\d*)?")


@dataclass(frozen=True, slots=True)
class Dialect:
    """How one format is built, as far as damage goes by its commands."""

    commands: re.Pattern[bytes]
    """Matches one command."""
    tokens: Sequence[bytes]
    """Pieces that mean something in this format."""


Way = Callable[[random.Random, bytes, Dialect, bytes], bytes]
"""Damage: chance, bytes, dialect, another file of the same format."""


def mangled(chance: random.Random, data: bytes, dialect: Dialect, other: bytes) -> bytes:
    """The bytes damaged once to eight times."""
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        data = chance.choice(_WAYS)(chance, data, dialect, other)
    return data


_VALUES = [
    None, True, 0, -1, 1e308, 10**30, float("nan"), float("inf"), "", "top", "\ud800", "1.5", [], [None], {}, [[]],
    {"": {}}, "x" * 5000, {"value": None}, [1, 2, 3], "sha256:", "Legend,Top", "2026-13-41",
]  # fmt: skip
"""What may stand in a JSON document where something else is expected."""


def json_mangled(chance: random.Random, data: bytes) -> bytes:
    """A JSON document that still is one, with values exchanged, lost, doubled, or under other keys."""
    document = json.loads(data)
    for _ in range(chance.choice((1, 1, 2, 4))):
        places = list(_places(document))
        if not places:
            break
        holder, key = chance.choice(places)
        match chance.randrange(4):
            case 0:
                del holder[key]
            case 1:
                other, there = chance.choice(places)
                # Through text, so that no part of the document holds itself.
                holder[key] = json.loads(json.dumps(other[there])) if there in _keys(other) else None
            case _:
                # A copy: what is put into a document is damaged further.
                holder[key] = deepcopy(chance.choice(_VALUES))
    return json.dumps(document).encode()


def _places(value: Any) -> list[tuple[Any, Any]]:
    """Every place of a document that holds a value: its holder, and the key or index there."""
    found: list[tuple[Any, Any]] = []
    for key in _keys(value):
        found += [(value, key), *_places(value[key])]
    return found


def _keys(value: Any) -> list[Any]:
    return list(value) if isinstance(value, dict) else list(range(len(value))) if isinstance(value, list) else []


def cut_short(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    """As a full disk or a broken download leaves it."""
    return data[: chance.randrange(len(data) + 1)]


def _bit(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    if not data:
        return data
    at = chance.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]


def _bytes_lost(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + data[at + chance.randrange(1, 40) :]


def _bytes_doubled(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    at, start = chance.randrange(len(data) + 1), chance.randrange(len(data) + 1)
    return data[:at] + data[start : start + chance.randrange(1, 80)] + data[at:]


def _garbage(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.randbytes(chance.choice((1, 2, 30))) + data[at + chance.choice((0, 5)) :]


def _token(chance: random.Random, data: bytes, dialect: Dialect, _other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice(dialect.tokens) + data[at + chance.choice((0, 0, 1, 4)) :]


def _splice(chance: random.Random, data: bytes, _dialect: Dialect, other: bytes) -> bytes:
    """The head of one file and the tail of another, as a disk that wrote two at once."""
    return data[: chance.randrange(len(data) + 1)] + other[chance.randrange(len(other) + 1) :]


def _number(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    match = chance.choice(found)
    return data[: match.start()] + chance.choice(NUMBERS) + data[match.end() :]


def _zeros(chance: random.Random, data: bytes, _dialect: Dialect, _other: bytes) -> bytes:
    """A block of zero bytes, as a file system leaves after a power cut."""
    at = chance.randrange(len(data) + 1)
    return data[:at] + bytes(chance.choice((1, 8, 512))) + data[at + chance.choice((0, 8, 512)) :]


def _commands(change: Callable[[random.Random, list[bytes], Dialect, bytes], None]) -> Way:
    """Damage by whole commands; what stands between them stays where it is."""

    def damage(chance: random.Random, data: bytes, dialect: Dialect, other: bytes) -> bytes:
        pieces = dialect.commands.findall(data)
        if not pieces:
            return data
        change(chance, pieces, dialect, other)
        return b"".join(pieces)

    return damage


def _lose(chance: random.Random, pieces: list[bytes], _dialect: Dialect, _other: bytes) -> None:
    at = chance.randrange(len(pieces))
    del pieces[at : at + chance.choice((1, 1, 1, 5))]


def _double(chance: random.Random, pieces: list[bytes], _dialect: Dialect, _other: bytes) -> None:
    at = chance.randrange(len(pieces))
    pieces.insert(chance.choice((at, chance.randrange(len(pieces)))), pieces[at] * chance.choice((1, 1, 2, 200)))


def _swap(chance: random.Random, pieces: list[bytes], _dialect: Dialect, _other: bytes) -> None:
    one, two = chance.randrange(len(pieces)), chance.randrange(len(pieces))
    pieces[one], pieces[two] = pieces[two], pieces[one]


def _shuffle(chance: random.Random, pieces: list[bytes], _dialect: Dialect, _other: bytes) -> None:
    at = chance.randrange(len(pieces))
    some = pieces[at : at + 12]
    chance.shuffle(some)
    pieces[at : at + 12] = some


def _graft(chance: random.Random, pieces: list[bytes], dialect: Dialect, other: bytes) -> None:
    """A command of another file of the format."""
    grafts = dialect.commands.findall(other)
    if grafts:
        pieces.insert(chance.randrange(len(pieces) + 1), chance.choice(grafts))


_WAYS: tuple[Way, ...] = (
    cut_short,
    _bit,
    _bytes_lost,
    _bytes_doubled,
    _garbage,
    _token,
    _token,
    _splice,
    _number,
    _number,
    _zeros,
    _commands(_lose),
    _commands(_double),
    _commands(_swap),
    _commands(_shuffle),
    _commands(_graft),
)
