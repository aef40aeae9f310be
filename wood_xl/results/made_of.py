"""How a figure follows from others: ``made_of.json`` has each as a sum, product or quotient within the same results.

An expression may hold columns of the same row (``cash``), or of the row of another table about the same methods,
session and person (``rates_per_cord.cash``, with ``[2]`` that of the second method), notes (``notes.season.price``),
published figures (``factor.unit.kcal``), ``total`` over all matching rows, ``cords`` for an amount in the pages' unit
of wood, and ``own`` for an amount in the unit of the figure itself. Only numbers of the results are used, and an
expression that does not give its figure is dropped.
"""

from __future__ import annotations

import ast
import json
import math
import operator
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from importlib.resources import files
from typing import Any, NamedTuple

from wood_xl.data.load import constants
from wood_xl.ids import State
from wood_xl.notes.names import plain
from wood_xl.notes.typed import minutes_of_clock
from wood_xl.results.figures import grouped
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words
from wood_xl.units import convert, units_in_a_cord

AGREES = 1e-6  # relative difference of an expression from its figure, as its parts are rounded
CORD, PER_CORD = "cord", "/cord"
MONEY = "money"
NOTES, FACTOR = "notes", "factor"
TOTAL, CORDS, OWN = "total", "cords", "own"
NAME_KEYS = ("method", "task", "session", "person")
TOOL = "tool"
CLOCKS = ("start", "stop")
NOTED_BY = {"people": ("person",), "sessions": ("session", "person"), "tools": (TOOL,)}  # what identifies a row
PLACED = ("tools", "species", "lots")  # places that rows of two tables must share
BETWEEN = "; "  # between the names of a figure
HIGHEST = 4  # rank of a part that never needs brackets
OPERATORS: dict[type[ast.operator], tuple[str, int, Callable[[float, float], float]]] = {
    ast.Add: (" + ", 1, operator.add),
    ast.Sub: (" - ", 1, operator.sub),
    ast.Mult: (" x ", 2, operator.mul),
    ast.Div: (" / ", 2, operator.truediv),
    ast.Pow: (" ^ ", 3, operator.pow),
}

Row = dict[str, Any]


class NotMade(Exception):
    """A part of an expression is not in these results."""


class Part(NamedTuple):
    """A number of an expression with its place: ``link`` begins with ``figures``, ``inputs`` or ``factors``."""

    number: float
    unit: str
    link: str = ""
    figure: Row | None = None
    addends: tuple[tuple[Row, Made], ...] = ()


class Made(NamedTuple):
    """An expression with its parts in their order."""

    node: ast.expr
    number: float
    parts: Mapping[ast.expr, Part]

    def text(self, name: Callable[[Part], str]) -> str:
        """The expression with names in place of its parts."""
        return self._text(self.node, name)[0]

    def numbers(self, show: Callable[[float], str]) -> str:
        """The expression with numbers in place of its parts; those below 0 in brackets."""

        def shown(part: Part) -> str:
            text = show(part.number)
            return f"({text})" if text.startswith("-") else text

        return self.text(shown)

    def again(self, show: Callable[[float], str]) -> float:
        """The result that the numbers give as they are shown."""
        return _value(self.node, lambda node: float(show(self.parts[node].number).replace(",", "")))

    def _text(self, node: ast.expr, name: Callable[[Part], str]) -> tuple[str, int]:
        if node in self.parts:
            return name(self.parts[node]), HIGHEST
        if isinstance(node, ast.Constant):
            return f"{float(str(node.value)):g}", HIGHEST
        if isinstance(node, ast.UnaryOp):
            return f"(-{self._text(node.operand, name)[0]})", HIGHEST
        if isinstance(node, ast.BinOp):
            sign, rank, _ = OPERATORS[type(node.op)]
            left, right = self._text(node.left, name), self._text(node.right, name)
            first = f"({left[0]})" if left[1] < rank else left[0]
            is_apart = right[1] < rank or (right[1] == rank and type(node.op) in (ast.Sub, ast.Div))
            return f"{first}{sign}{f'({right[0]})' if is_apart else right[0]}", rank
        inner = node.args[0] if isinstance(node, ast.Call) else node  # of abs
        return f"|{self._text(inner, name)[0]}|", HIGHEST


@cache
def _definition() -> tuple[frozenset[str], Mapping[str, tuple[str, ...]]]:
    data = json.loads(files("wood_xl.results").joinpath("made_of.json").read_text(encoding="utf-8"))
    return frozenset(data["per_cord"]), {key: tuple(texts) for key, texts in data["made_of"].items()}


def expressions() -> Mapping[str, tuple[str, ...]]:
    """For each column of figures that follow from others, the expressions that may give them."""
    return _definition()[1]


def ref_of(figure: Mapping[str, Any]) -> str:
    """Table and column of a figure."""
    return str(figure["id"]).partition(" ")[0]


