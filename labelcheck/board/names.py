"""What a file name says about a layer: words of many tongues and habits, and the old three-letter extensions.

A name is cut into words at signs, at changes of case, and, where words stand together (`topsilk`), along a vocabulary
(`layer_words.txt`).
A word counts only whole: `desktop` is no `top`, `pastel` no `paste`.
"""

import re
from functools import lru_cache
from pathlib import Path, PurePosixPath

from labelcheck.board.roles import Meaning, Role
from labelcheck.trade.sides import Side

_WORDS_FILE = Path(__file__).with_name("layer_words.txt")


def _words_file() -> dict[str, frozenset[str]]:
    """Each concept with its words."""
    concepts: dict[str, set[str]] = {}
    for line in _WORDS_FILE.read_text(encoding="utf-8").splitlines():
        concept, colon, listed = line.partition(":")
        if colon and not line.startswith("#"):
            concepts.setdefault(concept, set()).update(listed.split())
    return {concept: frozenset(words) for concept, words in concepts.items()}


_CONCEPTS = _words_file()


def _vocabulary() -> dict[str, frozenset[str]]:
    """Each word with the concepts that it belongs to."""
    words: dict[str, set[str]] = {}
    for concept, listed in _CONCEPTS.items():
        if concept not in ("never a layer", "always a layer"):
            for word in listed:
                words.setdefault(word, set()).add(concept)
    return {word: frozenset(concepts) for word, concepts in words.items()}


_VOCABULARY = _vocabulary()
_LONGEST_WORD = max(map(len, _VOCABULARY))

_EXTENSIONS: dict[str, Meaning] = {
    **{ext: Meaning(Role.LEGEND, Side.TOP) for ext in ["gto", "plc", "sst", "tsk", "tss"]},
    **{ext: Meaning(Role.LEGEND, Side.BOTTOM) for ext in ["gbo", "pls", "ssb", "bsk", "bss"]},
    **{ext: Meaning(Role.MASK, Side.TOP) for ext in ["gts", "stc", "smt", "tsm"]},
    **{ext: Meaning(Role.MASK, Side.BOTTOM) for ext in ["gbs", "sts", "smb", "bsm"]},
    **{ext: Meaning(Role.PASTE, Side.TOP) for ext in ["gtp", "crc", "spt", "tsp"]},
    **{ext: Meaning(Role.PASTE, Side.BOTTOM) for ext in ["gbp", "crs", "spb", "bsp"]},
    **{ext: Meaning(Role.COPPER, Side.TOP) for ext in ["gtl", "cmp", "top"]},
    **{ext: Meaning(Role.COPPER, Side.BOTTOM) for ext in ["gbl", "sol", "bot"]},
    **{ext: Meaning(Role.OUTLINE, Side.BOTH) for ext in ["gko", "oln", "outline", "bor", "dim", "out"]},
    **{ext: Meaning(Role.OUTLINE, Side.BOTH, "milling") for ext in ["gml", "mil", "gmb"]},
    **{ext: Meaning(Role.OTHER, None, "drill drawing") for ext in ["gdd", "dd", "gdl"]},
    **{ext: Meaning(Role.OTHER, None, "pads") for ext in ["gpt", "gpb"]},
    **{ext: Meaning(Role.ASSEMBLY, Side.TOP) for ext in ["gta", "ast"]},
    **{ext: Meaning(Role.ASSEMBLY, Side.BOTTOM) for ext in ["gba", "asb"]},
    **{ext: Meaning(Role.ASSEMBLY, None) for ext in ["fab"]},
}
"""The habits of three-letter extensions (common practice, no single source)."""

_NUMBERED_EXTENSIONS: tuple[tuple[re.Pattern[str], Meaning], ...] = (
    (re.compile(r"^gm\d{1,2}$"), Meaning(Role.OUTLINE, Side.BOTH, "mechanical")),
    (
        re.compile(
            r"^(?:g\d{1,2}l?|gl\d{1,2}|gp\d{1,2}|g[ip]\d{1,2}|l\d{1,2}|ly\d{1,2}|in\d{1,2}|inn?\d*|i\d{1,2})$"
        ),
        Meaning(Role.COPPER, Side.INNER),
    ),
    (re.compile(r"^g[dg]\d{1,2}$"), Meaning(Role.OTHER, None, "drill drawing")),
)

_NEVER_LAYERS = _CONCEPTS["never a layer"]
"""Extensions of files that are never meant as a layer, in whatever words they are named."""

