"""Each combination over a usual year: what it takes, the energy bought for its heat, and the strain seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from wood_xl.air.accounts import BOUGHT_ENERGY
from wood_xl.air.energy_return import heat_for_energy
from wood_xl.body.strain import worst_strain
from wood_xl.body.tables import StrainRow
from wood_xl.choice.combinations import FIGURES, CombinationStudy
from wood_xl.choice.surety import DrawnFigures
from wood_xl.choice.tables import CombinationRow
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Phrase, Strain
from wood_xl.reasons import Reason, Said, said, several
from wood_xl.warmth.doubt import Unsure

ENERGY = BOUGHT_ENERGY.id

Row = dict[str, Any]


@dataclass(frozen=True, eq=False)
class CombinationYearRow(TableRow):
    """One combination over a usual year."""

    table: ClassVar[str] = "combinations_year"
    combination: str
    clock_hours: Figure
    worker_hours: Figure
    kcal_net: Figure
    cash: Figure
    cash_and_time: Figure
    co2e: Figure
    bought: Figure
    energy_return: Figure
    strain: Said | None


def combination_year_rows(
    study: CombinationStudy | None,
    combinations: Sequence[CombinationRow],
    rates: SeasonRates,
    delivered: Unsure,
    flags: Mapping[str, Strain | Phrase],
) -> Iterator[CombinationYearRow]:
    """One row for each combination."""
    totals = {t.method.name: t for t in rates.study.totals}
    energy = {name: {ENERGY: rates.figure(t, ENERGY)} for name, t in totals.items()}
    drawn = DrawnFigures(energy)
    for combination, row in zip(study.combinations if study is not None else (), combinations, strict=True):
        bought = drawn.sum_figure(dict.fromkeys(combination.methods, 1.0), ENERGY)
        methods = [totals[method] for method in combination.methods]
        yield CombinationYearRow(
            combination=row.combination,
            **{key: _in_a_year(row.figure_of(key), rates.study.yearly_cords) for key in FIGURES},
            bought=_in_a_year(bought, rates.study.yearly_cords),
            energy_return=heat_for_energy(delivered, methods, BOUGHT_ENERGY, rates),
            strain=several(
                [said(Phrase.STRAIN_SEEN, method=name, strain=flags[name]) for name in combination.methods]
            ),
        )


def strain_flags(strain: Iterable[StrainRow], totals: Iterable[MethodTotals]) -> dict[str, Strain | Phrase]:
    """The worst strain in all sessions of each method, counted or not."""
    seen: dict[str, list[Strain]] = {}
    for row in strain:
        seen.setdefault(row.session, []).append(row.strain)
    return {
        t.method.name: worst_strain(one for f in t.every for one in seen.get(f.session.name, [Strain.NOT_KNOWN]))
        for t in totals
    }


def _in_a_year(figure: Figure, cords: float | None) -> Figure:
    """A figure per cord over the year, with its interval."""
    if figure.value is None:
        return figure
    return not_given(said(Reason.NO_YEARLY_VOLUME)) if cords is None else figure.times(cords)
