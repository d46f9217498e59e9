"""The best set of hypotheses of which no two use the same mark, found exactly.

Hypotheses that share marks hang together in small components. In each the best set is searched by taking the
marks in turn: the first open mark goes to one of the hypotheses that hold it, or to none. A branch is cut where
the score so far and a bound on the rest cannot beat the best set known; what is left of a component is remembered
by its open marks, so that a line of n marks costs steps in the order of its hypotheses, not of their subsets.

The bound gives every mark a price, so that no hypothesis scores more than its marks cost: then no set scores more
than all marks together. Prices are lowered one mark after the other as far as that allows; what a hypothesis costs
beyond its score is lost for good where it is taken, so that most hypotheses can be left out before the search.
"""

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.labels.joining import components
from labelcheck.labels.lines import Lines
from labelcheck.labels.marks import Drawn, Marks
from labelcheck.trade.shapes import Flags, Floats, Integers

ROUNDING = 1e-9
MOST_MARKS, TAKEN_AT_ONCE = 300, 20
"""Marks of one component that are searched; of more, some of the highest lines are taken as they come and what they
leave is looked at anew: a guard against whole sides of hatching, not met by text."""
MOST_STEPS = 20_000
"""Steps in one component; beyond, the best set found so far stands: a guard against hatching, not met by text."""


SWEEPS = 8
"""Times that all prices are lowered at most; more hardly lower them."""


def best_lines(score: Floats, lines: Lines, marks: Marks) -> Flags:
    """Which lines to keep: the best set in which no object is used twice, nor a mark together with a hole of it."""
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.first))
    above, atom = _shared(marks)
    start = np.searchsorted(above, lines.mark)
    count = np.searchsorted(above, lines.mark, side="right") - start
    member = np.concatenate((lines.mark, atom[spread(start, count)]))
    owner = np.concatenate((owner, np.repeat(owner, count)))
    order = np.argsort(owner, kind="stable")
    first = np.searchsorted(owner[order], np.arange(len(lines) + 1))
    return best_disjoint(score, member[order], first, int(member.max(initial=0)) + 1)


def _shared(marks: Marks) -> tuple[Integers, Integers]:
    """What marks have in common with others, as pairs of a mark and a number beyond those of the marks, sorted.

    The objects that several marks hold, and for a hole and the mark around it the number of the hole.
    """
    owner = np.repeat(np.arange(len(marks)), np.diff(marks.first))
    common = np.bincount(marks.member)[marks.member] > 1
    holes = np.flatnonzero((marks.parent >= 0) & (marks.drawn == Drawn.KNOCKED_OUT))
    mark = np.concatenate((owner[common], marks.parent[holes], holes))
    beyond = holes + int(marks.member.max(initial=0)) + 1
    atom = np.concatenate((marks.member[common], beyond, beyond))
    order = np.lexsort((atom, mark))
    return mark[order], atom[order] + len(marks)


def best_disjoint(score: Floats, member: Integers, first: Integers, marks: int) -> Flags:
    """Which hypotheses to keep: those of positive score with the greatest sum, no mark used twice.

    `member` (k,) marks of all hypotheses, `first` (n + 1,) where each hypothesis starts, `marks` how many there are.
    """
    kept = np.zeros(len(score), dtype=np.bool_)
    size = np.diff(first)
    worth = np.flatnonzero(score > 0)
    if len(worth) == 0:
        return kept
    owner = np.repeat(np.arange(len(score)), size)
    inside = score[owner] > 0
    owner, member = owner[inside], member[inside]
    # Hypotheses hang together through their marks: link every mark of one to its first mark.
    lead = np.zeros(len(score), dtype=np.int64)
    lead[owner[::-1]] = member[::-1]
    label = components(marks, member, lead[owner])
    share = np.zeros(marks)
    np.maximum.at(share, member, (score / np.maximum(size, 1))[owner])
    bound = np.bincount(label, share, marks)
    group = label[lead[worth]]
    order = np.lexsort((worth, -score[worth], group))
    ordered, group = worth[order], group[order]
    starts = np.flatnonzero(np.concatenate(([True], np.diff(group) != 0)))
    tops = ordered[starts]
    # Where the best one is worth as much as all marks can be, it stands alone: so it is with most words.
    settled = score[tops] >= bound[group[starts]] - ROUNDING
    kept[tops[settled]] = True
    at = np.searchsorted(owner, np.arange(len(score)))
    for one, block in zip(settled.tolist(), np.split(ordered, starts[1:]), strict=True):
        if not one:
            sets = [member[at[line] : at[line] + size[line]].tolist() for line in block.tolist()]
            kept[block[_best_of(score[block].tolist(), sets, share)]] = True
    return kept


