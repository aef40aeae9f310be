"""The schema files as frozen objects: definitions with their sheets and columns.

``season.schema.json`` defines what a person fills in, ``results.schema.json`` what comes out. Template, reader,
checks, results and help take titles, units and help texts from here; they are written nowhere else.
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
KEYWORDS = {  # of the fields below whose keyword is not ``x-`` and their name
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
    """One column of a table, or one item of a sheet of items; ``keywords.schema.json`` explains each keyword."""

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
    minimum: float | None = None  # beyond it a value is impossible, as beyond the next two
    exclusive_minimum: float | None = None
    maximum: float | None = None
    plausible: tuple[float, float] | None = None  # outside it a value is unusual
    default: str | float | None = None
    default_from: str | None = None
    unit: str = ""  # of bounds, plausible range and values in results
    units: tuple[str, ...] = ()  # permitted
    us: str = ""  # of US templates
    metric: str = ""  # of metric templates
    unit_kept: bool = False
    is_money: bool = False
    is_time: bool = False
    joins: str = ""  # how several numbers in one cell are combined: ``sum`` or ``mean``
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
    no_ends: str = ""  # default reason why a figure has no interval; empty if it should have one
    ids: str = ""  # enum of which the text is the words of an id
    words_of: str = ""  # enum of the ids that a document holds there
    joined_by: str = ", "
    names_figure: bool = False  # the text names a figure of the rates per cord
    names: str = ""  # ``sheet.column`` of notes or results of which the text is a name
    topic: str = ""
    unit_of_figure: bool = False  # in the unit of the figure that the row names
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
        """``sheet.column``, as in references and ``explain``."""
        return f"{self.sheet}.{self.id}"

    def is_newer_than(self, version: str | None) -> bool:
        """Whether a template of that version lacks the column; one without a version may have it."""
        return _is_newer(self.since, version)

    @property
    def is_number(self) -> bool:
        """Whether it holds a number."""
        return self.type in ("number", "integer")

    def unit_in(self, system: System) -> str:
        """Unit in a template or results workbook of a system; empty if it has none."""
        return (self.us if system == "us" else self.metric) or self.unit

    def label(self, unit: str, currency: str) -> str:
        """Unit as shown: money starts with the currency, and a rate ends with what it is per.

        ``per gal`` becomes ``USD per gal``; ``money`` becomes ``USD``, or stays if there is no currency.
        """
        money = currency or "money"
        if self.is_money:
            unit = unit.replace("money", money, 1) if unit.startswith("money") else f"{money} {unit}"
        return f"{unit}/{self.per}" if self.per else unit

    def header(self, unit: str, currency: str) -> str:
        """Header: the title, with the unit in brackets if there is one."""
        label = self.label(unit, currency)
        return f"{self.title} [{label}]" if label else self.title

    def on_paper(self, unit: str, currency: str) -> str:
        """Header on a paper form, with units as people write them by hand."""
        header = replace(self, title=self.paper or self.title).header(unit, currency)
        return header.replace("[deg", "[\u00b0").replace("[beats/", "[/")


@dataclass(frozen=True)
class Classes:
    """Columns that each count pieces of one size, which is their header."""

    column: Column  # their common part
    units: tuple[str, ...]  # units that a size may be in
    templates: dict[str, tuple[str, int, int, int]]  # by system: unit, first and last size, step

    def of(self, size: str) -> Column:
        """The column of one size, such as ``3 in``."""
        return replace(self.column, id=size, title=size)

    def in_template(self, system: str) -> list[str]:
        """Sizes of the columns of a template."""
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
    one_of: tuple[tuple[str, ...], ...] = ()  # sets of columns: a filled row needs one whole set
    result_sheet: str = ""
    per: str = ""
    topic: str = ""
    empty: str = ""  # reason shown if a table of the results has no rows
    private: bool = False  # left out of shared results
    private_with: str = ""  # item of the season that makes the table private if it is filled
    figures_only: bool = False  # left out of the document, which has its figures among all figures
    by_effort: bool = False  # its order and words depend on effort, so they cannot be recomputed without body data
    formerly: tuple[str, ...] = ()  # titles in older templates
    since: str = ""  # first version that has it; empty if all have
    classes: Classes | None = None  # of a tally: columns that each count one size
    folded: str = ""  # text of a template on its folded columns; empty if none are

    def is_newer_than(self, version: str | None) -> bool:
        """Whether a template of that version lacks the sheet; one without a version may have it."""
        return _is_newer(self.since, version)

    @property
    def titles(self) -> tuple[str, ...]:
        """Its title, then those of older templates."""
        return self.title, *self.formerly

    @property
    def asked(self) -> tuple[Column, ...]:
        """Columns of the current template."""
        return tuple(column for column in self.columns if not (column.retired or column.moved_to))

    @property
    def listed(self) -> tuple[Column, ...]:
        """Columns as help and documents list them, with a single one for all sizes of a tally."""
        return self.columns if self.classes is None else (*self.columns[:1], self.classes.column, *self.columns[1:])

    def columns_in(self, system: System) -> tuple[Column, ...]:
        """Columns of a template; those of the sizes follow the first."""
        if self.classes is None:
            return self.asked
        sizes = (self.classes.of(size) for size in self.classes.in_template(system))
        return *self.asked[:1], *sizes, *self.asked[1:]

    def number_of(self, column_id: str, system: System) -> int:
        """Position of a column in a new template, from 1."""
        return [column.id for column in self.columns_in(system)].index(column_id) + 1

    def has_in_one_of(self, column: Column) -> bool:
        """Whether a filled row needs the column, or another in its place."""
        return any(column.id in one for one in self.one_of)

    def column(self, column_id: str) -> Column:
        """The column of an id or a size."""
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
    """A schema file: its sheets, and the JSON Schema itself."""

    version: str  # the latest; empty if its documents have none
    sheets: tuple[Sheet, ...]
    schema: dict[str, Any]

    def sheet(self, sheet_id: str) -> Sheet:
        """The sheet of an id."""
        for sheet in self.sheets:
            if sheet.id == sheet_id:
                return sheet
        raise KeyError(sheet_id)

    def items_on(self, sheet_id: str) -> tuple[Column, ...]:
        """Items on a sheet of the template: those placed there from other sheets, then its own."""
        guests = (column for sheet in self.sheets for column in sheet.asked if column.on == sheet_id)
        own = (column for column in self.sheet(sheet_id).asked if not column.on)
        return *guests, *own

    def column(self, ref: str) -> Column:
        """The column named ``sheet.column``."""
        sheet_id, _, column_id = ref.partition(".")
        return self.sheet(sheet_id).column(column_id)

    def is_private(self, ref: str) -> bool:
        """Whether shared results leave out a sheet or a column ``sheet.column``."""
        sheet_id, _, column_id = ref.partition(".")
        sheet = self.sheet(sheet_id)
        return sheet.private or (bool(column_id) and sheet.column(column_id).private)


@cache
def season_definition() -> Definition:
    """Definition of the workbook to fill in."""
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
        **_keyword_fields(Sheet, part),
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
    own_fields = _keyword_fields(Column, part) | known
    type_ = "figure" if "$ref" in part else part["type"]
    own_fields["type"] = type_ if isinstance(type_, str) else type_[0]
    return Column(
        sheet=sheet_id,
        id=column_id,
        help=part["description"],
        is_date=part.get("format") == "date",
        is_clock=part.get("format") in ("clock", "stamp"),
        has_date=part.get("format") == "stamp",
        example=part["examples"][0] if "examples" in part else None,
        **own_fields,
    )


def _keyword_fields(kind: type[Column | Sheet], part: dict[str, Any]) -> dict[str, Any]:
    """Fields that the keywords of a part of the schema set."""
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
    """A schema file as plain JSON, with the choices from the tables of the trade.

    Where it has no ``required``, it requires all columns, and all tables of which a document keeps more than figures.
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
