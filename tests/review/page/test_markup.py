"""No text becomes markup by itself."""

from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.review.page.markup import Markup, element, opening, shown, together

HOSTILE = (
    "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "' onload='x", "</style>", "-->", "&lt;", "]]>",
    "R\u202e12", "\x00\x1b[2J", "\udc80", "{{7*7}}", "javascript:alert(1)",
)


class Reading(HTMLParser):
    """What a parser makes of it."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, list[tuple[str, str | None]]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, attrs))

    def handle_data(self, data: str) -> None:
        self.text += data


def read(markup: str) -> Reading:
    reading = Reading()
    reading.feed(markup)
    reading.close()
    return reading


@given(st.text() | st.sampled_from(HOSTILE), st.text() | st.sampled_from(HOSTILE))
@settings(derandomize=True, max_examples=60)
def test_any_text_stays_text(content: str, value: str) -> None:
    reading = read(element("p", content, title=value))
    told = read(element("p", "plain"))
    assert [tag for tag, _ in reading.tags] == [tag for tag, _ in told.tags] == ["p"]
    assert [name for name, _ in reading.tags[0][1]] == ["title"]
    assert reading.text == "".join(sign if sign.isprintable() else "\ufffd" for sign in content)


def test_markup_passes_and_plain_text_does_not() -> None:
    inner = element("b", "R<1>")
    assert element("p", [inner, " & more"]) == "<p><b>R&lt;1&gt;</b> &amp; more</p>"
    assert together(["<i>", Markup("<i>")]) == "&lt;i&gt;<i>"


def test_adding_markup_up_gives_plain_text_which_is_escaped_again() -> None:
    assert element("p", Markup("<b>") + "</b>") == "<p>&lt;b&gt;&lt;/b&gt;</p>"


def test_attributes() -> None:
    assert opening("input", type="text", checked=True, hidden=False, class_=None, data_of="F1", for_="x") == (
        '<input type="text" checked data-of="F1" for="x">'
    )


def test_signs_that_turn_the_writing_direction_are_replaced() -> None:
    # Unicode Technical Report 36, section 2.2 names them as a means of deceit.
    assert shown("R\u202e21R") == "R\ufffd21R"
