"""Sums of figures of several methods, by draws that all of them share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wood_xl.draws.ensemble import Number, total
from wood_xl.draws.figure import Figure, sum_of
from wood_xl.reasons import Reason, Said, said

FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e")


@dataclass(frozen=True)
class DrawnFigures:
    """Figures per cord of each method, with members that all of them share.

    figures: of each method by their ids.
    """

    figures: Mapping[str, Mapping[str, Figure]]

    def along(self, by_method: Mapping[str, float], key: str) -> Number:
        """Sum of a figure over methods, each times its cords."""
        return total(cords * self.figures[name][key].number for name, cords in by_method.items())

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the ends that the methods' own leave.

        Cords below 0 take a method off: so the difference of two ways is in no doubt by what they share.
        """
        return sum_of({name: self.figures[name][key] for name in by_method}, by_method, _of_method)


def _of_method(name: str, figure: Figure) -> Said:
    return said(Reason.OF_METHOD, method=name, why=figure.reason)
