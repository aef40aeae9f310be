"""The notes read row by row, and checks between cells, rows and sheets."""

from __future__ import annotations

import math
import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import dataclass, fields
from functools import cached_property
from itertools import chain
from operator import ge, gt
from typing import Any

from wood_xl.body.effort_equations import max_heart_rate_bpm
from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.notes.document import Cell, SeasonDocument, is_label_alone, planned_sessions, renamed_to
from wood_xl.notes.names import NONE, Nearest, is_ditto, names_in, parts_of, plain
from wood_xl.notes.problem import ROWS_NAMED, Place, Problem, ProblemLines, amount_text, number_text, problem, quoted
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.reasons import Listing, Slip
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert

TOOL_COLUMNS = ("tool_1", "tool_2", "tool_3")
PEOPLE, SESSIONS = "people.person", "sessions.session"
LABELS = ("sessions.lot", "stacks.stack", "woodshed.stack", "methods.cost_group")
WORKERS = ("sessions", "helpers")
RENAMED = ("methods", "tools")  # sheets of which no name is without use for long
OTHER_NAMES = {"people": ("methods",), "methods": ("people", "tools"), "tools": ("methods", "people")}
MOST_WAYS = 12  # methods of one task: each is compared with each, and no household tries as many
_FROM_TO = re.compile(r"\.?\s*(?:[\u2010-\u2015\u2212-]|\.{2,}|\u2026)\s*|\s+(?:to|through|thru)\s+", re.IGNORECASE)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ANY_DAY = ["any", "day"]
SEVERAL_DAYS = {"weekend": "sat-sun", "weekday": "mon-fri"}

OVER = (  # a number that must not exceed another of its row; a resting heart rate must not reach the highest
    ("tools", "resale", "price", "money", gt, "row-resale-over-price"),
    ("tools", "worth_today", "price", "money", gt, "row-worth-over-price"),
    ("tools", "years_left", "life_years", "years", gt, "row-left-over-life"),
    ("stacks", "top_length", "length", "m", gt, "row-top-over-bottom"),
    ("people", "resting_heart_rate", "max_heart_rate", "beats/min", ge, "row-rest-over-max"),
)
NOT_LEFT_OUT = {*NONE, "no", "n", "ok", "0", "false"} - {"unknown"}
NO_REASON = ("yes", "x", "1", "true")


@dataclass(frozen=True)
class Notes:
    """A season document read row by row, without cells that must not be used."""

    document: SeasonDocument
    broken: Set[Cell]  # cells that must not be used
    unread: Set[tuple[str, str]]  # sheet and column ids of whole columns and items that could not be read

    def waits(self, sheet_id: str, index: int | None, column_id: str) -> bool:
        """Whether a cell waits for a mend, or its column or item could not be read: a blank there says nothing."""
        return (sheet_id, index, column_id) in self.broken or (sheet_id, column_id) in self.unread

    def item(self, sheet_id: str, column_id: str, unit: str | None = None) -> Any:
        """Value of an item in a unit, or as typed; None if it is blank or broken."""
        broken = (sheet_id, None, column_id) in self.broken
        value = None if broken else self.document.items(sheet_id).get(column_id)
        if value is None or unit is None:
            return value
        return convert(float(value), self.document.unit(sheet_id, column_id) or unit, unit)

    def row(self, sheet_id: str, index: int) -> NotesRow:
        """One row of a table."""
        return NotesRow(self, sheet_id, index, self.document.rows(sheet_id)[index])

    def each(self, sheet_id: str, column_id: str | None = None) -> Iterator[NotesRow]:
        """Rows of a table, or those with anything in a column, one at a time: a heart trace has very many."""
        for index, row in enumerate(self.document.rows(sheet_id)):
            if column_id is None or column_id in row:
                yield NotesRow(self, sheet_id, index, row)

    def rows(self, sheet_id: str) -> list[NotesRow]:
        """All rows of a table."""
        return [*self.each(sheet_id)]

    def by_name(self, sheet_id: str) -> dict[str, list[NotesRow]]:
        """Rows of a table by the name in its first column, as names are compared; without rows that have none."""
        if sheet_id not in self._by_name:
            rows = self._by_name[sheet_id] = {}
            column_id = season_definition().sheet(sheet_id).columns[0].id
            for row in self.each(sheet_id, column_id):
                if (name := row.name(column_id)) is not None:
                    rows.setdefault(name, []).append(row)
        return self._by_name[sheet_id]

    @cached_property
    def _by_name(self) -> dict[str, dict[str, list[NotesRow]]]:
        return {}

    def named(self, sheet_id: str, name: str | None) -> NotesRow | None:
        """First row of that name, as names are compared; None if none has it."""
        rows = self.by_name(sheet_id).get(name or "")
        return rows[0] if rows else None

    @cached_property
    def planned(self) -> frozenset[int]:
        """Indexes of sessions that are only planned."""
        return planned_sessions(self.document, self.broken)

    @cached_property
    def near_session(self) -> Nearest:
        """Finds the session that an unknown name most likely stands for, as names are compared."""
        return Nearest(self.by_name("sessions"))

    def problem(self, code: str, sheet_id: str, item: str, **facts: str) -> Problem:
        """A problem at an item."""
        return problem(code, self.document.place(sheet_id, None, item), **facts)

    def weekdays(self) -> tuple[int, ...]:
        """Working days of the week, Monday is 0; empty if none is named."""
        found = set[int]()
        for word in self.words_of_days():
            ends = [WEEKDAYS.index(end[:3]) for end in plain(word).split("-") if _is_day(end)]
            if len(ends) == 2:  # from Friday to Monday it is four days
                found |= {(ends[0] + n) % len(WEEKDAYS) for n in range((ends[1] - ends[0]) % len(WEEKDAYS) + 1)}
            found |= {*ends}  # Mon-Wed-Fri are three
        return tuple(sorted(found))

    def words_of_days(self) -> list[str]:
        """Words of the item Days you can work; a span from one day to another is one word."""
        text = _FROM_TO.sub("-", self.document.items("trial").get("work_days", ""))
        typed = [word for word in re.split(r"[\s.,;+/&]+", text) if word and plain(word) != "and"]
        return [SEVERAL_DAYS.get(plain(word).removesuffix("s"), word) for word in typed]


