"""What each kind of cell becomes in each kind of column."""

from __future__ import annotations

import re
from typing import Any

from few import together

from wood_xl.notes.cell import decode
from wood_xl.notes.problem import catalogue
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.notes.typed import choice_key, choice_words
from wood_xl.page_texts import HowToMend
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase

DIAMETER, MINUTES, DATE = "cuts.diameter", "sessions.elapsed_time", "sessions.date"
DELAY, TALLY, KIND, NOTE = "sessions.delay_time", "cuts.cuts", "tools.kind", "sessions.note"
SESSION, CURRENCY, SHARE = "sessions.session", "season.currency", "wood.share"
MEDICINE = "people.rate_limiting_medicine"
FRACTION = "season.solid_fraction"
TASK, STOVE, OTHER, SEX = "methods.task", "season.appliance", "season.displaced_fuel", "people.equation_sex"


def number(value: float, *, percent: bool = False) -> RawCell:
    return RawCell(Kind.NUMBER, value, percent=percent)


def text(value: str) -> RawCell:
    return RawCell(Kind.TEXT, value)


@together(
    ("cell", "ref", "unit", "value"),
    [
        (number(10.0), DIAMETER, "in", 10),
        (number(10.25), DIAMETER, "in", 10.25),
        (text("   "), DIAMETER, "in", None),
        (text("\u00a0"), NOTE, "", None),
        (number(3.0), TALLY, "", 3),
        (number(0.6, percent=True), SHARE, "%", 60),
        (number(0.7), DELAY, "min", 0.7),
        (number(0.0625), MINUTES, "min", 0.0625),
        (number(0.64, percent=True), FRACTION, "", 0.64),
        (RawCell(Kind.DURATION, 90.0, as_shown="1:30"), MINUTES, "min", 90),
        (RawCell(Kind.DURATION, 90.0, as_shown="1:30"), MINUTES, "h", 1.5),
        (RawCell(Kind.DATE, "2026-10-04", as_shown="2026-10-04"), DATE, "", "2026-10-04"),
        (RawCell(Kind.DATE, "2026-10-04T08:30:00", as_shown="2026-10-04 08:30"), DATE, "", "2026-10-04"),
        (text("2026-10-04"), DATE, "", "2026-10-04"),
        (text(" Hand "), KIND, "", "hand"),
        (text("GASOLINE  two-stroke"), KIND, "", "gasoline two-stroke"),
        (number(7.0), SESSION, "", "7"),
        (text("  S 7 "), SESSION, "", "S 7"),
        (RawCell(Kind.BOOLEAN, True), MEDICINE, "", "yes"),
        (RawCell(Kind.BOOLEAN, False), MEDICINE, "", "no"),
        (text("usd"), CURRENCY, "", "USD"),
        (text("  =1+1 \n two"), NOTE, "", "  =1+1 \n two"),
        (number(12.5), NOTE, "", "12.5"),
    ],
)
def test_value_is_read(cell: RawCell, ref: str, unit: str, value: Any) -> None:
    decoded = decode(cell, season_definition().column(ref), unit)
    assert decoded.value == value
    assert type(decoded.value) is type(value)
    assert decoded.code in ("", "cell-clock-read")


