"""Where the reviews of the watched sets go: beside each set, or all together, never two in one folder."""

from collections.abc import Iterable
from pathlib import Path

from labelcheck.review.writing import review_folder_for
from labelcheck.trade.file_systems import one_place
from labelcheck.watching.index import INDEX_FOLDER
from labelcheck.watching.looking import Place


def base_of(root: Path, is_set: bool, out: Path | None) -> Path:
    """The folder below which the reviews of one watched folder lie, in the order of its sets."""
    if out is not None:
        return out
    return root.parent if is_set else root


def review_folders(root: Path, places: Iterable[Place], out: Path | None, is_set: bool) -> dict[Path, Path]:
    """The review folder of each set; a zip that lies beside the folder of its name keeps its ending.

    The index of a drop folder has its own folder there.
    """
    base = base_of(root, is_set, out)
    taken = {one_place(base / INDEX_FOLDER)} if not is_set else set()
    folders: dict[Path, Path] = {}
    for place in sorted(places, key=lambda place: (not place.is_folder, place.path)):
        within = place.path.parent.relative_to(root) if not is_set else Path()
        names = [place.path.name] if place.is_folder else [place.path.stem, place.path.name]
        names += [f"{place.path.name}-{number}" for number in range(2, 1000)]
        candidates = (review_folder_for(place.path, name, base / within, alone=False) for name in names)
        folder = next(one for one in candidates if one_place(one) not in taken)
        taken.add(one_place(folder))
        folders[place.path] = folder
    return folders

