"""Writes the fab sets of the invented boards: `python boards/generate.py [--out FOLDER]`."""

import argparse
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
if str(HERE.parent) not in sys.path:  # run as a script, only this folder is on the path
    sys.path.insert(0, str(HERE.parent))

from boards import signal_head, track_detector, track_feeder, turnout_driver  # noqa: E402  # needs the path set above
from boards.design import Design  # noqa: E402  # the same
from boards.dialect import Dialect  # noqa: E402  # the same
from boards.expected import expected_file  # noqa: E402  # the same
from boards.set_writer import write_set  # noqa: E402  # the same


def boards() -> dict[str, tuple[Design, Dialect, tuple[str, str]]]:
    """Draw every board anew: the design, how its files are written, and the colours of mask and legend."""
    with_parts = Dialect(components=True)
    return {
        "turnout-driver": (turnout_driver.draw(), with_parts, turnout_driver.COLOURS),
        "signal-head": (signal_head.draw(), Dialect(names="letters", drill_files="one"), signal_head.COLOURS),
        "track-detector": (track_detector.draw(), with_parts, track_detector.COLOURS),
        "track-detector-b": (track_detector.draw(revision="B"), with_parts, track_detector.COLOURS),
        "track-feeder": (track_feeder.draw(), with_parts, track_feeder.COLOURS),
    }


def generate(out: Path) -> list[Path]:
    """Write all sets below a folder; returns the folders of the sets."""
    folders = []
    for name, (design, dialect, colours) in boards().items():
        folder = out / name
        write_set(folder, design, dialect, colours)
        (folder / "expected.json").write_bytes(expected_file(design))
        folders.append(folder)
    return folders


def main() -> None:
    """Read the command line and write."""
    parser = argparse.ArgumentParser(description="Write the fab sets of the invented boards.")
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to (default: beside this program)")
    for folder in generate(parser.parse_args().out):
        print(folder)


if __name__ == "__main__":
    main()
