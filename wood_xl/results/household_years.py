"""One household over its years, as a study tells it: wood made and burned, heat of a cord, life of its tools."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wood_xl.results.document import document_row, worded_row
from wood_xl.results.readings import Reading
from wood_xl.schema.model import System, study_definition
from wood_xl.shed.years import HouseholdYear, burned_by_winter, tool_lives

Row = dict[str, Any]

YEARS = ("years", "winters", "tool_lives")  # tables


def years_of_household(seasons: Sequence[tuple[str, Reading]], system: System) -> dict[str, list[Row]]:
    """Tables of a household's years, in their order; of seasons whose notes are repeated in the study."""
    known = [(name, one.household_year) for name, one in seasons if one.household_year is not None]
    known.sort(key=lambda one: (one[1].year or 0, one[0]))
    years: list[HouseholdYear] = [year for _, year in known]
    called = {old: new for _, one in seasons for old, new in one.tools.items()}
    rows: dict[str, list[Row]] = {
        "years": [
            {"household": name, "made": year.made, "standing": year.standing, "heat": year.heat}
            for name, year in known
        ],
        "winters": [{"winter": winter[:4], "burned": burned} for winter, burned in burned_by_winter(years).items()],
        "tool_lives": [{**row, "tool": called.get(row["tool"], row["tool"])} for row in tool_lives(years)],
    }
    sheets = {table: study_definition().sheet(table) for table in YEARS}
    return {
        table: [worded_row(sheets[table], document_row(sheets[table], row, system)) for row in found]
        for table, found in rows.items()
    }