@dataclass(slots=True, eq=False)
class NotesRow:
    """One row of a table of the notes."""

    notes: Notes
    sheet_id: str
    index: int
    typed: dict[str, Any]  # all its values, also those that must not be used

    def __getitem__(self, column_id: str) -> Any:
        """Value of a cell as typed; None if it is blank or broken."""
        value = self.typed.get(column_id)
        return None if value is None or (self.sheet_id, self.index, column_id) in self.notes.broken else value

    def text(self, column_id: str) -> str:
        """Value of a cell as a text."""
        return str(self[column_id])

    def quoted(self, column_id: str) -> str:
        """Value of a cell in quotes, for a message."""
        return quoted(str(self[column_id]))

    def shown(self, column_id: str) -> str:
        """Value of a cell with its unit, for a message."""
        return amount_text(float(self[column_id]), self.unit(column_id))

    def unit(self, column_id: str) -> str:
        """Unit that a column was typed in; empty if it has none."""
        return self.notes.document.unit(self.sheet_id, column_id)

    def number(self, column_id: str, unit: str) -> float | None:
        """Value of a cell in a unit; None if it is blank or broken."""
        value = self[column_id]
        if value is None:
            return None
        return convert(float(value), self.notes.document.unit(self.sheet_id, column_id) or unit, unit)

    def read(self, column_id: str, unit: str | None) -> Any:
        """Value of a cell in a unit, or as typed without one."""
        return self[column_id] if unit is None else self.number(column_id, unit)

    def name(self, column_id: str) -> str | None:
        """Value of a cell as names are compared; None if it is blank or broken."""
        value = self[column_id]
        return None if value is None else plain(value)

    def waits(self, column_id: str) -> bool:
        """Whether a cell waits for a mend."""
        return self.notes.waits(self.sheet_id, self.index, column_id)

    def is_empty(self, column_id: str) -> bool:
        """Whether a cell is blank."""
        return column_id not in self.typed and not self.waits(column_id)

    def referred(self, column_id: str, sheet_id: str) -> NotesRow | None:
        """The row of another sheet that a cell names; None if there is none."""
        return self.notes.named(sheet_id, self.name(column_id))

    def place(self, column_id: str) -> Place:
        """Place of a cell."""
        return self.notes.document.place(self.sheet_id, self.index, column_id)

    def problem(self, code: str, column_id: str, cells_n: int = 1, /, **facts: str) -> Problem:
        """A problem at a cell, or at a number of cells from there down."""
        return problem(code, self.place(column_id), cells_n, **facts)


