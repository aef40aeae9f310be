"""The results document of a season: display units, rounding, hashes, and a last check by its schema.

Workbook, JSON and CSV are all written from this document, so that they cannot differ.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from io import BytesIO, TextIOWrapper
from typing import Any

from wood_xl import __version__
from wood_xl.data.cautions import cautions
from wood_xl.data.load import activities, json_entries, published_files, sources
from wood_xl.draws.figure import Figure
from wood_xl.ids import Input, InputInShort, Kept
from wood_xl.notes.echo import waiting_rows
from wood_xl.notes.problem import Problem
from wood_xl.notes.season import CheckedSeason
from wood_xl.page_texts import InResults, OnPages
from wood_xl.plan.who_may import LeftOut
from wood_xl.reasons import Ranged, Said, Word, said, several
from wood_xl.results.explain import published_figures
from wood_xl.results.figures import figure_column, figure_rows, named_figure, notes_with_parts
from wood_xl.results.first_cautions import first_cautions, proposed_methods
from wood_xl.results.worked import worked_numbers
from wood_xl.schema.model import Column, Sheet, System, results_definition, season_definition
from wood_xl.schema.validity import require_valid
from wood_xl.schema.words import phrase, words
from wood_xl.season import SeasonTables
from wood_xl.units import convert, units_in_a_cord
from wood_xl.verdicts import Advice, Departs, NotPlanned, Raise, Tried

MONEY = "money"  # unit of an amount where no currency is said
LEFT_OUT_KEYS = ("person", "method", "reason", "why", "change")
OF_ONE = ("hours", "cash", "low", "high")  # facts of advice, and of a range, that are for one unit of wood
AMOUNTS = ("cords", "all", "wanted")  # facts about a plan that are amounts of wood
SIGNIFICANT_DIGITS = 10  # on which all platforms agree
END_DIGITS = 5  # of a low or high end: the draws are no more precise
OF_BODIES = ("constants_effort.json", "constants_strain_and_exposure.json")
IN_SHORT = {Input[one.name]: one for one in InputInShort}
Row = dict[str, Any]


def factor_rows(read: Collection[str]) -> list[Row]:
    """Rows of the published figures and assumptions that were read: range, source and status."""
    return [
        {
            "id": figure.id,
            "title": figure.title,
            **{key: None if (n := getattr(figure, key)) is None else rounded(n) for key in ("value", "low", "high")},
            "unit": figure.unit,
            "doubt": figure.doubt or "",
            "source": sources()[figure.source].text,
            "where": figure.where,
            "known": figure.known,
        }
        for figure in published_figures().values()
        if figure.id in read
    ]


def read_of_bodies(read: Collection[str]) -> set[str]:
    """The ids read, plus all those of effort and strain: which of these were read would reveal body data."""
    return {
        *read,
        *(key for name in OF_BODIES for key in json_entries(name)),
        *(f"activity.{code}" for code in activities()),
    }


def rounded(value: float, digits: int = SIGNIFICANT_DIGITS) -> float:
    """The number to so many significant digits, with no negative zero."""
    return float(f"{value:.{digits}g}") + 0.0


def left_out_rows(left_out: Sequence[LeftOut]) -> list[Row]:
    """A row for each; a method that nobody may do has everybody's reasons."""
    return [
        {"person": out.person, "method": out.method, "why": _why(out, left_out), "change": _cell_words(out)}
        for out in left_out
    ]


def _why(out: LeftOut, left_out: Sequence[LeftOut]) -> Said:
    if out.reason is NotPlanned.NOBODY_MAY:
        of_persons = [other for other in left_out if other.person and other.method == out.method]
        return replace(out, detail=several([other.why_without_name for other in of_persons])).why
    return out.why


def _cell_words(out: LeftOut) -> str:
    """The cell of the workbook that would change it."""
    sheet_id, _, column_id = out.cell.partition(".")
    definition = season_definition()
    if sheet_id not in {sheet.id for sheet in definition.sheets}:
        return out.cell
    sheet = definition.sheet(sheet_id)
    cell = f"{sheet.title}, {sheet.column(column_id).title}"
    if sheet.kind == "items":
        return cell
    return phrase(InResults.CELL_OF if out.row else InResults.CELL_OF_ONE_MORE, cell=cell, row=out.row)


