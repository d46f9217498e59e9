"""Whole small sets become boards; each trap of real sets in a set of its own."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.board.board import Board
from labelcheck.board.building import BuiltBoard, build_board
from labelcheck.board.fab_set import SetFile, make_set, set_file
from labelcheck.trade.shapes import Kind
from labelcheck.trade.sides import Side

from .drawn import (
    PADS,
    a_set,
    clear,
    copper,
    drill,
    flashes,
    gerber,
    legend,
    loop,
    mask,
    path,
    pen,
    profile,
    region,
)

WHOLE = a_set()


def built(files: dict[str, bytes]) -> BuiltBoard:
    return build_board(make_set("relay", "relay", [set_file(name, data) for name, data in files.items()], []))


def board(files: dict[str, bytes]) -> Board:
    return built(files).board


def changed(**files: bytes | None) -> dict[str, bytes]:
    """The whole set with files replaced, added, or (None) taken out; `F_Mask` stands for `relay-F_Mask.gbr`."""
    made = dict(WHOLE)
    for short, data in files.items():
        name = short if short in WHOLE else {"drl": "relay.drl"}.get(short, f"relay-{short}.gbr")
        if data is None:
            del made[name]
        else:
            made[name] = data
    return made


def told(one: Board) -> str:
    return "\n".join(map(str, one.remarks))


def held(one: Board) -> str:
    return "\n".join(one.holding)


def roles(one: BuiltBoard) -> dict[str, tuple[str, Side | None, str]]:
    return {file.name: (file.role, file.side, file.known_by) for file in one.files}


def test_a_whole_set_gives_a_whole_board() -> None:
    one = board(WHOLE)
    assert one.holding == () and one.remarks == ()
    assert one.outline is not None and one.outline.area.bounds == (0, 0, 30, 20) and one.outline.known_by == "profile"
    assert one.holes is not None and len(one.holes.shapes) == len(PADS)
    for side, x in ((one.top, 3.0), (one.bottom, 8.0)):
        assert side.legend is not None and side.legend.shapes.x0.min() == pytest.approx(x)
        assert side.openings is not None and len(side.openings.shapes) == len(PADS)
        assert side.copper is None


def test_copper_is_read_where_asked_for() -> None:
    one = build_board(make_set("relay", "", [set_file(*item) for item in WHOLE.items()], []), with_copper=True).board
    assert one.top.copper is not None and one.bottom.copper is not None and one.top.paste is None


def test_ink_area_and_box_of_the_legend_are_told() -> None:
    """Three strokes of 0.15 mm: two at a right angle of 1.5 and 1.0 mm, one of hypot(1, 1.5) mm, with round ends."""
    (file,) = [file for file in built(WHOLE).files if file.name == "relay-F_Silkscreen.gbr"]
    end = 3.141593 * 0.075**2
    corner = 0.075**2 * (2 + 3.141593 / 2 - 3.141593 / 4)  # overlap of the two at their corner
    area = 0.15 * (1.5 + 1.0 + (1 + 1.5**2) ** 0.5) + 3 * end - corner
    assert file.ink_mm2 == pytest.approx(area, rel=0.02)
    assert file.box_mm == pytest.approx((2.925, 16.925, 6.075, 18.575))


def test_roles_sides_and_how_they_are_known() -> None:
    found = roles(built(changed(F_Mask=mask(function="Soldermask,Top", polarity="Negative"))))
    assert found["relay-F_Silkscreen.gbr"] == ("legend", Side.TOP, "file name")
    assert found["relay-F_Mask.gbr"] == ("mask", Side.TOP, "attribute")
    assert found["relay-Edge_Cuts.gbr"] == ("outline", Side.BOTH, "file name")
    assert found["relay.drl"] == ("drill", Side.BOTH, "file name")


def test_an_attribute_beats_the_name() -> None:
    made = built(changed(F_Silkscreen=legend(function="Legend,Bot"), B_Silkscreen=None))
    assert roles(made)["relay-F_Silkscreen.gbr"] == ("legend", Side.BOTTOM, "attribute")
    assert "its name says legend top" in told(made.board)
    assert made.board.top.legend is None and made.board.bottom.legend is not None


def test_an_attribute_in_a_comment_counts() -> None:
    data = legend().replace(b"%FSLAX", b"G04 #@! TF.FileFunction,Legend,Bot*\n%FSLAX")
    assert roles(built({**WHOLE, "x.gbr": data}))["x.gbr"] == ("legend", Side.BOTTOM, "attribute")


def test_a_job_file_beats_the_name_but_not_the_attribute() -> None:
    files = {
        "one.gbr": legend(),
        "two.gbr": mask(),
        "three.gbr": legend(9.0, function="Legend,Bot"),
        "edge.gbr": profile(),
    }
    listed = {"one.gbr": "Legend,Top", "two.gbr": "SolderMask,Top", "three.gbr": "Legend,Top"}
    job = {
        "GeneralSpecs": {"Finish": "HAL"},
        "FilesAttributes": [{"Path": p, "FileFunction": f} for p, f in listed.items()],
        "MaterialStackup": [{"Type": "SolderMask", "Color": "Blue"}, {"Type": "Legend", "Color": "Yellow"}],
    }
    made = built({**files, "relay-job.gbrjob": json.dumps(job).encode()})
    found = roles(made)
    assert found["one.gbr"] == ("legend", Side.TOP, "job file") and found["two.gbr"] == ("mask", Side.TOP, "job file")
    assert found["three.gbr"] == ("legend", Side.BOTTOM, "attribute") and "the job file says" in told(made.board)
    look = made.board.appearance
    assert (look.mask, look.legend, look.finish) == ("Blue", "Yellow", "HAL")


def test_a_legend_that_the_job_file_names_and_that_is_not_there() -> None:
    job = {"GeneralSpecs": {}, "FilesAttributes": [{"Path": "relay-B_Silkscreen.gbr", "FileFunction": "Legend,Bot"}]}
    one = board({**changed(B_Silkscreen=None), "relay-job.gbrjob": json.dumps(job).encode()})
    assert "relay-B_Silkscreen.gbr, is not in the set" in held(one)


def test_paste_and_drawings_are_no_legend() -> None:
    extra = {
        "relay-F_Paste.gbr": mask(),
        "relay-F_Fab.gbr": legend(4.0),
        "DRILL_LEGEND.art": legend(5.0),
        "relay-drl_map.gbr": legend(6.0),
    }
    one = board({**WHOLE, **extra})
    assert one.top.legend is not None and one.top.legend.files == ("relay-F_Silkscreen.gbr",) and one.holding == ()


def test_a_side_without_legend_is_a_remark() -> None:
    one = board(changed(B_Silkscreen=None))
    assert one.bottom.legend is None and one.holding == () and "no legend for the bottom side" in told(one)


def test_no_legend_at_all_holds() -> None:
    assert "No legend was found" in held(board(changed(B_Silkscreen=None, F_Silkscreen=None)))


def test_legends_without_any_ink_hold() -> None:
    empty = gerber(function="Legend,Top")
    assert "No legend holds any ink" in held(board(changed(B_Silkscreen=None, F_Silkscreen=empty)))
    assert held(board(changed(B_Silkscreen=empty))) == ""


def test_a_missing_mask_holds_where_there_is_a_legend() -> None:
    assert "openings of the top side are not known" in held(board(changed(F_Mask=None)))
    assert held(board(changed(B_Mask=None, B_Silkscreen=None))) == ""


def test_a_missing_outline_is_a_remark_and_missing_drills_hold_where_pads_go_through() -> None:
    one = board(changed(Edge_Cuts=None, drl=None))
    assert one.outline is None and one.holes is None
    assert "No board outline" in told(one) and "No drill file" in told(one)
    assert "open on both sides" in held(one) and "outline" not in held(one)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n\n",
        b"\x00" * 300,
        b"<html>not found</html>",
        bytes(range(256)) * 4,
        b"X0Y0D03*\nM02*\n",
        legend()[:40],
    ],
)
@pytest.mark.parametrize("layer", ["F_Silkscreen", "F_Mask"])
def test_a_layer_that_cannot_be_read_holds(layer: str, data: bytes) -> None:
    made = built(changed(**{layer: data}))
    assert made.board.holding and f"relay-{layer}.gbr" in held(made.board)
    if data[:1] != b"%":
        assert roles(made)[f"relay-{layer}.gbr"][0] == "unread"


def test_a_layer_whose_bytes_could_not_be_had_holds() -> None:
    files = [set_file(name, data) for name, data in WHOLE.items() if name != "relay-F_Silkscreen.gbr"]
    closed = SetFile(
        "relay-F_Silkscreen.gbr", b"", "", "The file is encrypted. Pack the set again without a password."
    )
    made = build_board(make_set("relay", "relay", [*files, closed], []))
    assert "top legend could not be read" in held(made.board) and "encrypted" in told(made.board)


@pytest.mark.parametrize("layer", ["F_Silkscreen", "B_Mask", "Edge_Cuts"])
def test_a_layer_cut_short_holds(layer: str) -> None:
    whole = WHOLE[f"relay-{layer}.gbr"]
    assert "cut short" in held(board(changed(**{layer: whole.removesuffix(b"M02*\n")})))


def test_a_drill_file_cut_short_holds() -> None:
    assert "relay.drl has no end" in held(board(changed(drl=drill().removesuffix(b"M30\n"))))


def test_a_copy_of_a_layer_is_ignored() -> None:
    one = board({**WHOLE, "relay-F_Silkscreen (1).gbr": WHOLE["relay-F_Silkscreen.gbr"]})
    assert one.holding == () and "copy of" in told(one)
    assert one.top.legend is not None and one.top.legend.files == ("relay-F_Silkscreen (1).gbr",)


def test_two_states_of_a_layer_hold() -> None:
    old = gerber(pen(0.15), path((3, 17), (3, 18.5), (4, 18.5)), path((5, 17), (6, 18.6)))
    one = board({**WHOLE, "relay-F_Silkscreen_old.gbr": old})
    assert "both claim to be the top legend" in held(one)
    assert one.top.legend is not None and one.top.legend.files == ("relay-F_Silkscreen.gbr",)


def test_two_parts_of_a_legend_are_merged() -> None:
    parts = {"a.gbr": legend(3.0, function="Legend,Top,1"), "b.gbr": legend(15.0, function="Legend,Top,2")}
    one = board({**changed(F_Silkscreen=None), **parts})
    assert one.top.legend is not None and one.top.legend.files == ("a.gbr", "b.gbr") and one.holding == ()
    assert len(one.top.legend.shapes) == 6 and "together" in told(one)


def test_a_file_with_clear_objects_is_laid_under_the_others() -> None:
    cutting = gerber(
        pen(0.15), path((15, 17), (16, 18)), clear(), pen(0.05, 11), path((3, 17), (16, 18)), function="Legend,Top,2"
    )
    one = board({**changed(F_Silkscreen=legend(function="Legend,Top,1")), "z.gbr": cutting})
    assert one.top.legend is not None and one.top.legend.files == ("z.gbr", "relay-F_Silkscreen.gbr")
    pens = [one.top.legend.apertures[row].pen_mm for row in one.top.legend.shapes.aperture]
    assert pens == pytest.approx([0.15, 0.05, 0.15, 0.15, 0.15])


def test_attribute_rows_follow_their_file() -> None:
    named = gerber("%TO.C,R1*%\n", pen(0.15), path((15, 17), (16, 18)), function="Legend,Top,2")
    one = board(
        {
            **changed(
                F_Silkscreen=gerber("%TO.C,C7*%\n", pen(0.15), path((3, 17), (4, 18)), function="Legend,Top,1")
            ),
            "z.gbr": named,
        }
    )
    layer = one.top.legend
    assert layer is not None
    sets = [dict(layer.attribute_sets[row]).get(".C") for row in layer.shapes.attributes]
    assert sets == [("C7",), ("R1",)]


def test_a_legend_of_no_side_takes_the_side_that_is_left() -> None:
    made = built({**changed(B_Silkscreen=None), "relay-silk.gbr": legend(9.0)})
    assert roles(made)["relay-silk.gbr"] == ("legend", Side.BOTTOM, "file name")
    assert made.board.holding == () and "on which side" in told(made.board)


def test_two_legends_of_no_side_hold() -> None:
    files = {**changed(F_Silkscreen=None), "silk1.gbr": legend(), "silk2.gbr": legend(9.0)}
    assert "of an unknown side" in held(board(files))


LETTERING = gerber(pen(0.15), *(path((x, 17), (x, 18.5), (x + 1, 18.5)) for x in range(3, 15)))


def test_an_unknown_layer_that_may_be_the_missing_legend_holds() -> None:
    made = built({**changed(B_Silkscreen=None), "group7.gbr": LETTERING})
    assert "legend of the bottom side may be among files" in held(made.board) and "group7.gbr" in held(made.board)
    assert roles(made)["group7.gbr"] == ("other", None, "content")
    assert held(board({**WHOLE, "group7.gbr": LETTERING})) == ""


def test_an_unknown_drawing_beside_the_board_does_not_hold() -> None:
    beside = LETTERING.replace(b"Y17", b"Y-17").replace(b"Y18", b"Y-18")
    assert held(board({**changed(B_Silkscreen=None), "group7.gbr": beside})) == ""


def test_the_same_drawing_written_twice_does_not_hold() -> None:
    again = WHOLE["relay-F_Silkscreen.gbr"].replace(b"%LPD*%", b"G04 exported again*\n%LPD*%")
    one = board({**WHOLE, "relay.GTO": again})
    assert one.holding == () and "draws the same as" in told(one)


def test_an_unknown_layer_with_pads_and_tracks_is_copper() -> None:
    made = built({**changed(B_Silkscreen=None), "group7.gbr": copper()})
    assert roles(made)["group7.gbr"] == ("copper", None, "content") and made.board.holding == ()


def test_comments_inside_a_file_tell_its_layer() -> None:
    data = b"G04 Film Name:    SILKSCREEN_BOTTOM*\n" + legend(9.0)
    made = built({**changed(B_Silkscreen=None), "film5.gbr": data})
    assert roles(made)["film5.gbr"] == ("legend", Side.BOTTOM, "content")


def test_a_legend_that_draws_the_pads_holds() -> None:
    assert "named like a legend but draws pads and tracks" in held(board(changed(F_Silkscreen=copper())))


def test_a_legend_beside_the_board_holds() -> None:
    one = board(changed(F_Silkscreen=legend(3000.0)))
    assert "top legend lies wholly beside the board" in held(one) and "lie more than 50 mm beside" in told(one)
    assert "coordinate" not in held(one)


def test_objects_far_outside_are_told_with_their_line() -> None:
    far = gerber(pen(0.15), path((3, 17), (4, 18)), path((900, 900), (901, 901)))
    (remark,) = board(changed(F_Silkscreen=far)).remarks
    assert remark.file == "relay-F_Silkscreen.gbr" and remark.line == 10
    assert remark.message.startswith("An object here lies more than 50 mm beside the board, up to 881 mm, and will ")


class TestMasks:
    DRAWN = (region((0, 0), (30, 0), (30, 20), (0, 20)), clear(), pen(1.6), flashes(*PADS))

    def openings_at(self, one: Board, x: float, y: float) -> bool:
        """Whether the last object over a point is dark."""
        layer = one.top.openings
        assert layer is not None
        boxes = layer.shapes.boxes()
        over = (boxes[:, 0] < x) & (x < boxes[:, 2]) & (boxes[:, 1] < y) & (y < boxes[:, 3])
        return bool(layer.shapes.dark[over][-1]) if over.any() else False

    @pytest.mark.parametrize("polarity", [None, "Positive", "Negative"])
    def test_a_mask_drawn_as_the_mask_is_turned(self, polarity: str | None) -> None:
        one = board(changed(F_Mask=gerber(*self.DRAWN, polarity=polarity)))
        assert self.openings_at(one, 5, 5) and not self.openings_at(one, 7.5, 7.5)
        assert "drawn as the mask itself" in told(one) and one.holding == ()

    def test_the_old_negative_image_is_turned_too(self) -> None:
        data = mask().replace(b"%LPD*%", b"%IPNEG*%\n%LPD*%")
        one = board(changed(F_Mask=data, drl=drill(PADS, 1.0)))
        assert self.openings_at(one, 10, 10) and not self.openings_at(one, 12.5, 12.5)

    def test_openings_that_call_themselves_positive_stay(self) -> None:
        one = board(changed(F_Mask=mask(polarity="Positive", function="Soldermask,Top")))
        assert self.openings_at(one, 5, 5) and not self.openings_at(one, 7.5, 7.5)
        assert "dark is mask, but it draws pads" in told(one) and one.holding == ()

    def test_a_bare_side_is_all_open(self) -> None:
        one = board(changed(F_Mask=gerber(region((0, 0), (30, 0), (30, 20), (0, 20)))))
        assert self.openings_at(one, 7.5, 7.5) and "drawn as" not in told(one)

    def test_a_large_opening_with_an_island_stays_open(self) -> None:
        data = gerber(
            region((0, 0), (30, 0), (30, 20), (0, 20)), clear(), region((26, 16), (29, 16), (29, 19), (26, 19))
        )
        one = board(changed(F_Mask=data))
        assert self.openings_at(one, 5, 5) and not self.openings_at(one, 27, 17)


class TestHoles:
    def sizes(self, one: Board) -> list[float]:
        assert one.holes is not None
        return sorted(round(float(width), 3) for width in one.holes.shapes.width)

    @pytest.mark.parametrize("unit", ["METRIC", "INCH"])
    def test_units(self, unit: str) -> None:
        one = board(changed(drl=drill(PADS, 0.9, unit)))
        assert self.sizes(one) == pytest.approx([0.9] * len(PADS), abs=2e-3) and one.holding == ()

    @pytest.mark.parametrize(
        ("decimals", "keep"),
        [(4, "trailing"), (5, "trailing"), (3, "trailing"), (4, "leading"), (5, "leading"), (4, "all")],
    )
    @pytest.mark.parametrize("head", ["INCH", ""])
    def test_what_the_file_does_not_say_is_decided_by_the_pads(self, decimals: int, keep: str, head: str) -> None:
        def number(length: float) -> str:
            digits = f"{round(length / 25.4 * 10**decimals):0{decimals + 2}d}"
            return digits if keep == "all" else digits.rstrip("0") if keep == "leading" else digits.lstrip("0")

        lines = "".join(f"X{number(x)}Y{number(y)}\n" for x, y in PADS)
        program = f"M48\n{head}\nT1C0.0354\n%\nT1\n{lines}M30\n".replace("\n\n", "\n").encode()
        one = board(changed(drl=program))
        assert one.holes is not None and one.holding == ()
        reach = one.holes.shapes.boxes()
        assert reach[:, 0].min() == pytest.approx(5 - 0.45, abs=0.03) and reach[:, 3].max() == pytest.approx(
            15.45, abs=0.03
        )
        assert "does not say" in told(one) and "lie on pads" in told(one)

    def test_a_unit_that_contradicts_the_board_is_overruled(self) -> None:
        """Written in inches, declared in millimetres."""
        program = drill(PADS, 0.9, "INCH").replace(b"INCH", b"METRIC")
        one = board(changed(drl=program))
        assert one.holes is not None and one.holes.shapes.x0.max() == pytest.approx(25, abs=0.01)
        assert "fit the board only as inches" in told(one)

    def test_holes_that_do_not_fit_at_all_hold(self) -> None:
        one = board(changed(drl=drill([(x + 300, y) for x, y in PADS])))
        assert "do not lie on the board" in held(one)

    def test_holes_that_cannot_be_made_out_hold(self) -> None:
        one = board(changed(drl=drill().replace(b"T0\n", b"T9\nX1.0Y1.0\n")))
        assert "1 holes of relay.drl could not be made out" in held(one)

    def test_drills_in_gerber_form(self) -> None:
        data = gerber(pen(0.9), flashes(*PADS), path((12, 18), (14, 18)), function="Plated,1,2,PTH")
        one = board({**changed(drl=None), "relay-PTH-drl.gbr": data})
        assert one.holes is not None and one.holding == ()
        kinds = one.holes.shapes.kind
        assert (kinds == Kind.FLASH).sum() == len(PADS) and (kinds == Kind.STROKE).sum() == 1
        assert set(one.holes.plated) == {True}

    def test_holes_told_in_both_forms_count_once(self) -> None:
        data = gerber(pen(0.9), flashes(*PADS), function="Plated,1,2,PTH")
        one = board({**WHOLE, "relay-PTH-drl.gbr": data})
        assert one.holes is not None and len(one.holes.shapes) == len(PADS) and set(one.holes.plated) == {True}

    def test_a_drawing_of_the_holes_is_no_drill_file(self) -> None:
        cross = "".join(path((x - 1, y), (x + 1, y)) + path((x, y - 1), (x, y + 1)) for x, y in PADS)
        made = built({**changed(drl=None), "relay-drill.gbr": gerber(pen(0.1), cross + cross.replace("X", "X"))})
        assert made.board.holes is None and roles(made)["relay-drill.gbr"][0] == "other"

    def test_a_path_that_mills_the_edge_is_no_slot(self) -> None:
        route = b"G00X-1.0Y-1.0\nM15\nG01X31.0Y-1.0\nG01X31.0Y21.0\nG01X-1.0Y21.0\nG01X-1.0Y-1.0\nM16\nG05\nT0\n"
        program = drill(diameter=2.0).replace(b"T0\n", route)
        one = board(changed(drl=program))
        assert one.holes is not None and len(one.holes.shapes) == len(PADS) and "along the board's edge" in told(one)

    def test_a_closed_path_cuts_out_what_it_surrounds(self) -> None:
        route = b"G00X26.5Y7.0\nM15\nG01X29.0Y7.0\nG01X29.0Y13.0\nG01X26.5Y13.0\nG01X26.5Y7.0\nM16\nG05\nT0\n"
        one = board(changed(drl=drill().replace(b"T0\n", route)))
        assert one.outline is not None and one.outline.area.area == pytest.approx(600 - 15)
        assert one.holes is not None and len(one.holes.shapes) == len(PADS) + 1


class TestOutlines:
    def test_from_a_routed_path(self) -> None:
        route = b"G00X0.0Y0.0\nM15\nG01X30.0Y0.0\nG01X30.0Y20.0\nG01X0.0Y20.0\nG01X0.0Y0.0\nM16\nG05\nT0\n"
        one = board(changed(Edge_Cuts=None, drl=drill().replace(b"T0\n", route)))
        assert one.outline is not None and one.outline.area.bounds == (0, 0, 30, 20)
        assert one.outline.known_by == "a path routed in relay.drl" and "taken for it" in told(one)
        assert one.holes is not None and len(one.holes.shapes) == len(PADS)

    def test_from_a_mechanical_layer(self) -> None:
        made = built({**changed(Edge_Cuts=None), "relay.GM3": profile()})
        assert made.board.outline is not None and made.board.outline.known_by == "a closed contour in relay.GM3"
        assert roles(made)["relay.GM3"][0] == "outline"

    def test_a_mechanical_layer_beside_a_profile_is_no_outline(self) -> None:
        made = built({**WHOLE, "relay.GM3": gerber(pen(0.1), loop(-20, -20, 60, 60))})
        assert made.board.outline is not None and made.board.outline.area.bounds == (0, 0, 30, 20)
        assert roles(made)["relay.GM3"][0] == "other"

    @pytest.mark.parametrize("layer", ["F_Silkscreen", "B_Cu", "F_Fab"])
    def test_from_a_frame_on_another_layer(self, layer: str) -> None:
        framed = WHOLE.get(f"relay-{layer}.gbr", legend())
        frame = pen(0.2, 30) + loop(0, 0, 30, 20) + "M02*\n"
        one = board(changed(**{"Edge_Cuts": None, layer: framed.removesuffix(b"M02*\n") + frame.encode()}))
        assert one.outline is not None and one.outline.area.bounds == (0, 0, 30, 20) and one.holding == ()
        assert one.outline.known_by == f"a line around all pads in relay-{layer}.gbr"

    def test_an_outline_that_does_not_close(self) -> None:
        one = board(changed(Edge_Cuts=gerber(pen(0.1), path((0, 0), (30, 0), (30, 20)))))
        assert one.outline is None and "does not close" in told(one)

    def test_outline_and_cut_outs_in_two_files(self) -> None:
        cut = gerber(pen(0.1), loop(26.5, 8, 29, 12), function="Profile,P")
        one = board({**changed(Edge_Cuts=profile(function="Profile,NP")), "cut.gbr": cut})
        assert one.outline is not None and one.outline.area.area == pytest.approx(590)

    def test_two_outlines_that_differ(self) -> None:
        one = board({**WHOLE, "relay_outline.gbr": gerber(pen(0.1), loop(-1, -1, 35, 25))})
        assert one.outline is not None and "another outline" in told(one)

    def test_without_pads_the_largest_contour_counts(self) -> None:
        one = board({"relay-F_Silkscreen.gbr": legend(), "relay-Edge_Cuts.gbr": profile()})
        assert one.outline is not None and one.outline.area.bounds == (0, 0, 30, 20)


def test_the_same_bytes_give_the_same_board() -> None:
    first, second = built(WHOLE), built(dict(reversed(WHOLE.items())))
    assert first.board.remarks == second.board.remarks and roles(first) == roles(second)


def test_moving_everything_changes_nothing_but_places() -> None:
    def moved(data: bytes, dx: float) -> bytes:
        lines = []
        for line in data.decode().splitlines():
            if line.startswith("X") and "*" in line:
                x, rest = line[1:].split("Y", 1)
                line = f"X{int(x) + round(dx * 1e6)}Y{rest}"
            lines.append(line)
        return ("\n".join(lines) + "\n").encode()

    files = {name: moved(data, -200.0) for name, data in WHOLE.items() if name != "relay.drl"}
    one = board({**files, "relay.drl": drill([(x - 200, y) for x, y in PADS])})
    assert one.outline is not None and one.outline.area.bounds == (-200, 0, -170, 20) and one.remarks == ()


@settings(derandomize=True, max_examples=60, deadline=None)
@given(st.sampled_from(sorted(WHOLE)), st.integers(0, 2_000), st.binary(max_size=4), st.integers(0, 300))
def test_damage_gives_a_board_with_remarks_never_an_exception(name: str, at: int, junk: bytes, cut: int) -> None:
    data = WHOLE[name]
    at %= len(data)
    made = built({**WHOLE, name: data[:at] + junk + data[at + cut :]})
    assert len(made.files) == len(WHOLE)


def test_a_set_of_nothing_useful() -> None:
    one = board({"README": b"hello", "photo.png": bytes(range(256))})
    assert one.top.legend is None and one.outline is None and "No legend was found" in held(one)


def test_records_are_frozen() -> None:
    one = board(WHOLE)
    with pytest.raises(AttributeError):
        one.remarks = ()  # type: ignore[misc]  # that it fails is the test
    assert replace(one, remarks=()).remarks == ()
