"""Each way of the whole job over a usual year: what it takes, the energy bought for its heat, the strain seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import ClassVar

from wood_xl.air.accounts import BOUGHT_ENERGY
from wood_xl.air.energy_return import heat_for_energy
from wood_xl.body.strain import worst_strain
from wood_xl.body.tables import StrainRow
from wood_xl.choice.drawn import FIGURES, DrawnFigures
from wood_xl.choice.whole_job import WholeJobRow
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Phrase, Strain
from wood_xl.reasons import Reason, Said, said, several
from wood_xl.verdicts import BestFor
from wood_xl.warmth.doubt import Unsure

ENERGY = BOUGHT_ENERGY.id


@dataclass(frozen=True, eq=False)
class WholeJobYearRow(TableRow):
    """One way of the whole job over a usual year."""

    table: ClassVar[str] = "combinations_year"
    best_for: BestFor
    methods: tuple[str, ...]
    clock_hours: Figure
    worker_hours: Figure
    kcal_net: Figure
    cash: Figure
    cash_and_time: Figure
    co2e: Figure
    bought: Figure
    energy_return: Figure
    strain: Said | None


def whole_job_year_rows(
    jobs: Iterable[WholeJobRow], rates: SeasonRates, delivered: Unsure, flags: Mapping[str, Strain | Phrase]
) -> Iterator[WholeJobYearRow]:
    """One row for each way."""
    totals = {t.method.name: t for t in rates.study.totals}
    drawn = DrawnFigures({name: {ENERGY: rates.figure(t, ENERGY)} for name, t in totals.items()})
    cords = rates.study.yearly_cords
    for job in jobs:
        without = not_given(job.worker_hours.reason)
        bought = drawn.sum_figure(dict.fromkeys(job.methods, 1.0), ENERGY) if job.methods else without
        methods = [totals[method] for method in job.methods]
        yield WholeJobYearRow(
            best_for=job.best_for,
            methods=job.methods,
            **{key: _in_a_year(job.figure_of(key), cords) for key in FIGURES},
            bought=_in_a_year(bought, cords),
            energy_return=heat_for_energy(delivered, methods, BOUGHT_ENERGY, rates) if methods else without,
            strain=several([said(Phrase.STRAIN_SEEN, method=name, strain=flags[name]) for name in job.methods]),
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