@together(
    ("typed", "ref", "unit", "value"),
    [
        ("45 min", MINUTES, "min", 45),
        ("1.5 hrs", MINUTES, "h", 1.5),
        ('12"', DIAMETER, "in", 12),
        ("12\u201d", DIAMETER, "in", 12),
        ("12 in.", DIAMETER, "in", 12),
        ("22 oz", "sessions.fuel_used", "fl oz", 22),
        ("60%", SHARE, "%", 60),
        ("-5 \u00b0C", "sessions.air_temperature", "degC", -5),
        ("7\u00bd", DIAMETER, "in", 7.5),
        ("7 1/2", DIAMETER, "in", 7.5),
        ("7-1/2", DIAMETER, "in", 7.5),
        ("1/2", DIAMETER, "in", 0.5),
        ('16\u00bd"', "season.stick_length", "in", 16.5),
        ("3\u215c in", DIAMETER, "in", 3.375),
        ("8'3\"", "stacks.length", "in", 99),
        ("20' 3\u2033", "stacks.length", "ft", 20.25),
        ("8 ft 3 1/2 in", "stacks.length", "in", 99.5),
        ("8'3", "stacks.length", "in", 99),
        ("1,500 mL", "sessions.fuel_used", "mL", None),
        ("1.500 mL", "sessions.fuel_used", "mL", None),
        ("7 1/2", DELAY, "min", 7.5),
        ("10", DELAY, "min", 10),
        ("60", "stacks.height", "in", 60),
        ("1 hour 30", DELAY, "h", 1.5),
        ("1:05 h", MINUTES, "min", 65),
        ("44 years", "people.age", "years", 44),
    ],
)
def test_a_number_with_its_columns_unit_or_a_fraction_is_read_with_a_note(
    typed: str, ref: str, unit: str, value: float | None
) -> None:
    decoded = decode(text(typed), season_definition().column(ref), unit)
    assert decoded.value == value
    assert decoded.code == ("cell-two-readings" if value is None else "cell-number-read")


@together(
    ("typed", "ref", "unit", "value", "code"),
    [
        ("5+8+3", DELAY, "min", 16, "cell-sum-read"),
        ("5; 8;", DELAY, "min", 13, "cell-sum-read"),
        ("5, 8", DELAY, "min", 13, "cell-sum-read"),
        ("8+6.5", "sessions.fuel_used", "fl oz", 14.5, "cell-sum-read"),
        ("8 oz + 6\u00bd oz", "sessions.fuel_used", "fl oz", 14.5, "cell-sum-read"),
        ("0.1+0.2", "sessions.bar_oil_used", "L", 0.3, "cell-sum-read"),
        ("20+25", "helpers.time", "min", 45, "cell-sum-read"),
        ("50; 52; 51", "stacks.height", "in", 51, "cell-mean-read"),
        ("4'2\"; 4'4\"", "stacks.height", "in", 51, "cell-mean-read"),
        ("1; 2; 2", "stacks.height", "m", 1.66666666667, "cell-mean-read"),
    ],
)
def test_numbers_that_are_joined_in_a_cell(typed: str, ref: str, unit: str, value: float, code: str) -> None:
    decoded = decode(text(typed), season_definition().column(ref), unit)
    assert (decoded.value, decoded.code) == (value, code)


def test_a_date_whose_cell_lost_its_format_is_read_with_a_note() -> None:
    decoded = decode(number(46299.0), season_definition().column(DATE), "")
    assert (decoded.value, decoded.code) == ("2026-10-04", "cell-day-number")


@together(
    ("typed", "value", "code"),
    [
        ("6 March 2027", "2027-03-06", "cell-day-read"),
        ("Sept. 6th, 2027", "2027-09-06", "cell-day-read"),
        ("2027.3.6", "2027-03-06", "cell-day-read"),
        ("3/14/2027", "2027-03-14", "cell-day-read"),
        ("7/7/2027", "2027-07-07", "cell-day-read"),
        ("3/6/2027", None, "cell-two-days"),
        ("31 June 2027", None, "cell-not-a-date"),
        ("6 maple 2027", None, "cell-not-a-date"),
        ("3/6/27", None, "cell-not-a-date"),
        ("2027-3/6", None, "cell-not-a-date"),
    ],
)
def test_a_day_in_a_text_is_read_where_it_means_only_one(typed: str, value: str | None, code: str) -> None:
    decoded = decode(text(typed), season_definition().column(DATE), "")
    assert (decoded.value, decoded.code) == (value, code)


def test_numbers_are_joined_only_where_several_may_stand() -> None:
    assert decode(text("5+8"), season_definition().column("sessions.running_time"), "min").value is None


