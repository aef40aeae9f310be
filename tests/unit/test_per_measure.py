"""Figures for a stacked or solid cubic meter and a square meter sawn: what two measures share cancels."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from builders import Data, records, season_rates, small_season, tables
from few import together

from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import WORLDS
from wood_xl.hours.common import TAPE, usual_fraction
from wood_xl.season import SeasonTables

CUBIC_METERS_IN_A_CORD = 128 * 0.3048**3
TABLES = ("per_stacked_m3", "per_solid_m3", "per_sawn_m2")
FIGURES = ("clock_hours", "worker_hours", "cash", "co2e")


def row(found: SeasonTables, table: str, method: str) -> Data:
    return next(one for one in found.tables[table] if one["method"] == method)


@pytest.fixture(scope="module")
def small() -> SeasonTables:
    return tables(small_season())


@together(("method", "column"), [*product(("By bow saw", "By chain saw"), FIGURES)])
def test_each_is_the_figure_of_a_cord_times_the_wood(small: SeasonTables, method: str, column: str) -> None:
    for_a_cord = row(small, "rates_per_cord", method=method)[column]
    wood = row(small, "methods", method=method)
    stacked, solid = (wood[key].value for key in ("stacked_volume", "solid_volume"))
    assert row(small, "per_stacked_m3", method=method)[column].value == pytest.approx(
        for_a_cord.value / CUBIC_METERS_IN_A_CORD
    )
    assert row(small, "per_solid_m3", method=method)[column].value == pytest.approx(
        for_a_cord.value / CUBIC_METERS_IN_A_CORD * stacked / solid
    )


def test_what_is_common_to_both_measures_cancels_member_by_member() -> None:
    """With cuts alone a cord depends on the usual solid fraction, a solid cubic meter does not."""
    data = small_season()
    data["stacks"] = []
    found = tables(data)
    cord = row(found, "rates_per_cord", method="By bow saw")["worker_hours"].members
    stacked, solid, sawn = (row(found, table, method="By bow saw")["worker_hours"].members for table in TABLES)
    usual = usual_fraction(records(data))
    assert usual is not None
    assert np.std(np.log(cord / stacked)) == pytest.approx(0.0, abs=1e-12)
    assert np.std(np.log(cord / solid)[1:]) == pytest.approx(usual[1], rel=0.05)
    assert np.std(np.log(sawn / solid)[1:]) == pytest.approx(value("tape.scale_u") / 100, rel=0.05)


def test_without_wood_there_is_no_figure_and_its_reason_is_that_of_the_cord() -> None:
    data = small_season()
    data["sessions"][0]["leave_out"] = "rain"
    made = tables(data)
    for table in TABLES:
        for one, of_cord in zip(made.tables[table], made.tables["rates_per_cord"], strict=True):
            assert one["method"] == of_cord["method"]
            assert (one["worker_hours"].value is None) == (of_cord["worker_hours"].value is None)
            if one["worker_hours"].value is None:
                assert one["worker_hours"].reason == of_cord["worker_hours"].reason
    assert len(season_rates(small_season()).study.totals) == len(made.tables["per_solid_m3"])


def test_a_tape_that_tells_more_wood_tells_fewer_hours_and_a_denser_stack_more() -> None:
    """Cuts alone: cords follow from the tape and the usual solid fraction, and hours are for a cord."""
    rates = season_rates(small_season())
    usual = usual_fraction(rates.study.season)
    assert usual is not None
    logs = np.log(rates.taken.wood(rates.study.totals[1]))
    by_tape, by_fraction = (np.corrcoef(logs, WORLDS.scores(key))[0, 1] for key in (TAPE, usual[0]))
    assert by_tape < -0.1
    assert by_fraction > 0.9


def wood_of(session: str, form: str, *, in_lot: bool) -> Data:
    data = small_season()
    as_ranked = value(f"solid_fraction.{form.replace(' ', '_')}") / value("solid_fraction.ranked_split")
    data["stacks"][0] |= {"form": form, "length": 1 / as_ranked}
    if not in_lot:
        del data["sessions"][2]["lot"]
    return next(one for one in tables(data).tables["sessions"] if one["session"] == session)


def more_doubt(session: str, form: str, measure: str, *, in_lot: bool) -> float:
    """Variance of the log that the form adds to ranked wood, over that of its own range."""
    found = (wood_of(session, one, in_lot=in_lot)[measure] for one in (form, "ranked split"))
    turned, ranked = (math.log(one.high / one.low) for one in found)
    published = constant(f"solid_fraction.{form}")
    return (turned**2 - ranked**2) / math.log(published.high / published.low) ** 2


@together(("form", "measure"), [*product(("crossed", "loose"), ("cords", "solid_volume", "sawn_area"))])
def test_wood_that_was_not_ranked_is_less_sure(form: str, measure: str) -> None:
    assert more_doubt("C", form, measure, in_lot=False) == pytest.approx(1, rel=0.15)


def test_what_the_stacks_of_a_lot_are_as_ranked_wood_cancels_in_its_solid_wood() -> None:
    assert more_doubt("A", "loose", "cords", in_lot=True) == pytest.approx(1, rel=0.15)
    assert more_doubt("C", "loose", "solid_volume", in_lot=True) == pytest.approx(0, abs=0.02)