def _best_of(scores: list[float], sets: list[list[int]], share: Floats) -> list[int]:
    """The best disjoint hypotheses of one component, given from the highest score down."""
    marks = sorted({mark for members in sets for mark in members})
    bit = {mark: 1 << place for place, mark in enumerate(marks)}
    # Two marks of one hypothesis may share an object: each number counts once.
    masks = [sum([bit[mark] for mark in set(members)]) for members in sets]
    taken: list[int] = []
    used = 0
    if len(marks) > MOST_MARKS:
        for at, mask in enumerate(masks):
            if not mask & used:
                taken.append(at)
                used |= mask
            if len(taken) >= TAKEN_AT_ONCE:
                break
    left = [at for at, mask in enumerate(masks) if not mask & used]
    if len(marks) <= MOST_MARKS:
        search = _Search([scores[at] for at in left], [masks[at] for at in left], share[marks].tolist())
        return [left[at] for at in search.best()]
    # What the guard has left hangs together in smaller components.
    parts = best_disjoint(
        np.array([scores[at] for at in left]), *_columns([sets[at] for at in left]), len(share)
    ) if left else np.zeros(0, dtype=np.bool_)
    return taken + [left[at] for at in np.flatnonzero(parts).tolist()]


def _columns(sets: list[list[int]]) -> tuple[Integers, Integers]:
    """Members of all sets one after the other, and where each set starts."""
    first = np.concatenate(([0], np.cumsum([len(members) for members in sets])))
    return np.array([mark for members in sets for mark in members], dtype=np.int64), first.astype(np.int64)


class _Search:
    """Branch and bound with memory over the open marks of one component; hypotheses come best first."""

    def __init__(self, scores: list[float], masks: list[int], share: list[float]) -> None:
        self.scores, self.masks, self.price = scores, masks, share
        self.holding: list[list[int]] = [[] for _ in share]
        places: list[list[int]] = []
        for at, mask in enumerate(masks):
            places.append([])
            while mask:
                low = mask & -mask
                place = low.bit_length() - 1
                self.holding[place].append(at)
                places[at].append(place)
                mask ^= low
        self.prices = [sum([share[place] for place in own]) for own in places]
        self._lower_prices(places)
        self._leave_out_the_hopeless()
        self.memory: dict[int, tuple[float, tuple[int, ...]]] = {}
        self.steps = 0

    def best(self) -> tuple[int, ...]:
        """Places of the best hypotheses."""
        return self._from((1 << len(self.price)) - 1, sum(self.price))[1]

    def _lower_prices(self, places: list[list[int]]) -> None:
        """Make the marks as cheap, one after the other and back again, as no hypothesis costs less than its score."""
        over = [price - score for price, score in zip(self.prices, self.scores, strict=True)]
        order = range(len(self.price))
        for sweep in range(SWEEPS):
            lowered = False
            for place in order if sweep % 2 == 0 else reversed(order):
                cut = min([self.price[place], *[over[at] for at in self.holding[place]]])
                if cut > ROUNDING:
                    lowered = True
                    self.price[place] -= cut
                    for at in self.holding[place]:
                        over[at] -= cut
            if not lowered:
                break
        self.prices = [sum([self.price[place] for place in own]) for own in places]

    def _leave_out_the_hopeless(self) -> None:
        """Drop hypotheses with which no set can be as good as the one that takes the best ones first."""
        reached, used = 0.0, 0
        for score, mask in zip(self.scores, self.masks, strict=True):
            if not mask & used:
                reached += score
                used |= mask
        lost_at_most = sum(self.price) - reached + ROUNDING
        self.holding = [
            [at for at in held if self.prices[at] - self.scores[at] <= lost_at_most] for held in self.holding
        ]

    def _from(self, open_marks: int, bound: float) -> tuple[float, tuple[int, ...]]:
        """Best sum and set within the open marks, worth `bound` at most; as deep as the component has marks."""
        if open_marks == 0:
            return 0.0, ()
        known = self.memory.get(open_marks)
        if known is not None:
            return known
        self.steps += 1
        place = (open_marks & -open_marks).bit_length() - 1
        best: tuple[float, tuple[int, ...]] = (0.0, ())
        for at in self.holding[place]:
            rest = bound - self.prices[at]
            if self.masks[at] & ~open_marks or self.scores[at] + rest <= best[0] + ROUNDING:
                continue
            value, chosen = self._from(open_marks & ~self.masks[at], rest) if self.steps < MOST_STEPS else (0.0, ())
            if self.scores[at] + value > best[0]:
                best = (self.scores[at] + value, (at, *chosen))
        left = bound - self.price[place]
        if left > best[0] + ROUNDING and self.steps < MOST_STEPS:
            other = self._from(open_marks & (open_marks - 1), left)
            if other[0] > best[0]:
                best = other
        self.memory[open_marks] = best
        return best
