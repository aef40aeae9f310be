"""Rows of the results and the tables that the definition describes are the same thing."""

from __future__ import annotations

import importlib
from dataclasses import fields

import pytest
from builders import demo, season_cells, small_season
from builders import records as records_of
from few import together
from test_architecture import MODULES, TOPICS, room

from wood_xl.draws.figure import TableRow
from wood_xl.schema.model import results_definition

for _name in MODULES:
    if room(_name) in TOPICS:
        importlib.import_module(_name)
ROWS = TableRow.__subclasses__()


@together("row", ROWS, ids=lambda row: row.__name__)
def test_fields_are_the_columns_of_the_table(row: type[TableRow]) -> None:
    columns = [column.id for column in results_definition().sheet(row.table).columns]
    assert sorted(part.name for part in fields(row)) == sorted(columns)


def test_a_table_has_one_row_class() -> None:
    assert len({row.table for row in ROWS}) == len(ROWS)


@pytest.mark.slow
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
