"""Do the clear spaces inside and between the characters stay open when the ink spreads?"""

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.labels.label import Label, NarrowPlace
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length

SAME_WHEN_SHUT = frozenset("4QRKkaegtfry&@$%#")
"""An open 4 and a closed one are both a 4: of these what counts is the clear space behind the mouth. Of C, S, 3, 5,
6, 9 and the like it is the mouth, for shut they are an O or an 8 (judgement, no source)."""
SAME_WHEN_FILLED = frozenset("A4")
"""No other capital or digit has the outline of these: they are told from the rest when filled (judgement)."""
SIGNS = frozenset("&@$%#")
"""Told by their outline too, and never mistaken for a letter (judgement)."""
READ_BY_PIECES = frozenset('=:;"!?%÷±')
"""Joined, = is a minus and : a stroke. An i whose dot has run into its stem is still an i (judgement)."""


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """The narrowest clear space whose closing a reader would miss; not applicable where there is none (a lone `1`).

    Gaps that open once a short label is made as high as it must be are one fault with its height, told there.
    """
    label = evidence.label
    counting = [
        place for place in label.narrow_places
        if _counts(place, limits) and not _told_as_short(label, place, limits)
    ]
    if not counting:
        return None
    whole = [place for place in counting if _at_worst(label, place) is Severity.UNREADABLE]
    worst = min(whole, key=_width, default=None)
    if worst is None or not _passes(_width(worst), limits.gap.unreadable, limits):
        worst = min(counting, key=_width)
    if label.drawn_as == "knocked out":
        return _of_ink(label, worst, limits)
    width, limit = _width(worst), limits.gap
    wider = "space the characters wider" if worst.kind == "neighbours" else "make the characters larger"
    return Measurement(
        value=width,
        limit=limit,
        box_mm=worst.box_mm,
        said=f"has {_named(worst)}",
        asked=f"gaps under {{bound}} fill with ink on {limits.process.legend}",
        advice=(
            f"Open it by {format_length((limit.doubtful or 0.0) - width)}: {wider}, "
            "or draw them with a thinner pen that still prints."
        ),
        at_worst=_at_worst(label, worst),
    )


def _of_ink(label: Label, place: NarrowPlace, limits: Limits) -> Measurement:
    """Between the strokes of knocked-out text there is ink, which is lost where it is too thin."""
    limit = limits.stroke
    return Measurement(
        value=_width(place),
        limit=limit,
        box_mm=place.box_mm,
        said=f"leaves ink only {format_length(_width(place))} wide between its clear strokes",
        asked=f"{{bound}} is the least for {limits.process.legend}",
        advice=f"Make the characters larger, so that {format_length(limit.doubtful or 0.0)} of ink is left.",
        at_worst=_at_worst(label, place),
    )


def _counts(place: NarrowPlace, limits: Limits) -> bool:
    """Whether a reader would miss the clear space if it closed, so surely as it closes."""
    if place.kind == "pieces":
        return place.characters[0] is None or place.characters[0] in READ_BY_PIECES
    if _read_all_the_same(place):
        return _passes(_width(place), limits.gap.unreadable, limits)
    bounds = limits.gap.unreadable, limits.gap.doubtful
    if place.kind != "mouth" or bounds[0] is None or bounds[1] is None:
        return True
    # The bounds are those of lines side by side; a mouth is narrow at one place, and stays open for longer.
    return _passes(_width(place), (bounds[0] + bounds[1]) / 2, limits)


def _read_all_the_same(place: NarrowPlace) -> bool:
    """Whether it lies inside a lower-case letter, which its word tells, or inside a sign."""
    character = place.characters[0] or ""
    return place.kind in ("counter", "mouth") and (character.islower() or character in SIGNS)


def _width(place: NarrowPlace) -> float:
    """What has to stay open."""
    if place.kind == "mouth" and place.characters[0] in SAME_WHEN_SHUT:
        return place.behind_mm
    return place.width_mm


def _at_worst(label: Label, place: NarrowPlace) -> Severity:
    """Doubtful where closing leaves the character what it is, or where nobody knows what it is."""
    within = place.kind in ("counter", "mouth")
    same = within and (_read_all_the_same(place) or place.characters[0] in SAME_WHEN_FILLED)
    mild = same or place.characters[0] is None or label.drawn_as == "knocked out"
    return Severity.DOUBTFUL if mild else Severity.UNREADABLE


def _passes(width_mm: float, bound: float | None, limits: Limits) -> bool:
    return bound is not None and width_mm < bound - limits.gap.tolerance


def _told_as_short(label: Label, place: NarrowPlace, limits: Limits) -> bool:
    """Whether the label is short, and redrawing it as advised for its height opens the place.

    To its bound where the label might pass for its height; else, as it must be redrawn anyway, so far that it is
    not unreadable then. A place that is merely doubtful does not matter in a short label unless it gets worse.
    """
    asked, height = limits.height.doubtful, label.character_height_mm
    if asked is None or height >= asked - limits.height.tolerance:
        return False
    width = _width(place)
    redrawn = (width + label.stroke_typical_mm) * asked / height - limits.pen_for(asked)
    if _passes(redrawn, limits.gap.unreadable, limits):
        return False
    least = limits.height.unreadable
    surely_redrawn = least is not None and height < least - limits.height.tolerance
    if surely_redrawn or not _passes(width, limits.gap.unreadable, limits):
        return True
    return not _passes(redrawn, limits.gap.doubtful, limits)


def _named(place: NarrowPlace) -> str:
    """What is narrow and where, for a sentence."""
    width = format_length(_width(place))
    quoted = [None if character is None else f'"{character}"' for character in place.characters]
    if place.kind == "neighbours":
        where = "characters" if None in quoted else " and ".join(one or "" for one in quoted)
        return f"a gap of only {width} between {where}"
    where = quoted[0] or "a character"
    return f"clear space only {width} wide in {where}" if _width(place) > place.width_mm else (
        f"a gap of only {width} in {where}"
    )


ANALYSER = Analyser(
    name="closed-gap",
    question=__doc__,
    rationale="Ink spreads at every edge: a narrow counter closes, an 8 becomes a blot, neighbours run together.",
    measure=measure,
)