@together(
    ("cell", "ref", "unit", "code", "said"),
    [
        (text("12,5"), DIAMETER, "cm", "cell-decimal-comma", "12.5"),
        (text("12,5 cm."), DIAMETER, "cm", "cell-not-a-number", "Type 12.5 alone"),
        (text('10"'), DIAMETER, "cm", "cell-not-a-number", "10 in = 25.4 cm"),
        (text("50 cm"), "stacks.height", "m", "cell-not-a-number", "50 cm = 0.5 m"),
        (text("12 spans"), DIAMETER, "in", "cell-not-a-number", phrase(HowToMend.TURNED_INTO, unit="in")),
        (text("1.5 hrs"), DELAY, "min", "cell-not-a-number", "1.5 h = 90 min"),
        (text("4 000"), "tools.price", "money", "cell-not-a-number", phrase(HowToMend.WITHOUT_GAP, number="4000")),
        (text("20,50"), "season.gasoline_price", "per L", "cell-decimal-comma", "(a price per L)"),
        (text("5 1/2 ft"), DIAMETER, "in", "cell-not-a-number", phrase(HowToMend.TURNED_INTO, unit="in")),
        (text("5 1/2 ft"), "stacks.height", "in", "cell-not-a-number", "5.5 ft = 66 in"),
        (text("8'3\""), "stacks.height", "cm", "cell-not-a-number", "8.25 ft = 251.5 cm"),
        (text("8'15\""), "stacks.height", "in", "cell-not-a-number", "plain number"),
        (text("5/7"), DIAMETER, "in", "cell-not-a-number", "0.714286"),
        (text("1,500,000"), "tools.price", "money", "cell-not-a-number", "Type 1500000, without a mark"),
        (text("1.500,25"), "tools.price", "money", "cell-not-a-number", "Type 1500.25, without a mark"),
        (text("1,500"), "tools.price", "money", "cell-two-readings", "1500"),
        (text("1.500"), "sessions.fuel_used", "mL", "cell-two-readings", "1.5"),
        (text("1.500 mL"), "sessions.fuel_used", "L", "cell-two-readings", "0.0015"),
        (text("5,8"), DELAY, "min", "cell-two-readings", "5+8"),
        (text("5,8"), "sessions.running_time", "min", "cell-decimal-comma", "5.8"),
        (text("5/8/3"), DELAY, "min", "cell-not-a-number", phrase(HowToMend.JOIN, sign="+", example="5+8+3")),
        (text("3/4"), DELAY, "min", "cell-not-a-number", "3+4"),
        (text("5 8"), DELAY, "min", "cell-not-a-number", "5+8"),
        (text("50/52/51"), "stacks.height", "in", "cell-not-a-number", "by ;, for example 50; 52; 51"),
        (text("50+52"), "stacks.height", "in", "cell-not-a-number", "plain number"),
        (text("5 + some"), DELAY, "min", "cell-not-a-number", "plain number"),
        (text("5-8"), DELAY, "min", "cell-not-a-number", "middle"),
        (text("10-12"), DIAMETER, "in", "cell-not-a-number", "middle"),
        (text("~12"), DIAMETER, "in", "cell-not-a-number", "doubt"),
        (text("12?"), DIAMETER, "in", "cell-not-a-number", "doubt"),
        (text("?"), "sessions.running_time", "min", "cell-not-a-number", "empty"),
        (text("?"), DIAMETER, "in", "cell-not-a-number", "plain number"),
        (text("?"), MINUTES, "min", "cell-not-a-number", "plain number"),
        (
            text("1:30"),
            MINUTES,
            "min",
            "cell-not-a-number",
            phrase(HowToMend.IF_CLOCK_MEANS, number="90", meant="1 h 30 min", unit="min"),
        ),
        (
            text("1:30"),
            MINUTES,
            "h",
            "cell-not-a-number",
            phrase(HowToMend.IF_CLOCK_MEANS, number="1.5", meant="1 h 30 min", unit="h"),
        ),
        (
            text("1:30"),
            "heart_trace.elapsed",
            "s",
            "cell-not-a-number",
            phrase(HowToMend.IF_CLOCK_MEANS, number="90", meant="1 min 30 s", unit="s"),
        ),
        (text("big"), DIAMETER, "in", "cell-not-a-number", "plain number"),
        (number(71 / 1440), MINUTES, "min", "cell-fraction-of-day", "1:11"),
        (number(2.5), TALLY, "", "cell-not-whole", "2.5"),
        (RawCell(Kind.DURATION, 1440.0 * 45, as_shown="1080:00"), MINUTES, "min", "cell-clock-whole-days", "45"),
        (RawCell(Kind.DURATION, 90.0, as_shown="1:30"), DIAMETER, "in", "cell-clock-time", "1:30"),
        (RawCell(Kind.DATE, "2026-03-04", as_shown="4 Mar"), DIAMETER, "in", "cell-date-for-number", "4 Mar"),
        (
            RawCell(Kind.DATE, "2026-03-04", as_shown="4 Mar"),
            DELAY,
            "min",
            "cell-date-for-list",
            "by +, for example 3+4",
        ),
        (RawCell(Kind.DATE, "2026-03-04", as_shown="4-Mar"), SESSION, "", "cell-date-for-text", "4-Mar"),
        (RawCell(Kind.BOOLEAN, True), DIAMETER, "in", "cell-true-false", "TRUE"),
        (RawCell(Kind.ERROR, "#DIV/0!"), DIAMETER, "in", "cell-error-value", "#DIV/0!"),
        (RawCell(Kind.NO_VALUE, "=A1*2"), DIAMETER, "in", "cell-formula-without-value", "=A1*2"),
        (text("4 Oct"), DATE, "", "cell-not-a-date", "4 Oct"),
        (text("2026-02-30"), DATE, "", "cell-not-a-date", "2026-02-30"),
        (number(3.0), DATE, "", "cell-not-a-date-value", "3"),
        (RawCell(Kind.BOOLEAN, True), DATE, "", "cell-not-a-date-value", "TRUE"),
        (text("gasolin two-stroke"), KIND, "", "cell-not-in-list", ' "gasoline two-stroke"?'),
        (text("gas"), KIND, "", "cell-not-in-list", ' "gasoline two-stroke" or "gasoline four-stroke"?'),
        (text("Chainsaw"), KIND, "", "cell-not-in-list", '"gasoline two-stroke", "battery" or "mains"?'),
        (
            text("wood stove"),
            STOVE,
            "",
            "cell-not-in-list",
            ' "older stove", "certified stove" or "catalytic or hybrid stove"?',
        ),
        (text("wood stoves"), STOVE, "", "cell-not-in-list", '"older stove", "certified stove" or "catalytic'),
        (text("cutting"), TASK, "", "cell-not-in-list", ' "fell" or "buck"?'),
        (text("spliting"), TASK, "", "cell-not-in-list", ' "split"?'),
        (text("dollars"), CURRENCY, "", "cell-currency", "dollars"),
    ],
)
def test_unreadable_cell_says_why(cell: RawCell, ref: str, unit: str, code: str, said: str) -> None:
    decoded = decode(cell, season_definition().column(ref), unit)
    assert decoded.value is None
    assert decoded.code == code
    assert any(said in fact for fact in (decoded.facts or {}).values())


