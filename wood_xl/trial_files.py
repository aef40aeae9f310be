"""From a workbook to the two of its trial: read, check, plan, write."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from wood_xl.draws.figure import Row
from wood_xl.hours.methods import MethodTotals, method_totals
from wood_xl.io.fill import units_and_currency
from wood_xl.io.pack import packed
from wood_xl.io.page import Paper
from wood_xl.io.trial_workbook import trial_copy, trial_forms
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Level, Problem, problem
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.notes.trial_wanted import Asked, listed_before, to_fill, trial_wanted
from wood_xl.pipeline import computed_tables, read_filled
from wood_xl.records import Season
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words
from wood_xl.scoring import PAPERS
from wood_xl.trial.make import trial_plan
from wood_xl.trial_records import TrialPlan

NOT_MISSED = ("season-no-sessions", "item-missing")  # a trial is planned before there is any; the rest can wait


class Trial(NamedTuple):
    """What came of a workbook; without a plan the last of its problems says why."""

    problems: tuple[Problem, ...]
    plan: TrialPlan | None = None
    copy: bytes = b""
    forms: bytes = b""


def trial_file(path: Path, asked: Asked, paper: Paper | None) -> Trial:
    """Plan a trial of a workbook and write both of its workbooks to bytes.

    Errors: UnreadableWorkbook if the file is no workbook that can be read.
    """
    book = read_filled(path)
    checked = check_season(book)
    problems = tuple(one for one in checked.problems if _matters(one))
    if any(one.level is Level.STOP for one in problems):
        return Trial(problems)
    missing = to_fill(checked, asked)
    if missing:
        return Trial((*problems, problem("trial-fill-first", found="; ".join(map(words, missing)))))
    season, _ = season_records(checked)
    wanted = trial_wanted(checked, season, asked)
    totals, strain = _so_far(checked, season)
    plan = trial_plan(season, totals, strain, wanted)
    if not plan.sessions:
        code = "trial-no-day" if plan.tasks else "trial-nobody"
        whys: dict[str, dict[str, None]] = {}  # of each person, each once
        for one in plan.not_tried:
            if one.person:
                whys.setdefault(one.person, {})[words(one.why)] = None
        reasons = "; ".join(", ".join((person, *texts)) for person, texts in whys.items())
        return Trial((*problems, problem(code, found=reasons or words(None))))
    system, typed = units_and_currency(book)
    currency = typed or ("USD" if system == "us" else "EUR")
    on = paper or PAPERS[system]
    copy = trial_copy(book, plan, listed_before(checked), currency=currency, paper=on)
    forms = trial_forms(plan, system=system, currency=currency, paper=on)
    return Trial(problems, plan, packed(copy), packed(forms))


def _matters(one: Problem) -> bool:
    """Whether a problem is about what a trial is planned by, or is to be mended anyway."""
    if one.code in NOT_MISSED:
        return False
    if one.level in (Level.STOP, Level.FIX):
        return True
    sheet_id, _, column_id = one.place.about.partition(".")
    columns = {column.ref: column for sheet in season_definition().sheets for column in sheet.columns}
    column = columns.get(one.place.about)
    return (
        one.level is Level.LOOK and bool(column_id and column and "plan" in column.feeds) and sheet_id != "sessions"
    )


def _so_far(checked: CheckedSeason, season: Season) -> tuple[list[MethodTotals], list[Row]]:
    tables, _ = computed_tables(checked)
    if tables is None:
        return method_totals(season.methods, []), []
    return [*tables.rates.study.totals], [*tables.strain]
