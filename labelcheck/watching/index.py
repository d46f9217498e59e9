"""The page that shows all sets of a drop folder, newest first: one small file, made anew after every check."""

import html
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

from labelcheck.review.wording import counted, printable
from labelcheck.review.writing import PAGE, PICTURES, write_record
from labelcheck.trade.errors import UnwritableResult
from labelcheck.watching.messages import BoardTold

INDEX = "index.html"
INDEX_FOLDER = "index.review"
"""Beside the reviews; its ending keeps it from being taken for a set."""
REFRESH_S = 5
"""How often a browser looks again."""

_STYLE = """
:root { color-scheme: light dark; --ink: #161a20; --grey: #565d66; --paper: #ffffff; --ground: #f3f5f6;
  --rule: #c4c9cf; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e8eaed; --grey: #a9b1ba; --paper: #1e2328; --ground: #14171b; --rule: #444b53; }
}
body { margin: 1.5rem auto; max-width: 76rem; padding: 0 1rem; font: 16px/1.45 system-ui, "Noto Sans", sans-serif;
  color: var(--ink); background: var(--ground); }
h1 { font-size: 1.35rem; margin: 0 0 .25rem; } p { margin: .25rem 0; }
article { display: flex; gap: 1rem; flex-wrap: wrap; background: var(--paper); border: 1px solid var(--rule);
  border-left: 10px solid var(--grey); padding: .8rem 1rem; margin: .8rem 0; }
article.hold { border-left-color: #a8003e; } article.release { border-left-color: #00605c; }
article div { flex: 1 1 18rem; } h2 { font-size: 1.1rem; margin: 0; overflow-wrap: anywhere; }
.verdict { font-weight: 600; } .when { color: var(--grey); }
figure { margin: 0; flex: 0 1 19rem; }
img { width: 100%; height: 11rem; object-fit: cover; object-position: left top; border: 1px solid var(--rule);
  display: block; }
a { color: inherit; }
"""


_REFRESHING = f"""<script>
setInterval(() => {{ if (!document.hasFocus()) location.reload(); }}, {REFRESH_S * 1000});
</script>
"""
"""While one works in another window, the page keeps up to date; it is never taken away from somebody who reads it or
goes through it by keyboard (WCAG 2.2, 2.2.1)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One board of the index."""

    name: str
    folder: Path | None
    """Its review; None where the set could not be checked."""
    verdict: str | None
    words: str
    """The verdict and its counts, or why there is none."""
    checked_at: str
    """ISO 8601 in UTC."""
    fingerprint: str = ""


def index_page(title: str, rows: Iterable[Row], at: Path) -> str:
    """The whole page; links lead from the folder `at` to the reviews, so that all can be moved together.

    The newest check comes first; those of one second stay in the order of the rows.
    """
    ordered = sorted(rows, key=lambda row: row.checked_at, reverse=True)
    told = "\n".join(_article(row, at) for row in ordered) or "<p>No fab set has been checked yet.</p>"
    held = sum(1 for row in ordered if row.verdict == "hold")
    unchecked = sum(1 for row in ordered if row.verdict is None)
    numbers = ((len(ordered) - held - unchecked, "release"), (held, "hold"), (unchecked, "not checked"))
    told_apart = ", ".join(f"{count} {word}" for count, word in numbers if count)
    boards = counted(len(ordered), "board")
    counts = f"<p>{boards}: {told_apart}. The newest check comes first.</p>" if ordered else ""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<noscript><meta http-equiv="refresh" content="{REFRESH_S}"></noscript>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_text(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<main>\n<h1>{_text(title)}</h1>\n{counts}\n{told}\n</main>\n{_REFRESHING}</body>\n</html>\n"
    )


def row_of(board: BoardTold) -> Row:
    """The row of a board that was checked."""
    told = f"{board.words} ({board.tally})"
    return Row(board.name, board.folder, board.verdict, told, board.checked_at, board.fingerprint)


def row_of_trouble(path: Path, trouble: str, now: datetime) -> Row:
    """The row of a set that could not be checked."""
    return Row(path.name, None, None, trouble, now.strftime("%Y-%m-%dT%H:%M:%SZ"))


def write_index(folder: Path, page: str, sets: Iterable[Path], with_parents: bool) -> str | None:
    """Put the page into its folder, whole and outside of all sets; a sentence where that cannot be done."""
    if any(place in folder.parents for place in sets):
        return f"{folder}: this lies inside a fab set. Choose a folder outside of it with --out."
    try:
        folder.mkdir(parents=with_parents, exist_ok=True)
        write_record(folder / INDEX, [page])
    except UnwritableResult as error:
        return str(error)
    except OSError as error:
        return f"{folder}: the index cannot be written ({error.strerror}). Choose a folder with --out."
    return None


def _article(row: Row, at: Path) -> str:
    kind = row.verdict if row.verdict in ("hold", "release") else "unchecked"
    when = row.checked_at.replace("T", " ").replace("Z", " UTC")
    name, pictures = _text(row.name), ""
    if row.folder is not None:
        # The fingerprint makes a browser fetch the picture anew when the set is another.
        version = f"?{quote(row.fingerprint[-12:])}{quote(row.checked_at)}"
        name = f'<a href="{_link(row.folder / PAGE, at)}">{name}</a>'
        links = _existing(row.folder)
        pictures = "".join(
            f'<figure><a href="{_link(path, at)}"><img src="{_link(path, at)}{version}" '
            f'alt="{_text(path.stem)} of {_text(row.name)}" loading="lazy"></a></figure>'
            for path in links
        )
    return (
        f'<article class="{kind}"><div><h2>{name}</h2><p class="verdict">{_text(row.words)}</p>'
        f'<p class="when">{_text(when)}</p></div>{pictures}</article>'
    )


def _existing(folder: Path) -> Sequence[Path]:
    return [folder / name for name in PICTURES]


def _link(path: Path, at: Path) -> str:
    """A relative link, whatever signs stand in the names."""
    relative = os.path.relpath(path, at).replace(os.sep, "/")
    return html.escape(quote(os.fsencode(relative)))


def _text(text: str) -> str:
    return html.escape(printable(text.encode("utf-8", "backslashreplace").decode("utf-8")))