def offered(facts: dict[str, str], mend: str) -> list[str]:
    """What a message says to type: each number, or numbers joined by a sign."""
    words = mend.format(**facts)
    found = re.findall(r"(?:[Tt]ype|or|example|decimal:) ([0-9][0-9.+]*(?:; [0-9.]+)*)", words)
    return [one.rstrip(".;") for one in found]


@together(
    ("typed", "ref", "unit", "mended"),
    [
        ("12,5", DIAMETER, "cm", [12.5]),
        ("12,5 cm.", DIAMETER, "cm", [12.5]),
        ('10"', DIAMETER, "cm", [25.4]),
        ("5 1/2 ft", "stacks.height", "in", [66]),
        ("8'3\"", "stacks.height", "cm", [251.5]),
        ("5/7", DIAMETER, "in", [0.714286]),
        ("1.5 hrs", DELAY, "min", [90]),
        ("1,500,000", "tools.price", "money", [1500000]),
        ("1.500,25", "tools.price", "money", [1500.25]),
        ("1,500", "tools.price", "money", [1500, 1.5]),
        ("1.500 mL", "sessions.fuel_used", "L", [1.5, 0.0015]),
        ("5,8", DELAY, "min", [5.8, 13]),
        ("5/8/3", DELAY, "min", [16]),
        ("3/4", DELAY, "min", [7]),
        ("8+6,5", "sessions.fuel_used", "mL", [14.5]),
        ("1,2; 1,4", "stacks.height", "m", [1.3]),
        ("50/52/51", "stacks.height", "in", [51]),
        ("4 000", "tools.price", "money", [4000]),
        ("1:30", MINUTES, "min", [90]),
    ],
)
def test_advice_that_is_followed_is_read(typed: str, ref: str, unit: str, mended: list[float]) -> None:
    column = season_definition().column(ref)
    decoded = decode(text(typed), column, unit)
    assert decoded.value is None
    advised = offered(decoded.facts or {}, catalogue()[decoded.code]["mend"])
    cells = [text(one) if set(one) & set("+;") else number(float(one)) for one in advised]
    read = [decode(cell, column, unit) for cell in cells]
    assert [one.value for one in read] == mended
    assert {one.code for one in read} <= {"", "cell-sum-read", "cell-mean-read"}


