"""Several boards in one folder are told apart, by sub-folder or by the beginning of their file names."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from labelcheck.board.fab_set import FabSet, make_set
from labelcheck.board.recognising import Recognised, folder_of, recognise
from labelcheck.board.roles import Role
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES

_LAYERS = frozenset({Role.LEGEND, Role.MASK, Role.COPPER, Role.OUTLINE})
_SIGNS = " ._-()[]"
"""What stands between the words of a file name."""
_NAMED = 6
"""Boards named in a remark; more are counted."""

_Place = tuple[Role, object]


def split_boards(fab_set: FabSet) -> tuple[FabSet, ...]:
    """One set a board: the given set itself where it holds one board."""
    found, _ = recognise(fab_set.files)
    folders = _by_folder(found)
    if folders is not None:
        return _split_by_folder(fab_set, found, folders)
    for groups in (_by_stem(found), _by_project(found)):
        if groups is not None:
            return _split(fab_set, found, groups)
    return (fab_set,)


def _told(names: Iterable[str]) -> Remark:
    listed = sorted(names)
    more = f" and {len(listed) - _NAMED} more" if len(listed) > _NAMED else ""
    told = f"{', '.join(listed[:_NAMED])}{more}"
    return Remark("", None, f"There are {len(listed)} boards in this place ({told}); each is checked by itself.")


def _split_by_folder(
    fab_set: FabSet, found: tuple[Recognised, ...], groups: dict[str, set[str]]
) -> tuple[FabSet, ...]:
    """Each folder as the set that it would be if it were named itself."""
    by_name = {one.name: one.file for one in found}
    in_zip = fab_set.path.lower().endswith(".zip")
    sets = []
    for folder in sorted(groups):
        names = groups[folder]
        inside = folder and all(name.startswith(folder + "/") for name in names)
        cut = len(folder) + 1 if inside else 0
        files = [replace(by_name[name], name=name[cut:]) for name in names]
        remarks = [replace(remark, file=remark.file[cut:]) for remark in fab_set.remarks if remark.file in names]
        called = folder.rpartition("/")[2] if inside and not in_zip else f"{fab_set.name}.{folder.replace('/', '.')}"
        path = f"{fab_set.path.rstrip('/')}/{folder}" if inside and not in_zip else fab_set.path
        sets.append(make_set(called.rstrip(".") or fab_set.name, path, files, (*remarks, _told(groups))))
    return tuple(sets)


def _split(fab_set: FabSet, found: tuple[Recognised, ...], groups: dict[str, set[str]]) -> tuple[FabSet, ...]:
    """Files of each board, and with each those that belong to none."""
    owned = set().union(*groups.values())
    shared = [file for file in fab_set.files if file.name not in owned]
    stray = [
        Remark(one.name, None, "It cannot be told which of the boards this file belongs to; it counts for each.")
        for one in found
        if one.name not in owned and one.role in _LAYERS | {Role.DRILL}
    ]
    sets = []
    for name in sorted(groups):
        files = [file for file in fab_set.files if file.name in groups[name]] + shared
        remarks = (*fab_set.remarks, _told(groups), *stray)
        sets.append(make_set(f"{fab_set.name}.{name}", fab_set.path, files, remarks))
    return tuple(sets)


def _places(found: Iterable[Recognised]) -> dict[_Place, list[Recognised]]:
    """Layers by role and side, where each board has one file as a rule."""
    places: dict[_Place, list[Recognised]] = defaultdict(list)
    for one in found:
        if one.role is Role.OUTLINE and one.detail != "mechanical":
            places[one.role, None].append(one)
        elif one.role in _LAYERS and one.side in OUTER_SIDES:
            places[one.role, one.side].append(one)
    return places


def _crowded(found: Iterable[Recognised]) -> list[list[Recognised]]:
    """Places that several different files claim."""
    return [claimed for claimed in _places(found).values() if len({one.file.sha256 for one in claimed}) > 1]


def _is_a_board(group: Iterable[Recognised]) -> bool:
    """Whether files make a board of their own: a legend with another layer, or copper with mask."""
    roles = {role for role, _ in _places(group)}
    return len(roles) >= 2 and bool(roles & {Role.LEGEND, Role.MASK, Role.COPPER})


def _by_folder(found: tuple[Recognised, ...]) -> dict[str, set[str]] | None:
    """Boards in sub-folders of their own."""
    crowded = _crowded(found)
    folders: dict[str, list[Recognised]] = defaultdict(list)
    for one in found:
        folders[folder_of(one.name)].append(one)
    boards = {folder: group for folder, group in folders.items() if _is_a_board(group)}
    across = any(len({folder_of(one.name) for one in claimed}) > 1 for claimed in crowded)
    if not across or len(boards) < 2:
        return None
    groups = {folder: {one.name for one in group} for folder, group in boards.items()}
    for folder, group in folders.items():
        if folder in boards or not folder:
            continue
        owners = [board for board in boards if _related(folder, board)] or [board for board in boards if not board]
        # What may belong to several boards counts for each, rather than for none.
        for owner in owners if len(owners) == 1 else boards:
            groups[owner] |= {one.name for one in group}
    return groups


def _related(folder: str, board: str) -> bool:
    """Whether a folder lies in the board's folder, or beside it in a common one below the top."""
    if board and (folder + "/").startswith(board + "/"):
        return True
    above = board.rpartition("/")[0]
    return bool(above) and (folder + "/").startswith(above + "/")


