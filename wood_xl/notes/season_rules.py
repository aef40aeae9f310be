"""Checks of the season as a whole, and gross errors within every limit."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from functools import partial
from statistics import median_low
from typing import Any, NamedTuple

from wood_xl.body.effort_equations import activity_kcal
from wood_xl.data.load import is_outside, limits_of, value
from wood_xl.data.trade import factor_sets, tasks, tool_kinds
from wood_xl.hours.odd_values import middle_of_others
from wood_xl.notes.document import worker_numbers
from wood_xl.notes.fuel import BAR_OIL, ELECTRICITY, FUEL, MIN_PER_H, REFILLS, WORDS, Use, amount_used, uses
from wood_xl.notes.limits import as_written, else_check, fitting_unit, range_text, unit_advice
from wood_xl.notes.prices import having_problems, price_problems
from wood_xl.notes.problem import Problem, amount_text, number_text, problem, quoted, with_unit
from wood_xl.notes.relations import TOOL_COLUMNS, Notes, NotesRow, tools_of, why_left_out
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.tally import counts, is_waiting
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.reasons import Slip, Word
from wood_xl.records import MOST_PERSONS
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert

WEIGHTS = ("weight_time", "weight_money", "weight_effort", "weight_carbon")


def season_problems(notes: Notes) -> list[Problem]:
    """What is odd about the season as a whole."""
    if len(notes.planned) == len(notes.document.rows("sessions")):
        return [problem("season-no-sessions", notes.document.place("sessions"))]
    people_n = len(worker_numbers(notes.document.data))
    if people_n > MOST_PERSONS:
        where = notes.document.place("sessions")
        return [problem("season-too-many-people", where, found=f"{people_n:,}", limit=str(MOST_PERSONS))]
    return [
        *_without_output(notes),
        *_unused(notes),
        *_methods_without_tool(notes),
        *having_problems(notes),
        *_choices_at_odds(notes),
        *_copied_sessions(notes),
        *_blank_beside_others(notes),
    ]


def _without_output(notes: Notes) -> Iterator[Problem]:
    if not notes.unread.isdisjoint((sheet_id, "session") for sheet_id in ("cuts", "tally", "stacks")):
        return  # any session may have cuts or stacks that could not be read
    measured = dict.fromkeys(  # in order: near names are looked for only so many times
        name
        for sheet_id in ("cuts", "tally", "stacks")
        for name, rows in notes.by_name(sheet_id).items()
        if sheet_id != "tally" or any(counts(row.typed) or is_waiting(row) for row in rows)
    )
    sessions = notes.by_name("sessions")
    misspelt = {notes.near_session(name) for name in measured if name not in sessions}
    for row in notes.rows("sessions"):
        name = row.name("session")
        if name is None or name in measured or name in misspelt or why_left_out(row):
            continue
        if row.index in notes.planned or not row.typed.keys() - {"session", "date", "note"}:
            continue  # planned; or a text between the sessions, which has its own line
        yield row.problem("season-session-without-output", "session", found=row.quoted("session"))


def _blank_beside_others(notes: Notes) -> Iterator[Problem]:
    """Dates and people that some sessions lack: on paper a blank often stands for the line above.

    Also people whom no session names.
    """
    held = [row for row in notes.rows("sessions") if session_minutes(row) and not why_left_out(row)]
    for column_id in ("date", "person"):
        blank = [row for row in held if row.is_empty(column_id)]
        where = InMessage.IN_OTHER_SESSIONS if len(blank) < len(held) else InMessage.ON_PEOPLE
        if len(blank) < len(held) or (column_id == "person" and notes.by_name("people")):
            title = season_definition().column(f"sessions.{column_id}").title
            for row in blank if column_id in notes.document.places["sessions"].cells else blank[:1]:
                yield row.problem("row-blank-beside-others", column_id, title=title, where=words(where))


UNUSED = (  # a sheet with its column of names, the sheet and columns that use them, and the code for an unused name
    ("methods", "method", "sessions", ("method",), "season-method-without-session"),
    ("tools", "tool", "methods", TOOL_COLUMNS, "season-tool-without-method"),
)


def _unused(notes: Notes) -> Iterator[Problem]:
    """Methods and tools that nothing uses; none while a name waits for a mend, which may be any of them."""
    for sheet_id, column_id, by_sheet, columns, code in UNUSED:
        named, users = notes.by_name(sheet_id), notes.rows(by_sheet)
        used = {row.name(column) for row in users for column in columns if not row.is_empty(column)}
        for name, (row, *_) in named.items() if used <= named.keys() else ():
            if name not in used:
                yield row.problem(code, column_id, found=row.quoted(column_id))


def _methods_without_tool(notes: Notes) -> Iterator[Problem]:
    tried = {row.name("method") for row in notes.rows("sessions") if not why_left_out(row)}
    for row in notes.rows("methods"):
        name, task, is_bare = row.name("method"), row["task"], all(map(row.is_empty, TOOL_COLUMNS))
        if name in tried and None not in (name, task) and tasks()[task].needs_tool and is_bare:
            yield row.problem("row-no-tool", TOOL_COLUMNS[0], found=row.quoted("method"))


def _choices_at_odds(notes: Notes) -> Iterator[Problem]:
    items = notes.document.items("season")
    potentials, chosen = items.get("gwp_set"), factor_sets().get(items.get("emission_factor_set", ""))
    if chosen is not None and chosen.potentials is not None and potentials not in (None, chosen.potentials):
        yield notes.problem("season-mixed-potentials", "season", "gwp_set", found=quoted(str(potentials)))
    ratio = items.get("food_fossil_ratio")
    if ratio is not None and items.get("food_counted", "off") == "off":
        yield notes.problem("season-food-not-counted", "season", "food_fossil_ratio", found=number_text(ratio))
    written = [item for item in WEIGHTS if item in notes.document.items("next_season")]
    if written:  # by an older workbook: one line, at the first
        yield notes.problem("plan-weights-retired", "next_season", written[0])


READINGS = ("mean_heart_rate", "monitor_energy", "running_time", "fuel_used", "bar_oil_used", "electricity_used")


def _copied_sessions(notes: Notes) -> Iterator[Problem]:
    """Sessions equal to another in day, people, time, readings and wood: most likely copied and never edited.

    Sessions of the same length and wood are common; a heart, a tank and a meter tell them apart.
    """
    alike: dict[tuple[Any, ...], list[NotesRow]] = defaultdict(list)
    for row in notes.rows("sessions"):
        name, minutes = row.name("session"), session_minutes(row)
        if name is not None and row["date"] is not None and minutes and why_left_out(row) is None:
            key = row["date"], row.name("method"), row.name("person"), row["start"], minutes
            alike[*key, *(row[reading] for reading in READINGS)].append(row)
    for rows in alike.values():
        met: dict[tuple[str, ...], NotesRow] = {}
        for row in rows if len(rows) > 1 else ():
            made = _rows_of(row, "cuts", "tally", "stacks")
            first = met.setdefault((*made, *_rows_of(row, "helpers")), row)
            if made and first.name("session") != row.name("session"):  # else the name is told
                facts = {"found": row.quoted("session"), "expected": first.quoted("session")}
                yield row.problem("table-session-copied", "session", **facts)


def _rows_of(session: NotesRow, *sheet_ids: str) -> list[str]:
    """A session's rows of some sheets as texts, sorted, whatever their order on the sheet."""
    name = session.name("session") or ""
    rows = (row for sheet_id in sheet_ids for row in session.notes.by_name(sheet_id).get(name, ()))
    return sorted(
        str((row.sheet_id, sorted(item for item in row.typed.items() if item[0] != "session"))) for row in rows
    )


