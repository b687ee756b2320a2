"""Reads a report back as a browser would begin to: elements, attributes, text."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

_EMPTY = {"meta", "br", "img"}


@dataclass
class Read(HTMLParser):
    """What a page holds; `open_tags` is empty where every element was closed in its turn."""

    attributes: list[tuple[str, str, str]] = field(default_factory=list)
    tags: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    open_tags: list[str] = field(default_factory=list)
    tables: list[list[list[str]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in _EMPTY:
            self.open_tags.append(tag)
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.tables[-1][-1].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open_tags.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if {"td", "th"} & set(self.open_tags):
            self.tables[-1][-1][-1] += data

    @property
    def text(self) -> str:
        return " ".join(self.words)

    def column(self, head: str, of: str) -> list[str]:
        """The cells under `head` in the first table that has a column `of`, too."""
        heads, *rows = next(table for table in self.tables if {head, of} <= set(table[0]))
        return [row[heads.index(head)] for row in rows]


def read_page(page: str) -> Read:
    """Return what a page holds; it must be whole."""
    found = Read()
    found.feed(page)
    found.close()
    assert found.open_tags == []
    return found
