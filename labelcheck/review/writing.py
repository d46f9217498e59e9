"""Writes a review to disk: every file appears whole or not at all."""

import errno
import os
import secrets
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from labelcheck.board.board import Board
from labelcheck.review.contents import Review
from labelcheck.review.page.pictures import SidePicture, side_picture
from labelcheck.review.page.whole import page_of
from labelcheck.review.picture.sheet import draw_sheet, png_of
from labelcheck.review.record import record_text
from labelcheck.trade.errors import UnwritableResult
from labelcheck.trade.sides import Side
from labelcheck.trade.together import both
from labelcheck.trade.units import Unit

RECORD = "record.json"
"""Replaced last: whoever sees a new record finds the files that belong to it."""
PICTURES = ("top.png", "bottom.png")

PAGE = "review.html"
"""Everything for a person in one file."""

OWN_FILES = (*PICTURES, PAGE, RECORD)
"""Every file that a review may hold; whatever else stands in the folder belongs to somebody else."""

FOLDER_ENDING = ".review"
COMPARISON = "comparison.png"
COMPARISON_ENDING = ".comparison"
SHEET_ENDING = ".true-size.pdf"

WORTH_SPLITTING = 60
"""Labels on a board from which it pays to draw both sides at once."""
_UNFINISHED = ".unfinished"
_NO_FILE_NAME = frozenset('/\\:*?"<>|\0')
_ABANDONED_S = 3600.0
"""An unfinished file this much older than ours was left behind by a check that was killed."""


def review_folder_for(path: Path, set_name: str, out: Path | None, alone: bool) -> Path:
    """Where the review of one board of the set at `path` goes; nothing is made yet.

    Beside the set as `NAME.review`, where the path may be a folder, a zip, or any file of a set; or in `out`, which
    is the folder itself where this review is alone, and holds a folder a board where it is not.
    """
    return _folder_for(path, (set_name, FOLDER_ENDING), out, alone)


def comparison_folder_for(path: Path, set_name: str, out: Path | None, alone: bool) -> Path:
    """The same for a comparison with the set at `path`: `NAME.comparison`."""
    return _folder_for(path, (set_name, COMPARISON_ENDING), out, alone)


def _folder_for(path: Path, named: tuple[str, str], out: Path | None, alone: bool) -> Path:
    set_name, ending = named
    name = "".join("_" if sign in _NO_FILE_NAME else sign for sign in set_name).strip(" .") or "set"
    if out is not None:
        return out if alone else out / f"{name}{ending}"
    whole = path.absolute()
    if whole.is_file() and not zipfile.is_zipfile(whole):
        whole = whole.parent
    # The parent of `sets/..` is not `sets`: such a path must be made plain first.
    return whole.resolve().parent / f"{name}{ending}"


def write_record(path: Path, records: Sequence[str]) -> None:
    """Write the texts of one record or several, one after the other, to a file of its own: whole or not at all."""
    _write_alone(path, "".join(records).encode("utf-8"))


def sheet_for(path: Path, set_name: str, out: Path | None) -> Path:
    """Where the true-size sheet of one board of the set at `path` goes: `NAME.true-size.pdf` beside it, or `out`."""
    return out if out is not None else _folder_for(path, (set_name, SHEET_ENDING), None, alone=True)


def write_file(path: Path, content: bytes, set_path: Path) -> None:
    """Write one file for a set, outside of it: whole or not at all. Raises `UnwritableResult`."""
    if set_path.is_file() and not zipfile.is_zipfile(set_path):
        set_path = set_path.absolute().parent
    _refuse_inside(path, set_path)
    if path.is_dir():
        raise UnwritableResult(f"{path}: a folder stands where the file should be. Name a file with --out.")
    _write_alone(path, content)


def _write_alone(path: Path, content: bytes) -> None:
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(4)}{_UNFINISHED}")
    try:
        _write(unfinished, content)
        os.replace(unfinished, path)
    except OSError as failure:
        raise _unwritable(path, failure) from failure
    finally:
        _discard(unfinished)


