"""The document of a study as its pages read it: compared ways in order, ratios, amounts, names of kinds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

from wood_xl.data.cautions import cautions_for
from wood_xl.data.trade import tasks
from wood_xl.page_texts import Counting, KindName, OnStudy, SeasonsOf
from wood_xl.reasons import Ranged
from wood_xl.report.figure_text import MONEY, figure_text, inverse, ranged
from wood_xl.report.view import DocumentView, task_name
from wood_xl.results.parts import KINDS_JOINT
from wood_xl.results.pooling import OF_MONEY
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import joined, key_words, phrase, words
from wood_xl.verdicts import Surety

Row = Mapping[str, Any]
Pair = tuple[str, str, str]  # task, kind and other kind

CODE_LETTERS = 3


class StudyView(DocumentView):
    """The document of a study."""

    def __init__(self, document: Row) -> None:
        super().__init__(document, study_definition(), "")  # rows of money each name their currency
        self.households: list[Row] = document["households"]
        self.invented = self.mark = str(document["provenance"]["invented"])  # empty if all was measured
        self.is_one_household = document["provenance"]["seasons_of"] == SeasonsOf.ONE_HOUSEHOLD.key
        self.is_both = document["provenance"]["counting"] == Counting.BOTH.key

    @cached_property
    def facts(self) -> dict[str, str]:
        """The same, with households or seasons of one household."""
        unit, units = (
            (OnStudy.UNIT_OF_ONE, OnStudy.UNITS_OF_ONE) if self.is_one_household else (OnStudy.UNIT, OnStudy.UNITS)
        )
        return {**super().facts, "unit": words(unit), "units": words(units)}

    def count(self, n: int) -> str:
        """A number of households, or of seasons, in words."""
        return self.say(OnStudy.ONE) if n == 1 else self.say(OnStudy.HOUSEHOLDS, n=n)

    @property
    def title(self) -> str:
        """Name of the study, for titles and footers."""
        n = len(self.households)
        return phrase(OnStudy.NAME_OF_ONE, n=n) if self.is_one_household and n > 1 else self.count(n)

    @cached_property
    def pairs(self) -> list[Pair]:
        """Compared ways, those that more households tried first, then in the order of the tasks."""
        order = list(tasks())
        pairs = dict.fromkeys((row["task"], row["kind"], row["other"]) for row in self.document["pairs"])
        return sorted(pairs, key=lambda pair: (-self.households_n(pair), order.index(pair[0])))

    @cached_property
    def caution_ids(self) -> set[str]:
        """Ids of the cautions for the tools that the households worked with."""
        ways = ways_of(self.document["methods"])
        return {caution.id for task, kinds in ways for caution in cautions_for(kinds.split(KINDS_JOINT), task)}

    def of_pair(self, pair: Pair) -> list[Row]:
        """Rows of two ways, one for each figure."""
        return self.rows("pairs", **dict(zip(("task", "kind", "other"), pair, strict=True)))

    def households_n(self, pair: Pair) -> int:
        """How many households tried both ways."""
        return max(int(row["households_n"]) for row in self.of_pair(pair))

    def amount(self, cell: Row, row: Row) -> str:
        """A rate for the pages' unit of wood, or an amount of money for an hour, with its range."""
        shown = cell if row.get("other") else self.per_unit(cell)
        unit = MONEY if row["measure"] in OF_MONEY else ""
        return figure_text({**shown, "unit": unit}, row["money"][:CODE_LETTERS])

    def scaled(self, row: Row) -> Ranged:
        """A household's rate for the pages' unit of wood; a ratio stays as it is."""
        return ranged(row if row["other"] else self.per_unit(row))


def kind_name(kind: str) -> str:
    """A kind of tools in words."""
    return next((words(name) for name in KindName if name.key == kind), kind)


def way_name(task: str, kind: str) -> str:
    """Task and kind of tools."""
    return phrase(OnStudy.WAY, task=task_name(task), kind=kind_name(kind))


def ways_of(rows: Iterable[Row]) -> list[tuple[str, str]]:
    """Task and kind of each way in some rows, in the order of the tasks."""
    order = list(tasks())
    return sorted(dict.fromkeys((row["task"], row["kind"]) for row in rows), key=lambda way: order.index(way[0]))


def pair_name(pair: Pair) -> str:
    """Task and both ways."""
    task, kind, other = pair
    return phrase(OnStudy.PAIR, task=task_name(task), one=kind_name(kind), other=kind_name(other))


def with_money(text: str, row: Row) -> str:
    """A text with the currency and year of its money, if it is about money."""
    return phrase(OnStudy.IN_MONEY, told=text, money=row["money"]) if row["money"] else text


def figure_name(row: Row) -> str:
    """Name of a figure, with the currency and year of its money."""
    return with_money(key_words("Studied", row["measure"]), row)


def best_known(rows: Iterable[Row], most: int) -> list[Row]:
    """The amounts of money that most households give, the latest prices first."""
    return sorted(rows, key=lambda row: (row["households_n"], row["money"]), reverse=True)[:most]


def ratio_of(row: Row, part: str = "value") -> tuple[str, Ranged]:
    """The way that takes more, and how many times as much."""
    number = ranged(row[part])
    return (row["kind"], number) if row["value"]["value"] >= 1 else (row["other"], inverse(number))


def surety_text(key: str) -> str:
    """Surety in words; a study has no reader of its own, so ``same`` speaks of no margin of yours."""
    return words(OnStudy.SAME) if key == Surety.SAME.key else key_words("Surety", key)


def some_of(names: Sequence[str], most: int) -> str:
    """Names in a sentence; of more than so many the first, and the number of the others."""
    if len(names) <= most:
        return joined(names)
    return phrase(OnStudy.AND_MORE, told=", ".join(names[:most]), n=len(names) - most)
