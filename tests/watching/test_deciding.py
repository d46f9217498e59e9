"""Deciding looks at no clock: here time is a number, and the whole of a watch passes in a loop."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.watching.deciding import PATIENCE, Act, Decider, Decision

A, B = Path("a"), Path("b")
BOTH = (A, B)


def acts(decisions: Sequence[Decision]) -> list[tuple[Act, Path]]:
    return [(decision.act, decision.key) for decision in decisions]


def inspected_and_decided(decider: Decider, now_s: float, lacking: tuple[str, ...] = ()) -> list[tuple[Act, Path]]:
    """Decide, answer every inspection, decide again."""
    first = decider.decide(now_s, free=True)
    for decision in first:
        if decision.act is Act.INSPECT:
            decider.inspected(decision.key, decision.signature, lacking)
    done = [decision for decision in first if decision.act is not Act.INSPECT]
    return acts([*done, *decider.decide(now_s, free=not done)])


def test_a_set_is_checked_when_it_was_quiet_and_is_whole() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    assert decider.decide(0.79, free=True) == ()
    assert decider.next_s() == 0.8
    assert acts(decider.decide(0.8, free=True)) == [(Act.INSPECT, A)]
    decider.inspected(A, 1, ())
    assert acts(decider.decide(0.8, free=True)) == [(Act.CHECK, A)]
    assert decider.next_s() is None


def test_each_change_begins_the_quiet_time_anew() -> None:
    decider = Decider()
    for number in range(5):
        decider.saw({A: number}, (), 0.5 * number)
        assert decider.decide(0.5 * number + 0.4, free=True) == ()
    assert inspected_and_decided(decider, 2.8) == [(Act.CHECK, A)]


def test_a_set_that_never_rests_is_checked_after_the_gathering_time() -> None:
    decider, checked = Decider(), []
    for step in range(105):
        now_s = 0.2 * step
        decider.saw({A: step}, (), now_s)
        if inspected_and_decided(decider, now_s) == [(Act.CHECK, A)]:
            checked.append(now_s)
            decider.finished(A, now_s)
    assert [round(at_s) for at_s in checked] == [10, 20]


def test_what_stays_cut_short_is_told_once_and_checked() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    assert inspected_and_decided(decider, 0.8, ("top.gbr",)) == []
    assert decider.next_s() == PATIENCE.cut_short_s
    decisions = decider.decide(4.0, free=True)
    assert acts(decisions) == [(Act.TELL_CUT_SHORT, A), (Act.CHECK, A)]
    assert decisions[0].names == ("top.gbr",)
    decider.finished(A, 5.0)
    decider.saw({A: 2}, (), 6.0)
    assert inspected_and_decided(decider, 6.8, ("top.gbr",)) == []
    assert acts(decider.decide(10.0, free=True)) == [(Act.CHECK, A)], "the same file is told once"
    decider.finished(A, 11.0)
    decider.saw({A: 3}, (), 12.0)
    assert inspected_and_decided(decider, 12.8) == [(Act.CHECK, A)]
    decider.finished(A, 13.0)
    decider.saw({A: 4}, (), 14.0)
    inspected_and_decided(decider, 14.8, ("top.gbr",))
    assert acts(decider.decide(18.0, free=True))[0] == (Act.TELL_CUT_SHORT, A), "it was whole in between"


def test_a_slow_copy_is_not_checked_before_it_is_whole() -> None:
    decider = Decider()
    for step in range(60):
        now_s = 0.5 * step
        decider.saw({A: step}, (), now_s)
        assert inspected_and_decided(decider, now_s, ("top.gbr",)) == []
    decider.saw({A: 60}, (), 30.0)
    assert inspected_and_decided(decider, 30.8) == [(Act.CHECK, A)]


def test_a_change_during_a_check_leads_to_one_more() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    assert inspected_and_decided(decider, 1.0) == [(Act.CHECK, A)]
    for number in range(2, 9):
        decider.saw({A: number}, (), 1.0 + 0.1 * number)
    assert decider.decide(5.0, free=True) == ()
    decider.finished(A, 5.0)
    assert inspected_and_decided(decider, 5.0) == [(Act.CHECK, A)]
    decider.finished(A, 6.0)
    assert decider.decide(60.0, free=True) == () and decider.next_s() is None


def test_nothing_is_queued_while_nobody_is_free_and_the_newest_bytes_win() -> None:
    decider = Decider()
    decider.saw({A: 1, B: 1}, (), 0.0)
    assert inspected_and_decided(decider, 1.0) == [(Act.CHECK, A)]
    decider.saw({A: 1, B: 2}, (), 1.5)
    for decision in decider.decide(3.0, free=False):
        assert decision.act is Act.INSPECT
        decider.inspected(decision.key, decision.signature, ())
    assert decider.decide(3.0, free=False) == ()
    decider.finished(A, 3.0)
    (check,) = decider.decide(3.0, free=True)
    assert (check.key, check.signature) == (B, 2)


def test_the_set_that_changed_last_comes_first() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    decider.saw({B: 1}, (), 0.5)
    assert inspected_and_decided(decider, 2.0) == [(Act.CHECK, B)]


def test_what_was_there_from_the_start_may_count_as_reviewed() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0, reviewed=True)
    assert decider.decide(9.0, free=True) == () and decider.next_s() is None
    decider.saw({A: 2}, (), 10.0)
    assert inspected_and_decided(decider, 11.0) == [(Act.CHECK, A)]


def test_a_set_that_is_written_anew_was_never_gone() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    assert inspected_and_decided(decider, 1.0) == [(Act.CHECK, A)]
    decider.finished(A, 1.5)
    decider.saw({}, (A,), 2.0)
    assert decider.decide(3.9, free=True) == ()
    decider.saw({A: 1}, (), 3.9)
    assert decider.decide(9.0, free=True) == (), "the same state as was checked"
    decider.saw({}, (A,), 10.0)
    assert acts(decider.decide(12.0, free=True)) == [(Act.TELL_GONE, A)]
    assert decider.known() == ()


def test_a_set_deleted_during_its_check_is_gone_when_that_ends() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0)
    inspected_and_decided(decider, 1.0)
    decider.saw({}, (A,), 1.1)
    assert decider.decide(9.0, free=False) == ()
    decider.finished(A, 9.0)
    assert acts(decider.decide(9.0, free=True)) == [(Act.TELL_GONE, A)]


def test_a_review_that_could_not_be_written_is_tried_again_ever_more_seldom() -> None:
    decider, now_s, tried = Decider(), 0.0, []
    decider.saw({A: 1}, (), 0.0)
    while now_s < 400 and len(tried) < 7:
        now_s = decider.next_s() or 400.0
        if (Act.CHECK, A) in inspected_and_decided(decider, now_s):
            tried.append(now_s)
            decider.finished(A, now_s, written=False)
    waits = [round(after - before) for before, after in pairwise(tried)]
    assert waits == [5, 10, 20, 40, 60, 60]
    decider.saw({A: 2}, (), now_s)
    assert inspected_and_decided(decider, now_s + 0.8) == [(Act.CHECK, A)], "a change is tried at once"


def test_a_check_is_prepared_in_the_quiet_time_once_for_each_state() -> None:
    decider = Decider()
    decider.saw({A: 1, B: 1}, (), 0.0)
    decider.saw({A: 2}, (), 1.0)
    assert decider.to_prepare(0.04) is None and decider.prepare_at_s() == 0.05
    assert decider.to_prepare(1.1) == A, "the one that changed last"
    assert decider.is_prepared(A) and not decider.is_prepared(B)
    assert decider.to_prepare(1.1) == B
    assert decider.to_prepare(1.1) is None and decider.prepare_at_s() is None
    decider.saw({A: 3}, (), 1.2)
    assert not decider.is_prepared(A)
    assert decider.prepare_at_s() == 1.25
    decider.saw({}, (A,), 1.25)
    assert not decider.is_prepared(A) and decider.prepare_at_s() is None


def test_nothing_is_prepared_of_what_is_checked_cut_short_or_under_way() -> None:
    decider = Decider()
    decider.saw({A: 1}, (), 0.0, reviewed=True)
    assert decider.prepare_at_s() is None
    decider.saw({A: 2}, (), 1.0)
    assert acts(decider.decide(1.8, free=True)) == [(Act.INSPECT, A)]
    decider.inspected(A, 2, ("top.gbr",))
    assert decider.to_prepare(1.9) is None
    decider.saw({A: 3}, (), 2.0)
    assert inspected_and_decided(decider, 2.8) == [(Act.CHECK, A)]
    decider.saw({A: 4}, (), 3.0)
    assert decider.to_prepare(3.5) is None, "one check after the other"
    decider.finished(A, 4.0)
    assert decider.to_prepare(4.0) == A


@dataclass
class World:
    """Two sets whose states are numbers, and a worker that takes its time."""

    decider: Decider = field(default_factory=Decider)
    state: dict[Path, int | None] = field(default_factory=lambda: {A: None, B: None})
    changed_s: dict[Path, float] = field(default_factory=lambda: {A: 0.0, B: 0.0})
    whole: dict[Path, bool] = field(default_factory=lambda: {A: True, B: True})
    begun: list[tuple[float, Path, int]] = field(default_factory=list)
    ends_s: float | None = None
    at_work: Path | None = None

    def look(self, now_s: float) -> None:
        seen = {key: state for key, state in self.state.items() if state is not None}
        self.decider.saw(seen, BOTH, now_s)

    def turn(self, now_s: float, takes_s: float) -> None:
        if self.ends_s is not None and now_s >= self.ends_s:
            assert self.at_work is not None
            self.decider.finished(self.at_work, now_s)
            self.ends_s = self.at_work = None
        for _ in range(2):
            for decision in self.decider.decide(now_s, free=self.at_work is None):
                if decision.act is Act.INSPECT:
                    lacking = () if self.whole[decision.key] else ("top.gbr",)
                    self.decider.inspected(decision.key, decision.signature, lacking)
                elif decision.act is Act.CHECK:
                    assert self.at_work is None, "one check at a time"
                    assert decision.signature == self.state[decision.key], "the newest bytes win"
                    self.at_work, self.ends_s = decision.key, now_s + takes_s
                    self.begun.append((now_s, decision.key, self.state[decision.key]))

    def until(self, end_s: float, now_s: float, takes_s: float) -> None:
        """Let time pass by the decider's own times alone."""
        for _ in range(200):
            times = [time for time in (self.decider.next_s(), self.ends_s) if time is not None]
            due = [time for time in times if time > now_s]
            if not due or min(due) > end_s:
                return
            now_s = min(due)
            self.turn(now_s, takes_s)
        raise AssertionError("it decides without end")


