"""HTML and SVG as nested calls: text becomes text, whatever it holds, and only what is marked up stays so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from typing import TypeAlias

_EMPTY = frozenset({"path", "line", "meta"})


class Markup(str):
    """Text that is marked up already and put out as it is."""

    __slots__ = ()


Part: TypeAlias = "str | Iterable[Part]"
"""Text, markup, or several of both in a row."""


def element(tag: str, *parts: Part, **attributes: object) -> Markup:
    """Return an element; text within it and in its attributes is escaped.

    Parameters
    ----------
    tag
        Its name, never from outside.
    parts
        What it holds, in order.
    attributes
        `cls` stands for class, `_` for a hyphen; one that is None is left out.
    """
    said = "".join(
        f' {"class" if name == "cls" else name.replace("_", "-")}="{escape(str(value))}"'
        for name, value in attributes.items()
        if value is not None
    )
    if tag in _EMPTY:
        return Markup(f"<{tag}{said}/>")
    return Markup(f"<{tag}{said}>{together(*parts)}</{tag}>")


def together(*parts: Part) -> Markup:
    """Return parts side by side, as markup."""
    return Markup("".join(_flat(parts)))


def _flat(parts: Iterable[Part]) -> Iterator[str]:
    for part in parts:
        if isinstance(part, Markup):
            yield part
        elif isinstance(part, str):
            yield escape(part)
        else:
            yield from _flat(part)


def section(head: str, *parts: Part) -> Markup:
    """Return a part of the page under its heading."""
    return element("section", element("h2", head), *parts)


def bullets(lines: Iterable[str]) -> Markup:
    """Return a list, an item a line; nothing of no lines."""
    items = [element("li", line) for line in lines]
    return element("ul", items) if items else Markup("")


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Markup:
    """Return a table that scrolls by itself where it is wider than the page."""
    head = element("tr", [element("th", one, scope="col") for one in heads])
    body = [element("tr", [element("td", cell) for cell in row]) for row in rows]
    return element("div", element("table", element("thead", head), element("tbody", body)), cls="wide")
