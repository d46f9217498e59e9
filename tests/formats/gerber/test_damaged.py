"""Files that are cut, mangled, or no Gerber at all: an error or a remark, never anything else, and never slow."""

import time

import numpy as np
import pytest

from labelcheck.formats.gerber import bounds
from labelcheck.formats.gerber.blocks import EXTENDED_CODES
from labelcheck.formats.gerber.commands import _HANDLERS
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.gerber.sniffing import looks_like_gerber, peek_file_attributes
from labelcheck.trade.errors import UnreadableFile
from tests.fuzz.seeds import CONSTRUCTS

from .drawn import MM, messages, read

PEN = "%ADD10C,0.2*%\nD10*\n"


@pytest.mark.parametrize(("data", "problem"), [
    (b"", "it is empty"),
    (b" \r\n\0\0 ", "it is empty"),
    (bytes(range(256)) * 20, "it is not a Gerber layer file"),
    (b"PK\x03\x04" + b"\x00\x01\x02" * 100, "it is not a Gerber layer file"),
    (b"M48\nMETRIC\nT1C0.3\n%\nT1\nX1.0Y1.0\nM30\n", "it is not a Gerber layer file"),
    (b"Ref,X,Y,Side\nR1,1.0,2.0,top\n", "it is not a Gerber layer file"),
    (b"just some words about a board*\n", "it is not a Gerber layer file"),
])  # fmt: skip
def test_what_is_no_gerber_file_is_said_to_be_none(data: bytes, problem: str) -> None:
    with pytest.raises(UnreadableFile, match=problem) as caught:
        read_artwork("x.gbr", data)
    assert str(caught.value).startswith("x.gbr: ")


def test_the_size_of_a_file_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("labelcheck.formats.gerber.reading.MOST_BYTES", 10)
    with pytest.raises(UnreadableFile, match=r"it has \d+ bytes, more than 10"):
        read(PEN)
    assert bounds.MOST_BYTES >= 64 * 1024 * 1024


def test_a_byte_order_mark_and_a_preamble_do_not_hurt() -> None:
    body = ("%FSLAX46Y46*%\n%MOMM*%\n" + PEN + "X1000000D01*\nM02*\n").encode()
    assert read_artwork("x", b"\xef\xbb\xbf" + body).remarks == ()
    artwork = read_artwork("x", b"Turnout driver, revision C, 100% tested\nfor the viaduct\n" + body)
    assert len(artwork.shapes) == 1 and artwork.unit == "mm"
    assert len(artwork.remarks) >= 1 and all(remark.line == 1 for remark in artwork.remarks)


def test_utf_16_is_read() -> None:
    text = "%FSLAX46Y46*%\n%MOMM*%\n" + PEN + "X1000000D01*\nM02*\n"
    assert len(read_artwork("x", text.encode("utf-16")).shapes) == 1


def test_a_missing_percent_sign_is_found_and_told() -> None:
    artwork = read("%ADD10C,0.2*\nD10*\nX1000000D01*\n%LPC*%\nX2000000D01*\n")
    assert artwork.shapes.dark.tolist() == [True, False]
    assert messages(artwork) == ["top.gbr:4: A % is missing before this line; reading went on without it."]


def test_a_percent_sign_too_many_is_passed_over_and_told() -> None:
    artwork = read(PEN + "X1000000D01*\n%\n%LPC*%\nX2000000D01*\n")
    assert artwork.shapes.dark.tolist() == [True, False]
    assert messages(artwork) == ["top.gbr:6: A % stands where no extended command begins; it was passed over."]


def test_a_comment_that_is_not_ended_does_not_eat_a_definition() -> None:
    artwork = read("G04 pens\n%ADD10C,0.2*%\nD10*\nX1000000D01*\n")
    assert len(artwork.shapes) == 1 and "A comment is not ended by *" in messages(artwork)[0]


def test_a_command_eaten_by_a_comment_is_told() -> None:
    # Clause 4.1: a comment runs to its *, whatever stands in it.
    artwork = read(PEN + "G04 a dot\nX1000000D03*\nX2000000D03*\nG04 100% done*")
    assert len(artwork.shapes) == 1 and "counts as comment and is not drawn" in messages(artwork)[0]


def test_a_file_cut_anywhere_is_an_error_or_not_whole() -> None:
    whole = ("%FSLAX46Y46*%\n%MOMM*%\n" + PEN + "X1000000D01*\nG36*X0Y0D02*X1D01*Y1D01*X0Y0D01*G37*\nM02*\n").encode()
    for end in range(len(whole) - 3):
        try:
            assert not read_artwork("x", whole[:end]).whole
        except UnreadableFile as error:
            assert error.cure


