"""A label among the others: the same reference twice, a direction of its own."""

from dataclasses import replace

from labelcheck.labels.label import Label
from labelcheck.press.company import among_others
from labelcheck.press.evidence import Evidence
from labelcheck.trade.sides import Side


def at(x: float, y: float, text: str, turned: float = 0.0, side: Side = Side.TOP) -> Label:
    return Label(
        id=f"{side}{x},{y}", side=side, text=text, text_confidence=0.99, text_known_by="reading", kind="reference",
        box_mm=(x, y, x + 2, y + 1.3), turned_deg=turned, drawn_as="strokes", marks=(), character_height_mm=1.3,
        stroke_least_mm=0.18, stroke_typical_mm=0.18, gap_mm=0.3,
    )


def company(*labels: Label) -> tuple[Evidence, ...]:
    alone = Evidence(
        label=labels[0], opening=None, hole=None, covered_hole=None, outline=None, far_off_board=False, crossing=None,
        printed_fraction=1.0,
    )
    return among_others([replace(alone, label=label) for label in labels])


def test_the_later_of_two_namesakes_is_told() -> None:
    first, second, other = company(at(0, 0, "R7"), at(30, 0, "R7"), at(60, 0, "R8"))
    assert first.namesake is None and other.namesake is None
    assert second.namesake is first.label


def test_one_part_named_on_both_sides_is_no_namesake() -> None:
    _, beneath = company(at(0, 0, "J1"), at(1, 1, "J1", side=Side.BOTTOM))
    assert beneath.namesake is None
    _, elsewhere = company(at(0, 0, "J1"), at(40, 1, "J1", side=Side.BOTTOM))
    assert elsewhere.namesake is not None


def test_the_same_terminal_at_two_connectors_is_no_namesake() -> None:
    _, second = company(at(0, 0, "A1"), at(30, 0, "A1"))
    assert second.namesake is None


def test_a_panel_of_boards_alike_has_no_namesakes() -> None:
    names = ["R1", "R2", "C1", "U1", "J1"]
    board = [at(4.0 * place, 0, name) for place, name in enumerate(names)]
    other = [at(4.0 * place, 50, name) for place, name in enumerate(names)]
    assert all(one.namesake is None for one in company(*board, *other))


def test_words_and_doubtful_readings_are_no_references() -> None:
    word = replace(at(30, 0, "R7"), kind="word")
    unsure = replace(at(60, 0, "R7"), text_confidence=0.7)
    assert all(one.namesake is None for one in company(at(0, 0, "R7"), word, unsure))


def test_pin_names_along_a_header_are_no_references() -> None:
    header = [at(2.54 * place, 0, f"D{place}") for place in range(1, 5)]
    assert all(one.namesake is None for one in company(at(0, 30, "D2"), at(20, 30, "D3"), *header))


def test_a_pin_name_among_short_words_along_a_header_is_no_reference() -> None:
    words = [replace(at(2.54 * place, 0, text), kind="word") for place, text in ((1, "MO"), (2, "CD"), (4, "G"))]
    pin, far = at(2.54 * 3, 0, "D5"), [replace(one, box_mm=tuple(v + 20 for v in one.box_mm)) for one in words]
    assert all(one.namesake is None for one in company(at(0, 30, "D5"), pin, *words))
    assert company(at(0, 30, "D5"), pin, *far)[1].namesake is not None


def test_two_directions_a_side_are_common_practice_and_a_third_is_told() -> None:
    usual = [at(0, 3.0 * place, f"R{place}") for place in range(1, 6)]
    upright = [at(20, 3.0 * place, f"C{place}4", turned=90.0) for place in range(1, 4)]
    told = company(*usual, *upright, at(40, 0, "FEEDER", turned=180.0))
    assert [one.label.text for one in told if one.third_direction] == ["FEEDER"]


def test_sides_are_looked_at_apart() -> None:
    top = [at(0, 3.0 * place, f"R{place}") for place in range(1, 4)]
    bottom = [at(0, 3.0 * place, f"C{place}5", turned=180.0, side=Side.BOTTOM) for place in range(1, 4)]
    assert not any(one.third_direction for one in company(*top, *bottom))


def test_aslant_text_and_text_that_tells_no_direction_are_not_asked() -> None:
    usual = [at(0, 3.0 * place, f"R{place}") for place in range(1, 6)]
    others = [at(20, 0, "SLANT", turned=45.0), at(30, 0, "8", turned=180.0), at(40, 0, "NOX", turned=180.0)]
    told = company(*usual, *others)
    assert not any(one.third_direction for one in told)