def as_noted(kind: type, read: Callable[[str, str | None], Any]) -> dict[str, Any]:
    """Fields of a record that are cells of the notes; ``read`` gives the value of a column in a unit."""
    filled = {}
    for field in fields(kind):
        if field.metadata and (value := read(field.metadata["column"], unit := field.metadata["unit"])) is not None:
            filled[field.name] = value / 100 if unit == "%" else value
    return filled


def why_left_out(session: NotesRow) -> str | None:
    """Why a session is left out; None if it counts, also where only no, 0 or a dash is written."""
    typed = session["leave_out"]
    if typed is None or plain(str(typed)) in NOT_LEFT_OUT:
        return None
    return words(Slip.NO_REASON) if plain(str(typed)) in NO_REASON else str(typed)


def tools_of(method: NotesRow) -> list[NotesRow]:
    """Rows of the known tools that a method names, each once."""
    tools = (method.referred(column, "tools") for column in TOOL_COLUMNS)
    return [*{tool.index: tool for tool in tools if tool is not None}.values()]


def may_use(person: NotesRow) -> tuple[str, ...] | None:
    """Tools that a person was trained at, as the sheet Tools names them; None if the template did not ask."""
    notes, column = person.notes, season_definition().column("people.may_use")
    is_asked = not column.is_newer_than(notes.document.data["version"]) or ("people", "may_use") in notes.unread
    if not is_asked and not any("may_use" in row for row in notes.document.rows("people")):
        return None
    return listed_names(person, "may_use", "tools")


def listed_names(person: NotesRow, column_id: str, sheet_id: str) -> tuple[str, ...]:
    """Names in a cell that another sheet has, as it spells them."""
    known, column = person.notes.by_name(sheet_id), season_definition().sheet(sheet_id).columns[0].id
    names = dict.fromkeys(map(plain, names_in(person[column_id] or "", known)))
    return tuple(known[name][0].text(column) for name in names if name in known)


def relation_problems(notes: Notes) -> list[Problem]:
    """Everything that does not fit together."""
    of_names = (_duplicates, _accents, _references, _labels, _under_age, _leave_out, _on_no_list)
    of_values = (_ways_of_a_task, _work_days, _one_over_other, _heart_rates)
    lines = ProblemLines()
    for fault in chain.from_iterable(rule(notes) for rule in (*of_names, *of_values)):
        lines.add(fault)
    return lines.merged()


def _duplicates(notes: Notes) -> Iterator[Problem]:
    for sheet in season_definition().sheets:
        same: dict[tuple[str | None, ...], list[NotesRow]] = defaultdict(list)
        for row in notes.rows(sheet.id) if sheet.key else ():
            names = tuple(map(row.name, sheet.key))
            if None not in names:
                same[names].append(row)
        for rows in same.values():
            numbers = ", ".join(str(row.place(sheet.key[-1]).row) for row in rows)
            is_by_two = sheet.id == "sessions" and len({row.name("person") for row in rows}) > 1
            more = words(HowToMend.HELPER_APART) if is_by_two else ""
            for row in rows if len(rows) > 1 else ():
                found = phrase(Listing.WITH, parts=tuple(map(row.quoted, sheet.key)))
                yield row.problem("table-duplicate-key", sheet.key[-1], found=found, rows=numbers, more=more)


def _accents(notes: Notes) -> Iterator[Problem]:
    """People whose names differ by an accent alone."""
    first: dict[str, NotesRow] = {}
    for row in notes.rows("people"):
        letters = unicodedata.normalize("NFKD", row.name("person") or "")
        bare = "".join(letter for letter in letters if not unicodedata.combining(letter))
        other = first.setdefault(bare, row)
        if bare and other.name("person") != row.name("person"):
            yield row.problem("row-accent-alone", "person", found=row.quoted("person"), near=other.quoted("person"))


def _references(notes: Notes) -> Iterator[Problem]:
    """Names that the sheet they refer to does not have."""
    for column in (column for sheet in season_definition().sheets for column in sheet.columns if column.refers_to):
        target = season_definition().column(column.refers_to or "")
        if (target.sheet, target.id) in notes.unread:
            continue  # no name can be looked up before that is mended
        known = notes.by_name(target.sheet)
        unknown: dict[str, list[int]] = defaultdict(list)  # a heart trace may hold one name half a million times
        for row in notes.each(column.sheet, column.id):
            name = row.name(column.id)
            if name is not None and name not in known and not is_label_alone(column.sheet, row.typed):
                unknown[name].append(row.index)
        yield from _marks(notes, column, unknown)
        near_name = Nearest(str(row[target.id]) for row in notes.document.rows(target.sheet) if target.id in row)
        for name, indexes in unknown.items():
            yield from _unknown_name(notes, column, name, near_name(name), indexes)