_LAYER_EXTENSIONS = _CONCEPTS["always a layer"]
"""Extensions, beside those that name a layer, of which nobody makes anything but artwork and drills."""

_SIDED = frozenset({Role.LEGEND, Role.MASK, Role.PASTE, Role.COPPER})
"""Roles that have a side each."""

_CAMEL = re.compile(r"(?<=[a-zß-öø-ÿ0-9])(?=[A-ZÀ-Ý])|(?<=[A-ZÀ-Ý])(?=[A-ZÀ-Ý][a-zß-öø-ÿ])")
_LAYER_NUMBER = re.compile(
    r"(?:^|[^a-z0-9])(?:l|layer|lyr|in|inner|signal|gnd|pwr|plane|mid)[\s_.-]*0*(\d{1,2})(?![0-9])"
)


def may_be_layer(name: str) -> bool:
    """Whether the extension allows a layer at all: a picture or a table is none, whatever its words say."""
    extension = PurePosixPath(name).suffix.lower().lstrip(".")
    # Extensions with an underscore belong to the sources of layout programs.
    return extension not in _NEVER_LAYERS and "_" not in extension


def meaning_of_name(name: str, common_words: frozenset[str] = frozenset()) -> Meaning | None:
    """What a file name says, or None where it says nothing.

    `common_words` are words that all layer files of the set share (the project's name): they say nothing. The folder
    that a file lies in is asked for what its own name leaves open.
    """
    path = PurePosixPath(name)
    extension = path.suffix.lower().lstrip(".")
    by_extension = _by_extension(extension)
    words = [word for word in _cut(path.stem if extension else path.name) if word not in common_words]
    if by_extension is None and extension:
        words += _cut(path.suffix[1:])
    by_words = _by_words(words, path.name)
    if by_extension is None:
        return _with_folder(by_words, words, [word for word in _cut(path.parent.name) if word not in common_words])
    if by_words is None:
        return by_extension
    if by_extension.detail in ("mechanical", "milling"):
        return by_words
    # A classic extension names role and side at once; words beside it are mostly the project's own.
    if by_words.role is by_extension.role and by_words.side not in (None, by_extension.side):
        return by_words
    if by_words.role in (Role.OTHER, Role.ASSEMBLY) and by_extension.role in (Role.OUTLINE, Role.COPPER):
        return by_words
    return by_extension


def _with_folder(by_words: Meaning | None, words: list[str], folder: list[str]) -> Meaning | None:
    """`Top/silk.gbr` lies on the top, `Silkscreen/top.gbr` is a legend."""
    if by_words is None or by_words.role not in _SIDED or not folder:
        return by_words
    by_folder = _by_words(folder, "")
    concepts = {concept for word in words for concept in _VOCABULARY.get(word, frozenset())}
    if by_folder is not None and by_folder.role in _SIDED and concepts <= {"top", "bottom", "side"}:
        return Meaning(by_folder.role, by_words.side)
    if by_words.side is None and by_folder is not None:
        return Meaning(by_words.role, by_folder.side, by_words.detail)
    return by_words


def _by_extension(extension: str) -> Meaning | None:
    found = _EXTENSIONS.get(extension)
    if found is not None:
        return found
    return next((meaning for pattern, meaning in _NUMBERED_EXTENSIONS if pattern.match(extension)), None)


def _by_words(words: list[str], name: str) -> Meaning | None:
    concepts: set[str] = set()
    for word in words:
        concepts |= _VOCABULARY.get(word, frozenset())
    side = _side(words, concepts)
    role = _role(words, concepts, _LAYER_NUMBER.search(name.lower()) is not None)
    if role is None:
        return None
    if role.role is Role.COPPER:
        return _copper(words, concepts, side, name)
    if role.role in (Role.OUTLINE, Role.DRILL):
        return Meaning(role.role, Side.BOTH, role.detail)
    return Meaning(role.role, side, role.detail)


