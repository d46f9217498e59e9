"""Job files in the two forms that real sets hold, and damaged ones."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.job_file import JobEntry, looks_like_job_file, read_job_file
from labelcheck.trade.errors import UnreadableFile

WHOLE = {
    "Header": {"GenerationSoftware": {"Vendor": "Workshop"}},
    "GeneralSpecs": {
        "ProjectId": {"Name": "turnout", "Revision": "B"},
        "Size": {"X": 100.1, "Y": 70.1},
        "LayerNumber": 2,
        "BoardThickness": 1.6,
        "Finish": "ENIG",
    },
    "FilesAttributes": [
        {"Path": "turnout-F_Silkscreen.gbr", "FileFunction": "Legend,Top", "FilePolarity": "Positive"},
        {"Path": "turnout-F_Mask.gbr", "FileFunction": "SolderMask,Top", "FilePolarity": "Negative"},
    ],
    "MaterialStackup": [
        {"Type": "Legend", "Color": "White", "Name": "Top legend"},
        {"Type": "SolderMask", "Color": "Blue", "Thickness": 0.01},
        {"Type": "SolderMask", "Color": "Blue"},
        {"Type": "Legend"},
    ],
}


def test_general_specs() -> None:
    job = read_job_file("job", json.dumps(WHOLE).encode())
    assert (job.width_mm, job.height_mm, job.thickness_mm, job.copper_layers) == (100.1, 70.1, 1.6, 2)
    assert (job.mask_colour, job.legend_colour, job.finish) == ("Blue", "White", "ENIG")
    assert job.files[1] == JobEntry("turnout-F_Mask.gbr", ("SolderMask", "Top"), "Negative")
    assert job.remarks == ()


def test_the_form_with_overall() -> None:
    tree = {
        "Header": {"Comment": "All values are metric (mm)"},
        "Overall": {"Size": {"X": 25, "Y": 32}, "LayerNumber": 2},
    }
    job = read_job_file("job", json.dumps(tree).encode())
    assert (job.width_mm, job.height_mm, job.files, job.finish) == (25.0, 32.0, (), None)


def test_byte_order_mark_and_unknown_words() -> None:
    tree = {"GeneralSpecs": {"Finish": "None", "Size": {"X": "30 mm", "Y": True}, "BoardThickness": float("inf")}}
    job = read_job_file("job", b"\xef\xbb\xbf" + json.dumps(tree).encode())
    assert (job.width_mm, job.height_mm, job.thickness_mm, job.finish) == (30.0, None, None, None)


def test_two_mask_colours_are_told() -> None:
    tree = {"GeneralSpecs": {}, "MaterialStackup": [{"Type": "SolderMask", "Color": c} for c in ("Red", "Green")]}
    job = read_job_file("job", json.dumps(tree).encode())
    assert job.mask_colour == "Red" and "Green and Red" in job.remarks[0].message


@pytest.mark.parametrize(
    "data", [b"", b"{", b"[]", b"{}", b'{"a": 1}', b"\xff\xfe", b'{"GeneralSpecs": ' + b"[" * 5000]
)
def test_what_is_no_job_file(data: bytes) -> None:
    with pytest.raises(UnreadableFile):
        read_job_file("job", data)


@pytest.mark.parametrize("value", [None, 1, "x", [], [1], {"X": []}, {"Size": 3}, [[]], {"Size": {"X": 10**400}}])
@pytest.mark.parametrize("key", ["GeneralSpecs", "FilesAttributes", "MaterialStackup", "Overall"])
def test_any_type_anywhere(key: str, value: object) -> None:
    job = read_job_file("job", json.dumps({"GeneralSpecs": {}, key: value}).encode())
    assert job.files == () and job.width_mm is None


@settings(derandomize=True, max_examples=100, deadline=None)
@given(st.integers(0, 400), st.binary(max_size=4), st.integers(0, 30))
def test_damage(at: int, junk: bytes, cut: int) -> None:
    data = json.dumps(WHOLE).encode()
    damaged = data[:at] + junk + data[at + cut :]
    looks_like_job_file(damaged)
    try:
        read_job_file("job", damaged)
    except UnreadableFile as error:
        assert error.file == "job"


def _stack(*thickness: object) -> bytes:
    copper = [{"Type": "Copper", "Thickness": one} for one in thickness]
    between = [layer for one in copper for layer in (one, {"Type": "Dielectric", "Thickness": 1.5})]
    return json.dumps({"GeneralSpecs": {}, "MaterialStackup": between}).encode()


@pytest.mark.parametrize(
    ("thickness", "expected"),
    [((0.035, 0.035), 0.035), ((0.035, 0.105), 0.105), ((0.105, 0.035, 0.035, 0.07), 0.105), ((0.07,), 0.07),
     ((0.018, 0.4, 0.018), 0.018), (("0.105mm", None), 0.105), ((), None), ((None, "thick"), None)],
)  # fmt: skip
def test_the_outer_copper_is_the_first_and_the_last_of_the_stack(thickness: tuple[object, ...], expected) -> None:
    job = read_job_file("job", _stack(*thickness))
    assert job.copper_mm == expected and job.remarks == ()


def test_copper_in_another_unit_is_told_and_not_used() -> None:
    job = read_job_file("job", _stack(35, 35))
    assert job.copper_mm is None
    assert [remark.message for remark in job.remarks] == [
        "The job file names copper 35 mm thick, which no board has; it was not used."
    ]
