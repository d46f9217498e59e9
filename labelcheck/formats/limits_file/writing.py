"""Writes limits as a limits file to start from, and acceptances to be put at the end of one."""

import json
import re
from collections.abc import Iterable

from labelcheck.trade.limits import BOUNDS, BY_DEFAULT, Distance, Limit, Limits, Process, names_of_limits
from labelcheck.trade.stated import Acceptance, MustCarry, StatedBody, StatedColour, StatedWeight
from labelcheck.trade.version import MADE_BY

_DECIMALS = 6
_OWN_WORDS = re.compile(r"^[^()]*:\d+ \((.*)\)$", re.DOTALL)
"""`labelcheck.toml:12 (capability table of the fabricator)`."""
_COMMENT_COLUMN = 34

_HEAD = """\
# Limits in force, written by {made_by}. Lengths are millimetres.
# A line behind a # is a default, and follows the process; take the # away to fix its value.
# "never" instead of a number switches a bound off.
"""
_HEAD_PINNED = """\
# Limits in force, written by {made_by}, every value fixed. Lengths are millimetres.
# A change of the process changes nothing any more but for its name. "never" switches a bound off.
"""

_EXAMPLES = """
# Which labels matter more: a finding about one counts a step worse. With matters = "not" it is a note at most.
# [[labels]]
# text = ["F?", "+*V"]           # patterns with * and ? for the whole text, and / or
# region = [0.0, 0.0, 10.0, 5.0] # x0, y0, x1, y1 as in the artwork
# matters = "more"
# board = "turnout*"             # here and below: for sets of that name only

# What the board must carry.
# [[must-carry]]
# text = "REV ?"
# side = "top"                   # top, bottom or either
# height = 1.5                   # at least

# The largest body of a part, from its data sheet.
# [[bodies]]
# reference = "K*"               # and / or package = "RELAY-*"
# length = 20.5                  # along x as the part lies unturned
# width = 10.2
# height = 15.7
# offset = [0.0, 0.0]            # from the placement point to the middle of the body
# source = "data sheet"
"""


def limits_text(limits: Limits, pinned: bool = False) -> str:
    """All values in force with their sources, as a limits file: reading it gives the same limits.

    Defaults are commented out, so that they go on following the process; `pinned` states them all.
    """
    lines = [(_HEAD_PINNED if pinned else _HEAD).format(made_by=MADE_BY).rstrip("\n"), ""]
    processes, distance = ", ".join(Process), _number(limits.reading_distance_mm)
    lines += [
        _line("process", _string(limits.process), f"{limits.process_source}; one of {processes}"),
        _line("reading-distance", distance, f"{limits.reading_distance_source}; eye to board"),
        _line("pitch", _number(limits.pitch_mm), limits.pitch_source, pinned or limits.pitch_source != BY_DEFAULT),
        "",
        "[colours]",
        _colour("mask", limits.mask_colour),
        _colour("legend", limits.legend_colour),
        "",
        "[distances]",
    ]
    values = [(name.replace("_", "-"), getattr(limits, name)) for name in names_of_limits()]
    for name, one in values:
        if isinstance(one, Distance):
            lines.append(_distance(name, one, pinned, limits))
    for name, one in values:
        if isinstance(one, Limit):
            lines += ["", *_limit(name, one, pinned)]
    statements = [
        *(_weight(one) for one in limits.weights),
        *(_must_carry(one) for one in limits.must_carry),
        *(_body(one) for one in limits.bodies),
        *(acceptance_text(one) for one in limits.accepted),
    ]
    text = "\n".join(lines) + "\n"
    return text + "".join(f"\n{one}" for one in statements) if statements else text + _EXAMPLES


def acceptance_text(accepted: Acceptance) -> str:
    """One acceptance as a table of a limits file, ending in a line feed."""
    return _table(
        "accepted",
        (
            ("analyser", _string(accepted.analyser)),
            ("severity", _string(accepted.severity)),
            ("side", _string(accepted.side)),
            ("text", _optional_string(accepted.text)),
            ("whole-side", "true" if accepted.whole_side else None),
            ("at", _array(accepted.at_mm)),
            ("corner", _array(accepted.corner_mm)),
            ("size", _array(accepted.size_mm)),
            ("measured", None if accepted.measured is None else _number(accepted.measured)),
            ("because", _string(accepted.because)),
            ("board", _optional_string(accepted.board)),
        ),
    )


