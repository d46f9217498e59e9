"""Lets `python -m labelcheck` do what `labelcheck` does."""

import sys

from labelcheck.cli import main


def run() -> None:
    """Run the command line and exit with its status."""
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
