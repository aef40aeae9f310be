"""How sure the figures of a season are, from notes to tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from builders import Data, raw_book, small_season, tables

from wood_xl.draws.figure import Figure
from wood_xl.draws.moderated import rate_of_sessions
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import check_season
from wood_xl.pipeline import score_file
from wood_xl.schema.words import words
from wood_xl.season import season_tables

ROOT = Path(__file__).parents[2]
HAND, SAW = "By bow saw", "By chain saw"
Logs = Sequence[tuple[float, int]]  # diameter [cm], cuts alike
STEADY: Logs = [(20.0, 10)]
DAYS = [1 + i % 28 for i in range(2000)]


def trial(
    method: str,
    minutes: Sequence[float],
    *,
    logs: Sequence[Logs] | None = None,
    days: Sequence[int] | None = None,
    lot: str | None = None,
) -> tuple[list[Data], list[Data]]:
    """Sessions of one method and their cuts."""
    sessions, cuts = [], []
    for i, time in enumerate(minutes):
        name = f"{method[3]}{i}"
        row = {
            "session": name,
            "method": method,
            "elapsed_time": time,
            "date": f"2026-03-{(days or range(1, 29))[i]:02}",
        }
        if method == SAW:
            row["fuel_used"] = 0.5
        sessions.append(row | ({"lot": lot} if lot else {}))
        cuts += [{"session": name, "diameter": d, "cuts": n} for d, n in (logs[i] if logs else STEADY)]
    return sessions, cuts


def season(*trials: tuple[list[Data], list[Data]], **items: Any) -> Data:
    data = small_season() | {"helpers": [], "stacks": []}
    data["sessions"] = [dict(row) for sessions, _ in trials for row in sessions]
    data["cuts"] = [dict(row) for _, cuts in trials for row in cuts]
    data["season"] |= items
    data["units"]["cuts"]["cut_time"] = "s"
    return data


def rows(data: Data, table: str, **wanted: str) -> list[dict[str, Any]]:
    found = tables(data).tables[table]
    return [row for row in found if all(row[key] == value for key, value in wanted.items())]


def remarks(data: Data, code: str) -> list[dict[str, str]]:
    return [facts for found, _, facts in tables(data).remarks if found == code]


def ends(figure: Figure) -> tuple[float | None, float | None, float | None]:
    return figure.low, figure.value, figure.high


FOUR, THREE = trial(HAND, [62, 58, 65, 60]), trial(SAW, [21, 24, 22])


def test_rates_carry_the_interval_of_their_sessions() -> None:
    cords = rows(season(FOUR), "methods")[0]["cords"].value
    rate = rate_of_sessions(amounts=[62 / 60, 58 / 60, 65 / 60, 60 / 60], quantities=[cords / 4] * 4)
    figure = rows(season(FOUR), "rates_per_cord")[0]["worker_hours"]
    common = (3 * 0.005) ** 2 + math.log1p((0.05 / 0.64) ** 2)  # a tape's scale in three sides; the solid fraction
    wide = math.exp(math.hypot(2.446912 * rate.se_log, 1.959964 * math.sqrt(common)))
    # 4096 draws of several inputs find an end to some 4 % of its distance, which is 0.32 by its log
    assert ends(figure) == pytest.approx((rate.value / wide, rate.value, rate.value * wide), rel=0.012)
    assert words(figure.reason) == ""


def test_wood_as_it_was_measured_hangs_on_no_solid_fraction() -> None:
    usual = rows(season(FOUR), "rates_per_cord")[0]["worker_hours"]
    written = rows(season(FOUR, solid_fraction=0.64), "rates_per_cord")[0]["worker_hours"]
    assert written.high / written.value < usual.high / usual.value
    stacks = season(FOUR) | {"cuts": []}
    stacks["stacks"] = [{"session": f"b{i}", "height": 0.5, "length": 1.0} for i in range(4)]
    stacked = rows(stacks, "rates_per_cord")[0]["worker_hours"]
    assert stacked.high / stacked.value == pytest.approx(written.high / written.value)


def test_how_sure_says_what_is_assumed_and_what_is_not() -> None:
    row = rows(season(FOUR, THREE), "how_sure", method=HAND, figure="worker_hours")[0]
    assert (row["sessions_n"], row["quality"], row["dominated_by"]) == (4, "fair", "")
    assert row["sessions_effective"].value == pytest.approx(4)
    inner, outer = row["data_only"], row["rate"]
    assert outer.low < inner.low < inner.value < inner.high < outer.high < row["next_session"].high
    logs = [math.log(m) for m in (62, 58, 65, 60)]
    mean = math.fsum(logs) / 4
    own = math.fsum((one - mean) ** 2 for one in logs)
    assert row["spread"].value == pytest.approx(100 * math.sqrt((3 * 0.25**2 + own) / 6))


def test_a_single_session_has_an_assumed_interval_only() -> None:
    row = rows(season(trial(HAND, [62]), solid_fraction=0.6), "how_sure", figure="clock_hours")[0]
    assert row["quality"] == "single try"
    assert (row["data_only"].value, words(row["data_only"].reason)) == (None, "one session shows no spread")
    assert row["rate"].high / row["rate"].value == pytest.approx(math.exp(3.18244630 * 0.25), rel=0.03)
    assert words(row["least"].reason) == "the only method of its task"
    assert row["further"] == "6 (if days differ more: 16)"


def test_sessions_of_another_method_change_nothing() -> None:
    alone = rows(season(FOUR), "how_sure", method=HAND)
    both = rows(season(FOUR, THREE), "how_sure", method=HAND)
    assert [row | {"least": None} for row in alone] == [row | {"least": None} for row in both]


def with_hearts(data: Data, rate: float) -> Data:
    for row in data["sessions"]:
        row |= {"person": "Ada", "mean_heart_rate": rate + 2 * int(row["session"][1])}
    return data


def test_one_equation_for_one_person_cancels_between_methods() -> None:
    data = with_hearts(season(FOUR, THREE), 118.0)
    row = rows(data, "how_sure", method=HAND, figure="kcal_net")[0]
    assert "heart-rate equation for Ada" in row["common_factors"]
    assert row["common_doubt"].value > 25  # rest is taken off, so that the net is less sure than the gross
    ratio = rows(data, "comparisons", figure="kcal_net")[0]["ratio"]
    others = season(FOUR, THREE)  # without a heart rate each method has an activity of its own in the table
    apart = rows(others, "comparisons", figure="kcal_net")[0]["ratio"]
    assert ratio.high / ratio.low < 2.5 < apart.high / apart.low


def test_a_ratio_too_unsure_for_an_interval_says_so_and_keeps_no_other_figure_back() -> None:
    """Two hearts hardly above rest, a worker for each method: each figure has ends, their ratio may be 0 or less."""
    data = season(trial(HAND, [60]), trial(SAW, [60]))
    data["people"] = [
        {"person": name, "mass": 70, "age": 40, "equation_sex": sex, "resting_heart_rate": 60}
        for name, sex in (("Ada", "female"), ("Bo", "male"))
    ]
    for session, name in zip(data["sessions"], ("Ada", "Bo"), strict=True):
        session |= {"person": name, "mean_heart_rate": 68}
    efforts = [row["kcal_net"] for row in rows(data, "rates_per_cord")]
    assert all(effort.low is not None for effort in efforts)
    row = rows(data, "comparisons", figure="kcal_net")[0]
    assert row["ratio"].value is None
    assert words(row["ratio"].reason) == "what is common is so unsure that the figure may be 0 or less"
    assert row["verdict"] == "cannot tell yet"
    assert rows(data, "comparisons", figure="worker_hours")[0]["ratio"].low is not None


def test_a_quantity_common_to_both_widens_the_figures_and_not_their_ratio() -> None:
    plain, doubtful = season(FOUR, THREE, solid_fraction=0.64), season(FOUR, THREE)
    rates = [rows(data, "rates_per_cord")[0]["worker_hours"] for data in (plain, doubtful)]
    assert rates[1].high > rates[0].high * 1.01
    ratios = [rows(data, "comparisons", figure="worker_hours")[0]["ratio"] for data in (plain, doubtful)]
    assert ends(ratios[1]) == pytest.approx(ends(ratios[0]))


def test_probabilities_of_taking_least_are_shared_out() -> None:
    found = rows(season(trial(HAND, [60, 62, 58]), trial(SAW, [55, 57, 56])), "how_sure", figure="worker_hours")
    least = {row["method"]: row["least"].value for row in found}
    assert sum(least.values()) == pytest.approx(100)
    assert 50 < least[SAW] < 95
    above = rows(season(trial(HAND, [60, 62, 58]), trial(SAW, [55, 57, 56])), "comparisons", figure="worker_hours")
    assert least[SAW] == pytest.approx(above[0]["takes_less"].value, abs=1.5)


@pytest.mark.slow
def test_the_common_draws_of_a_demo_season_take_less_than_a_second() -> None:
    records = season_records(check_season(read_workbook(ROOT / "demo" / "hill_farm_us.xlsx")))[0]
    season_tables(records)  # what is drawn once is kept

    def counted() -> float:
        started = process_time()
        season_tables(records)
        return process_time() - started

    totals = [counted() for _ in range(3)]
    assert min(totals) < 1.0


@pytest.mark.slow
def test_thousands_of_sessions_take_as_much_longer_as_there_are_more() -> None:
    def counted(sessions_n: int) -> float:
        trials = (trial(method, [55 + i % 13 for i in range(sessions_n // 2)], days=DAYS) for method in (HAND, SAW))
        records = season_records(check_season(raw_book(with_hearts(season(*trials), 118.0))))[0]
        started = process_time()
        season_tables(records)
        return process_time() - started

    counted(10)  # what is drawn once is kept
    assert counted(4000) < 11 * counted(400)


def test_a_comparison_puts_the_slower_first_and_is_the_quotient_of_the_rates() -> None:
    data = season(THREE, FOUR)
    row, *others = rows(data, "comparisons", figure="worker_hours")
    hand, saw = (rows(data, "rates_per_cord", method=m)[0]["worker_hours"].value for m in (HAND, SAW))
    assert others == []
    assert (row["more"], row["less"], row["ground"], row["counts"]) == (HAND, SAW, "all sessions", "yes")
    assert row["ratio"].value == pytest.approx(hand / saw)
    assert (row["verdict"], row["surety"], row["further"]) == (f"{SAW} takes less", "clearly", "none for the choice")
    assert row["data_only"].low > row["ratio"].low > 1


def test_wood_common_to_both_cancels() -> None:
    ratios = [
        rows(season(FOUR, THREE, solid_fraction=fraction), "comparisons", figure="worker_hours")[0]["ratio"]
        for fraction in (0.55, 0.75)
    ]
    assert ends(ratios[0]) == pytest.approx(ends(ratios[1]))


def test_the_margin_decides_what_is_the_same() -> None:
    alike = (trial(HAND, [60, 61, 60, 59, 60, 61, 60, 59]), trial(SAW, [60, 60, 61, 59, 60, 60, 59, 61]))
    narrow = rows(season(*alike, practical_margin=5), "comparisons", figure="worker_hours")[0]
    wide = rows(season(*alike, practical_margin=25), "comparisons", figure="worker_hours")[0]
    assert (narrow["verdict"], narrow["surety"]) == ("cannot tell yet", "cannot tell")
    assert (wide["verdict"], wide["further"]) == ("practically the same", "none for the choice")
    assert narrow["beyond_margin"].value > wide["beyond_margin"].value
    assert narrow["within_margin"].value < 60
    assert wide["within_margin"].value > 95


def test_a_broken_margin_holds_back_the_verdict_and_not_the_ratio() -> None:
    row = rows(season(FOUR, THREE, practical_margin=500), "comparisons", figure="worker_hours")[0]
    assert row["verdict"].startswith("needs Season!B")
    assert row["beyond_margin"].value is None
    assert row["ratio"].value > 1


def test_an_open_verdict_is_never_called_clear() -> None:
    """A one-sided 96 % is not yet a verdict, which asks for both sides."""
    data = season(trial(HAND, [60, 66, 54]), trial(SAW, [41, 44, 38]))
    row = rows(data, "comparisons", figure="worker_hours")[0]
    assert 95 < row["takes_less"].value < 97.5
    assert (row["verdict"], row["surety"]) == ("cannot tell yet", "probably")


@pytest.mark.parametrize(("shared", "grounds"), [(2, ["all sessions"]), (3, ["all sessions", "same day and lot"]),
                                                 (4, ["same day and lot", "all sessions"])])  # fmt: skip
def test_days_with_both_methods_count_once_there_are_enough(shared: int, grounds: list[str]) -> None:
    others = [20 + i for i in range(4 - shared)]
    data = season(
        trial(HAND, [58, 52, 63, 49], days=[1, 2, 3, 4], lot="North "),
        trial(SAW, [16, 14, 18, 13], days=[*range(1, shared + 1), *others], lot="north"),
    )
    found = rows(data, "comparisons", figure="worker_hours")
    assert [row["ground"] for row in found] == grounds
    assert [row["counts"] for row in found] == ["yes", "beside it"][: len(grounds)]
    if shared == 4:
        ratios = [58 / 16, 52 / 14, 63 / 18, 49 / 13]
        assert found[0]["ratio"].value == pytest.approx(math.prod(ratios) ** 0.25)


def test_another_lot_on_the_same_day_is_no_pair() -> None:
    data = season(
        trial(HAND, [58, 52, 63, 49], days=[1, 2, 3, 4], lot="North"),
        trial(SAW, [16, 14, 18, 13], days=[1, 2, 3, 4], lot="South"),
    )
    assert [row["ground"] for row in rows(data, "comparisons", figure="worker_hours")] == ["all sessions"]


def timed(per_cut_s: float, per_m2_s: float, diameters: Sequence[float]) -> list[float]:
    return [per_cut_s + per_m2_s * math.pi * (d / 200) ** 2 for d in diameters]


def by_log_size() -> Data:
    """Hand saw on thin logs and chain saw on thick ones; a few cuts of each timed over the whole range."""
    thin, thick = [[(12.0, 40)]] * 3, [[(32.0, 20)]] * 3
    hand = timed(20, 2600, [12.0])[0] * 40 / 60
    saw = timed(14, 560, [32.0])[0] * 20 / 60
    data = season(
        trial(HAND, [hand, hand * 1.02, hand * 0.98], logs=thin),
        trial(SAW, [saw, saw * 0.99, saw * 1.01], logs=thick),
    )
    sizes = [10.0, 15.0, 20.0, 25.0, 30.0, 35.0]
    for name, times in (("b0", timed(20, 2600, sizes)), ("c0", timed(14, 560, sizes))):
        data["cuts"] += [{"session": name, "diameter": d, "cut_time": t} for d, t in zip(sizes, times, strict=True)]
    return data


def test_unequal_logs_are_taken_out_where_cuts_were_timed() -> None:
    first, second, third = rows(by_log_size(), "comparisons", figure="worker_hours")
    assert (first["ground"], first["counts"]) == ("same logs, by time of a cut", "yes")
    assert (second["ground"], second["counts"]) == ("all sessions", "beside it")
    assert (third["ground"], third["counts"]) == ("same logs, by mean diameter", "beside it")
    assert first["ratio"].value < 0.7 * second["ratio"].value
    sizes = {row["method"]: row for row in rows(by_log_size(), "log_sizes")}
    assert sizes[HAND]["fitted_to"] == "6 timed cuts, scatter 0.0 s"
    assert sizes[HAND]["per_cut"].value == pytest.approx(20)
    assert sizes[SAW]["per_m2"].value == pytest.approx(560)
    shift = sizes[HAND]["to_common"].value / sizes[SAW]["to_common"].value
    assert first["ratio"].value == pytest.approx(second["ratio"].value * shift)


def test_logs_that_do_not_overlap_are_refused_in_words() -> None:
    data = season(
        trial(HAND, [60, 62, 64], logs=[[(12.0, 40)], [(13.0, 40)], [(14.0, 40)]]),
        trial(SAW, [20, 22, 21], logs=[[(30.0, 20)], [(31.0, 20)], [(33.0, 20)]]),
    )
    plain, by_cut, by_mean = rows(data, "comparisons", figure="worker_hours")
    assert (plain["ground"], plain["counts"]) == ("all sessions", "yes")
    assert words(by_cut["ratio"].reason) == "3 sessions with cuts, 4 are needed"
    assert words(by_mean["ratio"].reason) == "their logs do not overlap in size"
    assert by_mean["verdict"] == "cannot tell yet"


def test_session_means_adjust_where_they_overlap() -> None:
    hand, saw = [14.0, 18.0, 22.0, 26.0], [20.0, 24.0, 28.0, 33.0]
    rates = {HAND: [61.0, 55.0, 50.0, 47.0], SAW: [15.5, 13.8, 12.9, 12.1]}
    data = season(*(
        trial(
            method,
            [rate * 20 * math.pi * (d / 200) ** 2 for rate, d in zip(rates[method], sizes, strict=True)],
            logs=[[(d, 20)] for d in sizes],
        )
        for method, sizes in ((HAND, hand), (SAW, saw))
    ))  # fmt: skip
    grounds = {row["ground"]: row for row in rows(data, "comparisons", figure="worker_hours")}
    assert grounds["same logs, by mean diameter"]["ratio"].value == pytest.approx(3.45255666884, rel=1e-9)
    basis = "one power of the diameter for both, -0.45; as unlike by chance 19 %"
    assert words(grounds["same logs, by mean diameter"]["ratio"].basis) == basis
    assert sum(row["counts"] == "yes" for row in grounds.values()) == 1


def test_practice_is_shown_and_told() -> None:
    data = season(trial(HAND, [70, 63, 60, 57, 56, 54]))
    row = rows(data, "practice")[0]
    assert row["words"] == "less time as it went on"
    assert row["per_doubling"].value == pytest.approx(90.6132, abs=1e-4)
    assert row["by_chance"].value == pytest.approx(0.27778, abs=1e-5)
    cords = rows(data, "methods")[0]["cords"].value
    assert row["later_hours"].value == pytest.approx((57 + 56 + 54) / 60 / (cords / 2))
    assert remarks(data, "season-trend-shown") == [{"found": HAND, "what": "less time as it went on"}]


def test_order_of_days_and_not_of_rows_makes_a_trend() -> None:
    data = season(trial(HAND, [54, 70, 56, 63, 57, 60], days=[16, 11, 15, 12, 14, 13]))
    assert rows(data, "practice")[0]["words"] == "less time as it went on"


def test_four_sessions_are_too_few_for_a_trend() -> None:
    data = season(trial(HAND, [70, 60, 50, 40]))
    assert rows(data, "practice")[0]["words"] == "too few sessions to tell"
    assert remarks(data, "season-trend-shown") == []


def with_timed_cuts(times: Sequence[Sequence[float]]) -> Data:
    data = season(trial(HAND, [30.0] * len(times)))
    data["cuts"] = [
        {"session": f"b{i}", "diameter": 20.0, "cut_time": time} for i, row in enumerate(times) for time in row
    ]
    return data


def test_later_cuts_that_take_longer_are_told() -> None:
    data = with_timed_cuts([[30, 31, 29, 39, 40, 38], [30, 30, 31, 41, 40, 39], [29, 30, 30, 38, 40, 39]])
    row = rows(data, "practice")[0]
    assert row["timed_sessions_n"] == 3
    assert row["second_half"].low > 125
    assert remarks(data, "season-tired") == [{"found": HAND, "value": "31 %"}]
    assert remarks(with_timed_cuts([[30, 31, 29, 31, 30, 30], [31, 30, 30, 29, 31, 29]]), "season-tired") == []


def test_a_session_far_off_is_told_and_counts() -> None:
    minutes = [61, 58, 63, 59, 62, 180]
    data = season(trial(HAND, minutes))
    (facts,) = remarks(data, "season-session-far-off")
    assert (facts["session"], facts["found"], facts["value"]) == ("b5", HAND, "3.0")
    assert rows(data, "methods")[0]["sessions_n"] == 6
    assert remarks(season(trial(HAND, minutes[:5])), "season-session-far-off") == []


def test_a_cut_far_off_is_told() -> None:
    data = with_timed_cuts([[30, 31, 29, 30, 32, 300], [28, 31, 30, 29, 30, 31]])
    (facts,) = remarks(data, "season-cut-far-off")
    assert (facts["session"], facts["found"]) == ("b0", "300")


def test_a_session_that_outweighs_the_others_is_told() -> None:
    data = season(trial(HAND, [30, 31, 400], logs=[[(20, 5)], [(20, 5)], [(20, 70)]]))
    assert remarks(data, "season-session-dominates") == [{"session": "b2", "found": HAND}]
    assert rows(data, "how_sure")[0]["dominated_by"] == "b2"


def test_times_rounded_to_five_minutes_are_told() -> None:
    data = season(trial(HAND, [60, 45, 90, 75, 30, 62]))
    assert remarks(data, "season-times-rounded") == [{"found": "5", "value": "6"}]
    assert remarks(season(trial(HAND, [61, 47, 90, 73, 38, 62])), "season-times-rounded") == []


def test_a_figure_that_is_withheld_leaves_its_rows_in_place() -> None:
    """What a copy without body data computes must stand in the same rows."""
    data = season(
        trial(HAND, [58, 52, 63, 49], days=[1, 2, 3, 4], lot="North"),
        trial(SAW, [16, 14, 18, 13], days=[1, 2, 3, 4], lot="North"),
    )
    given = rows(data, "comparisons", figure="kcal_net")
    data["sessions"][0] |= {"person": "Ada", "mean_heart_rate": 5000}
    withheld = rows(data, "comparisons", figure="kcal_net")
    assert [(row["ground"], row["counts"]) for row in withheld] == [(row["ground"], row["counts"]) for row in given]
    assert len(withheld) == 2
    assert {words(row["ratio"].reason) for row in withheld} == {"needs Sessions!I4"}


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_row_has_the_unit_and_the_ends_of_its_figure(system: Any) -> None:
    results = score_file(ROOT / "demo" / "hill_farm_us.xlsx", system).results
    assert results is not None
    rates = {row["method"]: row for row in results["rates_per_cord"]}
    mass = "lb/cord" if system == "us" else "kg/cord"
    figures = {
        "Worker hours": ("worker_hours", "h/cord"),
        "Clock hours": ("clock_hours", "h/cord"),
        "Effort, net of rest": ("kcal_net", "kcal/cord"),
        "Cash": ("cash", "USD/cord"),
        "CO2e of the work": ("co2e", mass),
    }
    assert {row["figure"] for row in results["how_sure"]} == figures.keys()
    for row in results["how_sure"]:
        column, unit = figures[row["figure"]]
        assert row["unit"] == unit
        assert row["rate"]["unit"] == unit.replace("USD", "money")
        shown = rates[row["method"]][column]
        assert [row["rate"][key] for key in ("value", "low", "high", "reason")] == [
            shown[key] for key in ("value", "low", "high", "reason")
        ]


def with_fuel(data: Data, litres: Sequence[float | None]) -> Data:
    """The chain saw's sessions with the fuel that they wrote down; None where they wrote none."""
    saws = [row for row in data["sessions"] if row["method"] == SAW]
    for row, used in zip(saws, litres, strict=True):
        del row["fuel_used"]
        if used is not None:
            row["fuel_used"] = used
    return data


