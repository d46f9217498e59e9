"""How likely a word stands on a legend: reference designators, trade words, numbers, values, else plausible spelling.

Weights are common practice, no source: they order what a reader finds equally plausible, and never add a character.
Designator letters are those of IEC 81346-2 and of the older IEEE 315 class letters as layouts use them, from memory.
"""

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Literal

from labelcheck.labels.reading.characters import CAPITALS, CLASSES, DIGITS, SMALL
from labelcheck.labels.reading.lexicon import COMMON, GENERAL, TRADE

TextKind = Literal["reference", "word", "mark"]

PREFIXES = {
    "R": 30.0, "C": 30.0, "U": 9.0, "D": 8.0, "J": 7.0, "Q": 5.0, "L": 5.0, "TP": 5.0, "P": 3.0, "SW": 3.0,
    "IC": 3.0, "LED": 2.5, "JP": 2.5, "X": 2.0, "Y": 2.0, "K": 2.0, "F": 2.0, "T": 2.0, "S": 2.0, "H": 1.5,
    "CN": 1.5, "FB": 2.0, "RN": 1.5, "MH": 1.0, "M": 1.0, "RV": 1.0, "VR": 1.0, "RP": 1.0, "BT": 0.8, "TR": 0.8,
    "V": 0.8, "ZD": 0.8, "W": 0.8, "XTAL": 0.4, "VD": 0.5, "VT": 0.5, "DD": 0.3, "DA": 0.3, "XP": 0.4, "XS": 0.4,
    "SB": 0.6, "RL": 0.5, "FID": 0.8, "CON": 0.6, "RJ": 0.4, "ANT": 0.4, "PS": 0.3, "LS": 0.4, "BZ": 0.3,
    "MK": 0.3, "MIC": 0.2, "E": 0.4, "A": 0.5, "B": 0.4, "G": 0.2, "N": 0.3, "Z": 0.4, "FL": 0.4, "CR": 0.6,
    "RT": 0.4, "TH": 0.3, "DS": 0.5, "OK": 0.3, "PC": 0.2, "AE": 0.2, "NT": 0.3, "TB": 0.5, "TS": 0.2, "BR": 0.3,
    "CX": 0.2, "CE": 0.2, "EC": 0.2, "RM": 0.2, "CP": 0.3, "PTC": 0.2, "NTC": 0.2, "RLY": 0.2, "KEY": 0.2,
    "BTN": 0.3, "HS": 0.2, "ST": 0.2, "SL": 0.2, "SJ": 0.6, "CB": 0.3, "SH": 0.2, "LD": 0.4, "PL": 0.3, "SK": 0.3,
    "MP": 0.2, "LCD": 0.2, "USB": 0.2, "ISO": 0.2, "OC": 0.2, "OPT": 0.2, "REF": 0.2, "POT": 0.3, "VAR": 0.1,
    "MOV": 0.1, "TVS": 0.2, "CAN": 0.1, "SPK": 0.1, "EMI": 0.1,
}
"""Class letters -> how common."""

