"""Attributes of files, apertures and objects (chapter 5)."""

import pytest

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.attributes import split_attribute

from .drawn import messages, read

PEN = "%ADD10C,0.2*%\nD10*\n"


def objects(artwork: Artwork) -> list[dict[str, tuple[str, ...]]]:
    return [dict(artwork.attribute_sets[row]) for row in artwork.shapes.attributes]


@pytest.mark.parametrize("form", ["%{}*%\n", "G04 #@! {}*\n", "G04 #@!{}*\n", "G4 #@!  {} *\n"])
def test_attributes_in_commands_and_in_comments(form: str) -> None:
    def say(text: str) -> str:
        return form.format(text)

    artwork = read("".join((
        say("TF.FileFunction,Legend,Top"), say("TA.AperFunction,Material"), "%ADD10C,0.2*%\n",
        say("TD.AperFunction"), "%ADD11C,0.3*%\nD10*\n", say("TO.C,R12"), "X1D03*\n",
        say("TO.N,GND"), "X2D03*\n", say("TD"), "D11*X3D03*\n",
    )))  # fmt: skip
    assert artwork.file_attribute(".FileFunction") == ("Legend", "Top")
    assert artwork.file_attribute(".Part") is None
    assert objects(artwork) == [{".C": ("R12",)}, {".C": ("R12",), ".N": ("GND",)}, {}]
    sets = [dict(artwork.attribute_sets[aperture.attributes]) for aperture in artwork.apertures]
    assert sets == [{".AperFunction": ("Material",)}, {}]


def test_an_attribute_set_again_replaces_and_the_same_again_needs_no_new_row() -> None:
    artwork = read(PEN + "%TO.C,R1*%X1D03*%TO.C,R2*%X2D03*%TO.C,R1*%X3D03*")
    assert [found[".C"] for found in objects(artwork)] == [("R1",), ("R2",), ("R1",)]
    assert artwork.shapes.attributes.tolist() == [1, 2, 1] and artwork.attribute_sets[0] == ()


def test_deleting_one_or_all() -> None:
    artwork = read(PEN + "%TO.C,R1*%%TO.N,A*%%TD.C*%X1D03*%TD*%X2D03*%TD.Q*%")
    assert objects(artwork) == [{".N": ("A",)}, {}]


def test_regions_have_the_aperture_attributes_too() -> None:
    # Clause 5.3: a region gets the aperture attributes in force.
    square = "G36*X0Y0D02*X1D01*Y1D01*X0Y0D01*G37*"
    artwork = read(PEN + f"%TA.AperFunction,Conductor*%%TO.N,A*%{square}X5D03*%TD.AperFunction*%{square}")
    assert objects(artwork) == [{".AperFunction": ("Conductor",), ".N": ("A",)}, {".N": ("A",)}, {".N": ("A",)}]


def test_values_with_escapes_blanks_nothing_and_other_alphabets() -> None:
    assert split_attribute(".C,R\\u002A1") == (".C", ("R*1",))
    assert split_attribute(".N,\\u0025\\u002C") == (".N", ("%,",))
    assert split_attribute("Note,\\U0001F600,\\uZZZZ,\\uD800") == ("Note", ("\U0001f600", "\\uZZZZ", "\\uD800"))
    assert split_attribute(".SameCoordinates") == (".SameCoordinates", ())
    assert split_attribute(".P,R1,1,A") == (".P", ("R1", "1", "A"))
    assert split_attribute(".N,") == (".N", ("",))
    artwork = read("%TF.Comment,Weiche 3 Ω*%\n" + PEN)
    assert artwork.file_attribute(".Comment") == ("Weiche 3 Ω",)


def test_line_breaks_within_an_attribute_do_not_count() -> None:
    assert read("%TF.Project\nId,Halt\r\nestelle*%" + PEN).file_attribute(".ProjectId") == ("Haltestelle",)


def test_ordinary_comments_are_no_attributes() -> None:
    artwork = read("G04 TF.FileFunction,Legend,Top*\nG04 #@! see TF.Part,Single*\nG04 say #@! TF.Part,X*\n" + PEN)
    assert artwork.file_attributes == () and artwork.remarks == ()


def test_attributes_of_ten_thousand_objects_stay_small() -> None:
    text = "".join(f"%TO.C,R{n % 50}*%X{n}D03*%TD*%" for n in range(10_000))
    artwork = read(PEN + text)
    assert len(artwork.attribute_sets) == 51 and len(artwork.shapes) == 10_000


def test_endless_attributes_are_bounded_and_told() -> None:
    artwork = read(PEN + "".join(f"%TOname{n},1*%X{n}D03*" for n in range(400)))
    assert len(artwork.attribute_sets[-1]) == 200
    assert "Too many attributes" in messages(artwork)[0]