EVENTS = st.lists(
    st.tuples(
        st.sampled_from(BOTH),
        st.sampled_from(["change", "change", "change", "back", "delete", "same"]),
        st.sampled_from([0.05, 0.3, 0.9, 3.0, 12.0]),
        st.booleans(),
    ),
    min_size=1,
    max_size=25,
)


@settings(derandomize=True, max_examples=250, deadline=None)
@given(EVENTS, st.sampled_from([0.1, 1.0, 5.0, 30.0]))
def test_whatever_happens_every_set_ends_with_a_check_of_its_last_state(events, takes_s) -> None:
    world, now_s, counter = World(), 0.0, 0
    for key, what, pause_s, whole in events:
        before = world.state[key]
        if what == "change":
            counter += 1
            world.state[key], world.whole[key] = counter, whole
        elif what == "back" and before is not None:
            world.state[key] = max(1, before - 1)
        elif what == "delete":
            world.state[key] = None
        if world.state[key] != before:
            world.changed_s[key] = now_s
        world.look(now_s)
        world.turn(now_s, takes_s)
        world.until(now_s + pause_s, now_s, takes_s)
        now_s += pause_s
    world.turn(now_s, takes_s)
    world.until(now_s + 1000, now_s, takes_s)
    last = {key: state for _, key, state in world.begun}
    for key, state in world.state.items():
        if state is not None:
            assert last.get(key) == state
        else:
            assert key not in world.decider.known()
    assert world.decider.next_s() is None
    for begun_s, _, _ in world.begun:
        assert begun_s >= PATIENCE.quiet_s
    changes = sum(1 for event in events if event[1] != "same")
    assert len(world.begun) <= changes, "never more checks than changes"
