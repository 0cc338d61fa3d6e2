"""Text made fit for the sheets' fonts: nothing that a font lacks may stop a sheet from being made.

Source: the character map of the fallback font itself. Status: derived.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from spindlewright.sheets.fonts import characters_there_are

REPLACEMENT = "\N{WHITE SQUARE}"
"""Stands, plain to see, for a character that the fonts lack."""
LONGEST_WORD = 28
_PIECE = 14
_BREAK = "\N{ZERO WIDTH SPACE}"
_AS_THEY_ARE = frozenset({"svg"})
"""Fields that hold a drawing, not words."""


def printable(text: str) -> str:
    """``text`` with a white square for each character that the fonts lack; marks that steer direction or join
    letters, and control characters, are left out. Words longer than ``LONGEST_WORD`` may break after each 14th.

    >>> printable("tick \\U0001fa97 tock\\x07"), printable("\\u05e9\\u05dc\\u05d5\\u05dd")
    ('tick □ tock', 'שלום')
    """
    there = characters_there_are()
    kept = []
    for character in unicodedata.normalize("NFC", text.replace("\r\n", "\n")):
        if character == "\n":
            kept.append(character)
        elif character.isspace():
            kept.append(character if character in "\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}" else " ")
        elif unicodedata.category(character) in ("Cc", "Cf") or 0xFE00 <= ord(character) <= 0xFE0F:
            continue
        else:
            kept.append(character if ord(character) in there else REPLACEMENT)
    return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", _in_pieces, "".join(kept)).strip()


def _in_pieces(match: re.Match[str]) -> str:
    word = match.group()
    if "\N{NO-BREAK SPACE}" in word:
        return word
    return _BREAK.join(word[start : start + _PIECE] for start in range(0, len(word), _PIECE))


def as_plain_object(content: Any) -> Any:
    """A dataclass as plain lists and dicts for JSON, its words made printable; drawings are left as they are."""
    if is_dataclass(content) and not isinstance(content, type):
        return {
            item.name: getattr(content, item.name)
            if item.name in _AS_THEY_ARE
            else as_plain_object(getattr(content, item.name))
            for item in fields(content)
        }
    if isinstance(content, str):
        return printable(content)
    if isinstance(content, Mapping):
        return {str(key): as_plain_object(value) for key, value in content.items()}
    if isinstance(content, Sequence):
        return [as_plain_object(value) for value in content]
    return content


@cache
def replaced_note() -> str:
    """What a sheet says at its end when it holds a white square."""
    return f"{REPLACEMENT} stands for a character that the fonts of this sheet do not have."


def holds_replacement(plain: Any) -> bool:
    """Whether any words in a plain object hold the white square."""
    if isinstance(plain, str):
        return REPLACEMENT in plain
    if isinstance(plain, Mapping):
        return any(holds_replacement(value) for key, value in plain.items() if key not in _AS_THEY_ARE)
    return isinstance(plain, list) and any(holds_replacement(value) for value in plain)
