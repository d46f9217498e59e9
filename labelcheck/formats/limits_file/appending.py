"""Puts acceptances at the end of a limits file; what stands there before stays byte for byte."""

from collections.abc import Sequence
from dataclasses import replace

from labelcheck.formats.limits_file.reading import read_limits_file
from labelcheck.formats.limits_file.writing import acceptance_text
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.stated import Acceptance

_NEW_FILE = """\
# Limits and acceptances of this board. "labelcheck limits" prints everything that may stand here.
"""


def with_acceptances_appended(
    place: str, content: bytes | None, accepted: Sequence[Acceptance]
) -> tuple[bytes, tuple[int, ...]]:
    """The bytes of the limits file with the acceptances at its end, and the line of each.

    `content` is None where there is no file yet. Raises `WrongArguments` where the file could not be read after.
    """
    before = _NEW_FILE.encode() if content is None else content
    line_feed = b"\r\n" if b"\r\n" in before else b"\n"
    if before and not before.endswith(b"\n"):
        before += line_feed
    blocks = [b"\n" + acceptance_text(one).encode() for one in accepted]
    after = before + b"".join(blocks).replace(b"\n", line_feed)
    try:
        read = read_limits_file(place, place, after).accepted
    except WrongArguments as error:
        raise WrongArguments(
            f"{error}\n{place}: Nothing was written. If acceptances stand there as one array, accepted = [ … ], "
            "write each as a table of its own under [[accepted]]."
        ) from error
    added = read[len(read) - len(accepted) :]
    if [replace(one, file="", line=0) for one in added] != [replace(one, file="", line=0) for one in accepted]:
        raise WrongArguments(f"{place}: What was to be accepted does not read back the same. Nothing was written.")
    return after, tuple(one.line for one in added)
