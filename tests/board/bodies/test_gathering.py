"""Components of whole small sets: sources put together, other origins, panels, damage."""

from pathlib import Path

import pytest

from labelcheck.board.building import build_board
from labelcheck.board.components import Component
from labelcheck.board.opening import open_sets
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import StatedBody
from tests.board.drawn import flashes, gerber, lay_out, loop, path, pen, place, profile

CHIPS = {"R1": (5.0, 5.0), "R2": (12.0, 6.0), "R3": (20.0, 4.5), "R4": (7.0, 12.0), "R5": (15.5, 13.0),
         "R6": (24.0, 12.5)}  # fmt: skip
"""Middles of 0603 chips that lie along x: lands 1.6 mm apart."""
LANDS = {name: ((x - 0.8, y), (x + 0.8, y)) for name, (x, y) in CHIPS.items()}


def lands_mask() -> bytes:
    return gerber("%ADD10R,1.000000X1.050000*%\nD10*\n", flashes(*(at for lands in LANDS.values() for at in lands)))


def named_copper(comments: bool = False) -> bytes:
    text = "%TA.AperFunction,SMDPad,CuDef*%\n%ADD10R,0.900000X0.950000*%\n%TD*%\nD10*\n"
    for name, lands in LANDS.items():
        for number, at in enumerate(lands, 1):
            text += f"%TO.P,{name},{number},IN{number}*%\n%TO.N,NET-{name}*%\n{place(*at)}D03*\n"
    text += "%TD*%\n%ADD11C,0.25*%\nD11*\n" + path((5, 5), (12, 6), (20, 4.5))
    if comments:
        text = "".join(
            f"G04 #@! {line[1:-1]}\n" if line.startswith(("%T",)) else f"{line}\n" for line in text.splitlines()
        )
    return gerber(text)


def placement(move: tuple[float, float] = (0.0, 0.0), side: str = "top", mirrored: bool = False) -> bytes:
    rows = ["Designator,Package,Mid X (mm),Mid Y (mm),Rotation,Layer"]
    for name, (x, y) in CHIPS.items():
        x, y = x - move[0], y - move[1]
        rows.append(f"{name},R_0603,{-x if mirrored else x:.3f},{y:.3f},0,{side}")
    return "\n".join(rows).encode()


def netlist(move: tuple[float, float] = (0.0, 0.0)) -> bytes:
    records = ["P  UNITS CUST 1"]
    for name, lands in LANDS.items():
        for number, (x, y) in enumerate(lands, 1):
            x, y = round((x - move[0]) * 1000), round((y - move[1]) * 1000)
            records.append(f"327NET-{name:<10}   {name:<6}-{number:<4}       A01X{x:+07d}Y{y:+07d}X0900Y0950R000")
    return ("\n".join([*records, "999"]) + "\n").encode()


def board_of(folder: Path, files: dict[str, bytes], bodies: tuple[StatedBody, ...] = ()):
    base = {"relay-F_Mask.gbr": lands_mask(), "relay-Edge_Cuts.gbr": profile()}
    (fab_set,) = open_sets(lay_out(folder, base | files))
    return build_board(fab_set, bodies=bodies).board


def body_boxes(components: tuple[Component, ...]) -> dict[str | None, tuple[float, ...]]:
    return {
        one.reference: tuple(round(edge, 2) for edge in one.body.area.bounds)
        for one in components
        if one.body is not None
    }


# 0603: 1.75 x 0.95 at the largest, makers' sheets.
BODIES = {
    name: (round(x - 0.875, 2), round(y - 0.475, 2), round(x + 0.875, 2), round(y + 0.475, 2))
    for name, (x, y) in CHIPS.items()
}


@pytest.mark.parametrize("comments", [False, True])
def test_pads_on_copper_name_parts_pins_functions_and_nets(tmp_path: Path, comments: bool) -> None:
    board = board_of(tmp_path, {"relay-F_Cu.gbr": named_copper(comments)})
    assert [one.reference for one in board.components] == list(CHIPS)
    first = board.components[0]
    assert [(pin.name, pin.function, pin.net, pin.through) for pin in first.pins] == [
        ("1", "IN1", "NET-R1", False), ("2", "IN2", "NET-R1", False),
    ]  # fmt: skip
    assert (first.pins[0].width_mm, first.pins[0].height_mm) == pytest.approx((0.9, 0.95))
    assert first.body is not None and first.body.estimated and first.side is Side.TOP


