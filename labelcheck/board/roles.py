"""What each file of a set is: its role and its side, and how that is known.

Order of trust: the file's own `.FileFunction` attribute, the job file, the file name, the content.
"""

from dataclasses import dataclass
from enum import StrEnum

from labelcheck.trade.sides import Side


class Role(StrEnum):
    """What a file is for; the words of the check record."""

    LEGEND = "legend"
    MASK = "mask"
    COPPER = "copper"
    PASTE = "paste"
    OUTLINE = "outline"
    DRILL = "drill"
    COMPONENT = "component"
    ASSEMBLY = "assembly"
    JOB = "job"
    PLACEMENT = "placement"
    NETLIST = "netlist"
    OTHER = "other"
    UNREAD = "unread"


class KnownBy(StrEnum):
    """What a role rests on, the most trusted first."""

    ATTRIBUTE = "attribute"
    JOB_FILE = "job file"
    FILE_NAME = "file name"
    CONTENT = "content"


@dataclass(frozen=True, slots=True)
class Meaning:
    """A role with its side, and how firm it is."""

    role: Role
    side: Side | None = None
    detail: str = ""
    """What kind of its role where that matters: `mechanical` for a mechanical layer that may be the outline,
    `drill drawing`, `keep-out`, `plated`, `not plated`, `layer 2`."""


_SIDES = {
    "top": Side.TOP,
    "bot": Side.BOTTOM,
    "bottom": Side.BOTTOM,
    "inr": Side.INNER,
    "inner": Side.INNER,
    "front": Side.TOP,
    "back": Side.BOTTOM,
}

_FUNCTIONS: dict[str, tuple[Role, str]] = {
    "legend": (Role.LEGEND, ""),
    "silkscreen": (Role.LEGEND, ""),
    "silk": (Role.LEGEND, ""),
    "soldermask": (Role.MASK, ""),
    "copper": (Role.COPPER, ""),
    "paste": (Role.PASTE, ""),
    "solderpaste": (Role.PASTE, ""),
    "profile": (Role.OUTLINE, "profile"),
    "plated": (Role.DRILL, "plated"),
    "nonplated": (Role.DRILL, "not plated"),
    "mixedplating": (Role.DRILL, ""),
    "component": (Role.COMPONENT, ""),
    "assemblydrawing": (Role.ASSEMBLY, ""),
    "drillmap": (Role.OTHER, "drill drawing"),
    "fabricationdrawing": (Role.OTHER, "drawing"),
    "vcut": (Role.OTHER, "scoring"),
    "vcutmap": (Role.OTHER, "drawing"),
    "arraydrawing": (Role.OTHER, "drawing"),
    "otherdrawing": (Role.OTHER, "drawing"),
    "keepout": (Role.OTHER, "keep-out"),
}
"""First value of `.FileFunction` in small letters without hyphens; both the words of layer files and of job files."""


def meaning_of_function(values: tuple[str, ...]) -> Meaning | None:
    """What `.FileFunction` (or a job file's FileFunction) says; None where the value is not one of the standard's.

    Gerber layer format, section on `.FileFunction`.
    """
    if not values:
        return None
    first = values[0].strip().lower().replace("-", "").replace("_", "").replace(" ", "")
    others = [value.strip().lower() for value in values[1:]]
    side = next((_SIDES[value] for value in others if value in _SIDES), None)
    role, detail = _FUNCTIONS.get(first, (None, ""))
    if role is None:
        # Glue, Goldmask, Peelablemask, Viafill, Depthrout, Pads, Other and so on: known, but of no use here.
        return Meaning(Role.OTHER, side, first) if first.isalpha() else None
    if role in (Role.OUTLINE, Role.DRILL):
        side = Side.BOTH
    if role is Role.COPPER and side is None:
        side = Side.TOP if others[:1] == ["l1"] else None
    return Meaning(role, side, detail)