def test_co2e_of_the_fuel_alone_is_as_sure_as_the_fuel() -> None:
    # The saw's share of its making is a thousandth part here, so that the CO2e goes with the fuel.
    data = with_fuel(season(FOUR, trial(SAW, [21, 24, 22, 23])), [40.0, 48.0, 43.0, 45.0])
    row = rows(data, "how_sure", method=SAW, figure="co2e")[0]
    litres = rows(data, "carriers", method=SAW)[0]["gasoline"]
    by_fuel, by_co2e = (math.log(one.high / one.low) for one in (litres, row["rate"]))
    assert by_fuel < by_co2e < 1.1 * by_fuel  # factors of what is burnt add a few per cent
    assert (row["sessions_n"], row["quality"]) == (4, "fair")
    for column in ("data_only", "next_session", "standard_error", "spread", "sessions_effective"):
        assert words(row[column].reason) == "not by sessions", column


def test_cash_that_goes_with_nothing_recorded_says_so() -> None:
    row = rows(season(FOUR, THREE), "how_sure", method=HAND, figure="cash")[0]
    assert row["rate"].low < row["rate"].value < row["rate"].high  # by price, life and interest
    assert row["common_factors"].startswith("life by age of Bow saw")
    assert row["quality"] == "not by sessions"
    for column in ("data_only", "next_session", "standard_error", "spread", "sessions_effective"):
        assert words(row[column].reason) == "not by sessions", column


