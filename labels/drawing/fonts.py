"""The typeface of labels, Vera, which reportlab brings along: free to embed, the same in PDF and picture."""

import re
import unicodedata
from functools import lru_cache
from pathlib import Path

import reportlab
from PIL import ImageFont
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Vera", "VeraBd"
CAP_HEIGHT = 0.73
DESCENT = 0.21
MISSING = "\u25ca"

_FOLDER = Path(reportlab.__file__).parent / "fonts"
_ELLIPSIS = "\u2026"
_GLUE = "\u00a0"
_NUMBER_AND_UNIT = re.compile(r"(\d) (?=(?:g|kg|mm|cm|m|oz|in|ft|yd|l)\b)")
_INK_EM = 400
_ROUNDING = 1e-6
_STAND_INS = {"\u2192": "->", "\u2190": "<-", "\u2032": "'", "\u2033": '"', "\u2044": "/", "\u2011": "-", "\u2212": "-"}


def font_path(name: str) -> Path:
    return _FOLDER / f"{name}.ttf"


@lru_cache(maxsize=2)
def _registered(name: str) -> TTFont:
    font = TTFont(name, str(font_path(name)))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=16_384)
def width_em(text: str, name: str) -> float:
    _registered(name)
    return pdfmetrics.stringWidth(text, name, 1)


def ink_em(text: str, name: str) -> tuple[float, float]:
    """Where the ink of a line begins and ends; a J begins well to the left of where it is set."""
    if not text:
        return 0.0, 0.0
    return _ink_of(text[0], name)[0], width_em(text[:-1], name) + _ink_of(text[-1], name)[1]


@lru_cache(maxsize=512)
def _ink_of(character: str, name: str) -> tuple[float, float]:
    font = ImageFont.truetype(str(font_path(name)), _INK_EM, layout_engine=ImageFont.Layout.BASIC)
    mask, (start, _) = font.getmask2(character, mode="1", anchor="ls")
    left, _, right, _ = mask.getbbox() or (0, 0, 0, 0)
    return (start + left) / _INK_EM, (start + right) / _INK_EM


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """The text with what the typeface lacks replaced: accents are left off, anything else shows as a lozenge."""
    spaced = " ".join(unicodedata.normalize("NFC", text).split())
    return "".join(_drawn(character) for character in spaced)


def _drawn(character: str) -> str:
    known = _registered(REGULAR).face.charToGlyph
    if ord(character) in known:
        return character
    if character in _STAND_INS:
        return _STAND_INS[character]
    plain = "".join(part for part in unicodedata.normalize("NFKD", character) if not unicodedata.combining(part))
    return plain if plain and all(ord(part) in known for part in plain) else MISSING


def cut_to(text: str, name: str, room_em: float) -> str:
    """The text, or as much of it as fits in room_em before an ellipsis."""
    if width_em(text, name) <= room_em + _ROUNDING:
        return text
    kept = text
    while kept and width_em(kept.rstrip() + _ELLIPSIS, name) > room_em:
        kept = kept[:-1]
    return kept.rstrip() + _ELLIPSIS


def wrapped(text: str, name: str, room_em: float) -> list[str]:
    """The text in lines of at most room_em. A number keeps its unit; a word longer than a line is broken at its end."""
    lines: list[str] = []
    for word in _words(text):
        if lines and width_em(f"{lines[-1]} {word}", name) <= room_em:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines += _broken(word, name, room_em)
    return lines


@lru_cache(maxsize=4096)
def _words(text: str) -> tuple[str, ...]:
    glued = _NUMBER_AND_UNIT.sub(rf"\1{_GLUE}", text)
    return tuple(word.replace(_GLUE, " ") for word in glued.split(" "))


def _broken(word: str, name: str, room_em: float) -> list[str]:
    if width_em(word, name) <= room_em:
        return [word]
    pieces, piece = [], ""
    for character in word:
        if piece and width_em(piece + character, name) > room_em:
            pieces.append(piece)
            piece = ""
        piece += character
    return [*pieces, piece]


def first_lines(lines: list[str], count: int, name: str, room_em: float) -> list[str]:
    """The first lines, the last of them with an ellipsis when more follow."""
    if len(lines) <= count:
        return lines
    return [*lines[: count - 1], cut_to(" ".join(lines[count - 1 :]), name, room_em)]
