"""A household of three years, each begun from the last one's workbook: hours, stock and burn go on."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from builders import Data, at, checked, metric_workbook, records, small_season
from click.testing import CliRunner
from few import together

from wood_xl.cli import main
from wood_xl.io.reader import read_workbook
from wood_xl.next_year import next_year_notes
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import problem
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.reasons import Reason
from wood_xl.records import Season
from wood_xl.report.study_book import study_bytes
from wood_xl.results.study import study_of_files
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.season import season_tables
from wood_xl.shed.years import HouseholdYear, burned_by_winter, hours_of_season, household_year, tool_lives

SHEDS = {"woodshed": {"volume": "stacked m3", "burned": "stacked m3", "moisture": "%"}}
FIRST = HEADER_ROW + 1
BOW_SAW_H = (90 - 10 + 45) / 60  # of sessions A and C
CHAIN_SAW_H = (60 - 10) / 60


def first_year() -> Data:
    data = small_season()
    data["version"] = "2.0"
    data["units"] |= SHEDS
    data["people"][0]["doctor_word"] = "given"
    data["tools"][1] |= {"life_hours": 100, "hours_so_far": 20, "held": "own", "worth_today": 900}
    data["units"]["tools"] |= {"life_hours": "h", "hours_so_far": "h", "worth_today": "money"}
    data["wood"] = [{"species": "maple, sugar"}]
    data["stacks"] = [{"session": "C", "height": 1.5, "length": 5.0, "stack": "Made 2026"}]
    data["woodshed"] = [
        {"stack": "Old", "stacked_on": "2024-04-01", "kind": "ash, white", "volume": 6, "reading_date": "2025-08-01",
         "moisture": 24, "moisture_basis": "dry", "burned_up_on": "2026-01-10", "burned": 2},
        {"stack": "Old", "reading_date": "2026-01-02", "moisture": 18, "moisture_basis": "dry"},
        {"stack": "Gone", "stacked_on": "2023-04-01", "kind": "ash, white", "volume": 1,
         "burned_up_on": "2025-12-01"},
    ]  # fmt: skip
    return data


def write(path: Path, data: Data) -> None:
    path.write_bytes(metric_workbook(data))


def read(path: Path) -> CheckedSeason:
    return check_season(read_workbook(path))


def begin(last: Path, out: Path) -> str:
    result = CliRunner().invoke(main, ["template", str(out), "--next-year-from", str(last)])
    assert result.exit_code == 0, result.output
    return result.output


def further(begun: Data, year: int, fires: list[Data]) -> Data:
    """What a new workbook holds, with the sessions of its own year and what was burned in the winter before."""
    own = first_year()
    sessions = [{**row, "date": row["date"].replace("2026", str(year))} for row in own["sessions"]]
    stacks = [{"session": "C", "height": 1.0, "length": 5.0, "stack": f"Made {year}"}]
    tools = {**own["units"]["tools"], **begun["units"]["tools"]}
    return {
        **own,
        "units": {**own["units"], **begun["units"], "tools": tools, "woodshed": SHEDS["woodshed"]},
        "people": begun["people"],
        "tools": begun["tools"],
        "sessions": sessions,
        "stacks": stacks,
        "woodshed": [*begun["woodshed"], *fires],
    }


def year_of(checked: CheckedSeason) -> HouseholdYear:
    return year_of_season(season_records(checked)[0])


def year_of_season(season: Season) -> HouseholdYear:
    computed = season_tables(season)
    return household_year(season, computed.rates.study.totals, computed.tables, computed.stock)


@pytest.fixture(scope="module")
def three_years(tmp_path_factory: pytest.TempPathFactory) -> list[CheckedSeason]:
    folder = tmp_path_factory.mktemp("household")
    write(folder / "1.xlsx", first_year())
    years = [read(folder / "1.xlsx")]
    fires = {
        2027: [{"stack": "Old", "burned_up_on": "2026-12-20"}],
        2028: [{"stack": "Made 2026", "burned_up_on": "2028-01-20", "burned": 1.5}],
    }
    for number, (year, burned) in enumerate(fires.items(), start=2):
        begin(folder / f"{number - 1}.xlsx", folder / f"begun {number}.xlsx")
        begun = read(folder / f"begun {number}.xlsx")
        write(folder / f"{number}.xlsx", further(begun.document.data, year, burned))
        years.append(read(folder / f"{number}.xlsx"))
    return years


def test_the_stacks_that_stand_go_on(three_years: list[CheckedSeason]) -> None:
    names = [dict.fromkeys(row["stack"] for row in year.document.rows("woodshed")) for year in three_years]
    assert list(names[1]) == ["Old", "Made 2026"]
    assert list(names[2]) == ["Made 2026", "Made 2027"]
    old = [row for row in three_years[1].document.rows("woodshed") if row["stack"] == "Old"]
    assert (old[0]["volume"], old[0]["stacked_on"], old[0]["kind"]) == (4, "2024-04-01", "ash, white")
    assert [round(row["moisture"], 1) for row in old if "moisture" in row] == [19.4, 15.3]  # wet: 24/124, 18/118


def test_stock_in_is_burned_and_standing(three_years: list[CheckedSeason]) -> None:
    years = [year_of(one) for one in three_years]
    standing = [year.standing.value for year in years]
    made = [1.5 * 5.0 * 0.4, 1.0 * 5.0 * 0.4, 1.0 * 5.0 * 0.4]
    assert standing[0] == pytest.approx(6 - 2 + made[0])
    assert standing[1] == pytest.approx(standing[0] - 4 + made[1])
    assert standing[2] == pytest.approx(standing[1] - 1.5 + made[2])


def test_every_fire_counts_in_one_winter(three_years: list[CheckedSeason]) -> None:
    years = [year_of(one) for one in three_years]
    burned = {winter: figure.value for winter, figure in burned_by_winter(years).items()}
    assert burned == pytest.approx({"2025-10-01": 2 + 1, "2026-10-01": 4, "2027-10-01": 1.5})
    assert [year.year for year in years] == [2026, 2027, 2028]
    assert all(year.heat.value is None for year in years)  # no stove is written
    assert [year.made.value for year in years] == pytest.approx([made_by(one) for one in three_years])


def made_by(checked: CheckedSeason) -> float:
    """Wood of the season as its results have it: the one task of the small season is bucking."""
    season, _ = season_records(checked)
    rows = season_tables(season).tables["methods"]
    return sum(row["stacked_volume"].value for row in rows)


def test_tool_hours_add_up(three_years: list[CheckedSeason]) -> None:
    rows = [{row["tool"]: row for row in year.document.rows("tools")} for year in three_years]
    assert "hours_so_far" not in rows[0]["Bow saw"]
    for number in (1, 2):
        assert rows[number]["Bow saw"]["hours_so_far"] == pytest.approx(number * BOW_SAW_H, rel=1e-5)
        assert rows[number]["Chain saw"]["hours_so_far"] == pytest.approx(20 + number * CHAIN_SAW_H, rel=1e-5)
    lives = {row["tool"]: row for row in tool_lives([year_of(year) for year in three_years])}
    saw = lives["Chain saw"]
    assert saw["hours"].value == pytest.approx(20 + 3 * CHAIN_SAW_H, rel=1e-5)
    assert saw["a_year"].value == pytest.approx(CHAIN_SAW_H)
    assert saw["left_h"].value == pytest.approx(80 - 3 * CHAIN_SAW_H, rel=1e-5)
    assert saw["left_years"].value == pytest.approx((80 - 3 * CHAIN_SAW_H) / CHAIN_SAW_H, rel=1e-5)
    assert lives["Bow saw"]["left_h"].value is None


def test_a_tool_does_not_outlive_its_age() -> None:
    data = first_year()
    lives = {}
    for years in (200, 5):
        data["tools"][1]["life_years"] = years
        (row,) = [row for row in tool_lives([year_of_season(records(data))]) if row["tool"] == "Chain saw"]
        lives[years] = row["left_years"]
    assert lives[200].value == pytest.approx((80 - CHAIN_SAW_H) / CHAIN_SAW_H, rel=1e-5)  # some 95 seasons
    assert (lives[5].value, lives[5].why.id) == (None, Reason.AGES_FIRST)


def test_a_shared_tool_is_worn_by_all_who_share_it(tmp_path: Path) -> None:
    data = first_year()
    data["tools"][1] |= {"held": "shared", "share": 50}
    del data["tools"][1]["worth_today"]
    data["units"]["tools"]["share"] = "%"
    (saw,) = (row for row in tool_lives([year_of_season(records(data))]) if row["tool"] == "Chain saw")
    used = 2 * CHAIN_SAW_H
    assert [saw[key].value for key in ("hours", "a_year", "left_h")] == pytest.approx([20 + used, used, 80 - used])
    assert saw["left_years"].value == pytest.approx((80 - used) / used)
    write(tmp_path / "1.xlsx", data)
    begin(tmp_path / "1.xlsx", tmp_path / "2.xlsx")
    assert read(tmp_path / "2.xlsx").document.rows("tools")[1]["hours_so_far"] == pytest.approx(20 + used, rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "a_year"), [({"held": "shared", "share": "half"}, None), ({"hours_so_far": "many"}, CHAIN_SAW_H)]
)
def test_hours_of_a_tool_wait_for_its_share_and_what_is_left_for_those_so_far(typed: Data, a_year: float) -> None:
    data = first_year()
    data["tools"][1] |= typed
    saw = life_of_saw(data)
    assert [saw[key].value for key in ("hours", "a_year", "left_h", "left_years")] == [None, a_year, None, None]


def test_years_left_wait_for_the_hours_of_every_year() -> None:
    data = first_year()
    data["tools"][1] |= {"held": "shared", "share": "half"}
    saw = life_of_saw(data, first_year())
    assert saw["left_h"].value == pytest.approx(80 - CHAIN_SAW_H)
    assert (saw["a_year"].value, saw["left_years"].value) == (None, None)


def life_of_saw(*years: Data) -> Any:
    return next(r for r in tool_lives([year_of_season(records(y)) for y in years]) if r["tool"] == "Chain saw")


def test_hours_so_far_are_not_counted_twice(three_years: list[CheckedSeason]) -> None:
    """Years whose workbooks were not begun from each other add up to the same hours."""
    years = [year_of(year) for year in three_years]
    alone = [*years[:1], *(without_hours(year) for year in years[1:])]
    with_hours, added = ([row["hours"].value for row in tool_lives(some)] for some in (years, alone))
    assert with_hours == pytest.approx(added, rel=1e-5)


def without_hours(year: HouseholdYear) -> HouseholdYear:
    tools = {name: (replace(tool, hours_so_far=None), hours) for name, (tool, hours) in year.tools.items()}
    return replace(year, tools=tools)


def test_facts_of_the_day_are_asked_again(three_years: list[CheckedSeason]) -> None:
    assert three_years[0].document.rows("people")[0]["doctor_word"] == "given"
    assert "doctor_word" not in three_years[1].document.rows("people")[0]
    assert three_years[1].document.rows("people")[0]["age"] == 40
    assert "worth_today" not in three_years[1].document.rows("tools")[1]
    assert three_years[1].document.rows("tools")[1]["price"] == 4000


def test_lasting_facts_are_carried_over_and_prices_are_not(tmp_path: Path) -> None:
    last = first_year()
    last["season"] |= {
        "practical_margin": 15,
        "value_of_time": 20,
        "gasoline_price": 1.8,
        "appliance": "masonry heater",
    }
    last["units"]["season"] |= {"practical_margin": "%", "value_of_time": "per h", "gasoline_price": "per L"}
    last["upkeep"] = [{"tool": "Bow saw", "item": "blade", "price": 90, "every": 3, "per": "cords"}]
    last["units"]["upkeep"] = {"price": "money"}
    last["next_season"] = {"volume_wanted": 3, "heat_loss": 150, "degree_day_base": 17}
    last["units"]["next_season"] = {"volume_wanted": "stacked m3", "heat_loss": "W/K", "degree_day_base": "degC"}
    write(tmp_path / "last.xlsx", last)
    told = begin(tmp_path / "last.xlsx", tmp_path / "next.xlsx")
    begun = read(tmp_path / "next.xlsx").document.data
    assert begun["methods"] == last["methods"]
    assert begun["upkeep"] == last["upkeep"]
    assert begun["season"] == {
        "currency": last["season"]["currency"],
        "stick_length": last["season"]["stick_length"],
        "practical_margin": 15,
        "yearly_volume": last["season"]["yearly_volume"],
        "appliance": "masonry heater",
    }
    assert begun["next_season"] == {"heat_loss": 150, "degree_day_base": 17}
    assert [row.get("session") for row in begun.get("sessions", [])] == []
    assert "NOTE  Season: Prices" in told


def lost(edit: Callable[[Data], Any], code: str) -> list[str]:
    """Where a code is told of a first year after a change; each names its stack or tool in quotes, if any."""
    data = first_year()
    edit(data)
    _, problems = next_year_notes(checked(data), "metric")
    names = [re.findall('"(.*?)"', one.text) for one in problems]
    return [" ".join((one.where, *own)) for one, own in zip(problems, names, strict=True) if one.code == code]


def last_fire(day: str) -> Callable[[Data], None]:
    """A woodshed of one stack that was burned up on that day."""

    def edit(data: Data) -> None:
        data["woodshed"] = [data["woodshed"][2] | {"burned_up_on": day}]

    return edit


SESSION, HEIGHT = at("stacks.session", FIRST), at("stacks.height", FIRST)
STACK = at("stacks.stack", FIRST).rpartition("!")[2][:-1]


@together(
    ("code", "edit", "where"),
    [
        ("next-year-no-cell", lambda _: None, []),
        ("next-year-no-cell", lambda data: data["people"][0].update(age="forty"), [at("people.age", FIRST)]),
        ("next-year-no-cell", lambda data: data["season"].update(stick_length="x"), [at("season.stick_length")]),
        # what is not carried over anyway is not missed
        ("next-year-no-cell", lambda data: data["season"].update(gasoline_price="x"), []),
        ("next-year-no-cell", lambda data: data["sessions"][0].update(delay_time="x y"), []),
        ("next-year-no-hours", lambda _: None, []),
        (
            "next-year-no-hours",
            lambda data: data["sessions"][1].update(elapsed_time=-5),
            [at("tools.hours_so_far", FIRST + 1) + " Chain saw"],
        ),
        ("next-year-no-hours", lambda data: data["cuts"][0].update(diameter=-5), []),
        ("next-year-no-stack", lambda _: None, []),
        ("next-year-no-stack", lambda data: data["woodshed"][0].update(stacked_on="2026-02-01"), ["Woodshed Old"]),
        # it was left behind without a word
        ("next-year-no-stack", lambda data: data["stacks"][0].update(height=-1), [f"Woodshed {HEIGHT}"]),
        (
            "next-year-no-stack",
            lambda data: (data["stacks"][0].update(height=-1), data["stacks"][0].pop("stack")),
            [],
        ),
        ("next-year-no-stack", lambda data: data["stacks"][0].update(session="Q"), [f"Woodshed {SESSION}"]),
        ("next-year-no-stack", lambda data: data["season"].update(stick_length="x"), ["Woodshed Made 2026"]),
        ("next-year-nameless", lambda _: None, []),
        ("next-year-nameless", lambda data: data["stacks"][0].pop("stack"), [f"Stacks!{STACK}"]),
        ("next-year-nameless", lambda data: data["stacks"].clear(), []),
        ("next-year-fires", lambda _: None, [at("next_season.last_winter_volume")]),
        ("next-year-fires", last_fire("2025-10-01"), [at("next_season.last_winter_volume")]),
        ("next-year-fires", last_fire("2025-09-30"), []),
        ("next-year-asked-anew", lambda _: None, ["People!E", "Tools!N"]),
        ("next-year-asked-anew", lambda data: data["people"][0].update(doctor_word="still to ask"), ["Tools!N"]),
        ("next-year-asked-anew", lambda data: data["tools"][1].pop("worth_today"), ["People!E"]),
        ("next-year-prices", lambda _: None, ["Season"]),
    ],
)
def test_each_line_about_what_is_not_carried_over_stands_at_its_cell(
    code: str, edit: Callable[[Data], Any], where: list[str]
) -> None:
    assert lost(edit, code) == where


def test_a_last_year_without_sessions_is_named_and_nothing_is_begun(tmp_path: Path) -> None:
    data = first_year()
    data["sessions"] = []
    write(tmp_path / "last.xlsx", data)
    result = CliRunner().invoke(
        main, ["template", str(tmp_path / "n.xlsx"), "--next-year-from", str(tmp_path / "last.xlsx")]
    )
    assert result.exit_code == 3
    assert problem("season-no-sessions").line() in result.output
    assert problem("next-year-cannot-be-computed", file="last.xlsx").line() in result.output
    assert not (tmp_path / "n.xlsx").exists()


def spoiled(edit: Callable[[Data], Any], tmp_path: Path) -> str:
    data = first_year()
    edit(data)
    write(tmp_path / "last.xlsx", data)
    return begin(tmp_path / "last.xlsx", tmp_path / "next.xlsx")


@pytest.mark.slow
def test_wood_burned_this_winter_has_a_message_because_it_is_not_carried_over(tmp_path: Path) -> None:
    data = first_year()
    write(tmp_path / "burned.xlsx", data)
    told = begin(tmp_path / "burned.xlsx", tmp_path / "next.xlsx")
    assert "Burned since 2025-10-01: 3 stacked m3. These fires are not carried over." in " ".join(told.split())
    for stack in data["woodshed"]:
        stack.pop("burned_up_on", None)
        stack.pop("burned", None)
    write(tmp_path / "whole.xlsx", data)
    assert "These fires" not in begin(tmp_path / "whole.xlsx", tmp_path / "other.xlsx")


def test_stacks_without_a_name_have_a_message(tmp_path: Path) -> None:
    data = first_year()
    write(tmp_path / "named.xlsx", data)
    data["stacks"].append({**data["stacks"][0]})
    del data["stacks"][1]["stack"]
    write(tmp_path / "some.xlsx", data)
    told = [begin(tmp_path / f"{name}.xlsx", tmp_path / f"{name}-next.xlsx") for name in ("named", "some")]
    assert ["without a name here: 1 of 2." in one for one in told] == [False, True]


def test_a_stack_that_waits_has_a_message_and_is_not_carried_over(tmp_path: Path) -> None:
    told = spoiled(lambda data: data["woodshed"][0].update(stacked_on="2026-02-01"), tmp_path)
    assert '"Old" is not carried over' in told
    names = {row["stack"] for row in read(tmp_path / "next.xlsx").document.rows("woodshed")}
    assert names == {"Made 2026"}


def test_no_hours_are_carried_while_a_method_names_a_tool_that_is_on_no_list(tmp_path: Path) -> None:
    """The tool that was meant had 0 hours so far, without a word."""
    told = spoiled(lambda data: data["methods"][0].update(tool_1="Bow swa"), tmp_path)
    assert 'The hours of "Bow saw" are not carried over: needs Methods!' in told
    assert all("hours_so_far" not in row for row in read(tmp_path / "next.xlsx").document.rows("tools"))


def test_no_medicine_last_year_is_asked_again_and_a_medicine_is_carried_over(tmp_path: Path) -> None:
    def both(data: Data) -> None:
        data["people"] += [{"person": "Bo", "doctor_word": "still to ask"}]
        data["people"][0]["rate_limiting_medicine"], data["people"][1]["rate_limiting_medicine"] = "no", "yes"

    assert "Medicine that slows the heart: What this column held" in spoiled(both, tmp_path)
    ada, bo = read(tmp_path / "next.xlsx").document.rows("people")
    assert "rate_limiting_medicine" not in ada
    assert (bo["rate_limiting_medicine"], bo["doctor_word"]) == ("yes", "still to ask")


def test_hours_that_wait_have_a_message_and_are_not_carried_over(tmp_path: Path) -> None:
    told = spoiled(lambda data: data["sessions"][1].update(elapsed_time=-5), tmp_path)
    assert 'The hours of "Chain saw" are not carried over' in told
    tools = read(tmp_path / "next.xlsx").document.rows("tools")
    assert "hours_so_far" not in tools[1]
    assert tools[0]["hours_so_far"] == pytest.approx(BOW_SAW_H, rel=1e-5)


def test_two_options_to_carry_over_exclude_each_other(tmp_path: Path) -> None:
    write(tmp_path / "last.xlsx", first_year())
    last = str(tmp_path / "last.xlsx")
    result = CliRunner().invoke(
        main, ["template", str(tmp_path / "n.xlsx"), "--from", last, "--next-year-from", last]
    )
    assert result.exit_code != 0
    assert not (tmp_path / "n.xlsx").exists()


@pytest.mark.slow
def test_a_study_of_the_years_carries_tools_and_wood_forward(
    three_years: list[CheckedSeason], tmp_path: Path
) -> None:
    paths = [tmp_path / f"{number}.xlsx" for number in range(len(three_years))]
    for path, year in zip(paths, three_years, strict=True):
        write(path, year.document.data)
    found = study_of_files(paths, system=None, one_household=True).document
    assert found is not None
    years = [year_of(one) for one in three_years]
    assert [row["made"]["value"] for row in found["years"]] == pytest.approx([one.made.value for one in years])
    assert [row["standing"]["value"] for row in found["years"]] == pytest.approx(
        [one.standing.value for one in years]
    )
    assert [row["winter"] for row in found["winters"]] == ["2025", "2026", "2027"]
    assert [row["burned"]["value"] for row in found["winters"]] == pytest.approx([3, 4, 1.5])
    saw = next(row for row in found["tool_lives"] if row["tool"] == "Chain saw")
    assert saw["hours"]["value"] == pytest.approx(20 + 3 * CHAIN_SAW_H, rel=1e-5)
    assert saw["left_h"]["value"] == pytest.approx(80 - 3 * CHAIN_SAW_H, rel=1e-5)
    out = tmp_path / "study.xlsx"
    out.write_bytes(study_bytes(found, paper="a4"))
    checked = verify_file(out)
    assert (checked.differences, checked.seal_holds) == ((), True)
    apart = study_of_files(paths, system=None, one_household=False).document
    assert apart is not None
    assert [apart[table] for table in ("years", "winters", "tool_lives")] == [[], [], []]


@pytest.mark.slow
def test_a_study_of_years_names_no_place_in_methods_and_tools(tmp_path: Path) -> None:
    data = first_year()
    data["season"]["place"] = "Zorkvalley Rise"
    for sheet, column in (("tools", "tool"), ("upkeep", "tool"), ("methods", "tool_1")):
        for row in data.get(sheet, []):
            row[column] = row[column].replace("Chain saw", "Zorkvalley saw")
    for sheet in ("methods", "sessions"):
        for row in data[sheet]:
            row["method"] = row["method"].replace("By chain saw", "By Zorkvalley saw")
    path, out = tmp_path / "1.xlsx", tmp_path / "study.xlsx"
    write(path, data)
    found = study_of_files([path], system=None, one_household=True).document
    assert found is not None
    assert "zork" not in str(found).casefold()
    assert "the place saw" in {row["tool"] for row in found["tool_lives"]}
    out.write_bytes(study_bytes(found, paper="a4"))
    assert verify_file(out).differences == ()


def test_an_engine_wears_while_it_runs_and_a_hand_tool_while_one_works() -> None:
    data = small_season()
    for session in data["sessions"]:
        session["running_time"] = 30
    season = records(data)
    bow, chain = (next(tool for tool in season.tools if tool.name == name) for name in ("Bow saw", "Chain saw"))
    assert hours_of_season(chain, season).value == 0.5  # of an hour in all, ten minutes of it service
    assert hours_of_season(bow, season).value == pytest.approx(BOW_SAW_H)
