"""An invented results document, and the invented notes it stands for.

Values are kept in the definition's own units (metric) and shown in the units that are asked for, as a results
document is. They look like those of a season; nothing is computed from the notes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wood_xl.draws.figure import Figure, not_given
from wood_xl.reasons import Word, said
from wood_xl.schema.model import Column, Sheet, System, results_definition
from wood_xl.schema.words import words
from wood_xl.units import convert
from wood_xl.verdicts import BestFor, Conflict, Kind, Measure, Source, Surety, Verdict

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
        "decision": [{"part": part, "text": text} for part, text in _DECISION.items()],
        "answers": [{"answer": text} for text in _ANSWERS],
        "inputs": sample_inputs(),
        "input_rows": {},
    }
    document["rates_per_cord"] = [_rate(rates, row, system, intervals) for row in _RATES]
    document["plan"] = {**_row(definition.sheet("plan"), _PLAN, system), **_PLAN_LISTS}
    for sheet_id, rows in _TABLES.items():
        document[sheet_id] = [_row(definition.sheet(sheet_id), row, system) for row in rows]
    inputs = document["inputs"]
    document["input_rows"] = {
        key: list(range(4, 4 + len(rows))) for key, rows in inputs.items() if isinstance(rows, list)
    }
    document["input_rows"]["cuts"] = [row + 2 * (row > 7) for row in document["input_rows"]["cuts"]]  # a gap
    return {key: document[key] for key in definition.schema["properties"]}


def results_with_ids(system: System = "us", *, intervals: bool = False) -> dict[str, Any]:
    """The same before its words are put in, as far as the first page and the plain sentences ask for ids."""
    document = sample_results(system, intervals=intervals)
    figures = {column.title: column.id for column in results_definition().sheet("rates_per_cord").columns}
    for row in document["comparisons"]:
        row["figure"] = figures[row["figure"]]
        row["surety"] = _id(Surety, row["surety"])
        alike, still_open = said(Verdict.ALIKE), said(Verdict.OPEN)
        known = {words(alike): alike, words(still_open): still_open}
        row["verdict"] = known.get(row["verdict"], said(Verdict.TAKES_LESS, method=row["less"]))
    for row in document["combinations"]:
        row["best_for"], row["methods"] = BestFor[row["best_for"].upper()], _names(row["methods"])
    for row in document["verdicts"]:
        row["kind"], row["surety"] = Kind[row["kind"].upper()], Surety[row["surety"].upper()]
        row["conflict"] = said(Conflict.POWER_AND_HAND) if row["conflict"] else None
    for row in document["winners"]:
        row["measure"], row["surety"] = Measure[row["measure"].upper()], Surety[row["surety"].upper()]
        row["method"] = _names(row["method"])
    for row in document["limits"]:
        row["source"] = _id(Source, row["source"])
    for row in document["bought_wood"]:
        row["best_for"] = BestFor[row["best_for"].upper()]
    return document


def _names(joined: str) -> tuple[str, ...]:
    return tuple(joined.split(" + ")) if joined else ()


def _id(ids: type[Word], text: str) -> Word | None:
    return next((one for one in ids if words(one) == text), None)


def _figure(column: Column, cell: Cell, system: System) -> dict[str, Any]:
    figure = cell if isinstance(cell, Figure) else Figure(cell)
    unit = column.unit_in(system)
    value, low, high = (
        None if number is None else convert(number, column.unit, unit)
        for number in (figure.value, figure.low, figure.high)
    )
    said = {"basis": words(figure.basis), "reason": words(figure.reason)}
    return {"value": value, "low": low, "high": high, "unit": unit, **said}


def _row(sheet: Sheet, cells: Mapping[str, Cell] | tuple[Cell, ...], system: System) -> dict[str, Any]:
    named = cells if isinstance(cells, Mapping) else dict(zip((c.id for c in sheet.columns), cells, strict=True))
    return {
        column.id: _figure(column, named[column.id], system) if column.type == "figure" else named[column.id]
        for column in sheet.columns
    }


def _rate(sheet: Sheet, cells: tuple[Cell, ...], system: System, intervals: bool) -> dict[str, Any]:
    told = list(cells)
    for i, column in enumerate(sheet.columns):
        figure = cells[i] if isinstance(cells[i], Figure) else Figure(cells[i])
        if (
            intervals
            and column.id in ("worker_hours", "cash")
            and cells[0] != SPLIT_HAND
            and figure.value is not None
        ):
            told[i] = replace(figure, low=figure.value * 0.8, high=figure.value * 1.35)
    return _row(sheet, tuple(told), system)


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
    "practical_margin": Figure(10.0, reason=""),
    "delay_share": Figure(6.1, reason=""),
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
    "The cheapest combination in cash is bow saw and maul; the quickest is chain saw and hydraulic splitter.",
    "Bar oil was written down in one session only. Its cost is left out of the cash of the other two.",
)
_TABLE_BASIS = "activity table: no heart rate was written for some workers"
_MIXED_BASIS = "heart rate in 2 sessions, activity table in 1"
_NO_TIME_VALUE = "no value of an hour was given"
_NO_MASS = "needs the mass of Ben (People!C5)"
_NO_FUEL = "fuel was written in no counted session"
_NO_LIFE = "no life of Wedges"
_FUEL = "Fuel and oil of the sessions that recorded it"
_RATES: tuple[tuple[Cell, ...], ...] = (
    (BUCK_SAW, "buck", 3, 7.58, 7.58, Figure(7.12, "delay as written"), Figure(1964, _MIXED_BASIS),
     Figure(2440, _MIXED_BASIS),
     Figure(11.11, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     Figure(0.04, "a usual mass stands in"), Figure(0.0, "no fuel burnt")),
    (BUCK_CHAIN, "buck", 3, 1.71, 1.92, Figure(1.70, "delay as written"), not_given(_NO_MASS), not_given(_NO_MASS),
     Figure(22.22, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     Figure(6.94, _FUEL), Figure(6.50, _FUEL)),
    (SPLIT_HAND, "split", 4, 6.31, 6.31, Figure(5.98, "delay as written"), Figure(1843, _TABLE_BASIS),
     Figure(2201, _TABLE_BASIS),
     Figure(3.33, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     not_given(_NO_LIFE), Figure(0.0, "no fuel burnt")),
    (SPLIT_ENGINE, "split", 3, 3.92, 3.92, Figure(3.61, "delay as written"), Figure(688, _TABLE_BASIS),
     Figure(905, _TABLE_BASIS),
     Figure(44.44, "tools shared by hours"), not_given(_NO_TIME_VALUE), not_given(_NO_TIME_VALUE),
     not_given(_NO_FUEL), not_given(_NO_FUEL)),
)  # fmt: skip
_NO_PRICE = "no price (Tools!C9)"
_CASH: tuple[tuple[str, float, Cell], ...] = (
    (BUCK_SAW, 7.58, 11.11),
    (BUCK_CHAIN, 1.92, 22.22),
    (SPLIT_HAND, 6.31, 3.33),
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
        Figure(fuel, "") if fuel else Figure(0.0, "no engine"), "" if i else "heat: caution",
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
        gross if rate else not_given(no_rate), not_given(no_monitor),
        gross * 0.93, 7.0 if rate else 0.0,
    )  # fmt: skip


def _problem(level: str, place: tuple[str, str, str], text: str, mend: str, code: str) -> tuple[Cell, ...]:
    return (level, *place, 1, text, mend, code, place[0].lower())


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
_FRACTION = "solid fraction 0.640, solid over stacked wood of the counted sessions"
_USUAL_WATER = "not written: usual dry firewood"
_STOVE = "certified stove at 70 % of the net heat, a usual figure"
_COMMON = "solid fraction 7.8 %, tape 0.5 %"


def _between(value: float, low: float, high: float) -> Figure:
    return Figure(value, "", low, high, "")


# for a cord of the whole job: methods, worker hours, cash, CO2e, clock hours, effort, cash and own time
_POWER = (f"{BUCK_CHAIN} + {SPLIT_ENGINE}", _between(3.9, 2.9, 5.3), _between(77.7, 55.5, 99.9),
          _between(2.9, 2.2, 3.8), _between(3.1, 2.3, 4.2), _between(1400.0, 900.0, 2200.0),
          _between(147.9, 110.0, 190.0))  # fmt: skip
_HAND = (f"{BUCK_SAW} + {LONG_METHOD}", 12.9, 13.3, 0.0, 12.4, 5400.0, 245.5)
_SHARES = (0.0, 12.0, 3.0, 25.0, 60.0)


def _how_sure(method: str, n: int, quality: str, value: float) -> tuple[Cell, ...]:
    return (
        method, TASKS[method], "Worker hours", "h/cord", n, quality, _between(value, value / 1.4, value * 1.4),
        _between(value, value / 2, value * 2), Figure(20.0, reason=""), *_SHARES, Figure(8.0), _COMMON,
        Figure(96.1, reason="") if n > 1 else not_given("the only method of its task"),
    )  # fmt: skip


def _comparison(figure: str, more: str, less: str, ratio: Figure | None, *words: str) -> tuple[Cell, ...]:
    shown = [ratio, 99.9, 98.5, 1.4] if ratio else [not_given(_NO_MASS)] * 4
    return (TASKS[more], figure, more, less, *shown, *words, *(_SHARES if ratio else [not_given(_NO_MASS)] * 5))


_COMPARISONS = [
    _comparison("Worker hours", BUCK_SAW, BUCK_CHAIN, _between(3.95, 2.8, 5.6), "settled",
                f"{BUCK_CHAIN} takes less", "none needed"),
    _comparison("Worker hours", SPLIT_HAND, SPLIT_ENGINE, _between(1.61, 0.97, 2.67), "leans this way, not settled",
                "cannot tell yet", "about 4 more days with both, by one person (8 in 10)"),
    _comparison("Effort, net of rest", BUCK_SAW, BUCK_CHAIN, None, "not known", "cannot tell yet", _NO_MASS),
    _comparison("Effort, net of rest", SPLIT_HAND, SPLIT_ENGINE, _between(2.68, 1.7, 4.2), "settled",
                f"{SPLIT_ENGINE} takes less", "none needed"),
]  # fmt: skip
_DECISION = {
    "Question": "Which way of bucking and splitting suits you? You value an hour at 18 USD.",
    f"Bucking: {BUCK_CHAIN}": "It saves 5.7 hours of work on a cord (4.1 to 7.6).",
    "The whole job": "As advised, a cord takes 3.9 hours of work (2.9 to 5.3).",
    "How sure": "Bucking: likely, not settled. Splitting: leans this way, not settled.",
    "Next season": "3.00 cord in 29 worker hours; all limits are kept.",
    "Next steps": "1. Begin on Saturday 2026-02-14. 2. Write each session.",
}
_PLAN = (10.9, 10.9, 0.0, "2026-02-14", "2026-05-31", "2026-04-04", 3, 28.6, not_given("no price of the maul"),
         11900.0, 8.7, 31.1, "It follows the verdict of every task.", "", "all limits are kept", "",
         "settled enough: no verdict hangs on more trials",
         "about 2027-04, split and under cover")  # fmt: skip
_PLAN_LISTS: dict[str, Any] = {
    "sessions": [
        {"date": "2026-02-14", "person": "Ada", "task": "buck", "method": BUCK_CHAIN, "minutes": 120.0,
         "in_sight": "Ben", "wear": []},
    ],
    "left_out": [
        {"person": "Cy", "method": BUCK_CHAIN, "reason": "not_trained",
         "why": "not listed as trained: Chain saw, 50 cc", "change": "People, May use of Cy"},
    ],
}  # fmt: skip
_TABLES: dict[str, list[tuple[Cell, ...]]] = {
    "comparisons": _COMPARISONS,
    "log_sizes": [
        (BUCK_SAW, "buck", "14 timed cuts", 63, 18.4, 16.0, 21.2, _between(21.0, 9.0, 33.0),
         _between(2480.0, 2100.0, 2860.0)),
        (BUCK_CHAIN, "buck", "not fitted: 3 sessions with cuts, 4 are needed", 140, 22.7, 19.9, 26.3,
         *(not_given("not fitted"),) * 2),
    ],
    "how_sure": [
        _how_sure(BUCK_SAW, 3, "fair", 7.58),
        _how_sure(BUCK_CHAIN, 1, "single try", 1.92),
        _how_sure(SPLIT_HAND, 5, "good", 6.31),
    ],
    "equal_terms": [
        (BUCK_SAW, "buck", "Worker hours", "h/cord", 7.9, 0.96, 1.0, 1.0, _between(7.58, 5.41, 10.6),
         "mostly the logs"),
        (BUCK_CHAIN, "buck", "Worker hours", "h/cord", 1.92, 1.0, 1.0, 1.0, _between(1.92, 1.37, 2.69),
         "no more than the margin apart"),
    ],
    "limits": [
        ("buck", BUCK_SAW, BUCK_CHAIN, "sessions", 60.0, "Ada 3", "Ada 1", 18.4, 22.7, 1, "do more days with both"),
    ],
    "left_out": [
        ("B-04", BUCK_SAW, "buck", "rained off", "Worker hours", "h/cord", _between(7.58, 5.41, 10.6),
         _between(8.12, 5.8, 11.4), f"{BUCK_CHAIN} takes less than {BUCK_SAW}: settled",
         f"{BUCK_CHAIN} takes less than {BUCK_SAW}: settled"),
    ],
    "practice": [
        (BUCK_SAW, "buck", "too few sessions to tell", 3, _between(96.0, 80.0, 115.0), 33.3,
         not_given("no trend to allow for"), 2, _between(108.0, 99.0, 118.0)),
        (SPLIT_HAND, "split", "less time as it went on", 5, _between(88.0, 81.0, 95.0), 1.7,
         _between(5.9, 4.8, 7.2), 0, not_given("needs timed cuts in three sessions")),
    ],
    "methods": [
        (method, TASKS[method], TOOLS[method], n, left, cords, Figure(cords * 3.6246, _basis(method)),
         Figure(cords * 2.2472, _basis(method)), Figure(cords * 5.53, _basis(method)), clock, worker, delay, service)
        for method, n, left, cords, clock, worker, delay, service in _TOTALS
    ],
    "money_per_cord": [
        (BUCK_SAW, "buck", "by hand", 5.55, 5.56, 0.0, 0.0, 0.0, 11.11),
        (BUCK_CHAIN, "buck", "by engine", 11.11, 3.33, 4.44,
         Figure(3.34, "bar oil of the one session that recorded it"), 0.0, 22.22),
        (SPLIT_HAND, "split", "by hand", Figure(3.33, "wedges are left out"), 0.0, 0.0, 0.0, 0.0, 3.33),
        (SPLIT_ENGINE, "split", "by engine", 44.44, 0.0, *(not_given(_NO_FUEL), 0.0, 0.0), not_given(_NO_FUEL)),
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
    "bought_wood": [
        ("suggested", f"{BUCK_CHAIN} + {SPLIT_ENGINE}", _between(280.0, 210.0, 350.0),
         Figure(0.0, "no stacking was timed: it comes on top, in both ways"), 3.9, 190.0, _between(48.7, 30.0, 70.0),
         *(not_given("not known of wood that others made"),) * 2, "pays if an hour is worth more than that to you"),
    ],
    "verdicts": [
        {"task": "buck", "head": f"Bucking: {BUCK_CHAIN}", "choice": BUCK_CHAIN, "kind": "pays", "surety": "likely",
         "sentence": f"Against {BUCK_SAW}, {BUCK_CHAIN} saves 5.7 hours of work on a cord (4.1 to 7.6). Each saved "
         "hour costs 2.00 NOK (1.20 to 3.40). You value an hour at 18, so it pays: likely, not settled.",
         "flip": _between(1.96, 1.2, 3.4), "conflict": words(Conflict.POWER_AND_HAND)},
        {"task": "split", "head": f"Splitting: {SPLIT_ENGINE}", "choice": SPLIT_ENGINE, "kind": "pays",
         "surety": "leans", "sentence": f"Against {LONG_METHOD}, {SPLIT_ENGINE} saves 2.0 hours of work on a cord.",
         "flip": _between(9.0, 2.0, 30.0), "conflict": words(Conflict.POWER_AND_HAND)},
    ],
    "winners": [
        {"measure": measure, "task": task, "method": method, "surety": surety}
        for measure, power, surety in (("time", True, "likely"), ("money", False, "settled"),
                                       ("effort", True, "likely"), ("air", False, "settled"))
        for task, method in (("buck", BUCK_CHAIN if power else BUCK_SAW),
                             ("split", SPLIT_ENGINE if power else LONG_METHOD),
                             ("all", f"{BUCK_CHAIN} + {SPLIT_ENGINE}" if power else f"{BUCK_SAW} + {LONG_METHOD}"))
    ],
    "exchange": [
        {"task": "buck", "method": BUCK_CHAIN, "instead_of": BUCK_SAW, "hours_saved": _between(5.66, 4.1, 7.6),
         "cash_more": _between(11.11, 7.0, 17.2), "kcal_saved": 1210.0, "co2e_more": 3.1,
         "hour": _between(1.96, 1.2, 3.4), "flip": _between(1.96, 1.2, 3.4), "flip_half": 3.4, "flip_twice": 1.3,
         "kcal_1000": 9.2, "co2e_tonne": not_given(_NO_TIME_VALUE), "co2e_tonne_hours": 1826.0},
    ],
    "break_even": [
        (BUCK_CHAIN, BUCK_SAW, "buck", 5.66, 11.11, 1.96, not_given("never pays"), not_given(_NO_TIME_VALUE),
         "pays only by the worth of the hours saved: costs more cash at any volume"),
        (SPLIT_ENGINE, SPLIT_HAND, "split", 2.39, *(not_given(_NO_FUEL),) * 4, "not known"),
    ],
    "payback": [
        (BUCK_CHAIN, BUCK_SAW, "buck", 346.0, -12.4, 28.3, *(not_given("never"),) * 2,
         *(not_given(_NO_TIME_VALUE),) * 2),
        (SPLIT_ENGINE, SPLIT_HAND, "split", *(not_given(_NO_FUEL),) * 2, 12.0, *(not_given(_NO_FUEL),) * 4),
    ],
    "flip_moves": [
        ("life in running hours of Chain saw, 50 cc", "buck", BUCK_CHAIN, BUCK_SAW, "300 (56 to 1,000) h", "verified",
         _between(1.96, 1.2, 3.4), 4.1, 1.2, 2.9, "you gave no value of an hour"),
        (f"hours of work a cord, {SPLIT_HAND}", "split", SPLIT_ENGINE, SPLIT_HAND, "3.1 (1.9 to 5.2) h",
         "your sessions and the tape", Figure(10.2, reason="may save no hour"), 4.2, not_given("saves no hour there"),
         not_given("may save no hour"), "yes: then the other costs less"),
    ],
    "emissions_per_cord": [
        (BUCK_SAW, "buck", *(Figure(0.0, "no engine"),) * 3, Figure(0.0, "no electric tool"), 0.04, 0.04, 0.02, 0.01),
        (BUCK_CHAIN, "buck", Figure(5.31, _FUEL), 0.27, 0.92, 0.0, 0.44, 6.94, 3.1, 0.5),
        (SPLIT_HAND, "split", 0.0, 0.0, 0.0, 0.0, *(not_given(_NO_LIFE),) * 4),
        (SPLIT_ENGINE, "split", *(not_given(_NO_FUEL),) * 3, 0.0, 2.1, *(not_given(_NO_FUEL),) * 3),
    ],
    "emission_choices": [
        ("Fuel", "an invented set: gasoline, diesel, oil (An invented handbook of fuels; third edition)"),
        ("Electricity", "0.35 kg CO2e/kWh (as written in the season)"),
    ],
    "emissions": [
        (BUCK_SAW, "Making the tools, this wood's share", "in total", 0.04, 0.03, 0.2),
        (BUCK_SAW, "Work total", "total", 0.04, 0.03, 0.2),
        (BUCK_CHAIN, "CO2 of burning fuel", "in total", 5.31, Figure(6.94, "scaled to all sessions"), 26.6),
        (BUCK_CHAIN, "CO2 of the ethanol, from plants", "memo", 0.35, 0.46, 1.75),
        (SPLIT_HAND, "Work total", "total", *(not_given(_NO_LIFE),) * 3),
        (SPLIT_ENGINE, "CO2 of burning fuel", "in total", *(not_given(_NO_FUEL),) * 3),
    ],
    "carriers": [
        (BUCK_CHAIN, "buck", 2.02, 0.22, 0.045, 0.0, Figure(0.52, "bar oil of one session"), 0.0, 9.2, 0.04),
        (SPLIT_ENGINE, "split", *(not_given(_NO_FUEL),) * 4, 0.0, 0.0, *(not_given(_NO_FUEL),) * 2),
    ],
    "air_pollutants": [
        (BUCK_CHAIN, "gasoline two-stroke, an invented row", 297, 1758, 5.7, Figure(39.1, "bounded by the oil")),
    ],
    "bought_energy": [
        (BUCK_SAW, "buck", 0.0, 0.0, 0.5, 0.5, 120, 0.014),
        (BUCK_CHAIN, "buck", 72.3, 0.0, 6.4, 78.7, 18810, 2.26),
        (SPLIT_ENGINE, "split", not_given(_NO_FUEL), 0.0, 27.2, *(not_given(_NO_FUEL),) * 3),
    ],
    "food": [(BUCK_SAW, "net of rest", 1964, 24.7, 24.7, 82.2, 4.52)],
    "worn_tools": [
        ("Bow saw, 30 in", BUCK_SAW, Figure(0.9, "as written"), 1.76, 8.47, "by mass", 75, 0.023),
        ("Wedges", SPLIT_HAND, Figure(2.5, "not written: a usual mass of its kind"), 4.88, not_given("no price"),
         "by a usual mass", *(not_given(_NO_LIFE),) * 2),
    ],
    "wood_burning": [
        ("One cord", 1.0, 7.02, 0.094, 221.4, 2200, Figure(14.7, "certified stove")),
        ("A usual year", 5.0, 35.1, 0.47, 1106.8, 11000, not_given("no figure of a boiler")),
    ],
    "session_emissions": [
        ("B-02", BUCK_CHAIN, 1.41, 0.07, 0.25, 0.0, 0.12, 1.85),
        ("S-03", SPLIT_ENGINE, *(not_given(_NO_FUEL),) * 3, 0.0, 0.6, not_given(_NO_FUEL)),
    ],
    "heat": [
        ("Red oak", 70.0, 2.6, Figure(565.0, "density of the tree with its bark"), Figure(20.0, "as written"),
         Figure(25.0, "as written"), *(Figure(kg, _FRACTION) for kg in (1311.0, 1638.0)), 26019.0, 23451.0, 23451.0,
         *(Figure(16416.0, _STOVE),) * 2),
        ("Elm, American", 30.0, 1.1, Figure(455.0, "density as written"), Figure(20.0, _USUAL_WATER),
         Figure(25.0, _USUAL_WATER), *(Figure(kg, _FRACTION) for kg in (1055.0, 1319.0)), 20950.0, 18880.0, 18880.0,
         *(Figure(13216.0, _STOVE),) * 2),
        ("All the season's wood", 100.0, 3.7, Figure(532.0, "by shares of volume"), *(
            Figure(moisture, "by shares of mass") for moisture in (20.0, 25.0)),
         *(Figure(kg, _FRACTION) for kg in (1234.0, 1542.0)), 24498.0, 22080.0, 22080.0,
         *(Figure(15456.0, _STOVE),) * 2),
    ],
    "heat_use": [
        ("One cord", 1.0, *(Figure(15456.0, _STOVE),) * 2, "heating oil", 500.5, not_given("for gas only"),
         Figure(19320.0, "heating oil at 80 %, a usual figure"), not_given("no price of that fuel"), 1354.0),
        ("The season's wood", 3.7, *(Figure(57187.0, _STOVE),) * 2, "heating oil", 1851.9, not_given("for gas only"),
         Figure(71484.0, "heating oil at 80 %, a usual figure"), not_given("no price of that fuel"), 5011.0),
    ],
    "drying": [
        ("Red oak", "yes", 45.0, 2400.0, 1639.0, 761.0, 22010.0, 66.0, 74.0, 2.7, 24.0, 14.1),
        ("Elm, American", "not measured", *(not_given("not published"),) * 2, 1319.0,
         *(not_given("not published"),) * 3, 74.0, 2.1, 12.0, 14.1),
    ],
    "heat_need": [
        ("Last winter's wood", 73900.0, 73900.0, 4.78, 201.3, "taken to a usual winter by degree days"),
        ("Heat loss and degree days", *(not_given("no degree days of a usual winter"),) * 4, ""),
    ],
    "energy_return": [
        (BUCK_SAW, "buck", Figure(15456.0, _STOVE), 0.0, 12.4, not_given("no energy is bought"), 1246.5),
        (BUCK_CHAIN, "buck", Figure(15456.0, _STOVE), 82.0, 118.0, 188.5, 131.0),
        (SPLIT_HAND, "split", Figure(15456.0, _STOVE), 0.0, not_given("no mass of the tool"),
         not_given("no energy is bought"), not_given("no mass of the tool")),
    ],
    "efforts": [
        *(_effort(i, name, minutes) for i, (name, _, _, minutes) in enumerate(_SESSION_LIST)),
        _HELPER_EFFORT,
    ],
    "people": [("Ada", 13, 16.9, 4986, 6019), ("Ben", 1, 0.9, not_given(_NO_MASS), not_given(_NO_MASS))],
    "strain": [
        (name, "Ada", 41.0 + i, 8.0, 1.7, 0.9, 204.0 if i % 5 else not_given("no time below a share of 15 %"),
         not_given("no VO2max"), "heavy", "high", "share of reserve above 40 %")
        if i % 3
        else (name, "Ada", *(not_given("no heart rate"),) * 6, "moderate", "not known", "no heart rate")
        for i, (name, _, _, _) in enumerate(_SESSION_LIST)
    ],
    "shift_rest": [("2025-03-08", "Ada", 6.5, Figure(22.0, "standard for women", 8.0, 31.0))],
    "traces": [("B-02", "Ada", 2461, 1.0, 41.0, 0.0, "12 without a beat", 118.4, 117.0, 151.0, 21.5, 4.0, 2.5)],
    "exposures": [
        (date, "Ada", *((2.1, 71.0, "below the action value", 91.0, 410.0, 38.0,
                         "at or above the recommended daily limit")
                        if "chain" in method.lower() else
                        (*(not_given("not assessed"),) * 2, "not assessed", *(not_given("not assessed"),) * 3,
                         "not assessed")))
        for _, date, method, _ in _SESSION_LIST
    ],
    "exposure_limits": [(BUCK_CHAIN, "Chain saw, 50 cc", 2.8, 11.3, 0.1, 1.3, "")],
    "first_cautions": [
        ("saw_gear", "Powered saw", "Wear an invented helmet, and an invented screen before both eyes."),
        ("heart", "Heart", "An invented caution: sit down first."),
        ("no_figure", "Risk", "No figure here counts the risk of injury."),
    ],
    "cautions": [("Heart", "An invented caution: sit down first.", "none", "common practice, no source", "heart")],
    "sessions": [_session(i, *given) for i, given in enumerate(_SESSION_LIST)],
    "lots": [
        ("lane oak", 1.42, 2.29, 0.62, "yes"),
        ("elm butt", 0.61, not_given("no stack measured"), not_given("no stack measured"),
         "no: it was cut and not stacked"),
    ],
    "combinations": [
        ("suggested", *_POWER), ("time", *_POWER), ("money", *_HAND), ("effort", *_POWER),
        ("air", f"{BUCK_SAW} + {SPLIT_ENGINE}", 10.2, not_given("no price of the splitter"), 1.1, 9.9, 3900.0,
         not_given("no price of the splitter")),
    ],
    "combinations_year": [
        *((best_for, f"{BUCK_CHAIN} + {SPLIT_ENGINE}", 15.5, 19.5, 7000.0, 388.5, 739.5, 14.5, 180.0, 210.0,
           f"{BUCK_CHAIN}: high; {SPLIT_ENGINE}: below the levels compared here")
          for best_for in ("suggested", "time", "effort")),
        ("money", f"{BUCK_SAW} + {LONG_METHOD}", 62.0, 64.5, 27000.0, 66.5, 1227.5, 0.0,
         *(not_given("no mass of the maul"),) * 2, f"{BUCK_SAW}: very high; {LONG_METHOD}: not known"),
    ],
    "trials": [
        ("2026-02-14", "Ada", "splitting", LONG_METHOD, SPLIT_ENGINE, "", 60.0,
         "within a factor of 1.25, if days stay alike"),
        ("2026-02-21", "Ada", "splitting", SPLIT_ENGINE, LONG_METHOD, "", 60.0,
         "within a factor of 1.25, if days stay alike"),
    ],
    "plan_sessions": [
        ("2026-02-14", "Ada", "Saturday", "bucking", BUCK_CHAIN, 120.0, "Ben, does nothing else meanwhile", 3.1, 3.1,
         "ear protectors"),
        ("2026-02-14", "Ada", "Saturday", "splitting", LONG_METHOD, 60.0, "", 0.7, 0.7,
         "trial day: this first; somebody within call"),
        ("2026-02-18", "Ada and Ben", "Wednesday", "splitting", LONG_METHOD, 95.0, "", 2.2, 2.2,
         "heart rate of Ben not known"),
    ],
    "plan_left_out": [
        ("Cy", BUCK_CHAIN, "not listed as trained: Chain saw, 50 cc", "People, May use of Cy"),
        ("", SPLIT_HAND, "what it has to buy costs more than the cash limit", "Next season, Cash limit"),
    ],
    "plan_mix": [
        ("bucking", BUCK_CHAIN, 10.9, "Ada: 120 min (longest session)", "helmet; gloves", 6.6, 51.0, 2100.0, 8.7),
        ("splitting", LONG_METHOD, 10.9,
         "Ada and Ben: 95 min (modeled time, by the heart); Ben: 120 min (longest session)", "gloves", 22.0,
         not_given("no price of the maul"), 9800.0, 0.0),
    ],
    "shopping": [
        ("gasoline, for the mix", BUCK_CHAIN, 3.4, not_given("by volume"), 3.1, ""),
        ("Chain", "Chain saw, 50 cc", not_given("by the piece"), 1.0, 28.0, "the plan wears 0.31"),
    ],
    "plan_limits": [("hours in all", 64.0, not_given("not needed")), ("days of Ada", 31.0, not_given("not needed"))],
    "plan_volumes": [
        ("half of it", 5.4, 5.4, f"{BUCK_CHAIN}, {LONG_METHOD} 40 %", 14.3, 25.5, 5950.0, 4.3, "within all limits"),
        ("twice as much", 21.7, 17.0, f"{BUCK_CHAIN}, {LONG_METHOD}", 45.0, 80.3, 18700.0, 13.6,
         "held back by hours in all"),
    ],
    "factors": [
        ("cord.volume", "Cord, stacked", 128.0, "ft3", "NIST Handbook 130 (2016)", "section 2.4.1", "verified"),
        ("cord.inch", "Inch", 0.0254, "m", "International yard and pound agreement (1959)", "", "exact"),
        ("stack.solid_fraction.ranked_split", "Solid fraction of a ranked stack of split wood", 0.62, "",
         "An invented handbook of stacked wood and its measure, third edition", "table 4, page 112", "memory"),
        ("price.example", "A large number, to see its digits", 1234567.25, "", "Nothing published", "", "assumption"),
    ],
    "figures": [
        ("rates_per_cord.worker_hours methods.1", "hours", BUCK_SAW, "buck", "", "", "worker_hours", "", "h/cord",
         7.58, 6.064, 10.233, "", ""),
        ("rates_per_cord.cash methods.4", "money", SPLIT_ENGINE, "split", "", "", "cash", "", "USD/cord", None,
         None, None, "needs", ""),
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
        {"sheet": "People", "row": "5", "column": "Body mass", "extent": "cell", "cell": "People!C5"},
        {"sheet": "Tools", "row": "", "column": "Price", "extent": "whole column", "cell": "Tools!C3"},
    ],
}  # fmt: skip
