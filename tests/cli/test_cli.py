"""The command line as a person meets it: what is printed, what is written, and the exit code."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner, Result
from few import few, together
from openpyxl import load_workbook

from wood_xl.cli import main
from wood_xl.data.load import constants
from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.notes.problem import catalogue, problem
from wood_xl.results.explain import explanation, listing
from wood_xl.schema.model import results_definition, season_definition


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """A filled workbook without a fault."""
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(demo_names()[0]))
    return path


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """The small season without a fault."""
    path = tmp_path / "small.xlsx"
    path.write_bytes(metric_workbook(small_season()))
    return path


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    """A filled workbook with one impossible diameter."""
    data = small_season()
    data["cuts"][0]["diameter"] = 250
    path = tmp_path / "faulty.xlsx"
    path.write_bytes(metric_workbook(data))
    return path


@pytest.mark.parametrize("options", few([[], ["--units", "metric"], ["--currency", "chf", "--paper", "a4"]]))
def test_template_is_written_once(tmp_path: Path, options: list[str]) -> None:
    out = tmp_path / "blank.xlsx"
    assert run("template", out, *options).exit_code == 0
    before = out.read_bytes()
    refused = run("template", out, *options)
    assert refused.exit_code == 3
    assert "--replace" in refused.output
    assert out.read_bytes() == before
    assert run("template", out, *options, "--replace").exit_code == 0
    assert out.read_bytes() == before


def test_template_refuses_a_word_for_a_currency(tmp_path: Path) -> None:
    assert run("template", tmp_path / "x.xlsx", "--currency", "dollar").exit_code == 2


@pytest.mark.parametrize("option", few(["--from", "--next-year-from"]))
def test_amounts_that_are_carried_are_put_under_no_other_currency(small: Path, tmp_path: Path, option: str) -> None:
    out = tmp_path / "new.xlsx"
    refused = run("template", out, option, small, "--currency", "chf")
    assert refused.exit_code == 2
    assert "amounts in NOK" in refused.output
    assert not out.exists()
    assert run("template", out, option, small, "--currency", "nok").exit_code == 0


def test_blank_template_cannot_be_scored(tmp_path: Path) -> None:
    blank = tmp_path / "blank.xlsx"
    run("template", blank)
    result = run("score", blank)
    assert result.exit_code == 3
    assert catalogue()["season-no-sessions"]["template"] in result.output
    assert list(tmp_path.iterdir()) == [blank]


def test_check_of_a_season_without_fault(season: Path) -> None:
    result = run("check", season)
    assert result.exit_code == 0
    assert "0 to mend" not in result.output


def test_check_names_cell_found_expected_and_mend(faulty: Path) -> None:
    before = faulty.read_bytes()
    result = run("check", faulty, "--marked-copy")
    assert result.exit_code == 1
    said = "FIX   Cuts!B4 Diameter [cm]: Found 250 cm. Expected more than 0 cm and at most 200 cm. "
    said += "Write the diameter as a plain number in the unit of the header."
    assert said in result.output
    assert faulty.read_bytes() == before
    marked = load_workbook(faulty.with_name("faulty-marked.xlsx"))
    assert "Found 250 cm" in marked["Cuts"]["B4"].comment.text
    assert (marked["Cuts"]["B4"].font.bold, marked["Cuts"]["B5"].font.bold) == (True, False)
    assert marked["Cuts"]["B4"].value == 250
    assert marked["Cuts"]["B5"].fill.fgColor.rgb != "FFD9D9D9"


def test_check_as_json(faulty: Path) -> None:
    result = run("check", faulty, "--json")
    (problems,) = json.loads(result.stdout).values()
    fix = next(problem for problem in problems if problem["level"] == "FIX")
    assert (fix["sheet"], fix["cell"], fix["code"]) == ("Cuts", "B4", "cell-out-of-range")


def test_check_as_json_names_the_rows_of_a_line_that_tells_of_many(tmp_path: Path) -> None:
    data = small_season()
    data["cuts"] = [{"session": "A", "diameter": -3 if n % 2 else 20} for n in range(30)]
    path = tmp_path / "many.xlsx"
    path.write_bytes(metric_workbook(data))
    (problems,) = json.loads(run("check", path, "--json").stdout).values()
    assert [(one["count"], one["rows"]) for one in problems if one["level"] == "FIX"] == [(15, [*range(5, 34, 2)])]


def test_score_writes_workbook_json_and_tables(season: Path, tmp_path: Path) -> None:
    before = hashlib.sha256(season.read_bytes()).hexdigest()
    result = run("score", season, "--json", tmp_path / "r.json", "--csv", tmp_path / "tables")
    assert result.exit_code == 0
    results = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    assert results["provenance"]["input_sha256"] == before
    assert hashlib.sha256(season.read_bytes()).hexdigest() == before
    assert (tmp_path / "season-results.xlsx").stat().st_size > 10_000
    tables = {path.name for path in (tmp_path / "tables").iterdir()}
    names = ("figures", "inputs", "plan", "problems", "season", "sessions")
    assert tables == {f"{name}.csv" for name in names} | {"datapackage.json"}
    header = (tmp_path / "tables" / "sessions.csv").read_text(encoding="utf-8").split("\n")[0]
    assert header.startswith("session,part_of,date,method,state,workers_n,clock_hours,worker_hours")


def test_score_writes_the_sessions_of_the_plan_as_a_calendar(season: Path, tmp_path: Path) -> None:
    result = run("score", season, "--json", tmp_path / "r.json", "--calendar", tmp_path / "plan.ics")
    assert f"Wrote {tmp_path / 'plan.ics'}" in result.output
    import icalendar

    planned = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["plan"]["sessions"]
    found = icalendar.Calendar.from_ical((tmp_path / "plan.ics").read_bytes()).events
    assert [str(one.start) for one in found] == [row["date"] for row in planned]
    assert planned


@pytest.mark.slow
def test_a_calendar_is_of_one_plan_that_is_there(season: Path, tmp_path: Path) -> None:
    place = tmp_path / "plan.ics"
    shared = run("score", season, "--share", "--calendar", place)
    assert (shared.exit_code, "A copy to be shared has no plan" in shared.output) == (2, True)
    (tmp_path / "other.xlsx").write_bytes(season.read_bytes())
    several = run("score", season, tmp_path / "other.xlsx", "--calendar", place)
    assert (several.exit_code, "take one workbook at a time" in several.output) == (2, True)
    data = demo_data("hill_farm_us")
    del data["next_season"]["start_date"]
    undated = tmp_path / "undated.xlsx"
    undated.write_bytes(packed(filled_workbook(data, system="us", currency="USD", paper="letter")))
    done = run("score", undated, "--calendar", place)
    assert done.exit_code == 1
    assert "No calendar file: Start or Stacked by is blank." in done.output
    assert (tmp_path / "undated-results.xlsx").is_file()
    assert not place.exists()


def test_score_to_share(small: Path, tmp_path: Path) -> None:
    assert run("score", small, "--share", "--json", tmp_path / "r.json").exit_code == 0
    results = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    assert results["provenance"]["left_out"] == "names, place, remarks, body data and the plan"
    names = {cell.value for row in load_workbook(tmp_path / "small-shared.xlsx")["Inputs"] for cell in row}
    assert not (tmp_path / "small-results.xlsx").exists()
    assert [name for name in names if str(name).startswith("Person ")]
    assert not names & {"Ada", "Bo"}


@pytest.mark.slow
def test_score_in_the_other_units(small: Path, tmp_path: Path) -> None:
    run("score", small, "--json", tmp_path / "metric.json")
    run("score", small, "--json", tmp_path / "us.json", "--units", "us", "--replace")
    us, metric = (json.loads((tmp_path / f"{name}.json").read_text(encoding="utf-8")) for name in ("us", "metric"))
    left, right = us["rates_per_cord"][1]["co2e"], metric["rates_per_cord"][1]["co2e"]
    assert (left["unit"], right["unit"]) == ("lb/cord", "kg/cord")
    assert left["value"] == pytest.approx(right["value"] / 0.45359237, rel=1e-8)


def test_score_with_a_fault_still_gives_the_rest(faulty: Path, tmp_path: Path) -> None:
    result = run("score", faulty, "--json", tmp_path / "r.json")
    assert result.exit_code == 1
    results = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    by_method = {row["method"]: row for row in results["rates_per_cord"]}
    assert by_method["By chain saw"]["worker_hours"]["value"] is not None
    states = {row["session"]: row["state"] for row in results["sessions"]}
    assert states["A"] == "needs Cuts!B4"


def test_results_are_not_taken_for_notes(small: Path) -> None:
    run("score", small)
    result = run("check", small.with_name("small-results.xlsx"))
    assert result.exit_code == 3
    assert result.output.count("\n") == 2
    assert problem("header-results-workbook").line() in result.output
    assert problem("header-results-workbook").line() not in run("check", small).output


@together(
    "arguments",
    [["score"], ["check"], ["template"], ["demo"], ["nothing"], ["score", "a.xlsx", "--units", "roman"]],
)
def test_usage(arguments: list[str]) -> None:
    assert run(*arguments).exit_code == 2


def test_missing_file_is_one_line() -> None:
    result = run("score", "absent.xlsx")
    assert result.exit_code == 3
    assert result.output.count("\n") == 1
    assert "absent.xlsx" in result.output


@pytest.mark.slow
def test_demo_writes_and_scores(tmp_path: Path) -> None:
    assert run("demo", tmp_path / "new" / "demo").exit_code == 0
    names = {path.name for path in (tmp_path / "new" / "demo").iterdir()}
    assert names == {f"{name}{ending}.xlsx" for name in demo_names() for ending in ("", "-results")}


NAMES = [
    *(column.ref for sheet in season_definition().sheets for column in sheet.columns),
    *(f"results.{column.ref}" for sheet in results_definition().sheets for column in sheet.columns),
    *catalogue(),
    *constants(),
    "activity.08020",
    "nist_hb130",
]


def test_everything_listed_can_be_explained() -> None:
    listed = [line.strip() for line in listing().splitlines() if line.startswith("  ")]
    assert set(NAMES) <= set(listed)
    for name in listed:
        text = explanation(name)
        assert text is not None
        assert text.startswith(name)


def test_explain_on_the_command_line() -> None:
    assert "cuts.diameter" in run("explain").output
    assert "Units: in, cm, mm" in run("explain", "cuts.diameter").output
    assert "Known: verified" in run("explain", "cord.volume").output
    wrong = run("explain", "cuts.diametre")
    assert wrong.exit_code == 2
    assert "cuts.diameter" in wrong.output
    assert "Near it: Stick length." in run("explain", "stick", "lenght").output  # as the workbook has it


@pytest.mark.parametrize("words", ["Cuts alike", "cuts  ALIKE", "Cuts Cuts alike"])
def test_a_column_is_explained_by_the_title_it_has_in_the_workbook(words: str) -> None:
    assert (explanation(words) or "").startswith("cuts.cuts: Cuts alike (sheet Cuts)")


def test_columns_called_alike_are_all_told() -> None:
    price = explanation("Price") or ""
    assert "tools.price: " in price
    assert "upkeep.price: " in price
    assert "results.tool_costs.price: Price (Owning the tools)" in price
    hours = explanation("Worker hours") or ""
    assert hours.startswith("In the results:\n  results.rates_per_cord.worker_hours: Worker hours (Per cord)")
    assert explanation("Worker minutes") is None


@pytest.mark.slow
def test_same_bytes_in_any_process(season: Path, tmp_path: Path) -> None:
    """Hash seed, time zone, locale and working directory leave no trace."""
    digests = set()
    for number, (seed, zone, locale) in enumerate((("0", "UTC", "C"), ("4711", "Asia/Tokyo", "de_DE.UTF-8"))):
        folder = tmp_path / f"place{number}"
        folder.mkdir()
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale}
        subprocess.run(
            [sys.executable, "-m", "wood_xl", "score", str(season), "--out", "r.xlsx", "--json", "r.json"],
            cwd=folder, env=environment, check=True, capture_output=True,
        )  # fmt: skip
        digests.add(tuple(hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in ("r.xlsx", "r.json")))
    assert len(digests) == 1


def test_help_is_quick_to_import() -> None:
    """--help loads none of the heavy libraries."""
    code = (
        "import sys; sys.argv = ['wood-xl', '--help']\n"
        "from wood_xl.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('pandas', 'pint', 'openpyxl', 'jsonschema', 'numpy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.rstrip().endswith("[]")


@pytest.mark.slow
def test_a_reader_that_stops_early_is_no_fault(small: Path) -> None:
    command = [sys.executable, "-m", "wood_xl", "check", str(small)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
        assert running.wait() in (0, 1)
