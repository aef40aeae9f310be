"""Slips of unit that pass every limit: diameters and fuel beside other sessions, and the price of electricity."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from wood_xl.data.load import value
from wood_xl.hours.odd_values import middle_of_others
from wood_xl.notes.fuel import MIN_PER_H, Use, uses
from wood_xl.notes.other_unit import fitting_units
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.refills import FUEL
from wood_xl.notes.relations import Notes
from wood_xl.notes.session_time import session_minutes
from wood_xl.pages import HowToMend
from wood_xl.remark import Slip
from wood_xl.schema.model import Column, Definition, season_definition
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert

PRICED_ALIKE = ("USD", "EUR", "GBP", "CAD", "AUD")  # currencies in which a kWh costs less than two units
METRIC_FUEL = ("L", "mL")
IN_BY_CM = {  # a header's unit, the unit that its session was most likely measured in, and between what it then lies
    "in": ("cm", "gross.cm_as_in"),
    "cm": ("in", "gross.in_as_cm"),
}


def slip_problems(notes: Notes, definition: Definition, told: Collection[str]) -> list[Problem]:
    """Slips of unit; none at the cells, by name, of which something is told already."""
    found = [*_diameters(notes), *_fuel(notes, definition), *_electricity_price(notes)]
    return [one for one in found if one.where not in told]


def _is_outside(ratio: float, limits: str) -> bool:
    return not value(f"{limits}_lowest") <= ratio <= value(f"{limits}_highest")


def _diameters(notes: Notes) -> Iterator[Problem]:
    """Sessions whose middle diameter is far from that of the others of their pile, else of the season."""
    cuts: dict[str, list[int]] = defaultdict(list)
    for index in range(len(notes.document.rows("cuts"))):
        name = notes.name("cuts", index, "session")
        if name is not None and notes.value("cuts", index, "diameter") is not None:
            cuts[name].append(index)
    middles: dict[int, float] = {}
    piles: dict[str, list[float]] = defaultdict(list)
    for name, rows in cuts.items():
        session = notes.index_of["sessions"].get(name)
        if session is not None and not notes.left_out(session):
            middles[session] = _middle(notes, rows)
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
            yield _unlike(notes, rows, middle, others, words(whose))


def _middle(notes: Notes, rows: Iterable[int]) -> float:
    """Median diameter of the cuts in some rows, in the unit of the header."""
    counted = sorted(
        (float(notes.value("cuts", row, "diameter")), notes.value("cuts", row, "cuts") or 1) for row in rows
    )
    left = sum(n for _, n in counted) / 2
    for diameter, n in counted:
        left -= n
        if left <= 0:
            return diameter
    raise ValueError("no cut to take the middle of")


def _unlike(notes: Notes, rows: Sequence[int], middle: float, others: float, whose: str) -> Problem:
    unit, advice = notes.document.unit("cuts", "diameter"), phrase(HowToMend.CHECK)
    if unit in IN_BY_CM:
        other, limits = IN_BY_CM[unit]
        if not _is_outside(middle / others, limits):
            turned = number_text(float(f"{convert(middle, other, unit):.3g}"))
            advice = phrase(Slip.TURN_ALL, unit=other, header=unit, number=number_text(middle), turned=turned)
    place = notes.document.place("cuts", rows[0], "diameter")
    facts = {
        "session": str(notes.document.rows("cuts")[rows[0]]["session"]),
        "found": f"{number_text(middle)} {unit}",
        "value": f"{middle / others:.2g}",
        "others": whose,
        "expected": f"{number_text(float(f'{others:.3g}'))} {unit}",
    }
    return replace(problem("table-diameters-unlike", place, advice=advice, **facts), count=len(rows))


def _fuel(notes: Notes, definition: Definition) -> Iterator[Problem]:
    """Sessions that burned far more or less in an hour of running than their method's others, or than engines do."""
    column = definition.column(f"sessions.{FUEL}")
    for use in uses(notes):
        if len(use.engines) != 1:
            continue
        limits = "gross.two_stroke" if use.engines[0].oil is not None else "gross.other_engine"
        hours = {index: hour for index in use.sessions if (hour := _running_h(notes, index))}
        litres = {index: notes.number("sessions", index, FUEL, "L") for index in hours}
        rates = {index: used / hours[index] for index, used in litres.items() if used}
        ordered = sorted(rates.values())
        for index, rate in rates.items():
            others = middle_of_others(ordered=ordered, own=rate) if len(ordered) > 1 else None
            if _is_usual(rate, others, limits):
                continue
            unit = notes.document.unit("sessions", FUEL) or column.unit
            amount = float(notes.value("sessions", index, FUEL))
            fits = partial(_is_usual_amount, hours[index], others, limits)
            fitting = fitting_units(column, unit, [amount], fits)
            # A liter is nearly a quart, and whoever writes mL hardly means quarts.
            own = [other for other in fitting if (other in METRIC_FUEL) is (unit in METRIC_FUEL)] or fitting
            yield _burned(use, index, rate, others, limits, own[0] if len(own) == 1 else None)


