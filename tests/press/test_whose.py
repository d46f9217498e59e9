"""How labels belong to parts."""

import pytest
from shapely.geometry import box

from labelcheck.board.components import Body, Component, Pin
from labelcheck.labels.label import Label
from labelcheck.press.whose import box_of, references_on, relation_of
from labelcheck.trade.sides import Side


def a_label(text: str | None, kind: str = "word", at: tuple[float, float, float, float] = (1, 1, 3, 2)) -> Label:
    return Label(
        "T1", Side.TOP, text, 0.99, "reading", kind, at, 0.0, "strokes", (), 1.0, 0.15, 0.15, None
    )  # type: ignore[arg-type]  # the kinds are those of labels


def a_part(reference: str = "J4", value: str | None = None, at: tuple[float, float] = (2.5, 2.5)) -> Component:
    body = Body(box(0, 0, 5, 5), None, "component layer", False)
    pins = tuple(Pin(name, None, None, 1.0, 1.0, None, None, True) for name in ("1", "2", "12", "TX"))
    return Component(reference, Side.TOP, None, value, at, 0.0, pins, body)


@pytest.mark.parametrize(
    ("text", "relation"),
    [("J4", "own"), ("j4", "own"), ("J4 MOTOR", "own"), ("J5", "another"), ("TX", "another"), ("12V", "another"),
     ("10K", "own"), ("+", "aid"), ("K", "aid"), ("12", "aid"), ("99", "another"), ("SO-8", "aid"), ("208mil", "aid"),
     (None, "another")],
)  # fmt: skip
def test_relations_by_text(text: str | None, relation: str) -> None:
    part = a_part(value="10k")
    assert relation_of(a_label(text), part, [part]) == relation


def test_a_sign_that_lies_partly_outside_is_no_aid() -> None:
    part = a_part()
    assert relation_of(a_label("+", at=(4, 1, 6, 2)), part, [part]) == "another"


def test_what_stands_over_other_parts_comes_off_again() -> None:
    shield = a_part("SH1")
    under = [a_part(f"C{number}", at=(1.0 + number, 2.0)) for number in range(2)]
    assert relation_of(a_label("C1"), shield, [shield, *under]) == "covering"
    assert relation_of(a_label("C1"), shield, [shield, under[0]]) == "another"


def test_a_label_of_two_words_names_the_part_of_its_first() -> None:
    parts = [a_part("J4"), a_part("J5")]
    label = a_label("j4 MOTOR")
    assert references_on([label], parts, Side.TOP) == {"J4": label}
    assert references_on([label, a_label("J4")], parts, Side.TOP) == {}


def test_the_body_counts_only_where_it_stands() -> None:
    part = a_part()
    assert box_of(part) == box_of(part, Side.TOP) == (0.0, 0.0, 5.0, 5.0)
    assert box_of(part, Side.BOTTOM) == (1.0, 1.0, 1.0, 1.0)