USUALLY = {FUEL: Slip.ENGINES_BURN, BAR_OIL: Slip.CHAINS_TAKE, ELECTRICITY: Slip.ANY_MOTOR}
MONITOR = "monitor_energy"
YEARLY = ("season", "yearly_volume")
BESIDE_YEARLY = {  # volumes that a usual year is held against, the first that is written, and what a message calls it
    "volume_wanted": Slip.WANTED_NEXT,
    "last_winter_volume": Slip.BURNED_LAST_WINTER,
}
SWAPPED_UNITS = {  # by the header's unit: the unit most likely meant, and the limits of the ratio that shows it
    "in": ("cm", "gross.cm_as_in"),
    "cm": ("in", "gross.in_as_cm"),
}


def slip_problems(notes: Notes, reported: Collection[str]) -> list[Problem]:
    """Slips of unit, decimal point or column; none at cells, by name, that have a problem already."""
    rules = (_diameters, _short_stacks, _consumption, _monitors, _of_a_kind, _bodies, _usual_year, price_problems)
    return [fault for rule in rules for fault in rule(notes) if fault.where not in reported]


def _diameters(notes: Notes) -> Iterator[Problem]:
    """Sessions whose middle diameter is far from that of the others of their pile, else of the season."""
    middles: dict[int, float] = {}
    cuts: dict[int, list[NotesRow]] = {}
    piles: dict[str, list[float]] = defaultdict(list)
    for name, rows in notes.by_name("cuts").items():
        session, measured = notes.named("sessions", name), [row for row in rows if row["diameter"] is not None]
        if session is not None and measured and not why_left_out(session):
            middle = median_low(float(row["diameter"]) for row in measured for _ in range(row["cuts"] or 1))
            cuts[session.index], middles[session.index] = measured, middle
            piles[session.name("lot") or ""].append(middle)
    season = sorted(middles.values())
    ordered = {pile: sorted(of_pile) for pile, of_pile in piles.items()}
    for index, middle in middles.items():
        pile = notes.row("sessions", index).name("lot")
        beside = ordered[pile] if pile and len(ordered[pile]) > 1 else season
        if len(beside) < 2:
            continue
        others = middle_of_others(ordered=beside, own=middle)
        if is_outside(middle / others, "gross.diameter"):
            whose = Slip.OTHER_SESSIONS if beside is season else Slip.OTHERS_OF_PILE
            yield _diameters_unlike(cuts[index], middle, others, words(whose))


