"""The faces kept apart for testing are never learned."""

import pytest

from labelcheck.labels.reading.training.typefaces import (
    CALIBRATION_FACES,
    HELD_OUT,
    OUTLINE_FACES,
    STROKE_FACES,
    HeldOut,
    find_typefaces,
    is_held_out,
)


@pytest.mark.parametrize("name", ["Roboto-Bold", "OpenSans-CondBold", "Open_Sans", "futural", "osifont", "Carlito"])
def test_a_face_kept_apart_is_refused(name):
    assert is_held_out(name)
    with pytest.raises(HeldOut, match=name):
        find_typefaces(outlines=(*OUTLINE_FACES, name))
    with pytest.raises(HeldOut, match=name):
        find_typefaces(strokes=(*STROKE_FACES, name))


def test_no_face_to_learn_from_is_kept_apart_and_at_least_eight_families_are():
    assert not [name for name in (*STROKE_FACES, *OUTLINE_FACES) if is_held_out(name)]
    assert set(CALIBRATION_FACES) <= {*STROKE_FACES, *OUTLINE_FACES}
    assert len(HELD_OUT) >= 8


def test_a_face_that_is_not_installed_is_named_with_the_cure():
    with pytest.raises(FileNotFoundError, match=r"NoSuchFace.*apt-get install"):
        find_typefaces(outlines=("NoSuchFace",))
