"""Every figure of the invented seasons has an interval around it, or says why it has none."""

from __future__ import annotations

import pytest
from builders import demo_results
from few import few
from figures import figures_of, without_word

from wood_xl.demo import demo_names

MONEY_TABLES = {"rates_per_cord": "cash", "money_per_cord": "cash", "money_views": "cash"}
CO2E_TABLES = {"rates_per_cord": "co2e", "emissions_per_cord": "co2e"}


@pytest.fixture(scope="module", params=few(demo_names(), "hill_farm_us"))
def results(request: pytest.FixtureRequest) -> dict[str, object]:
    return demo_results(request.param)


def test_every_figure_has_ends_or_a_reason(results: dict[str, object]) -> None:
    assert without_word(results) == []
    assert sum(figure["low"] is not None for _, figure in figures_of(results)) > 500


@pytest.mark.parametrize("places", [MONEY_TABLES, CO2E_TABLES])
def test_a_figure_has_the_same_ends_wherever_it_stands(results: dict[str, object], places: dict[str, str]) -> None:
    shown: dict[str, set[tuple[float, float, float]]] = {}
    for table, column in places.items():
        for row in results[table]:  # type: ignore[attr-defined]
            figure = row[column]
            shown.setdefault(row["method"], set()).add((figure["value"], figure["low"], figure["high"]))
    assert shown
    assert all(len(figures) == 1 for figures in shown.values())
