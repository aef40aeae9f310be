"""Checks of the season as a whole, and gross errors that pass every limit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import partial
from typing import Any

from wood_xl.data.load import value
from wood_xl.data.trade import factor_sets, tasks, tool_kinds
from wood_xl.hours.odd_values import middle_of_others
from wood_xl.notes.document import worker_numbers
from wood_xl.notes.fuel import FUEL, MIN_PER_H, Use, uses
from wood_xl.notes.limits import fitting_units, unit_advice
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import TOOL_COLUMNS, Notes, NotesRow
from wood_xl.notes.session_time import session_minutes
from wood_xl.notes.tally import counts, is_waiting
from wood_xl.pages import HowToMend
from wood_xl.reasons import Slip
from wood_xl.records import MOST_PERSONS
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert

OTHERS = ("rented", "borrowed")  # tools that belong to somebody else: they have no price to pay
OF_WAYS = (  # what only one way of having a tool asks for; what is odd with another way, and without it
    ("rent", "rented", "row-rent-not-rented", "row-no-rent"),
    ("share", "shared", "row-share-not-shared", "row-no-share"),
)
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
        *_unused_methods(notes),
        *_methods_without_tool(notes),
        *_tools_without_method(notes),
        *_prices_and_lives(notes),
        *_ways_of_having(notes),
        *_choices_at_odds(notes),
        *_copied_sessions(notes),
    ]


def _without_output(notes: Notes) -> Iterator[Problem]:
    if not notes.unread.isdisjoint((sheet_id, "session") for sheet_id in ("cuts", "tally", "stacks")):
        return  # the cuts or stacks of every session may be among what was not read
    measured = dict.fromkeys(  # in the order of the notes: not all may be looked for
        notes.name(sheet_id, index, "session")
        for sheet_id in ("cuts", "tally", "stacks")
        for index, row in enumerate(notes.document.rows(sheet_id))
        if sheet_id != "tally" or counts(row) or is_waiting(notes, index)
    )
    sessions = notes.index_of["sessions"]
    misspelt = {notes.near_session(name) for name in measured if name is not None and name not in sessions}
    for row, typed in zip(notes.rows("sessions"), notes.document.rows("sessions"), strict=True):
        name = row.name("session")
        if name is None or name in measured or name in misspelt or notes.left_out(row.index):
            continue
        if row.index in notes.planned or not typed.keys() - {"session", "date", "note"}:
            continue  # nothing is there yet; or a text between the sessions, of which is told that it is none
        yield row.problem("season-session-without-output", "session", found=row.quoted("session"))


def _unused_methods(notes: Notes) -> Iterator[Problem]:
    used = {row.name("method") for row in notes.rows("sessions")}
    if used <= notes.index_of["methods"].keys():  # else a method that waits for its mend may be any of them
        for row in notes.rows("methods"):
            if row.name("method") not in {None, *used}:
                yield row.problem("season-method-without-session", "method", found=row.text("method"))


def _methods_without_tool(notes: Notes) -> Iterator[Problem]:
    tried = {row.name("method") for row in notes.rows("sessions") if not notes.left_out(row.index)}
    for row in notes.rows("methods"):
        name, task, is_bare = row.name("method"), row["task"], all(map(row.is_empty, TOOL_COLUMNS))
        if name in tried and None not in (name, task) and tasks()[task].needs_tool and is_bare:
            yield row.problem("row-no-tool", TOOL_COLUMNS[0], found=row.quoted("method"))


def _tools_without_method(notes: Notes) -> Iterator[Problem]:
    """Tools that no method names; nothing is said while a name on the Methods sheet waits for a mend."""
    methods = notes.rows("methods")
    used = {row.name(column) for row in methods for column in TOOL_COLUMNS if not row.is_empty(column)}
    for name, index in notes.index_of["tools"].items() if used <= notes.index_of["tools"].keys() else ():
        if name not in used:
            row = NotesRow(notes, "tools", index)
            yield row.problem("season-tool-without-method", "tool", found=row.quoted("tool"))


def _prices_and_lives(notes: Notes) -> Iterator[Problem]:
    used_tools = {tool for row in notes.rows("methods") for tool in notes.tools_of(row.index)}
    for row in notes.rows("tools"):
        if row.index not in used_tools or row["held"] in OTHERS:
            continue
        price, kind = row["price"], row["kind"]
        has_life = any(row[column] or row.waits(column) for column in ("life_hours", "life_years"))
        if row.is_empty("price"):
            yield row.problem("row-no-price", "price")
        elif price == 0:
            yield row.problem("row-price-zero", "price")
        elif price and kind is not None and tool_kinds()[kind].life_years is None and not has_life:
            yield row.problem("row-no-life", "life_years")


def _ways_of_having(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("tools"):
        if row.waits("held"):
            continue
        held, price = row["held"], row["price"]
        if price and held in OTHERS:
            yield row.problem("row-price-not-counted", "price", found=number_text(price), held=held)
        for column_id, way, is_odd, is_missing in OF_WAYS:
            if row[column_id] is not None and held != way:
                yield row.problem(is_odd, column_id, found=number_text(row[column_id]))
            if held == way and row.is_empty(column_id):
                yield row.problem(is_missing, column_id)


def _choices_at_odds(notes: Notes) -> Iterator[Problem]:
    items = notes.document.items("season")
    potentials, chosen = items.get("gwp_set"), factor_sets().get(items.get("emission_factor_set", ""))
    if chosen is not None and chosen.potentials is not None and potentials not in (None, chosen.potentials):
        yield notes.problem("season-mixed-potentials", "season", "gwp_set", found=quoted(str(potentials)))
    ratio = items.get("food_fossil_ratio")
    if ratio is not None and items.get("food_counted", "off") == "off":
        yield notes.problem("season-food-not-counted", "season", "food_fossil_ratio", found=number_text(ratio))
    written = [item for item in WEIGHTS if item in notes.document.items("next_season")]
    if written:  # of an older workbook: told once, at the first of them
        yield notes.problem("plan-weights-retired", "next_season", written[0])


READINGS = ("mean_heart_rate", "monitor_energy", "running_time", "fuel_used", "bar_oil_used", "electricity_used")


def _copied_sessions(notes: Notes) -> Iterator[Problem]:
    """Sessions that are as another in day, hands, time, readings and wood: most likely copied to be edited.

    Many a session is as long as another, with as much wood; a heart, a tank and a meter tell them apart.
    """
    alike: dict[tuple[Any, ...], list[NotesRow]] = defaultdict(list)
    for row in notes.rows("sessions"):
        name, minutes = row.name("session"), session_minutes(notes, row.index)
        if name is not None and row["date"] is not None and minutes and notes.left_out(row.index) is None:
            key = row["date"], row.name("method"), row.name("person"), row["start"], minutes
            alike[*key, *(row[reading] for reading in READINGS)].append(row)
    several = [rows for rows in alike.values() if len(rows) > 1]
    names = {row.name("session") for rows in several for row in rows}
    wood: dict[str | None, list[str]] = defaultdict(list)
    hands: dict[str | None, list[str]] = defaultdict(list)
    for sheet_id in ("cuts", "tally", "stacks", "helpers") if names else ():
        found = hands if sheet_id == "helpers" else wood
        for index, held in enumerate(notes.document.rows(sheet_id)):
            if (name := notes.name(sheet_id, index, "session")) in names:
                found[name].append(str((sheet_id, sorted((one, held[one]) for one in held if one != "session"))))
    for rows in several:
        met: dict[tuple[str, ...], NotesRow] = {}
        for row in rows:
            made = sorted(wood[row.name("session")])
            first = met.setdefault((*made, *sorted(hands[row.name("session")])), row)
            if made and first is not row:
                facts = {"found": quoted(str(row["session"])), "expected": quoted(str(first["session"]))}
                yield row.problem("table-session-copied", "session", **facts)


PRICED_ALIKE = ("USD", "EUR", "GBP", "CAD", "AUD")  # currencies in which a kWh costs less than two units
METRIC_FUEL = ("L", "mL")
IN_BY_CM = {  # a header's unit, the unit that its session was most likely measured in, and between what it then lies
    "in": ("cm", "gross.cm_as_in"),
    "cm": ("in", "gross.in_as_cm"),
}


def slip_problems(notes: Notes, told: Collection[str]) -> list[Problem]:
    """Slips of unit; none at the cells, by name, of which something is told already."""
    found = [*_diameters(notes), *_fuel(notes), *_gasoline_price(notes), *_electricity_price(notes)]
    return [one for one in found if one.where not in told]


def _is_outside(ratio: float, limits: str) -> bool:
    return not value(f"{limits}_lowest") <= ratio <= value(f"{limits}_highest")


def _diameters(notes: Notes) -> Iterator[Problem]:
    """Sessions whose middle diameter is far from that of the others of their pile, else of the season."""
    cuts: dict[str, list[NotesRow]] = defaultdict(list)
    for row in notes.rows("cuts"):
        name = row.name("session")
        if name is not None and row["diameter"] is not None:
            cuts[name].append(row)
    middles: dict[int, float] = {}
    piles: dict[str, list[float]] = defaultdict(list)
    for name, rows in cuts.items():
        session = notes.index_of["sessions"].get(name)
        if session is not None and not notes.left_out(session):
            middles[session] = _middle(rows)
            piles[notes.name("sessions", session, "lot") or ""].append(middles[session])
    season = sorted(middles.values())
    ordered = {pile: sorted(own) for pile, own in piles.items()}
    for session, middle in middles.items():
        pile = notes.name("sessions", session, "lot")
        beside = ordered[pile] if pile and len(ordered[pile]) > 1 else season
        if len(beside) < 2:
            continue
        others = middle_of_others(ordered=beside, own=middle)
        if _is_outside(middle / others, "gross.diameter"):
            rows = cuts[notes.name("sessions", session, "session") or ""]
            whose = Slip.OTHER_SESSIONS if beside is season else Slip.OTHERS_OF_PILE
            yield _unlike(rows, middle, others, words(whose))


def _middle(rows: Iterable[NotesRow]) -> float:
    counted = sorted((float(row["diameter"]), row["cuts"] or 1) for row in rows)
    left = sum(n for _, n in counted) / 2
    for diameter, n in counted:
        left -= n
        if left <= 0:
            return diameter
    raise ValueError("no cut to take the middle of")


def _unlike(rows: Sequence[NotesRow], middle: float, others: float, whose: str) -> Problem:
    unit, advice = rows[0].notes.document.unit("cuts", "diameter"), phrase(HowToMend.CHECK)
    if unit in IN_BY_CM:
        other, limits = IN_BY_CM[unit]
        if not _is_outside(middle / others, limits):
            turned = number_text(convert(middle, other, unit), 3)
            advice = phrase(Slip.TURN_ALL, unit=other, header=unit, number=number_text(middle), turned=turned)
    return rows[0].problem(
        "table-diameters-unlike",
        "diameter",
        len(rows),
        session=rows[0].text("session"),
        found=f"{number_text(middle)} {unit}",
        value=f"{middle / others:.2g}",
        others=whose,
        expected=f"{number_text(others, 3)} {unit}",
        advice=advice,
    )


def _fuel(notes: Notes) -> Iterator[Problem]:
    """Sessions that burned far more or less in an hour of running than their method's others, or than engines do."""
    column = season_definition().column(f"sessions.{FUEL}")
    for use in uses(notes):
        if len(use.engines) != 1:
            continue
        limits = "gross.two_stroke" if use.engines[0].oil is not None else "gross.other_engine"
        hours = {index: hour for index in use.sessions if (hour := _running_h(notes, index))}
        litres = {index: used for index in hours if (used := notes.number("sessions", index, FUEL, "L"))}
        rates = {index: used / hours[index] for index, used in litres.items()}
        ordered = sorted(rates.values())
        for index, rate in rates.items():
            others = middle_of_others(ordered=ordered, own=rate) if len(ordered) > 1 else None
            if _is_usual(litres[index], hours[index], others, limits):
                continue
            unit = notes.document.unit("sessions", FUEL) or column.unit
            amount = float(notes.value("sessions", index, FUEL))
            usual = partial(_is_usual, hours=hours[index], others_l_per_h=others, limits=limits)
            fitting = fitting_units(column, unit, [amount], usual)
            # A liter is nearly a quart, and whoever writes mL hardly means quarts.
            own = [other for other in fitting if (other in METRIC_FUEL) is (unit in METRIC_FUEL)] or fitting
            yield _burned(use, index, rate, others, limits, own[0] if len(own) == 1 else None)