def results_document(
    computed: SeasonTables,
    checked: CheckedSeason,
    problems: list[Problem],
    *,
    system: System,
    input_sha256: str,
    template_version: str | None,
) -> Row:
    """The results of a season.

    Errors: DefinitionFault if the document does not follow its own schema.
    """
    definition, document = results_definition(), checked.document
    currency = str(computed.items["currency"])
    tables = {
        sheet_id: [document_row(definition.sheet(sheet_id), row, system, currency) for row in rows]
        for sheet_id, rows in computed.tables.items()
    }
    left_out: list[LeftOut] = computed.plan["left_out"]
    of_season = {"season": [computed.items], "plan": [computed.plan], "plan_left_out": left_out_rows(left_out)}
    for sheet_id, rows in of_season.items():
        tables[sheet_id] = [document_row(definition.sheet(sheet_id), row, system) for row in rows]
    notes = notes_with_parts(document.data, tables)
    cautioned, doubts = first_cautions(notes, proposed_methods(tables)), widest_doubts(tables["how_sure"])
    tidy = figure_rows(tables, notes)
    tables = {
        sheet_id: [worded_row(definition.sheet(sheet_id), row) for row in rows]
        for sheet_id, rows in tables.items()
        if not definition.sheet(sheet_id).figures_only
    }
    season, plan = (tables.pop(sheet_id)[0] for sheet_id in ("season", "plan"))
    plan |= {
        "sessions": [{**row, "mind": words(row["mind"])} for row in computed.plan["sessions"]],
        "left_out": [
            {key: row.get(key, out.reason.key) for key in LEFT_OUT_KEYS}
            for out, row in zip(left_out, tables["plan_left_out"], strict=True)
        ],
    }
    figures = {"season": season, "plan": plan, **tables, "figures": tidy}
    text = json.dumps(figures, ensure_ascii=True, sort_keys=True, separators=(",", ":"), allow_nan=False)
    results = {
        "version": definition.version,
        "provenance": {
            "tool": f"wood_xl {__version__}",
            "results_version": definition.version,
            "template_version": template_version or phrase(InResults.NO_VERSION, version=document.data["version"]),
            "input_sha256": input_sha256,
            "season_sha256": document.sha256(),
            "figures_sha256": hashlib.sha256(text.encode("ascii")).hexdigest(),
            "factor_edition": factor_edition(),
            "display_units": system,
            "left_out": words(Kept.ALL),
        },
        "season": season,
        "first_cautions": cautioned,
        **tables,
        "plan": plan,
        "cautions": _cautions(),
        "factors": factor_rows(computed.read),
        "figures": tidy,
        "verdict_pairs": [
            {"task": step.quick.totals.method.task, "method": step.quick.name, "instead_of": step.cheap.name}
            for step in computed.main_steps
        ],
        "widest_doubts": doubts,
        "problems": [found.as_json() for found in problems],
        "waiting": waiting_rows(checked),
        "of_bodies": [],
        "inputs": document.data,
        "input_rows": {sheet_id: list(places.rows) for sheet_id, places in document.places.items() if places.rows},
    }
    results["worked"] = worked_numbers(results)
    require_valid(results)
    return results


def widest_doubts(rows: Sequence[Row]) -> list[Row]:
    """The input that moves each figure of a method most, from rows of ``how_sure`` with ids in place of words."""
    return [
        {
            "method": row["method"],
            "figure": row["figure"],
            "input": words(_in_short(row["common_factors"]["parts"][0])),
        }
        for row in rows
        if row["common_factors"] is not None
    ]


def _in_short(doubt: Said) -> Any:
    what = doubt["what"]
    return IN_SHORT.get(what.id, what) if isinstance(what, Said) else what


def json_file(results: Row) -> bytes:
    """The document as a JSON file; the same document gives the same bytes."""
    file = BytesIO()
    with TextIOWrapper(file, encoding="utf-8", newline="\n") as text:  # not as one string: a heart trace is long
        json.dump(results, text, ensure_ascii=False, indent=1, allow_nan=False)
        text.write("\n")
        text.flush()
        return file.getvalue()


