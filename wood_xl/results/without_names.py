"""Season notes without people's names.

Names are replaced in the notes before anything is computed, so that no sentence made from them can name anybody. In
finished sentences, a person called May or Hand could not be told from a word of this program.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from functools import cache
from itertools import count
from typing import Any

from wood_xl.data.load import species_named
from wood_xl.notes.document import worker_numbers
from wood_xl.notes.names import plain
from wood_xl.notes.relations import NO_REASON, NOT_LEFT_OUT
from wood_xl.reasons import sentences
from wood_xl.schema.model import Column, season_definition

PEOPLE = "people.person"
PLACE = "season.place"
ALIAS = "Person {}"
IS_ALIAS = plain(ALIAS).format(r"\d+")
SOMEBODY = "a person"  # replaces a word that is part of several names
THE_PLACE = "the place"
LEAVE_OUT = "sessions.leave_out"
A_REASON = "a reason that is not shared"
SHORTEST_WORD = 3
ONE_CASE = str.maketrans("\u0130\u0131", "ii")  # patterns match these with i; casefold does not

Row = dict[str, Any]
Change = Callable[[str], str]


def without_names(data: Row) -> Row:
    """The notes with people called ``Person 1``, ``Person 2`` and so on, in the order in which they work.

    Names are replaced in the columns of people, and as words of all other names that somebody made up: of the season,
    methods, tools, sessions, lots and stacks. Choices from a list and names of trees stay.
    """
    aliases, without_people = _aliases(data), _distinct(renamer(data))

    def change(column: Column) -> Change:
        if _is_person(column):
            return lambda name: aliases.get(plain(name), name)
        if column.suggests == "species":
            return lambda name: without_people(name) if species_named(name) is None else name
        return without_people

    return _with_changes(data, change)


def without_place(data: Row) -> Row:
    """The notes without the place, after which people like to name a season, a lot or a method.

    Reasons for leaving out a session are removed too: people write there who was ill.
    """
    no_place = _distinct(placeless(data))

    def change(column: Column) -> Change:
        if column.ref == LEAVE_OUT:
            return lambda why: why if plain(why) in (*NOT_LEFT_OUT, *NO_REASON) else A_REASON
        return str if _is_person(column) or column.ref == PLACE else no_place

    return _with_changes(data, change)


def placeless(data: Row) -> Change:
    """A function that replaces the place in a text, as a whole and each of its words.

    Words that this program uses itself, and names of trees, stay.
    """
    place = str(data["season"].get("place", ""))
    if not plain(place):
        return str
    parts = [word for word in _single_words(place) if word not in _own_words() and species_named(word) is None]
    pattern = re.compile("|".join(map(_as_words, (place, *parts))), re.IGNORECASE)
    repeated = re.compile(rf"{THE_PLACE}(?:[\s,]+{THE_PLACE})+")
    double = re.compile(rf"\bthe {THE_PLACE}", re.IGNORECASE)

    def changed(text: str) -> str:
        replaced = pattern.sub(THE_PLACE, text)
        return text if replaced == text else double.sub(THE_PLACE, repeated.sub(THE_PLACE, replaced))

    return cache(changed)


def shared_names(data: Row, ref: str) -> dict[str, str]:
    """Each name in a column with the one that it has in notes without people and place."""
    sheet_id, _, column_id = ref.partition(".")
    nameless = without_names(without_place(data))
    pairs = zip(_rows(data.get(sheet_id, [])), _rows(nameless.get(sheet_id, [])), strict=True)
    return {str(row[column_id]): str(other[column_id]) for row, other in pairs if column_id in row}


def renamer(data: Row) -> Change:
    """A function that replaces people's names, whole and by each word, in upper or lower case."""
    aliases = _aliases(data)
    typed = dict.fromkeys(
        str(row["person"]) for rows in data.values() if isinstance(rows, list) for row in rows if "person" in row
    )
    alias_of = {name: aliases[plain(name)] for name in typed if plain(name)}
    for name, alias in list(alias_of.items()):
        for word in () if re.fullmatch(IS_ALIAS, plain(name)) else _single_words(name):
            alias_of[word] = alias if alias_of.get(word, alias) == alias else SOMEBODY
    by_spelling = {
        spelling: alias
        for name, alias in alias_of.items()
        for spelling in (name, plain(name), *(unicodedata.normalize(form, name) for form in ("NFC", "NFD")))
    }
    longest_first = sorted(by_spelling, key=len, reverse=True)
    frequency = Counter(part for name in longest_first for part in _parts(name))
    by_rarest_part = defaultdict(list)
    for number, name in enumerate(longest_first):
        by_rarest_part[min(_parts(name), key=lambda part: (frequency[part], part), default="")].append(number)

    def changed(text: str) -> str:
        # Thousands of people may have worked, so only names whose rarest part is in the text are searched for.
        numbers = sorted(number for part in ("", *_parts(text)) for number in by_rarest_part.get(part, ()))
        names = [longest_first[number] for number in numbers]

        def replaced(match: re.Match[str]) -> str:
            after = match.string[match.end() : match.end() + 1]
            alias = aliases.get(plain(match[0]), by_spelling[names[(match.lastindex or 1) - 1]])
            return f"{alias} " if after.isdigit() else alias

        pattern = "|".join(f"({_as_words(name)})" for name in names)
        return re.sub(pattern, replaced, text, flags=re.IGNORECASE) if names else text

    return cache(changed)


