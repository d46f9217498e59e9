"""One thread for linear algebra: numpy's library would start one a core, which wait busily between its works.

The works here are small, and the other core has the other side of the board to look at: with threads of its own for
linear algebra a check of 400 labels takes a fifth longer. Whoever sets the variable gets what they ask for.
"""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

_VARIABLE = "OPENBLAS_NUM_THREADS"
"""Read by the library once, when it is loaded."""


@contextmanager
def one_thread() -> Iterator[None]:
    """Meanwhile numpy may be loaded, which then has a single thread; the environment stays as it was."""
    asked = os.environ.get(_VARIABLE)
    os.environ.update(with_one_thread(os.environ))
    try:
        yield
    finally:
        if asked is None:
            os.environ.pop(_VARIABLE, None)


def with_one_thread(environment: Mapping[str, str]) -> dict[str, str]:
    """The environment of a process that is to load numpy with a single thread."""
    return {_VARIABLE: "1", **environment}
