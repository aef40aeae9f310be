"""Checks of single values by JSON Schema and by usual ranges, with the unit that was most likely meant."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cache, cached_property
from itertools import groupby
from typing import Any

from jsonschema import Draft202012Validator

from wood_xl.data.load import limits_of
from wood_xl.errors import DefinitionFault
from wood_xl.notes.document import Cell, SeasonDocument, rows_of_planned
from wood_xl.notes.names import plain
from wood_xl.notes.notes import TypedNotes
from wood_xl.notes.problem import (
    MOST_LINES,
    Place,
    Problem,
    ProblemLines,
    amount_text,
    number_text,
    problem,
    with_unit,
)
from wood_xl.notes.tally import columns_of, flat
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.model import Column, Sheet, season_definition
from wood_xl.schema.words import joined, phrase
from wood_xl.units import convert

Group = str | int | None  # a session by its name, a row by its index, or an item


def in_unit(value: float, column: Column, unit: str) -> float:
    """A number of the definition in another of the column's units, rounded to 12 digits.

    >>> in_unit(2.54, season_definition().column("cuts.diameter"), "in")
    1.0
    """
    if not unit or unit == column.unit or column.unit_kept:
        return value
    return float(f"{convert(value, column.unit, unit):.12g}")


def as_written(value: float, column: Column, unit: str, digits: int = 2) -> float:
    """A number of the definition in another unit, rounded as a person would write it."""
    return value if (converted := in_unit(value, column, unit)) == value else float(f"{converted:.{digits}g}")


def usual_ends(column: Column, unit: str) -> tuple[float, float]:
    """Lowest and highest usual value in a unit, as the help of a column and the checks have them.

    >>> usual_ends(season_definition().column("next_season.volume_wanted"), "cord")
    (0.15, 25.0)
    """
    lowest, highest = column.plausible or (-math.inf, math.inf)
    if unit == column.us and unit not in (column.metric, column.unit):
        return _named_above(in_unit(lowest, column, unit)), -_named_above(-in_unit(highest, column, unit))
    return as_written(lowest, column, unit), as_written(highest, column, unit)


def _named_above(end: float) -> float:
    """The next larger number that a person would name: of one digit, or of one digit and a 5.

    >>> [_named_above(end) for end in (5.9, 1.57, -22.0, 0.0)]
    [6.0, 2.0, -20.0, 0.0]
    """
    step = 10.0 ** math.floor(math.log10(abs(end))) / 2 if end else 1.0
    return round(math.ceil(round(end / step, 6)) * step, 6)


def fitting_units(column: Column, unit: str, values: Collection[float], fits: Callable[[float], bool]) -> list[str]:
    """Other permitted units in which all of the values fit.

    fits: whether a value in the column's own unit fits.

    >>> fitting_units(season_definition().column("cuts.diameter"), "in", [203.2, 304.8], lambda cm: 4 <= cm <= 90)
    ['mm']
    """
    if not unit or column.unit_kept:
        return []
    others = (other for other in column.units if other != unit)
    return [other for other in others if all(fits(convert(number, other, column.unit)) for number in values)]


METRIC = ("cm", "m", "mL", "L")


def fitting_unit(column: Column, unit: str, values: Collection[float], fits: Callable[[float], bool]) -> str | None:
    """The only other unit in which all of the values fit, or the only one of the same unit system; None if several.

    A liter is nearly a quart, and whoever writes mL hardly means quarts.
    """
    fitting = fitting_units(column, unit, values, fits)
    alike = [other for other in fitting if (other in METRIC) is (unit in METRIC)] or fitting
    return alike[0] if len(alike) == 1 else None


class ColumnValues:
    """The values of one column or item, and the unit in which they were most likely written.

    A unit is offered only where every value of a session, or of a row without one, is outside the usual range in the
    unit of the header, and exactly one other unit brings them to the column's other values.
    """

    def __init__(self, document: SeasonDocument, column: Column) -> None:
        self.column, self.unit = column, document.unit(column.sheet, column.id)
        self._document, self._sheet = document, season_definition().sheet(column.sheet)
        self._units: dict[Group, str | None] = {}

    def values(self) -> Iterator[tuple[int | None, Any]]:
        """Every filled value with the index of its row."""
        rows: Iterable[tuple[int | None, dict[str, Any]]] = [(None, self._document.items(self._sheet.id))]
        if self._sheet.kind == "table":
            rows = enumerate(self._document.rows(self._sheet.id))
        if self._sheet.classes is not None:
            rows = ((index, flat(row)) for index, row in rows)
        key = self.column.id
        return ((index, row[key]) for index, row in rows if key in row)

    def distinct(self) -> dict[Any, None]:
        """Its distinct values: rows are many and much alike."""
        return dict.fromkeys(value for _, value in self.values())

    def indexes_of(self, wanted: Collection[Any]) -> Iterator[tuple[int | None, Any]]:
        """Rows that hold one of the wanted values, which are few."""
        return ((index, value) for index, value in self.values() if value in wanted) if wanted else iter(())

    def cell(self, index: int | None) -> Cell:
        """Its cell in a row."""
        return self.column.sheet, index, self.column.id

    def place(self, index: int | None) -> Place:
        """Place of its cell in a row."""
        return self._document.place(*self.cell(index))

    @cached_property
    def whole(self) -> str | None:
        """The unit most likely meant for the whole column, as where a header was not changed; None if it fits."""
        return self._other({number for numbers in self._numbers.values() for number in numbers})

    def unit_of(self, index: int | None) -> str | None:
        """The unit most likely meant for the values of a row's session, of the row or of an item; None if it fits."""
        if (group := self._group(index)) not in self._units:
            self._units[group] = self.whole or self._other(self._numbers[group])
        return self._units[group]

    def unit_advice(self, odd: Collection[float], other: str | None) -> str:
        """How to mend numbers that were most likely meant in another unit; empty if there is none."""
        return unit_advice(self.column, self.unit, odd, other, is_whole=self.whole is not None)

    def _group(self, index: int | None) -> Group:
        """The session that a row names, else the row itself; None for an item."""
        if index is None:
            return None
        name = self._document.rows(self._sheet.id)[index].get("session")
        return index if name is None else plain(str(name))

    @cached_property
    def _numbers(self) -> dict[Group, list[float]]:
        numbers: dict[Group, list[float]] = defaultdict(list)
        for index, number in self.values() if self.column.is_number else ():
            numbers[self._group(index)].append(float(number))
        return numbers

    def _other(self, values: Collection[float]) -> str | None:
        if not values or not self.column.plausible or any(map(self._is_usual, values)):
            return None
        lowest, highest = self._reach
        fitting = fitting_units(self.column, self.unit, values, lambda number: lowest <= number <= highest)
        return fitting[0] if len(fitting) == 1 else None

    def _is_usual(self, number: float) -> bool:
        lowest, highest = self.column.plausible or (number, number)
        return in_unit(lowest, self.column, self.unit) <= number <= in_unit(highest, self.column, self.unit)

    @cached_property
    def _reach(self) -> tuple[float, float]:
        """Range of values like the usual ones of this column, in the column's own unit."""
        lowest, highest = self.column.plausible or (0.0, 0.0)
        usual = [number for numbers in self._numbers.values() for number in numbers if self._is_usual(number)]
        if not usual:
            return lowest, highest
        least, most = (convert(end, self.unit, self.column.unit) for end in (min(usual), max(usual)))
        times_less, times_more = limits_of("gross.diameter")
        return max(lowest, least * times_less), min(highest, most * times_more)