def _diameters_unlike(rows: Sequence[NotesRow], middle: float, others: float, whose: str) -> Problem:
    unit, advice = rows[0].unit("diameter"), else_check("")
    if unit in SWAPPED_UNITS:
        other, limits = SWAPPED_UNITS[unit]
        if not is_outside(middle / others, limits):
            turned = number_text(convert(middle, other, unit), 3)
            advice = phrase(Slip.TURN_ALL, unit=other, header=unit, number=number_text(middle), turned=turned)
    return rows[0].problem(
        "table-diameters-unlike",
        "diameter",
        len(rows),
        session=rows[0].text("session"),
        found=amount_text(middle, unit),
        value=f"{middle / others:.2g}",
        others=whose,
        expected=amount_text(others, unit, 3),
        advice=advice,
    )


def _short_stacks(notes: Notes) -> Iterator[Problem]:
    """Stacks shorter than a stick, as feet in a column of inches; one line for all."""
    column, stick_m = season_definition().column("stacks.length"), notes.item("season", "stick_length", "m")
    rows = [row for row in notes.rows("stacks") if stick_m and (row.number("length", "m") or stick_m) < stick_m]
    if not rows:
        return
    unit, typed = rows[0].unit("length"), [float(row["length"]) for row in rows]
    most_m = value("gross.longest_stack")
    fitting = fitting_unit(column, unit, typed, lambda length: stick_m <= convert(length, column.unit, "m") <= most_m)
    advice = unit_advice(column, unit, typed, fitting, is_whole=len(rows) == len(notes.rows("stacks")))
    stick = amount_text(notes.item("season", "stick_length"), notes.document.unit("season", "stick_length") or "cm")
    facts = {"found": rows[0].shown("length"), "expected": stick, "advice": else_check(advice)}
    yield rows[0].problem("row-stack-short", "length", len(rows), **facts)


def _consumption(notes: Notes) -> Iterator[Problem]:
    """Sessions whose consumption for each running hour is far from that of the method's other sessions.

    Or from what engines burn, chains take, and motors draw by their rated power.
    """
    for use in uses(notes):
        for column_id in WORDS:
            if use.takes(column_id) and (column_id != FUEL or len(use.engines) == 1):
                yield from _consumption_of(use, column_id)


class Usual(NamedTuple):
    """A usual consumption for each running hour: from ``low`` to ``high`` times that of others or of the motors."""

    low: float
    high: float
    sentence: Word
    times: float = 1.0  # in the unit of the column

    def holds(self, rate: float) -> bool:
        """Whether a consumption is usual."""
        return self.low <= rate / self.times <= self.high


def _usual(use: Use, column_id: str, others: float) -> list[Usual]:
    """What is usual of the method's motors, its other sessions, or of all engines, chains and motors."""
    most = limits_of("gross.fuel")[1]
    of_others = [Usual(*limits_of("gross.fuel"), Slip.OTHERS_TOOK, others)] if others else []
    if column_id == ELECTRICITY and (rated_kw := _motors_kw(use)):
        return [Usual(value("gross.motor_lowest"), most, Slip.MOTORS_TAKE, rated_kw), *of_others]
    limits = {BAR_OIL: "gross.bar_oil", ELECTRICITY: "gross.any_motor"}.get(column_id)
    limits = limits or ("gross.other_engine" if use.engines[0].oil is None else "gross.two_stroke")
    return [*of_others, Usual(*limits_of(limits), USUALLY[column_id])]


