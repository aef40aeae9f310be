"""Sizes that the workbook format or its programs set, and text made fit to be stored.

Published nowhere in one place; all are those of the .xlsx format as the common programs enforce them. A text beyond a
size is never cut in silence.
"""

from __future__ import annotations

import re

from wood_xl.pages import InFile
from wood_xl.schema.words import phrase

MOST_ROWS = 1_048_576
MOST_COLUMNS = 16_384
CELL_TEXT = 32_767  # UTF-16 units, as the programs count
SHEET_TITLE = 31
PROMPT_TITLE = 32  # also of the title over a refusal
PROMPT_TEXT = 255
REFUSAL_TEXT = 225  # some programs take 255, some cut at 225

# What XML 1.0 cannot carry. Lone surrogates and U+FFFE are saved without complaint and spoil the whole file.
_NOT_STORABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LINE_END = re.compile("\r\n?")
# Programs read ``_x000D_`` as a control character. The same text typed by a person is kept by writing its first
# underscore as an escape of its own.
_LIKE_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")


def storable_text(text: str) -> str:
    r"""Text as a cell can hold it, with nothing lost unseen.

    A character that XML cannot carry becomes ``[character 11]``, line ends become line feeds, and a text longer than
    a cell is cut and ends with how much was cut.

    >>> storable_text("knotty\x0bnorth side")
    'knotty[character 11]north side'
    """
    if text.isprintable() and "_x" not in text and len(text) * 2 <= CELL_TEXT:
        return text  # as most are: the rest looks for what cannot be printed
    shown = _NOT_STORABLE.sub(lambda match: phrase(InFile.CHARACTER, number=ord(match[0])), _LINE_END.sub("\n", text))
    shown = _LIKE_ESCAPE.sub("_x005F_", shown)
    if len(shown) * 2 <= CELL_TEXT or cell_length(shown) <= CELL_TEXT:
        return shown
    return _cut(shown)


def cell_length(text: str) -> int:
    """Length of a text as the programs count it: in UTF-16 units."""
    return len(text) + sum(1 for letter in text if letter > "\uffff")


def _cut(text: str) -> str:
    room = CELL_TEXT - len(phrase(InFile.CUT, n=len(text)))
    kept = text[:room]
    while cell_length(kept) > room:
        kept = kept[: len(kept) - (cell_length(kept) - room + 1) // 2]
    return kept + phrase(InFile.CUT, n=len(text) - len(kept))


def short_title(text: str) -> str:
    """A title that a message beside a cell can have: the whole words that fit, with dots if some do not.

    >>> short_title("Margin that would not change your choice")
    'Margin that would not change...'
    """
    if len(text) <= PROMPT_TITLE:
        return text
    return text[: PROMPT_TITLE - 2].rsplit(" ", 1)[0] + "..."