def test_strays_are_left_out_and_told_and_a_wholly_distant_file_is_an_error() -> None:
    far = "X20000000000D03*\n"
    artwork = read(PEN + "X1000000D03*\n" + far + far, "%FSLAX66Y66*%\n%MOMM*%\n")
    assert len(artwork.shapes) == 1
    assert messages(artwork)[0].startswith("top.gbr:6: An object reaches farther than 10 m from the origin; it was ")
    wide = read("%ADD10C,100000*%D10*X0D03*%ADD11C,1*%D11*X1000000D03*")
    assert len(read("%ADD10C,1000*%D10*X0D03*%ADD11C,1*%D11*X9900000000D03*").shapes) == 2
    assert len(wide.shapes) == 1 and "reaches farther than 10 m" in messages(wide)[0]
    with pytest.raises(UnreadableFile, match=r"top\.gbr:5: everything is drawn farther than 10 m.*Check unit and"):
        read(PEN + far, "%FSLAX66Y66*%\n%MOMM*%\n")


@pytest.mark.parametrize("damage", [
    "X2000000Y1e400D01*",
    "X-Y5D01*",
    "X1Y2Y3D01*",
    "%MPC*%",
    "%LPX*%",
    "D05*",
    "G63*",
    "%AB*%",
    "%ABD30*%X1D01*",
    "%ABD30*%D10*X0D03*%AB*%D30*X1D01*",
    "%AMQ*99,1*1,1,1,0,0*%%ADD31Q*%D31*X0D03*",
    "G36*X0Y0D02*X1D01*X1Y1D03*G37*",
    "G75*G03*X7D01*",
    "%IFother.gbr*%",
    "G04 no end\nX5D01*\nX6D01*",
    "M02*\nX9D01*",
    "X99999999999D01*X5D01*",
])  # fmt: skip
def test_what_is_left_out_or_not_understood_is_counted(damage: str) -> None:
    sound = read(PEN + "X1000000D01*")
    assert sound.passed_over == 0
    artwork = read(PEN + "X1000000D01*" + damage)
    assert artwork.passed_over > 0 and artwork.remarks


def test_what_real_programs_write_is_not_counted_as_left_out() -> None:
    oddities = "G54D10*X1Y1D02*G01X5D1*G70*G71*G90*%IPPOS*%%INboard*%%LNtop*%M00*"
    assert read(PEN + oddities).passed_over == 0


def test_a_flood_of_kinds_of_remarks_is_bounded() -> None:
    artwork = read(PEN + "".join(f"G{number}*" for number in range(200, 900)) + "X1D01*")
    assert len(artwork.remarks) == 201
    assert any("More is wrong from here on" in message and "(500 times)" in message for message in messages(artwork))


def test_messages_hold_no_control_characters() -> None:
    artwork = read("%XX\x07\x1b[31m*%" + PEN + "X1D01*")
    assert all(message.isprintable() for message in messages(artwork))


@pytest.mark.parametrize("text", [
    "%" * 100_000,
    "G04" * 100_000,
    "G04 " + "\n" * 100_000 + "*",
    "%" + " \n" * 50_000,
    "%\n" * 50_000,
    "X" * 100_000,
    "-" * 100_000,
    "9" * 100_000,
    "*" * 100_000,
    "X1." * 30_000,
    "X1Y1" * 75_000,
    "%FS" + "X1" * 100_000,
    "%AD" * 100_000,
    "%AMM*" + "1,1,1,0,0*" * 40_000 + "%%ADD11M*%D11*D03*",
    "%AMM*" + "1,0,1,0,0*" * 3_000 + "%%ADD11M*%D11*D03*",
    "%AMM*$1=" + "(" * 100_000 + "%%ADD11M*%D11*D03*",
    "%SRX2Y1I1J0*%" * 20_000,
    "%ABD20*%" * 30,
    "%LPC*%X1D01*%LPD*%X2D01*" * 10_000,
    "%LR1*%X1D03*%LR2*%X2D03*" * 10_000,
    "%TO.C,R1*%" * 30_000,
    "G75*G03*" + "X1Y0I1000000000J0D01*X0Y0I-1000000000J0D01*" * 3_000,
    "M02" * 100_000,
])  # fmt: skip
def test_nothing_makes_the_reader_slow(text: str) -> None:
    started = time.process_time()
    try:
        read(PEN + "X1000000D01*" + text)
    except UnreadableFile as error:
        assert error.cure
    looks_like_gerber(text.encode())
    peek_file_attributes(text.encode())
    assert time.process_time() - started < 4


@pytest.mark.parametrize("number", range(len(CONSTRUCTS)))
def test_a_lost_or_changed_byte_gives_artwork_or_a_clear_error(number: int) -> None:
    """Every sixth place of small files in turn; `tests/fuzz` damages larger ones at random."""
    sound = f"{MM}{CONSTRUCTS[number]}M02*\n".encode()
    assert len(read_artwork("x", sound).shapes) > 0
    for at in range(number, len(sound), 6):
        before, after = sound[:at], sound[at + 1 :]
        for data in (before + after, before + b"*" + after, before + b"9" + after):
            try:
                artwork = read_artwork("x", data)
            except UnreadableFile as error:
                assert error.problem and error.cure
                continue
            for column in (artwork.shapes.x0, artwork.shapes.y1, artwork.shapes.width, artwork.shapes.vx):
                assert np.isfinite(column).all()


def test_every_extended_command_is_known_to_both_who_finds_and_who_obeys() -> None:
    assert set(_HANDLERS) <= set(EXTENDED_CODES)
    assert set(EXTENDED_CODES) - set(_HANDLERS) == {"IN", "PF", "IC"}
