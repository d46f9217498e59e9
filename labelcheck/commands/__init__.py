"""One command a file; the list is found here, never typed twice. What several commands ask alike stands here too."""

import argparse
import errno
import importlib
import os
import pkgutil
import sys
from pathlib import Path

from labelcheck.board.limits_beside import limits_of_set
from labelcheck.trade.in_force import Asked
from labelcheck.trade.limits import DEFAULT_PITCH_MM, DEFAULT_PROCESS, DEFAULT_READING_DISTANCE_MM, Limits, Process
from labelcheck.trade.storage import while_loading


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]", asked: str) -> None:
    """Add the command asked for, or, where there is none of that name, every command of this folder.

    A check runs on every save: it must not wait for what the other commands import.
    """
    names = command_names()
    wanted = [f"{__name__}.{name}" for name in ([asked] if asked in names else names)]
    if not all(name in sys.modules for name in wanted):
        with while_loading():
            for name in wanted:
                importlib.import_module(name)
    for name in wanted:
        sys.modules[name].add_parser(commands)


def command_names() -> list[str]:
    """Every command there is, in order of name."""
    return sorted(module.name for module in pkgutil.iter_modules(__path__))


def add_limits_file(parser: argparse.ArgumentParser) -> None:
    """Add `--limits`; `limits_for_path` answers it."""
    parser.add_argument(
        "--limits",
        type=a_path,
        metavar="FILE",
        help="limits file (default: labelcheck.toml beside the set or in the nearest folder above)",
    )


def add_limits(parser: argparse.ArgumentParser) -> None:
    """Add `--limits` and the options that win over the limits file; `limits_for_path` answers them."""
    add_limits_file(parser)
    parser.add_argument(
        "--process",
        type=_process,
        metavar="|".join(Process),
        help=f"how the legend is printed (default: as the limits file says, else {DEFAULT_PROCESS})",
    )
    parser.add_argument(
        "--reading-distance",
        type=_positive,
        metavar="MM",
        help="from eye to board (default: as the limits file says, else "
        f"{DEFAULT_READING_DISTANCE_MM:g}, a board in the hand)",
    )
    parser.add_argument(
        "--pitch",
        type=_pitch,
        metavar="MM",
        help="raster pitch at which ink is compared with openings, holes and other ink (default: as the limits file "
        f"says, else {DEFAULT_PITCH_MM:g})",
    )


def limits_for_path(path: Path, chosen: argparse.Namespace) -> Limits:
    """The limits in force for the set at a path, by its limits file and the options of the command line.

    Raises `WrongArguments` where the limits file is wrong or cannot be read.
    """
    asked = Asked(
        getattr(chosen, "process", None), getattr(chosen, "reading_distance", None), getattr(chosen, "pitch", None)
    )
    return limits_of_set(path, chosen.limits, asked)


def a_path(text: str) -> Path:
    """A path of the command line; an empty one, as an unset variable leaves it, would mean the folder one is in."""
    if not text.strip():
        raise argparse.ArgumentTypeError('the name is empty; "." is the folder that you are in')
    try:
        os.stat(text)
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            raise argparse.ArgumentTypeError(f"{text[:40]}… is longer than a name can be") from error
    return Path(text)


def file_or_pipe(text: str) -> str:
    """The name of a file, or `-` for a pipe."""
    return str(a_path(text))


def print_for_a_program(text: str) -> None:
    """Print text that a program or a file takes: UTF-8, whatever signs the terminal or pipe is said to know."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8"))
    sys.stdout.buffer.flush()


def number(text: str) -> float:
    """A number of the command line; for argparse, which tells what is wrong with it."""
    try:
        return float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f'"{text}" is no number') from error


def _process(text: str) -> Process:
    try:
        return Process(text.lower())
    except ValueError as error:
        raise argparse.ArgumentTypeError(f'"{text}" is none of {", ".join(Process)}') from error


def _positive(text: str) -> float:
    value = number(text)
    if not 0 < value < 1e6:
        raise argparse.ArgumentTypeError(f"{text} is no distance; give millimetres above 0")
    return value


def _pitch(text: str) -> float:
    value = number(text)
    if not 0.002 <= value <= 0.1:
        raise argparse.ArgumentTypeError(f"{text} is no usable pitch; give 0.002 to 0.1 mm")
    return value
