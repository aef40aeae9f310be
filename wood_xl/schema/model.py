"""The two definition documents as frozen objects.

``season.schema.json`` defines what a person fills in, ``results.schema.json`` what comes out. Everything that needs
a sheet or a column (template, reader, checks, results workbook, help, documents) asks for it here; no title, unit
or help text is written anywhere else.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from wood_xl.data.trade import CHOICES
from wood_xl.errors import DefinitionFault

System = Literal["us", "metric"]
KEYWORDS = {  # of fields that are not called as in the schema, or that JSON Schema knows itself
    "title": "title",
    "type": "type",
    "choices": "enum",
    "pattern": "pattern",
    "max_length": "maxLength",
    "minimum": "minimum",
    "exclusive_minimum": "exclusiveMinimum",
    "maximum": "maximum",
    "default": "default",
    "is_money": "x-money",
    "is_time": "x-time",
    "joins": "x-list",
    "keeps_ends": "x-ends",
}


def version_parts(version: str) -> tuple[int, ...]:
    """A version as numbers, so that 1.10 comes after 1.9."""
    return tuple(int(part) for part in version.split(".") if part.isdecimal())


def _is_newer(since: str, version: str | None) -> bool:
    return bool(since and version) and version_parts(version or "") < version_parts(since)


@dataclass(frozen=True)
class Column:
    """One column of a sheet, or one item of an item sheet; ``keywords.schema.json`` tells of each of its keywords."""

    sheet: str
    id: str
    title: str
    help: str
    type: str  # ``string``, ``number``, ``integer``, ``boolean`` or ``figure`` (results only)
    required: bool
    choices: tuple[str, ...] = ()
    is_date: bool = False
    is_clock: bool = False
    has_date: bool = False
    pattern: str | None = None
    max_length: int | None = None
    # minimum, maximum, plausible: impossible beyond; unusual outside
    minimum: float | None = None
    exclusive_minimum: float | None = None
    maximum: float | None = None
    plausible: tuple[float, float] | None = None
    default: str | float | None = None
    default_from: str | None = None
    # of bounds, usual range and values in results; ``units`` are permitted, ``us`` and ``metric`` of templates
    unit: str = ""
    units: tuple[str, ...] = ()
    us: str = ""
    metric: str = ""
    unit_kept: bool = False
    is_money: bool = False
    is_time: bool = False
    joins: str = ""  # what becomes of several numbers in one cell: their ``sum``, or the ``mean`` of readings
    refers_to: str | None = None
    suggests: str | None = None
    feeds: tuple[str, ...] = ()
    private: bool = False
    example: str | float | None = None
    us_example: float | None = None
    mend: str = ""
    width: int | None = None
    decimals: int | None = None
    significant: int | None = None
    keeps_ends: bool = False
    # why a figure has no interval, where nothing more telling is known; empty where it should have one
    no_ends: str = ""
    # ids, words_of: name of the ids whose words a text is one of; of the ids that a document has there
    ids: str = ""
    words_of: str = ""
    joined_by: str = ", "
    # names_figure, unit_of_figure: whether the text names a figure of the rates per cord; is in that figure's unit
    names_figure: bool = False
    names: str = ""  # ``sheet.column`` that a text names, of the notes or of the results
    topic: str = ""
    unit_of_figure: bool = False
    formula: str = ""
    needs: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    per: str = ""
    formerly: tuple[str, ...] = ()
    since: str = ""
    retired: bool = False
    on: str = ""
    heading: str = ""
    moved_to: str = ""
    folded: bool = False
    paper: str = ""

    @property
    def ref(self) -> str:
        """``sheet.column``, the name used in references and in ``explain``."""
        return f"{self.sheet}.{self.id}"

    def is_newer_than(self, version: str | None) -> bool:
        """Whether a template of that version had no such column; one of no stated version may have had it."""
        return _is_newer(self.since, version)

    @property
    def is_number(self) -> bool:
        """Whether a number is expected."""
        return self.type in ("number", "integer")

    def unit_in(self, system: System) -> str:
        """Unit of this column in a template or results workbook of the given system; empty if it has none."""
        return (self.us if system == "us" else self.metric) or self.unit

    def label(self, unit: str, currency: str) -> str:
        """Unit as shown to the person: money begins with the currency, and a rate ends with what it is per.

        ``per gal`` becomes ``USD per gal``; ``money`` becomes ``USD``, or stays so where there is no currency.
        """
        money = currency or "money"
        if self.is_money:
            unit = unit.replace("money", money, 1) if unit.startswith("money") else f"{money} {unit}"
        return f"{unit}/{self.per}" if self.per else unit

    def header(self, unit: str, currency: str) -> str:
        """Header text: the title, with the unit in brackets if there is one."""
        label = self.label(unit, currency)
        return f"{self.title} [{label}]" if label else self.title

    def on_paper(self, unit: str, currency: str) -> str:
        """Its header on a paper form, where signs are as people write them."""
        header = replace(self, title=self.paper or self.title).header(unit, currency)
        return header.replace("[deg", "[\u00b0").replace("[beats/", "[/")


@dataclass(frozen=True)
class Classes:
    """Columns that each count what is of one size, with the size as their header."""

    column: Column  # what they have in common
    units: tuple[str, ...]  # units that a size may be in
    # for each system its unit, the first and last size, and the step between them
    templates: dict[str, tuple[str, int, int, int]]

    def of(self, size: str) -> Column:
        """The column of one size, such as ``3 in``."""
        return replace(self.column, id=size, title=size)

    def in_template(self, system: str) -> list[str]:
        """The sizes that a template has columns for."""
        unit, first, last, step = self.templates[system]
        return [f"{size} {unit}" for size in range(first, last + 1, step)]


@dataclass(frozen=True)
class Sheet:
    """One sheet: a table (one row each) or a list of items (one item a row)."""

    id: str
    title: str
    help: str
    kind: Literal["table", "items"]
    columns: tuple[Column, ...]
    capacity: int = 0
    row_limit: int = 0
    key: tuple[str, ...] = ()
    one_of: tuple[tuple[str, ...], ...] = ()  # sets of columns of which a filled row needs one whole set
    result_sheet: str = ""
    per: str = ""
    topic: str = ""
    empty: str = ""  # why a table of the results has no rows where it has none
    private: bool = False  # whether shared results are without it
    private_with: str = ""  # item of the season with which they are, as what it is about then enters the table
    figures_only: bool = False  # whether a document is without it, as its figures stand among all figures
    # whether its order and its words hang on effort, so that nobody can find them again without body data
    by_effort: bool = False
    # formerly, since: titles that older templates had; first version that has it, empty if all have
    formerly: tuple[str, ...] = ()
    since: str = ""
    # of a tally, what the columns are that each count one class; their headers are numbers with a unit
    classes: Classes | None = None
    folded: str = ""  # what a template says of the columns that it folds; empty if it folds none

    def is_newer_than(self, version: str | None) -> bool:
        """Whether a template of that version had no such sheet; one of no stated version may have had it."""
        return _is_newer(self.since, version)

    @property
    def titles(self) -> tuple[str, ...]:
        """Its title, and those of older templates."""
        return self.title, *self.formerly

    @property
    def asked(self) -> tuple[Column, ...]:
        """Columns that the template of today has."""
        return tuple(column for column in self.columns if not (column.retired or column.moved_to))

    @property
    def told(self) -> tuple[Column, ...]:
        """Its columns, with the one that stands for all sizes."""
        return self.columns if self.classes is None else (*self.columns[:1], self.classes.column, *self.columns[1:])

    def columns_in(self, system: System) -> tuple[Column, ...]:
        """The columns of a template, those of the sizes behind the first."""
        if self.classes is None:
            return self.asked
        sizes = (self.classes.of(size) for size in self.classes.in_template(system))
        return *self.asked[:1], *sizes, *self.asked[1:]

    def number_of(self, column_id: str, system: System) -> int:
        """In which column a table's column stands in a fresh template, from 1."""
        return [column.id for column in self.columns_in(system)].index(column_id) + 1

    def has_in_one_of(self, column: Column) -> bool:
        """Whether a filled row needs it, or another in its place."""
        return any(column.id in one for one in self.one_of)

    def column(self, column_id: str) -> Column:
        """The column of that id, or of that size."""
        for column in self.columns:
            if column.id == column_id:
                return column
        if self.classes is not None and column_id in (self.classes.column.id, self.classes.column.title):
            return self.classes.column
        if self.classes is not None and column_id.rpartition(" ")[2] in self.classes.units:
            return self.classes.of(column_id)
        raise KeyError(f"{self.id}.{column_id}")


