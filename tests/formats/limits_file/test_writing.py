"""What is written is read back the same."""

from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.limits_file.appending import with_acceptances_appended
from labelcheck.formats.limits_file.reading import read_limits_file
from labelcheck.formats.limits_file.writing import acceptance_text, limits_text
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import NOTHING_ASKED, Asked, limits_in_force
from labelcheck.trade.limits import BOUNDS, Limit, Limits, Process, names_of_limits
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance

STATED = """
process = "screen-printed"
reading-distance = 400
[colours]
mask = "red"
[limits.stroke]
source = "capability table, 2026 (page 3)"
unreadable-below = 0.14
doubtful-below = 0.2
[limits.namesakes]
doubtful-above = "never"
[distances]
clip = { mm = 0.12, source = 'asked by "mail"' }
[[labels]]
text = ["F?", "+*"]
region = [1, 2, 3, 4]
matters = "more"
because = "fuses"
[[must-carry]]
text = "REV ?"
height = 1.5
board = "turnout*"
[[bodies]]
reference = "K*"
length = 20
width = 10
offset = [1, 0]
source = "data sheet"
[[accepted]]
analyser = "thin-stroke"
severity = "doubtful"
side = "bottom"
text = "a\\\\b \\"c\\""
at = [1.5, 2]
because = "as it is"
"""


def read(text: str, asked: Asked = NOTHING_ASKED) -> Limits:
    return limits_in_force(read_limits_file("labelcheck.toml", "labelcheck.toml", text.encode()), asked)


def values_of(limits: Limits) -> object:
    """Everything that a check goes by, without where it stands."""
    numbers = {}
    for name in names_of_limits():
        one = getattr(limits, name)
        values = [getattr(one, bound) for bound in BOUNDS] if isinstance(one, Limit) else [one.value_mm]
        numbers[name] = [None if value is None else pytest.approx(value, abs=1e-6) for value in values]
    statements = [
        [replace(one, **{key: value for key, value in (("line", 0), ("source", "")) if _can_change(one, key)})
         for one in group]
        for group in (limits.weights, limits.must_carry, limits.bodies, limits.accepted)
    ]
    colours = [None if one is None else one.words for one in (limits.mask_colour, limits.legend_colour)]
    return limits.process, limits.reading_distance_mm, limits.pitch_mm, numbers, statements, colours


def _can_change(statement: object, key: str) -> bool:
    return key in {one.name for one in fields(statement)}


@pytest.mark.parametrize("pinned", [False, True])
@pytest.mark.parametrize("asked", [Asked(), Asked(Process.INKJET, 600.0, 0.02)])
@pytest.mark.parametrize("text", ["", STATED])
def test_reading_back_what_was_written_gives_the_same_limits(text: str, asked: Asked, pinned: bool) -> None:
    limits = read(text, asked)
    assert values_of(read(limits_text(limits, pinned))) == values_of(limits)


def test_words_of_the_person_about_a_source_survive() -> None:
    again = read(limits_text(read(STATED)))
    assert again.stroke.source_of("doubtful").endswith("(capability table, 2026 (page 3))")
    assert again.clip.source.endswith('(asked by "mail")')
    assert again.bodies[0].source.endswith("(data sheet)")


def test_defaults_follow_the_process_unless_they_are_pinned() -> None:
    written = {pinned: limits_text(read(""), pinned).replace("photo-imaged", "inkjet", 1) for pinned in (False, True)}
    assert read(written[False]).stroke.doubtful == read('process = "inkjet"').stroke.doubtful
    assert read(written[True]).stroke.doubtful == read("").stroke.doubtful


def test_every_limit_is_shown_with_where_it_is_from() -> None:
    text = limits_text(read(STATED))
    for name in names_of_limits():
        assert name.replace("_", "-") in text
    line = next(line for line in text.splitlines() if line.startswith("doubtful-below = 0.2"))
    assert line.endswith("# labelcheck.toml:9 (capability table, 2026 (page 3))")


ACCEPTED = Acceptance(
    analyser="short-character", severity="unreadable", side=Side.TOP, text="R12", whole_side=False, at_mm=(12.5, 4.0),
    corner_mm=(0.0, 0.0), size_mm=None, measured=0.71, because="seen", board="turnout-driver", file="", line=0,
)


@pytest.mark.parametrize(
    "before",
    [
        b"", b"# mine, as I like it\nprocess   =  'inkjet'   # so\n\n\n", b'process = "inkjet"',
        b"pitch = 0.01\r\n# x\r\n", b"\xef\xbb\xbf[colours]\nmask = 'red'",
    ],
)
def test_appending_leaves_every_byte_that_was_there(before: bytes) -> None:
    after, lines = with_acceptances_appended("labelcheck.toml", before, [ACCEPTED, replace(ACCEPTED, text=None)])
    assert after.startswith(before)
    assert (b"\r\n" in after) == (b"\r\n" in before)
    assert b"\n" not in after.replace(b"\r\n", b"") or b"\r\n" not in before
    file = read_limits_file("labelcheck.toml", "labelcheck.toml", after)
    assert [replace(one, file="", line=0) for one in file.accepted] == [ACCEPTED, replace(ACCEPTED, text=None)]
    written = after.decode("utf-8-sig").splitlines()
    assert [written[line - 1] for line in lines] == ["[[accepted]]", "[[accepted]]"]


def test_a_new_file_says_what_it_is() -> None:
    after, lines = with_acceptances_appended("labelcheck.toml", None, [ACCEPTED])
    assert after.startswith(b"# Limits and acceptances")
    assert after.decode().splitlines()[lines[0] - 1] == "[[accepted]]"


def test_a_file_that_cannot_be_appended_to_is_left_alone() -> None:
    inline = b"accepted = [{analyser='a', severity='note', side='top', text='A', because='b'}]\n"
    with pytest.raises(WrongArguments, match=r"write each as a table of its own under \[\[accepted\]\]"):
        with_acceptances_appended("labelcheck.toml", inline, [ACCEPTED])
    with pytest.raises(WrongArguments, match=r"labelcheck.toml:1: .*Did you mean"):
        with_acceptances_appended("labelcheck.toml", b"proces = 1\n", [ACCEPTED])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.text(min_size=1, max_size=12).filter(lambda text: text.strip()),
    st.text(min_size=1, max_size=12).filter(lambda text: text.strip()),
    st.floats(-1e4, 1e4),
)
def test_any_text_survives(text: str, because: str, measured: float) -> None:
    accepted = replace(ACCEPTED, text=text, because=because, measured=round(measured, 4))
    read_back = read_limits_file("a.toml", "a.toml", acceptance_text(accepted).encode()).accepted[0]
    assert replace(read_back, file="", line=0) == accepted
