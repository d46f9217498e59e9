"""Text becomes markup here and nowhere else: whatever a file or a label says can never become part of the page."""

import html
from collections.abc import Iterable

from labelcheck.review.wording import printable


class Markup(str):
    """Text that is markup already; plain text has to pass `shown` first."""

    __slots__ = ()


def shown(text: object) -> Markup:
    """Any text, safe between tags and in quotes; controls and what turns the writing direction are replaced."""
    return Markup(html.escape(printable(str(text)), quote=True))


def element(tag: str, content: str | Iterable[str] = "", /, **attributes: object) -> Markup:
    """One element; content that is not `Markup` is escaped, and so is every attribute.

    An attribute that is None or False is left out, True stands without a value, a trailing `_` is dropped and every
    other `_` becomes `-`: `class_`, `data_side`.
    """
    parts = [content] if isinstance(content, str) else content
    inner = "".join(part if isinstance(part, Markup) else shown(part) for part in parts)
    return Markup(f"{opening(tag, **attributes)}{inner}</{tag}>")


def opening(tag: str, /, **attributes: object) -> Markup:
    """The opening tag alone, which is all of an element that can have no content."""
    told = []
    for name, value in attributes.items():
        written = name.rstrip("_").replace("_", "-")
        if value is True:
            told.append(f" {written}")
        elif value is not None and value is not False:
            told.append(f' {written}="{value if isinstance(value, Markup) else shown(value)}"')
    return Markup(f"<{tag}{''.join(told)}>")


def together(parts: Iterable[str]) -> Markup:
    """Several pieces one after the other; those that are not markup are escaped."""
    return Markup("".join(part if isinstance(part, Markup) else shown(part) for part in parts))