def _parts(text: str) -> set[str]:
    """Runs of letters and of digits, in one case.

    A name that is found in a text has all its runs in common with it, since a match never begins or ends within one.
    """
    runs = re.findall(r"[^\W\d_]+|\d+", text)
    return {run.translate(ONE_CASE).casefold() for run in runs if run.isalpha() or run.isdecimal()}


def _single_words(name: str) -> list[str]:
    """Words of a name that has several, without punctuation; short ones such as initials identify nobody."""
    words = [word.strip(".,;:()\"'") for word in re.split(r"[\s\u2010-\u2015/-]+", plain(name))]
    return [word for word in words if len(word) >= SHORTEST_WORD] if len(words) > 1 else []


@cache
def _own_words() -> frozenset[str]:
    own = (text for enum in sentences().values() for text in enum.values())
    return frozenset(word for text in own for word in re.findall(r"[^\W\d_]+", plain(text)))


def _distinct(change: Change) -> Change:
    """The change, with a number added where two different texts would become the same."""
    originals_of: dict[str, list[str]] = {}

    def changed(text: str) -> str:
        new = change(text)
        if new == text:
            return text
        originals = originals_of.setdefault(plain(new), [])
        if plain(text) not in originals:
            originals.append(plain(text))
        number = originals.index(plain(text)) + 1
        return new if number == 1 else f"{new} ({number})"

    return changed


def _aliases(data: Row) -> dict[str, str]:
    """The alias of each person, by name as names are compared; aliases that the notes use already are skipped."""
    numbers = worker_numbers(data)
    texts = (
        plain(str(row[column.id]))
        for sheet in season_definition().sheets
        for column in sheet.columns
        if _is_made_up(column) and not _is_person(column)
        for row in _rows(data.get(sheet.id, []))
        if column.id in row
    )
    used = {alias for text in texts for alias in re.findall(IS_ALIAS, text)} - numbers.keys()
    free = (alias for n in count(1) if plain(alias := ALIAS.format(n)) not in used)
    return dict(zip(numbers, free, strict=False))


def _with_changes(data: Row, change: Callable[[Column], Change]) -> Row:
    """The notes with each made-up text changed by the function for its column."""
    changes = {
        sheet.id: {column.id: change(column) for column in sheet.columns if _is_made_up(column)}
        for sheet in season_definition().sheets
    }
    return {sheet_id: _changed(content, changes.get(sheet_id, {})) for sheet_id, content in data.items()}


def _changed(content: Any, changes: Mapping[str, Change]) -> Any:
    if isinstance(content, list):
        return [_changed(row, changes) for row in content]
    if not changes:
        return content
    new = {key: changes[key](value) for key, value in content.items() if key in changes}
    # Unchanged rows stay the same objects, as a heart trace has very many.
    return content | new if any(content[key] != text for key, text in new.items()) else content


def _rows(content: Any) -> list[Row]:
    return content if isinstance(content, list) else [content]


def _is_person(column: Column) -> bool:
    return PEOPLE in (column.ref, column.refers_to)


def _is_made_up(column: Column) -> bool:
    """Whether the texts of a column are made up, and not bound to a list or a form."""
    return column.type == "string" and not (column.choices or column.is_date or column.is_clock or column.pattern)


def _as_words(name: str) -> str:
    """Pattern that finds a name only where no letter or digit continues it at either end."""
    pattern = r"\s+".join(map(re.escape, name.split()))
    return f"{_no_more(name.strip()[0], '<')}{pattern}{_no_more(name.strip()[-1], '')}"


def _no_more(letter: str, side: str) -> str:
    return rf"(?{side}![^\W\d_])" if letter.isalpha() else rf"(?{side}!\d)" if letter.isdigit() else ""