@dataclass(frozen=True)
class Definition:
    """A whole definition document: its sheets, and the JSON Schema it was made from."""

    version: str  # the last of those that a document may have; empty if its documents tell none
    sheets: tuple[Sheet, ...]
    schema: dict[str, Any]

    def sheet(self, sheet_id: str) -> Sheet:
        """The sheet of that id."""
        for sheet in self.sheets:
            if sheet.id == sheet_id:
                return sheet
        raise KeyError(sheet_id)

    def items_on(self, sheet_id: str) -> tuple[Column, ...]:
        """Items that the template has on a sheet of items: those of other sheets that stand there, then its own."""
        guests = (column for sheet in self.sheets for column in sheet.asked if column.on == sheet_id)
        own = (column for column in self.sheet(sheet_id).asked if not column.on)
        return *guests, *own

    def column(self, ref: str) -> Column:
        """The column named ``sheet.column``."""
        sheet_id, _, column_id = ref.partition(".")
        return self.sheet(sheet_id).column(column_id)

    def is_private(self, ref: str) -> bool:
        """Whether shared results are without a sheet, or without a column ``sheet.column``."""
        sheet_id, _, column_id = ref.partition(".")
        sheet = self.sheet(sheet_id)
        return sheet.private or (bool(column_id) and sheet.column(column_id).private)