def names_in(figure: Mapping[str, Any], key: str) -> list[str]:
    """Names of one kind in a figure."""
    return [name for name in str(figure[key]).split(BETWEEN) if name]


class Results:
    """Figures of a results document by id and by column (``table.column``), with the notes that they rest on."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self.currency: str = document["season"]["currency"]  # code; empty if nobody wrote it
        self.notes: Mapping[str, Any] = document["inputs"]
        self.is_metric = document["provenance"]["display_units"] == "metric"
        volume = season_definition().column("season.yearly_volume")
        self._wood_unit = volume.unit_in("metric" if self.is_metric else "us")
        self._units_in_a_cord = units_in_a_cord("metric" if self.is_metric else "us")
        self.by_id: dict[str, Row] = {row["id"]: row for row in document["figures"]}
        self._made: dict[str, Made | None] = {}
        self._read = {row["id"] for row in document["factors"]}
        self.by_ref = grouped(document["figures"], ref_of)

    def is_money(self, unit: str) -> bool:
        """Whether a unit is of money, or of a price per unit."""
        return unit.startswith(MONEY) or bool(self.currency and unit.startswith(self.currency))

    @cached_property
    def counted(self) -> set[str]:
        """Sessions that count."""
        counts = words(State.COUNTS)
        return {row["session"] for row in self.document["sessions"] if row["state"] == counts}

    def shown(self, figure: Mapping[str, Any]) -> tuple[float, str]:
        """Value and unit of a figure; per cord and in cords they are turned into the pages' unit of wood.

        Errors: NotMade if it has no value.
        """
        if figure["value"] is None:
            raise NotMade(figure["id"])
        value, unit = float(figure["value"]), str(figure["unit"])
        if not self.is_metric:
            return value, unit
        if unit == CORD:
            return value * self._units_in_a_cord, self._wood_unit
        if unit.endswith(PER_CORD):
            return value / self._units_in_a_cord, f"{unit.removesuffix(PER_CORD)}/{self._wood_unit}"
        return (value / self._units_in_a_cord if ref_of(figure) in _definition()[0] else value), unit

    def made(self, figure: Row) -> Made | None:
        """The expression that gives a figure; None if the results do not hold all of its parts."""
        key = str(figure["id"])
        if key not in self._made:
            self._made[key] = self._making(figure)
        return self._made[key]

    def _making(self, figure: Row) -> Made | None:
        for text in expressions().get(ref_of(figure), ()):
            try:
                number, _ = self.shown(figure)
                sex = self._sex(figure) if "{sex}" in text else ""
                filled = text.replace("{figure}", figure["figure"] or figure["measure"]).replace("{sex}", sex)
                made = self._of_node(ast.parse(filled, mode="eval").body, figure)
            except (NotMade, ArithmeticError, ValueError, KeyError):
                continue
            if math.isclose(made.number, number, rel_tol=AGREES, abs_tol=0.0):
                return made
        return None

    def noted(self, sheet: str) -> Sequence[Row]:
        """Rows of a sheet of the notes; a list of items is one row."""
        content = self.notes.get(sheet) or []
        return [content] if isinstance(content, dict) else content

    def note(self, sheet: str, column: str, figure: Mapping[str, Any]) -> tuple[float, str, str]:
        """Number, unit and place of a note: an item, or a cell of the row that a figure is about.

        A clock time is given in minutes from midnight.

        Errors: NotMade if nobody wrote it.
        """
        for index, row in enumerate(self.noted(sheet)):
            if column in CLOCKS and column in row and self._is_about(sheet, row, figure):
                return minutes_of_clock(row[column]), "min", f"inputs/{sheet}/{index}/{column}"
            if isinstance(row.get(column), int | float) and self._is_about(sheet, row, figure):
                unit = str(self.notes["units"].get(sheet, {}).get(column, ""))
                return float(row[column]), unit, f"inputs/{sheet}/{index}/{column}"
        raise NotMade(f"{sheet}.{column}")

    def _is_about(self, sheet: str, row: Row, figure: Mapping[str, Any]) -> bool:
        """Whether a row of the notes is that of the session, person or tool that a figure is about."""
        keys = NOTED_BY.get(sheet, ())
        named = [key for key in keys if key != TOOL and figure[key]]
        if any(plain(str(row.get(key, ""))) != plain(str(figure[key])) for key in named):
            return False
        tool = plain(self.tool_of(figure)) if TOOL in keys else ""
        return TOOL not in keys or (bool(tool) and plain(str(row.get(TOOL, ""))) == tool)

    @cached_property
    def _tools(self) -> dict[str, str]:
        """Name of each tool of the notes by its place in ids."""
        typed: dict[str, str] = {}
        for row in self.noted("tools"):
            if TOOL in row:
                typed.setdefault(plain(str(row[TOOL])), str(row[TOOL]))
        return {f"tools.{number}": name for number, name in enumerate(typed.values(), start=1)}

    def tool_of(self, figure: Mapping[str, Any]) -> str:
        """Name of the tool that a figure is about; empty if it is about none."""
        return next((self._tools[part] for part in str(figure["id"]).split(" ") if part in self._tools), "")

    def _sex(self, figure: Mapping[str, Any]) -> str:
        for row in self.noted("people"):
            if plain(str(row.get("person", ""))) == plain(str(figure["person"])) and "equation_sex" in row:
                return str(row["equation_sex"])
        raise NotMade("sex")

    def _of_node(self, node: ast.expr, figure: Row) -> Made:
        parts: dict[ast.expr, Part] = {}

        def part(node: ast.expr) -> float:
            parts[node] = self._part(node, figure)
            return parts[node].number

        return Made(node, _value(node, part), parts)

    def _part(self, node: ast.expr, figure: Row) -> Part:
        if isinstance(node, ast.Call):
            called = node.func.id if isinstance(node.func, ast.Name) else ""
            if called == TOTAL:
                return self._total(node.args[0], figure)
            inner = self._part(node.args[0], figure)
            unit = self._wood_unit if called == CORDS else self.shown(figure)[1]
            return Part(convert(inner.number, inner.unit, unit), unit, inner.link, inner.figure)
        nth = 0
        if isinstance(node, ast.Subscript):
            nth = int(ast.unparse(node.slice))
            node = node.value
        name = ast.unparse(node)
        first, _, rest = name.partition(".")
        if first == NOTES:
            sheet, _, column = rest.partition(".")
            number, unit, link = self.note(sheet, column, figure)
            standard = season_definition().column(rest).unit
            is_body = sheet == "people" and unit and standard
            return Part(convert(number, unit, standard), standard, link) if is_body else Part(number, unit, link)
        if first == FACTOR:
            if rest not in self._read:
                raise NotMade(rest)
            one = constants()[rest]
            return Part(one.value, one.unit, f"factors/{rest}")
        rows = list(self._matching(name if rest else f"{ref_of(figure).partition('.')[0]}.{name}", figure, nth))
        if len(rows) != 1:
            raise NotMade(name)
        return Part(*self.shown(rows[0]), f"figures/{rows[0]['id']}", rows[0])

    def _total(self, node: ast.expr, figure: Row) -> Part:
        first = next(part for part in ast.walk(node) if isinstance(part, ast.Attribute))
        rows = list(self._matching(ast.unparse(first), figure, 0))
        if not rows:
            raise NotMade(ast.unparse(node))
        addends = tuple((row, self._of_node(node, row)) for row in rows if row["value"] is not None)
        unit = self.shown(addends[0][0])[1] if addends else ""
        return Part(math.fsum(made.number for _, made in addends), unit, f"figures/{rows[0]['id']}", addends=addends)

    def _matching(self, ref: str, figure: Row, nth: int) -> Iterator[Row]:
        """Figures of a column about the same as a figure, or about its ``nth`` method if that is not 0."""
        table, where = ref_of(figure).partition(".")[0], str(figure["id"]).partition(" ")[2]
        if ref.partition(".")[0] == table:
            same = self.by_id.get(f"{ref} {where}".rstrip())
            yield from () if same is None else (same,)
            return
        methods = names_in(figure, "method")
        if nth > len(methods):
            raise NotMade(ref)
        about = {**figure, "method": methods[nth - 1]} if nth else figure
        named = figure["figure"] or figure["measure"]
        for row in self.by_ref.get(ref, ()):
            if row["figure"] and row["figure"] != named:
                continue
            if row["session"] and not figure["session"] and row["session"] not in self.counted:
                continue
            if all(_alike(names_in(row, key), names_in(about, key)) for key in NAME_KEYS) and _shares(row, figure):
                yield row


def _alike(some: Sequence[str], others: Sequence[str]) -> bool:
    """Whether one of two lists of names holds all of the other, which may be empty."""
    return set(some) <= set(others) or set(others) <= set(some)


def _shares(row: Row, figure: Row) -> bool:
    """Whether two figures name the same tool, species, lot or id, where both name one."""
    places = [str(one["id"]).split(" ")[1:] for one in (row, figure)]
    for prefix in (*PLACED, ""):
        some, others = ({part for part in parts if part[: max(0, part.find("."))] == prefix} for parts in places)
        if some and others and some.isdisjoint(others):
            return False
    return True


def _value(node: ast.expr, part: Callable[[ast.expr], float]) -> float:
    if isinstance(node, ast.Constant):
        return float(str(node.value))
    if isinstance(node, ast.UnaryOp):
        return -_value(node.operand, part)
    if isinstance(node, ast.BinOp):
        return OPERATORS[type(node.op)][2](_value(node.left, part), _value(node.right, part))
    if isinstance(node, ast.Call) and ast.unparse(node.func) == "abs":
        return abs(_value(node.args[0], part))
    return part(node)