@pytest.mark.parametrize("move", [(0.0, 0.0), (25.0, -80.0)])
def test_a_placement_is_laid_where_its_chips_lie_on_lands(tmp_path: Path, move: tuple[float, float]) -> None:
    board = board_of(tmp_path, {"relay-pos.csv": placement(move)})
    found = body_boxes(board.components)
    assert found.keys() == BODIES.keys()
    for name, bounds in found.items():
        assert bounds == pytest.approx(BODIES[name], abs=0.02)
    told = [remark for remark in board.remarks if "moved by" in remark.message]
    assert len(told) == (1 if any(move) else 0)


def test_a_placement_that_gives_first_pins_is_used_where_pads_are_named(tmp_path: Path) -> None:
    """Some programs place parts with leads by their first pin: on a board of such parts that is nearly every part."""
    rows = ["Designator,Package,Mid X (mm),Mid Y (mm),Rotation,Layer"]
    rows += [f"{name},R_0603,{lands[0][0]:.3f},{lands[0][1]:.3f},0,top" for name, lands in LANDS.items()]
    board = board_of(tmp_path, {"relay-F_Cu.gbr": named_copper(), "relay-pos.csv": "\n".join(rows).encode()})
    assert body_boxes(board.components) == {name: pytest.approx(box, abs=0.02) for name, box in BODIES.items()}
    assert not any("no single shift" in remark.message for remark in board.remarks)


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_bottom_written_either_way_round(tmp_path: Path, mirrored: bool) -> None:
    files = {"relay-B_Mask.gbr": lands_mask(), "relay-F_Mask.gbr": gerber(), "relay-pos.csv":
             placement(side="bottom", mirrored=mirrored)}  # fmt: skip
    board = board_of(tmp_path, files)
    assert body_boxes(board.components) == {name: pytest.approx(box, abs=0.02) for name, box in BODIES.items()}
    assert {one.side for one in board.components} == {Side.BOTTOM}


def test_a_placement_of_another_board_is_left_out_and_told(tmp_path: Path) -> None:
    stranger = placement()
    for here, there in ((b"5.000,5.000", b"5.9,7.0"), (b"12.000", b"13.111"), (b"20.000", b"1.5"),
                        (b"7.000,12.000", b"9.3,2.2"), (b"15.500", b"17.77"), (b"24.000", b"28.3")):  # fmt: skip
        stranger = stranger.replace(here, there)
    board = board_of(tmp_path, {"relay-pos.csv": stranger})
    assert board.components == ()
    assert any("no single shift" in remark.message for remark in board.remarks)


@pytest.mark.parametrize("move", [(0.0, 0.0), (-12.5, 40.0)])
def test_a_netlist_names_pins(tmp_path: Path, move: tuple[float, float]) -> None:
    board = board_of(tmp_path, {"relay.ipc": netlist(move)})
    assert [one.reference for one in board.components] == list(CHIPS)
    pin = board.components[1].pins[1]
    assert (pin.name, pin.net) == ("2", "NET-R2")
    assert (pin.x_mm, pin.y_mm) == pytest.approx((12.8, 6.0), abs=0.002)


def test_sources_are_put_together(tmp_path: Path) -> None:
    files = {"relay-F_Cu.gbr": named_copper(), "relay-pos.csv": placement((25.0, -80.0))}
    stated = StatedBody("R2", None, 4.0, 2.0, 1.5, (0.0, 0.0), None, "labelcheck.toml:9")
    board = board_of(tmp_path, files, (stated,))
    found = {one.reference: one for one in board.components}
    assert len(found) == len(CHIPS)
    assert found["R1"].package == "R_0603" and found["R1"].pins[0].net == "NET-R1"
    assert found["R1"].body is not None and found["R1"].body.known_by == "placement"
    assert body_boxes(board.components)["R2"] == (10.0, 5.0, 14.0, 7.0)


def test_an_assembly_drawing_shows_bodies_where_only_pads_are_known(tmp_path: Path) -> None:
    outlines = "".join(loop(x - 1.0, y - 0.6, x + 1.0, y + 0.6) for x, y in CHIPS.values())
    files = {"relay-F_Cu.gbr": named_copper(), "relay-F_Fab.gbr": gerber(pen(0.1), outlines,
             function="AssemblyDrawing,Top")}  # fmt: skip
    board = board_of(tmp_path, files)
    assert {one.body.known_by for one in board.components if one.body is not None} == {"assembly drawing"}
    assert body_boxes(board.components)["R1"] == (4.0, 4.4, 6.0, 5.6)


