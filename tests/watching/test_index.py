"""The page of a drop folder: newest first, safe whatever a set is called, links that can be moved."""

import re
from html.parser import HTMLParser
from pathlib import Path

from labelcheck.watching.index import Row, index_page

AT = Path("/drop/index.review")


def row(name: str, verdict: str | None, checked_at: str) -> Row:
    folder = None if verdict is None else Path("/drop") / f"{name}.review"
    return Row(name, folder, verdict, f"{verdict}!", checked_at, "sha256:0123456789abcdef")


def test_the_newest_comes_first_and_each_has_its_verdict_and_pictures() -> None:
    rows = [row("a", "release", "2026-01-31T12:00:00Z"), row("b", "hold", "2026-01-31T13:00:00Z")]
    page = index_page("Fab sets in drop", [*rows, row("c", None, "2026-01-31T11:00:00Z")], AT)
    assert re.findall(r'<article class="(\w+)"', page) == ["hold", "release", "unchecked"]
    assert "3 boards: 1 release, 1 hold, 1 not checked" in page
    assert page.count("../a.review/top.png") == 2 and page.count("../c.review") == 0
    assert "http://" not in page and "https://" not in page, "it needs nothing from elsewhere"


def test_checks_of_one_second_stay_in_the_order_in_which_they_are_given() -> None:
    rows = [row(name, "hold", "2026-01-31T12:00:00Z") for name in ("points", "drill", "signal")]
    page = index_page("Fab sets in drop", [*rows, row("later", "hold", "2026-01-31T12:00:01Z")], AT)
    places = [page.index(f"{name}.review") for name in ("later", "points", "drill", "signal")]
    assert places == sorted(places)


def test_names_are_text_and_never_markup() -> None:
    page = index_page("x", [row('<script>"&\n\udcff', "hold", "2026-01-31T12:00:00Z")], AT)
    assert page.count("<script>") == 1, "its own"
    page.encode("utf-8")
    seen: list[str] = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            seen.extend(value for name, value in attrs if name in ("href", "src") and value is not None)

    Reader().feed(page)
    assert seen and all(link.startswith("../%3Cscript%3E%22%26%0A%FF.review/") for link in seen)


def test_without_sets_it_says_so() -> None:
    assert "No fab set has been checked yet." in index_page("x", [], AT)
