"""Lines of keys, held against the parser of the standard library, which takes the same documents apart."""

import json
import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.limits_file.lines import KeyPath, lines_of


def paths_in(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Every key, table and element that the standard parser found."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield (*path, key)
        yield from paths_in(one, (*path, key))


DOCUMENT = r"""# a comment with = and [brackets]
title = "a # b" # not a key = 1
"quoted key" = 'its'
a.b . "c d" = 1

[table.sub]
number = 1.5
array = [
  1, # one ]
  [2, "]"],
  {x = 1, y.z = "}"}
]
long = ~~~
not = a key
\~~~ still not = one
~~~
literal = '''
[no.table]
'''

[[many]]
first = 1
[[many]]
first = 2
[many.inner]
deep = 1979-05-27 07:32:00
[[many.list]]
[[many.list]]
end = true
""".replace("~~~", '"""')


def test_every_key_stands_on_its_line() -> None:
    lines = lines_of(DOCUMENT)
    assert set(paths_in(tomllib.loads(DOCUMENT))) <= set(lines)
    wanted = {
        ("title",): "title =", ("quoted key",): '"quoted key"', ("a", "b", "c d"): "a.b",
        ("table", "sub"): "[table.sub]", ("table", "sub", "array", 0): "1, # one",
        ("table", "sub", "array", 1, 1): "[2,", ("table", "sub", "array", 2, "y", "z"): "{x = 1",
        ("table", "sub", "literal"): "literal =", ("many",): "[[many]]", ("many", 0, "first"): "first = 1",
        ("many", 1, "first"): "first = 2", ("many", 1, "inner", "deep"): "deep =",
        ("many", 1, "list", 1, "end"): "end =",
    }
    written = DOCUMENT.split("\n")
    for path, words in wanted.items():
        assert written[lines[path] - 1].lstrip().startswith(words), (path, lines[path])


@pytest.mark.parametrize(
    "text", ["", "\n", "# only a comment", "a = 1", "a = 1\r\nb = 2\r\n", '"" = 1', 'a = """"""', "a = ''''''"]
)
def test_small_documents(text: str) -> None:
    assert set(paths_in(tomllib.loads(text))) == set(lines_of(text))


@pytest.mark.parametrize("body", ['x""', '""x', "x\\\\", '\\"', '\\""', "x\n\n"])
def test_quotes_at_the_ends_of_long_texts(body: str) -> None:
    text = f'a = """{body}"""\nb = 1\n'
    assert set(tomllib.loads(text)) == {"a", "b"}
    assert lines_of(text)[("b",)] == text[: text.rindex("b =")].count("\n") + 1


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=6)
PLAIN = st.booleans() | st.integers(-9, 9) | st.floats(-9, 9) | WORDS
NESTED = st.recursive(PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3))


def inline(value: object, breaks: bool) -> str:
    """A value as TOML, arrays over several lines where that is asked for."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        gap = "\n  # ] comment, \"\n  " if breaks else " "
        return f"[{gap}{f',{gap}'.join(inline(one, breaks) for one in value)}{gap}]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{inline(key, False)} = {inline(one, False)}" for key, one in value.items()) + " }"
    return repr(float(value)) if isinstance(value, float) else str(value)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.dictionaries(WORDS, NESTED, max_size=4), max_size=3), st.booleans())
def test_no_key_of_any_document_is_missed(tables: list[dict[str, object]], breaks: bool) -> None:
    lines, expected = [], {}
    for number, table in enumerate(tables):
        lines.append("[[tables]]")
        for key, value in table.items():
            expected["tables", number, key] = "\n".join(lines).count("\n") + 2
            lines.append(f"{inline(key, False)} = {inline(value, breaks)} # {number}")
    text = "\n".join(lines)
    found = lines_of(text)
    assert set(paths_in(tomllib.loads(text))) == set(found)
    assert expected.items() <= found.items()
