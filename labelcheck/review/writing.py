"""Writes a review to disk: every file appears whole or not at all."""

import secrets
from collections.abc import Mapping, Sequence
from pathlib import Path

from labelcheck.board.board import Board
from labelcheck.board.opening import COMPARISON_SUFFIX, REVIEW_SUFFIX
from labelcheck.review.contents import Review
from labelcheck.review.page.pictures import SidePicture, side_picture
from labelcheck.review.page.whole import page_of
from labelcheck.review.picture.sheet import draw_sheet, png_of
from labelcheck.review.record import record_text
from labelcheck.review.whole_files import (
    UNFINISHED,
    discard,
    folder_for,
    put_in_place,
    refuse_inside,
    unwritable,
    write_alone,
    write_new,
)
from labelcheck.trade.remembering import both_at_once
from labelcheck.trade.sides import Side
from labelcheck.trade.storage import without_collecting
from labelcheck.trade.units import Unit

RECORD = "record.json"
"""Replaced last: whoever sees a new record finds the files that belong to it."""
PICTURES = ("top.png", "bottom.png")

PAGE = "review.html"
"""Everything for a person in one file."""

OWN_FILES = (*PICTURES, PAGE, RECORD)
"""Every file that a review may hold; whatever else stands in the folder belongs to somebody else."""

COMPARISON = "comparison.png"

WORTH_SPLITTING = 60
"""Labels on a board from which it pays to draw both sides at once."""
_ABANDONED_S = 3600.0
"""An unfinished file this much older than ours was left behind by a check that was killed."""


def review_folder_for(path: Path, set_name: str, out: Path | None, alone: bool) -> Path:
    """Where the review of one board of the set at `path` goes; nothing is made yet.

    Beside the set as `NAME.review`, where the path may be a folder, a zip, or any file of a set; or in `out`, which
    is the folder itself where this review is alone, and holds a folder a board where it is not.
    """
    return folder_for(path, (set_name, REVIEW_SUFFIX), out, alone)


def comparison_folder_for(path: Path, set_name: str, out: Path | None, alone: bool) -> Path:
    """The same for a comparison with the set at `path`: `NAME.comparison`."""
    return folder_for(path, (set_name, COMPARISON_SUFFIX), out, alone)


def write_record(path: Path, records: Sequence[str]) -> None:
    """Write the texts of one record or several, one after the other, to a file of its own: whole or not at all."""
    write_alone(path, "".join(records).encode("utf-8"))


@without_collecting()
def write_review(folder: Path, review: Review, board: Board, unit: Unit = "mm") -> tuple[Path, ...]:
    """Draw both sides and write the whole review; the paths written. Raises `UnwritableResult`."""
    refuse_inside(folder, Path(review.set_path))
    return write_files(folder, review_files(review, board, unit), Path(review.set_path))


@without_collecting()
def review_files(review: Review, board: Board, unit: Unit = "mm") -> dict[str, bytes]:
    """Every file of a review by its name, with its content; nothing is written."""
    pictures = both_at_once(
        lambda: _picture(review, board, Side.TOP, unit),
        lambda: _picture(review, board, Side.BOTTOM, unit),
        worthwhile=len(review.labels) >= WORTH_SPLITTING,
    )
    contents = {f"{picture.side}.png": picture.png for picture in pictures}
    contents[PAGE] = page_of(review, pictures, unit).encode("utf-8")
    contents[RECORD] = record_text(review).encode("utf-8")
    return contents


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
    refuse_inside(folder, set_path)
    order = sorted(contents, key=lambda name: (name == RECORD, name))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as failure:
        raise unwritable(folder, failure) from failure
    unfinished: dict[str, Path] = {}
    try:
        for name in order:
            unfinished[name] = folder / f".{name}.{secrets.token_hex(4)}{UNFINISHED}"
            write_new(unfinished[name], contents[name])
        _remove_leftovers(folder, list(unfinished.values()), kept=set(contents))
        for name in order:
            put_in_place(unfinished[name], folder / name)
    except OSError as failure:
        raise unwritable(folder, failure) from failure
    finally:
        for path in unfinished.values():
            discard(path)
    return tuple(folder / name for name in order)


def _remove_leftovers(folder: Path, ours: list[Path], kept: set[str]) -> None:
    """Remove files of an earlier review that are not written now, and what a killed check left behind."""
    for name in OWN_FILES:
        if name not in kept:
            (folder / name).unlink(missing_ok=True)
    # Measured against a file of ours, not the clock: on a network drive the two may differ.
    now_s = ours[0].stat().st_mtime if ours else 0.0
    for path in folder.glob(f".*{UNFINISHED}"):
        if path not in ours and path.stat().st_mtime < now_s - _ABANDONED_S:
            discard(path)
