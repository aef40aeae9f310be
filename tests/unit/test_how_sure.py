"""How sure the figures of a season are, from notes to tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from time import process_time
from typing import Any

import pytest
from builders import DEMOS, Data, raw_book, reading_pages, remarks, results_of, small_season, tables
from few import few, together

from wood_xl.draws.figure import Figure
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import check_season
from wood_xl.pipeline import score_file
from wood_xl.schema.words import words
from wood_xl.season import season_tables

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


def ends(figure: Figure) -> tuple[float | None, float | None, float | None]:
    return figure.low, figure.value, figure.high


FOUR, THREE = trial(HAND, [62, 58, 65, 60]), trial(SAW, [21, 24, 22])


def test_rates_carry_the_interval_of_the_model_and_of_what_is_common() -> None:
    """The tape and the usual solid fraction add to the doubt of the sessions."""
    amounts = [62 / 1.10, 48 / 0.95, 75 / 1.38, 55 / 0.90]
    alone = rows(season(trial(HAND, amounts), solid_fraction=0.64), "rates_per_cord")[0]["worker_hours"]
    common = 1.96 * 3 * 0.005  # a tape's scale in three sides
    assert math.log(alone.high / alone.low) > 2 * common
    usual = rows(season(trial(HAND, amounts)), "rates_per_cord")[0]["worker_hours"]
    own, wood = (math.log(one.high / one.low) / 2 for one in (alone, usual))
    assert wood == pytest.approx(math.hypot(own, 1.96 * math.sqrt(math.log1p((0.05 / 0.64) ** 2))), rel=0.03)
    assert words(usual.reason) == ""


def test_wood_as_it_was_measured_hangs_on_no_solid_fraction() -> None:
    usual = rows(season(FOUR), "rates_per_cord")[0]["worker_hours"]
    written = rows(season(FOUR, solid_fraction=0.64), "rates_per_cord")[0]["worker_hours"]
    assert written.high / written.value < usual.high / usual.value
    stacks = season(FOUR) | {"cuts": []}
    stacks["stacks"] = [{"session": f"b{i}", "height": 0.5, "length": 1.0} for i in range(4)]
    stacked = rows(stacks, "rates_per_cord")[0]["worker_hours"]
    assert stacked.high / stacked.value == pytest.approx(written.high / written.value)


def test_how_sure_tells_where_the_doubt_comes_from() -> None:
    row = rows(season(FOUR, THREE), "how_sure", method=HAND, figure="worker_hours")[0]
    assert (row["sessions_n"], row["quality"]) == (4, "fair")
    assert row["next_day"].low < row["rate"].low < row["rate"].high < row["next_day"].high
    shares = {source: row[source].value for source in ("persons", "logs", "prior", "days", "sessions")}
    assert math.fsum(shares.values()) == pytest.approx(100)
    assert shares["persons"] == 0
    assert min(shares["days"], shares["sessions"]) > 20
    assert 3 < row["spread"].value < 25


def test_a_single_session_tells_little_of_other_days() -> None:
    row = rows(season(trial(HAND, [62]), solid_fraction=0.6), "how_sure", figure="worker_hours")[0]
    assert row["quality"] == "single try"
    assert row["rate"].high > 3 * row["rate"].value
    assert row["rate"].low < row["rate"].value / 1.7
    assert words(row["least"].reason) == "the only method of its task"


def test_a_day_that_is_noted_in_pieces_is_worth_no_more() -> None:
    whole, pieces = (
        rows(season(trial(HAND, minutes, logs=logs, days=[1] * len(minutes))), "how_sure", figure="worker_hours")[0]
        for minutes, logs in (([62, 48], [STEADY, STEADY]), ([31, 31, 24, 24], [[(20.0, 5)]] * 4))
    )
    assert (whole["sessions_n"], pieces["sessions_n"]) == (2, 4)
    assert whole["quality"] == pieces["quality"] == "single try"
    assert ends(whole["rate"]) == pytest.approx(ends(pieces["rate"]))


def test_steady_methods_lend_their_spread_to_a_single_session() -> None:
    steady = trial(SAW, [21, 22, 21.5, 21, 22, 21.5], days=range(11, 17))
    alone, beside = (
        rows(season(trial(HAND, [62]), *others), "rates_per_cord", method=HAND)[0]["worker_hours"]
        for others in ((), (steady,))
    )
    assert beside.value == pytest.approx(alone.value)
    assert beside.high / beside.low < 0.5 * alone.high / alone.low


def with_hearts(data: Data, rate: float) -> Data:
    for row in data["sessions"]:
        row |= {"person": "Ada", "mean_heart_rate": rate + 2 * int(row["session"][1])}
    return data


def test_one_equation_for_one_person_cancels_between_methods() -> None:
    data = with_hearts(season(FOUR, THREE), 118.0)
    row = rows(data, "how_sure", method=HAND, figure="kcal_net")[0]
    assert "energy by heart rate for Ada" in row["common_factors"]
    assert row["common_doubt"].value > 25  # net of rest is less sure than gross
    ratio = rows(data, "comparisons", figure="kcal_net")[0]["ratio"]
    others = season(FOUR, THREE)  # without heart rates each method has its own activity in the table
    apart = rows(others, "comparisons", figure="kcal_net")[0]["ratio"]
    assert ratio.high / ratio.low < 2.5 < apart.high / apart.low


def test_a_ratio_too_unsure_for_an_interval_says_so_and_keeps_no_other_figure_back() -> None:
    """Two heart rates little above rest: each figure has ends, but their ratio may be below 0.

    A worker for each method.
    """
    data = season(trial(HAND, [60]), trial(SAW, [60]))
    data["people"] = [
        {"person": name, "mass": 70, "age": 40, "equation_sex": sex, "resting_heart_rate": 60}
        for name, sex in (("Ada", "female"), ("Bo", "male"))
    ]
    for session, name in zip(data["sessions"], ("Ada", "Bo"), strict=True):
        session |= {"person": name, "mean_heart_rate": 70}
    efforts = [row["kcal_net"] for row in rows(data, "rates_per_cord")]
    assert all(effort.low is not None for effort in efforts)
    row = rows(data, "comparisons", figure="kcal_net")[0]
    assert row["ratio"].value is None
    assert (
        words(row["ratio"].reason) == "the doubt that all sessions share is so large that the figure may be 0 or less"
    )
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
    records = season_records(check_season(read_workbook(DEMOS / "hill_farm_us.xlsx")))[0]
    dict(season_tables(records).tables)  # what is drawn once is kept

    def counted() -> float:
        started = process_time()
        dict(season_tables(records).tables)
        return process_time() - started

    totals = [counted() for _ in range(3)]
    assert min(totals) < 1.0


@pytest.mark.slow
def test_thousands_of_sessions_take_as_much_longer_as_there_are_more() -> None:
    def counted(sessions_n: int) -> float:
        trials = (trial(method, [55 + i % 13 for i in range(sessions_n // 2)], days=DAYS) for method in (HAND, SAW))
        records = season_records(check_season(raw_book(with_hearts(season(*trials), 118.0))))[0]
        started = process_time()
        dict(season_tables(records).tables)
        return process_time() - started

    counted(10)  # what is drawn once is kept
    assert counted(4000) < 11 * counted(400)


def compared(data: Data) -> dict[str, Any]:
    (row,) = rows(data, "comparisons", figure="worker_hours")
    return row


def test_a_comparison_puts_the_slower_first_and_is_the_quotient_of_the_rates() -> None:
    data = season(THREE, FOUR)
    row = compared(data)
    hand, saw = (rows(data, "rates_per_cord", method=m)[0]["worker_hours"].value for m in (HAND, SAW))
    assert (row["more"], row["less"]) == (HAND, SAW)
    assert row["ratio"].value == pytest.approx(hand / saw)
    assert (row["verdict"], row["surety"], row["further"]) == (f"{SAW} takes less", "settled", "none needed")
    assert row["ratio"].low > 1


def test_days_with_both_are_pairs_without_being_asked() -> None:
    """Case 7 of the model: five days with both, by its digits."""
    days = [1, 2, 3, 4, 5]
    data = season(trial(HAND, [58, 52, 63, 49, 60], days=days), trial(SAW, [16.1, 13.9, 18.3, 13.0, 15.6], days=days))
    row = compared(data)
    assert ends(row["ratio"])[::2] == pytest.approx((3.40758, 3.94710), abs=5e-6)
    assert row["surety"] == "settled"
    apart = season(trial(HAND, [58, 52, 63, 49, 60]), trial(SAW, [16.1, 13.9, 18.3, 13.0, 15.6], days=range(6, 11)))
    assert compared(apart)["ratio"].low < 3.2


def test_logs_of_each_session_are_taken_out() -> None:
    """Thin logs by hand and thick ones by saw."""
    sizes = {HAND: [14.0, 18.0, 22.0, 26.0], SAW: [20.0, 24.0, 28.0, 33.0]}
    rates = {HAND: [61.0, 55.0, 50.0, 47.0], SAW: [15.5, 13.8, 12.9, 12.1]}
    data = season(*(
        trial(
            method,
            [rate * 20 * math.pi * (d / 200) ** 2 for rate, d in zip(rates[method], sizes[method], strict=True)],
            logs=[[(d, 20)] for d in sizes[method]],
        )
        for method in (HAND, SAW)
    ), practical_margin=3)  # fmt: skip
    shown = {row["method"]: row for row in rows(data, "equal_terms", figure="worker_hours")}
    assert shown[HAND]["by_logs"].value < 0.95
    assert shown[SAW]["by_logs"].value > 1.03
    assert shown[HAND]["apart"] == "mostly the logs"
    measured = shown[HAND]["measured"].value / shown[SAW]["measured"].value
    ratio = compared(data)["ratio"]
    assert 3.2 < ratio.value < min(3.7, 0.95 * measured)
    (limit,) = rows(data, "limits")
    assert limit["logs_of_one"].value == pytest.approx(20.5, abs=0.1)
    assert limit["logs_of_other"].value == pytest.approx(26.7, abs=0.1)


def test_one_person_for_each_method_settles_nothing_and_is_told() -> None:
    """Case 6 of the model."""
    data = season(trial(HAND, [56, 50, 54, 61]), trial(SAW, [14, 16, 15]))
    for session in data["sessions"]:
        session["person"] = "Ada" if session["method"] == HAND else "Bo"
    data["people"] = [{"person": name} for name in ("Ada", "Bo")]
    assert compared(data)["surety"] == "likely, not settled"
    (limit,) = rows(data, "limits")
    assert (limit["source"], limit["mend"]) == ("persons", "let each adult who is trained for both do both")
    assert (limit["persons_of_one"], limit["persons_of_other"]) == ("Ada 4", "Bo 3")
    assert remarks(data, "season-persons-go-with-methods") == [{"found": HAND, "expected": SAW}]
    for session in data["sessions"]:
        session["person"] = "Ada"
    assert compared(data)["surety"] == "settled"
    assert remarks(data, "season-persons-go-with-methods") == []


@together(
    ("code", "sizes", "days"),
    [
        ("season-logs-go-with-methods", (14.0, 30.0), (1, 1)),
        ("season-days-go-with-methods", (20.0, 20.0), (1, 2)),
        ("", (20.0, 20.0), (1, 1)),
    ],
)
def test_logs_or_days_that_go_with_the_methods_are_told(
    code: str, sizes: tuple[float, float], days: tuple[int, int]
) -> None:
    """Four people who all use both saws; no limit is left once both are tried on the same logs and day."""
    minutes = {HAND: [60, 61, 62, 63], SAW: [20, 20.4, 20.8, 21.2]}
    data = season(*(
        trial(method, minutes[method], logs=[[(size, 10)]] * 4, days=[day] * 4)
        for method, size, day in zip(minutes, sizes, days, strict=True)
    ))  # fmt: skip
    for i, session in enumerate(data["sessions"]):
        session["person"] = f"P{i % 4}"
    data["people"] = [{"person": f"P{i}"} for i in range(4)]
    told = [(one, facts) for one, _, facts in tables(data).remarks if "-go-with-methods" in one]
    assert told == ([(code, {"found": HAND, "expected": SAW})] if code else [])


def test_measured_times_its_factors_is_the_figure_that_is_used() -> None:
    data = season(FOUR, THREE)
    for i, session in enumerate(data["sessions"]):
        session |= {"person": ("Ada", "Bo")[i % 2], "date": f"2026-03-{1 + i // 2:02}"}
    data["people"] = [{"person": name} for name in ("Ada", "Bo")]
    for row in rows(data, "equal_terms", figure="worker_hours"):
        factors = [row[key].value for key in ("by_logs", "by_hands", "by_days")]
        assert row["on_equal_terms"].value == pytest.approx(row["measured"].value * math.prod(factors))
        assert factors[0] == 1
        assert 1 not in factors[1:]
    used = rows(data, "rates_per_cord", method=HAND)[0]["worker_hours"].value
    shown = rows(data, "equal_terms", method=HAND, figure="worker_hours")[0]
    assert used == shown["on_equal_terms"].value != shown["measured"].value


def test_why_the_two_figures_differ_is_told_of_the_two_that_are_printed() -> None:
    """One long session: the model's own value is a fifth higher than both figures."""
    logs = [[(20.0, n)] for n in (78, 8, 8, 11, 10, 8)]
    (row,) = rows(season(trial(HAND, [363, 58, 56, 77, 62, 54], logs=logs)), "equal_terms", figure="worker_hours")
    assert row["on_equal_terms"].value == pytest.approx(row["measured"].value)
    assert row["apart"] == "no more than the margin apart"


