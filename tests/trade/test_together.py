"""Two pieces of work at once give what they give one after the other."""

import os

import pytest

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.together import both


def fail() -> None:
    raise ValueError("no such side")


@pytest.mark.parametrize("worthwhile", [True, False])
def test_both_results_come_back(worthwhile) -> None:
    assert both(lambda: "top", lambda: ["bottom", 2], worthwhile) == ("top", ["bottom", 2])


@pytest.mark.parametrize("worthwhile", [True, False])
def test_an_error_of_either_is_raised(worthwhile) -> None:
    with pytest.raises(ValueError, match="no such side"):
        both(lambda: 1, fail, worthwhile)
    with pytest.raises(ValueError, match="no such side"):
        both(fail, lambda: 1, worthwhile)


def test_work_of_a_child_that_was_ended_is_done_here() -> None:
    here = os.getpid()

    def die_elsewhere() -> str:
        if os.getpid() != here:
            os._exit(9)
        return "done"

    assert both(lambda: 1, die_elsewhere, True) == (1, "done")


def test_an_error_that_names_a_place_survives_the_way_back() -> None:
    def broken() -> None:
        raise UnreadableFile("top.gbr", 3, "It is cut short.", "Export it again.")

    with pytest.raises(UnreadableFile, match=r"top\.gbr:3"):
        both(lambda: 1, broken, True)
