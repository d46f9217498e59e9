"""Rows of glyphs to texts: what the network holds plausible, weighed by the grammar of legends."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain, pairwise, product

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.calibration import Calibration
from labelcheck.labels.reading.characters import CLASSES, REJECT
from labelcheck.labels.reading.grammar import log_likelihood
from labelcheck.labels.reading.protocol import Reading

PLAUSIBLE = 0.004
"""Least probability of a character that the grammar may choose; likelier ones only are ever put into a text."""
LEAST_SHARE = 0.4
"""A glyph is `?` where no character has so large a share of all readings of its word."""
MOST_READINGS = 96
"""Readings of a word that are weighed one by one."""
BLANK_COST = -2.5
"""Natural logarithm of how likely a word gap stands in a label at a given place."""
GLYPH_COST = math.log(50)
"""Evens out the length of texts: about what one more character costs a word of any kind."""
GRAMMAR_WEIGHT = 0.5
"""How much of the grammar counts in the score that compares different groupings of marks."""
DRAWN_TOO = (
    dict.fromkeys("-|_Il/", 0.4) | dict.fromkeys("O0o°.", 0.3) | dict.fromkeys("=()[]:,'\"", 0.15)
    | dict.fromkeys("+<>CcUuDVvnJ1", 0.08) | dict.fromkeys("LTHXx*", 0.04)
)
"""Characters so plain that drawings hold the same shape -> how likely a mark of that shape, found anywhere on a
legend, belongs to a drawing. The network cannot know: it is the same shape. Judged by eye on legends."""
MOST_A_GLYPH = 7.0
"""One glyph adds or takes at most so much, so that one drawing does not outweigh a whole word."""


@dataclass(frozen=True, slots=True)
class _Word:
    """One word read: its text with `?`, the share of that text among all readings, and its score."""

    text: str
    share: float
    score: float


def decode_rows(
    log_probabilities: NDArray[np.float32],
    first: NDArray[np.int64],
    spaced: NDArray[np.bool_],
    calibration: Calibration,
) -> tuple[Reading, ...]:
    """See `Reader.decode`."""
    known: dict[bytes, _Word] = {}  # hypotheses of one line differ by a word, and share the others
    choices = _choices(log_probabilities)

    def word(start: int, end: int) -> _Word:
        key = log_probabilities[start:end].tobytes()
        if key not in known:
            known[key] = _word(choices[start:end])
        return known[key]

    return tuple(
        _row([word(a, b) for a, b in _words_in(start, end, spaced)], calibration)
        for start, end in zip(first[:-1].tolist(), first[1:].tolist(), strict=True)
    )


def _words_in(start: int, end: int, spaced: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Where the words of a row of glyphs start and end."""
    if start < end:
        yield from pairwise([start, *(np.flatnonzero(spaced[start + 1 : end]) + start + 1).tolist(), end])


def word_shares(log_probabilities: NDArray[np.float32], first: NDArray[np.int64]) -> list[tuple[str, float]]:
    """Text and share of all readings of each word, before calibration."""
    choices = _choices(log_probabilities)
    words = [_word(choices[a:b]) for a, b in zip(first[:-1].tolist(), first[1:].tolist(), strict=True)]
    return [(word.text, word.share) for word in words]


@dataclass(frozen=True, slots=True)
class _Choice:
    """What one glyph may be: characters from the likeliest down with their log-probabilities, and that of none."""

    characters: tuple[str, ...]
    logs: tuple[float, ...]
    reject: float
    """Log-probability that it is no character."""
    held: float
    """Probability of all these characters together."""


def _choices(log_probabilities: NDArray[np.float32]) -> list[_Choice]:
    """Plausible characters of each glyph; at least the likeliest one."""
    letters = log_probabilities[:, :REJECT]
    order = np.argsort(-letters, axis=1, kind="stable")[:, :6]
    logs = np.take_along_axis(letters, order, axis=1)
    counts = np.maximum((logs >= math.log(PLAUSIBLE)).sum(axis=1), 1)
    held = np.where(np.arange(logs.shape[1]) < counts[:, None], np.exp(logs, dtype=np.float64), 0.0).sum(axis=1)
    columns = (order, logs, counts, log_probabilities[:, REJECT], np.minimum(held, 1.0))
    return [
        _Choice(tuple([CLASSES[c] for c in row[:count]]), tuple(values[:count]), reject, together)
        for row, values, count, reject, together in zip(*(column.tolist() for column in columns), strict=True)
    ]