def unit_advice(column: Column, unit: str, odd: Collection[float], other: str | None, *, is_whole: bool) -> str:
    """How to mend numbers that were most likely meant in another unit; empty if there is none.

    is_whole: whether all numbers of the column were, so that its header is what to mend.

    >>> unit_advice(season_definition().column("cuts.diameter"), "in", [203.2], "mm", is_whole=False)
    'If you mean 203.2 mm, type 8 (the unit here is in).'
    """
    if other is None:
        return ""
    turned = [float(f"{convert(number, other, unit):.4g}") for number in odd]
    is_one = len(set(odd)) == 1
    to_do = phrase(HowToMend.TYPE, numbers=range_text(turned), unit=unit)
    if is_whole:
        is_item = season_definition().sheet(column.sheet).kind == "items"
        write = HowToMend.WRITE_UNIT if is_item else HowToMend.WRITE_HEADER
        header = phrase(write, title=column.title, unit=other)
        to_do = phrase(HowToMend.EITHER, one=to_do, other=header) if is_one else header
    meant = HowToMend.IF_IT_IS_MEANT if is_one else HowToMend.IF_THEY_ARE_MEANT
    return phrase(meant, numbers=range_text(odd), unit=other, to_do=to_do)


def else_check(advice: str) -> str:
    """Advice on what to type and to check the number otherwise; without advice to check it."""
    return phrase(HowToMend.ELSE_CHECK, advice=advice) if advice else phrase(HowToMend.CHECK)


def range_text(values: Collection[float]) -> str:
    """One number, or the lowest and highest of several."""
    ends = dict.fromkeys((min(values), max(values)))
    return phrase(Listing.UP_TO, parts=tuple(map(number_text, ends)))


MOST_SINGLE = 4  # more unusual values in one column are one problem
BOUNDS = ("minimum", "exclusiveMinimum", "maximum")
LEAST = 1e-9  # a smaller number, in any unit, counts as 0: nobody measured it, and no formula divides by it