def _running_h(notes: Notes, index: int) -> float:
    running = notes.number("sessions", index, "running_time", "min")
    if running is not None:
        return running / MIN_PER_H
    elapsed = session_minutes(notes, index) or 0.0
    delay = notes.number("sessions", index, "delay_time", "min") or 0.0
    return value("gross.running_share") * max(elapsed - delay, 0.0) / MIN_PER_H


def _is_usual(litres: float, hours: float, others_l_per_h: float | None, limits: str) -> bool:
    rate = litres / hours
    return not (_is_outside(rate, limits) or (others_l_per_h and _is_outside(rate / others_l_per_h, "gross.fuel")))


def _burned(use: Use, index: int, rate: float, others: float | None, limits: str, fitting: str | None) -> Problem:
    notes, column = use.notes, season_definition().column(f"sessions.{FUEL}")
    unit = notes.document.unit("sessions", FUEL) or column.unit

    def shown(litres: float) -> str:
        return number_text(convert(litres, column.unit, unit), 2)

    if others is not None and _is_outside(rate / others, "gross.fuel"):
        usual = phrase(Slip.OTHERS_BURNED, method=use.name, rate=f"{shown(others)} {unit}")
    else:
        low, high = (shown(value(f"{limits}_{end}")) for end in ("lowest", "highest"))
        usual = phrase(Slip.ENGINES_BURN, low=low, high=high, unit=unit)
    row, advice = NotesRow(notes, "sessions", index), phrase(HowToMend.CHECK)
    if row["running_time"] is None:
        time = phrase(Slip.WORKING, time=f"{number_text(session_minutes(notes, index) or 0.0)} min")
    else:
        time = phrase(Slip.RUNNING, time=row.typed("running_time"))
    if fitting is not None:
        meant = unit_advice(column, unit, [float(row[FUEL])], fitting, is_whole=False)
        advice = phrase(HowToMend.ELSE_CHECK, advice=meant)
    return row.problem(
        "table-fuel-unlike",
        FUEL,
        found=row.typed(FUEL),
        time=time,
        value=f"{shown(rate)} {unit}",
        expected=usual,
        advice=advice,
    )


