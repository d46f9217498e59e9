"""Which limits are in force: defaults of a process, what the limits file states, what the command line asks for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.limits import (
    BOUNDS,
    BY_DEFAULT,
    DEFAULT_PITCH_MM,
    DEFAULT_PROCESS,
    DEFAULT_READING_DISTANCE_MM,
    Distance,
    Limit,
    Limits,
    LimitsFileBytes,
    Process,
    limits_for,
    names_of_limits,
)
from labelcheck.trade.places import Remark
from labelcheck.trade.stated import Acceptance, MustCarry, StatedBody, StatedColour, StatedWeight

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for; None where it does not, and the limits file or the default counts."""

    process: Process | None = None
    reading_distance_mm: float | None = None
    pitch_mm: float | None = None


NOTHING_ASKED = Asked()


@dataclass(frozen=True, slots=True)
class StatedNumber:
    """A number of the limits file; `value` None switches a bound off."""

    name: str
    """The field of `Limits`."""
    bound: str
    """One of `BOUNDS`, empty for a distance."""
    value: float | None
    source: str
    """`labelcheck.toml:12`, and the person's own words for where the value is from, where the file has them."""
    line: int


@dataclass(frozen=True, slots=True)
class LimitsFile:
    """Everything that one limits file states."""

    place: str
    """What a person calls it."""
    bytes: LimitsFileBytes
    process: Process | None = None
    process_source: str = ""
    reading_distance_mm: float | None = None
    reading_distance_source: str = ""
    pitch_mm: float | None = None
    pitch_source: str = ""
    numbers: tuple[StatedNumber, ...] = ()
    mask_colour: StatedColour | None = None
    legend_colour: StatedColour | None = None
    weights: tuple[StatedWeight, ...] = ()
    must_carry: tuple[MustCarry, ...] = ()
    accepted: tuple[Acceptance, ...] = ()
    bodies: tuple[StatedBody, ...] = ()


def limits_in_force(file: LimitsFile | None, asked: Asked = NOTHING_ASKED) -> Limits:
    """The limits that a check goes by; the command line wins over the file, the file over the defaults.

    Raises `WrongArguments` where the bounds of one limit contradict each other.
    """
    process, process_source = _chosen(
        (asked.process, "--process"),
        None if file is None else (file.process, file.process_source),
        DEFAULT_PROCESS,
    )
    distance_mm, distance_source = _chosen(
        (asked.reading_distance_mm, "--reading-distance"),
        None if file is None else (file.reading_distance_mm, file.reading_distance_source),
        DEFAULT_READING_DISTANCE_MM,
    )
    pitch_mm, pitch_source = _chosen(
        (asked.pitch_mm, "--pitch"), None if file is None else (file.pitch_mm, file.pitch_source), DEFAULT_PITCH_MM
    )
    limits = replace(
        limits_for(process, distance_mm, pitch_mm),
        process_source=process_source,
        reading_distance_source=distance_source,
        pitch_source=pitch_source,
    )
    if file is None:
        return limits
    numbers, remarks = _still_meant(file, limits)
    changed: dict[str, Limit | Distance] = {}
    for name in dict.fromkeys(number.name for number in numbers):
        one = getattr(limits, name)
        stated = [number for number in numbers if number.name == name]
        changed[name] = _with_bounds(one, stated, file) if isinstance(one, Limit) else _with_length(one, stated)
    return replace(
        limits,
        mask_colour=file.mask_colour,
        legend_colour=file.legend_colour,
        weights=file.weights,
        must_carry=file.must_carry,
        accepted=file.accepted,
        bodies=file.bodies,
        file=file.bytes,
        remarks=remarks,
        **changed,  # type: ignore[arg-type]  # each name keeps the type that it had
    )


def _chosen(
    asked: tuple[_Value | None, str], stated: tuple[_Value | None, str] | None, default: _Value
) -> tuple[_Value, str]:
    """The first of them that has a value, with where it is from."""
    for value, source in (asked, stated or (None, "")):
        if value is not None:
            return value, source
    return default, BY_DEFAULT


def _still_meant(file: LimitsFile, limits: Limits) -> tuple[tuple[StatedNumber, ...], tuple[Remark, ...]]:
    """The numbers of the file but for those that it states for another process or distance than was asked for."""
    meant = limits_for(
        limits.process if file.process is None else file.process,
        limits.reading_distance_mm if file.reading_distance_mm is None else file.reading_distance_mm,
        limits.pitch_mm,
    )
    plain = limits_for(limits.process, limits.reading_distance_mm, limits.pitch_mm)
    others = {name for name in names_of_limits() if getattr(meant, name) != getattr(plain, name)}
    left_out = sorted({number.name.replace("_", "-") for number in file.numbers if number.name in others})
    if not left_out:
        return file.numbers, ()
    told = Remark(
        file.bytes.name,
        None,
        f"What the limits file states of {', '.join(left_out)} was not used: the command line asks for another "
        f"process or reading distance than the file is for ({limits.process}, {limits.reading_distance_mm:g} mm).",
    )
    return tuple(number for number in file.numbers if number.name not in others), (told,)


def _with_length(distance: Distance, stated: Sequence[StatedNumber]) -> Distance:
    value = stated[-1].value
    return distance if value is None else Distance(distance.name, value, stated[-1].source)


def _with_bounds(limit: Limit, stated: Sequence[StatedNumber], file: LimitsFile) -> Limit:
    """The limit with its stated bounds; a default that contradicts one of them follows it."""
    values: dict[str, float | None] = {bound: getattr(limit, bound) for bound in BOUNDS}
    sources: dict[str, str] = {}
    for number in stated:
        values[number.bound], sources[number.bound] = number.value, number.source
    sign = -1.0 if limit.worse_above else 1.0
    for own in [number for number in stated if number.value is not None]:
        for bound in BOUNDS:
            value, wanted = values[bound], own.value
            if value is None or wanted is None or bound == own.bound:
                continue
            worse = BOUNDS.index(bound) < BOUNDS.index(own.bound)
            if sign * (value - wanted) * (1 if worse else -1) <= 0:
                continue
            if any(number.bound == bound for number in stated):
                raise WrongArguments(_contradiction(limit, (own, wanted), (bound, value), file))
            values[bound], sources[bound] = wanted, f"follows from {own.source}"
    return replace(limit, **values, stated=tuple(sorted(sources.items())))  # type: ignore[arg-type]  # bounds by name


def _contradiction(limit: Limit, own: tuple[StatedNumber, float], other: tuple[str, float], file: LimitsFile) -> str:
    than = "above" if limit.worse_above else "below"
    way = "rise" if limit.worse_above else "fall"
    return (
        f'{file.place}:{own[0].line}: "{own[0].bound}-{than}" is {own[1]:g} and "{other[0]}-{than}" is {other[1]:g}: '
        f"for the {limit.name} the numbers must not {way} from unreadable to doubtful to note. Change one of them."
    )