def _by_stem(found: tuple[Recognised, ...]) -> dict[str, set[str]] | None:
    """Boards whose files begin, or end, with names of their own: `controller.top.gbr`, `driver.top.gbr`."""
    crowded = _crowded(found)
    for turned in (False, True):
        stems = {stem for claimed in crowded for stem in _stems([_bare(one, turned) for one in claimed])}
        if len(stems) < 2 or "" in stems:
            continue
        groups: dict[str, list[Recognised]] = {stem: [] for stem in stems}
        for one in found:
            begun = [stem for stem in stems if _begins(_bare(one, turned), stem)]
            if begun:
                groups[max(begun, key=len)].append(one)
        if turned:
            groups = {stem[::-1]: group for stem, group in groups.items()}
        settled = _settled({stem.strip(_SIGNS): group for stem, group in groups.items()})
        if settled is not None:
            return settled
    return None


def _bare(one: Recognised, turned: bool) -> str:
    """A file name in small letters, without its extension and backwards where names are told apart by their ends."""
    base = one.file.base.lower()
    return base.rpartition(".")[0][::-1] if turned else base


def _stems(names: list[str]) -> list[str]:
    """What stands before the words that all of these names end with."""
    shortest = min(map(len, names))
    common = next((n for n in range(shortest) if len({name[len(name) - 1 - n] for name in names}) > 1), shortest)
    # The end begins at a sign, so that `river` of `driver` and `river` does not count.
    while common > 0 and names[0][len(names[0]) - common] not in _SIGNS:
        common -= 1
    return [name[: len(name) - common] for name in names]


def _begins(name: str, stem: str) -> bool:
    return name.startswith(stem) and not name[len(stem) : len(stem) + 1].isalnum()


def _by_project(found: tuple[Recognised, ...]) -> dict[str, set[str]] | None:
    """Boards whose artwork names different projects in its `.ProjectId`."""
    if not _crowded(found):
        return None
    groups: dict[str, list[Recognised]] = defaultdict(list)
    for one in found:
        project = one.attribute(".ProjectId")
        if project:
            groups[" ".join((project[0], *project[2:])).strip()].append(one)
    return _settled(groups)


def _settled(groups: dict[str, list[Recognised]]) -> dict[str, set[str]] | None:
    """The groups, where each is a board and none is crowded in itself; else None."""
    boards = {name: group for name, group in groups.items() if group}
    if len(boards) < 2 or not all(_is_a_board(group) for group in boards.values()):
        return None
    if any(_crowded(group) for group in boards.values()):
        return None
    return {name: {one.name for one in group} for name, group in boards.items()}