def _role(words: list[str], concepts: set[str], numbered: bool) -> Meaning | None:
    """The role that a bag of concepts means; the order settles what beats what."""
    if "drawing" in concepts:
        return Meaning(Role.OTHER, None, "drill drawing" if "drill" in concepts else "drawing")
    if "drill" in concepts and "legend" in concepts:
        return Meaning(Role.OTHER, None, "drill drawing")
    if "assembly" in concepts:
        return Meaning(Role.ASSEMBLY)
    if "paste" in concepts:
        return Meaning(Role.PASTE)
    if "mask" in concepts and not ("legend" in concepts and not _plain_mask(words)):
        return Meaning(Role.MASK)
    if "legend" in concepts:
        return Meaning(Role.LEGEND)
    if "scoring" in concepts:
        return Meaning(Role.OTHER, None, "scoring")
    if "drill" in concepts:
        unplated = {"npth", "unplated", "nonplated"} & set(words)
        plated = {"pth", "plated"} & set(words)
        return Meaning(Role.DRILL, None, "not plated" if unplated else "plated" if plated else "")
    if "outline" in concepts:
        return Meaning(Role.OUTLINE, None, "")
    if "mechanical" in concepts:
        return Meaning(Role.OUTLINE, None, "mechanical")
    if "component" in concepts:
        return Meaning(Role.COMPONENT)
    spoken = {concept for word in words if len(word) > 1 for concept in _VOCABULARY.get(word, frozenset())}
    if {"top", "bottom", "inner", "copper"} & spoken or numbered:
        return Meaning(Role.COPPER)
    if "routing" in concepts:
        return Meaning(Role.OUTLINE, None, "milling")
    return None


def _plain_mask(words: list[str]) -> bool:
    return any(word in ("mask", "soldermask", "resist", "solderresist") for word in words)


def _side(words: list[str], concepts: set[str]) -> Side | None:
    """The side that the words name; a single letter counts only where nothing longer speaks."""
    told = [
        word
        for word in words
        if {"top", "bottom"} & _VOCABULARY.get(word, frozenset()) and not _is_no_side(word, words, concepts)
    ]
    clear = [word for word in told if len(word) > 1] or told
    if not clear:
        return None
    # The last one wins: the project's name comes first.
    return Side.TOP if "top" in _VOCABULARY[clear[-1]] else Side.BOTTOM


def _is_no_side(word: str, words: list[str], concepts: set[str]) -> bool:
    others = [other for other in words if other != word]
    named = any({"top", "bottom"} & _VOCABULARY.get(other, frozenset()) for other in others if len(other) > 1)
    if word in ("solder", "component", "comp", "primary", "secondary"):
        # `solder mask` is no solder side, `component print top` no component side.
        followed = {"mask", "paste"} & concepts and "side" not in words
        return (word == "solder" and bool(followed)) or named
    return False


def _copper(words: list[str], concepts: set[str], side: Side | None, name: str) -> Meaning:
    number = _LAYER_NUMBER.search(name.lower())
    detail = f"layer {int(number[1])}" if number is not None else ""
    if "inner" in concepts and not {"top", "bottom"} & set(words):
        return Meaning(Role.COPPER, Side.INNER, detail)
    if side is None and (number is not None or "copper" in concepts):
        return Meaning(Role.COPPER, Side.INNER, detail)
    return Meaning(Role.COPPER, side, detail)


def _cut(text: str) -> list[str]:
    """Words of a name, in small letters, in order."""
    words: list[str] = []
    for token in re.split(r"[\W_]+|(?<=\d)(?=[^\W\d])|(?<=[^\W\d])(?=\d)", text):
        if not token:
            continue
        whole = _segments(token.lower())
        if whole is not None:
            words += whole
            continue
        for piece in _CAMEL.split(token):
            words += _segments(piece.lower()) or (piece.lower(),)
    return words


@lru_cache(maxsize=4096)
def _segments(token: str) -> tuple[str, ...] | None:
    """The token as vocabulary words end to end, longest words first; None where that is impossible.

    A single letter may stand only at either end, and only beside one longer word: `tsilk`, `silkb`.
    """
    if token in _VOCABULARY:
        return (token,)
    if len(token) > 60:
        return None
    best: dict[int, tuple[str, ...]] = {0: ()}
    for end in range(1, len(token) + 1):
        for start in range(max(0, end - _LONGEST_WORD), end):
            word = token[start:end]
            if start not in best or word not in _VOCABULARY:
                continue
            if len(word) == 1 and start not in (0, len(token) - 1):
                continue
            if len(word) == 2 and len(token) > 5:
                continue
            option = (*best[start], word)
            if end not in best or len(option) < len(best[end]):
                best[end] = option
    return best.get(len(token))


def words_of(name: str) -> list[str]:
    """Words of a file name without folders and extension, in small letters, in order."""
    return _cut(PurePosixPath(name).stem)


def layer_extension(name: str) -> bool:
    """Whether the extension promises artwork or a drill file, whatever the file holds."""
    extension = PurePosixPath(name).suffix.lower().lstrip(".")
    return extension in _LAYER_EXTENSIONS or _by_extension(extension) is not None
