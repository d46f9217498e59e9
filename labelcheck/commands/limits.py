"""`labelcheck limits [SET]`: print every limit in force with its source, as a limits file to start from."""

import argparse
from pathlib import Path

from labelcheck.commands import a_path, add_limits, limits_for_path, print_for_a_program
from labelcheck.formats.limits_file.writing import limits_text
from labelcheck.trade.errors import WrongArguments

EPILOG = """\
examples:
  labelcheck limits                                    as they are without a limits file, or with the one found here
  labelcheck limits turnout-driver/                    as a check of this set takes them
  labelcheck limits --process inkjet > labelcheck.toml a file to start from, for the folder that holds the set

A limits file is named labelcheck.toml and found in the folder of the set, beside it or in the nearest folder above;
--limits names another one. Options of the command line win over the file, the file wins over the defaults.

exit status:
  0  printed
  2  wrong arguments, or an error in the limits file: each is told with its line"""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "limits",
        help="print every limit in force, as a limits file to start from",
        description="Print every limit in force with its source, in the form of a limits file.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "set", nargs="?", type=a_path, default=Path(), metavar="SET",
        help="the set whose limits are meant (default: the folder you are in)",
    )
    add_limits(parser)
    parser.add_argument(
        "--pin", action="store_true", help="state every value, so that no default of another version counts"
    )
    parser.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Print them."""
    if not chosen.set.exists():
        raise WrongArguments(f"{chosen.set}: There is no such file or folder. Name a fab set, or leave it away.")
    print_for_a_program(limits_text(limits_for_path(chosen.set, chosen), pinned=chosen.pin))
    return 0
