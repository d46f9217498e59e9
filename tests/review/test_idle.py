"""Tables of the limits file that fit nothing are told, and those that fit something are not."""

from dataclasses import replace

import pytest

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.review.idle import idle_statements, of_no_board
from labelcheck.trade.idle import idle_on_all
from labelcheck.trade.limits import Limits, LimitsFileBytes, limits_for
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import StatedBody, StatedWeight, Weight


def limits_with(*weights: StatedWeight, bodies: tuple[StatedBody, ...] = ()) -> Limits:
    return replace(limits_for(), file=LimitsFileBytes("labelcheck.toml", "0" * 64), weights=weights, bodies=bodies)


def weight(*texts: str, side: Side | None = None, region: tuple | None = None) -> StatedWeight:
    return StatedWeight(Weight.NOT, texts or None, side, region, None, None, "labelcheck.toml:3", 3)


def part(reference: str, package: str | None = None) -> Component:
    return Component(reference, Side.TOP, package, None, None, None, (), None)


def told(limits: Limits, labels: tuple[Label, ...], *parts: Component) -> list[str]:
    return [one.what for one in idle_statements(limits, labels, parts)]


def test_each_pattern_that_fits_no_label_is_named(labels: tuple[Label, ...]) -> None:
    text = labels[0].text or ""
    assert told(limits_with(weight(text)), labels) == []
    assert told(limits_with(weight(text, "NOSUCH*", "X?9")), labels) == ['no label reads "NOSUCH*" or "X?9"']
    (other,) = {Side.TOP, Side.BOTTOM} - {labels[0].side}
    assert told(limits_with(weight(text, side=other)), [labels[0]]) == [f'no label on the {other} reads "{text}"']


def test_a_region_without_a_label_is_told(labels: tuple[Label, ...]) -> None:
    x0, y0, x1, y1 = labels[0].box_mm
    assert told(limits_with(weight(region=(x0, y0, x1, y1))), labels) == []
    assert told(limits_with(weight(region=(900, 900, 901, 905))), labels) == [
        "no label has its middle in the region from 900, 900 to 901, 905 mm"
    ]
    assert told(limits_with(weight("NOSUCH", region=(x0, y0, x1, y1))), labels) == [
        'no label in that region reads "NOSUCH"'
    ]


@pytest.mark.parametrize(
    ("reference", "package", "what"),
    [("K*", None, None), (None, "relay*", None),
     ("K1", "SOT23", 'no part is called "K1" and has the package "SOT23"'),
     ("J7", None, 'no part is called "J7"')],
)
def test_a_body_of_no_part_is_told(reference: str | None, package: str | None, what: str | None) -> None:
    body = StatedBody(reference, package, 20, 10, None, (0, 0), None, "labelcheck.toml:8", 8)
    found = told(limits_with(bodies=(body,)), (), part("K1", "RELAY-5V"), part("R1"))
    assert found == ([] if what is None else [what])


def test_of_several_boards_only_what_fits_none_is_told(labels: tuple[Label, ...]) -> None:
    limits = limits_with(weight(labels[0].text or ""), weight("NOSUCH"))
    here, there = idle_statements(limits, labels, ()), idle_statements(limits, (), ())
    assert [one.what for one in idle_on_all([here, there])] == ['no label reads "NOSUCH"']
    (remark,) = [one.remark_of_many(2) for one in idle_on_all([here, there])]
    assert str(remark).startswith('labelcheck.toml:3: On these 2 boards no label')


def for_boards(*patterns: str, beside: tuple[str, ...] | None = ("turnout-driver", "signal-head")) -> Limits:
    weights = [replace(weight("R1"), board=pattern, line=number) for number, pattern in enumerate(patterns, start=1)]
    return replace(limits_with(*weights), boards_beside=beside)


@pytest.mark.parametrize(
    ("pattern", "told_of"),
    [
        ("turnout-driver", None), ("signal*", None), ("turnout-drive?", None), ("signal-head.left", None),
        ("turnout-drivr", 'this table was not used. Did you mean "turnout-driver"?'),
        ("Signal-Head*", 'this table was not used. Did you mean "signal-head"?'),
        ("zz", "this table was not used. Correct it or take it out."),
    ],
)  # fmt: skip
def test_a_table_for_a_board_that_is_not_there_is_told(pattern: str, told_of: str | None) -> None:
    found = of_no_board(for_boards(pattern), "turnout-driver")
    said = [str(one.remark()) for one in found]
    expected = [] if told_of is None else [f'labelcheck.toml:1: No board here is named "{pattern}": {told_of}']
    assert said == expected == [str(one.remark_of_many(3)) for one in found]


def test_a_name_of_no_board_is_told_once_and_not_beside_a_better_remark() -> None:
    limits = for_boards("zz", "zz", "signal-head")
    (one,) = of_no_board(limits, "turnout-driver")
    assert str(one.remark()).endswith("this table and 1 more like it were not used. Correct it or take it out.")
    assert of_no_board(limits, "turnout-driver", [Remark("labelcheck.toml", 2, "renamed?")]) == ()
    assert of_no_board(for_boards("zz", beside=None), "turnout-driver") == ()


def test_a_board_of_the_run_has_its_name_wherever_it_stands() -> None:
    limits = for_boards("far-away", "zz", beside=("turnout-driver",))
    boards = [of_no_board(limits, name) for name in ("turnout-driver", "far-away")]
    assert [one.line for one in idle_on_all(boards)] == [2]