_PREFIX_TOTAL = sum(PREFIXES.values())
_REFERENCE = re.compile(r"([A-Z]{1,4})([1-9]\d{0,3})([A-Z]|[-_.]\d{1,2}|[A-Z]\d)?")
_RANGE = re.compile(r"([A-Z]{1,4})\d{1,3}-(?:\1)?\d{1,3}")
_NUMBER = re.compile(r"[+-]?\d{1,4}")
_VALUE = re.compile(
    r"[+-]?(?:\d{1,4}(?:[.,]\d{1,3})?|\.\d{1,2})(?:[pnuµmkKMGRPNU]?(?:[FHVAWΩ]|Hz|HZ|ohm|Ohm)?|[kKMR]\d{1,2}|°C?|%|mm|MM|mA|V(?:DC|AC)?)"
    r"|[+-]?\d{1,3}[VRkKMpnuµ]\d{1,2}[FHVΩ]?"
)
_PORT = re.compile(
    r"(?:P[A-K]|IO|D|A|GPIO|AN|AD|DQ|CH|IN|OUT|TX|RX|S|B|Q|X|Y|GP|P|PIN|LED|SEG|COM|ROW|COL|INT|BA|CS|SW)\d{1,2}"
)
_JOINTS = re.compile(r"[-_/.:,&]")
_VERSION = re.compile(
    r"(?:[Vv]|REV|Rev|rev|VER|Ver)\.?"
    r"(?:[1-9]\d?(?:\.\d{1,2}){0,2}|0(?:\.\d{1,2}){1,2}|\d{1,2}\.\d{1,2}[A-Da-d]|[A-H])"
)
_RAIL = re.compile(r"[+-]?\d{1,2}(?:[.,]\d{1,2})?V(?:\d|[A-Z]{1,5}\d?)?")
_FUSE = re.compile(r"(?:FF|F|M|T|TT)\d{1,2}(?:[.,]\d{1,2})?A")
"""Characteristic and rated current of a miniature fuse, as `T2A` (IEC 60127, from memory)."""
_DATE = re.compile(
    r"(?:19|20)\d\d(?:[-/.](?:0[1-9]|1[0-2])(?:[-/.](?:[0-2]\d|3[01]))?)?|[0-3]?\d[-/.][01]?\d[-/.](?:20)?\d\d"
)

_SHARES = {
    "reference": 0.36, "lexicon": 0.21, "number": 0.09, "value": 0.05, "port": 0.05, "version": 0.02,
    "numbered": 0.07, "joined": 0.05, "spelling": 0.10,
}
_WORD_SHARES = ((COMMON, 0.55), (TRADE, 0.28), (GENERAL, 0.17))


def _words() -> dict[str, float]:
    """Each word of the lexicon -> its share."""
    shares: dict[str, float] = {}
    for group, share in _WORD_SHARES:
        for word in group:
            shares[word] = shares.get(word, 0.0) + share / len(group)
    return shares


WORDS = _words()


def _letter_pairs() -> dict[str, dict[str, float]]:
    """Probability of a letter after another (`^` starts a word), from the lexicon, evened out."""
    counts = {first: dict.fromkeys(CAPITALS, 1.5) for first in "^" + CAPITALS}
    for group, weight in ((COMMON, 0.7), (TRADE, 1.0), (GENERAL, 1.5)):
        for word in group:
            letters = "^" + "".join(c for c in word if c in counts)
            for first, second in pairwise(letters):
                counts[first][second] += weight
    return {first: {c: n / sum(row.values()) for c, n in row.items()} for first, row in counts.items()}


_PAIRS = _letter_pairs()


@lru_cache(maxsize=1 << 16)
def log_likelihood(word: str) -> float:
    """Natural logarithm of how likely a word without blanks is as one word of a legend."""
    total = (
        _SHARES["lexicon"] * _as_lexicon(word) + _SHARES["version"] * _as_version(word)
        + _SHARES["joined"] * _as_joined(word) + _SHARES["spelling"] * _as_spelling(word)
    )
    if not _DIGIT.isdisjoint(word):
        total += (
            _SHARES["reference"] * _as_reference(word) + _SHARES["number"] * _as_number(word)
            + _SHARES["value"] * _as_value(word) + _SHARES["port"] * _as_port(word)
            + _SHARES["numbered"] * _as_numbered(word)
        )
    return math.log(max(total, 1e-300))


_DIGIT_COUNTS = (0.36, 0.40, 0.20, 0.04)
_PARTS = {"A": 0.35, "B": 0.3, "C": 0.1, "D": 0.1}
"""The part of a component that a letter after its number names -> how common."""


def _as_reference(word: str) -> float:
    """A reference designator: class letters, a number that does not begin with 0, perhaps a part's letter."""
    match = _REFERENCE.fullmatch(word)
    if match is None:
        span = _RANGE.fullmatch(word)
        if span is None or span[1] not in PREFIXES:
            return 0.0
        return 0.004 * PREFIXES[span[1]] / _PREFIX_TOTAL / 10 ** (len(word) - 3)
    letters, number, suffix = match.groups()
    weight = PREFIXES.get(letters)
    share = 0.002 / 26 ** len(letters) if weight is None else weight / _PREFIX_TOTAL
    share *= _DIGIT_COUNTS[len(number) - 1] / (9 * 10 ** (len(number) - 1))
    if suffix is None:
        return share * 0.95
    return share * 0.05 * _PARTS.get(suffix, 0.01 / 10 ** (len(suffix) - 1))


