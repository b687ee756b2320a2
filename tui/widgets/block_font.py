"""A block font of our own, drawn with half blocks; pure.

Two faces: a small one of five pixels' height (letters, digits, a few signs) and a tall one of seven (digits and signs,
with rounder shapes that stay apart from each other across a room). A pixel is one cell wide and half a cell high, so
about square. A face is only ever enlarged by whole numbers, corners cut and diagonals filled, so that it stays crisp.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

Pixels = tuple[tuple[bool, ...], ...]

_SMALL = {
    " ": ".. .. .. .. ..",
    "0": "#### #..# #..# #..# ####",
    "1": ".##. ..#. ..#. ..#. .###",
    "2": "#### ...# #### #... ####",
    "3": "#### ...# .### ...# ####",
    "4": "#..# #..# #### ...# ...#",
    "5": "#### #... #### ...# ###.",
    "6": "#### #... #### #..# ####",
    "7": "#### ...# ..#. .#.. .#..",
    "8": "#### #..# #### #..# ####",
    "9": "#### #..# #### ...# ###.",
    "A": ".##. #..# #### #..# #..#",
    "B": "###. #..# ###. #..# ###.",
    "C": ".### #... #... #... .###",
    "D": "###. #..# #..# #..# ###.",
    "E": "#### #... ###. #... ####",
    "F": "#### #... ###. #... #...",
    "G": ".### #... #.## #..# .###",
    "H": "#..# #..# #### #..# #..#",
    "I": "# # # # #",
    "J": "..## ...# ...# #..# .##.",
    "K": "#..# #.#. ##.. #.#. #..#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#...# ##..# #.#.# #..## #...#",
    "O": ".##. #..# #..# #..# .##.",
    "P": "###. #..# ###. #... #...",
    "Q": ".##. #..# #..# #.#. .#.#",
    "R": "###. #..# ###. #.#. #..#",
    "S": ".### #... .##. ...# ###.",
    "T": "##### ..#.. ..#.. ..#.. ..#..",
    "U": "#..# #..# #..# #..# .##.",
    "V": "#...# #...# .#.#. .#.#. ..#..",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#...# .#.#. ..#.. .#.#. #...#",
    "Y": "#...# .#.#. ..#.. ..#.. ..#..",
    "Z": "#### ..#. .#.. #... ####",
    "+": "... .#. ### .#. ...",
    "-": "... ... ### ... ...",
    "×": "... #.# .#. #.# ...",
    ".": ". . . . #",
    ",": ".. .. .. .# #.",
    ":": ". # . # .",
    "/": "..# ..# .#. #.. #..",
    "?": "###. ...# .##. .... .#..",
    "'": "# # . . .",
}
_TALL = {
    "0": ".###. #...# #...# #...# #...# #...# .###.",
    "1": "..#.. .##.. ..#.. ..#.. ..#.. ..#.. .###.",
    "2": ".###. #...# ....# ...#. ..#.. .#... #####",
    "3": "##### ...#. ..#.. .###. ....# #...# .###.",
    "4": "...#. ..##. .#.#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ....# #...# .###.",
    "6": "..##. .#... #.... ####. #...# #...# .###.",
    "7": "##### ....# ...#. ..#.. ..#.. .#... .#...",
    "8": ".###. #...# #...# .###. #...# #...# .###.",
    "9": ".###. #...# #...# .#### ....# ...#. .##..",
    "+": "... ... .#. ### .#. ... ...",
    "×": "... ... #.# .#. #.# ... ...",
}


@dataclass(frozen=True)
class Face:
    """One size of the font before enlargement.

    Attributes
    ----------
    height_px
        Pixels; two make a row.
    least
        The smallest enlargement in which the face looks right.
    """

    height_px: int
    least: int
    glyphs: dict[str, Pixels]

    def __hash__(self) -> int:
        """Faces are told apart by their height."""
        return self.height_px

    def knows(self, text: str) -> bool:
        """Whether every character of `text` has a glyph."""
        return all(char in self.glyphs for char in text)

    def width(self, text: str, scale: int) -> int:
        """Return the cells that `text` takes."""
        return scale * (sum(len(self.glyphs[char][0]) for char in text) + max(0, len(text) - 1))

    def height(self, scale: int) -> int:
        """Return the rows that a line takes."""
        return (self.height_px * scale + 1) // 2


def _parsed(glyphs: dict[str, str]) -> dict[str, Pixels]:
    return {
        char: tuple(tuple(pixel == "#" for pixel in line) for line in drawn.split()) for char, drawn in glyphs.items()
    }


SMALL = Face(5, 1, _parsed(_SMALL))
TALL = Face(7, 3, _parsed(_TALL))


def fit(text: str, width: int, height: int) -> tuple[Face, int] | None:
    """Choose face and enlargement for `text` in a box of cells.

    Returns
    -------
    The largest that fits, the tall face before the small one; None where neither does or a character has no glyph.
    """
    for face in (TALL, SMALL):
        if not text or not face.knows(text):
            continue
        scale = min(2 * height // face.height_px, width // face.width(text, 1))
        if scale >= face.least:
            return face, scale
    return None


def block_rows(text: str, face: Face, scale: int, *, striped: bool = False) -> tuple[str, ...]:
    """Draw `text`.

    Parameters
    ----------
    striped
        Leave out every second line of pixels: a number that is not certain yet. Needs `scale` ≥ 2.

    Returns
    -------
    `face.height(scale)` lines of `face.width(text, scale)` cells.
    """
    gap = ((False,) * scale,) * (face.height_px * scale)
    pixels = _beside([part for char in text for part in (enlarged(face, char, scale), gap)][:-1])
    if striped:
        pixels = tuple(line if y % 2 == 0 else (False,) * len(line) for y, line in enumerate(pixels))
    return _half_blocks(pixels)


def _beside(parts: list[Pixels]) -> Pixels:
    return tuple(tuple(pixel for line in lines for pixel in line) for lines in zip(*parts, strict=True))


def _half_blocks(pixels: Pixels) -> tuple[str, ...]:
    if len(pixels) % 2:
        # The spare half row is left at the top: lines that stand close together keep apart by it.
        pixels = ((False,) * len(pixels[0]), *pixels)
    return tuple(
        "".join(" ▄▀█"[2 * upper + lower] for upper, lower in zip(top, bottom, strict=True))
        for top, bottom in zip(pixels[::2], pixels[1::2], strict=True)
    )


@lru_cache(maxsize=1024)
def enlarged(face: Face, char: str, scale: int) -> Pixels:
    """Return the glyph of `char` with every pixel made `scale` × `scale`, corners cut, diagonals filled."""
    glyph = face.glyphs[char]
    height, width = len(glyph) * scale, len(glyph[0]) * scale
    return tuple(tuple(_pixel(glyph, x, y, scale) for x in range(width)) for y in range(height))


def _pixel(glyph: Pixels, x: int, y: int, scale: int) -> bool:
    column, i = divmod(x, scale)
    line, j = divmod(y, scale)
    on = _on(glyph, column, line)
    if min(i, scale - 1 - i) + min(j, scale - 1 - j) >= scale // 2:
        return on
    dx = -1 if 2 * i < scale else 1
    dy = -1 if 2 * j < scale else 1
    beside, above, across = (
        _on(glyph, column + dx, line),
        _on(glyph, column, line + dy),
        _on(glyph, column + dx, line + dy),
    )
    if on:
        # A cut of one pixel in two would make points of round corners.
        return beside or above or across or scale < 3
    return beside and above and not across


def _on(glyph: Pixels, column: int, line: int) -> bool:
    return 0 <= line < len(glyph) and 0 <= column < len(glyph[0]) and glyph[line][column]
