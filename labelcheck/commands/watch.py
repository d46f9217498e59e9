"""`labelcheck watch FOLDER…`: check every fab set in the folders, again whenever it changes, and say what changed."""

import argparse
import signal
import sys
from types import FrameType

from labelcheck.commands import a_path, add_limits, number
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import Asked
from labelcheck.watching.answering import words_of_command
from labelcheck.watching.deciding import PATIENCE, Patience
from labelcheck.watching.loop import Options, Watch

EXAMPLES = """\
examples:
  labelcheck watch exports/turnout-driver/      while laying out: export, glance, move a label, export again
  labelcheck watch drop/                        drop a folder or a zip into it and get a review beside it
  labelcheck watch a/ b/ --out reviews/         reviews elsewhere, with an index page
  labelcheck watch drop/ --on-verdict 'notify-send {set} {verdict}'
  labelcheck watch /net/drop --poll             where the drive tells of no changes

A FOLDER is either the export folder of one board or a drop folder with many sets; which of them is found out.
Nothing is ever written inside a set. Ctrl-C ends the watch.
"""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    watch = commands.add_parser(
        "watch",
        help="check fab sets again whenever they change, and say what changed",
        description="Check every fab set in the folders, and again whenever it changes: one line a check, and below\n"
        "it which faults are new, fixed and still there.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    watch.add_argument("folders", nargs="+", metavar="FOLDER", type=a_path, help="an export folder, or a drop folder")
    watch.add_argument("--out", type=a_path, metavar="FOLDER", help="put all reviews below this folder")
    add_limits(watch)
    watch.add_argument("--from-now", action="store_true", help="check nothing before it changes")
    watch.add_argument("--quiet", action="store_true", help="tell changes of verdict and troubles only")
    watch.add_argument("--bell", action="store_true", help="ring the terminal's bell on a change of verdict")
    watch.add_argument(
        "--on-verdict",
        metavar="CMD",
        help="run a command on a change of verdict, without a shell; {set}, {verdict}, {review} are filled in",
    )
    watch.add_argument("--poll", action="store_true", help="look every second instead of listening (network drives)")
    watch.add_argument(
        "--quiet-time",
        type=_seconds,
        default=PATIENCE.quiet_s,
        metavar="S",
        help=f"an export is complete after so many seconds without a change (default {PATIENCE.quiet_s:g})",
    )
    watch.add_argument("--inch", action="store_true", help="show lengths in inches")
    watch.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Watch until a signal ends it."""
    for folder in chosen.folders:
        if folder.exists() and not folder.is_dir():
            raise WrongArguments(f"{folder}: This is no folder. Name the folder that it lies in.")
    options = Options(
        limits_file=chosen.limits,
        asked=Asked(chosen.process, chosen.reading_distance, chosen.pitch),
        unit="inch" if chosen.inch else "mm",
        out=chosen.out,
        quiet=chosen.quiet,
        bell=chosen.bell,
        on_verdict=words_of_command(chosen.on_verdict) if chosen.on_verdict is not None else (),
        poll=chosen.poll,
        from_now=chosen.from_now,
        patience=Patience(quiet_s=chosen.quiet_time),
    )
    watch = Watch(chosen.folders, options, _say)

    def stop(_signal: int, _frame: FrameType | None) -> None:
        watch.stop()

    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), stop)
    watch.run()
    return 0


def _say(line: str) -> None:
    if line == "\a":
        sys.stdout.write(line)
    else:
        print(line)
    sys.stdout.flush()


def _seconds(text: str) -> float:
    value = number(text)
    if not 0.05 <= value <= 60:
        raise argparse.ArgumentTypeError(f"{text} is no usable time; give 0.05 to 60 seconds")
    return value
