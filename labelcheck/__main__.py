"""Lets `python -m labelcheck` do what `labelcheck` does."""

import io
import sys
import warnings

from labelcheck.trade.threads import one_thread

with one_thread():
    from labelcheck.cli import main


def run() -> None:
    """Run the command line and exit with its status.

    Signs that a terminal or a pipe cannot show (Windows gives pipes a code page of 256 signs) become question marks.
    """
    # Shapely 2.0 passes on divisions that its geometry library tries and does without.
    warnings.filterwarnings("ignore", category=RuntimeWarning, module=r"shapely\b")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