def test_a_session_left_out_stands_with_what_it_would_change() -> None:
    data = season(trial(HAND, [60, 62, 61, 180]), THREE)
    data["sessions"][3]["leave_out"] = "rained off"
    hours, effort = rows(data, "left_out")
    assert effort["figure"] == "kcal_net"
    assert (hours["session"], hours["why"], hours["figure"]) == ("b3", "rained off", "worker_hours")
    counted = season(trial(HAND, [60, 62, 61, 180]), THREE)
    assert hours["without_it"].value == rows(data, "rates_per_cord", method=HAND)[0]["worker_hours"].value
    assert hours["with_it"].value == rows(counted, "rates_per_cord", method=HAND)[0]["worker_hours"].value
    assert hours["verdict"] == f"{SAW} takes less than {HAND}: settled"
    assert hours["verdict_with_it"] == f"{SAW} takes less than {HAND}: {compared(counted)['surety']}"


def test_of_many_sessions_left_out_the_first_are_worked_out_and_the_page_says_so() -> None:
    """Each runs the whole model again: with 240 of them a score took half a minute."""
    out_n = 14
    data = season(trial(HAND, [60 + at for at in range(20)]), THREE)
    for session in data["sessions"][1 : out_n + 1]:
        session["leave_out"] = "rained off"
    worked_out = list(dict.fromkeys(row["session"] for row in rows(data, "left_out")))
    assert worked_out == [session["session"] for session in data["sessions"][1:13]]
    said = "worked out for the first 12 only"
    assert said in how_we_know(data)
    data["sessions"][13]["leave_out"] = data["sessions"][14]["leave_out"] = ""
    assert said not in how_we_know(data)


