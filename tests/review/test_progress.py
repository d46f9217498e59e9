"""Progress is for a person who watches, and leaves nothing behind."""

import io

from labelcheck.review.progress import Progress


class Watched(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_nothing_is_shown_where_nobody_watches() -> None:
    stream = io.StringIO()
    progress = Progress(stream, 80)
    progress.begin("tracks")
    progress.tell("drawing")
    progress.clear()
    assert stream.getvalue() == ""


def test_a_line_that_is_taken_away_again() -> None:
    stream = Watched()
    progress = Progress(stream, 80)
    progress.begin("tracks")
    progress.tell("drawing")
    assert stream.getvalue() == "\r\x1b[Kchecking tracks: drawing (0 s)"
    progress.end("tracks")
    assert stream.getvalue().endswith("\r\x1b[K")


def test_short_work_of_many_is_not_told_and_long_names_are_cut() -> None:
    stream = Watched()
    progress = Progress(stream, 40)
    progress.begin("a" * 200)
    progress.tell()
    assert stream.getvalue() == ""
    progress.tell("drawing")
    assert len(stream.getvalue().removeprefix("\r\x1b[K")) < 40


def test_hostile_names_do_not_reach_the_terminal() -> None:
    stream = Watched()
    progress = Progress(stream, 80)
    progress.begin("\x1b[2J\rnice")
    progress.tell("drawing")
    assert "\x1b[2J" not in stream.getvalue() and stream.getvalue().count("\r") == 1