def _gasoline_price(notes: Notes) -> Iterator[Problem]:
    price = notes.document.items("season").get("gasoline_price")
    if price and not notes.waits("season", None, "gasoline_price"):
        unit = notes.document.unit("season", "gasoline_price") or "per L"
        yield from _odd_price(notes, "gasoline_price", convert(float(price), unit, "per L"), "gross.gasoline_price")


def _electricity_price(notes: Notes) -> Iterator[Problem]:
    items = notes.document.items("season")
    price, gasoline = items.get("electricity_price"), items.get("gasoline_price")
    if not price or any(notes.waits("season", None, item) for item in ("electricity_price", "gasoline_price")):
        return
    per_l = convert(float(gasoline or 0), notes.document.unit("season", "gasoline_price") or "per L", "per L")
    is_odd = items.get("currency") in PRICED_ALIKE and _is_outside(per_l, "gross.gasoline_price")  # told already
    if gasoline and not is_odd:
        per_kwh = per_l / value("gross.gasoline_heat")
        beside = phrase(Slip.BESIDE_GASOLINE, price=number_text(per_kwh, 2))
        yield from _odd_price(notes, "electricity_price", price / per_kwh, "gross.electricity", beside)
    else:
        yield from _odd_price(notes, "electricity_price", float(price), "gross.kwh_price")


