"""Are planted faults found, and good labels left alone? Random boards by seed, every dialect of the files.

`python tests/benchmarks/planted_faults.py [--boards 12]` prints, for each analyser, how many planted faults were
found, and how many good labels were called unreadable or doubtful. The truth comes from the generator (which
knows where it drew what), never from labelcheck.
"""

import argparse
import sys
import tempfile
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from boards.synthetic import EVERY_FAULT, Recipe, random_dialect, write_synthetic  # noqa: E402  # needs the path above
from labelcheck.analysers import all_analysers  # noqa: E402  # needs the path above
from labelcheck.checking import check_path  # noqa: E402  # the same
from labelcheck.judging import Finding  # noqa: E402  # the same
from labelcheck.trade.limits import limits_for  # noqa: E402  # the same

NOW = datetime(2026, 1, 31, tzinfo=UTC)


def meets(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    """Whether two boxes overlap."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def main() -> None:
    """Check the boards and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--boards", type=int, default=12)
    parser.add_argument("--labels", type=int, default=150)
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--verbose", action="store_true")
    chosen = parser.parse_args()
    known = {analyser.name for analyser in all_analysers()}
    faults = {name: count for name, count in EVERY_FAULT.items() if name in known}
    planted: Counter[str] = Counter()
    found: Counter[str] = Counter()
    right: Counter[str] = Counter()
    good, false = 0, Counter[str]()
    for seed in range(chosen.first_seed, chosen.first_seed + chosen.boards):
        with tempfile.TemporaryDirectory() as folder:
            place = Path(folder) / "board"
            recipe = Recipe(seed=seed, labels=chosen.labels, faults=faults)
            design = write_synthetic(place, recipe, random_dialect(seed))
            (checked,) = check_path(place, limits_for(), NOW)
        taken: set[str] = set()
        for fault in design.faults:
            planted[fault.analyser] += 1
            hits = [
                finding
                for finding in checked.review.findings
                if finding.analyser == fault.analyser
                and finding.side == fault.side
                # Notes of one kind are told together, once a side.
                and (meets(finding.box_mm, fault.box_mm) or (finding.label is None and fault.severity == "note"))
            ]
            taken.update(finding.label for finding in checked.review.findings
                         if finding.side == fault.side and meets(finding.box_mm, fault.box_mm) and finding.label)
            found[fault.analyser] += bool(hits)
            right[fault.analyser] += any(fault.severity in (None, str(hit.severity)) for hit in hits)
            if chosen.verbose and not any(fault.severity in (None, str(hit.severity)) for hit in hits):
                print("missed" if not hits else f"as {hits[0].severity}", seed, fault)
        good += len(design.labels)
        for finding in checked.review.findings:
            if finding.label not in taken and finding.severity != "note":
                false[_kind(finding)] += 1
                if chosen.verbose:
                    print("false", seed, finding.analyser, finding.severity, finding.at_mm, finding.message)
        for remark in (*checked.review.holding,):
            print("holding", seed, remark)
    print(f"{chosen.boards} boards, {sum(planted.values())} planted faults, {good} good labels")
    for name in sorted(planted):
        print(f"{name:18} planted {planted[name]:4}  found {found[name]:4}  as severe as planted {right[name]:4}")
    for name, count in sorted(false.items()):
        print(f"on good labels: {name:30} {count}")
    print(f"on good labels in all: {sum(false.values())} of {good}")


def _kind(finding: Finding) -> str:
    return f"{finding.analyser} {finding.severity}"


if __name__ == "__main__":
    main()
