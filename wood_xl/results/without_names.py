"""Season notes in which nobody is called by name.

Names give way in the notes, before anything is computed, so that no sentence made from them can name anybody. In
finished sentences a person called May or Hand could not be told from a word of this program.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from functools import cache
from itertools import count
from typing import Any

from wood_xl.data.trees import species_named
from wood_xl.notes.names import plain
from wood_xl.notes.workers import worker_numbers
from wood_xl.schema.model import Column, season_definition

PEOPLE = "people.person"
ALIAS = "worker {}"

Row = dict[str, Any]
Change = Callable[[str], str]


def without_names(data: Row) -> Row:
    """The notes with people called ``worker 1``, ``worker 2`` and so on, in the order in which they work.

    Names give way where a person is meant, and as words of whatever else somebody made up: the names of the season,
    of methods, tools, sessions and lots. What was chosen from a list stays, and so does the name of a tree.
    """
    changes = _changes(data)
    return {sheet_id: _changed(content, changes.get(sheet_id, {})) for sheet_id, content in data.items()}


def without_place(data: Row) -> Row:
    """The notes with a season's name that does not tell the place, which people like to name it after."""
    season = data["season"]
    if not plain(str(season.get("place", ""))) or "season_name" not in season:
        return data
    name = re.sub(_as_words(season["place"]), "the place", season["season_name"], flags=re.IGNORECASE)
    return {**data, "season": {**season, "season_name": name}}


def renamer(data: Row) -> Change:
    """A function that replaces people's names as words of a text, whatever case they are written in."""
    aliases = _aliases(data)
    typed = dict.fromkeys(
        str(row["person"]) for rows in data.values() if isinstance(rows, list) for row in rows if "person" in row
    )
    spelled = {
        spelling: aliases[plain(name)]
        for name in typed
        if plain(name)
        for spelling in (name, plain(name), *(unicodedata.normalize(form, name) for form in ("NFC", "NFD")))
    }
    longest_first = sorted(spelled, key=len, reverse=True)
    if not longest_first:
        return str
    replaced_by = [spelled[name] for name in longest_first]
    pattern = re.compile("|".join(f"({_as_words(name)})" for name in longest_first), re.IGNORECASE)

    def replaced(match: re.Match[str]) -> str:
        after = match.string[match.end() : match.end() + 1]
        alias = aliases.get(plain(match[0]), replaced_by[(match.lastindex or 1) - 1])
        return f"{alias} " if after.isdigit() else alias

    return cache(lambda text: pattern.sub(replaced, text))


def _aliases(data: Row) -> dict[str, str]:
    """What each person is called instead, by name as names are compared; nothing that is called so already."""
    numbers = worker_numbers(data)
    texts = (
        plain(str(row[column.id]))
        for sheet in season_definition().sheets
        for column in sheet.columns
        if _is_made_up(column) and not _is_person(column)
        for row in _rows(data.get(sheet.id, []))
        if column.id in row
    )
    said = {words for text in texts for words in re.findall(ALIAS.format(r"\d+"), text)} - numbers.keys()
    free = (alias for n in count(1) if (alias := ALIAS.format(n)) not in said)
    return dict(zip(numbers, free, strict=False))


def _changes(data: Row) -> dict[str, dict[str, Change]]:
    """For each sheet and column with texts that somebody made up, what becomes of one."""
    aliases, retold = _aliases(data), renamer(data)

    def change(column: Column) -> Change:
        if _is_person(column):
            return lambda name: aliases.get(plain(name), name)
        if column.suggests == "species":
            return lambda name: retold(name) if species_named(name) is None else name
        return retold

    return {
        sheet.id: {column.id: change(column) for column in sheet.columns if _is_made_up(column)}
        for sheet in season_definition().sheets
    }


def _changed(content: Any, changes: Mapping[str, Change]) -> Any:
    if isinstance(content, list):
        return [_changed(row, changes) for row in content]
    if not changes:
        return content
    return {key: changes[key](value) if key in changes else value for key, value in content.items()}


def _rows(content: Any) -> list[Row]:
    return content if isinstance(content, list) else [content]


def _is_person(column: Column) -> bool:
    return PEOPLE in (column.ref, column.refers_to)


def _is_made_up(column: Column) -> bool:
    """Whether people write there what they like, not what a list or a form asks for."""
    return column.type == "string" and not (column.choices or column.is_date or column.is_clock or column.pattern)


def _as_words(name: str) -> str:
    """Pattern of a name that goes on neither before nor behind: letters end a word, digits a number."""
    pattern = r"\s+".join(map(re.escape, name.split()))
    return f"{_not_more(name.strip()[0], '<')}{pattern}{_not_more(name.strip()[-1], '')}"


def _not_more(letter: str, side: str) -> str:
    return rf"(?{side}![^\W\d_])" if letter.isalpha() else rf"(?{side}!\d)" if letter.isdigit() else ""
