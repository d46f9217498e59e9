"""Package names, against published outlines; names are habits of footprint libraries, or invented alike."""

import pytest

from labelcheck.board.bodies.packages import package_named, stands_nowhere

# Largest length and width. Sources: makers' sheets of chip resistors and capacitors; case outlines 318-08 (SOT-23)
# and 477-02 (SOD-323); DO-214 sheets; an SOIC-8 outline; JEDEC MO-153 (TSSOP-16, -20), MS-001 (DIP-8).
PUBLISHED = [
    ("R_0402_1005Metric", 1.10, 0.55), ("C0603", 1.75, 0.95), ("0805", 2.20, 1.45), ("C_1206_3216Metric", 3.40, 1.80),
    ("R_2512_6332Metric", 6.45, 3.35), ("SOT-23", 3.04, 1.40), ("TO-236AB", 3.04, 1.40), ("SOD-323", 1.80, 1.35),
    ("D_SMA", 4.60, 2.92), ("DO-214AA", 4.57, 3.94), ("SOIC-8_3.9x4.9mm_P1.27mm", 5.00, 4.00), ("SO8", 5.00, 4.00),
    ("TSSOP-16", 5.10, 4.50), ("TSSOP20", 6.60, 4.50), ("DIP-8_W7.62mm", 10.16, 7.11),
]  # fmt: skip


@pytest.mark.parametrize(("name", "length", "width"), PUBLISHED)
def test_the_largest_of_a_published_outline_fits_into_the_table(name: str, length: float, width: float) -> None:
    package = package_named(name)
    assert package is not None
    # Never smaller than published, and hardly larger: what is drawn must not accuse a label for nothing.
    assert length - 0.001 <= package.length_mm <= length + 0.11
    assert width - 0.001 <= package.width_mm <= width + 0.11


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("RESC1608X50N", "0603"), ("CAPC3216X180N", "1206"), ("C_1608", "0603"), ("R_0603M", "0201"),
        ("LED_0805_2012Metric_Pad1.15x1.40mm_HandSolder", "0805"), ("0603YC104KATDA", "0603"),
        ("CP_EIA-3528-21_Kemet-B", "moulded 3528"), ("SOT-23-5", "SOT-23-6"), ("SOT323", "SC-70"),
        ("SOIC-16W_7.5x10.3mm_P1.27mm", "SOIC wide-16"), ("SSOP-16_3.9x4.9mm_P0.635mm", "QSOP-16"),
        ("QFN-48-1EP_7x7mm_P0.5mm_EP5.6x5.6mm", "7 x 7 mm flat package"), ("CP_Radial_D8.0mm_P3.50mm", "8 mm can"),
        ("PinHeader_2x05_P2.54mm_Vertical", "header 2 x 5"), ("HDR-1X04", "header 1 x 4"),
    ],
)  # fmt: skip
def test_names_of_many_habits(name: str, size: str) -> None:
    package = package_named(name)
    assert package is not None and package.name == size


@pytest.mark.parametrize(
    "name",
    ["", "C", "RELAY", "2WP", "PinHeader_1x06_P2.54mm_Horizontal", "R_Axial_DIN0207_P10.16mm", "10uF 0.1A",
     "ADS1299", "TO-220-3_Vertical", "JST_4"],
)  # fmt: skip
def test_names_that_say_no_size(name: str) -> None:
    assert package_named(name) is None


def test_a_stated_size_counts_and_a_pad_or_grid_does_not() -> None:
    coil = package_named("L_Coil_10.0x12.0mm")
    assert coil is not None and not coil.sure
    assert (coil.length_mm, coil.width_mm) == pytest.approx((12.2, 10.2))
    bga = package_named("BGA-256_14.0x14.0mm_Layout16x16_P0.8mm")
    assert bga is not None and bga.length_mm == pytest.approx(14.2)


@pytest.mark.parametrize(
    "name", ["TestPoint_Pad_D1.5mm", "Fiducial_1mm", "MountingHole_3.2mm", "SolderJumper-2_P1.3mm", "Logo"]
)
def test_what_stands_nowhere(name: str) -> None:
    assert stands_nowhere(name)


@pytest.mark.parametrize("name", [None, "SOT-23", "Terminal_5mm", "Switch_Tact"])
def test_what_stands_somewhere(name: str | None) -> None:
    assert not stands_nowhere(name)