def _running_h(notes: Notes, index: int) -> float:
    """Hours that the engine of a session ran: as written, else a share of its working time."""
    running = notes.number("sessions", index, "running_time", "min")
    if running is not None:
        return running / MIN_PER_H
    elapsed = session_minutes(notes, index) or 0.0
    delay = notes.number("sessions", index, "delay_time", "min") or 0.0
    return value("gross.running_share") * max(elapsed - delay, 0.0) / MIN_PER_H


def _is_usual(rate_l_per_h: float, others_l_per_h: float | None, limits: str) -> bool:
    beside = others_l_per_h is None or not _is_outside(rate_l_per_h / others_l_per_h, "gross.fuel")
    return beside and not _is_outside(rate_l_per_h, limits)


def _is_usual_amount(hours: float, others_l_per_h: float | None, limits: str, litres: float) -> bool:
    return _is_usual(litres / hours, others_l_per_h, limits)


def _burned(use: Use, index: int, rate: float, others: float | None, limits: str, fitting: str | None) -> Problem:
    notes, column = use.notes, season_definition().column(f"sessions.{FUEL}")
    unit = notes.document.unit("sessions", FUEL) or column.unit

    def shown(litres: float) -> str:
        return number_text(float(f"{convert(litres, column.unit, unit):.2g}"))

    if others is not None and _is_outside(rate / others, "gross.fuel"):
        usual = phrase(Slip.OTHERS_BURNED, method=use.name, rate=f"{shown(others)} {unit}")
    else:
        low, high = (shown(value(f"{limits}_{end}")) for end in ("lowest", "highest"))
        usual = phrase(Slip.ENGINES_BURN, low=low, high=high, unit=unit)
    is_written = notes.value("sessions", index, "running_time") is not None
    time = f"{number_text(session_minutes(notes, index) or 0.0)} min"
    if is_written:
        time = notes.typed("sessions", index, "running_time")
    advice = phrase(HowToMend.CHECK)
    if fitting is not None:
        amount = float(notes.value("sessions", index, FUEL))
        turned = number_text(float(f"{convert(amount, fitting, unit):.4g}"))
        to_do = phrase(HowToMend.TYPE, numbers=turned, unit=unit)
        advice = phrase(HowToMend.IF_IT_IS_MEANT, numbers=number_text(amount), unit=fitting, to_do=to_do)
        advice = phrase(HowToMend.ELSE_CHECK, advice=advice)
    return problem(
        "table-fuel-unlike",
        notes.document.place("sessions", index, FUEL),
        found=notes.typed("sessions", index, FUEL),
        time=phrase(Slip.RUNNING if is_written else Slip.WORKING, time=time),
        value=f"{shown(rate)} {unit}",
        expected=usual,
        advice=advice,
    )


def _electricity_price(notes: Notes) -> Iterator[Problem]:
    """A price of a kWh that is none by the price of gasoline, most likely in cents."""
    column: Column = season_definition().column("season.electricity_price")
    items = notes.document.items("season")
    waiting = [
        item for item in ("electricity_price", "gasoline_price", "currency") if notes.waits("season", None, item)
    ]
    price = items.get(column.id)
    if not price or waiting:
        return
    gasoline = items.get("gasoline_price")
    if gasoline:
        per_l = convert(float(gasoline), notes.document.unit("season", "gasoline_price") or "per L", "per L")
        per_kwh = per_l / value("gross.gasoline_heat")
        scale, limits = per_kwh, "gross.electricity"
        expected = phrase(Slip.BESIDE_GASOLINE, price=number_text(float(f"{per_kwh:.2g}")))
    elif items.get("currency") in PRICED_ALIKE:
        scale, limits = 1.0, "gross.kwh_price"
        low, high = (number_text(value(f"{limits}_{end}")) for end in ("lowest", "highest"))
        expected = phrase(Slip.USUAL_PRICE, low=low, high=high)
    else:
        return
    if _is_outside(price / scale, limits):
        whole = price / 100
        in_cents = not _is_outside(whole / scale, limits)
        advice = phrase(Slip.CENTS, number=number_text(whole)) if in_cents else ""
        advice = phrase(HowToMend.ELSE_CHECK, advice=advice) if advice else phrase(HowToMend.CHECK)
        place = replace(notes.document.place("season", None, column.id), header="")
        facts = {"title": column.title, "found": f"{number_text(float(price))} {items.get('currency', '')}".strip()}
        yield problem("item-electricity-price", place, expected=expected, advice=advice, **facts)
