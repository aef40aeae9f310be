"""The tables of the trade: whole, told by nobody else, and loud about what they lack."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

import pytest
from builders import records, small_season, tables
from few import together

import wood_xl
from wood_xl.air.factor_sets import fuel_factor_kg_per_l, net_heat_mj_per_l
from wood_xl.air.gases import engine_gases
from wood_xl.data import load, trade
from wood_xl.data.load import constant, value
from wood_xl.errors import DefinitionFault
from wood_xl.notes import limits
from wood_xl.notes.typed import choice_words, meant_choice
from wood_xl.report.study_view import kind_name
from wood_xl.schema.model import results_definition, schema_document, season_definition

PACKAGE = Path(wood_xl.__file__).parent
LOADER = PACKAGE / "data" / "trade.py"
TABLES: dict[str, Callable[[], Mapping[str, Any]]] = {**trade.CHOICES, "fuels": trade.fuels}
IDS = {key for read in TABLES.values() for key in read()}
MADE_FROM_TABLES = (season_definition, limits._column_validator, choice_words)
SHEETS = {
    sheet.id: {column.id for column in sheet.columns}
    for definition in (season_definition(), results_definition())
    for sheet in definition.sheets
    if sheet.kind == "table"
}
PHRASES = {key for key in IDS if " " in key}  # long enough to be found inside a sentence too


def literals(path: Path) -> Iterator[tuple[int, str]]:
    """Texts of a module that are no docstrings and no columns: "stack" is a task and a column."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    columns = {id(node) for node in columns_named(tree)}
    homes = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    first = [node.body[0] for node in ast.walk(tree) if isinstance(node, homes) and node.body]
    docstrings = {id(node.value) for node in first if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings | columns:
            yield node.lineno, node.value


def columns_named(tree: ast.AST) -> Iterator[ast.AST]:
    """Texts that stand where only a column can: beside its sheet's id, asked of a row, or in a row being made."""
    for node in ast.walk(tree):
        match node:
            case (
                ast.Subscript(value=ast.Name(id="row"), slice=ast.Constant() as one)
                | ast.Call(func=ast.Attribute(value=ast.Name(id="row")), args=[ast.Constant() as one, *_])
            ):
                if any(is_column(one, columns) for columns in SHEETS.values()):
                    yield one
            case ast.Call(args=[ast.Constant(value=sheet), *others]):
                yield from (one for one in others if is_column(one, SHEETS.get(sheet, ())))
            case ast.Dict(keys=keys, values=values):
                for key, value in zip(keys, values, strict=True):
                    if isinstance(key, ast.Constant) and is_column(value, SHEETS.get(key.value, ())):
                        yield value
                named = [key for key in keys if key is not None]
                if len(keys) > 1 and any(
                    all(is_column(key, columns) for key in named) for columns in SHEETS.values()
                ):
                    yield from named


def is_column(node: ast.AST, columns: Collection[str]) -> bool:
    return isinstance(node, ast.Constant) and node.value in columns


@pytest.mark.slow
@together("path", [path for path in sorted(PACKAGE.rglob("*.py")) if path != LOADER], ids=lambda path: path.stem)
def test_no_code_knows_a_row_by_its_id(path: Path) -> None:
    """A kind, fuel, set or task that code compares with would have to be taught to it again for each new row."""
    known = [
        f"{path.name}:{line}: {text!r}"
        for line, text in literals(path)
        if text in IDS or any(phrase in text for phrase in PHRASES)
    ]
    assert known == []


def test_the_search_for_ids_finds_them(tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text('"""diesel"""\nKIND = "diesel"\n\n\ndef f():\n    """hand"""\n    return f"by {KIND} mains"\n')
    assert [text for _, text in literals(module)] == ["diesel", "by ", " mains"]


@pytest.mark.parametrize(
    "code", ['notes.name("woodshed", 1, "stack")', 'row["stack"]', 'row.name("stack")', '{"stack": 1, **row}']
)
def test_the_search_for_ids_passes_over_columns(code: str, tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text(f"A = {code}\n")
    assert "stack" not in [text for _, text in literals(module)]


@together(
    "code",
    [
        'task == "stack"',
        'f("stack")',
        'f("tools", "stack")',
        'tasks()["stack"]',
        '{"stack": 1}',
        '{"stack": 1, "split": 2}',
    ],
)
def test_a_task_that_is_called_as_a_column_is_found(code: str, tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text(f"A = {code}\n")
    assert "stack" in [text for _, text in literals(module)]


def test_choices_of_the_workbook_are_the_rows() -> None:
    columns = {
        "tools.kind": trade.tool_kinds,
        "methods.task": trade.tasks,
        "season.emission_factor_set": trade.factor_sets,
        "season.gwp_set": trade.warming_potentials,
    }
    for ref, read in columns.items():
        column = season_definition().column(ref)
        assert column.choices == tuple(read())
        assert column.default in (None, *read())
    properties = schema_document("season.schema.json")["properties"]
    assert properties["tools"]["items"]["properties"]["kind"]["enum"] == list(trade.tool_kinds())


def test_fuels_have_their_item_and_their_column() -> None:
    for fuel in trade.fuels().values():
        assert results_definition().column(f"carriers.{fuel.carrier}").unit == "L"
        if fuel.price_item is not None:
            assert "per L" in season_definition().column(f"season.{fuel.price_item}").units
        if fuel.blended_with is not None:
            assert fuel.blended_with in trade.fuels()


@pytest.mark.parametrize("chosen", trade.factor_sets().values(), ids=lambda row: row.id)
def test_set_covers_every_fuel_and_engine(chosen: trade.FactorSet) -> None:
    for fuel in trade.fuels():
        has_it = chosen.set_of(fuel)
        assert constant(has_it.of_fuel(fuel)).unit == f"kg/{has_it.fuel_per}"
        assert 2 < fuel_factor_kg_per_l(fuel, chosen.id) < 3 or not trade.fuels()[fuel].is_fossil
    for kind in trade.tool_kinds().values():
        if not kind.burns:
            continue
        fuel = kind.tank.id
        has_it = chosen.set_of(fuel)
        for gas in ("ch4", "n2o"):
            assert constant(has_it.of_gas(gas, kind.engine_class)).unit.endswith(f"/{has_it.gases_per}")
        if has_it.gases_per == "TJ":
            assert net_heat_mj_per_l(fuel) > 0
        if has_it.held is not None and fuel not in has_it.held_undivided:
            assert constant(has_it.held_gas("ch4", fuel)).unit == "kg/L"


def test_a_fuel_that_a_set_has_not_burns_by_the_set_that_stands_in(altered: Callable[[str, str, str], None]) -> None:
    """Its gases too: what a set's own factors hold already is taken off none that are not its own."""
    altered("factor_sets.csv", "gasoline; diesel; lubricant,uk", "diesel; lubricant,uk")
    assert fuel_factor_kg_per_l("gasoline", "UK 2024") == fuel_factor_kg_per_l("gasoline", "EPA hub")
    by_set = {
        chosen: engine_gases(kind="gasoline four-stroke", engine_fuel_l=1.0, factor_set=chosen, gwp_set="AR5")
        for chosen in ("UK 2024", "EPA hub")
    }
    assert by_set["UK 2024"].beyond_kg == by_set["EPA hub"].beyond_kg


def test_a_kind_may_be_typed_as_the_pages_call_it() -> None:
    kinds = list(trade.tool_kinds())
    assert [meant_choice(kind_name(kind), kinds) for kind in kinds] == kinds


def test_kinds_have_their_drive_and_fuel() -> None:
    kinds = trade.tool_kinds()
    assert [kind.id for kind in kinds.values() if not kind.is_powered] == ["hand"]
    assert [kind.id for kind in kinds.values() if kind.is_electric] == ["battery", "mains"]
    mix = kinds["gasoline two-stroke"]
    assert [fuel.name for fuel in mix.bought] == ["gasoline", "two-stroke oil"]
    assert [fuel.name for fuel in kinds["diesel"].bought] == ["diesel"]
    assert kinds["battery"].bought == ()


def test_tasks_are_what_they_are() -> None:
    rows = trade.tasks().values()
    assert [task.id for task in rows if task.is_sawn] == ["fell", "limb", "buck"]
    assert [task.id for task in rows if task.is_swung] == ["fell", "limb", "split"]
    assert [task.id for task in rows if task.needs_tool] == ["fell", "limb", "buck", "split"]
    assert [task.id for task in rows if task.is_needed] == ["buck", "split", "stack"]
    assert [task.id for task in rows if not task.is_placed] == ["haul"]
    assert [task.id for task in rows if task.is_left_when_bought] == ["stack"]
    assert [task.name for task in rows] == ["felling", "limbing", "hauling", "bucking", "splitting", "stacking"]


def test_a_missing_cell_is_a_fault_where_it_is_read() -> None:
    kinds, sets = trade.tool_kinds(), trade.factor_sets()
    for read, words in (
        (lambda: kinds["hand"].tank, "tool_kinds.csv, row hand, column fuel: says none"),
        (lambda: kinds["mains"].engine_class, "tool_kinds.csv, row mains, column engine: says none"),
        (lambda: sets["EPA hub"].set_of("tar"), "factor_sets.csv, row EPA hub, column other_fuels: says none"),
        (lambda: constant(sets["IPCC 2006"].of_gas("ch4", "steam")), "no constant .*ch4.ipcc.steam"),
        (lambda: sets["EPA hub"].held_gas("ch4", "gasoline"), "row EPA hub, column held: says none"),
        (lambda: net_heat_mj_per_l("lubricant"), "fuels.csv, row lubricant, column net_heat: says none"),
    ):
        with pytest.raises(DefinitionFault, match=words):
            read()


@pytest.fixture
def altered(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, str, str], None]]:
    """Exchange a pattern in one table, with nothing kept from before or afterwards."""
    text_of = load._text

    def alter(name: str, pattern: str, new: str) -> None:
        changed = re.sub(pattern, new, text_of(name), count=1, flags=re.MULTILINE)
        assert changed != text_of(name)
        monkeypatch.setattr(load, "_text", lambda asked: changed if asked == name else text_of(asked))
        forget()

    def forget() -> None:
        for read in (*TABLES.values(), *MADE_FROM_TABLES):
            read.cache_clear()  # type: ignore[attr-defined]

    yield alter
    forget()


LITERALS = {"Drive": trade.Drive, "Size": trade.Size, "Per": trade.Per}


@together("read", [*TABLES.values(), trade.unsure], ids=lambda read: read.__name__)
def test_rows_are_whole_and_name_what_there_is(read: Callable[[], Mapping[str, Any]]) -> None:
    for key, row in read().items():
        for field in fields(row):
            cell = getattr(row, field.name)
            assert cell not in ("", ("",)), (key, field.name)
            if field.type in LITERALS:
                assert cell in get_args(LITERALS[field.type]), (key, field.name)
            if "ConstantId" in str(field.type) and cell is not None:
                assert constant(cell)
            if not str(field.type).endswith("| None"):
                assert cell is not None, (key, field.name)


def test_cells_that_say_yes_or_no_say_nothing_else() -> None:
    either = {
        "tool_kinds.csv": ("chain_saw", "battery"),
        "tasks.csv": ("sawn", "swung", "needs_tool", "needed", "cuts_to_length"),
        "unsure.csv": ("choice",),
    }
    said = {row[column] for name, columns in either.items() for row in load.table_rows(name) for column in columns}
    assert said == {"yes", "no"}
    for name, column, words in (
        ("fuels.csv", "carbon", {"fossil", "plants"}),
        ("fuels.csv", "counts_as", {"fuel", "oil"}),
        ("tasks.csv", "place", {"fixed", "as done"}),
        ("tasks.csv", "bought", {"done", "to do"}),
    ):
        assert {row[column] for row in load.table_rows(name)} == words


@together("kind", trade.tool_kinds().values(), ids=lambda kind: kind.id)
def test_a_kind_has_what_its_drive_asks_for(kind: trade.ToolKind) -> None:
    if kind.burns:
        assert None not in (kind.fuel, kind.engine, kind.life_h)
    else:
        assert {kind.fuel, kind.mixed_with, kind.engine, kind.small_engine} == {None}
    assert not kind.is_powered or (kind.life_years and kind.repairs)
    assert kind.is_electric or not kind.has_battery
    assert all(fuel.price_item for fuel in kind.bought)
    assert kind.small_engine is None or load.small_engines_of(kind.small_engine)


def test_sets_name_fuels_and_sources_that_there_are() -> None:
    for chosen in trade.factor_sets().values():
        assert {*chosen.fuels, *chosen.held_undivided} <= trade.fuels().keys()
        assert {chosen.source, chosen.gases_source} <= load.sources().keys()
        assert chosen.potentials in (None, *trade.warming_potentials())


def test_a_row_is_all_that_a_new_kind_needs(altered: Callable[[str, str, str], None]) -> None:
    """A copy of a two-stroke under another name costs, emits and strains as much as the first."""
    before = tables(small_season()).tables
    two_stroke = next(row for row in load._text("tool_kinds.csv").splitlines() if row.startswith("gasoline two"))
    altered("tool_kinds.csv", r"\Z", two_stroke.replace("gasoline two-stroke", "old saw", 1) + "\n")
    data = small_season()
    data["tools"][1]["kind"] = "old saw"
    assert records(data).tools[1].kind == "old saw"
    after = tables(data).tables
    for table in ("rates_per_cord", "emissions_per_cord", "carriers", "air_pollutants", "tool_costs", "shopping"):
        assert after[table] == before[table]


def test_a_row_is_all_that_a_new_factor_set_needs(altered: Callable[[str, str, str], None]) -> None:
    hub = next(row for row in load._text("factor_sets.csv").splitlines() if row.startswith("IPCC"))
    altered("factor_sets.csv", r"\Z", hub.replace("IPCC 2006,", "Ours,", 1) + "\n")
    assert fuel_factor_kg_per_l("diesel", "Ours") == pytest.approx(value("ipcc.co2.diesel") * 43.0 * 0.84 / 1e6)
    gases = engine_gases(kind="diesel", engine_fuel_l=1.0, factor_set="Ours", gwp_set="AR5")
    assert gases.ch4_g == pytest.approx(4.15 * 43.0 * 0.84 / 1000)