def how_we_know(data: Data) -> str:
    pages, _ = reading_pages(results_of(data, "metric"))
    cells = (cell for _, row in pages["How we know"].rows() for _, cell in row)
    return " ".join(map(str, cells))


def test_a_broken_margin_leaves_open_why_two_figures_differ() -> None:
    data = season(FOUR, THREE, practical_margin=500)
    assert {row["apart"] for row in rows(data, "equal_terms")} == {"nothing alone explains it"}


def test_sessions_that_differ_more_than_sessions_do_have_no_interval() -> None:
    wood: Sequence[Logs] = [[(20.0, 1)], [(20.0, 30)], [(20.0, 400)]]
    data = season(trial(HAND, [600, 60, 2], logs=wood))
    row = rows(data, "rates_per_cord", method=HAND)[0]["worker_hours"]
    assert (row.low, row.high) == (None, None)
    assert "look for a typing error in session b" in words(row.reason)


def test_wood_common_to_both_cancels() -> None:
    ratios = [
        rows(season(FOUR, THREE, solid_fraction=fraction), "comparisons", figure="worker_hours")[0]["ratio"]
        for fraction in (0.55, 0.75)
    ]
    assert ends(ratios[0]) == pytest.approx(ends(ratios[1]))


def test_a_broken_margin_holds_back_the_verdict_and_not_the_ratio() -> None:
    row = rows(season(FOUR, THREE, practical_margin=500), "comparisons", figure="worker_hours")[0]
    assert row["verdict"].startswith("needs Season!B")
    assert row["beyond_margin"].value is None
    assert row["ratio"].value > 1


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


