"""Rows of the results and the tables that the definition describes are the same thing."""

from __future__ import annotations

from builders import demo, season_cells, small_season
from builders import records as records_of

from wood_xl.schema.model import results_definition


def test_a_row_has_the_columns_of_its_table_and_no_others() -> None:
    seasons = [small_season(), demo("hill_farm_us"), demo("lake_cabin_metric")]
    filled: dict[str, set[str]] = {}
    for data in seasons:
        for table, rows in season_cells(records_of(data)).items():
            filled.setdefault(table, set()).update(*rows)
    undefined, unfilled = [], []
    for table, keys in filled.items():
        columns = {column.id: column for column in results_definition().sheet(table).columns}
        undefined += [f"{table}.{key}" for key in sorted(keys - columns.keys())]
        told = {*keys, *(column.id for column in columns.values() if column.unit_of_figure)}
        unfilled += [column.ref for column in columns.values() if keys and column.id not in told]
    assert undefined == [], "give them an entry in results.schema.json"
    assert unfilled == [], "no row has them"
