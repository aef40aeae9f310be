"""The working of any figure, step by step from the notes to the number.

Steps are read from the results: a text with its numbers, their result, and the place of the result. Anybody can
repeat each with a pocket calculator from the digits that are printed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from wood_xl.data.load import constants
from wood_xl.notes.names import plain
from wood_xl.notes.relations import TOOL_COLUMNS
from wood_xl.page_texts import Working
from wood_xl.report.figure_text import figure_text, signed
from wood_xl.results.made_of import CORD, MONEY, Made, Part, Results, names_in, ref_of
from wood_xl.results.of_bodies import is_shared
from wood_xl.schema.model import results_definition, season_definition
from wood_xl.schema.words import MINUS, currency_sign, phrase, words

MOST_ADDENDS = 8  # written out one by one
DIGITS, MOST_DIGITS = 4, 10  # of a result, and of the numbers that it follows from
ON_PAGE, IN_ALL = 2, 8  # levels of figures within figures
DASHES_OF_A_DAY = 2
ABOUT = ("method", "session", "person")
OF_SESSIONS = ("sessions", "efforts")  # tables with so many rows that a total lists their notes together
PEOPLE = "people"
KCAL, HOURS, CASH, SAVED = "efforts.kcal_net", "rates_per_cord.worker_hours", "rates_per_cord.cash", "exchange.hour"

Row = dict[str, Any]


class Step(NamedTuple):
    """One line: what is done, the result, and its place (``figures/``, ``inputs/`` or ``factors/``)."""

    text: str
    value: str
    link: str


def worked_numbers(document: Mapping[str, Any]) -> list[Row]:
    """Hours, effort, cash and the price of a saved hour, as far as the season has them, for the sheet How we know."""
    if not document["figures"]:
        return []
    results, written = Results(document), set[str]()
    return [
        {
            "figure": figure["id"],
            "steps": [step._asdict() for step in _Working(results, figure, written).steps(figure)],
        }
        for figure in _figures_to_show(results)
    ]


def working(results: Results, figure_id: str) -> list[Step]:
    """All steps of a figure, its notes first."""
    figure = results.by_id[figure_id]
    steps = list(_Working(results, None, set()).steps(figure))
    if figure["value"] is not None and results.shown(figure)[0] != figure["value"]:
        value = _amount(results, figure["value"], figure["unit"])
        steps.append(Step(words(Working.FOR_A_CORD), value, f"figures/{figure_id}"))
    return steps


def digits(number: float, most: int = DIGITS) -> str:
    """A number with as many digits as a line of the working shows.

    >>> digits(3.63333), digits(0.0123456), digits(1234.56), digits(123456.0)
    ('3.633', '0.01235', '1,235', '123,456')
    """
    whole = len(f"{abs(number):.0f}") if abs(number) >= 1 else 0
    if not whole:
        return f"{number:.{most}g}"
    text = f"{number:,.{max(0, most - whole)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _figures_to_show(results: Results) -> Iterator[Row]:
    """The figures of the sheet How we know, all about one method as far as possible."""
    pairs, hours = (
        [row for row in results.by_ref.get(ref, ()) if row["value"] is not None] for ref in (SAVED, HOURS)
    )
    if not hours:
        return
    method = names_in(pairs[0], "method")[0] if pairs else hours[0]["method"]
    for ref in (HOURS, KCAL, CASH):
        if ref == KCAL and is_shared(results.document["provenance"]):
            continue
        rows = [row for row in results.by_ref.get(ref, ()) if row["value"] and results.made(row) is not None]
        rows.sort(key=lambda row: (ref == KCAL and not _by_equation(results, row), row["method"] != method))
        of_method = [row for row in rows if row["method"] == method] if ref != KCAL else rows
        yield from of_method[:1]
    yield from pairs[:1]


def _by_equation(results: Results, figure: Row) -> bool:
    own = results.by_id.get(figure["id"].replace(KCAL, "efforts.kcal_vo2max"))
    return own is not None and results.made(own) is not None


@dataclass(frozen=True)
class _Working:
    """Writes how figures were computed, without steps that are written already.

    top: the figure of the page that all steps are for: then steps from notes and names in its heading are left out;
        None for all steps from the notes on.
    written: ids of figures, links, and columns whose names were written.
    """

    results: Results
    top: Row | None
    written: set[str]

    def steps(self, figure: Row, depth: int = 0) -> Iterator[Step]:
        """Steps of a figure at this depth."""
        self.written.add(figure["id"])
        made = self.results.made(figure)
        whole = None if made is None else made.parts.get(made.node)  # set if the expression is a single number
        noted = whole if whole is not None and whole.figure is None and not whole.addends else None
        if made is None or noted is not None:
            if self.top is None and made is None:
                yield from _note_steps(self.results, figure, [figure])
            if self.top is None or not depth:
                yield self._plain(figure, noted, is_last=not depth)
            return
        for part in made.parts.values():
            yield from self._part_steps(figure, part, depth)
        if self.top is None or not depth or made.node not in made.parts:  # else it only repeats another figure
            yield self._step(figure, made, is_last=not depth)

    def _part_steps(self, figure: Row, part: Part, depth: int) -> Iterator[Step]:
        goes_on = depth < (IN_ALL if self.top is None else ON_PAGE)
        if part.addends:
            rows = [row for row, _ in part.addends]
            if ref_of(rows[0]).partition(".")[0] in OF_SESSIONS:
                yield from _note_steps(self.results, rows[0], rows) if self.top is None else ()
            else:
                for row in rows:
                    if goes_on and row["id"] not in self.written:
                        yield from self.steps(row, depth + 1)
                if self.top is not None and goes_on:
                    return  # the lines above are its addends
            yield _sum(self.results, figure, part)
        elif part.figure is not None and part.figure["id"] not in self.written and goes_on:
            yield from self.steps(part.figure, depth + 1)
        elif part.figure is None and self.top is None and part.link not in self.written:
            self.written.add(part.link)
            kind, _, rest = part.link.partition("/")
            text = constants()[rest].title if kind == "factors" else _name(self.results, figure, part)
            yield Step(text, _amount(self.results, part.number, part.unit), part.link)

    def _step(self, figure: Row, made: Made, *, is_last: bool) -> Step:
        """A line of arithmetic; on a page it has names in it only the first time for each column."""
        number, unit = self.results.shown(figure)
        names, numbers = _named(self.results, figure, made), made.numbers(_rounding(made.again, number))
        is_repeated = self.top is not None and ref_of(figure) in self.written
        self.written.add(ref_of(figure))
        what = names
        if numbers != digits(number):
            what = numbers if is_repeated else phrase(Working.NAMES_AND_NUMBERS, names=names, numbers=numbers)
        text = phrase(Working.MADE, title=self._title(figure), what=what)
        link = f"figures/{figure['id']}"
        if self.top is not None:  # the heading has the range and the unit
            return Step(text, _amount(self.results, number, unit.partition("/")[0]), link)
        return Step(text, _result(self.results, figure, number, unit, is_last=is_last), link)

    def _plain(self, figure: Row, noted: Part | None, *, is_last: bool) -> Step:
        """The line of a figure that does not follow from others."""
        column = results_definition().column(ref_of(figure))
        what = words(Working.AS_NOTED) if noted else column.formula or column.help
        text = phrase(Working.MADE, title=self._title(figure), what=what)
        link = noted.link if noted else f"figures/{figure['id']}"
        if figure["value"] is None:
            return Step(text, words(Working.NOT_GIVEN), link)
        return Step(text, _result(self.results, figure, *self.results.shown(figure), is_last=is_last), link)

    def _title(self, figure: Row) -> str:
        tool, top = self.results.tool_of(figure), self.top
        named = (tuple(names_in(figure, key)) for key in ABOUT if top is None or figure[key] != top[key])
        about = (tool,) if tool else tuple(phrase(Working.NAMES, names=names) for names in named if names)
        title = _column_title(self.results, figure)
        return phrase(Working.TITLE, title=title, about=about) if about else title


def _sum(results: Results, figure: Row, part: Part) -> Step:
    made = [one for _, one in part.addends]
    names = list(dict.fromkeys(_named(results, row, one) for row, one in part.addends))
    about = tuple(dict.fromkeys(_about(results, row, figure) for row, _ in part.addends))
    named = phrase(Working.SUM_OF, what=names[0], about=tuple(filter(None, about))) if any(about) else names[0]
    if len(made) > MOST_ADDENDS:
        text = phrase(Working.SUM_OF_MANY, what=names[0], n=len(made))
    else:
        show = _rounding(lambda show: sum(one.again(show) for one in made), part.number)
        text = phrase(Working.SUM, what=named, numbers=tuple(one.numbers(show) for one in made))
    return Step(text, _amount(results, part.number, part.unit), part.link)


def _result(results: Results, figure: Row, number: float, unit: str, *, is_last: bool) -> str:
    text = _amount(results, number, unit)
    if not is_last or figure["low"] is None:
        return text
    share = number / figure["value"] if figure["value"] else 1.0
    ends = {key: None if figure[key] is None else figure[key] * share for key in ("value", "low", "high")}
    cell = {**ends, "unit": MONEY if results.is_money(unit) else unit, "reason": ""}
    return phrase(Working.WITH_RANGE, value=text, figure=figure_text(cell, results.currency))


def _amount(results: Results, number: float, unit: str) -> str:
    text = digits(number)
    if not results.is_money(unit):
        return f"{text} {unit}".rstrip()
    unit = unit.removeprefix(results.currency or MONEY).removeprefix(MONEY)
    if len(text.partition(".")[2]) == 1:
        text += "0"
    return f"{signed(currency_sign(results.currency), text.replace('-', MINUS))}{unit}"


def _rounding(again: Callable[[Callable[[float], str]], float], number: float) -> Callable[[float], str]:
    """A function that shows numbers with just enough digits to give their result as it is printed."""
    for most in range(DIGITS, MOST_DIGITS + 1):

        def show(one: float, most: int = most) -> str:
            return digits(one, most)

        try:
            if digits(again(show)) == digits(number):
                return show
        except ArithmeticError:
            continue
    return lambda one: digits(one, MOST_DIGITS)


def _named(results: Results, figure: Row, made: Made) -> str:
    return made.text(lambda part: _name(results, figure, part))


def _name(results: Results, figure: Row, part: Part) -> str:
    kind, _, rest = part.link.partition("/")
    if part.addends:
        row, made = part.addends[0]
        inner = _named(results, row, made)
        return phrase(Working.ALL_OF if made.node in made.parts else Working.ALL_OF_THESE, what=inner)
    if part.figure is not None:
        title = _column_title(results, part.figure)
        about = _about(results, part.figure, figure)
        return phrase(Working.TITLE, title=title, about=(about,)) if about else title
    if kind == "factors":
        number = digits(constants()[rest].value)
        return f"({number})" if number.startswith("-") else number
    sheet, _, column = rest.split("/")
    named = season_definition().column(f"{sheet}.{column}")
    is_converted = sheet == PEOPLE and len(named.units) > 1  # to kg or cm, whatever was typed
    return named.header(part.unit, "") if is_converted else named.title


def _column_title(results: Results, figure: Row) -> str:
    column = results_definition().column(ref_of(figure))
    return words(Working.WOOD) if column.unit == CORD and results.is_metric else column.title


def _about(results: Results, figure: Row, beside: Row) -> str:
    tool = results.tool_of(figure)
    if tool and tool != results.tool_of(beside):
        return tool
    return next(
        (str(figure[key]) for key in ("session", "method", "person") if figure[key] not in ("", beside[key])), ""
    )


def _note_steps(results: Results, figure: Row, rows: Collection[Row]) -> Iterator[Step]:
    sessions = {plain(row["session"]) for row in rows if row["session"]}
    methods = {plain(name) for row in rows for name in names_in(row, "method")}
    if not sessions:
        of_methods = (row for row in results.noted("sessions") if not methods or _name_in(row, "method") in methods)
        sessions = {_name_in(row, "session") for row in of_methods} & {plain(one) for one in results.counted}
    parts = {part for row in rows for part in str(row["id"]).split(" ")}
    days = {part for part in parts if part[:1].isdigit() and part.count("-") == DASHES_OF_A_DAY}
    people = {plain(row["person"]) for row in rows if row["person"]}
    noted = [row for row in results.noted("methods") if _name_in(row, "method") in methods]
    tools = {_name_in(row, column) for row in noted for column in TOOL_COLUMNS if column in row}
    names = {"session": sessions, "method": methods, "person": people, "tool": tools, "date": days}
    for ref in results_definition().column(ref_of(figure)).needs:
        yield from _notes_of(results, ref, names)


def _name_in(row: Mapping[str, Any], column: str) -> str:
    """The name in a column of a row of the notes, as names are compared; empty if there is none."""
    return plain(str(row.get(column, "")))


def _notes_of(results: Results, ref: str, names: Mapping[str, Collection[str]]) -> Iterator[Step]:
    sheet_id, _, column_id = ref.partition(".")
    sheet = season_definition().sheet(sheet_id)
    found = [
        (index, row[column_id])
        for index, row in enumerate(results.noted(sheet_id))
        if column_id in row and (sheet.kind == "items" or _is_about(row, names))
    ]
    if not found:
        return
    column = sheet.column(column_id)
    unit = results.notes["units"].get(sheet_id, {}).get(column_id, "")
    label = column.label(unit, results.currency) if unit else ""
    values = [f"{value:,.10g}" if isinstance(value, int | float) else str(value) for _, value in found]
    if len(values) > MOST_ADDENDS:
        values = [phrase(Working.CELLS, n=len(values))]
    text = phrase(Working.NOTES, sheet=sheet.title, title=column.title)
    link = f"inputs/{sheet_id}/{found[0][0]}/{column_id}"
    yield Step(text, f"{phrase(Working.VALUES, values=tuple(values))} {label}".rstrip(), link)


def _is_about(row: Mapping[str, Any], names: Mapping[str, Collection[str]]) -> bool:
    return all(_name_in(row, key) in wanted for key, wanted in names.items() if key in row and wanted)