def _consumption_of(use: Use, column_id: str) -> Iterator[Problem]:
    column = season_definition().column(f"sessions.{column_id}")
    amounts = ((row, amount_used(row, column_id, column.unit), _running_h(row)) for row in use.sessions)
    rates = [(row, hours, amount / hours) for row, amount, hours in amounts if amount is not None and hours]
    ordered = sorted(rate for *_, rate in rates if rate)
    if ordered or column_id == BAR_OIL:  # a tank may last several sessions, and a saw without a chain takes no oil
        rates = [one for one in rates if one[-1]]
    for row, hours, rate in rates:
        others = middle_of_others(ordered=ordered, own=rate) if rate and len(ordered) > 1 else 0.0
        usual = _usual(use, column_id, others)
        odd = next((span for span in usual if not span.holds(rate)), None)
        if odd is not None:
            unit, typed = row.unit(column_id) or column.unit, [float(row[column_id])] if row[column_id] else []
            fits = partial(_is_usual, usual, hours)
            yield _consumption_unlike(use, row, column, rate, odd, fitting_unit(column, unit, typed, fits))


def _is_usual(usual: Sequence[Usual], hours: float, amount: float) -> bool:
    return all(span.holds(amount / hours) for span in usual)


def _motors_kw(use: Use) -> float:
    """Rated power of a method's motors together; 0 unless each has it."""
    tools = [tool for tool in tools_of(use.method) if tool["kind"] and tool_kinds()[tool["kind"]].is_electric]
    powers = [tool.number("rated_power", "kW") or 0.0 for tool in tools]
    return sum(powers) if all(powers) else 0.0


def _running_h(row: NotesRow) -> float:
    running = row.number("running_time", "min")
    if running is not None:
        return running / MIN_PER_H
    return value("gross.running_share") * _at_work_min(row) / MIN_PER_H


def _at_work_min(row: NotesRow) -> float:
    return max((session_minutes(row) or 0.0) - (row.number("delay_time", "min") or 0.0), 0.0)


def _consumption_unlike(
    use: Use, row: NotesRow, column: Column, rate: float, odd: Usual, fitting: str | None
) -> Problem:
    """A session of unusual consumption; ``fitting``: the only unit in which what is typed would be usual."""
    unit, typed = row.unit(column.id) or column.unit, row[column.id]

    def shown(amount: float) -> str:
        return number_text(convert(amount, column.unit, unit), 2)

    facts = {"rate": f"{shown(odd.times)} {unit}", "low": shown(odd.low), "high": shown(odd.high)}
    expected = phrase(odd.sentence, method=use.name, unit=unit, **facts)
    if row["running_time"] is None:
        time = phrase(Slip.WORKING, time=amount_text(_at_work_min(row), "min"))
    else:
        time = phrase(Slip.RUNNING, time=row.shown("running_time"))
    if not rate:
        advice = phrase(HowToMend.EMPTY_IF_NOT_KNOWN)
    elif typed is None:
        advice = phrase(Slip.REFILLS_OR_SIZE)
    elif fitting is None and column.id == ELECTRICITY and rate / odd.times > odd.high:
        advice = else_check(phrase(Slip.METER_GOES_ON))
    else:
        advice = else_check(unit_advice(column, unit, [float(typed)], fitting, is_whole=False))
    return row.problem(
        "table-fuel-unlike",
        REFILLS if typed is None else column.id,
        found=f"{shown(rate * _running_h(row))} {unit}" if typed is None else row.shown(column.id),
        time=time,
        value=f"{shown(rate)} {unit}",
        expected=expected,
        advice=advice,
    )


def _of_a_kind(notes: Notes) -> Iterator[Problem]:
    """Tools whose mass or life would be usual for another kind of tool."""
    for row in notes.rows("tools"):
        kind = tool_kinds()[row["kind"]] if row["kind"] is not None else None
        if kind is not None and row["mass"]:
            yield from _odd_for_kind(row, "mass", limits_of(f"gross.mass_{kind.size}"))
        if kind is not None and kind.is_powered and row["life_years"]:
            yield from _odd_for_kind(row, "life_years", (value("gross.powered_life"), math.inf))


