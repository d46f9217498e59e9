"""File names in the habits of many programs and tongues (common practice, no source)."""

import pytest

from labelcheck.board.names import layer_extension, may_be_layer, meaning_of_name
from labelcheck.board.roles import Role
from labelcheck.trade.sides import Side

TOP, BOTTOM, INNER, BOTH = Side.TOP, Side.BOTTOM, Side.INNER, Side.BOTH

LEGENDS = [
    ("relay.GTO", TOP),
    ("relay.GBO", BOTTOM),
    ("relay.plc", TOP),
    ("relay.pls", BOTTOM),
    ("relay-F_SilkS.gbr", TOP),
    ("relay-B.SilkS.gbo", BOTTOM),
    ("relay-F_Silkscreen.gto", TOP),
    ("silkscreen_top.gbr", TOP),
    ("SILKSCREEN_BOTTOM.art", BOTTOM),
    ("relay.topsilk.gbr", TOP),
    ("relay.bottomsilk.gbr", BOTTOM),
    ("Relay - Top Silkscreen.gbr", TOP),
    ("Gerber_TopSilkLayer.GTO", TOP),
    ("relay_TopOverlay.ger", TOP),
    ("Bottom Overlay.gbr", BOTTOM),
    ("F.Legend.gbr", TOP),
    ("legend_back.gbr", BOTTOM),
    ("tPlace.ger", TOP),
    ("bPlace.ger", BOTTOM),
    ("relay_sst.pho", TOP),
    ("relay_ssb.pho", BOTTOM),
    ("Bestückungsdruck_oben.gbr", TOP),
    ("bestueckungsdruck-unten.gbr", BOTTOM),
    ("serigraphie_dessus.gbr", TOP),
    ("silk component side.gbr", TOP),
    ("silk solder side.gbr", BOTTOM),
    ("silkscreen_primary.gbr", TOP),
    ("relay_secondary_legend.gbr", BOTTOM),
    ("position print top.gbr", TOP),
    ("relay_SilkscreenTop.gdo", TOP),
    ("top_silk", TOP),
    ("silkb.gbr", BOTTOM),
    ("顶层丝印.gbr", TOP),
    ("relay-silk.gto", TOP),
]

MASKS = [
    ("relay.GTS", TOP),
    ("relay.stc", TOP),
    ("relay.sts", BOTTOM),
    ("relay-F_Mask.gbr", TOP),
    ("soldermask_bottom.gbr", BOTTOM),
    ("Top Solder Mask.gbr", TOP),
    ("bottommask.gbr", BOTTOM),
    ("TopResist.ger", TOP),
    ("tStop.ger", TOP),
    ("relay_soldermask_comp.pho", TOP),
    ("Lötstoppmaske unten.gbr", BOTTOM),
]

PASTES = [
    ("relay.GTP", TOP),
    ("Top Paste Mask.gbr", TOP),
    ("solderpaste_bottom.gbr", BOTTOM),
    ("tCream.ger", TOP),
    ("stencil_top.gbr", TOP),
    ("relay-B_Paste.gbp", BOTTOM),
]

COPPER = [
    ("relay.GTL", TOP),
    ("relay.cmp", TOP),
    ("relay.sol", BOTTOM),
    ("copper_top.gbr", TOP),
    ("relay.bottom.gbr", BOTTOM),
    ("TOP.art", TOP),
    ("relay-In1_Cu.gbr", INNER),
    ("relay.G2", INNER),
    ("relay.GP1", INNER),
    ("Layer 2 Copper.gbr", INNER),
    ("relay-GND1.gbr", INNER),
    ("relay-SIGNAL2-Y.gbr", INNER),
    ("solder side.gbr", BOTTOM),
    ("InnerLayer1.gbr", INNER),
]


@pytest.mark.parametrize(
    ("role", "name", "side"),
    [
        (role, name, side)
        for role, names in ((Role.LEGEND, LEGENDS), (Role.MASK, MASKS), (Role.PASTE, PASTES), (Role.COPPER, COPPER))
        for name, side in names
    ],
)
def test_layers(role: Role, name: str, side: Side) -> None:
    meaning = meaning_of_name(name)
    assert meaning is not None and (meaning.role, meaning.side) == (role, side)