@together(
    ("typed", "ref", "value"),
    [
        ("bucking", TASK, "buck"),
        ("Splitting", TASK, "split"),
        ("cross-cutting", TASK, "buck"),
        ("M", SEX, "male"),
        ("F.", SEX, "female"),
        ("Y", "people.rate_limiting_medicine", "yes"),
        ("n", "people.rate_limiting_medicine", "no"),
        ("beta blocker", MEDICINE, "yes"),
        ("handsaw", KIND, "hand"),
        ("2-stroke", KIND, "gasoline two-stroke"),
        ("petrol two-stroke", KIND, "gasoline two-stroke"),
        ("cordless", KIND, "battery"),
        ("LP gas", OTHER, "propane"),
        ("fuel oil", OTHER, "heating oil"),
        ("hour", "upkeep.per", "hours"),
    ],
)
def test_a_word_that_means_one_choice_is_read_with_a_note(typed: str, ref: str, value: str) -> None:
    decoded = decode(text(typed), season_definition().column(ref), "")
    assert (decoded.value, decoded.code) == (value, "cell-word-read")
    assert decoded.facts == {"found": f'"{typed}"', "value": f'"{value}"'}


def test_a_hyphen_or_a_gap_is_the_same_word() -> None:
    decoded = decode(text("gasoline two stroke"), season_definition().column(KIND), "")
    assert (decoded.value, decoded.code) == ("gasoline two-stroke", "")


LISTS = {column.ref: column for sheet in season_definition().sheets for column in sheet.columns if column.choices}


def test_every_choice_with_words_exists() -> None:
    assert choice_words().keys() <= {choice for column in LISTS.values() for choice in column.choices}
    assert {kind for words in choice_words().values() for kind in words} == {"means", "perhaps"}


@together("ref", LISTS)
def test_a_word_that_is_read_means_one_choice_of_its_list_only(ref: str) -> None:
    choices = LISTS[ref].choices
    means = [word for choice in choices for word in choice_words().get(choice, {}).get("means", [])]
    perhaps = [word for choice in choices for word in choice_words().get(choice, {}).get("perhaps", [])]
    assert len(set(means)) == len(means)
    assert not {*means, *perhaps} & {choice_key(choice) for choice in choices}
    assert not set(means) & set(perhaps)
    assert all(word == choice_key(word) for word in (*means, *perhaps))
