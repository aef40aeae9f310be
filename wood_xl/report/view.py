"""The results document as its pages read it: methods in order, rows by name, dates, amounts for one unit of wood."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from functools import cached_property
from typing import Any, NamedTuple

from openpyxl.utils import get_column_letter

from wood_xl.data.trade import BY_HAND, tasks, tool_kinds
from wood_xl.ids import Phrase, State
from wood_xl.io.blocks import heads_row
from wood_xl.io.inputs_echo import cell_of_note
from wood_xl.io.result_blocks import Units, table_block
from wood_xl.notes.names import called, plain
from wood_xl.notes.relations import TOOL_COLUMNS
from wood_xl.page_texts import Month, OnPages
from wood_xl.reasons import Basis, Word
from wood_xl.report import styles
from wood_xl.report.charts import ChartData, Symbol
from wood_xl.report.figure_text import MONEY, figure_text, is_money, ranged, signed, typed_money, typed_text
from wood_xl.results.figures import Place, grouped, placed_figures
from wood_xl.results.of_bodies import is_shared
from wood_xl.schema.model import Definition, System, results_definition
from wood_xl.schema.words import capital, currency_sign, digits_of, money_text, number_text, phrase, words
from wood_xl.units import units_in_a_cord
from wood_xl.verdicts import BestFor

Row = Mapping[str, Any]
Cell = dict[str, Any]

ALL = "all"  # stands for the whole job where a task is asked for
NUMBERS = ("value", "low", "high")
SHORT_MONTH = 3
JOINED = " + "  # between the methods of a combination


class Method(NamedTuple):
    """A method as typed, with its task, its tools and whether one of them has an engine or a motor."""

    name: str
    task: str
    tools: tuple[str, ...]
    is_powered: bool
    sessions_n: int

    @property
    def mark(self) -> tuple[Symbol, str]:
        """Its symbol and color in charts."""
        return role_mark(is_powered=self.is_powered)


def role_mark(*, is_powered: bool) -> tuple[Symbol, str]:
    """Symbol and color of hand tools or of engines and motors: charts never tell them apart by color alone."""
    return ("diamond", styles.POWER) if is_powered else ("circle", styles.HAND)


class DocumentView:
    """A document with its rows looked up by their texts, and with the units of its pages."""

    mark = ""  # precedes the help of each of its tables

    def __init__(self, document: Row, definition: Definition, currency: str) -> None:
        self.document = document
        self.definition = definition
        self.currency = currency  # of all amounts; empty if there is none
        self._grouped: dict[tuple[str, ...], dict[tuple[str, ...], list[Row]]] = {}
        self.system: System = document["provenance"]["display_units"]
        self.is_metric = self.system == "metric"
        self.chart_data = ChartData(words(OnPages.CHART_DATA))
        # wood, woods, mass: one unit of wood and several in words, and the unit of CO2e
        self.wood = words(OnPages.STACKED_METER if self.is_metric else OnPages.CORD)
        self.woods = words(OnPages.STACKED_METERS if self.is_metric else OnPages.CORDS)
        self.mass = "kg" if self.is_metric else "lb"
        # The document has figures for one cord; metric pages show them for one stacked cubic meter.
        self._share = 1 / units_in_a_cord(self.system)

    @cached_property
    def facts(self) -> dict[str, str]:
        """Facts that its pages have for every sentence."""
        return {"wood": self.wood, "woods": self.woods, "mass": self.mass}

    def say(self, word: Word, **facts: Any) -> str:
        """A sentence with its own facts and those of the pages."""
        return phrase(word, **{**self.facts, **facts})

    def rows(self, table: str, **keys: str) -> list[Row]:
        """Rows of a table that have these texts in these columns; grouped once, as pages ask for each method."""
        index = (table, *keys)
        if index not in self._grouped:
            self._grouped[index] = grouped(self.document[table], lambda row: tuple(row[key] for key in keys))
        return self._grouped[index].get(tuple(keys.values()), [])

    def per_unit(self, cell: Row) -> Cell:
        """A figure for one cord, turned into one for the pages' unit of wood."""
        if self._share == 1.0:
            return dict(cell)
        numbers = {key: None if cell[key] is None else cell[key] * self._share for key in NUMBERS}
        return {**cell, **numbers}