def test_timed_cuts_tell_how_log_size_moves_a_figure() -> None:
    """By cut times the hand saw takes 3.4 times as long on logs of one size; as measured, 5 times."""
    data = by_log_size()
    shown = {row["method"]: row for row in rows(data, "equal_terms", figure="worker_hours")}
    assert shown[HAND]["measured"].value > 5 * shown[SAW]["measured"].value
    assert 3.0 < compared(data)["ratio"].value < 4.5
    sizes = {row["method"]: row for row in rows(data, "log_sizes")}
    assert sizes[HAND]["fitted_to"] == "6 timed cuts, scatter 0.0 s"
    assert sizes[HAND]["per_cut"].value == pytest.approx(20)
    assert sizes[SAW]["per_m2"].value == pytest.approx(560)
    untimed = by_log_size()
    untimed["cuts"] = [{key: cell for key, cell in cut.items() if key != "cut_time"} for cut in untimed["cuts"]]
    assert compared(untimed)["logs"].value > 1.5 * compared(data)["logs"].value


def test_a_figure_that_is_withheld_leaves_its_rows_in_place() -> None:
    """A copy without body data must have the same rows."""
    data = season(
        trial(HAND, [58, 52, 63, 49], days=[1, 2, 3, 4], lot="North"),
        trial(SAW, [16, 14, 18, 13], days=[1, 2, 3, 4], lot="North"),
    )
    given = rows(data, "comparisons", figure="kcal_net")
    data["sessions"][0] |= {"person": "Ada", "mean_heart_rate": 5000}
    withheld = rows(data, "comparisons", figure="kcal_net")
    assert [(row["more"], row["less"]) for row in withheld] == [(row["more"], row["less"]) for row in given]
    assert len(withheld) == 1
    assert {words(row["ratio"].reason) for row in withheld} == {"needs Sessions!J4"}