def _odd_for_kind(row: NotesRow, column_id: str, ends: tuple[float, float]) -> Iterator[Problem]:
    column, unit = season_definition().column(f"tools.{column_id}"), row.unit(column_id)
    most = min(ends[1], (column.plausible or ends)[1])
    low, high = (as_written(end, column, unit) for end in (ends[0], most))
    if not low <= row[column_id] <= high:
        yield _unusual(row, column_id, with_unit(range_text((low, high)), unit))


def _unusual(row: NotesRow, column_id: str, expected: str) -> Problem:
    facts = {"found": row.shown(column_id), "expected": expected, "used": phrase(InMessage.USED)}
    return row.problem("cell-unusual", column_id, advice=else_check(""), **facts)


def _monitors(notes: Notes) -> Iterator[Problem]:
    """Energy by a monitor far from what such work takes, as kilojoules in a column of kilocalories."""
    column = season_definition().column(f"sessions.{MONITOR}")
    for use in uses(notes):
        powered = any(kind is not None and tool_kinds()[kind].is_powered for kind in use.kinds)
        task = use.method["task"]
        for session in use.sessions if task is not None else ():
            helpers = notes.by_name("helpers").get(session.name("session") or "", [])
            for row, minutes in [
                (session, session_minutes(session)),
                *((row, helper_minutes(row, session)) for row in helpers),
            ]:
                if row[MONITOR] and minutes:
                    kcal = _by_table(row, minutes, tasks()[task].activity(powered=powered).met)
                    yield from _monitor(row, column, kcal)


def _by_table(row: NotesRow, minutes: float, met: float) -> float:
    person = row.referred("person", "people")
    mass_kg = (person.number("mass", "kg") if person else None) or value("effort.reference_mass_kg")
    standing = {"delay_min": 0.0, "standing_met": met}
    return activity_kcal(met=met, mass_kg=mass_kg, active_min=minutes, **standing).gross_kcal


def _monitor(row: NotesRow, column: Column, by_table_kcal: float) -> Iterator[Problem]:
    def is_usual(kcal: float) -> bool:
        return not is_outside(kcal / by_table_kcal, "gross.monitor")

    kcal, unit = row.number(MONITOR, column.unit) or 0.0, row.unit(MONITOR) or column.unit
    if is_usual(kcal):
        return
    typed = [float(row[MONITOR])]
    advice = else_check(unit_advice(column, unit, typed, fitting_unit(column, unit, typed, is_usual), is_whole=False))
    expected = amount_text(convert(by_table_kcal, column.unit, unit), unit, 2)
    yield row.problem("row-monitor-unlike", MONITOR, advice=advice, found=row.shown(MONITOR), expected=expected)


def _bodies(notes: Notes) -> Iterator[Problem]:
    """People of a mass that is unusual for their height."""
    column = season_definition().column("people.mass")
    for row in notes.rows("people"):
        mass_kg, height_m, unit = row.number("mass", "kg"), row.number("height", "m"), row.unit("mass")
        if mass_kg and height_m and is_outside(mass_kg / height_m**2, "gross.mass_by_height"):
            ends = (end * height_m**2 for end in limits_of("gross.mass_by_height"))
            usual = with_unit(range_text([as_written(end, column, unit) for end in ends]), unit)
            yield _unusual(row, "mass", phrase(Slip.AT_A_HEIGHT, usual=usual, height=row.shown("height")))


def _usual_year(notes: Notes) -> Iterator[Problem]:
    """The wood of a usual year, over which tools are spread, far from what is wanted next or was burned last."""
    yearly = notes.item(*YEARLY, "stacked m3")
    for item, word in BESIDE_YEARLY.items():
        other = notes.item("next_season", item, "stacked m3")
        if not yearly or not other:
            continue
        if is_outside(yearly / other, "gross.yearly_volume"):
            refs = YEARLY, ("next_season", item)
            found, expected = (amount_text(notes.item(*ref), notes.document.unit(*ref)) for ref in refs)
            cell = notes.document.place("next_season", None, item).where
            facts = {"value": f"{yearly / other:.2g}", "expected": f"{expected} {words(word)}", "cell": cell}
            yield notes.problem("item-yearly-unlike-wanted", *YEARLY, found=found, **facts)
        return
