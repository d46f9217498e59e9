"""Arguments in, exit status out."""

import argparse
import errno
import os
import sys
import traceback
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import NoReturn

from labelcheck.commands import add_commands, command_names
from labelcheck.review.wording import printable
from labelcheck.trade.errors import LabelcheckError, UnreadableSet, UnwritableResult, WrongArguments
from labelcheck.trade.version import MADE_BY

DESCRIPTION = """\
Measures every label of a board's legend (silkscreen) as it will be printed, and says which of them people
will not be able to read, why, and what to change by how much. Nothing is ever written inside the set."""


class _Parser(argparse.ArgumentParser):
    """Tells what is wrong with the arguments in a sentence, without the whole usage before it."""

    def error(self, message: str) -> NoReturn:
        """Print the problem and where to read more, and end with the status of wrong arguments."""
        end = "" if message.endswith("?") else "."
        print(f'{self.prog}: {message}{end} "{self.prog} --help" tells what may stand here.', file=sys.stderr)
        raise SystemExit(WrongArguments.exit_status)

    def options(self) -> list[str]:
        """Every option that this command knows."""
        return [option for action in self._actions for option in action.option_strings]


_NO_ROOM = (errno.ENOSPC, errno.EDQUOT)


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit status."""
    asked = arguments[0] if arguments else ""
    parser = _parser(asked)
    if not arguments:
        parser.print_help(sys.stderr)
        return WrongArguments.exit_status
    try:
        chosen = _chosen(parser, arguments)
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else WrongArguments.exit_status
    try:
        status = int(chosen.run(chosen))
        sys.stdout.flush()
        return status
    except LabelcheckError as error:
        # A name within it must not work the terminal; the problems of a limits file stand one a line.
        told = "\n".join(printable(line) for line in str(error).split("\n"))
        print(f"labelcheck: {told}", file=sys.stderr)
        return error.exit_status
    except BrokenPipeError:
        # The reader of our output went away; a second failure at exit would print a traceback.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 4
    except KeyboardInterrupt:
        return 130
    except OSError as failure:
        if failure.errno not in _NO_ROOM or failure.filename is not None:
            print(f"labelcheck: {_fault_told(failure)}", file=sys.stderr)
            return UnreadableSet.exit_status
        # What is left in the buffer would be tried again at exit, and end in a traceback.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        problem = "What is printed goes to a file, and its disk is full. Make room, or send it elsewhere."
        print(f"labelcheck: {problem}", file=sys.stderr)
        return UnwritableResult.exit_status
    except Exception as fault:  # a fault of ours must end in a sentence and a status, whatever was asked
        print(f"labelcheck: {_fault_told(fault)}", file=sys.stderr)
        return UnreadableSet.exit_status


def _fault_told(fault: Exception) -> str:
    """A fault of the program for a person: what it was, where, and what to do."""
    place = traceback.extract_tb(fault.__traceback__)[-1]
    return (
        f"this broke off ({type(fault).__name__}: {fault}; {Path(place.filename).name}:{place.lineno}). "
        "It is a fault of labelcheck, not of your files. Please report it with the set."
    )


def _parser(asked: str) -> _Parser:
    parser = _Parser(
        prog="labelcheck",
        description=DESCRIPTION,
        epilog='"labelcheck COMMAND --help" tells the options of a command, with examples.',
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=MADE_BY)
    commands: argparse._SubParsersAction[argparse.ArgumentParser] = parser.add_subparsers(
        title="commands", required=True, metavar="COMMAND"
    )  # type: ignore[assignment] # what is added are parsers of our class; commands only know the usual one
    parser.set_defaults(parser_of=commands.choices)
    add_commands(commands, asked)
    return parser


def _chosen(parser: _Parser, arguments: Sequence[str]) -> argparse.Namespace:
    """The arguments taken apart; a command or an option that there is not is told with the nearest that there is."""
    asked = arguments[0]
    if not asked.startswith("-") and asked not in command_names():
        parser.error(f'there is no command "{asked}"{_meant(asked, command_names())}')
    chosen, unknown = parser.parse_known_args(arguments)
    if unknown:
        command = chosen.parser_of.get(asked, parser)
        word = unknown[0].partition("=")[0]
        if word.startswith("-"):
            command.error(f'there is no option "{word}"{_meant(word, command.options())}')
        command.error(f'"{word}" is one argument too many')
    return chosen


def _meant(word: str, known: Sequence[str]) -> str:
    near = get_close_matches(word, known, n=1)
    return f'; did you mean "{near[0]}"?' if near else ""
