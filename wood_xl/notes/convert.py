"""Makes season records, in one unit each, of a season document in the units typed.

A cell with a FIX gives no value. Its record marks every topic that the column feeds as broken, with the cell to mend,
so that no figure is computed from half of the notes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property, partial
from itertools import chain
from operator import attrgetter
from typing import Any

from wood_xl.data.trade import fuels
from wood_xl.ids import Told
from wood_xl.notes.document import OF_SESSIONS, default_of, worker_numbers
from wood_xl.notes.fuel import amount_used
from wood_xl.notes.heart_trace import TraceClock, pasted_traces
from wood_xl.notes.names import plain
from wood_xl.notes.of_session import SessionWaits, stacking_apart
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.relations import Notes, NotesRow, as_noted, listed_names, may_use, tools_of, why_left_out
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.tally import columns_of, tallied_cuts
from wood_xl.notes.wood import wood_kinds, woodshed
from wood_xl.reasons import said
from wood_xl.records import (
    Broken,
    Cut,
    HeatBasis,
    Heating,
    Method,
    NextSeason,
    OtherUnit,
    Person,
    Season,
    Session,
    Stack,
    Tool,
    Trace,
    UpkeepItem,
    Winter,
    Worker,
)
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import words
from wood_xl.units import convert

INVENTED_NAME = "Invented example"  # names of seasons that nobody measured begin so

PLAN_ITEMS = ("longest_session", "work_days")  # of the sheet Start


def season_records(checked: CheckedSeason) -> tuple[Season, list[Problem]]:
    """Records of a checked season, and a note for each default that was used."""
    reader = _Reader(checked)
    read, notes = partial(reader.notes.item, "season"), reader.notes
    sessions, methods, stacking_notes = stacking_apart(reader.sessions(), reader.methods())
    tools = reader.tools()
    reader.defaults += stacking_notes
    kinds, cost = [tool.kind_row for tool in tools], any(tool.price for tool in tools)
    burns, blended = any(kind.burns for kind in kinds), any(kind.burns and kind.tank.blended_with for kind in kinds)
    no_wood = checked.unread.get(("wood", "species"))  # the cell to mend if no kind of wood could be read
    several = len(methods) > len({method.task for method in methods})
    food_counted = reader.item_or_default("food_counted", is_needed=False)
    name = str(read("season_name") or "")
    season = Season(
        name=name,
        is_invented=name.startswith(INVENTED_NAME),
        currency=str(read("currency") or ""),
        stick_length_m=read("stick_length", "m"),
        stack_form=reader.item_or_default("stack_form", is_needed=True),
        horizon_years=reader.item_or_default("horizon_years", "years", is_needed=cost),
        real_interest_rate_frac=reader.item_or_default("real_interest_rate", "%", is_needed=cost) / 100,
        two_stroke_mix_ratio=reader.item_or_default("two_stroke_mix", "", is_needed=any(kind.oil for kind in kinds)),
        ethanol_frac=reader.item_or_default("ethanol_share", "%", is_needed=blended) / 100,
        emission_factor_set=reader.item_or_default("emission_factor_set", is_needed=burns),
        gwp_set=reader.item_or_default("gwp_set", is_needed=any(kind.is_powered for kind in kinds)),
        food_counted=food_counted,
        food_fossil_ratio=reader.item_or_default("food_fossil_ratio", "", is_needed=food_counted != "off"),
        practical_margin_frac=reader.item_or_default("practical_margin", "%", is_needed=several) / 100,
        fuel_prices_per_l={fuel.id: read(fuel.price_item, "per L") for fuel in fuels().values() if fuel.price_item},
        heating=_heating(notes, reader.defaults),
        wood=wood_kinds(notes, reader.broken),
        woodshed=woodshed(notes, reader.broken),
        people=reader.people(),
        tools=tools,
        upkeep=reader.upkeep(),
        methods=methods,
        sessions=sessions,
        other_units=_other_units(notes),
        next_season=reader.next_season(),
        broken=reader.broken_items("season") | ({} if no_wood is None else {"wood": no_wood}),
        **as_noted(Season, read),
    )
    return season, reader.defaults


class _Reader:
    def __init__(self, checked: CheckedSeason) -> None:
        self.defaults: list[Problem] = []  # notes on defaults that were used
        self._checked = checked
        self._document = checked.document
        self._definition = season_definition()
        self.notes = checked.notes
        self._of_session = {sheet_id: self._rows_by_session(sheet_id) for sheet_id in OF_SESSIONS}
        self._traces: dict[int, dict[str, Trace]] = defaultdict(dict)
        for pasted in pasted_traces(self.notes):
            self._traces[pasted.session.index][pasted.person] = Trace(pasted.elapsed_s, pasted.heart_rate_bpm)
        self._broken_columns: dict[str, Broken] = defaultdict(dict)
        for (sheet_id, column_id), where in checked.unread.items():
            feeds = self._definition.sheet(sheet_id).column(column_id).feeds
            _add(self._broken_columns[sheet_id], dict.fromkeys(feeds, where))
        self._tallied = tallied_cuts(self.notes)
        self._numbers = worker_numbers(checked.document.data)
        used = [row.referred("method", "methods") for row in self.notes.rows("sessions")]
        methods = [*(row for row in used if row is not None), *self.notes.rows("methods")]
        self._method_numbers = _by_first_use(methods)
        self._tool_numbers = _by_first_use([*chain(*map(tools_of, methods)), *self.notes.rows("tools")])
        self._names_not_read = checked.names_not_read
        self._waits = SessionWaits(self.notes, checked.cell_problems)

    def item_or_default(self, column_id: str, unit: str | None = None, *, is_needed: bool) -> Any:
        """Value of an item, or its default, with a note if anything depends on it."""
        value = self.notes.item("season", column_id, unit)
        if value is not None:
            return value
        column = self._definition.column(f"season.{column_id}")
        default, source = default_of(column)
        if is_needed:
            shown = number_text(default) if isinstance(default, float) else str(default)
            self.defaults += _default_used(self.notes, column, f"{shown} {column.unit}".rstrip(), source)
        return default if unit is None else float(default)

    def people(self) -> tuple[Person, ...]:
        return tuple(
            Person(
                name=row.text("person"),
                heart_rate_limited=row["rate_limiting_medicine"] == "yes",
                may_use=may_use(row),
                leaves=listed_names(row, "leaves", "methods"),
                broken=self.broken("people", [row.index]),
                **as_noted(Person, row.read),
            )
            for row in self._named("people")
        ) + tuple(Person(name, broken=broken) for name, broken in self._waits.people_not_known().items())

    def tools(self) -> tuple[Tool, ...]:
        return tuple(
            Tool(
                name=row.text("tool"),
                kind=row["kind"],
                number=self._tool_numbers[row.index],
                broken=self._tool_broken(row),
                **as_noted(Tool, row.read),
            )
            for row in self._named("tools")
            if row["kind"] is not None
        )

    def upkeep(self) -> tuple[UpkeepItem, ...]:
        items = []
        for row in self.notes.rows("upkeep"):
            item, price, every, per = (row[key] for key in ("item", "price", "every", "per"))
            tool = row.referred("tool", "tools")
            if tool is not None and None not in (item, price, every, per):
                items.append(UpkeepItem(tool.text("tool"), str(item), float(price), float(every), per))
        return tuple(items)

    def methods(self) -> tuple[Method, ...]:
        return tuple(
            Method(
                name=row.text("method"),
                task=row["task"],
                tools=tuple(tool.text("tool") for tool in tools_of(row)),
                cost_group=row["cost_group"],
                broken=self._method_broken(row),
                number=self._method_numbers[row.index],
                people_n=int(row["crew"] or 1),
            )
            for row in self._named("methods")
            if row["task"] is not None
        )

    def sessions(self) -> list[tuple[NotesRow, Session]]:
        rows = self.notes.rows("sessions")
        return [(row, self._session(row)) for row in rows if row.index not in self.notes.planned]

    def next_season(self) -> NextSeason:
        read = partial(self.notes.item, "next_season")
        people_n, items = read("people_available", ""), self._document.items("next_season")
        return NextSeason(
            **as_noted(NextSeason, read),
            longest_session_min=self.notes.item("trial", "longest_session", "min"),
            people_n=None if people_n is None else int(people_n),
            weekdays=self.notes.weekdays(),
            winter=Winter(
                **as_noted(Winter, read),
                last_winter_fuel_unit=_unit_of_bill(self._document.unit("next_season", "last_winter_fuel")),
            ),
            filled_n=sum(c.id in items for c in self._definition.sheet("next_season").asked),
            broken={key: cell for key, cell in self.broken_items("trial").items() if key in PLAN_ITEMS}
            | self.broken_items("next_season"),
        )

    def broken_items(self, sheet_id: str) -> Broken:
        """Items of an item sheet that cannot be used, with the cell to mend."""
        broken: Broken = {}
        for column in self._definition.sheet(sheet_id).asked:
            cell = self._cell(sheet_id, None, column.id)
            where = cell or self._checked.unread.get((sheet_id, column.id))
            if where:
                broken[column.id] = where
            elif column.required and column.id not in self._document.items(sheet_id):
                broken[column.id] = self._document.place(sheet_id, None, column.id).where
        return broken

    def _session(self, row: NotesRow) -> Session:
        name = row.name("session") or ""
        rows = {sheet_id: by_name.get(name, []) for sheet_id, by_name in self._of_session.items()}
        crew = [row, *self._rows("helpers", rows)]
        method = row.referred("method", "methods")
        place = row.place("method")
        return Session(
            name=str(row["session"] or f"row {place.row}"),
            method=self._waits.likely_method(row) if method is None else method.text("method"),
            elapsed_min=session_minutes(row),
            workers=tuple(
                self._worker(one, time_min, self._traces.get(row.index, {}))
                for one in crew
                if (time_min := session_minutes(row) if one is row else helper_minutes(one, row)) is not None
            ),
            crew=tuple(map(_person, crew)),
            fuel_l=amount_used(row, "fuel_used", "L"),
            electricity_kwh=amount_used(row, "electricity_used", "kWh"),
            lot_row=f"{place.sheet} row {place.row}",  # columns of echoed notes have other letters
            leave_out=why_left_out(row),
            cuts=_cuts(self._rows("cuts", rows)) + self._tallied.get(name, ()),
            stacks=_stacks(self._rows("stacks", rows)),
            has_cuts=not name or bool(rows["cuts"] or rows["tally"]),
            has_stacks=not name or bool(rows["stacks"]),
            broken=self._session_broken(row, method, rows),
            **as_noted(Session, row.read),
        )

    def _rows(self, sheet_id: str, rows: dict[str, list[int]]) -> list[NotesRow]:
        return [self.notes.row(sheet_id, index) for index in rows[sheet_id]]

    def _session_broken(self, row: NotesRow, method: NotesRow | None, rows: dict[str, list[int]]) -> Broken:
        """Topics of a session that wait for its cells, for its rows on other sheets, or for its method."""
        broken = self.broken("sessions", [row.index])
        for sheet_id, indexes in rows.items():
            _add(broken, self.broken(sheet_id, indexes))
            if (sheet_id, "session") in self._checked.unread:  # any row of that sheet may be this session's
                _add(broken, self._broken_columns[sheet_id])
        broken = self._waits.of(row.index) | broken
        if method is None or method["task"] is None:
            cells = [] if method is None else [self._cell("methods", method.index, key) for key in ("task", "method")]
            cell = next(filter(None, [self._cell("sessions", row.index, "method"), *cells]), None)
            place = row.place("method")
            _add(broken, dict.fromkeys(("time", "quantity"), cell or f"{place.sheet} row {place.row}"))
        return broken

    def _worker(self, row: NotesRow, time_min: float, traces: dict[str, Trace]) -> Worker:
        person = _person(row)
        return Worker(
            person=person,
            time_min=time_min,
            number=self._numbers.get(plain(person or "")),
            is_helper=row.sheet_id == "helpers",
            trace=traces.get(row.name("person") or ""),
            **as_noted(Worker, row.read),
        )

    def _named(self, sheet_id: str) -> list[NotesRow]:
        return [rows[0] for rows in self.notes.by_name(sheet_id).values()]

    def _cell(self, sheet_id: str, index: int | None, column_id: str) -> str | None:
        return self._checked.cell_problems.get((sheet_id, index, column_id))

    def _rows_by_session(self, sheet_id: str) -> dict[str, list[int]]:
        rows: dict[str, list[int]] = defaultdict(list)
        clock = TraceClock(self.notes)
        for index, typed in enumerate(self._document.rows(sheet_id)):
            if "session" in typed:
                rows[plain(str(typed["session"]))].append(index)
            elif (
                sheet_id == "heart_trace" and (session := clock.session(self.notes.row(sheet_id, index))) is not None
            ):
                rows[session.name("session") or ""].append(index)
        return rows

    @cached_property
    def _columns(self) -> dict[str, list[Column]]:
        """Columns of each sheet by their ids."""
        by_id = attrgetter("id")
        return {sheet.id: sorted(columns_of(sheet, self._document), key=by_id) for sheet in self._definition.sheets}

    @cached_property
    def _rows_to_mend(self) -> set[tuple[str, int | None]]:
        """Rows with a cell to mend."""
        return {(sheet_id, index) for sheet_id, index, _ in self._checked.cell_problems}

    def broken(self, sheet_id: str, indexes: Sequence[int]) -> Broken:
        """Topics that rows of a table feed with a cell that cannot be used."""
        broken = dict(self._broken_columns.get(sheet_id, {})) if indexes else {}
        columns = self._columns[sheet_id]
        has_names_not_read = any(column.ref in self._names_not_read for column in columns)
        for index in indexes:
            if not has_names_not_read and (sheet_id, index) not in self._rows_to_mend:
                continue
            for column in columns:
                cell = self._cell(sheet_id, index, column.id)
                if cell is None and column.id in self._document.rows(sheet_id)[index]:
                    cell = self._names_not_read.get(column.ref)
                if cell is not None:
                    _add(broken, dict.fromkeys(column.feeds, cell))
        return broken

    @cached_property
    def _upkeep_broken(self) -> dict[str | None, Broken]:
        rows: dict[str | None, list[int]] = defaultdict(list)
        for row in self.notes.rows("upkeep"):
            rows[row.name("tool")].append(row.index)
        return {name: self.broken("upkeep", indexes) for name, indexes in rows.items()}

    def _tool_broken(self, tool: NotesRow) -> Broken:
        """Topics of a tool that wait; its cost depends on its upkeep rows too."""
        broken = self.broken("tools", [tool.index])
        for name in (tool.name("tool"), None):  # a row without a tool may be of any
            _add(broken, self._upkeep_broken.get(name, {}))
        if ("upkeep", "tool") in self._checked.unread:  # any row of that sheet may be this tool's
            broken = self._broken_columns["upkeep"] | broken
        return broken

    def _method_broken(self, method: NotesRow) -> Broken:
        """Topics of a method that wait; effort, fuel and cost need the kind of each tool."""
        broken = self.broken("methods", [method.index])
        for tool in tools_of(method):
            if tool["kind"] is None:
                where = self._cell("tools", tool.index, "kind") or tool.place("kind").sheet
                _add(broken, dict.fromkeys(self._definition.column("tools.kind").feeds, where))
        return broken


def _by_first_use(rows: Iterable[NotesRow]) -> dict[int, int]:
    """Numbers of rows from 1 in order of use, so that draws depend on no order but that of Sessions."""
    return {index: number for number, index in enumerate(dict.fromkeys(row.index for row in rows), start=1)}


def _add(broken: Broken, more: Broken) -> None:
    """Add topics that do not wait for another cell already."""
    for topic, where in more.items():
        broken.setdefault(topic, where)


def _person(row: NotesRow) -> str | None:
    person = row.referred("person", "people")
    return row["person"] if person is None else person.text("person")


def _heating(notes: Notes, defaults: list[Problem]) -> Heating:
    """The stove and the heating that wood replaces; a default that is used gets a note."""
    read = partial(notes.item, "season")
    other = read("displaced_fuel")
    basis: HeatBasis | None = read("appliance_efficiency_basis")
    if basis is None:
        # A rating is read off the stove or its papers, and those of the two unit systems mean different heat.
        is_us = notes.document.system == "us"
        basis = "gross" if is_us else "net"
        if read("appliance_efficiency") is not None and notes.document.rows("wood"):
            column = season_definition().column("season.appliance_efficiency_basis")
            rating = Told.US_RATINGS if is_us else Told.EUROPEAN_RATINGS
            defaults += _default_used(notes, column, basis, words(said(rating)))
    return Heating(
        **as_noted(Heating, read),
        efficiency_basis=basis,
        other=None if other == "none" else other,
        fuel_price_unit=_unit_of_bill(notes.document.unit("season", "displaced_fuel_price")),
    )


def _default_used(notes: Notes, column: Column, shown: str, source: str) -> Iterator[Problem]:
    """A note that a default is used for an item of the Season sheet, unless the item waits for a mend."""
    if not notes.waits("season", None, column.id):
        place = notes.document.place("season", None, column.id)._replace(header="")
        yield problem("season-default-used", place, title=column.title, value=shown, source=source)


def _unit_of_bill(unit: str) -> Any:
    return unit.removeprefix("per ") or None


def _cuts(rows: Iterable[NotesRow]) -> tuple[Cut, ...]:
    return tuple(
        Cut(diameter, row.number("second_diameter", "m"), int(row["cuts"] or 1), row.number("cut_time", "s"))
        for row in rows
        if (diameter := row.number("diameter", "m")) is not None
    )


def _stacks(rows: Iterable[NotesRow]) -> tuple[Stack, ...]:
    stacks = []
    for row in rows:
        height, length, top, depth = (
            row.number(column, "m") for column in ("height", "length", "top_length", "depth")
        )
        if height is not None and length is not None:
            stacks.append(Stack(height, length, top, depth, int(row["rows"] or 1), row["form"], row["stack"]))
    return tuple(stacks)


def _other_units(notes: Notes) -> tuple[OtherUnit, ...]:
    """Units of a length that the headers of Stacks do not have."""
    units = season_definition().column("stacks.length").units
    headers = (notes.document.unit("stacks", column) for column in ("height", "length"))
    return tuple(
        OtherUnit(typed, other, convert(1.0, other, typed))
        for typed in dict.fromkeys(filter(None, headers))
        for other in units
        if other != typed
    )