@cache
def factor_edition() -> str:
    """Hash of every published figure that the program carries."""
    digest = hashlib.sha256()
    for name in published_files():
        text = files("wood_xl.data").joinpath(name).read_text(encoding="utf-8")  # the same for any line ends
        digest.update(text.encode("utf-8"))
    return digest.hexdigest()


def document_row(sheet: Sheet, row: Row, system: System, currency: str = MONEY) -> Row:
    """A row of figures in SI units, turned into the units to be shown; ids do not have their words yet.

    A text that is the unit of another figure names the currency, if the season has one.
    """
    figure = named_figure(sheet, row)
    return {column.id: _cell(column, row.get(column.id), figure, system, currency) for column in sheet.columns}


def _cell(column: Column, value: Any, figure: Column | None, system: System, currency: str) -> Any:
    """A cell of the document; ``figure`` is the column of the figure that the row is about, if it names one."""
    no_ends = column.no_ends
    if figure is not None and column.unit_of_figure:
        if column.type == "string":
            return figure.label(figure.unit_in(system), currency)
        column = figure
    if not isinstance(value, Figure):
        return for_unit_of_wood(value, system)
    unit = column.unit_in(system)
    is_bare = value.value is not None and value.low is None and value.high is None

    def shown(number: float | None, digits: int = SIGNIFICANT_DIGITS) -> float | None:
        if number is None:
            return None
        return rounded(convert(number, column.unit, unit) if column.units else number, digits)

    number, low, high = shown(value.value), shown(value.low, END_DIGITS), shown(value.high, END_DIGITS)
    return {
        "value": number,
        "low": low if low is None or value.low != value.value else number,
        "high": high if high is None or value.high != value.value else number,
        "unit": f"{unit}/{column.per}" if column.per else unit,
        "basis": value.basis,
        "reason": value.reason or ((no_ends or column.no_ends) if is_bare else ""),
    }


def for_unit_of_wood(cell: Any, system: System) -> Any:
    """A cell whose sentences have their amounts of wood in the pages' unit."""
    if isinstance(cell, tuple):
        return tuple(for_unit_of_wood(part, system) for part in cell)
    if not isinstance(cell, Said):
        return cell
    facts = {slot: for_unit_of_wood(fact, system) for slot, fact in cell.facts}
    units, is_metric = units_in_a_cord(system), system == "metric"
    if isinstance(cell.id, Advice) or cell.id == Tried.RANGE_FOR_ONE:
        facts |= {slot: _scaled(facts[slot], 1 / units) for slot in OF_ONE if slot in facts}
        facts["wood"] = OnPages.STACKED_METER if is_metric else OnPages.CORD
    elif isinstance(cell.id, Departs | Raise):
        facts |= {slot: _scaled(facts[slot], units) for slot in AMOUNTS if slot in facts}
        is_one = f"{facts.get('all', facts.get('cords', 0.0)):.3g}" == "1"  # with the digits of the sentence
        facts["woods"] = OnPages.STACKED_METERS if is_metric else OnPages.CORD if is_one else OnPages.CORDS
    return said(cell.id, **facts)


def _scaled(number: float | Ranged, times: float) -> float | Ranged:
    if not isinstance(number, Ranged):
        return number * times
    low, high = (None if end is None else end * times for end in (number.low, number.high))
    return Ranged(number.value * times, low, high)


def worded_row(sheet: Sheet, row: Row) -> Row:
    """A row with words in place of ids: the last step, as nothing is looked up in texts afterwards."""
    return {column.id: _worded(column, row[column.id]) for column in sheet.columns}


def _worded(column: Column, cell: Any) -> Any:
    if column.names_figure:
        return figure_column(cell).title
    if column.type == "figure":
        return {**cell, "basis": words(cell["basis"]), "reason": words(cell["reason"])}
    if isinstance(cell, tuple):
        return column.joined_by.join(cell)
    if column.words_of:
        return cell.key
    return words(cell) if cell is None or isinstance(cell, Said | Word) else cell


def _cautions() -> list[Row]:
    no_source = words(InResults.NO_SOURCE)
    return [
        {
            "title": caution.title,
            "text": caution.text,
            "source": f"{sources()[caution.source].text}: {caution.where}" if caution.source else no_source,
            "known": caution.known,
            "id": caution.id,
        }
        for caution in cautions()
    ]