def test_what_takes_none_of_it_says_so_and_takes_least() -> None:
    data = season(FOUR, THREE)
    for tool in data["tools"]:
        if tool["tool"] == "Bow saw":
            tool["price"] = 0
    hand, saw = (rows(data, "how_sure", method=method, figure="cash")[0] for method in (HAND, SAW))
    assert (hand["rate"].value, words(hand["rate"].reason), hand["further"]) == (
        0.0,
        "it takes none",
        "it takes none",
    )
    assert (hand["least"].value, saw["least"].value) == pytest.approx((99.9, 0.1))


def test_the_least_of_two_is_that_of_their_comparison() -> None:
    data = season(trial(HAND, [60, 62, 58]), trial(SAW, [55, 57, 56]))
    for method in data["methods"]:
        method["tool_1"] = "Chain saw"  # one tool for both, so that its doubt cancels
    for row in data["sessions"]:
        row["fuel_used"] = 0.5 if row["method"] == SAW else 0.55
    for figure in ("cash", "co2e"):
        least = rows(data, "how_sure", method=SAW, figure=figure)[0]["least"].value
        compared = rows(data, "comparisons", figure=figure)[0]
        assert compared["less"] == SAW
        assert 50 < least == pytest.approx(compared["takes_less"].value, abs=2)


def test_delays_are_pooled_over_all_sessions() -> None:
    data = season(FOUR, THREE)
    data["sessions"][0]["delay_time"] = 12
    assert tables(data).items["delay_share"].value == pytest.approx(100 * 12 / (312 - 12))