def _as_lexicon(word: str) -> float:
    """A word of the lexicon in capitals, small letters, or with a capital first; a sign may go before or after."""
    share = WORDS.get(word.upper(), 0.0)
    if share == 0.0 and len(word) > 2:
        bare = word.strip("()[]:.,!/<>*#+-~_")
        share = 0.0 if bare == word else WORDS.get(bare.upper(), 0.0) * 0.05 / 8 ** (len(word) - len(bare) - 1)
    if share == 0.0:
        return 0.0
    letters = "".join(c for c in word if c.isalpha())
    if letters.isupper() or not letters:
        return share * 0.75
    if letters.islower():
        return share * (0.12 if len(letters) > 1 else 0.02)
    return share * 0.12 if letters[0].isupper() and letters[1:].islower() else share * 0.002


def _as_number(word: str) -> float:
    """A pin or position number, seldom with a sign."""
    if _NUMBER.fullmatch(word) is None:
        return 0.0
    digits = word.lstrip("+-")
    share = (0.5, 0.4, 0.07, 0.03)[len(digits) - 1] / 10 ** len(digits)
    if digits[0] == "0" and len(digits) > 1:
        share *= 0.1
    return share if digits is word or len(digits) == len(word) else share * 0.02


def _as_value(word: str) -> float:
    """A value with its unit, a supply rail by its voltage and name, or a date."""
    if _DATE.fullmatch(word) is not None:
        return 0.1 / 10 ** (len(word) - 2)
    share = 0.0 if _VALUE.fullmatch(word) is None else 0.5 / 12 ** len(word)
    if _RAIL.fullmatch(word) is not None:
        share += 0.2 / 10 ** sum(character in _DIGIT for character in word) / 20 ** sum(map(str.isalpha, word))
    if word[0] == "0" and word[1:].isalpha() and "V" not in word:
        # Nobody states nothing of a unit, but for a wire: 0N is ON, and 0R is drawn more often as 0 or 0R0.
        share *= 0.2 if word == "0R" else _NOTHING
    return share


_NOTHING = 0.01
"""How much seldomer than other values 0 stands with a letter for its unit."""


def _as_port(word: str) -> float:
    """A port or channel: letters that number pins, and a number."""
    if _PORT.fullmatch(word) is None:
        return 0.0
    digits = len(word) - len(word.rstrip(DIGITS))
    return 1 / 45 * (0.65 if digits == 1 else 0.35) / 10**digits


def _as_numbered(word: str) -> float:
    """A word of the lexicon with a number behind it."""
    letters = word.rstrip(DIGITS)
    digits = len(word) - len(letters)
    if not 1 <= digits <= 2 or len(letters) < 2:
        return 0.0
    return _as_lexicon(letters) * (0.7 if digits == 1 else 0.3) / 10**digits


def _as_joined(word: str) -> float:
    """Words joined by a sign, each likely by itself."""
    parts = _JOINTS.split(word)
    if len(parts) < 2 or not all(parts):
        return 0.0
    return math.exp(sum(map(log_likelihood, parts))) * 0.2 ** (len(parts) - 1)


def _as_version(word: str) -> float:
    """A version or revision."""
    return 0.0 if _VERSION.fullmatch(word) is None else 1 / 10 ** max(1, len(word) - 2)


