"""`labelcheck sheet SET`: both sides of a board on paper at exactly 1:1, to lay the real parts on."""

import argparse
import sys
from pathlib import Path

from labelcheck.board.building import build_board
from labelcheck.board.fab_set import FabSet
from labelcheck.board.opening import open_sets
from labelcheck.commands import a_path, add_limits_file, limits_for_path
from labelcheck.review.true_size.layout import PAPERS
from labelcheck.review.true_size.sheet import TrueSizeSheet, true_size_sheet
from labelcheck.review.true_size.side_drawing import NO_SIZE
from labelcheck.review.whole_files import sheet_for, write_file
from labelcheck.review.wording import counted, listed, printable
from labelcheck.trade.errors import WrongArguments

EPILOG = """\
examples:
  labelcheck sheet turnout-driver/                    writes turnout-driver.true-size.pdf beside the set
  labelcheck sheet turnout-driver.zip --paper letter --out turnout-driver.pdf

Print it at 100 %, without "fit to page", lay a ruler on the lines of 100 mm and 4 in, then lay the real parts on
their outlines: what they cover cannot be read on the board. The bottom is drawn as it is seen with the board turned
over. A board larger than the paper takes several pages, which overlap and have marks to join them.

exit status:
  0  the sheet is written
  2  wrong arguments
  3  the set cannot be read
  4  the sheet cannot be written"""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "sheet",
        help="write a true-size PDF of both sides, to lay the real parts on",
        description="Write a PDF of both sides at exactly 1:1: legend, pads, holes, edge, parts at their largest.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("set", type=a_path, metavar="SET", help="a folder, a zip, or any file of a set")
    parser.add_argument("--paper", type=str.lower, choices=list(PAPERS), default="a4", help="default: a4")
    parser.add_argument("--out", type=a_path, metavar="FILE", help="write it there (default: SET.true-size.pdf); "
                        "- prints it and nothing else")
    add_limits_file(parser)
    parser.add_argument("--quiet", action="store_true", help="print nothing; the exit status tells")
    parser.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Write the sheet of each board of the set."""
    limits = limits_for_path(chosen.set, chosen)
    boards = open_sets(chosen.set)
    if chosen.out is not None and len(boards) > 1:
        names = listed([f'"{printable(one.name)}"' for one in boards])
        raise WrongArguments(
            f"{chosen.set}: The set holds {counted(len(boards), 'board')}, {names}, and --out names one file. "
            "Leave --out away, or name a file of one board."
        )
    for fab_set in boards:
        board = build_board(fab_set, bodies=limits.on_board(fab_set.name).bodies).board
        sheet = true_size_sheet(fab_set, board, PAPERS[chosen.paper])
        if str(chosen.out) == "-":
            sys.stdout.buffer.write(sheet.pdf)
            continue
        file = sheet_for(chosen.set, fab_set.name, chosen.out)
        write_file(file, sheet.pdf, chosen.set)
        if not chosen.quiet:
            print(_told(fab_set, file, sheet, chosen.paper))
    return 0


def _told(fab_set: FabSet, file: Path, sheet: TrueSizeSheet, paper: str) -> str:
    size = "A4" if paper == "a4" else "Letter"
    sizes = (
        ["A part without a size is drawn once the limits file states it: [[bodies]] with its reference."]
        if any(NO_SIZE in sentence for _, sentence in sheet.told) else []
    )
    lines = [
        f"{printable(fab_set.name)}: {counted(sheet.pages, 'page')} {size}, both sides at 1:1",
        *(f"  - {side}: {sentence}" for side, sentence in sheet.told),
        *sizes,
        "Print at 100 %, not \"fit to page\", and lay a ruler on the lines before you lay parts on it.",
        "",
        "Written",
        f"  - {printable(str(file))}",
    ]
    return "\n".join(lines)
