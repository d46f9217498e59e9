"""How this process holds its memory while it checks: what is freed is kept for the next array.

A check makes and drops thousands of arrays of some megabytes. The C library of GNU systems hands each of them back to
the system at once, and the system clears every page anew when it is asked for again: a quarter of a whole check on
some machines. Nothing depends on it but speed; other systems are left as they are.
"""

import ctypes
import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

_TRIM_THRESHOLD, _TOP_PAD, _MMAP_THRESHOLD = -1, -2, -3
"""Numbers of the settings: mallopt(3) of the GNU C library."""
_KEPT_BYTES = 256 * 1024 * 1024
"""Free memory beyond this at the end of the heap goes back to the system."""
_GROWN_BYTES = 16 * 1024 * 1024
"""The heap grows by so much at a time."""
_LARGEST_BYTES = 32 * 1024 * 1024
"""Blocks up to this come from the heap; more is not allowed by every version of the library."""


@cache
def keep_freed_memory() -> bool:
    """Let the process reuse what it frees; whether the system's library knows how."""
    if sys.platform != "linux":
        return False
    try:
        setting = ctypes.CDLL(None).mallopt
    except (OSError, AttributeError):
        return False
    wanted = ((_MMAP_THRESHOLD, _LARGEST_BYTES), (_TRIM_THRESHOLD, _KEPT_BYTES), (_TOP_PAD, _GROWN_BYTES))
    return all([setting(number, size) == 1 for number, size in wanted])


@contextmanager
def while_loading() -> Iterator[None]:
    """Meanwhile modules are loaded: a tenth of that time goes into searches for circles among what stays for good.

    What there is then stays as long as the process, and is not searched later either; for once in a process.
    """
    with without_collecting():
        yield
        gc.freeze()


@contextmanager
def without_collecting() -> Iterator[None]:
    """Meanwhile no search for records that refer to one another in a circle: a check makes many, hardly any do."""
    collected = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collected:
            gc.enable()
