"""Tables of the limits file that fit nothing on a board: a pattern mistyped, a region elsewhere, a part renamed."""

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.review.accepting import accepted_words
from labelcheck.review.weights import is_meant
from labelcheck.review.wording import listed
from labelcheck.trade.idle import IdleStatement
from labelcheck.trade.limits import Limits
from labelcheck.trade.places import Remark
from labelcheck.trade.stated import Acceptance, StatedBody, StatedWeight, fits


def idle_statements(
    limits: Limits,
    labels: Sequence[Label],
    components: Sequence[Component],
    acceptances: Sequence[Acceptance] = (),
) -> tuple[IdleStatement, ...]:
    """What of `[[labels]]` and `[[bodies]]` fits nothing, in order of line; `limits` are those for this board.

    `acceptances` name no board and cover nothing; one with a board is told by `with_acceptances`. A label that
    must be there and is not is a finding.
    """
    if limits.file is None:
        return ()
    name = limits.file.name
    idle = [
        IdleStatement(name, one.line, what, one.board is not None)
        for one in limits.weights
        if (what := _idle_weight(one, labels)) is not None
    ]
    idle += [
        IdleStatement(name, one.line, f"no part {_part_called(one)}", one.board is not None)
        for one in limits.bodies
        if not any(one.is_for(part.reference, part.package) for part in components)
    ]
    idle += [
        IdleStatement(name, one.line, f"nothing is found of what this accepts ({accepted_words(one)})", False)
        for one in acceptances
    ]
    return tuple(sorted(set(idle), key=lambda one: (one.line or 0, one.what)))


def of_no_board(limits: Limits, set_name: str, told: Sequence[Remark] = ()) -> tuple[IdleStatement, ...]:
    """Tables for a board whose name neither this set has nor anything beside it: a name mistyped is used nowhere.

    `limits` are those for all boards. Each name once; not where one of its lines is told of already.
    """
    if limits.file is None or limits.boards_beside is None:
        return ()
    here = {set_name, *limits.boards_beside}
    lines: dict[str, list[int]] = {}
    for pattern, line in limits.boards_named():
        lines.setdefault(pattern, []).append(line or 0)
    told_of = {remark.line for remark in told if remark.file == limits.file.name}
    idle = []
    for pattern, its in lines.items():
        # A folder or zip of several boards gives each a name that begins with its own.
        known = any(fits(pattern, name) or pattern.startswith(f"{name}.") for name in here)
        if known or not told_of.isdisjoint(its):
            continue
        tables = "this table was" if len(its) == 1 else f"this table and {len(its) - 1} more like it were"
        what = f'No board here is named "{pattern}": {tables} not used.'
        near = get_close_matches(pattern, sorted(here), n=1)
        idle.append(IdleStatement(limits.file.name, min(its), what, False, of_no_board=True, meant="".join(near)))
    return tuple(sorted(idle, key=lambda one: one.line or 0))


def _idle_weight(weight: StatedWeight, labels: Sequence[Label]) -> str | None:
    where = "" if weight.side is None else f" on the {weight.side}"
    if weight.region_mm is not None:
        here = [label for label in labels if is_meant(replace(weight, texts=None), label)]
        if not here:
            x0, y0, x1, y1 = weight.region_mm
            return f"no label{where} has its middle in the region from {x0:g}, {y0:g} to {x1:g}, {y1:g} mm"
        where += " in that region"
    idle = [
        f'"{pattern}"'
        for pattern in weight.texts or ()
        if not any(is_meant(replace(weight, texts=(pattern,)), label) for label in labels)
    ]
    return f"no label{where} reads {listed(idle, 'or')}" if idle else None


def _part_called(body: StatedBody) -> str:
    by = [f'is called "{body.reference}"'] if body.reference is not None else []
    by += [f'has the package "{body.package}"'] if body.package is not None else []
    return " and ".join(by)
