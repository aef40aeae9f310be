"""Four numbers of a season step by step, so that anybody can redo them with a pocket calculator."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wood_xl.data.load import value
from wood_xl.reading_words import OnPages
from wood_xl.report.figure_text import typed_money, typed_text
from wood_xl.report.view import Row, View
from wood_xl.results.figures import figure_column
from wood_xl.schema.digits import currency_sign
from wood_xl.schema.words import phrase, words
from wood_xl.trial_words import HowWeKnow
from wood_xl.units import convert

MOST_ADDENDS = 8  # written out one by one
MINUTES, KILO = 60.0, 1000.0
MASS_UNIT = "kg"
AGREES = 1e-6  # of the figure: what the written-out equation may differ by
DIGITS, FACTOR_DECIMALS = 4, 4
HOURS = "worker_hours"
FACTORS = (
    ("by_logs", HowWeKnow.BY_LOGS),
    ("by_hands", HowWeKnow.BY_HANDS),
    ("by_days", HowWeKnow.BY_DAYS),
)
CASH_PARTS = (
    ("upkeep", HowWeKnow.UPKEEP),
    ("fuel", HowWeKnow.FUEL),
    ("bar_oil", HowWeKnow.OIL),
    ("electricity", HowWeKnow.ELECTRICITY),
)


@dataclass(frozen=True)
class Step:
    """One line: what is done, what comes of it, and the sheet where it stands."""

    text: str
    value: str
    sheet: OnPages


@dataclass(frozen=True)
class Worked:
    """A number and its steps."""

    title: str
    steps: tuple[Step, ...]


def worked_numbers(view: View) -> list[Worked]:
    """Hours, effort, cash and the price of a saved hour, as far as the season has them."""
    pair = next(iter(view.document["exchange"]), None)
    methods = [row["method"] for row in view.document["rates_per_cord"] if row["sessions_n"]]
    if not methods:
        return []
    method = pair["method"] if pair is not None else methods[0]
    found = [_hours(view, method), _cash(view, method)]
    if not view.is_shared:
        found.insert(1, _effort(view, method))
    if pair is not None:
        found.append(_saved(view, pair))
    return [one for one in found if one is not None]


def digits(number: float) -> str:
    """A number with as many digits as a line of the working needs.

    >>> digits(3.63333), digits(0.0123456), digits(1234.56)
    ('3.633', '0.01235', '1,235')
    """
    whole = len(f"{abs(number):.0f}") if abs(number) >= 1 else 0
    decimals = max(0, DIGITS - whole)
    text = f"{number:,.{decimals}f}" if whole else f"{number:.{DIGITS}g}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _hours(view: View, method: str) -> Worked | None:
    row = view.row("equal_terms", method=method, figure=figure_column(HOURS).title)
    if row is None or row["on_equal_terms"]["value"] is None or row["measured"]["value"] is None:
        return None
    counted = [
        one
        for one in view.rows("sessions", method=method)
        if not view.is_left_out(one["session"]) and one["cords"]["value"] is not None
    ]
    hours = [one["worker_hours"]["value"] for one in counted]
    key = "stacked_volume" if view.is_metric else "cords"
    wood = [one[key]["value"] for one in counted]
    minutes = [one * MINUTES for one in hours]
    if len(counted) <= MOST_ADDENDS:
        told = phrase(
            HowWeKnow.MINUTES_OF,
            sessions=tuple(one["session"] for one in counted),
            minutes=tuple(digits(one) for one in minutes),
        )
        wood_told = phrase(HowWeKnow.WOOD_OF, wood=tuple(digits(one) for one in wood))
    else:
        told = phrase(HowWeKnow.MINUTES_IN_ALL, n=len(counted))
        wood_told = words(HowWeKnow.WOOD_IN_ALL)
    measured = view.one(row["measured"])["value"]
    summed = phrase(HowWeKnow.MINUTES_SUM, minutes=digits(sum(minutes)), hours=digits(sum(hours)))
    quotient = phrase(HowWeKnow.QUOTIENT, top=digits(sum(hours)), bottom=digits(sum(wood)), result=digits(measured))
    steps = [
        Step(told, summed, OnPages.SESSIONS),
        Step(wood_told, phrase(HowWeKnow.WOOD_SUM, sum=digits(sum(wood)), woods=view.woods), OnPages.SESSIONS),
        Step(words(HowWeKnow.AS_MEASURED), quotient, OnPages.SESSIONS),
    ]
    known = [(word, row[key]["value"]) for key, word in FACTORS if row[key]["value"] is not None]
    if known:
        told = phrase(HowWeKnow.FACTORS, factors=tuple(words(word) for word, _ in known))
        factors = tuple(f"{factor:.{FACTOR_DECIMALS}f}" for _, factor in known)
        steps.append(Step(told, phrase(HowWeKnow.TIMES_FACTORS, factors=factors), OnPages.COMPARE))
    figure = view.one_text(row["on_equal_terms"])
    value = digits(view.one(row["on_equal_terms"])["value"])
    told = phrase(HowWeKnow.EQUAL_VALUE, value=value, figure=figure)
    steps.append(Step(words(HowWeKnow.ON_EQUAL), told, OnPages.COMPARE))
    title = phrase(HowWeKnow.TAKES, method=method, figure=figure.split(" (")[0], wood=view.wood)
    return Worked(title, tuple(steps))


def _effort(view: View, method: str) -> Worked | None:
    sessions = {row["session"] for row in view.rows("sessions", method=method)}
    rows = [
        row
        for row in view.document["efforts"]
        if row["kcal_net"]["value"] is not None and row["minutes"]["value"] is not None
    ]
    rows.sort(key=lambda row: (row["kcal_vo2max"]["value"] is None, row["session"] not in sessions))
    if not rows:
        return None
    row, kj = next(((row, kj) for row in rows if (kj := _kj_per_min(view, row)) is not None), (rows[0], None))
    gross, net = row["kcal_gross"]["value"], row["kcal_net"]["value"]
    minutes = row["minutes"]["value"]
    over = phrase(HowWeKnow.OVER, minutes=digits(minutes))
    steps = [Step(phrase(HowWeKnow.BASIS, basis=row["basis"]), "", OnPages.BODY)]
    if kj is not None:
        steps = [kj]
        over = phrase(HowWeKnow.OVER_KJ, minutes=digits(minutes), factor=value("unit.kcal") / KILO)
    steps += [
        Step(over, phrase(HowWeKnow.KCAL, kcal=digits(gross)), OnPages.BODY),
        Step(
            words(HowWeKnow.AT_REST),
            phrase(HowWeKnow.DIFFERENCE, top=digits(gross), bottom=digits(gross - net), result=digits(net)),
            OnPages.BODY,
        ),
    ]
    figure = view.middle(row["kcal_net"])
    return Worked(phrase(HowWeKnow.EFFORT, session=row["session"], figure=figure), tuple(steps))


def _kj_per_min(view: View, row: Row) -> Step | None:
    """The heart-rate equation with VO2max and the numbers of one person, where it alone gave the energy."""
    notes = view.document["inputs"]
    person: Row = next((one for one in notes["people"] if one.get("person") == row["person"]), {})
    rate, minutes = row["mean_heart_rate"]["value"], row["minutes"]["value"]
    sex, needed = person.get("equation_sex"), ("vo2max", "mass", "age")
    if rate is None or sex is None or any(key not in person for key in needed):
        return None
    uptake, mass, age = (float(person[key]) for key in needed)
    kg = convert(mass, notes["units"]["people"]["mass"], MASS_UNIT)
    part = {key: value(f"keytel_vo2max.{sex}.{key}") for key in ("intercept", "heart_rate", "vo2max", "mass", "age")}
    measured = part["heart_rate"] * rate + part["vo2max"] * uptake + part["mass"] * kg + part["age"] * age
    kj = measured + part["intercept"]
    if abs(kj * KILO * minutes / value("unit.kcal") / row["kcal_gross"]["value"] - 1) > AGREES:
        return None
    text = phrase(
        HowWeKnow.EQUATION,
        by_rate=part["heart_rate"],
        rate=digits(rate),
        by_uptake=part["vo2max"],
        uptake=digits(uptake),
        by_mass=part["mass"],
        mass=digits(kg),
        by_age=part["age"],
        age=digits(age),
        less=-part["intercept"],
    )
    return Step(text, phrase(HowWeKnow.KJ, kj=digits(kj)), OnPages.BODY)


def _cash(view: View, method: str) -> Worked | None:
    row = view.row("money_per_cord", method=method)
    volume = view.season["yearly_volume"]["value"]
    if row is None or not row["cash"]["value"] or not volume:
        return None
    return Worked(
        phrase(HowWeKnow.CASH, method=method, figure=view.middle(view.one(row["cash"])), wood=view.wood),
        tuple(_cash_steps(view, row, volume)),
    )


def _cash_steps(view: View, row: Row, volume: float) -> Iterator[Step]:
    interest = view.season["real_interest_rate"]["value"] or 0.0
    years = []
    for tool in view.rows("tool_costs", method=row["method"]):
        price, resale, life, year = (tool[key]["value"] for key in ("price", "resale", "life_years", "yearly_cost"))
        if None in (price, resale, life, year):
            continue
        years.append(year)
        told = phrase(
            HowWeKnow.TOOL_YEAR,
            tool=tool["tool"],
            price=typed_money(price, view.currency),
            resale=typed_money(resale, view.currency),
            life=typed_text(round(life, 2)),
            percent=interest,
        )
        yield Step(told, phrase(HowWeKnow.A_YEAR, amount=_money(view, year)), OnPages.MONEY)
    owning = view.one(row["ownership"])["value"]
    if owning:
        told = phrase(HowWeKnow.QUOTIENT, top=digits(sum(years)), bottom=typed_text(volume), result=digits(owning))
        yield Step(words(HowWeKnow.OWNING), told, OnPages.MONEY)
    parts = [(word, view.one(row[key])["value"]) for key, word in CASH_PARTS]
    used = [(words(word), value) for word, value in parts if value]
    if used:
        told = phrase(HowWeKnow.AND_PARTS, parts=tuple(name for name, _ in used))
        amounts = phrase(HowWeKnow.AMOUNTS, amounts=tuple(_money(view, value) for _, value in used))
        yield Step(told, amounts, OnPages.MONEY)
    cash = view.one(row["cash"])
    told = phrase(HowWeKnow.EQUAL_VALUE, value=_money(view, cash["value"]), figure=view.text(cash))
    yield Step(words(HowWeKnow.IN_ALL), told, OnPages.MONEY)


def _saved(view: View, row: Row) -> Worked | None:
    hour = row["hour"]
    if hour["value"] is None:
        return None
    steps: Sequence[Step] = [
        Step(phrase(word, wood=view.wood), _difference(view, row, key), sheet)
        for word, key, sheet in (
            (HowWeKnow.MORE_CASH, "cash", OnPages.MONEY),
            (HowWeKnow.HOURS_SAVED, HOURS, OnPages.COMPARE),
        )
    ]
    value = phrase(HowWeKnow.EQUAL_VALUE, value=_money(view, hour["value"]), figure=view.text(hour))
    title = phrase(HowWeKnow.SAVED, figure=view.middle(hour), method=row["method"])
    return Worked(title, (*steps, Step(words(HowWeKnow.ONE_OVER_OTHER), value, OnPages.MONEY)))


def _difference(view: View, row: Row, key: str) -> str:
    quick, slow = (view.one(view.rate(row[part])[key])["value"] for part in ("method", "instead_of"))
    top, bottom = (quick, slow) if key == "cash" else (slow, quick)
    return phrase(HowWeKnow.DIFFERENCE, top=digits(top), bottom=digits(bottom), result=digits(top - bottom))


def _money(view: View, amount: float) -> str:
    text = digits(amount)
    cents = text.partition(".")[2]
    return f"{currency_sign(view.currency)}{text}{'0' * (len(cents) == 1)}"
