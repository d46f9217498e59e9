"""Component layers of the Gerber format."""

import pytest

from labelcheck.board.bodies.component_layer import read_component_layer
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.trade.sides import Side

HEAD = """%FSLAX46Y46*%
%MOMM*%
%TF.FileFunction,Component,L1,Top*%
%TF.FilePolarity,Positive*%
%TA.AperFunction,ComponentMain*%
%ADD10C,0.300000*%
%TA.AperFunction,ComponentOutline,{kind}*%
%ADD11C,0.100000*%
%TA.AperFunction,ComponentPin*%
%ADD12P,0.360000X4X0.000000*%
%ADD13C,0.100000*%
%TD*%
"""

# The part that section 6.9 of the Gerber layer format specification shows: figures as published there.
R301 = """D10*
%TO.C,R301*%
%TO.CFtp,R_0805*%
%TO.CVal,4K7*%
%TO.CMnt,SMD*%
%TO.CRot,-90*%
X218250000Y-73000000D03*
D11*
X217250000Y-74690000D02*
X219250000Y-74690000D01*
X219250000Y-71310000D01*
X217250000Y-71310000D01*
X217250000Y-74690000D01*
%TO.P,R301,1*%
D12*
X218250000Y-72045000D03*
%TO.P,R301,2*%
D13*
X218250000Y-73955000D03*
%TD*%
"""


def read(text: str, kind: str = "Courtyard"):
    artwork = read_artwork("pnp.gbr", (HEAD.format(kind=kind) + text + "M02*\n").encode())
    return read_component_layer(artwork, Side.TOP)


def test_the_published_example() -> None:
    (part,) = read(R301)
    assert (part.reference, part.value, part.package, part.rotation_deg) == ("R301", "4K7", "R_0805", -90.0)
    assert part.at_mm == pytest.approx((218.25, -73.0))
    assert part.through_hole is False
    ((kind, outline),) = part.outlines
    assert kind == "Courtyard"
    x0, y0, x1, y1 = outline.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((2.00, 3.38))
    assert [(pin.name, pin.x_mm, pin.y_mm) for pin in part.pins] == [
        ("1", pytest.approx(218.25), pytest.approx(-72.045)), ("2", pytest.approx(218.25), pytest.approx(-73.955)),
    ]  # fmt: skip


def test_an_outline_that_says_no_kind_is_taken_for_the_body() -> None:
    artwork = read_artwork("pnp.gbr", (HEAD.replace(",{kind}*", "*") + R301 + "M02*\n").encode())
    (part,) = read_component_layer(artwork, Side.TOP)
    assert [kind for kind, _ in part.outlines] == ["Body"]


def test_height_function_and_attributes_in_comments() -> None:
    text = R301.replace("%TO.CRot,-90*%", "%TO.CRot,-90*%\n%TO.CHgt,1.45*%").replace("R301,1*", "R301,1,IN*")
    commented = "".join(
        f"G04 #@! {line[1:-1]}\n" if line.startswith("%TO") else f"{line}\n" for line in text.splitlines()
    )
    for written in (text, commented):
        (part,) = read(written, "Body")
        assert part.height_mm == 1.45
        assert part.pins[0].function == "IN"
        assert dict(part.outlines).keys() == {"Body"}


def test_outlines_drawn_in_any_order_and_left_open() -> None:
    shuffled = R301.replace(
        "X217250000Y-74690000D02*\nX219250000Y-74690000D01*\nX219250000Y-71310000D01*\n",
        "X219250000Y-71310000D02*\nX219250000Y-74690000D01*\nX217250000Y-74690000D01*\n"
        "X219250000Y-71310000D02*\n",
    )
    ((_, outline),) = read(shuffled)[0].outlines
    assert outline.area == pytest.approx(2.00 * 3.38)
    gaping = R301.replace("X217250000Y-71310000D01*\nX217250000Y-74690000D01*\n", "X217250000Y-71310000D01*\n")
    ((_, outline),) = read(gaping)[0].outlines
    assert outline.area == pytest.approx(2.00 * 3.38)


def test_a_panel_repeats_a_part() -> None:
    again = R301.replace("X21", "X31")
    first, second = read(R301 + again)
    assert (first.reference, second.reference) == ("R301", "R301")
    assert second.at_mm == pytest.approx((318.25, -73.0))
    assert len(first.pins) == len(second.pins) == 2


def test_the_same_part_told_in_two_places() -> None:
    main, rest = R301.split("D11*\n")
    (part,) = read(main + R301.replace("R301", "R302").replace("X21", "X31") + "D11*\n%TO.C,R301*%\n" + rest)[:1]
    assert len(part.outlines) == 1
    assert len(part.pins) == 2


@pytest.mark.parametrize(
    "text", ["", "D10*\nX1000Y1000D03*\n", "%TO.C,R1*%\nD11*\n%TD*%\n", "%TO.C*%\nD10*\nX1Y1D03*\n"]
)
def test_layers_that_say_nothing(text: str) -> None:
    assert read(text) == ()
