"""The document of a study, made from several workbooks, filled or scored."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from jsonschema import Draft202012Validator

from wood_xl import __version__
from wood_xl.errors import DefinitionFault, shown
from wood_xl.notes.problem import Problem, catalogue, problem
from wood_xl.page_texts import Counting, InPool, OutOfStudy, Repeated, SeasonsOf
from wood_xl.results.document import document_row, factor_edition, worded_row
from wood_xl.results.parts import MEASURES, NotGiven
from wood_xl.results.pooling import in_study, pooled_figures, shown_in, trend_rows
from wood_xl.results.readings import Reading, guarded_reading
from wood_xl.results.same_season import Double, doubles
from wood_xl.schema.model import System, study_definition
from wood_xl.schema.words import phrase, words
from wood_xl.shed.years import burned_by_winter, tool_lives

YEARS = ("years", "winters", "tool_lives")  # tables of one household
MOST_REPEATED = 40  # a study repeats the notes of so many workbooks; with more it would grow too large

Row = dict[str, Any]
Fault = tuple[Path, Problem]
Each = Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]


class StudyOutcome(NamedTuple):
    """The result of pooling."""

    document: Row | None  # as ``study.schema.json`` describes it; None if no season could be read
    faults: list[Fault]  # (file, problem) of each file that could not be read, or is the season of another file
    names: list[tuple[str, Path]]  # (name in the study, file) of each season; for the person, not part of the study


def study_of_files(
    paths: Sequence[Path],
    *,
    system: System | None,
    one_household: bool,
    both: bool = False,
    with_unverified: bool = False,
    each: Each = map,
) -> StudyOutcome:
    """Pool workbooks; results that do not verify are left out unless ``with_unverified``."""
    faults: list[Fault] = []
    read: dict[int, Reading] = {}  # by the number of its file
    why_out: dict[int, str] = {}
    with_notes = len(paths) <= MOST_REPEATED
    readings = each(partial(guarded_reading, with_unverified, with_notes), list(paths))
    for place, (reading, fault) in enumerate(readings):
        if reading is not None:
            read[place] = reading
            faults += [] if reading.doubt is None else [(paths[place], reading.doubt)]
        elif fault is not None:
            faults.append((paths[place], fault))
            why_out[place] = phrase(OutOfStudy.NOT_USED, title=catalogue()[fault.code]["title"])
    places = list(read)
    doubled = [] if both else doubles([reading.candidate for reading in read.values()])
    out = {places[one.place] for one in doubled}
    kept = [place for place in places if place not in out]
    if not kept:
        return StudyOutcome(None, faults, [])
    of_study = system or read[kept[0]].system
    word = InPool.SEASON if one_household else InPool.HOUSEHOLD
    name_of = {place: phrase(word, number=number) for number, place in enumerate(kept, start=1)}
    members = [member(read[place], name, of_study) for place, name in name_of.items()]
    del read  # so that of many seasons each figure is held only once, as it is shown
    for one in doubled:
        place, other = places[one.place], places[one.kept]
        why_out[place] = _double_reason(one, name_of[other])
        faults.append((paths[place], _double_problem(one, paths[place], paths[other])))
    out_rows = [
        NotGiven("", "", "", "", why, phrase(InPool.WORKBOOK, number=place + 1))
        for place, why in sorted(why_out.items())
    ]
    document = study_document(members, out_rows, system=of_study, one_household=one_household, both=both)
    return StudyOutcome(document, faults, [(name, paths[place]) for place, name in name_of.items()])


def member(reading: Reading, name: str, system: System) -> Reading:
    """A household of a study, with its figures in display units."""
    parts = tuple(shown_in(part, system) for part in reading.parts)
    return replace(reading, row={"household": name, **reading.row}, parts=parts)


def _double_reason(one: Double, kept: str) -> str:
    word = OutOfStudy.SAVED_LATER if one.by_date else OutOfStudy.GIVEN_LATER
    word = OutOfStudy.SAME_NOTES if one.has_same_notes else word
    return phrase(word, household=kept, n=one.agreeing_n, all=one.sessions_n)


def _double_problem(one: Double, path: Path, kept: Path) -> Problem:
    names = {"file": shown(path), "other": shown(kept)}
    if one.has_same_notes:
        return problem("pool-same-notes", None, **names)
    agree = phrase(InPool.AGREE, n=one.agreeing_n, all=one.sessions_n)
    later = words(InPool.SAVED_LATER if one.by_date else InPool.GIVEN_LATER)
    more = phrase(InPool.HAS_MORE, n=one.more_n, other=names["other"]) if one.more_n else ""
    return problem("pool-same-season", None, **names, found=agree, expected=later, more=more)


def study_document(
    members: Sequence[Reading], left_out: Sequence[NotGiven], *, system: System, one_household: bool, both: bool
) -> Row:
    """The document of a study.

    Errors: DefinitionFault if it does not follow its own definition.
    """
    parts = (in_study(part, one.row, system) for one in members for part in one.parts)
    figures = pooled_figures(parts, one_household=one_household)
    notes = (Repeated.TOO_MANY, Repeated.YES)
    households = [{**one.row, "notes": notes[one.is_repeated].key} for one in members]
    not_given = (why._replace(who=one.name) for one in members for why in sorted(one.not_given, key=_order))
    tables = {
        "households": households,
        "methods": [{"household": one.name, **row} for one in members for row in one.methods],
        "pairs": [figure.row() for figure in figures if figure.about["other"]],
        "figures": [figure.row() for figure in figures if not figure.about["other"]],
        "contributions": (row for figure in figures for row in figure.contributions()),
        "trends": list(trend_rows(figures)) if one_household else [],
        **(years_of_household(members, system) if one_household else dict.fromkeys(YEARS, ())),
        "left_out": [why._asdict() for why in (*left_out, *not_given)],
        **{
            table: [{"household": one.name, **row} for one in members for row in one.notes[table]]
            for table in ("problems", "waiting")
        },
    }
    definition = study_definition()
    document = {
        "version": definition.version,
        "provenance": {
            "tool": f"wood_xl {__version__}",
            "study_version": definition.version,
            "display_units": system,
            "seasons_of": (SeasonsOf.ONE_HOUSEHOLD if one_household else SeasonsOf.HOUSEHOLDS).key,
            "counting": (Counting.BOTH if both else Counting.ONCE).key,
            "model": words(InPool.MODEL),
            "invented": _invented(households),
            "factor_edition": factor_edition(),
        },
        **{
            table: [{column.id: row[column.id] for column in definition.sheet(table).columns} for row in rows]
            for table, rows in tables.items()
        },
        "notes": [
            {"household": one.name, **{key: one.notes[key] for key in ("inputs", "input_rows")}}
            for one in members
            if one.is_repeated
        ],
    }
    error = next(iter(Draft202012Validator(definition.schema).iter_errors(document)), None)
    if error is not None:
        raise DefinitionFault(f"study: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    return document


def _order(one: NotGiven) -> tuple[Any, ...]:
    return bool(one.other), *one[:3], MEASURES.index(one.measure)


def _invented(rows: Sequence[Row]) -> str:
    seasons = tuple(row["household"] for row in rows if row["invented"])
    if len(seasons) == len(rows):
        return words(InPool.ALL_INVENTED)
    return phrase(InPool.INVENTED, seasons=seasons) if seasons else ""


def years_of_household(seasons: Sequence[Reading], system: System) -> dict[str, list[Row]]:
    """Tables of a household's years in their order, for seasons whose notes are repeated in the study."""
    named_years = [(one.name, one.household_year) for one in seasons if one.household_year is not None]
    named_years.sort(key=lambda named: (named[1].year or 0, named[0]))
    years = [year for _, year in named_years]
    called = {old: new for one in seasons for old, new in one.tools.items()}
    rows: dict[str, list[Row]] = {
        "years": [
            {"household": name, "made": year.made, "standing": year.standing, "heat": year.heat}
            for name, year in named_years
        ],
        "winters": [{"winter": winter[:4], "burned": burned} for winter, burned in burned_by_winter(years).items()],
        "tool_lives": [{**row, "tool": called.get(row["tool"], row["tool"])} for row in tool_lives(years)],
    }
    sheets = {table: study_definition().sheet(table) for table in YEARS}
    return {
        table: [worded_row(sheets[table], document_row(sheets[table], row, system)) for row in of_table]
        for table, of_table in rows.items()
    }