def schema_problems(typed: TypedNotes) -> tuple[list[Problem], set[Cell]]:
    """What the JSON Schema does not permit, and its cells.

    Each distinct value of a column is validated once. Nothing is lost by that: of its columns a row schema says only
    which are required.
    """
    problems = ProblemLines(MOST_LINES)
    broken: set[Cell] = set()
    planned = rows_of_planned(typed.document, typed.unreadable)
    for sheet in season_definition().sheets:
        for column in columns_of(sheet, typed.document):
            held = ColumnValues(typed.document, column)
            if not (values := held.distinct()):
                continue
            validator = _column_validator(sheet.id, column.id, held.unit)
            errors = ((value, next(validator.iter_errors(value), None)) for value in values)
            keywords = {value: str(error.validator) for value, error in errors if error is not None}
            for run in _runs(held, keywords):
                broken.update(held.cell(index) for index, _ in run)
                problems.add(_value_problem(held, run, keywords[run[0][1]]))
        missing = _missing_items(typed, sheet) if sheet.kind == "items" else _missing(typed, sheet, planned)
        for cells, found in missing:
            broken.update(cells)
            problems.add(found)
    return problems.merged(), broken


@cache
def _column_validator(sheet_id: str, column_id: str, unit: str) -> Draft202012Validator:
    definition = season_definition()
    column = definition.sheet(sheet_id).column(column_id)
    part = definition.schema["properties"][sheet_id]
    row = part["items"] if part["x-kind"] == "table" else part
    part = row["properties"].get(column_id) or row["properties"]["classes"]["items"]["properties"]["cuts"]
    schema = {key: value for key, value in part.items() if not key.startswith("x-")}
    for bound in BOUNDS:
        if bound in schema:
            schema[bound] = in_unit(schema[bound], column, unit)
    if "exclusiveMinimum" in schema:
        schema["exclusiveMinimum"] = max(schema["exclusiveMinimum"], LEAST)
    return Draft202012Validator(schema)


Run = list[tuple[int | None, Any]]  # indexes of rows, each with its value


def _runs(held: ColumnValues, keywords: Mapping[Any, str]) -> Iterator[Run]:
    """Consecutive cells that are out of range on the same side and were most likely meant in the same unit."""

    def kind(numbered: tuple[int, tuple[int | None, Any]]) -> tuple[int, str, str | None]:
        number, (index, value) = numbered
        if keywords[value] not in BOUNDS:
            return -number, keywords[value], None  # a run of its own
        return (held.place(index).row or 0) - number, keywords[value], held.unit_of(index)

    for _, run in groupby(enumerate(held.indexes_of(keywords), start=1), key=kind):
        yield [cell for _, cell in run]


def _value_problem(held: ColumnValues, run: Run, keyword: str) -> Problem:
    (index, value), column = run[0], held.column
    place = held.place(index)
    if keyword in BOUNDS:
        values = [number for _, number in run]
        advice = held.unit_advice(values, held.unit_of(index))
        advice = phrase(HowToMend.ELSE_MEND, advice=advice) if advice else column.mend or phrase(HowToMend.CHECK)
        facts = {"found": with_unit(range_text(values), held.unit), "expected": _range_text(column, held.unit)}
        place = place._replace(last_row=held.place(run[-1][0]).row) if len(run) > 1 else place
        return problem("cell-out-of-range", place, len(run), advice=advice, **facts)
    if keyword == "maxLength":
        return problem("cell-too-long", place, found=str(len(value)), expected=str(column.max_length))
    raise DefinitionFault(f"{column.ref}: no wording for the keyword {keyword}")


def _range_text(column: Column, unit: str) -> str:
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    least = InMessage.AT_LEAST if column.exclusive_minimum is None else InMessage.MORE_THAN
    return joined(
        [
            phrase(bound, number=amount_text(as_written(end, column, unit, digits=3), unit))
            for bound, end in ((least, lowest), (InMessage.AT_MOST, column.maximum))
            if end is not None
        ]
    )


def _missing(
    typed: TypedNotes, sheet: Sheet, planned: Collection[tuple[str, int]]
) -> Iterator[tuple[list[Cell], Problem]]:
    """Missing cells of rows with their problem; rows are taken by the set of their filled columns."""
    document = typed.document
    by_shape: dict[frozenset[str], list[int]] = defaultdict(list)
    for index, row in enumerate(document.rows(sheet.id)):
        if (sheet.id, index) not in planned:
            by_shape[frozenset(row)].append(index)
    for shape, indexes in by_shape.items():
        missing = [
            column_id
            for column_id in [*_absent(sheet, shape), *_of_one_set(sheet, shape)]
            if (sheet.id, column_id) not in typed.unread and column_id in document.places[sheet.id].cells
        ]
        for index in indexes if missing else ():
            every: list[Cell] = [(sheet.id, index, column_id) for column_id in missing]
            if cells := [cell for cell in every if cell not in typed.unreadable]:
                first, *others = (document.place(*cell) for cell in cells)
                headers = ", ".join(f'"{place.header}"' for place in others)
                too = InMessage.AS_IS if len(others) == 1 else InMessage.AS_ARE
                also = phrase(too, headers=headers) if others else ""
                yield cells, problem("row-missing-value", first, also=also)


