"""What a limits file may say, and how it is told what it may not."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.limits_file.reading import read_limits_file
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import LimitsFile, limits_in_force
from labelcheck.trade.limits import Process
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Weight


def read(text: str | bytes) -> LimitsFile:
    data = text if isinstance(text, bytes) else text.encode()
    return read_limits_file("labelcheck.toml", "work/labelcheck.toml", data)


def refused(text: str | bytes) -> list[str]:
    """The lines of the error."""
    with pytest.raises(WrongArguments) as error:
        read(text)
    return str(error.value).split("\n")


def test_everything_at_once() -> None:
    file = read(
        """
process = "inkjet"
reading-distance = 400
pitch = 0.02
[colours]
mask = "matte black"
legend = "#f0f0f0"
[limits.stroke]
source = "capability table"
unreadable-below = 0.1
doubtful-below = "never"
[limits.lost-ink]
note-above = 0.02
[distances]
clip = 0.12
hole-clearance = { mm = 0.2, source = "asked by mail" }
[[labels]]
text = "F?"
matters = "more"
[[labels]]
text = ["A*", "B"]
side = "bottom"
region = [0, 0, 10, 5]
matters = "not"
because = "test points"
board = "turnout*"
[[must-carry]]
text = "REV ?"
side = "either"
height = 1.5
[[bodies]]
package = "RELAY*"
length = 20
width = 10
offset = [0.5, -1]
[[accepted]]
analyser = "short-character"
severity = "doubtful"
side = "top"
text = "R12"
because = "seen"
"""
    )
    assert (file.process, file.process_source) == (Process.INKJET, "labelcheck.toml:2")
    assert (file.reading_distance_mm, file.pitch_mm, file.pitch_source) == (400.0, 0.02, "labelcheck.toml:4")
    assert file.mask_colour is not None and file.mask_colour.words == "matte black"
    assert file.legend_colour is not None and file.legend_colour.source == "labelcheck.toml:7"
    assert [(one.name, one.bound, one.value, one.source) for one in file.numbers] == [
        ("stroke", "unreadable", 0.1, "labelcheck.toml:10 (capability table)"),
        ("stroke", "doubtful", None, "labelcheck.toml:11 (capability table)"),
        ("lost_ink", "note", 0.02, "labelcheck.toml:13"),
        ("clip", "", 0.12, "labelcheck.toml:15"),
        ("hole_clearance", "", 0.2, "labelcheck.toml:16 (asked by mail)"),
    ]
    more, less = file.weights
    assert (more.weight, more.texts, more.side, more.region_mm) == (Weight.MORE, ("F?",), None, None)
    assert (less.weight, less.texts, less.side) == (Weight.NOT, ("A*", "B"), Side.BOTTOM)
    assert (less.region_mm, less.board, less.source) == ((0, 0, 10, 5), "turnout*", "labelcheck.toml:20")
    must = file.must_carry[0]
    assert (must.text, must.side, must.height_mm, must.source) == ("REV ?", None, 1.5, "labelcheck.toml:27")
    body = file.bodies[0]
    assert (body.reference, body.package, body.length_mm, body.width_mm) == (None, "RELAY*", 20, 10)
    assert (body.height_mm, body.offset_mm) == (None, (0.5, -1))
    accepted = file.accepted[0]
    assert (accepted.analyser, accepted.text, accepted.side) == ("short-character", "R12", Side.TOP)
    assert accepted.source == "labelcheck.toml:36"


def test_the_example_of_the_readme_is_read() -> None:
    readme = (Path(__file__).resolve().parents[3] / "README.md").read_text(encoding="utf-8")
    file = read(readme.partition("```toml\n")[2].partition("```")[0])
    assert limits_in_force(file).stroke.source_of("doubtful").endswith("(capability table of our fabricator, 2026)")
    assert [len(group) for group in (file.weights, file.must_carry, file.bodies)] == [2, 1, 1]


def test_bodies_may_be_named_by_their_reference() -> None:
    bodies = read('[bodies.K1]\nlength = 20\nwidth = 10\n["bodies"."C*"]\nlength = 8\nwidth = 8\nheight = 12').bodies
    assert [(one.reference, one.length_mm, one.height_mm) for one in bodies] == [("K1", 20, None), ("C*", 8, 12)]
    assert [one.source for one in bodies] == ["labelcheck.toml:1", "labelcheck.toml:4"]


def test_an_empty_file_states_nothing() -> None:
    file = read("# nothing yet\n")
    assert (file.process, file.numbers, file.weights, file.accepted) == (None, (), (), ())


def test_byte_order_mark_and_line_feeds_of_another_system() -> None:
    assert read(b'\xef\xbb\xbf# \r\nprocess = "inkjet"\r\n').process_source == "labelcheck.toml:2"


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("proces = 'inkjet'", 1, 'The key "proces" is not known. Did you mean "process"?'),
        ("\nreading_distance = 1", 2, 'Did you mean "reading-distance"?'),
        ("[colors]\nmask = 'red'", 1, 'Did you mean "colours"?'),
        ("[limits.strokes]", 1, 'Did you mean "stroke"?'),
        ("[limits.stroke]\ndoubtful-above = 1", 2, 'is not known in [limits.stroke]. Did you mean "doubtful-below"?'),
        ("[colours]\nmask = 'red'\n\nprocess = 'inkjet'", 4, "It belongs above the first [table] of the file."),
        ("[[labels]]\nfoo = 1\ntext = 'A'\nmatters = 'more'", 2, "not known in [[labels]]. Known are: because,"),
        ("process = 'inkjett'", 1, 'none of "screen-printed", "photo-imaged" and "inkjet". Did you mean "inkjet"?'),
        ("process = 3", 1, '"process" is 3, where a text in quotes is needed.'),
        ("process = ''", 1, '"process" is empty.'),
        ("reading-distance = 'far'", 1, '"reading-distance" is "far", where a number in mm is needed.'),
        ("reading-distance = true", 1, '"reading-distance" is true, where a number in mm is needed.'),
        ("reading-distance = -250", 1, '"reading-distance" is -250, which is impossible'),
        ("reading-distance = nan", 1, "is nan, which is impossible"),
        ("pitch = 1", 1, "it can be 0.002 to 0.1 mm"),
        ("[limits.stroke]\n\ndoubtful-below = 6", 3, "it can be 0 to 3 mm. All lengths are millimetres."),
        ("[limits.lost-ink]\ndoubtful-above = 10", 2, "it can be 0 to 1."),
        ("[distances]\nclip = inf", 2, "which is impossible"),
        ("[distances]\nclip = { source = 'x' }", 2, '"mm" is missing'),
        ("[colours]\nmask = 'geen'", 2, 'Did you mean "green"?'),
        ("colours = 'red'", 1, "where a table is needed: [colours]."),
        ("labels = { text = 'A' }", 1, '"labels" is a table, where tables are needed: [[labels]], one for each.'),
        ("[[labels]]\ntext = 'A'", 1, '"matters" is missing'),
        ("[[labels]]\nmatters = 'more'", 1, 'Neither "text" nor "region" says which labels are meant.'),
        ("[[labels]]\nmatters = 'more'\ntext = [1]", 3, "where texts in quotes are needed"),
        ("[[labels]]\nmatters = 'more'\nregion = [1, 2, 3]", 3, "where 4 numbers in mm are needed: [0.0, "),
        ("[[labels]]\nmatters = 'more'\ntext = 'A'\nside = 'botom'", 4, 'Did you mean "bottom"?'),
        ("[[must-carry]]\nside = 'top'", 1, '"text" is missing'),
        ("[[must-carry]]\ntext = 'A'\nheight = -1", 3, "it can be 0.2 to 100 mm"),
        ("[[must-carry]]\ntext = 'A'\nheight = 0", 3, "it can be 0.2 to 100 mm"),
        ("[[must-carry]]\ntext = 'A'\nheight = 1500", 3, "All lengths are millimetres."),
        ("[[labels]]\nmatters = 'not'\nregion = [10, 0, 4, 5]", 3, "whose corners are swapped: x0, y0 is the lower "
         "left one. Is [4, 0, 10, 5] meant?"),
        ("[[labels]]\nmatters = 'not'\nregion = [1, 5, 1, 9]", 3, "which has no area."),
        ("[[bodies]]\nlength = 1\nwidth = 1", 1, 'Neither "reference" nor "package" says which parts are meant.'),
        ("[[bodies]]\nreference = 'K1'\nlength = 1", 1, '"width" is missing'),
        ("[[bodies]]\nreference = 'K1'\nlength = 1\nwidth = 0", 1, "One of length and width is 0."),
        ("bodies = 3", 1, '"bodies" is 3'),
        ("[[accepted]]\nanalyser = 'x'\nseverity = 'note'\nside = 'top'\nbecause = 'y'", 1, 'Neither "text" '),
        ("[[accepted]]\nanalyser = 'x'\nseverity = 'bad'\nside = 'top'\ntext = 'A'", 1, '"because" is missing'),
        ("[[accepted]]\nanalyser='x'\nseverity='note'\nside='top'\nwhole-side=1\nbecause='y'", 5, "true or false"),
        ("a = ", 1, "The line is not valid TOML"),
        ("process = 'inkjet'\nprocess = 'inkjet'", 2, "The line is not valid TOML"),
        ("\n\n[limits", 3, "The line is not valid TOML"),
        (b"process = 'inkjet'\n# caf\xe9", 2, "This is no UTF-8 text."),
    ],
)
def test_what_is_wrong_is_told_with_its_line_and_a_cure(text: str | bytes, line: int, told: str) -> None:
    messages = refused(text)
    fitting = [message for message in messages if told in message]
    assert fitting, messages
    assert fitting[0].startswith(f"work/labelcheck.toml:{line}: "), fitting


def test_all_problems_are_told_at_once_in_order_of_line() -> None:
    messages = refused("pitch = 9\nproces = 1\n[limits.gap]\nnote-below = 'x'")
    assert [message.split(":")[1] for message in messages] == ["1", "2", "4"]
    many = refused("\n".join(f"unknown-{number} = 1" for number in range(40)))
    assert len(many) == 11 and "30 more problems" in many[-1]


@pytest.mark.parametrize(
    "text",
    ["a = " + "[" * 5_000, "a = " + "9" * 5_000, "#" * 3_000_000, "\x00", "a = 1\rb = 2"],
    ids=["deep", "long number", "long", "control", "lone return"],
)
def test_what_no_person_wrote_is_refused(text: str) -> None:
    assert "work/labelcheck.toml" in refused(text)[0]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        read(data)
    except WrongArguments as error:
        assert str(error).startswith("work/labelcheck.toml")


VALUES = st.one_of(
    st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.lists(st.floats(), max_size=4),
    st.dictionaries(st.sampled_from(["mm", "source", "length"]), st.floats() | st.text(max_size=3), max_size=2),
)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.sampled_from([
    "process", "pitch", "colours", "colours.mask", "limits", "limits.stroke", "limits.stroke.doubtful-below",
    "distances.clip", "labels", "must-carry", "bodies", "bodies.K1", "bodies.K1.length", "accepted",
]), VALUES)
def test_any_value_for_any_key_is_read_or_refused(key: str, value: object) -> None:
    def written(one: object) -> str:
        if isinstance(one, bool):
            return str(one).lower()
        if isinstance(one, str):
            return "'" + "".join(sign for sign in one if sign.isprintable() and sign != "'") + "'"
        if isinstance(one, list):
            return f"[{', '.join(map(written, one))}]"
        if isinstance(one, dict):
            return f"{{{', '.join(f'{name} = {written(inner)}' for name, inner in one.items())}}}"
        return repr(one)

    try:
        read(f"{key} = {written(value)}\n")
    except WrongArguments as error:
        assert str(error).startswith("work/labelcheck.toml")