@cache
def season_definition() -> Definition:
    """Definition of the workbook that a person fills in."""
    return definition_of(schema_document("season.schema.json"))


@cache
def results_definition() -> Definition:
    """Definition of the results."""
    return definition_of(schema_document("results.schema.json"))


@cache
def study_definition() -> Definition:
    """Definition of a study of several seasons."""
    return definition_of(schema_document("study.schema.json"))


@cache
def summary_definition() -> Definition:
    """Definition of a summary of many workbooks."""
    return definition_of(schema_document("summary.schema.json"))


def definition_of(document: dict[str, Any]) -> Definition:
    """The definition in a schema document."""
    sheets = tuple(_sheet(sheet_id, document["properties"][sheet_id], document) for sheet_id in _order(document))
    versions = document["properties"].get("version", {"enum": [""]})["enum"]
    definition = Definition(version=versions[-1], sheets=sheets, schema=document)
    _require_references(definition)
    return definition


def _order(document: dict[str, Any]) -> list[str]:
    ids = [sheet_id for sheet_id, part in document["properties"].items() if "x-kind" in part]
    order: list[str] = document.get("x-order", ids)
    if sorted(order) != sorted(ids):
        raise DefinitionFault(f"x-order and the sheets differ in {sorted(set(order) ^ set(ids))}")
    return order