def _of_one_set(sheet: Sheet, filled: Collection[str]) -> list[str]:
    """Missing columns of the last set begun, or of the last set, where one of several sets must be whole."""
    if sheet.id == "sessions" or not sheet.one_of:  # the times of sessions have rules of their own
        return []
    missing = [[column_id for column_id in group if column_id not in filled] for group in sheet.one_of]
    if not all(missing):
        return []
    begun = [lack for lack, group in zip(missing, sheet.one_of, strict=True) if len(lack) < len(group)]
    return (begun or missing)[-1]


def _missing_items(typed: TypedNotes, sheet: Sheet) -> Iterator[tuple[list[Cell], Problem]]:
    document = typed.document
    if sheet.id not in document.places:
        return  # a missing sheet has its own line
    for column_id in _absent(sheet, document.items(sheet.id)):
        if (sheet.id, column_id) in typed.unread or (sheet.id, None, column_id) in typed.unreadable:
            continue
        column = sheet.column(column_id)
        hint = f" {column.mend}" if column.mend else ""
        place = document.place(sheet.id, None, column_id)._replace(header="")
        missing = problem("item-missing", place, title=column.title, mend_hint=hint)
        yield [(sheet.id, None, column_id)], missing


def _absent(sheet: Sheet, filled: Collection[str]) -> list[str]:
    """Compulsory columns that are not filled."""
    return [column.id for column in sheet.columns if column.required and column.id not in filled]


def unusual_problems(
    document: SeasonDocument,
    broken: Collection[Cell],
    to_mend: Collection[Cell],
    reported: Collection[str],
) -> Iterator[Problem]:
    """Possible but unusual values, each with the unit in which it would be usual.

    reported: cells, by name, that are reported as gross errors already.
    """
    for sheet in season_definition().sheets:
        for column in sheet.columns:
            if column.plausible is None:
                continue
            held = ColumnValues(document, column)
            lowest, highest = usual_ends(column, held.unit)
            values = held.distinct()
            of_one = {value for value in values if _is_share_of_one(value, column, held.unit)}
            unusual = {value for value in values if not lowest <= value <= highest} - of_one
            small, cells = (
                [
                    (index, number)
                    for index, number in held.indexes_of(wanted)
                    if held.cell(index) not in broken and held.place(index).where not in reported
                ]
                for wanted in (of_one, unusual)
            )
            for index, share in small:
                facts = {"found": amount_text(share, held.unit), "value": number_text(100 * share, 12)}
                yield problem("cell-share-of-one", held.place(index), **facts)
            if cells:
                yield from _unusual(held, cells, to_mend)


def _is_share_of_one(value: float, column: Column, unit: str) -> bool:
    """Whether a percentage was most likely typed as a share of 1."""
    lowest, highest = column.plausible or (0.0, 0.0)
    return unit == "%" and 0 < value < 1 and lowest <= 100 * value <= highest


def _unusual(held: ColumnValues, cells: Run, to_mend: Collection[Cell]) -> Iterator[Problem]:
    expected = with_unit(range_text(usual_ends(held.column, held.unit)), held.unit)
    singles = [[cell] for cell in cells if held.cell(cell[0]) in to_mend]
    used = [cell for cell in cells if held.cell(cell[0]) not in to_mend]
    groups = [[cell] for cell in used] if len(used) <= MOST_SINGLE else [used]
    for group in (*singles, *groups):
        values = [number for _, number in group]
        others = {held.unit_of(index) for index, _ in group}
        advice = held.unit_advice(values, others.pop() if len(others) == 1 else None)
        is_used = held.cell(group[0][0]) not in to_mend
        if not (advice or is_used):
            continue
        found = with_unit(range_text(values), held.unit)
        several = InMessage.VALUES_FROM if len(set(values)) > 1 else InMessage.TIMES
        facts = {
            "found": phrase(several, n=len(values), numbers=found) if len(values) > 1 else found,
            "expected": expected,
            "used": phrase(InMessage.USED) if is_used else "",
            "advice": else_check(advice),
        }
        yield problem("cell-unusual", held.place(group[0][0]), len(values), **facts)