def _unknown_name(
    notes: Notes, column: Column, name: str, near: str | None, indexes: Sequence[int]
) -> Iterator[Problem]:
    """A problem at each row of an unknown name; ``near``: the known name that is most like it."""
    definition = season_definition()
    sheet_id = definition.column(column.refers_to or "").sheet
    known, is_person = notes.by_name(sheet_id), column.refers_to == PEOPLE
    is_worker = is_person and column.sheet in WORKERS
    are_workers, several_n = is_worker and len(parts_of(name)) > 1, len(names_in(name, known))
    hint = phrase(InMessage.NEARLY, name=quoted(near)) if near else ""
    elsewhere = next((other for other in OTHER_NAMES.get(sheet_id, ()) if name in notes.by_name(other)), None)
    renamed = renamed_to(notes.document, sheet_id) if sheet_id in RENAMED and not near else ()
    if renamed:
        hint = phrase(InMessage.RENAMED, names=tuple(map(quoted, renamed)))
    elif elsewhere and elsewhere != column.sheet:  # a method may go by the name of its tool
        hint = phrase(InMessage.ELSEWHERE, sheet=definition.sheet(elsewhere).title)
    elif is_person and not known and not are_workers:
        return  # people without body data are welcome: the activity table stands in
    is_nobody = is_person and not hint and several_n == 1
    code = "table-person-without-data" if is_nobody else "table-unknown-reference"
    if several_n > 1:
        one_only = HowToMend.ONE_SESSION if column.refers_to == SESSIONS else HowToMend.ONE_NAME
        code, hint = "table-several-names", words(HowToMend.ONE_PERSON if is_worker else one_only)
    elif is_nobody and are_workers:
        code = "table-person-several"
    numbers = [notes.document.places[column.sheet].rows[index] for index in indexes]
    if numbers[-1] - numbers[0] >= len(numbers) and not is_nobody:  # the rows are not consecutive
        rows = ", ".join(map(str, numbers[:ROWS_NAMED])) + (" ..." if len(numbers) > ROWS_NAMED else "")
        hint += phrase(InMessage.IN_ROWS, rows=rows)
    facts = {"sheet": definition.sheet(sheet_id).title} | ({} if is_nobody else {"near": hint})
    found = notes.row(column.sheet, indexes[0]).quoted(column.id)
    for index in indexes:
        yield notes.row(column.sheet, index).problem(code, column.id, found=found, **facts)


def _labels(notes: Notes) -> Iterator[Problem]:
    """Marks in place of labels, which no list has: equal marks would make one pile."""
    for column in map(season_definition().column, LABELS):
        met: dict[str, list[int]] = defaultdict(list)
        for row in notes.each(column.sheet, column.id):
            met[row.name(column.id) or ""].append(row.index)
        yield from _marks(notes, column, met)


def _marks(notes: Notes, column: Column, met: dict[str, list[int]]) -> Iterator[Problem]:
    """Marks in place of names; ``met``: rows by name, which loses the marks."""
    for name, advice in {name: mark_advice(name, column) for name in met}.items():
        for row in [notes.row(column.sheet, index) for index in met.pop(name)] if advice else ():
            yield row.problem("cell-no-name", column.id, found=row.quoted(column.id), advice=advice)


def mark_advice(name: str, column: Column) -> str:
    """How to mend a ditto mark, a formula kept as text, or a word for none; empty for a name."""
    is_none = name in (NONE - {"na", "nil"} if column.refers_to == PEOPLE else NONE)  # people may have these names
    if is_none and not column.required:
        return phrase(HowToMend.EMPTY_IF_NONE)
    is_mark = is_none or is_ditto(name) or name.startswith("=")
    return phrase(HowToMend.NAME_ITSELF) if is_mark else ""


def _under_age(notes: Notes) -> Iterator[Problem]:
    """People under age who were trained at a powered tool."""
    for row in notes.rows("people"):
        kinds = {tool: notes.by_name("tools")[plain(tool)][0]["kind"] for tool in may_use(row) or ()}
        powered = ", ".join(quoted(tool) for tool, kind in kinds.items() if kind and tool_kinds()[kind].is_powered)
        if powered and row["age"] is not None and row["age"] < value("plan.adult_age"):
            facts = {"found": number_text(row["age"]), "expected": number_text(value("plan.adult_age"))}
            yield row.problem("row-may-use-under-age", "may_use", tools=powered, **facts)


