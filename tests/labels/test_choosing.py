"""The best disjoint set, against trying every subset."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.labels.choosing import best_disjoint

HYPOTHESES = st.lists(
    st.tuples(st.frozensets(st.integers(0, 8), min_size=1, max_size=4), st.integers(-3, 20)), min_size=1, max_size=10
)


def best(hypotheses) -> tuple[float, list[int]]:
    members = [sorted(marks) for marks, _ in hypotheses]
    score = np.array([float(value) for _, value in hypotheses])
    first = np.concatenate(([0], np.cumsum([len(marks) for marks in members])))
    kept = best_disjoint(score, np.concatenate(members), first, 9)
    return float(score[kept].sum()), np.flatnonzero(kept).tolist()


@settings(max_examples=200, derandomize=True, deadline=None)
@given(HYPOTHESES)
def test_no_subset_is_better_and_no_mark_is_used_twice(hypotheses):
    reached, kept = best(hypotheses)
    sets = [marks for marks, _ in hypotheses]
    assert sum(len(sets[at]) for at in kept) == len(frozenset().union(*(sets[at] for at in kept)))
    possible = [
        sum(hypotheses[at][1] for at in chosen)
        for count in range(len(sets) + 1)
        for chosen in combinations(range(len(sets)), count)
        if sum(len(sets[at]) for at in chosen) == len(frozenset().union(*(sets[at] for at in chosen)))
    ]
    assert reached == max(possible)


def test_a_greedy_choice_would_lose():
    assert best([({1, 2}, 10), ({0, 1}, 7), ({2, 3}, 7)]) == (14.0, [1, 2])


def test_thousands_of_tangled_hypotheses_end():
    rng = np.random.default_rng(5)
    member = np.concatenate([np.sort(rng.choice(900, 3, replace=False)) for _ in range(3000)])
    kept = best_disjoint(rng.random(3000) + 0.1, member, np.arange(0, 9001, 3), 900)
    used = member.reshape(-1, 3)[kept].ravel()
    assert len(used) == len(set(used.tolist()))
    assert kept.sum() > 150


def test_nothing_worth_anything_keeps_nothing():
    assert best([({0}, -1), ({1}, 0)]) == (0.0, [])
    assert not best_disjoint(np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros(1, dtype=np.int64), 0).any()


@pytest.mark.parametrize("count", [1, 2, 40])
def test_a_chain_takes_every_other_link(count):
    hypotheses = [(frozenset({at, at + 1}), 1) for at in range(count)]
    members = np.array([[at, at + 1] for at in range(count)]).ravel()
    kept = best_disjoint(np.ones(len(hypotheses)), members, np.arange(0, 2 * count + 1, 2), count + 1)
    assert kept.sum() == (count + 1) // 2


def test_a_hypothesis_may_hold_what_it_shares_with_itself_twice() -> None:
    # Its two marks share an object, so that number 2 stands in it twice; the other one has number 3 to itself.
    kept = best_disjoint(np.array([2.0, 3.0, 2.5]), np.array([0, 2, 2, 0, 3, 2]), np.array([0, 3, 5, 6]), 4)
    assert kept.tolist() == [False, True, True]