def _row(words: list[_Word], calibration: Calibration) -> Reading:
    """A row of words; the chance of the whole is that of its words together."""
    if not words:
        return Reading("", 0.0, 0.0)
    # One character that no drawing holds vouches for the plain ones beside it, in its word and in the others.
    drawing = math.prod(DRAWN_TOO.get(character, 0.0) for word in words for character in word.text)
    confidence = (1 - drawing) * math.prod(calibration.chance(word.share) for word in words)
    score = sum(word.score for word in words) + BLANK_COST * (len(words) - 1) * GRAMMAR_WEIGHT
    return Reading(" ".join(word.text for word in words), confidence, score)


def _word(choices: list[_Choice]) -> _Word:
    """The likeliest reading of one word."""
    weighed = [(sum(logs) + log_likelihood(text), text) for text, logs in _readings(choices)]
    best_weight, best = max(weighed)
    shares = [(math.exp(weight - best_weight), text) for weight, text in weighed]
    total = sum(share for share, _ in shares)
    # What the network gave to implausible characters and to no character at all speaks against the whole word.
    held = math.prod([choice.held for choice in choices])
    share = held / total
    text = "".join(
        character if _is_plausible(at, character, shares, total, choice) else "?"
        for at, (character, choice) in enumerate(zip(best, choices, strict=True))
    )
    evidence = sum(_evidence(character, choice) for character, choice in zip(best, choices, strict=True))
    grammar = GRAMMAR_WEIGHT * (log_likelihood(best) + GLYPH_COST * len(best))
    return _Word(text, share if "?" not in text else 0.0, evidence + grammar)


def _evidence(character: str, choice: _Choice) -> float:
    """How much more likely a glyph is this character than part of a drawing, as a logarithm, bounded."""
    drawing = math.exp(choice.reject) + DRAWN_TOO.get(character, 0.0)
    against = math.log(max(drawing, 1e-9))
    return max(-MOST_A_GLYPH, min(MOST_A_GLYPH, choice.logs[choice.characters.index(character)] - against))


def _is_plausible(at: int, character: str, shares: list[tuple[float, str]], total: float, choice: _Choice) -> bool:
    """Whether a glyph is read: its character is plausible and takes its share of the readings that hold it.

    The best reading, of which the character is, has a share of 1.
    """
    log = choice.logs[choice.characters.index(character)]
    if log < math.log(PLAUSIBLE) or choice.reject > math.log(0.5):
        return False
    if total <= 1 / LEAST_SHARE:
        return True
    return sum(share for share, text in shares if text[at] == character) >= LEAST_SHARE * total


def _readings(choices: list[_Choice]) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Readings worth weighing, each once, with the log-probabilities of their characters.

    All of them where they are few; else the least likely characters are left out until they are, and readings that
    are of one kind throughout (capitals, small letters, digits, letters before digits) are added from all choices.
    """
    whole = [list(zip(c.characters, c.logs, strict=True)) for c in choices]
    kept = whole
    if math.prod(map(len, kept)) > MOST_READINGS:
        kept = _thinned(kept)
    seen: set[str] = set()
    for pairs in chain(product(*kept), () if kept is whole else _uniform(whole)):
        text = "".join([character for character, _ in pairs])
        if text not in seen:
            seen.add(text)
            yield text, tuple([log for _, log in pairs])


Pairs = list[tuple[str, float]]


def _thinned(choices: list[Pairs]) -> list[Pairs]:
    """The choices without their least likely characters, so that at most `MOST_READINGS` remain."""
    kept = [list(pairs) for pairs in choices]
    while math.prod(map(len, kept)) > MOST_READINGS:
        _, weakest = min((pairs[-1][1] - pairs[0][1], at) for at, pairs in enumerate(kept) if len(pairs) > 1)
        kept[weakest].pop()
    return kept


def _uniform(choices: list[Pairs]) -> Iterator[Pairs]:
    """Readings with the likeliest capital, small letter or digit of each glyph, where it has one."""
    best = [[_likeliest(pairs, kind) for pairs in choices] for kind in (str.isupper, str.islower, str.isdigit)]
    capitals, small, digits = best
    yield small
    yield capitals[:1] + small[1:]
    for split in range(len(choices) + 1):
        yield capitals[:split] + digits[split:]


def _likeliest(pairs: Pairs, kind: Callable[[str], bool]) -> tuple[str, float]:
    """The first pair whose character is of the kind, else the first."""
    return next((pair for pair in pairs if kind(pair[0])), pairs[0])