_CAPITAL, _SMALL, _DIGIT = frozenset(CAPITALS), frozenset(SMALL), frozenset(DIGITS)
_SIGN_SHARES = dict.fromkeys((c for c in CLASSES if c and not c.isalnum()), 0.012) | {
    "-": 0.22, "/": 0.16, ".": 0.2, "+": 0.1, "_": 0.06, ":": 0.06, "(": 0.04, ")": 0.04, ",": 0.02, "#": 0.02,
    "&": 0.02, "|": 0.001, "'": 0.004, '"': 0.002, "~": 0.004, "!": 0.006, "µ": 0.004, "Ω": 0.004, "°": 0.004,
}
_STAY = {"capital": 0.84, "small": 0.9, "digit": 0.62, "sign": 0.2}
_STEP = {
    ("start", "capital"): 0.7, ("start", "small"): 0.08, ("start", "digit"): 0.14, ("start", "sign"): 0.08,
    ("capital", "small"): 0.02, ("capital", "digit"): 0.08, ("capital", "sign"): 0.06,
    ("small", "capital"): 0.01, ("small", "digit"): 0.03, ("small", "sign"): 0.06,
    ("digit", "capital"): 0.14, ("digit", "small"): 0.04, ("digit", "sign"): 0.2,
    ("sign", "capital"): 0.4, ("sign", "small"): 0.1, ("sign", "digit"): 0.3,
}
_LEADING_ZERO = 0.25
_GOES_ON = 0.8
"""Chance that one more character follows."""


def _class_of(character: str) -> str:
    if character in _CAPITAL:
        return "capital"
    if character in _SMALL:
        return "small"
    return "digit" if character in _DIGIT else "sign"


@dataclass(frozen=True, slots=True, eq=False)
class _Before:
    """What of a word so far bears on its next character; there is one of each, from `_before`."""

    kind: str
    """Class of the last character; `start` before the first."""
    letter: str
    """The last character where it is a letter, as a capital, else `^`."""
    single: bool
    """Whether it is the only character so far."""
    point: bool
    """Whether it is a point or comma behind a digit."""
    zero: bool
    """Whether it is a single 0."""


@cache
def _before(kind: str, letter: str, single: bool, point: bool, zero: bool) -> _Before:
    return _Before(kind, letter, single, point, zero)


_START = _before("start", "^", single=False, point=False, zero=False)


@cache
def _next(before: _Before, character: str) -> tuple[float, _Before]:
    """Share of words that go on with a character, and what then is before the next."""
    now = _class_of(character)
    if before.point:
        share = 0.9 if now == "digit" else 0.02  # a decimal point
    elif before.kind == now:
        share = _STAY[now]
    elif before.single and (before.kind, now) == ("capital", "small"):
        share = 0.12  # a capital first
    else:
        share = _STEP[(before.kind, now)]
    letter = "^"
    if now in ("capital", "small"):
        letter = character.upper()
        share *= _PAIRS[before.letter][letter]
        if before.zero:
            share *= _LEADING_ZERO  # nor does a number before letters
    else:
        share *= 0.1 if now == "digit" else _SIGN_SHARES.get(character, 0.001)
        if character == "0" and before.letter.isalpha():
            share *= _LEADING_ZERO  # a number behind a word seldom begins with 0
    point = before.kind == "digit" and character in ".,"
    first = before is _START
    return share, _before(now, letter, first, point, first and character == "0")


def _as_spelling(word: str) -> float:
    """Any text: runs of one class of characters, letters after one another as words have them."""
    share, before = 1.0, _START
    for character in word:
        step, before = _next(before, character)
        share *= step
    return share * _GOES_ON ** (len(word) - 1) * (1 - _GOES_ON)


def kind_of(text: str) -> TextKind:
    """A reference designator, a single character or sign (`mark`), or else a `word`."""
    if len(text) == 1 or not any(character.isalnum() for character in text):
        return "mark"
    match = _REFERENCE.fullmatch(text)
    known = match is not None and match[1] in PREFIXES and not (_VERSION.fullmatch(text) or _FUSE.fullmatch(text))
    return "reference" if known or _is_plain_version(text) else "word"


def _is_plain_version(text: str) -> bool:
    """Whether a text of the form of a version is a reference all the same: V1 is a valve or a source, V1.0 is not."""
    return re.fullmatch(r"V[1-9]\d{0,2}", text) is not None
