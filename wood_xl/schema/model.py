"""The two definition documents as frozen objects.

``season.schema.json`` defines what a person fills in, ``results.schema.json`` what comes out. Everything that needs
a sheet or a column (template, reader, checks, results workbook, help, documents) asks for it here; no title, unit
or help text is written anywhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Literal

from wood_xl.errors import DefinitionFault
from wood_xl.schema.classes import Classes
from wood_xl.schema.documents import schema_document
from wood_xl.schema.labels import unit_label, version_parts

System = Literal["us", "metric"]


@dataclass(frozen=True)
class Column:
    """One column of a sheet, or one item of an item sheet.

    sheet, id: keys in the document; ``ref`` joins them.
    title, help, mend: words for the person.
    type: ``string``, ``number``, ``integer``, ``boolean`` or ``figure`` (results only).
    unit, units, us, metric: unit of the bounds (and of values in results); permitted units; the unit in each system's
        template.
    minimum, exclusive_minimum, maximum: impossible beyond; in ``unit``.
    plausible: unusual outside; in ``unit``.
    no_ends: why a figure of this column has no interval, where nothing more telling is known; empty where it should
        have one.
    is_clock, has_date: a time of day stands there; a date may stand before it.
    joins: what becomes of several numbers in one cell: their ``sum``, or the ``mean`` of readings; empty where only
        one may stand.
    ids: name of the ids whose words a text is one of; empty for any other text.
    words_of: name of the ids that a document has there, and a sheet in words; empty for any other text.
    joined_by: what stands between the texts of a list.
    names_figure, unit_of_figure: whether a row's text names a figure of the rates per cord, and whether the value is
        in that figure's unit.
    names: ``sheet.column`` that a text names, of the notes or of the results; empty if none.
    topic: what the figure belongs to, if not to the topic of its table.
    formerly: titles that older templates had.
    since: first version of the template that has it; empty if all have.
    retired: whether only older templates have it, and nothing reads it.
    on: id of the item sheet on which the template has it, if not on its own.
    heading: line above this item and those that follow it.
    moved_to: ``sheet.column`` as which it is read, of an item that only older templates have there.
    folded: whether a template folds it away.
    paper: title on the paper forms, if another one.
    """

    sheet: str
    id: str
    title: str
    help: str
    type: str
    required: bool
    choices: tuple[str, ...] = ()
    is_date: bool = False
    is_clock: bool = False
    has_date: bool = False
    pattern: str | None = None
    max_length: int | None = None
    minimum: float | None = None
    exclusive_minimum: float | None = None
    maximum: float | None = None
    plausible: tuple[float, float] | None = None
    default: str | float | None = None
    default_from: str | None = None
    unit: str = ""
    units: tuple[str, ...] = ()
    us: str = ""
    metric: str = ""
    unit_kept: bool = False
    is_money: bool = False
    is_time: bool = False
    joins: str = ""
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
    no_ends: str = ""
    ids: str = ""
    words_of: str = ""
    joined_by: str = ", "
    names_figure: bool = False
    names: str = ""
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
        return bool(self.since and version) and version_parts(version or "") < version_parts(self.since)

    @property
    def is_number(self) -> bool:
        """Whether a number is expected."""
        return self.type in ("number", "integer")

    def unit_in(self, system: System) -> str:
        """Unit of this column in a template or results workbook of the given system; empty if it has none."""
        return (self.us if system == "us" else self.metric) or self.unit

    def label(self, unit: str, currency: str) -> str:
        """Unit as shown to the person: money begins with the currency, and a rate ends with what it is per."""
        label = unit_label(unit, is_money=self.is_money, currency=currency)
        return f"{label}/{self.per}" if self.per else label

    def header(self, unit: str, currency: str) -> str:
        """Header text: the title, with the unit in brackets if there is one."""
        label = self.label(unit, currency)
        return f"{self.title} [{label}]" if label else self.title

    def on_paper(self, unit: str, currency: str) -> str:
        """Its header on a paper form, where signs are as people write them."""
        header = replace(self, title=self.paper or self.title).header(unit, currency)
        return header.replace("[deg", "[\u00b0").replace("[beats/", "[/")


@dataclass(frozen=True)
class Sheet:
    """One sheet: a table (one row each) or a list of items (one item a row).

    formerly, since: as in ``Column``.
    folded: what a template says of the columns that it folds; empty if it folds none.
    classes: of a tally, what the columns are that each count one class; their headers are numbers with a unit.
    one_of: sets of columns of which a filled row needs one whole set.
    empty: why a table of the results has no rows where it has none.
    private: whether shared results are without it.
    private_with: item of the season with which they are, as what it is about then enters the table.
    figures_only: whether a document is without it, as its figures stand among all figures.
    by_effort: whether its order and its words hang on effort, so that nobody can find them again without body data.
    """

    id: str
    title: str
    help: str
    kind: Literal["table", "items"]
    columns: tuple[Column, ...]
    capacity: int = 0
    row_limit: int = 0
    key: tuple[str, ...] = ()
    one_of: tuple[tuple[str, ...], ...] = ()
    result_sheet: str = ""
    per: str = ""
    topic: str = ""
    empty: str = ""
    private: bool = False
    private_with: str = ""
    figures_only: bool = False
    by_effort: bool = False
    formerly: tuple[str, ...] = ()
    since: str = ""
    classes: Classes | None = None
    folded: str = ""

    def is_newer_than(self, version: str | None) -> bool:
        """Whether a template of that version had no such sheet; one of no stated version may have had it."""
        return bool(self.since and version) and version_parts(version or "") < version_parts(self.since)

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

    def has_in_one_of(self, column: Column) -> bool:
        """Whether a filled row needs it, or another in its place."""
        return any(column.id in one for one in self.one_of)

    def column(self, column_id: str) -> Column:
        """The column of that id, or of that size.

        Errors: KeyError if the sheet has no such column.
        """
        for column in self.columns:
            if column.id == column_id:
                return column
        if self.classes is not None and column_id in (self.classes.column.id, self.classes.column.title):
            counted: Column = self.classes.column
            return counted
        if self.classes is not None and column_id.rpartition(" ")[2] in self.classes.units:
            sized: Column = self.classes.of(column_id)
            return sized
        raise KeyError(f"{self.id}.{column_id}")


@dataclass(frozen=True)
class Definition:
    """A whole definition document: its sheets, and the JSON Schema it was made from."""

    version: str
    sheets: tuple[Sheet, ...]
    schema: dict[str, Any]

    def sheet(self, sheet_id: str) -> Sheet:
        """The sheet of that id.

        Errors: KeyError if there is no such sheet.
        """
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
        """The column named ``sheet.column``.

        Errors: KeyError if there is no such column.
        """
        sheet_id, _, column_id = ref.partition(".")
        return self.sheet(sheet_id).column(column_id)

    def is_private(self, ref: str) -> bool:
        """Whether shared results are without a sheet, or without a column ``sheet.column``.

        Errors: KeyError if there is no such sheet or column.
        """
        sheet_id, _, column_id = ref.partition(".")
        sheet = self.sheet(sheet_id)
        return sheet.private or (bool(column_id) and sheet.column(column_id).private)


@cache
def season_definition() -> Definition:
    """Definition of the workbook that a person fills in."""
    return _definition("season.schema.json")


@cache
def results_definition() -> Definition:
    """Definition of the results."""
    return _definition("results.schema.json")


@cache
def study_definition() -> Definition:
    """Definition of a study of several seasons."""
    return _definition("study.schema.json")


@cache
def summary_definition() -> Definition:
    """Definition of a summary of many workbooks."""
    return _definition("summary.schema.json")


def _definition(name: str) -> Definition:
    return definition_of(schema_document(name))


def definition_of(document: dict[str, Any]) -> Definition:
    """The definition in a schema document.

    Errors: DefinitionFault if the document contradicts itself.
    """
    sheets = tuple(_sheet(sheet_id, document["properties"][sheet_id], document) for sheet_id in _order(document))
    definition = Definition(version=document["x-version"], sheets=sheets, schema=document)
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
    return Sheet(
        id=sheet_id,
        title=part["title"],
        help=part["description"],
        kind=part["x-kind"],
        columns=tuple(
            replace(
                _column(sheet_id, key, value, key in required, per, part.get("x-since", "")),
                folded=key in folded.get("columns", ()),
                paper=document.get("x-paper", {}).get(f"{sheet_id}.{key}", ""),
            )
            for key, value in row["properties"].items()
            if value.get("type") != "array"
        ),
        capacity=part.get("x-capacity", 0),
        row_limit=part.get("x-row-limit", 0),
        key=tuple(part.get("x-key", ())),
        one_of=tuple(map(tuple, part.get("x-one-of", ()))),
        result_sheet=part.get("x-result-sheet", ""),
        per=per,
        topic=part.get("x-topic", ""),
        empty=part.get("x-empty", ""),
        private=part.get("x-private", False),
        private_with=part.get("x-private-with", ""),
        figures_only=part.get("x-figures-only", False),
        by_effort=part.get("x-by-effort", False),
        formerly=tuple(part.get("x-formerly", ())),
        since=part.get("x-since", ""),
        classes=_classes(sheet_id, row["properties"], per),
        folded=folded.get("said", ""),
    )


def _classes(sheet_id: str, properties: dict[str, Any], per: str) -> Classes | None:
    for column_id, part in properties.items():
        if "x-classes" in part:
            counted = {**part, **part["items"]["properties"]["cuts"], "x-units": (), "x-us": "", "x-metric": ""}
            templates = {"us": (part["x-us"],), "metric": (part["x-metric"],)}
            ends = {system: (*templates[system], *sizes) for system, sizes in part["x-classes"].items()}
            return Classes(_column(sheet_id, column_id, counted, False, per), tuple(part["x-units"]), ends)
    return None


def _column(sheet_id: str, column_id: str, part: dict[str, Any], required: bool, per: str, since: str = "") -> Column:
    plausible = part.get("x-plausible")
    per = per if "$ref" in part else ""
    units = tuple(part.get("x-units", ()))
    for key in ("x-us", "x-metric"):
        if units and part.get(key) not in units:
            raise DefinitionFault(f"{sheet_id}.{column_id}: {key} is not one of its units")
    return Column(
        sheet=sheet_id,
        id=column_id,
        title=part["title"],
        help=part["description"],
        type="figure" if "$ref" in part else part["type"] if isinstance(part["type"], str) else part["type"][0],
        required=required,
        choices=tuple(part.get("enum", ())),
        is_date=part.get("format") == "date",
        is_clock=part.get("format") in ("clock", "stamp"),
        has_date=part.get("format") == "stamp",
        pattern=part.get("pattern"),
        max_length=part.get("maxLength"),
        minimum=part.get("minimum"),
        exclusive_minimum=part.get("exclusiveMinimum"),
        maximum=part.get("maximum"),
        plausible=(plausible[0], plausible[1]) if plausible else None,
        default=part.get("default"),
        default_from=part.get("x-default-from"),
        unit=part.get("x-unit", ""),
        units=units,
        us=part.get("x-us", ""),
        metric=part.get("x-metric", ""),
        unit_kept=part.get("x-unit-kept", False),
        is_money=part.get("x-money", False),
        is_time=part.get("x-time", False),
        joins=part.get("x-list", ""),
        refers_to=part.get("x-refers-to"),
        suggests=part.get("x-suggests"),
        feeds=tuple(part.get("x-feeds", ())),
        private=part.get("x-private", False),
        example=part["examples"][0] if "examples" in part else None,
        us_example=part.get("x-us-example"),
        mend=part.get("x-mend", ""),
        width=part.get("x-width"),
        decimals=part.get("x-decimals"),
        significant=part.get("x-significant"),
        keeps_ends=part.get("x-ends", False),
        no_ends=part.get("x-no-ends", ""),
        ids=part.get("x-ids", ""),
        words_of=part.get("x-words-of", ""),
        joined_by=part.get("x-joined-by", ", "),
        names_figure=part.get("x-names-figure", False),
        names=part.get("x-names", ""),
        topic=part.get("x-topic", ""),
        unit_of_figure=part.get("x-unit-of-figure", False),
        formula=part.get("x-formula", ""),
        needs=tuple(part.get("x-needs", ())),
        sources=tuple(part.get("x-sources", ())),
        per=per,
        formerly=tuple(part.get("x-formerly", ())),
        since=part.get("x-since", since),
        retired=part.get("x-retired", False),
        on=part.get("x-on", ""),
        heading=part.get("x-heading", ""),
        moved_to=part.get("x-moved-to", ""),
    )


def _require_references(definition: Definition) -> None:
    for sheet in definition.sheets:
        for column_id in (*sheet.key, *(one for group in sheet.one_of for one in group)):
            sheet.column(column_id)
        for column in sheet.columns:
            for ref in (column.refers_to, column.moved_to):
                if ref:
                    definition.column(ref)
