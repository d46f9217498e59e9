"""Which share of the proposed cures holds: each is applied to the artwork, and the board is checked again.

`python tests/benchmarks/cures.py` prints it for the demo boards, for random boards, and for the real sets where they
lie beside the project. A cure holds where its label is found again at its new place with none of its findings and no
new one, and no label beside it has a new finding either.
"""

import argparse
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from boards.synthetic import Recipe, random_dialect, write_synthetic  # noqa: E402  # needs the path set above
from labelcheck.board.opening import open_sets  # noqa: E402  # the same
from labelcheck.checking import check_set  # noqa: E402  # the same
from labelcheck.trade.errors import LabelcheckError  # noqa: E402  # the same
from labelcheck.trade.limits import limits_for  # noqa: E402  # the same
from tests.cures.holding import Told, cures_that_hold  # noqa: E402  # the same

REAL = ROOT.parent / "shared" / "real-boards"
DEMO = ("turnout-driver", "signal-head", "track-detector", "track-detector-b", "track-feeder")
FAULTS = ("thin-stroke", "short-character", "closed-gap", "in-opening", "across-hole", "past-outline",
          "crossing-ink", "under-body", "mirrored")
NOW = datetime(2026, 1, 31, 12, 0, 0, tzinfo=UTC)


@dataclass
class Tally:
    """Cures of some boards."""

    told: list[Told] = field(default_factory=list)

    def line(self, name: str) -> str:
        """Labels with a cure, those with a place, those that hold, and why the others do not."""
        placed = [one for one in self.told if one.cure.found]
        holding = [one for one in placed if one.failure is None]
        share = f"{100 * len(holding) / len(placed):5.1f} %" if placed else "      -"
        why = Counter(one.failure.split(":")[0] for one in placed if one.failure is not None)
        return f"{name:22} {len(self.told):5} {len(placed):7} {len(holding):6} {share}  {dict(why.most_common(4))}"


def on_path(place: Path, verbose: bool) -> Tally:
    """Every cure of every board of a path, tried."""
    tally = Tally()
    limits = limits_for()
    for fab_set in open_sets(place):
        checked = check_set(fab_set, limits, NOW)
        told = cures_that_hold(fab_set, checked, lambda changed: check_set(changed, limits, NOW))
        tally.told += told
        for one in told:
            if verbose and one.failure is not None:
                print("   ", fab_set.name, one.cure.label, one.called, "|", one.advice, "|", one.failure)
    return tally


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--boards", type=int, default=4, help="random boards (default: 4)")
    parser.add_argument("--only", choices=("demo", "random", "real"))
    parser.add_argument("--verbose", action="store_true", help="print every cure that does not hold")
    chosen = parser.parse_args()
    print(f"{'board':22} {'cures':>5} {'placed':>7} {'hold':>6}   share  why not")
    begun = time.process_time()
    groups: dict[str, dict[str, Path]] = {"demo": {}, "random": {}, "real": {}}
    groups["demo"] = {name: ROOT / "boards" / name for name in DEMO}
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(1, chosen.boards + 1):
            place = Path(folder) / f"random-{seed}"
            recipe = Recipe(seed=seed, labels=150, faults=dict.fromkeys(FAULTS, 3))
            write_synthetic(place, recipe, random_dialect(seed))
            groups["random"][place.name] = place
        if REAL.is_dir():
            groups["real"] = {place.name: place for place in sorted(REAL.iterdir())
                              if place.is_dir() and place.name != "syntax-cases"}
        for group, places in groups.items():
            if chosen.only not in (None, group):
                continue
            total = Tally()
            for name, place in places.items():
                try:
                    tally = on_path(place, chosen.verbose)
                except LabelcheckError as error:
                    print(f"{name:22} not checked: {error}")
                    continue
                total.told += tally.told
                print(tally.line(name), flush=True)
            print(total.line(f"all {group}"))
    print(f"{time.process_time() - begun:.0f} s of the processor")


if __name__ == "__main__":
    main()