def write_review(folder: Path, review: Review, board: Board, unit: Unit = "mm") -> tuple[Path, ...]:
    """Draw both sides and write the whole review; the paths written. Raises `UnwritableResult`."""
    _refuse_inside(folder, Path(review.set_path))
    pictures = both(
        lambda: _picture(review, board, Side.TOP, unit),
        lambda: _picture(review, board, Side.BOTTOM, unit),
        worthwhile=len(review.labels) >= WORTH_SPLITTING,
    )
    contents = {f"{picture.side}.png": picture.png for picture in pictures}
    contents[PAGE] = page_of(review, pictures, unit).encode("utf-8")
    contents[RECORD] = record_text(review).encode("utf-8")
    return write_files(folder, contents, Path(review.set_path))


def _picture(review: Review, board: Board, side: Side, unit: Unit) -> SidePicture:
    """One side, drawn and packed once for its file and for the page."""
    sheet = draw_sheet(review, board, side, unit)
    return side_picture(sheet, png_of(sheet.image), review.findings)


def write_files(folder: Path, contents: Mapping[str, bytes], set_path: Path) -> tuple[Path, ...]:
    """Put the files of one review into the folder, made when absent; the paths written, the record last.

    Everything is written under temporary names in the same folder first, then moved into place, so that an earlier
    review stays as it was when anything goes wrong before. Files of an earlier review that this one does not have
    are removed. Raises `UnwritableResult`; also where the folder lies inside the set, which is never written to.
    """
    _refuse_inside(folder, set_path)
    order = sorted(contents, key=lambda name: (name == RECORD, name))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as failure:
        raise _unwritable(folder, failure) from failure
    unfinished: dict[str, Path] = {}
    try:
        for name in order:
            unfinished[name] = folder / f".{name}.{secrets.token_hex(4)}{_UNFINISHED}"
            _write(unfinished[name], contents[name])
        _remove_leftovers(folder, list(unfinished.values()), kept=set(contents))
        for name in order:
            os.replace(unfinished[name], folder / name)
    except OSError as failure:
        raise _unwritable(folder, failure) from failure
    finally:
        for path in unfinished.values():
            _discard(path)
    return tuple(folder / name for name in order)


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)


def _discard(path: Path) -> None:
    """Remove a temporary file that is still there; a failure to do so must not hide the failure before it."""
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return


def _remove_leftovers(folder: Path, ours: list[Path], kept: set[str]) -> None:
    """Remove files of an earlier review that are not written now, and what a killed check left behind."""
    for name in OWN_FILES:
        if name not in kept:
            (folder / name).unlink(missing_ok=True)
    # Measured against a file of ours, not the clock: on a network drive the two may differ.
    now_s = ours[0].stat().st_mtime if ours else 0.0
    for path in folder.glob(f".*{_UNFINISHED}"):
        if path not in ours and path.stat().st_mtime < now_s - _ABANDONED_S:
            _discard(path)


def _refuse_inside(folder: Path, set_path: Path) -> None:
    inside = folder.resolve()
    whole = set_path.resolve()
    if inside == whole or whole in inside.parents:
        raise UnwritableResult(
            f"{folder}: this lies inside the fab set, which a check never writes to. "
            "Choose a folder outside of the set with --out."
        )


def _unwritable(folder: Path, failure: OSError) -> UnwritableResult:
    # Moving names two files; the second is the one that the person knows of.
    place = failure.filename2 or failure.filename or folder
    problem, cure = _PROBLEMS.get(failure.errno or 0, (f"{failure.strerror or failure}.", _OTHER_CURE))
    return UnwritableResult(f"{place}: {problem} {cure}")


_OTHER_CURE = "Choose another folder with --out."
_PROBLEMS = {
    errno.ENOSPC: ("the disk is full.", "Make room, or choose a folder on another disk with --out."),
    errno.EDQUOT: ("the quota of this disk is used up.", "Make room, or choose a folder on another disk with --out."),
    errno.EACCES: ("writing here is not permitted.", "Choose a folder of your own with --out."),
    errno.EPERM: ("writing here is not permitted.", "Choose a folder of your own with --out."),
    errno.ENOENT: ("the folder is not there.", "Make it, or choose another one."),
    errno.EROFS: ("this disk can only be read.", "Choose a folder on another disk with --out."),
    errno.EEXIST: ("a file stands where the folder should be.", "Move it away, or choose another folder with --out."),
    errno.ENOTDIR: ("a file stands where a folder should be.", "Move it away, or choose another folder with --out."),
    errno.EISDIR: ("a folder stands where a file should be.", "Move it away, or choose another folder with --out."),
    errno.ENAMETOOLONG: ("the name is too long for this disk.", "Choose a shorter folder name with --out."),
}