def _weight(one: StatedWeight) -> str:
    return _table(
        "labels",
        (
            ("text", None if one.texts is None else f"[{', '.join(map(_string, one.texts))}]"),
            ("side", _optional_string(one.side)),
            ("region", _array(one.region_mm)),
            ("matters", _string(one.weight)),
            ("because", _optional_string(one.because)),
            ("board", _optional_string(one.board)),
        ),
    )


def _must_carry(one: MustCarry) -> str:
    return _table(
        "must-carry",
        (
            ("text", _string(one.text)),
            ("side", _optional_string(one.side)),
            ("height", None if one.height_mm is None else _number(one.height_mm)),
            ("because", _optional_string(one.because)),
            ("board", _optional_string(one.board)),
        ),
    )


def _body(one: StatedBody) -> str:
    return _table(
        "bodies",
        (
            ("reference", _optional_string(one.reference)),
            ("package", _optional_string(one.package)),
            ("length", _number(one.length_mm)),
            ("width", _number(one.width_mm)),
            ("height", None if one.height_mm is None else _number(one.height_mm)),
            ("offset", _array(one.offset_mm) if one.offset_mm != (0.0, 0.0) else None),
            ("source", _optional_string(_own_words(one.source))),
            ("board", _optional_string(one.board)),
        ),
    )


def _table(name: str, pairs: Iterable[tuple[str, str | None]]) -> str:
    """`[[name]]` with those of the pairs that have a value."""
    return "".join([f"[[{name}]]\n", *(f"{key} = {value}\n" for key, value in pairs if value is not None)])


def _limit(name: str, limit: Limit, pinned: bool) -> list[str]:
    """`[limits.stroke]` with its three bounds; their common source stands above, other sources beside."""
    stated = dict(limit.stated)
    lines = [f"# {_one_line(limit.name)}{_unit(limit.unit)}: {_one_line(limit.source)}", f"[limits.{name}]"]
    own = next((words for source in stated.values() if (words := _own_words(source)) is not None), None)
    if own is not None:
        lines.append(f"source = {_string(own)}")
    for bound in BOUNDS:
        value = getattr(limit, bound)
        key = f"{bound}-{'above' if limit.worse_above else 'below'}"
        shown = '"never"' if value is None else _number(value)
        lines.append(_line(key, shown, stated.get(bound, ""), pinned or bound in stated))
    return lines


def _distance(name: str, distance: Distance, pinned: bool, limits: Limits) -> str:
    own = _own_words(distance.source)
    value = _number(distance.value_mm)
    if own is not None:
        value = f"{{ mm = {value}, source = {_string(own)} }}"
    stated = limits.file is not None and distance.source.startswith(f"{limits.file.name}:")
    return _line(name, value, f"{distance.name}: {distance.source}", pinned or stated)


def _colour(key: str, colour: StatedColour | None) -> str:
    if colour is None:
        return f'# {key} = "{"green" if key == "mask" else "white"}"'.ljust(_COMMENT_COLUMN) + "# not stated"
    return _line(key, _string(colour.words), colour.source)


def _line(key: str, value: str, comment: str, stated: bool = True) -> str:
    pair = f"{'' if stated else '# '}{key} = {value}"
    return f"{pair.ljust(_COMMENT_COLUMN - 1)} # {_one_line(comment)}" if comment else pair


def _one_line(text: str) -> str:
    """Text for a comment, which a line feed would end."""
    return " ".join(text.split())


def _unit(unit: str) -> str:
    return f", {unit}" if unit in ("mm", "deg") else {"fraction": ", from 0 to 1"}.get(unit, "")


def _own_words(source: str) -> str | None:
    """What the person wrote about where a value is from."""
    found = _OWN_WORDS.match(source)
    return None if found is None else found.group(1)


def _array(values: tuple[float, ...] | None) -> str | None:
    return None if values is None else f"[{', '.join(map(_number, values))}]"


def _number(value: float) -> str:
    """Shortest form to a nanometre; always with a point, so that it is a float in TOML too."""
    return repr(round(float(value), _DECIMALS) + 0.0)


def _optional_string(text: str | None) -> str | None:
    return None if text is None else _string(text)


def _string(text: str) -> str:
    """A basic string of TOML; JSON escapes the same but for the delete character and lone surrogates."""
    plain = str(text).encode("utf-8", "replace").decode("utf-8")
    return json.dumps(plain, ensure_ascii=False).replace("\x7f", "\\u007f")