class View(DocumentView):
    """The results document of a season."""

    def __init__(self, document: Row) -> None:
        super().__init__(document, results_definition(), document["season"]["currency"])
        self.season: Row = document["season"]
        self.sign = currency_sign(self.currency)
        self.is_shared = is_shared(document["provenance"])  # whether names, notes and body data are left out

    @cached_property
    def facts(self) -> dict[str, str]:
        """The same, with the value of an hour and the wood of a year."""
        yearly = f"{self.volume} {self.woods_of(self.volume)}"
        return {**super().facts, "hour": self.hour_text, "yearly": yearly}

    def woods_of(self, volume: str) -> str:
        """The unit of wood behind an amount."""
        return self.wood if volume == "1" else self.woods

    @property
    def volume(self) -> str:
        """Wood of a usual year as typed, or else what the trials made; empty if neither is known."""
        value = self.season["yearly_volume"]["value"]
        if value is None:
            return ""
        return typed_text(value) if self.is_year_written else number_text(value)

    @property
    def is_year_written(self) -> bool:
        """Whether somebody wrote the wood of a usual year."""
        return "yearly_volume" in self.document["inputs"]["season"]

    @property
    def value_of_hour(self) -> float | None:
        """What an hour is worth to the person; None if they do not say."""
        value = self.document["inputs"]["season"].get("value_of_time")
        return None if value is None else float(value)

    @property
    def hour_text(self) -> str:
        """The same as text; empty if they do not say."""
        return "" if self.value_of_hour is None else typed_money(self.value_of_hour, self.currency)

    @property
    def weighs_effort_or_co2e(self) -> bool:
        """Whether the person states what effort or CO2e is worth."""
        return not {"value_of_effort", "price_of_carbon"}.isdisjoint(self.document["inputs"]["season"])

    @cached_property
    def figures(self) -> dict[Place, Row]:
        """Each figure with its ids in place of words, by its table, row and column."""
        return dict(placed_figures(self.document))

    def pays_above(self, pair: Row) -> Cell | None:
        """The yearly volume above which the quicker of two ways pays at the person's value of an hour.

        None where there is no such volume, or where effort or CO2e has a value too, which it does not count.
        """
        if self.value_of_hour is None or self.weighs_effort_or_co2e:
            return None
        for at, row in enumerate(self.document["break_even"]):
            if (row["quicker"], row["slower"]) == (pair["method"], pair["instead_of"]):
                is_above = self.figures["break_even", at, "volume_time"]["basis"] == Basis.PAYS_ABOVE.key
                return row["volume_time"] if is_above else None
        return None

    @cached_property
    def places(self) -> Places:
        """Where figures and notes stand in the workbook."""
        return Places(self.document)

    def in_table(self, figure: Row) -> Cell:
        """A row of the figures as a table cell, which says ``money`` in place of the currency."""
        unit = str(figure["unit"])
        is_money = bool(self.currency) and unit.startswith(self.currency)
        return {**figure, "unit": unit.replace(self.currency, MONEY, 1) if is_money else unit}

    def row(self, table: str, **keys: str) -> Row | None:
        """The first of these rows; None if there is none."""
        return next(iter(self.rows(table, **keys)), None)

    def wood_amount(self, cell: Row) -> Cell:
        """A figure in cords, turned into the pages' unit of wood."""
        return {**cell, **{key: None if cell[key] is None else cell[key] / self._share for key in NUMBERS}}

    def text(self, cell: Row, *, at_least_zero: bool = False) -> str:
        """A figure with its range."""
        return figure_text(cell, self.currency, at_least_zero=at_least_zero)

    def unit_text(self, cell: Row) -> str:
        """A figure for one cord, with its range, as text for the pages' unit of wood."""
        return self.text(self.per_unit(cell))

    def value_text(self, cell: Row) -> str:
        """A figure without its range, to as many digits as the range allows."""
        if cell["value"] is None:
            return figure_text(cell)
        digits = digits_of(ranged(cell))
        if is_money(cell):
            return signed(self.sign, money_text(cell["value"], digits))
        return number_text(cell["value"], digits)

    def noted(self, sheet_id: str, name: str) -> dict[str, Row]:
        """Rows of a sheet of the notes by the name in a column, as names are compared."""
        rows = self.document["inputs"].get(sheet_id, ())
        return {plain(str(row[name])): row for row in rows if name in row}

    @cached_property
    def workers(self) -> dict[str, list[str]]:
        """Everybody who worked in each session, by its name as names are compared."""
        notes = self.document["inputs"]
        rows = [row for row in (*notes["sessions"], *notes.get("helpers", ())) if {"session", "person"} <= row.keys()]
        by_session = grouped(rows, lambda row: plain(str(row["session"])))
        workers = {session: [str(row["person"]) for row in of] for session, of in by_session.items()}
        for session in (plain(str(row.get("session", ""))) for row in notes["sessions"] if "person" not in row):
            if session in workers:  # a helper helped somebody, whose name was not written
                workers[session].insert(0, words(Phrase.NOT_NAMED))
        return workers

    def short_name(self, person: str) -> str:
        """A person's name for narrow columns and chart keys."""
        return called(person, self.people)

    def how_held(self, tool: str) -> str:
        """How a tool is held (owned, shared, rented and so on), as noted; empty if nobody says."""
        return str(self.noted("tools", "tool").get(plain(tool), {}).get("held", ""))

    @cached_property
    def methods(self) -> list[Method]:
        """Methods in the order of their tasks, those by hand before those with power."""
        noted, tools_noted = self.noted("methods", "method"), self.noted("tools", "tool")
        methods = []
        for row in self.document["rates_per_cord"]:
            note = noted.get(plain(row["method"]), {})
            tools = tuple(str(note[column]) for column in TOOL_COLUMNS if column in note)
            kinds = (tool_kinds().get(tools_noted.get(plain(tool), {}).get("kind", "")) for tool in tools)
            is_powered = any(kind is None or kind.drive != BY_HAND for kind in kinds)  # a tool without a kind counts
            methods.append(Method(row["method"], row["task"], tools, is_powered, row["sessions_n"]))
        decided = (row["task"] for row in self.document["verdicts"])
        order = list(dict.fromkeys((*decided, *tasks())))  # as the wood goes through them
        return sorted(methods, key=lambda method: (order.index(method.task), method.is_powered))

    @property
    def noted_methods(self) -> list[Method]:
        """Methods with a session in the notes, whether it counts or not."""
        noted = {row["method"] for row in self.document["sessions"]}
        return [one for one in self.methods if one.name in noted]

    def method(self, name: str) -> Method:
        """A method by its name."""
        return next(one for one in self.methods if one.name == name)

    def short(self, name: str) -> str:
        """A method without the name of its task, where all methods of the task end with that name."""
        task = self.method(name).task
        return tasks()[task].short(name, [one.name for one in self.methods if one.task == task])

    def short_of_all(self, name: str) -> str:
        """The same where several tasks stand together: the whole name if a method of another task is called alike."""
        short = self.short(name)
        return short if [self.short(one.name) for one in self.methods].count(short) == 1 else name

    @property
    def tasks(self) -> list[str]:
        """Tasks in their order."""
        return list(dict.fromkeys(one.task for one in self.methods))

    @property
    def open_tasks(self) -> list[str]:
        """Tasks with more than one timed method, so that there is a choice."""
        names = [one.task for one in self.methods if one.sessions_n]
        return [task for task in self.tasks if names.count(task) > 1]

    @cached_property
    def people(self) -> list[str]:
        """Everybody who worked; in a shared copy by number."""
        notes = self.document["inputs"]
        noted = (str(row["person"]) for row in (*notes["sessions"], *notes.get("helpers", ())) if "person" in row)
        return [row["person"] for row in self.document["people"]] or list(dict.fromkeys(noted))

    @cached_property
    def left_out(self) -> set[str]:
        """Sessions that do not count."""
        counted = words(State.COUNTS)
        return {row["session"] for row in self.document["sessions"] if row["state"] != counted}

    @cached_property
    def noted_sessions(self) -> list[Row]:
        """The sessions of the notes, without the stacking that was split off from some of them."""
        return [row for row in self.document["sessions"] if not row["part_of"]]

    def method_rows(self, table: str) -> list[Row]:
        """The row of each noted method in a table, in the order of the methods; some have none."""
        return [row for method in self.noted_methods for row in self.rows(table, method=method.name)[:1]]

    def rate(self, method: str) -> Row:
        """The row of rates of a method."""
        return self.rows("rates_per_cord", method=method)[0]

    def combination(self, methods: str) -> Row | None:
        """The whole job by these methods, joined as in the document; None if it has no such row."""
        return self.row("combinations", methods=methods) if methods else None

    @property
    def bought_cord(self) -> Row | None:
        """A bought cord against the suggested way, or else the cheapest; None where its hours are not known."""
        rows = {
            row["best_for"]: row for row in self.document["bought_wood"] if row["hours_saved"]["value"] is not None
        }
        return rows.get(BestFor.SUGGESTED.key) or rows.get(BestFor.MONEY.key)

    @property
    def suggested_job(self) -> str:
        """The methods that the verdicts choose, joined as in the document."""
        return JOINED.join(self.suggested_methods)

    @property
    def suggested_methods(self) -> list[str]:
        """The method that the verdicts choose for each task; empty where a task has none."""
        chosen = [row["choice"] for row in self.document["verdicts"]]
        names = {one.name for one in self.methods}
        return chosen if all(one in names for one in chosen) else []


