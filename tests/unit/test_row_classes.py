"""Row classes of the results and the tables that the definition describes are the same thing."""

from __future__ import annotations

import importlib
from dataclasses import fields

import pytest
from test_architecture import MODULES, TOPICS, room

from wood_xl.draws.figure import TableRow
from wood_xl.schema.model import results_definition

for _name in MODULES:
    if room(_name) in TOPICS:
        importlib.import_module(_name)
ROWS = TableRow.__subclasses__()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.__name__)
def test_fields_are_the_columns_of_the_table(row: type[TableRow]) -> None:
    columns = [column.id for column in results_definition().sheet(row.table).columns]
    assert sorted(part.name for part in fields(row)) == sorted(columns)


def test_a_table_has_one_row_class() -> None:
    assert len({row.table for row in ROWS}) == len(ROWS)
