"""From the season document, in the units typed, to season records in one unit each.

A cell with a FIX gives no value, and every topic that its column feeds is marked as broken in the record that it
belongs to, with the cell to mend, so that no figure is computed from half of the notes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from wood_xl.data.trade import fuels
from wood_xl.notes.convert_heat import default_used, heating, hundredth, winter, wood_kinds, wood_not_read
from wood_xl.notes.convert_shed import woodshed
from wood_xl.notes.document import default_of
from wood_xl.notes.heart_trace import pasted_traces
from wood_xl.notes.names import plain
from wood_xl.notes.of_session import SessionWaits
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.refills import amount_used
from wood_xl.notes.relations import TOOL_COLUMNS, Notes
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.stacking_within import stacking_apart
from wood_xl.notes.tally import columns_of, tallied_cuts
from wood_xl.notes.trace_clock import TraceClock
from wood_xl.notes.workers import worker_numbers
from wood_xl.records import (
    Broken,
    Cut,
    Method,
    NextSeason,
    Person,
    Season,
    Session,
    Stack,
    Tool,
    Trace,
    UpkeepItem,
    Worker,
)
from wood_xl.schema.model import season_definition
from wood_xl.units import convert

INVENTED_NAME = "Invented example"  # a name that begins so is the mark of a season that nobody measured

Rows = dict[str, list[int]]
PLAN_ITEMS = ("longest_session", "work_days")  # of the sheet Start
BY_SESSION = ("helpers", "cuts", "tally", "stacks", "heart_trace")


def season_records(checked: CheckedSeason) -> tuple[Season, list[Problem]]:
    """Records of a checked season, and a note for each default that stepped in."""
    reader = _Reader(checked)
    parted = stacking_apart(reader.sessions(), reader.methods(), reader.notes)
    sessions, methods = parted.sessions, parted.methods
    tools = reader.tools()
    defaults: list[Problem] = [*parted.notes]
    kinds, cost = [tool.kind_row for tool in tools], any(tool.price for tool in tools)
    burns = any(kind.burns for kind in kinds)
    food_counted = reader.item("food_counted") or reader.default("food_counted", defaults, is_needed=False)
    name = str(reader.item("season_name") or "")
    season = Season(
        name=name,
        is_invented=name.startswith(INVENTED_NAME),
        currency=str(reader.item("currency") or ""),
        stick_length_m=reader.item_number("stick_length", "m"),
        stack_form=reader.item("stack_form") or reader.default("stack_form", defaults, is_needed=True),
        horizon_years=reader.item_or_default("horizon_years", "years", defaults, is_needed=cost),
        real_interest_rate_frac=reader.item_or_default("real_interest_rate", "%", defaults, is_needed=cost) / 100,
        two_stroke_mix_ratio=reader.item_or_default(
            "two_stroke_mix", "", defaults, is_needed=any(kind.oil for kind in kinds)
        ),
        ethanol_frac=reader.item_or_default(
            "ethanol_share", "%", defaults, is_needed=any(kind.burns and kind.tank.blended_with for kind in kinds)
        )
        / 100,
        emission_factor_set=reader.item("emission_factor_set")
        or reader.default("emission_factor_set", defaults, is_needed=burns),
        gwp_set=reader.item("gwp_set")
        or reader.default("gwp_set", defaults, is_needed=any(kind.is_powered for kind in kinds)),
        grid_kg_per_kwh=reader.item_number("grid_intensity", "kg/kWh"),
        food_counted=food_counted,
        food_fossil_ratio=reader.item_or_default("food_fossil_ratio", "", defaults, is_needed=food_counted != "off"),
        practical_margin_frac=reader.item_or_default(
            "practical_margin", "%", defaults, is_needed=len(methods) > len({method.task for method in methods})
        )
        / 100,
        place=reader.item("place"),
        price_year=reader.item("price_year"),
        solid_fraction=reader.item_number("solid_fraction", ""),
        yearly_volume_m3=reader.item_number("yearly_volume", "stacked m3"),
        value_of_time_per_h=reader.item_number("value_of_time", "per h"),
        value_of_effort_per_1000_kcal=reader.item_number("value_of_effort", "money"),
        carbon_price_per_t=reader.item_number("price_of_carbon", "money"),
        bought_cord_price_per_cord=reader.item_number("bought_cord_price", "per cord"),
        fuel_prices_per_l={
            fuel.id: reader.item_number(fuel.price_item, "per L") for fuel in fuels().values() if fuel.price_item
        },
        bar_oil_price_per_l=reader.item_number("bar_oil_price", "per L"),
        electricity_price_per_kwh=reader.item_number("electricity_price", "per kWh"),
        heating=heating(reader, reader.notes, defaults),
        wood=wood_kinds(reader.notes, reader.broken),
        woodshed=woodshed(reader.notes, reader.broken),
        people=reader.people(),
        tools=tools,
        upkeep=reader.upkeep(),
        methods=methods,
        sessions=sessions,
        next_season=reader.next_season(),
        broken=reader.broken_items("season") | wood_not_read(checked),
    )
    return season, defaults


class _Reader:
    """Reads one checked season; holds the look-ups that several records need."""

    def __init__(self, checked: CheckedSeason) -> None:
        self._checked = checked
        self._document = checked.document
        self._definition = season_definition()
        self.notes = Notes(checked.document, checked.broken, frozenset(checked.unread))
        self._of_session = {sheet_id: self._rows_by_session(sheet_id) for sheet_id in BY_SESSION}
        self._traces: dict[int, dict[str, Trace]] = defaultdict(dict)
        for pasted in pasted_traces(self.notes):
            self._traces[pasted.session][pasted.person] = Trace(pasted.elapsed_s, pasted.heart_rate_bpm)
        self._broken_columns = self._columns_not_read()
        self._tallied = tallied_cuts(self.notes)
        self._numbers = worker_numbers(checked.document.data)
        self._names_not_read = checked.names_not_read
        self._waits = SessionWaits(self.notes, checked.cell_problems)

    def item(self, column_id: str, sheet_id: str = "season") -> Any:
        if (sheet_id, None, column_id) in self._checked.broken:
            return None
        return self._document.items(sheet_id).get(column_id)

    def item_number(self, column_id: str, unit: str, sheet_id: str = "season") -> float | None:
        value = self.item(column_id, sheet_id)
        if value is None:
            return None
        return convert(float(value), self._document.unit(sheet_id, column_id) or unit, unit)

    def item_or_default(self, column_id: str, unit: str, defaults: list[Problem], *, is_needed: bool) -> float:
        value = self.item_number(column_id, unit)
        return float(self.default(column_id, defaults, is_needed=is_needed)) if value is None else value

    def default(self, column_id: str, defaults: list[Problem], *, is_needed: bool) -> Any:
        """Default of an item, noted if anything depends on it."""
        column = self._definition.column(f"season.{column_id}")
        value, source = default_of(column)
        if is_needed:
            shown = number_text(value) if isinstance(value, float) else str(value)
            unit = f" {column.unit}" if column.unit else ""
            defaults += default_used(self.notes, column, shown + unit, source)
        return value

    def people(self) -> tuple[Person, ...]:
        return tuple(
            Person(
                name=str(name),
                age_years=self._number("people", index, "age", "years"),
                equation_sex=self.notes.value("people", index, "equation_sex"),
                mass_kg=self._number("people", index, "mass", "kg"),
                height_cm=self._number("people", index, "height", "cm"),
                resting_bpm=self._number("people", index, "resting_heart_rate", "beats/min"),
                max_bpm=self._number("people", index, "max_heart_rate", "beats/min"),
                vo2max_ml_kg_min=self._number("people", index, "vo2max", "mL/kg/min"),
                heart_rate_device=self.notes.value("people", index, "heart_rate_device"),
                heart_rate_limited=self.notes.value("people", index, "rate_limiting_medicine") == "yes",
                doctor_word=self.notes.value("people", index, "doctor_word") or "not asked",
                may_use=self.notes.may_use(index),
                leaves=self.notes.leaves(index),
                broken=self.broken("people", [index]),
            )
            for index, name in self._named("people", "person")
        ) + tuple(Person(name, broken=broken) for name, broken in self._waits.people_not_known().items())

    def tools(self) -> tuple[Tool, ...]:
        return tuple(
            Tool(
                name=str(name),
                kind=kind,
                number=index + 1,
                price=self._number("tools", index, "price", "money"),
                resale=self._number("tools", index, "resale", "money"),
                life_h=self._number("tools", index, "life_hours", "h"),
                life_years=self._number("tools", index, "life_years", "years"),
                mass_kg=self._number("tools", index, "mass", "kg"),
                rated_power_kw=self._number("tools", index, "rated_power", "kW"),
                vibration_m_s2=self._number("tools", index, "vibration", "m/s2"),
                sound_level_dba=self._number("tools", index, "sound_level", "dB(A)"),
                held=self.notes.value("tools", index, "held"),
                share_frac=hundredth(self._number("tools", index, "share", "%")),
                rent=self._number("tools", index, "rent", "money"),
                rent_per=self.notes.value("tools", index, "rent_per") or "day",
                hours_so_far=self._number("tools", index, "hours_so_far", "h"),
                worth_today=self._number("tools", index, "worth_today", "money"),
                years_left=self._number("tools", index, "years_left", "years"),
                broken=self._tool_broken(index),
            )
            for index, name in self._named("tools", "tool")
            if (kind := self.notes.value("tools", index, "kind")) is not None
        )

    def upkeep(self) -> tuple[UpkeepItem, ...]:
        items = []
        for index in range(len(self._document.rows("upkeep"))):
            values = [self.notes.value("upkeep", index, key) for key in ("item", "price", "every", "per")]
            tool = self._canonical("tools", "tool", self.notes.name("upkeep", index, "tool"))
            if tool is not None and None not in values:
                item, price, every, per = values
                items.append(UpkeepItem(tool, str(item), float(price), float(every), per))
        return tuple(items)

    def methods(self) -> tuple[Method, ...]:
        methods = []
        for index, name in self._named("methods", "method"):
            task = self.notes.value("methods", index, "task")
            if task is None:
                continue
            names = (self.notes.name("methods", index, column) for column in TOOL_COLUMNS)
            tools = (self._canonical("tools", "tool", tool) for tool in names)
            broken = self.broken("methods", [index])
            self._add_unknown_kinds(index, broken)
            group = self.notes.value("methods", index, "cost_group")
            used = tuple(dict.fromkeys(tool for tool in tools if tool is not None))
            people_n = int(self.notes.value("methods", index, "crew") or 1)
            methods.append(Method(str(name), task, used, group, broken, index + 1, people_n))
        return tuple(methods)

    def sessions(self) -> list[tuple[int, Session]]:
        """Sessions with their rows, without those that are only planned."""
        rows = range(len(self._document.rows("sessions")))
        return [(index, self._session(index)) for index in rows if index not in self.notes.planned]

    def next_season(self) -> NextSeason:
        def number(column_id: str, unit: str) -> float | None:
            return self.item_number(column_id, unit, "next_season")

        people_n, items = number("people_available", ""), self._document.items("next_season")
        return NextSeason(
            volume_wanted_m3=number("volume_wanted", "stacked m3"),
            start=self.item("start_date", "next_season"),
            ready_by=self.item("ready_by_date", "next_season"),
            hours_per_week=number("hours_per_week", "h"),
            longest_session_min=self.item_number("longest_session", "min", "trial"),
            people_n=None if people_n is None else int(people_n),
            weekdays=self.notes.weekdays(),
            cash_limit=number("cash_limit", "money"),
            carbon_limit_kg=number("carbon_limit", "kg"),
            winter=winter(self, self.notes),
            filled_n=sum(c.id in items for c in self._definition.sheet("next_season").asked),
            broken={key: cell for key, cell in self.broken_items("trial").items() if key in PLAN_ITEMS}
            | self.broken_items("next_season"),
        )

    def broken_items(self, sheet_id: str) -> Broken:
        """Items of an item sheet that cannot be used, with the cell to mend."""
        sheet = self._definition.sheet(sheet_id)
        broken: Broken = {}
        for column in sheet.asked:
            cell = self._checked.cell_problems.get((sheet_id, None, column.id))
            where = cell or self._checked.unread.get((sheet_id, column.id))
            if where:
                broken[column.id] = where
            elif column.required and column.id not in self._document.items(sheet_id):
                place = self._document.place(sheet_id, None, column.id)
                broken[column.id] = problem("item-missing", place, title="", mend_hint="").where
        return broken

    def _session(self, index: int) -> Session:
        name = self.notes.name("sessions", index, "session")
        broken = self.broken("sessions", [index])
        for sheet_id, rows in self._of_session.items():
            for topic, where in self.broken(sheet_id, rows.get(name or "", [])).items():
                broken.setdefault(topic, where)
            if (sheet_id, "session") in self._checked.unread:  # no row of that sheet can be told to be this session's
                for topic, where in self._broken_columns[sheet_id].items():
                    broken.setdefault(topic, where)
        broken = self._waits.of(index) | broken
        method = self._canonical("methods", "method", self.notes.name("sessions", index, "method"))
        place = self._document.place("sessions", index, "method")
        if method is None or self._method_without_task(method):
            cell = self._checked.cell_problems.get(("sessions", index, "method"))
            for topic in ("time", "quantity"):
                broken.setdefault(topic, cell or f"{place.sheet} row {place.row}")
        return Session(
            name=str(self.notes.value("sessions", index, "session") or f"row {place.row}"),
            method=method or self._waits.likely_method(index),
            elapsed_min=session_minutes(self.notes, index),
            delay_min=self._number("sessions", index, "delay_time", "min") or 0.0,
            service_min=self._number("sessions", index, "service_time", "min") or 0.0,
            date=self.notes.value("sessions", index, "date"),
            workers=self._workers(index, name),
            crew=self._crew(index, name),
            fuel_l=amount_used(self.notes, index, "fuel_used", "L"),
            bar_oil_l=self._number("sessions", index, "bar_oil_used", "L"),
            electricity_kwh=amount_used(self.notes, index, "electricity_used", "kWh"),
            running_min=self._number("sessions", index, "running_time", "min"),
            air_temperature_c=self._number("sessions", index, "air_temperature", "degC"),
            humidity_frac=hundredth(self._number("sessions", index, "humidity", "%")),
            wind_km_per_h=self._number("sessions", index, "wind_speed", "km/h"),
            lot=self.notes.value("sessions", index, "lot"),
            lot_row=f"{place.sheet} row {place.row}",  # columns of echoed notes have other letters
            leave_out=self.notes.left_out(index),
            cuts=self._cuts(self._of_session["cuts"].get(name or "", [])) + self._tallied.get(name or "", ()),
            stacks=self._stacks(self._of_session["stacks"].get(name or "", [])),
            has_cuts=name is None or any(name in self._of_session[sheet_id] for sheet_id in ("cuts", "tally")),
            has_stacks=name is None or name in self._of_session["stacks"],
            broken=broken,
        )

    def _workers(self, index: int, name: str | None) -> tuple[Worker, ...]:
        elapsed = session_minutes(self.notes, index)
        traces = self._traces.get(index, {})
        main = self._worker("sessions", index, elapsed, traces, is_helper=False)
        rows = self._of_session["helpers"].get(name or "", [])
        times = ((row, helper_minutes(self.notes, row, index)) for row in rows)
        helpers = (self._worker("helpers", row, time_min, traces, is_helper=True) for row, time_min in times)
        return tuple(worker for worker in (main, *helpers) if worker is not None)

    def _crew(self, index: int, name: str | None) -> tuple[str | None, ...]:
        rows = [("sessions", index), *(("helpers", row) for row in self._of_session["helpers"].get(name or "", []))]
        names = [(self.notes.name(*at, "person"), self.notes.value(*at, "person")) for at in rows]
        return tuple(self._canonical("people", "person", plain_name) or typed for plain_name, typed in names)

    def _worker(
        self, sheet_id: str, index: int, time_min: float | None, traces: dict[str, Trace], *, is_helper: bool
    ) -> Worker | None:
        if time_min is None:
            return None
        name = self.notes.name(sheet_id, index, "person")
        person = self._canonical("people", "person", name) or self.notes.value(sheet_id, index, "person")
        return Worker(
            person=person,
            time_min=time_min,
            number=self._numbers.get(plain(person or "")),
            is_helper=is_helper,
            mean_heart_rate_bpm=self._number(sheet_id, index, "mean_heart_rate", "beats/min"),
            monitor_kcal=self._number(sheet_id, index, "monitor_energy", "kcal"),
            trace=traces.get(name or ""),
        )

    def _cuts(self, rows: Iterable[int]) -> tuple[Cut, ...]:
        return tuple(
            Cut(
                diameter,
                self._number("cuts", row, "second_diameter", "m"),
                int(self._or_one("cuts", row, "cuts")),
                self._number("cuts", row, "cut_time", "s"),
            )
            for row in rows
            if (diameter := self._number("cuts", row, "diameter", "m")) is not None
        )

    def _stacks(self, rows: Iterable[int]) -> tuple[Stack, ...]:
        stacks = []
        for row in rows:
            height = self._number("stacks", row, "height", "m")
            length = self._number("stacks", row, "length", "m")
            if height is None or length is None:
                continue
            top = self._number("stacks", row, "top_length", "m")
            depth = self._number("stacks", row, "depth", "m")
            form, name = self.notes.value("stacks", row, "form"), self.notes.value("stacks", row, "stack")
            stacks.append(Stack(height, length, top, depth, int(self._or_one("stacks", row, "rows")), form, name))
        return tuple(stacks)

    def _or_one(self, sheet_id: str, row: int, column_id: str) -> float:
        value = self.notes.value(sheet_id, row, column_id)
        return 1 if value is None else value

    def _number(self, sheet_id: str, index: int, column_id: str, unit: str) -> float | None:
        return self.notes.number(sheet_id, index, column_id, unit)

    def _named(self, sheet_id: str, column_id: str) -> list[tuple[int, Any]]:
        """First row of each name, with the name as typed."""
        return [
            (index, self.notes.value(sheet_id, index, column_id)) for index in self.notes.index_of[sheet_id].values()
        ]

    def _canonical(self, sheet_id: str, column_id: str, name: str | None) -> str | None:
        index = self.notes.index_of[sheet_id].get(name or "")
        return None if index is None else str(self.notes.value(sheet_id, index, column_id))

    def _rows_by_session(self, sheet_id: str) -> Rows:
        rows: Rows = defaultdict(list)
        clock = TraceClock(self.notes)
        for index, row in enumerate(self._document.rows(sheet_id)):
            if "session" in row:
                rows[plain(str(row["session"]))].append(index)
            elif sheet_id == "heart_trace" and (session := clock.session(index)) is not None:
                rows[self.notes.name("sessions", session, "session") or ""].append(index)
        return rows

    def _columns_not_read(self) -> dict[str, Broken]:
        broken: dict[str, Broken] = defaultdict(dict)
        for (sheet_id, column_id), where in self._checked.unread.items():
            for topic in self._definition.sheet(sheet_id).column(column_id).feeds:
                broken[sheet_id].setdefault(topic, where)
        return broken

    def broken(self, sheet_id: str, indexes: Iterable[int]) -> Broken:
        """Topics that rows of a table feed with a cell that cannot be used."""
        broken: Broken = {}
        columns = columns_of(self._definition.sheet(sheet_id), self._document)
        columns = tuple(sorted(columns, key=lambda column: column.id))
        for index in indexes:
            for topic, where in self._broken_columns.get(sheet_id, {}).items():
                broken.setdefault(topic, where)
            for column in columns:
                cell = self._checked.cell_problems.get((sheet_id, index, column.id))
                if cell is None and column.id in self._document.rows(sheet_id)[index]:
                    cell = self._names_not_read.get(column.ref)
                if cell is not None:
                    broken |= {topic: broken.get(topic, cell) for topic in column.feeds}
        return broken

    def _tool_broken(self, index: int) -> Broken:
        """A tool's cost hangs on its upkeep rows too."""
        broken = self.broken("tools", [index])
        name = self.notes.name("tools", index, "tool")
        rows = [
            row
            for row in range(len(self._document.rows("upkeep")))
            if self.notes.name("upkeep", row, "tool") in (name, None)
        ]
        for topic, where in self.broken("upkeep", rows).items():
            broken.setdefault(topic, where)
        if ("upkeep", "tool") in self._checked.unread:  # no row of that sheet can be told to be this tool's
            broken = self._broken_columns["upkeep"] | broken
        return broken

    def _add_unknown_kinds(self, index: int, broken: Broken) -> None:
        """Whether a tool is driven decides on effort, fuel and cost; without its kind none of them can be told."""
        for tool in self.notes.tools_of(index):
            if self.notes.value("tools", tool, "kind") is None:
                where = self._checked.cell_problems.get(("tools", tool, "kind"))
                for topic in self._definition.column("tools.kind").feeds:
                    broken.setdefault(topic, where or self._document.place("tools", tool, "kind").sheet)

    def _method_without_task(self, method: str) -> bool:
        index = self.notes.index_of["methods"][plain(method)]
        return self.notes.value("methods", index, "task") is None
