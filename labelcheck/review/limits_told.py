"""Every value in force, with its source, as the record tells it."""

from labelcheck.review.contents import LimitEntry
from labelcheck.trade.limits import BOUNDS, Limits
from labelcheck.trade.stated import Acceptance, MustCarry, StatedBody, StatedWeight


def limit_entries(limits: Limits) -> tuple[LimitEntry, ...]:
    """Names are unique; what the limits file states beyond numbers follows at the end, but for acceptances."""
    entries = [
        LimitEntry("process", str(limits.process), "", limits.process_source),
        LimitEntry("reading distance", limits.reading_distance_mm, "mm", limits.reading_distance_source),
        LimitEntry("raster pitch", limits.pitch_mm, "mm", limits.pitch_source),
    ]
    for limit in limits.findings_limits():
        than = "above" if limit.worse_above else "below"
        for bound in BOUNDS:
            value = getattr(limit, bound)
            if value is not None:
                name = f"{limit.name}: {bound} {than}"
                entries.append(LimitEntry(name, round(value, 4), limit.unit, limit.source_of(bound)))
            elif bound in dict(limit.stated):
                entries.append(LimitEntry(f"{limit.name}: {bound} {than}", "never", "", limit.source_of(bound)))
    entries += [LimitEntry(one.name, one.value_mm, "mm", one.source) for one in limits.distances()]
    for name, colour in (("mask colour", limits.mask_colour), ("legend colour", limits.legend_colour)):
        if colour is not None:
            entries.append(LimitEntry(name, colour.words, "", colour.source))
    return (*entries, *_statements(limits))


def acceptance_entries(limits: Limits) -> tuple[LimitEntry, ...]:
    """What the limits file accepts: the fault as the name, the reason as the value."""
    return _numbered([LimitEntry(f"accepted: {_fault(one)}", one.because, "", one.source) for one in limits.accepted])


def _statements(limits: Limits) -> tuple[LimitEntry, ...]:
    weights = [LimitEntry(f"labels: {_which(one)}", f"matter {one.weight}", "", one.source) for one in limits.weights]
    carried = [LimitEntry(f"must carry: {one.text}", _carried(one), "", one.source) for one in limits.must_carry]
    bodies = [LimitEntry(f"body: {_part(one)}", _body(one), "", one.source) for one in limits.bodies]
    return _numbered([*weights, *carried, *bodies])


def _numbered(entries: list[LimitEntry]) -> tuple[LimitEntry, ...]:
    """The same with a number behind a name that came before, so that none hides another in the record."""
    seen: dict[str, int] = {}
    told = []
    for entry in entries:
        seen[entry.name] = number = seen.get(entry.name, 0) + 1
        name = entry.name if number == 1 else f"{entry.name} ({number})"
        told.append(LimitEntry(name, entry.value, entry.unit, entry.source))
    return tuple(told)


def _which(weight: StatedWeight) -> str:
    texts = "any text" if weight.texts is None else ", ".join(weight.texts)
    side = "" if weight.side is None else f" on the {weight.side}"
    region = "" if weight.region_mm is None else f" within {_lengths(weight.region_mm)}"
    return f"{texts}{side}{region}"


def _carried(must: MustCarry) -> str:
    where = "on either side" if must.side is None else f"on the {must.side}"
    return where if must.height_mm is None else f"{where}, {must.height_mm:g} mm high or more"


def _part(body: StatedBody) -> str:
    words = [name for name in (body.reference, body.package) if name is not None]
    return ", ".join(words)


def _body(body: StatedBody) -> str:
    height = "" if body.height_mm is None else f" x {body.height_mm:g}"
    offset = "" if body.offset_mm == (0.0, 0.0) else f", middle off by {_lengths(body.offset_mm)}"
    return f"{body.length_mm:g} x {body.width_mm:g}{height} mm{offset}"


def _fault(one: Acceptance) -> str:
    what = "the side as a whole" if one.whole_side else "an unread label" if one.text is None else f'"{one.text}"'
    at = "" if one.at_mm is None else f" at {_lengths(one.at_mm)}"
    measured = "" if one.measured is None else f", {one.measured:g}"
    return f"{one.analyser} of {what} on the {one.side}{at} ({one.severity}{measured})"


def _lengths(values: tuple[float, ...]) -> str:
    return f"{', '.join(f'{value:g}' for value in values)} mm"
