"""A memory gives what the function gives, for arguments of the same content and no others."""

from dataclasses import dataclass

import numpy as np
import pytest
from shapely.geometry import box

from labelcheck.trade.remembering import Memory, both_at_once, both_remembered, each_remembered, remembered

CALLS: list[object] = []


@dataclass(frozen=True)
class Layer:
    name: str
    rows: np.ndarray


@remembered
def summed(layer: Layer, factor: float = 1.0) -> list[float]:
    CALLS.append(layer.name)
    if not len(layer.rows):
        raise ValueError("empty")
    return [float(layer.rows.sum() * factor)]


@remembered
def area(shape: object) -> float:
    CALLS.append("area")
    return shape.area  # type: ignore[attr-defined]  # a polygon


@pytest.fixture(autouse=True)
def no_calls() -> None:
    CALLS.clear()


def test_without_a_memory_every_call_is_made() -> None:
    layer = Layer("a", np.arange(3))
    assert summed(layer) == summed(layer) == [3.0]
    assert len(CALLS) == 2


def test_equal_content_is_recalled_whichever_object_it_is() -> None:
    memory = Memory()
    with memory.in_use():
        first = summed(Layer("a", np.arange(1000)))
        # Another string object, another array, a view of an array.
        assert summed(Layer("".join(["", "a"]), np.arange(1000))) == first
        assert summed(Layer("a", np.arange(1002)[:1000])) == first
        assert area(box(0, 0, 1, 2)) == area(box(0, 0, 1, 2))
    assert CALLS == ["a", "area"]


@pytest.mark.parametrize(
    "other",
    [
        Layer("b", np.arange(4)),
        Layer("a", np.arange(5)),
        Layer("a", np.arange(4, dtype=np.int32)),
        Layer("a", np.arange(4).reshape(2, 2)),
        Layer("a", np.array([0, 1, 2, 4])),
    ],
    ids=["name", "length", "type", "shape", "value"],
)
def test_other_content_is_never_recalled(other) -> None:
    with Memory().in_use():
        summed(Layer("a", np.arange(4)))
        summed(other)
        summed(other, factor=2.0)
    assert len(CALLS) == 3


def test_a_result_that_is_changed_by_whoever_got_it_does_not_change_the_next() -> None:
    with Memory().in_use():
        layer = Layer("a", np.arange(3))
        summed(layer).append(99.0)
        summed(layer).append(99.0)
        assert summed(layer) == [3.0]


def test_errors_are_raised_each_time() -> None:
    with Memory().in_use():
        for _ in range(2):
            with pytest.raises(ValueError, match="empty"):
                summed(Layer("a", np.zeros(0)))
    assert len(CALLS) == 2


def test_what_was_not_asked_for_longest_is_forgotten() -> None:
    memory = Memory(held_bytes_at_most=600)
    with memory.in_use():
        for number in range(50):
            summed(Layer("a", np.array([number])))
            summed(Layer("kept", np.array([0])))
        assert 0 < memory.held_bytes <= 600
        assert CALLS.count("kept") == 1
        summed(Layer("a", np.array([0])))
    assert CALLS.count("a") == 51


def test_what_no_round_asked_for_lately_is_forgotten() -> None:
    memory = Memory()
    for number in range(30):
        with memory.in_use():
            summed(Layer("a", np.array([number])))
            summed(Layer("kept", np.array([0])))
    assert CALLS.count("kept") == 1
    with memory.in_use():
        summed(Layer("a", np.array([29])))
        summed(Layer("a", np.array([0])))
    assert CALLS.count("a") == 31


def test_rounds_that_are_broken_off_make_nothing_forgotten() -> None:
    """As when a set changes again and again while its check is prepared."""
    memory = Memory()
    with memory.in_use():
        summed(Layer("kept", np.array([0])))
    for _ in range(30):
        with pytest.raises(KeyboardInterrupt), memory.in_use():
            raise KeyboardInterrupt
    with memory.in_use():
        summed(Layer("kept", np.array([0])))
    assert CALLS == ["kept"]


def test_rows_are_made_once_and_together() -> None:
    asked: list[list[int]] = []

    def rows(contents: list[bytes]) -> list[bytes]:
        def make(places: list[int]) -> list[bytes]:
            asked.append(places)
            return [contents[place] * 2 for place in places]

        return each_remembered(summed, contents, make)

    assert rows([b"a"]) == rows([b"a"]) == [b"aa"]
    assert asked == [[0], [0]], "nothing is remembered outside"
    with Memory().in_use():
        assert rows([b"a", b"b", b""]) == [b"aa", b"bb", b""]
        assert rows([b"c", b"b", b"d"]) == [b"cc", b"bb", b"dd"]
        assert rows([b"", b"a"]) == [b"", b"aa"]
        assert rows([]) == []
    assert asked[2:] == [[0, 1, 2], [0, 2]]


@pytest.mark.parametrize("worthwhile", [False, True])
def test_what_a_child_comes_to_remember_comes_home(worthwhile) -> None:
    one, other = Layer("a", np.arange(3)), Layer("b", np.arange(4))
    memory = Memory()
    with memory.in_use():
        assert both_at_once(lambda: summed(one), lambda: summed(other), worthwhile) == ([3.0], [6.0])
        CALLS.clear()
        assert (summed(one), summed(other)) == ([3.0], [6.0])
        held = memory.held_bytes
        both_at_once(lambda: summed(one), lambda: summed(other), worthwhile)
        assert memory.held_bytes == held
    assert CALLS == []


@pytest.mark.parametrize("worthwhile", [False, True])
def test_two_at_once_are_remembered_each(worthwhile) -> None:
    one, other = Layer("a", np.arange(3)), Layer("b", np.arange(4))
    with Memory().in_use():
        assert both_remembered(summed, (one,), (other,), worthwhile) == ([3.0], [6.0])
        CALLS.clear()
        assert both_remembered(summed, (other,), (one,), worthwhile) == ([6.0], [3.0])
        assert both_remembered(summed, (one,), (Layer("c", np.arange(5)),), worthwhile) == ([3.0], [10.0])
    assert CALLS == ["c"]
    assert both_remembered(summed, (one,), (other,), worthwhile) == ([3.0], [6.0])
