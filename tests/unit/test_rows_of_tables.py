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
            columns = {column.id for column in results_definition().sheet(table).columns}
            assert [row for row in rows if not row.keys() <= columns] == []
    for table, keys in filled.items():
        columns = {column.id for column in results_definition().sheet(table).columns}
        without = {column.id for column in results_definition().sheet(table).columns if column.unit_of_figure}
        assert keys | without >= columns or not keys, table