def task_name(task: str) -> str:
    """Name of a task with a capital."""
    return capital(tasks()[task].name)


def month(number: int, *, is_short: bool = False) -> str:
    """Name of a month."""
    name = [words(one) for one in Month][number - 1]
    return name[:SHORT_MONTH] if is_short else name


def noted_session(row: Row) -> str:
    """The session of the notes that a row of the table of sessions is from, as names are compared."""
    return plain(row["part_of"] or row["session"])


def day(text: str, *, year: bool = True, is_short: bool = False) -> str:
    """A date as people write it.

    >>> day("2025-03-08"), day("2025-03-08", year=False, is_short=True)
    ('March 8, 2025', 'Mar 8')
    """
    date = dt.date.fromisoformat(text)
    name = month(date.month, is_short=is_short)
    return phrase(OnPages.DATE if year else OnPages.DAY, month=name, day=date.day, year=f"{date.year}")


def dates_text(dates: Collection[str]) -> str:
    """First and last of some dates, with the year once where both are in the same year."""
    first, last = min(dates), max(dates)
    if first == last:
        return day(first)
    same_year = first[:4] == last[:4]
    return phrase(OnPages.FROM_TO, first=day(first, year=not same_year), last=day(last))


FIGURES, FACTORS, INPUTS = "figures", "factors", "inputs"
VALUE = "value"


class Places:
    """Cells of a results document in its workbook."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self._document = document

    def cell(self, link: str) -> tuple[str, str]:
        """Sheet and cell that the link of a step points to.

        Errors: KeyError or LookupError if there is no such figure or note.
        """
        kind, _, rest = link.partition("/")
        if kind == INPUTS:
            sheet_id, index, column_id = rest.split("/")
            return cell_of_note(self._document["inputs"], sheet_id, int(index), column_id)
        sheet = results_definition().sheet(FACTORS if kind == FACTORS else FIGURES)
        column = [one.id for one in sheet.columns].index(VALUE) + 1
        return sheet.result_sheet, f"{get_column_letter(column)}{self._rows[sheet.id][rest]}"

    @cached_property
    def _rows(self) -> dict[str, dict[str, int]]:
        """Row of each id of the two tables that stand first on their sheets."""
        units = Units(self._document["provenance"]["display_units"], self._document["season"]["currency"])
        rows = {}
        for table in (FIGURES, FACTORS):
            first = heads_row(table_block(results_definition().sheet(table), [], units)) + 1
            rows[table] = {row["id"]: first + number for number, row in enumerate(self._document[table])}
        return rows