@pytest.mark.parametrize("cut", [1, 40, 120, 300])
def test_files_cut_short_break_nothing(tmp_path: Path, cut: int) -> None:
    files = {"relay-F_Cu.gbr": named_copper()[:-cut], "relay-pos.csv": placement()[:-cut], "relay.ipc":
             netlist()[:-cut]}  # fmt: skip
    assert len(board_of(tmp_path, files).components) >= 1


def test_an_outline_as_large_as_the_board_is_no_body(tmp_path: Path) -> None:
    layer = gerber(
        "%TA.AperFunction,ComponentMain*%\n%ADD10C,0.3*%\n%TA.AperFunction,ComponentOutline,Body*%\n%ADD11C,0.1*%\n%TD*%\n"
        "%TO.C,A1*%\nD10*\n", flashes((15, 10)), "D11*\n", loop(1, 1, 29, 19), function="Component,L1,Top",
    )  # fmt: skip
    (component,) = board_of(tmp_path, {"relay-pnp_top.gbr": layer}).components
    assert component.reference == "A1" and component.body is None


def test_nothing_stands_on_lands_without_paste(tmp_path: Path) -> None:
    pasted = [at for name, lands in LANDS.items() if name != "R3" for at in lands]
    files = {"relay-F_Cu.gbr": named_copper(), "relay-F_Paste.gbr": gerber(pen(0.6), flashes(*pasted))}
    found = {one.reference: one.body for one in board_of(tmp_path / "with", files).components}
    assert [name for name, body in found.items() if body is None] == ["R3"]
    files["relay-F_Paste.gbr"] = gerber()
    assert all(one.body is not None for one in board_of(tmp_path / "empty", files).components)


def test_parts_with_leads_stand_on_the_side_whose_legend_draws_them(tmp_path: Path) -> None:
    lines = ["P  UNITS CUST 1"]
    for name, x in (("J1", 5000), ("J2", 20000)):
        lines += [
            f"317NET              {name:<6}-{n:<4} D0900PA00X{x + 2540 * n:+07d}Y+010000X1600Y0000R000"
            for n in range(4)
        ]
    pads = [((x + 2540 * n) / 1000, 10.0) for x in (5000, 20000) for n in range(4)]
    mask = gerber(pen(1.6), flashes(*pads))
    frame = gerber(pen(0.15), loop(19, 8.7, 28.9, 11.3))
    files = {"relay-F_Mask.gbr": mask, "relay-B_Mask.gbr": mask, "relay-B_Silkscreen.gbr": frame,
             "relay.ipc": ("\n".join([*lines, "999"]) + "\n").encode()}  # fmt: skip
    found = {one.reference: one.side for one in board_of(tmp_path, files).components}
    assert found == {"J1": Side.TOP, "J2": Side.BOTTOM}


@pytest.mark.parametrize("access", ["A02", "A01"])
def test_a_part_that_spans_parts_of_the_bottom_stands_on_the_top(tmp_path: Path, access: str) -> None:
    leads, lands = [(20.0, 8.0), (27.6, 8.0), (20.0, 12.0), (27.6, 12.0)], [(23.0, 10.0), (24.6, 10.0)]
    records = [
        f"317NET              J2    -{n:<4} D0900PA00X{round(x * 1000):+07d}Y{round(y * 1000):+07d}X1600Y0000R000"
        for n, (x, y) in enumerate(leads)
    ]
    records += [
        f"327NET              C1    -{n:<4}       {access}X{round(x * 1000):+07d}Y{round(y * 1000):+07d}X0900Y0950"
        for n, (x, y) in enumerate(lands)
    ]
    mask = gerber(pen(1.6), flashes(*leads, *lands))
    files = {"relay-F_Mask.gbr": mask, "relay-B_Mask.gbr": mask,
             "relay-B_Silkscreen.gbr": gerber(pen(0.15), loop(19, 7, 28.9, 13)),
             "relay.ipc": ("\n".join(["P  UNITS CUST 1", *records, "999"]) + "\n").encode()}  # fmt: skip
    found = {one.reference: one.side for one in board_of(tmp_path, files).components}
    assert found["J2"] is (Side.TOP if access == "A02" else Side.BOTTOM)