def _odd_price(notes: Notes, item: str, scaled: float, limits: str, expected: str = "") -> Iterator[Problem]:
    """A price outside of limits, and in cents perhaps not; what is usual in money holds for some currencies alone.

    scaled: the price in the unit of the limits.
    """
    items, column = notes.document.items("season"), season_definition().column(f"season.{item}")
    code, unit = items.get("currency", ""), notes.document.unit("season", item) or column.unit
    is_known = expected or code in PRICED_ALIKE
    ends = (value(f"{limits}_{end}") for end in ("lowest", "highest"))
    low, high = ends if expected else (float(f"{convert(end, column.unit, unit):.2g}") for end in ends)
    is_usual = low <= (scaled if expected else items[item]) <= high  # as it is told
    if not is_known or notes.waits("season", None, "currency") or is_usual:
        return
    advice = phrase(HowToMend.CHECK)
    if not _is_outside(scaled / 100, limits):
        advice = phrase(HowToMend.ELSE_CHECK, advice=phrase(Slip.CENTS, number=number_text(items[item] / 100)))
    yield problem(
        "item-price-unusual",
        notes.document.place("season", None, item)._replace(header=""),
        title=column.title,
        found=f"{number_text(float(items[item]))} {column.label(unit, code)}".strip(),
        expected=expected or phrase(Slip.USUAL_PRICE, low=number_text(low), high=number_text(high)),
        advice=advice,
    )