LISTED = (  # columns of a person that list names of another sheet
    ("may_use", "tools", "tool", "row-unknown-tools"),
    ("leaves", "methods", "method", "row-unknown-methods"),
)


def _on_no_list(notes: Notes) -> Iterator[Problem]:
    """Listed names that their sheet does not have; nothing where its own names could not be read."""
    for column_id, sheet_id, name_column, code in LISTED:
        if (sheet_id, name_column) in notes.unread:
            continue
        known = notes.by_name(sheet_id)
        expected = ", ".join(str(row[name_column]) for row in notes.document.rows(sheet_id) if name_column in row)
        if sheet_id == "tools":
            expected = phrase(InMessage.TOOLS, tools=expected) if expected else phrase(InMessage.NO_TOOL)
        title = season_definition().sheet(sheet_id).title
        for row in notes.rows("people"):
            names = [name for name in names_in(row[column_id] or "", known) if plain(name) not in known]
            apart = [parts_of(name) for name in names]
            if any(plain(part) in known for parts in apart for part in parts):
                names = [part for parts in apart for part in parts if plain(part) not in known]
            unknown = ", ".join(map(quoted, names))
            if unknown:
                yield row.problem(code, column_id, found=unknown, sheet=title, expected=expected)


def _ways_of_a_task(notes: Notes) -> Iterator[Problem]:
    ways: Counter[str] = Counter()
    for row in notes.rows("methods"):
        ways[row["task"]] += 1
        if row["task"] is not None and ways[row["task"]] > MOST_WAYS:
            yield row.problem("row-too-many-ways", "task", expected=str(MOST_WAYS))


def _is_day(word: str) -> bool:
    """Whether a word is one day of the week, not several written together."""
    return word[:3] in WEEKDAYS and word.isalpha() and not any(day in word[3:] for day in WEEKDAYS)


def _work_days(notes: Notes) -> Iterator[Problem]:
    words_typed = notes.words_of_days()
    unknown = ", ".join(quoted(word) for word in words_typed if not all(map(_is_day, plain(word).split("-"))))
    if unknown and [*map(plain, words_typed)] != ANY_DAY:
        yield notes.problem("item-no-weekday", "trial", "work_days", found=unknown)


def _leave_out(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("sessions"):
        if row["leave_out"] is not None and why_left_out(row) is None:
            yield row.problem("row-not-left-out", "leave_out", found=row.quoted("leave_out"))
        elif row["leave_out"] is not None and plain(row.text("leave_out")) in NO_REASON:
            yield row.problem("row-left-out-no-reason", "leave_out", found=row.quoted("leave_out"))


def _one_over_other(notes: Notes) -> Iterator[Problem]:
    for sheet_id, column_id, other, unit, is_over, code in OVER:
        for row in notes.rows(sheet_id):
            number, most = row.number(column_id, unit), row.number(other, unit)
            if number is not None and most is not None and is_over(number, most):
                shown = [row.shown(key) if unit == "m" else number_text(row[key]) for key in (column_id, other)]
                yield row.problem(code, column_id, found=shown[0], expected=shown[1])


def _heart_rates(notes: Notes) -> Iterator[Problem]:
    for sheet_id in ("sessions", "helpers"):
        _, usual = season_definition().column(f"{sheet_id}.mean_heart_rate").plausible or (0.0, math.inf)
        for row in notes.rows(sheet_id):
            rate, person = row["mean_heart_rate"], row.referred("person", "people")
            if rate is None or person is None:
                continue
            rest, highest, age = (person[column] for column in ("resting_heart_rate", "max_heart_rate", "age"))
            code, limit = "", rest
            if rest is not None and rate <= rest:
                code = "table-heart-rate-below-rest"
            elif highest is not None and rate > highest:
                code, limit = "table-heart-rate-above-max", highest
            elif highest is None and age is not None and max_heart_rate_bpm(age) < rate <= usual:
                code, limit = "table-heart-rate-above-usual", round(max_heart_rate_bpm(age))
            if code:
                facts = {"found": number_text(rate), "expected": number_text(limit), "person": person.text("person")}
                yield row.problem(code, "mean_heart_rate", **facts)
