"""Arguments in, exit status out."""

import argparse
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

from labelcheck.commands import add_commands
from labelcheck.trade.errors import LabelcheckError, UnreadableSet, WrongArguments

DESCRIPTION = """\
Measures every label of a board's legend (silkscreen) as it will be printed, and says which of them people
will not be able to read, why, and what to change by how much. Nothing is ever written inside the set."""


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit status."""
    parser = _parser(arguments[0] if arguments else "")
    try:
        chosen = parser.parse_args(arguments)
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else WrongArguments.exit_status
    try:
        return int(chosen.run(chosen))
    except LabelcheckError as error:
        print(f"labelcheck: {error}", file=sys.stderr)
        return error.exit_status
    except BrokenPipeError:
        # The reader of our output went away; a second failure at exit would print a traceback.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 4
    except KeyboardInterrupt:
        return 130
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


def _parser(asked: str) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="labelcheck", description=DESCRIPTION, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    add_commands(parser.add_subparsers(title="commands", required=True, metavar="COMMAND"), asked)
    return parser
