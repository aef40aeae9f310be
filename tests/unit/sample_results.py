"""An invented results document, and the invented notes it stands for.

Values are kept in the definition's own units (metric) and shown in the units that are asked for, as a results
document is. They look like those of a season; nothing is computed from the notes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.schema.model import Column, Sheet, System, results_definition
from wood_xl.units import convert

LONG_METHOD = "Splitting, six-pound maul and two wedges on the elm butt log"
BUCK_SAW, BUCK_CHAIN, SPLIT_HAND, SPLIT_ENGINE = (
    "Bucking, bow saw on a sawhorse",
    "Bucking, chain saw",
    LONG_METHOD,
    "Splitting, hydraulic",
)
TASKS = {BUCK_SAW: "buck", BUCK_CHAIN: "buck", SPLIT_HAND: "split", SPLIT_ENGINE: "split"}
TOOLS = {
    BUCK_SAW: "Bow saw, 30 in; Sawhorse",
    BUCK_CHAIN: "Chain saw, 50 cc",
    SPLIT_HAND: "Maul, 6 lb; Wedges",
    SPLIT_ENGINE: "Splitter, 22 ton",
}
Cell = Any  # text, a whole number, or for a figure column a Figure or its plain value


def sample_results(system: System = "us", *, intervals: bool = False) -> dict[str, Any]:
    """A valid results document.

    Parameters
    ----------
    system : {'us', 'metric'}
        Units of the figures.
    intervals : bool
        Whether worker hours and cash carry a low and a high end.
    """
    definition = results_definition()
    rates = definition.sheet("rates_per_cord")
    document: dict[str, Any] = {
        "version": definition.version,
        "provenance": {**_PROVENANCE, "display_units": system},
        "season": _row(definition.sheet("season"), _SEASON, system),
        "answers": [{"answer": text} for text in _ANSWERS],
        "inputs": sample_inputs(),
        "input_rows": {},
    }
    # 1 cord is 3.625 stacked m3, here of 0.62 solid; sawn area by a stick of 0.406 m.
    per_cord = {"cord": 1.0, "stacked_m3": 1 / 3.6246, "solid_m3": 1 / 2.2472, "sawn_m2": 1 / 5.53}
    for name, scale in per_cord.items():
        document[f"rates_per_{name}"] = [_rate(rates, row, scale, system, intervals) for row in _RATES]
    for sheet_id, rows in _TABLES.items():
        document[sheet_id] = [_row(definition.sheet(sheet_id), row, system) for row in rows]
    inputs = document["inputs"]
    document["input_rows"] = {
        key: list(range(4, 4 + len(rows))) for key, rows in inputs.items() if isinstance(rows, list)
    }
    document["input_rows"]["cuts"] = [row + 2 * (row > 7) for row in document["input_rows"]["cuts"]]  # a gap
    return {key: document[key] for key in definition.schema["properties"]}


def _figure(column: Column, cell: Cell, system: System) -> dict[str, Any]:
    figure = cell if isinstance(cell, Figure) else Figure(cell)
    unit = column.unit_in(system)
    value, low, high = (
        None if number is None else convert(number, column.unit, unit)
        for number in (figure.value, figure.low, figure.high)
    )
    return {
        "value": value, "low": low, "high": high, "unit": unit, "basis": figure.basis, "reason": figure.reason,
    }  # fmt: skip


def _row(sheet: Sheet, cells: Mapping[str, Cell] | tuple[Cell, ...], system: System) -> dict[str, Any]:
    named = cells if isinstance(cells, Mapping) else dict(zip((c.id for c in sheet.columns), cells, strict=True))
    return {
        column.id: _figure(column, named[column.id], system) if column.type == "figure" else named[column.id]
        for column in sheet.columns
    }


def _rate(sheet: Sheet, cells: tuple[Cell, ...], scale: float, system: System, intervals: bool) -> dict[str, Any]:
    scaled = list(cells)
    for i, column in enumerate(sheet.columns):
        figure = cells[i] if isinstance(cells[i], Figure) else Figure(cells[i])
        if column.type != "figure" or figure.value is None:
            continue
        value = figure.value * scale
        scaled[i] = replace(figure, value=value)
        if intervals and column.id in ("worker_hours", "cash") and cells[0] != SPLIT_HAND:
            scaled[i] = Figure(value, figure.basis, low=value * 0.8, high=value * 1.35, reason="")
    return _row(sheet, tuple(scaled), system)


def sample_inputs() -> dict[str, Any]:
    """The invented notes, following ``season.schema.json``."""
    return {
        "version": "1.0",
        "units": _INPUT_UNITS,
        "season": {
            "season_name": "Back lot & lane, winter 2025",
            "place": "A hill farm",
            "currency": "USD",
            "price_year": 2025,
            "stick_length": 16.0,
            "stack_form": "ranked split",
            "yearly_volume": 5.0,
            "real_interest_rate": 3.0,
            "gasoline_price": 3.4,
            "bar_oil_price": 15.0,
            "two_stroke_mix": 50.0,
        },
        "wood": [{"species": "Red oak", "share": 70.0}, {"species": "Elm, American", "share": 30.0}],
        "people": [
            {"person": "Ada", "age": 41, "equation_sex": "female", "mass": 150.0, "resting_heart_rate": 58.0},
            {"person": "Ben", "age": 44, "equation_sex": "male"},
        ],
        "tools": [
            {"tool": "Bow saw, 30 in", "kind": "hand", "price": 38.0, "life_years": 15.0},
            {"tool": "Sawhorse", "kind": "hand", "price": 45.0, "life_years": 12.0},
            {"tool": "Chain saw, 50 cc", "kind": "gasoline two-stroke", "price": 429.0, "life_hours": 600.0},
            {"tool": "Maul, 6 lb", "kind": "hand", "price": 52.0},
            {"tool": "Splitter, 22 ton", "kind": "gasoline four-stroke", "price": 1299.0, "resale": 400.0},
        ],
        "upkeep": [
            {"tool": "Chain saw, 50 cc", "item": "Chain", "price": 24.0, "every": 25.0, "per": "hours"},
            {"tool": "Bow saw, 30 in", "item": "Blade", "price": 9.5, "every": 3.0, "per": "cords"},
        ],
        "methods": [
            {"method": BUCK_SAW, "task": "buck", "tool_1": "Bow saw, 30 in", "tool_2": "Sawhorse"},
            {"method": BUCK_CHAIN, "task": "buck", "tool_1": "Chain saw, 50 cc"},
            {"method": SPLIT_HAND, "task": "split", "tool_1": "Maul, 6 lb"},
            {"method": SPLIT_ENGINE, "task": "split", "tool_1": "Splitter, 22 ton"},
        ],
        "sessions": [
            {
                "session": name,
                "date": date,
                "method": method,
                "person": "Ada",
                "elapsed_time": minutes,
                **({"delay_time": 6.0} if i % 3 else {}),
                **({"fuel_used": 0.25 + 0.05 * i} if method in (BUCK_CHAIN, SPLIT_ENGINE) else {}),
                **({"leave_out": "rain stopped the work after the third log"} if i == 6 else {}),
                **({"note": _NOTE} if i == 3 else {}),
            }
            for i, (name, date, method, minutes) in enumerate(_SESSION_LIST)
        ],
        "helpers": [{"session": "B-04", "person": "Ben", "time": 55.0, "mean_heart_rate": 118.0}],
        "cuts": [
            {"session": name, "diameter": 5.5 + 0.25 * (i % 9), **({"cuts": 4 + i % 5} if i % 2 else {})}
            for i, name in enumerate(n for n, _, _, _ in _SESSION_LIST for _ in range(4))
        ],
        "stacks": [
            {"session": "S-01", "height": 4.0, "length": 6.5},
            {"session": "S-05", "height": 3.5, "length": 8.0},
        ],
        "heart_trace": [],
        "next_season": {"volume_wanted": 6.0, "hours_per_week": 5.0},
    }


_NOTE = (
    "Elm butt, stringy and wet; the maul stuck in every other stroke. Wedges had to be driven from both sides. "
    "Two sticks were put by for the chopping block and were not stacked."
)
_SESSION_LIST = (
    ("B-01", "2025-10-04", BUCK_SAW, 92.0),
    ("B-02", "2025-10-05", BUCK_CHAIN, 41.0),
    ("B-03", "2025-10-11", BUCK_SAW, 118.0),
    ("B-04", "2025-10-11", BUCK_CHAIN, 55.0),
    ("B-05", "2025-10-18", BUCK_SAW, 75.0),
    ("B-06", "2025-10-19", BUCK_CHAIN, 38.0),
    ("B-07", "2025-10-25", BUCK_SAW, 30.0),
    ("S-01", "2025-11-01", SPLIT_HAND, 104.0),
    ("S-02", "2025-11-02", SPLIT_ENGINE, 64.0),
    ("S-03", "2025-11-08", SPLIT_HAND, 88.0),
    ("S-04", "2025-11-09", SPLIT_ENGINE, 70.0),
    ("S-05", "2025-11-15", SPLIT_HAND, 126.0),
    ("S-06", "2025-11-16", SPLIT_ENGINE, 58.0),
    ("S-07", "2025-11-22", SPLIT_HAND, 95.0),
)
_INPUT_UNITS = {
    "season": {
        "stick_length": "in",
        "yearly_volume": "cord",
        "real_interest_rate": "%",
        "gasoline_price": "per gal",
        "bar_oil_price": "per gal",
    },
    "wood": {"share": "%"},
    "people": {"age": "years", "mass": "lb", "resting_heart_rate": "beats/min"},
    "tools": {"price": "money", "resale": "money", "life_hours": "h", "life_years": "years"},
    "upkeep": {"price": "money"},
    "sessions": {"elapsed_time": "min", "delay_time": "min", "fuel_used": "qt"},
    "helpers": {"time": "min", "mean_heart_rate": "beats/min"},
    "cuts": {"diameter": "in"},
    "stacks": {"height": "ft", "length": "ft"},
    "next_season": {"volume_wanted": "cord", "hours_per_week": "h"},
}
_PROVENANCE = {
    "tool": "wood_xl 0.1.0",
    "results_version": "1.0",
    "template_version": "1.0",
    "input_sha256": "3b1f" * 16,
    "season_sha256": "9c40" * 16,
    "figures_sha256": "e27d" * 16,
    "factor_edition": "5a88" * 16,
    "left_out": "nothing",
}
_SEASON = {
    "season_name": "Back lot & lane, winter 2025",
    "place": "A hill farm",
    "currency": "USD",
    "price_year": "2025",
    "stick_length": Figure(40.64, "as written"),
    "stack_form": "ranked split",
    "solid_fraction": Figure(0.62, "default of this form of stack"),
    "yearly_volume": Figure(18.12, "as written"),
    "real_interest_rate": Figure(3.0, "as written"),
    "sessions_counted": 13,
    "sessions_not_counted": 1,
    "invented": "Invented example: these numbers were made up to show what the sheets look like.",
}
_ANSWERS = (
    (
        "Bucking with the chain saw took 1.9 worker hours a cord against 7.6 with the bow saw: a quarter. "
        "Three sessions stand behind each, so take the ratio as rough."
    ),
    "Splitting by hand took 6.3 worker hours a cord, by the engine 3.9.",
    "The cheapest route in cash is bow saw and maul; the quickest is chain saw and hydraulic splitter.",
    "Bar oil was written down in one session only. Its cost is left out of the cash of the other two.",
)
_TABLE_BASIS = "activity table: no heart rate was written for some workers"
_MIXED_BASIS = "heart rate in 2 sessions, activity table in 1"
_NO_TIME_VALUE = "no value of an hour was given"
_NO_MASS = "needs the mass of Ben (People!D5)"
_RATES: tuple[tuple[Cell, ...], ...] = (
    (BUCK_SAW, "buck", 3, 7.58, 7.58, Figure(7.12, "delay as written"), Figure(1964, _MIXED_BASIS),
     Figure(2440, _MIXED_BASIS),
     Figure(6.35, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     Figure(0.0, "no fuel burnt")),
    (BUCK_CHAIN, "buck", 3, 1.71, 1.92, Figure(1.70, "delay as written"), not_given(_NO_MASS), not_given(_NO_MASS),
     Figure(17.42, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     Figure(5.31, "fuel of the 3 sessions that recorded it")),
    (SPLIT_HAND, "split", 4, 6.31, 6.31, Figure(5.98, "delay as written"), Figure(1843, _TABLE_BASIS),
     Figure(2201, _TABLE_BASIS),
     Figure(2.11, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     Figure(0.0, "no fuel burnt")),
    (SPLIT_ENGINE, "split", 3, 3.92, 3.92, Figure(3.61, "delay as written"), Figure(688, _TABLE_BASIS),
     Figure(905, _TABLE_BASIS),
     Figure(31.07, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     not_given("fuel was written in no counted session")),
)  # fmt: skip
_NO_FUEL = "fuel was written in no counted session"
_NO_PRICE = "no price (Tools!C9)"
_CASH: tuple[tuple[str, float, Cell], ...] = (
    (BUCK_SAW, 7.58, 6.35),
    (BUCK_CHAIN, 1.92, 17.42),
    (SPLIT_HAND, 6.31, 2.11),
    (SPLIT_ENGINE, 3.92, not_given(_NO_FUEL)),
)
_TOTALS = (
    (BUCK_SAW, 3, 1, 0.627, 4.75, 4.75, 5.2, 3.1),
    (BUCK_CHAIN, 3, 0, 1.306, 2.23, 2.51, 8.0, 11.4),
    (SPLIT_HAND, 4, 0, 1.091, 6.88, 6.88, 4.6, 0.0),
    (SPLIT_ENGINE, 3, 0, 0.816, 3.2, 3.2, 9.1, 6.2),
)
_FROM_TAPE = "stacked volume from the tape, solid volume by the solid fraction"
_FROM_CUTS = "from the cuts, stacked volume by the solid fraction"


def _basis(method: str) -> str:
    return _FROM_CUTS if TASKS[method] == "buck" else _FROM_TAPE


def _session(i: int, name: str, date: str, method: str, minutes: float) -> tuple[Cell, ...]:
    counted = "leave out: rain stopped the work after the third log" if i == 6 else "yes"
    crew = 2 if name == "B-04" else 1
    cords = (0.22 if TASKS[method] == "buck" else 0.27) * (1 + 0.07 * (i % 4))
    hours = minutes / 60
    fuel = 0.24 + 0.05 * i if method in (BUCK_CHAIN, SPLIT_ENGINE) else None
    solid = cords * 2.2472
    energy = not_given(_NO_MASS) if crew == 2 else Figure(hours * 290, "by heart rate" if i % 2 else _TABLE_BASIS)
    return (
        name, date, method, counted, crew, hours, hours * crew, 0.1 if i % 3 else 0.0, 0.05,
        Figure(solid / 0.4064, _basis(method)), Figure(solid, _basis(method)),
        Figure(cords * 3.6246, _basis(method)), cords,
        "cuts" if TASKS[method] == "buck" else "stacks", hours * crew / cords, energy,
        Figure(fuel, "") if fuel else Figure(0.0, "no engine"),
        Figure(fuel * 2.32, "") if fuel else Figure(0.0, "no engine"),
    )  # fmt: skip


def _effort(i: int, name: str, minutes: float) -> tuple[Cell, ...]:
    rate = 104.0 + 4 * (i % 6) if i % 2 else None
    no_rate, no_monitor = "no heart rate written", "no monitor energy written"
    gross = minutes * 6.1
    return (
        name, "Ada", "main", minutes,
        rate if rate else not_given(no_rate),
        "heart rate: it was written for the whole session" if rate else "activity table: no heart rate was written",
        gross, gross - minutes * 1.02, 25.0 if rate else 30.0, not_given("no VO2max"), not_given("no VO2max"),
        gross if rate else not_given(no_rate), not_given(no_monitor), gross * 0.93, 7.0 if rate else 0.0,
    )  # fmt: skip


def _problem(level: str, place: tuple[str, str, str], text: str, mend: str, code: str) -> tuple[Cell, ...]:
    return (level, *place, 1, text, mend, code)


_DEFAULTS = (
    (10, "Solid fraction of a ranked stack", "0.62"),
    (15, "Real interest rate [%]", "3"),
    (20, "Two-stroke mix", "50"),
    (22, "Ethanol in the gasoline [%]", "10"),
    (23, "Emission factors", "the first set"),
    (24, "Horizon [years]", "10"),
)
_FUEL = "Fuel and oil of the sessions that recorded it"
_HELPER_EFFORT = ("B-04", "Ben", "helper", 55.0, 118.0, "none can be given", *(not_given(_NO_MASS),) * 6,
                  not_given("no monitor energy written"), *(not_given(_NO_MASS),) * 2)  # fmt: skip
_TABLES: dict[str, list[tuple[Cell, ...]]] = {
    "methods": [
        (method, TASKS[method], TOOLS[method], n, left, cords, Figure(cords * 3.6246, _basis(method)),
         Figure(cords * 2.2472, _basis(method)), Figure(cords * 5.53, _basis(method)), clock, worker, delay, service)
        for method, n, left, cords, clock, worker, delay, service in _TOTALS
    ],
    "money_per_cord": [
        (BUCK_SAW, "buck", "by hand", 3.18, 3.17, 0.0, 0.0, 0.0, 6.35),
        (BUCK_CHAIN, "buck", "by engine", 11.92, 1.84, 1.66,
         Figure(2.0, "bar oil of the one session that recorded it"), 0.0, 17.42),
        (SPLIT_HAND, "split", "by hand", Figure(2.11, "wedges are left out"), 0.0, 0.0, 0.0, 0.0, 2.11),
        (SPLIT_ENGINE, "split", "by engine", 31.07, 0.0, *(not_given(_NO_FUEL), 0.0, 0.0), not_given(_NO_FUEL)),
    ],
    "money_totals": [
        (method, hours, cash, *(not_given(_NO_TIME_VALUE),) * 2,
         *((not_given(_NO_FUEL),) * 4 if isinstance(cash, Figure) else (cash / 1.7, cash / 1.4, 5 * cash, 43 * cash)))
        for method, hours, cash in _CASH
    ],
    "money_views": [
        (method, cash, *((not_given(_NO_FUEL),) * 5 if isinstance(cash, Figure) else
                         (Figure(0.7 * cash, "no worth today is written: the resale at the end stands in"),
                          0.99 * cash, 1.01 * cash, 1.6 * cash, 0.7 * cash)))
        for method, _, cash in _CASH
    ],
    "tool_costs": [
        ("Bow saw, 30 in", BUCK_SAW, 38.0, Figure(0.0, "default share of the price"), 37.9, 15.0, 100.0, 3.18, 0.0,
         3.16),
        ("Sawhorse", BUCK_SAW, 45.0, Figure(0.0, "default share of the price"), 37.9, 12.0, 100.0, 4.52, 0.0, 4.5),
        ("Chain saw, 50 cc", BUCK_CHAIN, 429.0, Figure(85.8, "default share of the price"), 8.5, 12.0, 100.0, 37.1,
         Figure(2.57, "no worth today is written"), 36.9),
        ("Maul, 6 lb", SPLIT_HAND, 52.0, Figure(0.0, "default share of the price"), 31.6,
         Figure(15.0, "default life of a hand tool"), 100.0, 4.36, 0.0, 4.3),
        ("Wedges", SPLIT_HAND, *(not_given(_NO_PRICE),) * 2, 31.6, 15.0, 100.0, *(not_given(_NO_PRICE),) * 3),
        ("Splitter, 22 ton", SPLIT_ENGINE, 1299.0, 400.0, 19.6, 12.0, 100.0, 102.32, 102.32, 101.4),
    ],
    "break_even": [
        (BUCK_CHAIN, BUCK_SAW, "buck", 5.66, 11.07, 1.96, not_given("never pays"), not_given(_NO_TIME_VALUE),
         "costs more cash at any volume: pays only by the worth of the hours saved"),
        (SPLIT_ENGINE, SPLIT_HAND, "split", 2.39, *(not_given(_NO_FUEL),) * 4, "not known"),
    ],
    "payback": [
        (BUCK_CHAIN, BUCK_SAW, "buck", 346.0, -12.4, 28.3, *(not_given("never"),) * 2,
         *(not_given(_NO_TIME_VALUE),) * 2),
        (SPLIT_ENGINE, SPLIT_HAND, "split", *(not_given(_NO_FUEL),) * 2, 12.0, *(not_given(_NO_FUEL),) * 4),
    ],
    "sensitivity": [
        (f"life in running hours of Chain saw, 50 cc, {BUCK_CHAIN}", "300 (56 to 1,000) h", "verified", "cash", 30.5,
         16.2, 14.3),
        (f"yearly volume, {BUCK_SAW}", "1 (0.5 to 2) times what is written", "assumption", "cash", 9.5, 4.8, 4.7),
    ],
    "emissions": [
        (BUCK_SAW, "No fuel burnt", "in the total", *(0.0,) * 3),
        (BUCK_CHAIN, _FUEL, "in the total", 2.29, 5.31, Figure(6.94, "scaled to all counted sessions")),
        (BUCK_CHAIN, "Bar oil left in the wood", "memo", 0.52, not_given("not burnt here"),
         not_given("not burnt here")),
        (SPLIT_HAND, "No fuel burnt", "in the total", *(0.0,) * 3),
        (SPLIT_ENGINE, _FUEL, "in the total", *(not_given("fuel was written in no counted session"),) * 3),
    ],
    "efforts": [
        *(_effort(i, name, minutes) for i, (name, _, _, minutes) in enumerate(_SESSION_LIST)),
        _HELPER_EFFORT,
    ],
    "people": [("Ada", 13, 16.9, 4986, 6019), ("Ben", 1, 0.9, not_given(_NO_MASS), not_given(_NO_MASS))],
    "strain": [
        (name, "Ada", 41.0 + i, 1.7, 0.9, 3.4 if i % 5 else not_given("continuous work: less than 1.5 h"), 12.0, 15.0,
         "not flagged")
        if i % 3
        else (name, "Ada", *(not_given("no heart rate"),) * 4, 12.0, 15.0, "not known")
        for i, (name, _, _, _) in enumerate(_SESSION_LIST)
    ],
    "traces": [("B-02", "Ada", 2461, 1.0, 41.0, 0.0, "12 without a beat", 118.4, 117.0, 151.0, 21.5, 4.0, 2.5)],
    "exposures": [
        (date, "Ada", *((2.1, 71.0, "below the action value", 410.0, 38.0, "at or above the recommended daily dose")
                        if "chain" in method.lower() else
                        (*(not_given("not assessed"),) * 2, "not assessed", *(not_given("not assessed"),) * 2,
                         "not assessed")))
        for _, date, method, _ in _SESSION_LIST
    ],
    "exposure_limits": [(BUCK_CHAIN, "Chain saw, 50 cc", 2.8, 11.3, 0.1, 1.3, "")],
    "weather": [("B-01", 12.0, not_given("no humidity"), not_given("no wind"), "")],
    "cautions": [("Heart", "An invented caution: sit down first.", "none", "common practice, no source")],
    "sessions": [_session(i, *given) for i, given in enumerate(_SESSION_LIST)],
    "lots": [
        ("lane oak", 1.42, 2.29, 0.62, "yes"),
        ("elm butt", 0.61, not_given("no stack measured"), not_given("no stack measured"),
         "no: it was cut and not stacked"),
    ],
    "factors": [
        ("cord.volume", "Cord, stacked", 128.0, "ft3", "NIST Handbook 130 (2016)", "section 2.4.1", "verified"),
        ("cord.inch", "Inch", 0.0254, "m", "International yard and pound agreement (1959)", "", "exact"),
        ("stack.solid_fraction.ranked_split", "Solid fraction of a ranked stack of split wood", 0.62, "",
         "An invented handbook of stacked wood and its measure, third edition", "table 4, page 112", "memory"),
        ("price.example", "A large number, to see its digits", 1234567.25, "", "Nothing published", "", "assumption"),
    ],
    "problems": [
        _problem("FIX", ("People", "D5", "Body mass [lb]"), "The cell is empty.", "Write Ben's mass.",
                 "row-missing-value"),
        _problem("FIX", ("Tools", "C9", "Price [USD]"), 'Found "about 30". Expected a plain number.', "Write 30.",
                 "cell-not-a-number"),
        _problem("FIX", ("Sessions", "K12", "Fuel used [qt]"),
                 'Found the text "0,75". Expected a number. It may have been typed with a decimal comma.',
                 "Type 0.75, or set the cell to Number and type it again.", "cell-decimal-comma"),
        _problem("LOOK", ("Cuts", "B20", "Diameter [in]"),
                 "46 is more than usual (2 to 36). Used as it stands. If it is in centimetres, choose cm.",
                 "Check the tape.", "cell-unusual"),
        *(_problem("NOTE", ("Season", f"B{row}", title), f"Empty; the default {value} stands in.",
                   "Write your own if you know it.", "season-default-used")
          for row, title, value in _DEFAULTS),
        _problem("NOTE", ("Sessions", "row 10", ""),
                 "Left out by its writer: rain stopped the work after the third log.",
                 "Nothing need be done.", "session-left-out"),
        _problem("NOTE", ("", "", ""), "The workbook holds a sheet of its own making, which was not read.",
                 "It can stay.", "header-unknown-sheet"),
    ],
    "waiting": [
        {"sheet": "People", "row": "5", "column": "Body mass", "extent": "cell", "cell": "People!D5"},
        {"sheet": "Tools", "row": "", "column": "Price", "extent": "whole column", "cell": "Tools!C3"},
    ],
}  # fmt: skip