@pytest.mark.parametrize("system", few(["us", "metric"]))
def test_a_row_has_the_unit_and_the_ends_of_its_figure(system: Any) -> None:
    results = score_file(DEMOS / "hill_farm_us.xlsx", system).results
    assert results is not None
    rates = {row["method"]: row for row in results["rates_per_cord"]}
    mass = "lb/cord" if system == "us" else "kg/cord"
    figures = {
        "Worker hours": ("worker_hours", "h/cord"),
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
    """The chain saw's sessions with their fuel; None where none is written."""
    saws = [row for row in data["sessions"] if row["method"] == SAW]
    for row, used in zip(saws, litres, strict=True):
        del row["fuel_used"]
        if used is not None:
            row["fuel_used"] = used
    return data


def test_co2e_of_the_fuel_alone_is_as_sure_as_the_fuel() -> None:
    # Making the saw is a thousandth of the CO2e here, so CO2e follows the fuel.
    data = with_fuel(season(FOUR, trial(SAW, [21, 24, 22, 23])), [40.0, 48.0, 43.0, 45.0])
    row = rows(data, "how_sure", method=SAW, figure="co2e")[0]
    litres = rows(data, "carriers", method=SAW)[0]["gasoline"]
    by_fuel, by_co2e = (math.log(one.high / one.low) for one in (litres, row["rate"]))
    assert by_fuel < by_co2e < 1.1 * by_fuel  # fuel factors add a few percent
    assert (row["sessions_n"], row["quality"]) == (4, "fair")
    for column in ("next_day", "spread", "persons", "logs", "prior", "days", "sessions"):
        assert words(row[column].reason) == "not by sessions", column


def test_cash_that_goes_with_nothing_recorded_says_so() -> None:
    row = rows(season(FOUR, THREE), "how_sure", method=HAND, figure="cash")[0]
    assert row["rate"].low < row["rate"].value < row["rate"].high  # by price, life and interest
    assert row["common_factors"].startswith("life of Bow saw")
    assert row["quality"] == "not by sessions"
    for column in ("next_day", "spread", "persons", "logs", "prior", "days", "sessions"):
        assert words(row[column].reason) == "not by sessions", column


def test_what_takes_none_of_it_says_so_and_takes_least() -> None:
    data = season(FOUR, THREE)
    for tool in data["tools"]:
        if tool["tool"] == "Bow saw":
            tool["price"] = 0
    hand, saw = (rows(data, "how_sure", method=method, figure="cash")[0] for method in (HAND, SAW))
    assert (hand["rate"].value, words(hand["rate"].reason)) == (0.0, "it takes none")
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


def test_odds_for_the_other_order_make_no_order_surer() -> None:
    """One long session dominates each method, and all short ones show the opposite order."""
    by_hand, by_saw = ([[(20.0, n)] for n in pieces] for pieces in ((78, 8, 8, 11, 10, 8), (55, 8, 11, 10, 9, 7)))
    data = season(
        trial(HAND, [363, 58, 56, 77, 62, 54], logs=by_hand), trial(SAW, [346, 34, 52, 46, 36, 32], logs=by_saw)
    )
    row = compared(data)
    assert (row["less"], row["takes_less"].value < 20, row["surety"]) == (HAND, True, "cannot tell yet")
    winner = next(row for row in rows(data, "winners", measure="time", task="buck"))
    assert (winner["method"], winner["surety"]) == (HAND, "open")


def test_delays_are_pooled_over_all_sessions() -> None:
    data = season(FOUR, THREE)
    data["sessions"][0]["delay_time"] = 12
    assert tables(data).items["delay_share"].value == pytest.approx(100 * 12 / (312 - 12))


def test_days_are_not_promised_to_settle_what_is_in_doubt_alike_on_every_day() -> None:
    """Effort of one by heart rate, of the other by the table: even hundreds of sessions leave the difference open."""
    data = with_hearts(season(*(trial(method, [55 + i % 3 for i in range(12)]) for method in (HAND, SAW))), 118.0)
    for session in data["sessions"]:
        if session["method"] == SAW:
            del session["mean_heart_rate"]
    (hours,), (effort,) = (rows(data, "comparisons", figure=figure) for figure in ("worker_hours", "kcal_net"))
    assert hours["sessions"].value > 90
    assert words(effort["sessions"].reason) == "not by sessions"
    assert effort["surety"] not in ("settled", "the same for you")
    assert words(effort["further"]).startswith("12 more days alone are not enough")
    told = [[str(text) for _, text in cells] for _, cells in reading_pages(results_of(data))[0]["Compare"].rows()]
    (of_effort,) = [cells for cells in told if cells[:1] == ["Effort"]]
    assert "activity table" in of_effort
