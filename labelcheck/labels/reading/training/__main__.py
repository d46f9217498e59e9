"""`python -m labelcheck.labels.reading.training [FILE]`: draw the samples, learn, calibrate, write the weights.

Needs the Debian packages of `typefaces.PACKAGES`. The same seed gives the same file on the same numpy with one
thread of linear algebra (`OMP_NUM_THREADS=1`).
"""

import os
import sys
import time
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from labelcheck.labels.reading.training.course import Course, run_course  # threads are set before numpy

if __name__ == "__main__":
    started = time.monotonic()

    def say(text: str) -> None:
        """Progress for whoever waits."""
        sys.stderr.write(f"{time.monotonic() - started:6.1f} s  {text}\n")

    target = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    run_course(Course(), say, target)
