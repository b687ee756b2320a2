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
    rows: list[list[str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in _EMPTY:
            self.open_tags.append(tag)
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open_tags.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if {"td", "th"} & set(self.open_tags):
            self.rows[-1][-1] += data

    @property
    def text(self) -> str:
        return " ".join(self.words)

    def column(self, head: str, of: str) -> list[str]:
        """The cells under `head` in the first table that has a column `of`, too."""
        start = next(n for n, row in enumerate(self.rows) if head in row and of in row)
        at = self.rows[start].index(head)
        found = []
        for row in self.rows[start + 1 :]:
            if len(row) != len(self.rows[start]) or row == self.rows[start]:
                break
            found.append(row[at])
        return found


def read_page(page: str) -> Read:
    """Return what a page holds; it must be whole."""
    found = Read()
    found.feed(page)
    found.close()
    assert found.open_tags == []
    return found
