"""Reads an HTML page with the standard library's parser, independent of what wrote it."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Final, NamedTuple

# HTML Living Standard, 13.1.2 "Elements": void elements have no end tag.
_VOID: Final = frozenset(
    {
        *("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta"),
        *("source", "track", "wbr"),
    }
)


_INLINE: Final = frozenset({"a", "b", "bdi", "small", "span"})


class Element(NamedTuple):
    """An element where it starts: its name, its attributes, and the elements around it."""

    name: str
    attributes: tuple[tuple[str, str | None], ...]
    within: tuple[str, ...]

    def get(self, name: str) -> str:
        """An attribute; empty where there is none."""
        return dict(self.attributes).get(name) or ""


class Page(HTMLParser):
    """A page taken apart.

    Attributes:
        elements: Every element, in order.
        texts: Every text with the elements around it, in order.
        others: Comments, declarations and processing instructions.
        unclosed: End tags that close nothing, and elements never closed.
    """

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[Element] = []
        self.texts: list[tuple[tuple[str, ...], str]] = []
        self.others: list[str] = []
        self.unclosed: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        self.unclosed += self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, tuple(attrs), tuple(self._open)))
        if tag not in _INLINE:
            self.texts.append((tuple(self._open), " "))
        if tag not in _VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, tuple(attrs), tuple(self._open)))

    def handle_endtag(self, tag: str) -> None:
        if self._open and self._open[-1] == tag:
            self._open.pop()
        else:
            self.unclosed.append(f"/{tag}")

    def handle_data(self, data: str) -> None:
        self.texts.append((tuple(self._open), data))

    def handle_comment(self, data: str) -> None:
        self.others.append(data)

    def handle_decl(self, decl: str) -> None:
        self.others.append(decl)

    def handle_pi(self, data: str) -> None:
        self.others.append(data)

    def unknown_decl(self, data: str) -> None:
        self.others.append(data)

    @property
    def words(self) -> str:
        """Everything a person reads on the page, white space as single spaces."""
        shown = (text for within, text in self.texts if "style" not in within)
        return " ".join("".join(shown).split())

    @property
    def style(self) -> str:
        """The style sheet."""
        return "".join(text for within, text in self.texts if "style" in within)

    def all(self, name: str) -> list[Element]:
        """Every element of a name."""
        return [element for element in self.elements if element.name == name]