def _sheet(sheet_id: str, part: dict[str, Any], document: dict[str, Any]) -> Sheet:
    row = part["items"] if part["x-kind"] == "table" else part
    if "$ref" in row:  # a table with the columns of another, read per something else
        other = row["$ref"].split("/")[2]
        row = document["properties"][other]["items"]
    per = part.get("x-per", "")
    folded = document.get("x-folded", {}).get(sheet_id, {})
    required = set(row["required"])
    unknown = required - row["properties"].keys()
    if unknown:
        raise DefinitionFault(f"{sheet_id}: required but not defined: {sorted(unknown)}")
    columns = (
        _column(
            sheet_id,
            key,
            {"x-since": part.get("x-since", ""), **value},
            required=key in required,
            per=per if "$ref" in value else "",
            folded=key in folded.get("columns", ()),
            paper=document.get("x-paper", {}).get(f"{sheet_id}.{key}", ""),
        )
        for key, value in row["properties"].items()
        if value.get("type") != "array"
    )
    return Sheet(
        id=sheet_id,
        help=part["description"],
        columns=tuple(columns),
        classes=_classes(sheet_id, row["properties"]),
        folded=folded.get("said", ""),
        **_told(Sheet, part),
    )


def _classes(sheet_id: str, properties: dict[str, Any]) -> Classes | None:
    for column_id, part in properties.items():
        if "x-classes" in part:
            counted = {**part, **part["items"]["properties"]["cuts"], "x-units": (), "x-us": "", "x-metric": ""}
            templates = {"us": (part["x-us"],), "metric": (part["x-metric"],)}
            ends = {system: (*templates[system], *sizes) for system, sizes in part["x-classes"].items()}
            return Classes(_column(sheet_id, column_id, counted, required=False), tuple(part["x-units"]), ends)
    return None


def _column(sheet_id: str, column_id: str, part: dict[str, Any], **known: Any) -> Column:
    units = part.get("x-units", ())
    if len(units) == 1:
        part = {"x-us": units[0], "x-metric": units[0], **part}
    for key in ("x-us", "x-metric"):
        if units and part.get(key) not in units:
            raise DefinitionFault(f"{sheet_id}.{column_id}: {key} is not one of its units")
    told = _told(Column, part) | known
    told["type"] = "figure" if "$ref" in part else part["type"] if isinstance(part["type"], str) else part["type"][0]
    return Column(
        sheet=sheet_id,
        id=column_id,
        help=part["description"],
        is_date=part.get("format") == "date",
        is_clock=part.get("format") in ("clock", "stamp"),
        has_date=part.get("format") == "stamp",
        example=part["examples"][0] if "examples" in part else None,
        **told,
    )


def _told(kind: type[Column | Sheet], part: dict[str, Any]) -> dict[str, Any]:
    """Fields that a part of the schema tells of, each under the keyword of that name."""
    named = _FIELDS[kind]
    return {named[keyword]: _frozen(value) for keyword, value in part.items() if keyword in named}


_FIELDS: dict[type[Column | Sheet], dict[str, str]] = {
    kind: {KEYWORDS.get(field.name, f"x-{field.name.replace('_', '-')}"): field.name for field in fields(kind)}
    for kind in (Column, Sheet)
}


def _frozen(value: Any) -> Any:
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _require_references(definition: Definition) -> None:
    for sheet in definition.sheets:
        for column_id in (*sheet.key, *(one for group in sheet.one_of for one in group)):
            sheet.column(column_id)
        for column in sheet.columns:
            for ref in (column.refers_to, column.moved_to):
                if ref:
                    definition.column(ref)


def schema_document(name: str) -> dict[str, Any]:
    """A schema file of this package as plain JSON, with the choices that stand in the tables of the trade.

    One that does not say what it requires requires all: columns, and tables of which more than figures is kept.
    """
    text = files("wood_xl.schema").joinpath(name).read_text(encoding="utf-8")
    document: dict[str, Any] = json.loads(text, object_hook=_with_choices)
    parts = document.get("properties", {})
    for part in parts.values():
        row = part.get("items", part)
        if "x-kind" in part and "properties" in row:
            row.setdefault("required", [*row["properties"]])
    document.setdefault("required", [key for key, part in parts.items() if not part.get("x-figures-only")])
    return document


def _with_choices(part: dict[str, Any]) -> dict[str, Any]:
    table = part.get("x-enum-from")
    return {**part, "enum": list(CHOICES[table]())} if isinstance(table, str) else part