@pytest.mark.parametrize(
    "name",
    [
        "relay.GKO",
        "relay-Edge_Cuts.gm1",
        "BoardOutline.gbr",
        "profile.gbr",
        "relay.GM1",
        "relay.GML",
        "Umriss.gbr",
        "Relay - Board Outline.gbr",
        "relay-Edge.Cuts.gbr",
        "ReadOnly.Mechanical",
        "relay_KeepOut.gbr",
    ],
)
def test_outlines(name: str) -> None:
    meaning = meaning_of_name(name)
    assert meaning is not None and (meaning.role, meaning.side) == (Role.OUTLINE, BOTH)


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("DRILL_LEGEND.art", Role.OTHER),
        ("relay-PTH-drl_map.gbr", Role.OTHER),
        ("Drill Ident Drawing.gbr", Role.OTHER),
        ("relay.GD1", Role.OTHER),
        ("relay_drillguide.gbr", Role.OTHER),
        ("relay-F_Fab.gbr", Role.ASSEMBLY),
        ("relay.fab.gbr", Role.ASSEMBLY),
        ("Top_Assembly.gbr", Role.ASSEMBLY),
        ("Silkscreen-Top-Assembly.gbr", Role.ASSEMBLY),
        ("relay-F_CrtYd.gbr", Role.ASSEMBLY),
        ("tDocu.ger", Role.ASSEMBLY),
        ("relay-Cmts.User.gbr", Role.ASSEMBLY),
        ("relay-NPTH.drl", Role.DRILL),
        ("relay.plated-drill.cnc", Role.DRILL),
        ("ThruHole.xln", Role.DRILL),
    ],
)
def test_what_is_never_a_legend(name: str, role: Role) -> None:
    meaning = meaning_of_name(name)
    assert meaning is not None and meaning.role is role


@pytest.mark.parametrize(
    "name",
    [
        "desktop.gbr",
        "relay-b.gbr",
        "fab/relay.gbr",
        "pastel.gbr",
        "relay.gbr",
        "group3.gbr",
        "masked.gbr",
        "stopper.gbr",
    ],
)
def test_a_word_counts_only_whole(name: str) -> None:
    assert meaning_of_name(name) is None


@pytest.mark.parametrize(
    ("name", "role", "side"),
    [("top-hat.GBO", Role.LEGEND, BOTTOM), ("mask-maker.GTL", Role.COPPER, TOP), ("drill-press.GTS", Role.MASK, TOP)],
)
def test_a_classic_extension_beats_words_of_the_project(name: str, role: Role, side: Side) -> None:
    meaning = meaning_of_name(name)
    assert meaning is not None and (meaning.role, meaning.side) == (role, side)


@pytest.mark.parametrize(
    ("name", "role", "side"),
    [
        ("Top/silk.gbr", Role.LEGEND, TOP),
        ("bottom/legend.gbr", Role.LEGEND, BOTTOM),
        ("Silkscreen/top.gbr", Role.LEGEND, TOP),
        ("mask/Bottom.gbr", Role.MASK, BOTTOM),
        ("fab/silk_top.gbr", Role.LEGEND, TOP),
        ("top/relay.GBO", Role.LEGEND, BOTTOM),
    ],
)
def test_folders_tell_what_names_leave_open(name: str, role: Role, side: Side) -> None:
    meaning = meaning_of_name(name)
    assert meaning is not None and (meaning.role, meaning.side) == (role, side)


def test_words_common_to_the_set_say_nothing() -> None:
    words = frozenset({"drill", "press"})
    meaning = meaning_of_name("drill-press-F_SilkS.gbr", words)
    assert meaning is not None and (meaning.role, meaning.side) == (Role.LEGEND, TOP)


def test_plating_in_names() -> None:
    told = [meaning_of_name(name) for name in ("relay-NPTH.drl", "relay-PTH.drl", "relay.drl", "unplated-drill.cnc")]
    assert [meaning.detail for meaning in told if meaning is not None] == ["not plated", "plated", "", "not plated"]


def test_extensions() -> None:
    assert (
        layer_extension("x.gbr") and layer_extension("x.GTO") and layer_extension("x.G3") and layer_extension("x.drl")
    )
    assert not layer_extension("x.txt") and not layer_extension("README")
    assert not may_be_layer("top_silk.png") and may_be_layer("top_silk")
