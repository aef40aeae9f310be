"""A first trial: from what is filled in to its plan, its copy of the workbook and its paper forms."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Callable, Sequence
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import Data, checked, records, tables, trial_season
from click.testing import CliRunner, Result
from few import few, together
from openpyxl import Workbook, load_workbook

from wood_xl.cli import main
from wood_xl.demo import demo_data
from wood_xl.draws.verdicts import Further, before_any
from wood_xl.hours.methods import method_totals
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.trial_workbook import day_words, trial_forms
from wood_xl.notes.convert import season_records
from wood_xl.notes.document import empty_data
from wood_xl.notes.problem import Level, problem
from wood_xl.pipeline import check_file, computed_tables, input_files, trial_paths
from wood_xl.plan.crews import household_of
from wood_xl.plan.who_may import Work
from wood_xl.schema.words import words
from wood_xl.trial.plan import trial_plan
from wood_xl.trial.schedule import Done, days_of, pile_names, pseudorandom, schedule
from wood_xl.trial.who import TaskTrial
from wood_xl.trial_files import Trial, TrialOptions, trial_file, trial_wanted
from wood_xl.trial_records import LeftOutOfTrial, TrialPlan, TrialSession, TrialWanted
from wood_xl.verdicts import LimitedBy, NotPlanned

BOW, CHAIN, MAUL, ELECTRIC = "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting"
TRAINED = "chain saw; electric splitter"
LEAST_ON_PAPER = 12.0


def household(*people: Data, days: int = 4, methods: Sequence[Data] = (), **trial: Any) -> Data:
    """A workbook that is filled in as far as a trial needs it, in US units."""
    data = empty_data()
    data["season"] = {"season_name": "Spring trial", "currency": "USD", "stick_length": 16}
    data["units"] = {"season": {"stick_length": "in"}}
    data["trial"] = {"first_day": "2027-03-06", "days": days, "work_days": "Sat Sun", "longest_session": 60} | trial
    data["methods"] = list(methods) or [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": CHAIN, "task": "buck", "tool_1": "chain saw"},
        {"method": MAUL, "task": "split", "tool_1": "maul"},
        {"method": ELECTRIC, "task": "split", "tool_1": "electric splitter"},
    ]
    data["tools"] = [
        {"tool": "bow saw", "kind": "hand"},
        {"tool": "crosscut saw", "kind": "hand"},
        {"tool": "chain saw", "kind": "gasoline two-stroke"},
        {"tool": "battery saw", "kind": "battery"},
        {"tool": "maul", "kind": "hand"},
        {"tool": "electric splitter", "kind": "mains"},
    ]
    data["people"] = list(people)
    return data


def adult(name: str, **more: Any) -> Data:
    return {"person": name, "age": 40, "may_use": TRAINED} | more


TWO = (adult("Mara"), adult("Jon"))
FIVE = (*TWO, adult("Ida", age=15), adult("Ruth", doctor_word="still to ask"), adult("Ola", leaves=MAUL))


def file_of(data: Data, folder: Path, name: str = "season") -> Path:
    path = folder / f"{name}.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="us", currency="USD", paper="letter")))
    return path


def made(data: Data, folder: Path, **asked: Any) -> Trial:
    return trial_file(file_of(data, folder), TrialOptions(asked.pop("seed", 1), **asked), None)


def plan_of(data: Data, **asked: Any) -> TrialPlan:
    """The plan of notes that have no session, without any file."""
    notes = checked(data)
    season, _ = season_records(notes)
    wanted = trial_wanted(notes, season, TrialOptions(asked.pop("seed", 1), **asked))
    totals = method_totals(season.methods, [])
    return trial_plan(season, totals, household_of(season, totals, []), wanted)


def short(plan: TrialPlan) -> list[str]:
    """Each turn as a line: day, turn, who does what, on which pile, who is in sight."""
    turns: dict[tuple[int, int], list[TrialSession]] = {}
    for one in plan.sessions:
        turns.setdefault((one.day, one.turn), []).append(one)
    return [
        f"{day}.{turn} "
        + ", ".join(f"{s.person} {s.method} {s.pile}{' / ' + s.in_sight if s.in_sight else ''}" for s in own)
        for (day, turn), own in turns.items()
    ]


def reasons(plan: TrialPlan) -> dict[tuple[str, str], Any]:
    why = {(one.person, method): one.why for one in plan.not_tried for method in one.methods}
    return {key: getattr(one, "id", one) for key, one in why.items()}


def run(*args: str | Path) -> Result:
    return CliRunner().invoke(main, ["trial", *map(str, args)])


def test_two_people_four_methods_four_days() -> None:
    assert short(plan_of(household(*TWO))) == [
        f"1.1 Mara {CHAIN} A / Jon",
        f"1.2 Jon {CHAIN} A / Mara",
        f"1.3 Mara {BOW} A",
        f"1.4 Jon {BOW} A",
        f"2.1 Jon {MAUL} A, Mara {ELECTRIC} A",
        f"2.2 Jon {ELECTRIC} A, Mara {MAUL} A",
        f"3.1 Jon {CHAIN} B / Mara",
        f"3.2 Mara {CHAIN} B / Jon",
        f"3.3 Jon {BOW} B",
        f"3.4 Mara {BOW} B",
        f"4.1 Mara {MAUL} B, Jon {ELECTRIC} B",
        f"4.2 Mara {ELECTRIC} B, Jon {MAUL} B",
    ]


def test_one_person_has_no_powered_saw_and_nothing_to_compare_at_bucking() -> None:
    plan = plan_of(household(adult("Mara")))
    assert {one.task for one in plan.sessions} == {"split"}
    assert [one.method for one in plan.sessions if one.turn == 1] == [ELECTRIC, MAUL, ELECTRIC, MAUL]
    assert plan.nothing == ("buck",)
    assert reasons(plan) == {
        ("Mara", CHAIN): NotPlanned.NO_ONE_IN_SIGHT,
        ("", CHAIN): NotPlanned.NOBODY_MAY,
        ("Mara", BOW): LeftOutOfTrial.ONE_ALONE,
    }


def test_five_people_with_a_minor_and_a_doctor_to_ask() -> None:
    plan = plan_of(household(*FIVE))
    by_task = {task.task: task.people for task in plan.tasks}
    assert by_task == {"buck": ("Mara", "Jon", "Ola"), "split": ("Mara", "Jon")}
    why = reasons(plan)
    assert {why["Ruth", name] for name in (BOW, CHAIN, MAUL, ELECTRIC)} == {NotPlanned.DOCTOR_STILL_TO_ASK}
    assert {why["Ida", name] for name in (CHAIN, MAUL, ELECTRIC)} == {NotPlanned.UNDER_AGE}
    assert why["Ida", BOW] is LeftOutOfTrial.ONE_ALONE
    assert (why["Ola", MAUL], why["Ola", ELECTRIC]) == (NotPlanned.LEAVES_IT, LeftOutOfTrial.ONE_ALONE)
    assert {one.in_sight for one in plan.sessions if one.method == CHAIN} == {"Ruth"}
    assert plan.minors == ("Ida",)


def test_a_minor_tries_two_methods_that_the_rules_allow() -> None:
    methods = [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": "crosscut", "task": "buck", "tool_1": "crosscut saw"},
        {"method": CHAIN, "task": "buck", "tool_1": "chain saw"},
    ]
    plan = plan_of(household(*TWO, adult("Ida", age=15), methods=methods, days=3, longest_session=40))
    ida = [one for one in plan.sessions if one.person == "Ida"]
    assert Counter(one.method for one in ida) == {BOW: 3, "crosscut": 3}
    assert all(one.in_sight != "Ida" and "Ida" not in one.helpers for one in plan.sessions)


def test_three_methods_of_one_task() -> None:
    methods = [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": "crosscut", "task": "buck", "tool_1": "crosscut saw"},
        {"method": CHAIN, "task": "buck", "tool_1": "chain saw"},
    ]
    plan = plan_of(household(*TWO, methods=methods, days=3))
    assert short(plan)[:4] == [
        f"1.1 Mara {CHAIN} A / Jon",
        f"1.2 Jon {CHAIN} A / Mara",
        f"1.3 Mara {BOW} A, Jon crosscut A",
        f"1.4 Mara crosscut A, Jon {BOW} A",
    ]
    (task,) = plan.tasks
    assert (task.pairs_n, task.days_n, task.saws, task.longest_day_min) == (6, 3, (CHAIN,), 5 * 60)


def test_no_remark_on_order_names_a_method_that_somebody_leaves_to_others(tmp_path: Path) -> None:
    names = [BOW, "crosscut", "frame saw"]
    methods = [{"method": name, "task": "buck", "tool_1": "bow saw"} for name in names]
    trial = made(household(adult("Mara"), adult("Jon", leaves=BOW), methods=methods, days=3), tmp_path)
    assert trial.plan is not None
    assert ("Jon", BOW) not in {(one.person, one.method) for one in trial.plan.sessions}
    assert f"with each of their methods ({BOW}, crosscut and frame saw)" in texts_of(trial)


def test_a_single_day_goes_to_the_first_task_and_the_other_is_named(tmp_path: Path) -> None:
    plan = plan_of(household(*TWO, days=1))
    assert {one.task for one in plan.sessions} == {"buck"}
    days = {task.task: task.days_n for task in plan.tasks}
    assert days == {"buck": 1, "split": 0}
    assert {chance.chance for task in plan.tasks for chance in task.chances} == {None}  # two pairs are too few
    assert "No day is left for splitting." in texts_of(made(household(*TWO, days=1), tmp_path))


def test_two_powered_saws_take_turns_in_coming_first() -> None:
    methods = [
        {"method": CHAIN, "task": "buck", "tool_1": "chain saw"},
        {"method": "battery bucking", "task": "buck", "tool_1": "battery saw"},
    ]
    people = [adult(name, may_use="chain saw; battery saw") for name in ("Mara", "Jon")]
    plan = plan_of(household(*people, methods=methods))
    firsts = Counter((one.person, one.method) for one in plan.sessions if one.turn <= 2)
    assert set(firsts.values()) == {2}
    assert all(one.in_sight for one in plan.sessions)


@pytest.mark.slow
def test_a_method_for_two_occupies_both_once_a_day(tmp_path: Path) -> None:
    methods = [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": "two-man saw", "task": "buck", "tool_1": "crosscut saw", "crew": 2},
    ]
    plan = plan_of(household(*TWO, methods=methods, days=2))
    both = [one for one in plan.sessions if one.method == "two-man saw"]
    assert [{one.person, *one.helpers} for one in both] == [{"Mara", "Jon"}] * 2
    assert len({one.person for one in both}) == 2  # who is written as the main person changes
    rows = load_workbook(BytesIO(made(household(*TWO, methods=methods, days=2), tmp_path).copy))["Helpers"]
    assert [rows.cell(4 + at, 1).value for at in range(2)] == [one.name for one in both]
    alone = plan_of(household(adult("Mara"), methods=[*methods, *household()["methods"][2:]]))
    assert reasons(alone)["", "two-man saw"] is LeftOutOfTrial.TOO_FEW


def test_a_day_over_six_hours_goes_on_two_days_and_pairs_stay_on_one() -> None:
    people = [adult(name) for name in ("Mara", "Jon", "Ola", "Eva")]
    plan = plan_of(household(*people, days=2, longest_session=90))
    assert {one.task for one in plan.sessions} == {"buck"}
    assert {one.pile for one in plan.sessions} == {"A"}
    days = {one.person: {other.day for other in plan.sessions if other.person == one.person} for one in plan.sessions}
    assert sorted(map(len, days.values())) == [1, 1, 1, 1]
    assert max(task.longest_day_min for task in plan.tasks) <= 360


def test_many_methods_shorten_the_sessions() -> None:
    methods = [{"method": f"way {n}", "task": "stack"} for n in range(5)]
    plan = plan_of(household(adult("Mara"), methods=methods, longest_session=120))
    (task,) = plan.tasks
    assert (task.minutes, task.longest_day_min) == (45, 5 * 45 + 4 * 30)


WAYS = (Work("a", "buck", 1, ("a",)), Work("b", "buck", 1, ("b",)))
SPLITTING = TaskTrial("split", WAYS, {"Mara": WAYS, "Jon": WAYS})
WANTED = TrialWanted("2027-03-01", 4, frozenset(range(7)), 0.1, 60, 1)


def test_a_missing_session_is_made_up_for_on_its_own_pile() -> None:
    done = [
        Done("split", name, person, "2027-03-01", "North")
        for name, person in (("a", "Mara"), ("b", "Mara"), ("b", "Jon"))
    ]
    sessions = schedule(WANTED, [SPLITTING], [], done)
    assert sessions[0].date == "2027-03-02"
    (extra,) = [one for one in sessions if one.makes_up]
    assert (extra.person, extra.method, extra.pile, extra.day) == ("Jon", "a", "North", 1)
    assert {one.pile for one in sessions if not one.makes_up} == {"A", "B", "C"}
    tried = Counter((one.person, one.method) for one in [*done, *sessions])
    assert set(tried.values()) == {4}
    first = next(one for one in sessions if one.person == "Mara")
    assert first.method == "b"  # she began with a


def test_days_worked_count_among_the_days_given() -> None:
    done = [
        Done("split", "a", "Mara", date, "A") for date in ("2027-02-20", "2027-03-02", "2027-03-02", "2027-03-03")
    ]
    assert days_of(WANTED, done) == ["2027-03-04", "2027-03-05"]
    assert days_of(WANTED, done[:1]) == ["2027-03-01", "2027-03-02", "2027-03-03", "2027-03-04"]


def test_names_of_piles_and_of_days() -> None:
    names = pile_names()
    assert [next(names) for _ in range(27)][-2:] == ["Z", "A2"]
    assert day_words("2027-03-06") == "Sat Mar 6"


@pytest.mark.slow
def test_only_the_seed_changes_the_draw(tmp_path: Path) -> None:
    assert pseudorandom(1, "buck") == pseudorandom(1, "buck") != pseudorandom(2, "buck")
    path = file_of(household(*TWO), tmp_path)
    before = path.read_bytes()
    first, again, other = (trial_file(path, TrialOptions(seed), None) for seed in (3, 3, 4))
    assert (first.copy, first.forms) == (again.copy, again.forms)
    assert first.copy != other.copy
    assert path.read_bytes() == before


def test_chances_of_the_conjugate_model_at_known_spreads() -> None:
    """With every spread known the chance is that of a normal mean; pseudorandom from all priors the two agree."""
    chance = np.random.default_rng(5)
    n, pairs, difference = 20_000, 6, math.log(2)
    s = np.exp(np.linspace(math.log(0.03), math.log(1.5), 14))
    weight = np.exp(-((np.log(s / 0.32) / 0.7) ** 2) / 2)
    own = chance.choice(s, n, p=weight / weight.sum()) ** 2 * (
        1 - chance.choice([0, 0.3, 0.6, 0.9], n, p=[0.1, 0.3, 0.3, 0.3])
    )
    a, b = chance.choice(np.exp([-0.6 * math.sqrt(3), 0, 0.6 * math.sqrt(3)]), (2, n), p=[1 / 6, 2 / 3, 1 / 6]) ** 2
    half, noise = own * (a - b) / 2, own * (a + b) / pairs
    seen = difference - half + chance.normal(size=n) * np.sqrt(noise)
    left = 1 / (1 / 2 + 1 / noise)
    found = seen * (1 - left / 2) + half
    settled = np.abs(found) >= 3.4994832973504937 * np.sqrt(left)  # Student's t at 0.995 with 3 + 6 - 2 degrees
    assert before_any(2, 1.0, pairs)[-1] == pytest.approx(settled.mean(), abs=0.012)


def test_a_larger_difference_and_more_pairs_settle_more_often() -> None:
    (buck, _) = plan_of(household(*TWO), difference_frac=0.2).tasks
    shares = [chance.chance or 0.0 for chance in buck.chances]
    assert [chance.difference_frac for chance in buck.chances] == [0.2, 0.25, 0.5, 1.0]
    assert shares == sorted(shares)
    more = plan_of(household(*TWO, days=12)).tasks[0]
    assert all((m.chance or 0) > (f.chance or 0) for m, f in zip(more.chances[1:], buck.chances[1:], strict=True))
    twice = buck.chances[-1]
    assert twice.pairs_n is not None
    *_, before, enough = before_any(2, 1.0, twice.pairs_n)
    assert enough >= 0.8 > before
    assert twice.days_n == math.ceil(twice.pairs_n / 2)


def test_options_override_start() -> None:
    plan = plan_of(household(*TWO), days_n=2, first_day="2027-05-01")
    assert sorted({one.date for one in plan.sessions}) == ["2027-05-01", "2027-05-02"]


def test_a_blank_template_says_what_to_fill_first(tmp_path: Path) -> None:
    path = file_of(empty_data(), tmp_path)
    result = run(path)
    assert result.exit_code == 3
    (line,) = [line for line in result.output.splitlines() if line.strip().startswith("STOP")]
    assert all(word in line for word in ("Methods", "People", "Work begins", "Days of work"))
    assert [one.name for one in tmp_path.iterdir()] == ["season.xlsx"]


def test_no_trial_is_planned_on_days_that_could_not_be_read(tmp_path: Path) -> None:
    """It was planned on Sundays alone."""
    data = household(*TWO)
    data["trial"]["work_days"] = "not Sunday"
    result = run(file_of(data, tmp_path))
    assert result.exit_code == 3
    assert "Fill in or correct first: Days one can work" in result.output


@pytest.mark.slow
def test_a_form_has_the_beginning_of_a_long_name(tmp_path: Path) -> None:
    book = forms_of(household(adult("Maximiliana Featherstonehaugh-Vandenberg"), adult("Jon")), tmp_path)
    texts = [cell.value for row in book["S1"].iter_rows() for cell in row]
    assert "Maximiliana" in texts
    assert not any("Featherstone" in str(text) for text in texts)


def test_a_method_that_nobody_tries_is_listed_once(tmp_path: Path) -> None:
    page = load_workbook(BytesIO(made(household(adult("Mara")), tmp_path).copy))["Trial plan"]
    texts = [str(cell.value) for row in page.iter_rows() for cell in row if cell.value]
    assert texts.count(CHAIN) == 1
    assert any("no adult is there to stand in sight" in text for text in texts)


def test_a_crew_that_is_too_small_is_named_beside_a_person_who_may_not(tmp_path: Path) -> None:
    two_man = {"method": "two-man saw", "task": "buck", "tool_1": "crosscut saw", "crew": 2}
    methods = [*household()["methods"], two_man]
    ruth = adult("Ruth", doctor_word="still to ask")
    texts = texts_of(made(household(adult("Mara"), ruth, methods=methods), tmp_path))
    assert "It takes 2 people, and fewer may do it" in texts


def test_reasons_are_listed_if_nobody_may_take_part(tmp_path: Path) -> None:
    result = run(file_of(household(adult("Ida", age=15), adult("Ole", age=16)), tmp_path))
    assert result.exit_code == 3
    assert "Ida and Ole: under 18" in result.output
    assert result.output.count("no engine") == 1


def test_a_fault_names_its_cell(tmp_path: Path) -> None:
    result = run(file_of(household(adult("Mara"), adult("Jon", age=-3)), tmp_path))
    assert result.exit_code == 1
    assert "People!B5" in result.output
    plan = plan_of(household(adult("Mara"), adult("Jon", age=-3)))
    assert reasons(plan)["Jon", BOW] is NotPlanned.CELL_WAITS


def test_the_command_writes_two_workbooks_and_never_the_file(tmp_path: Path) -> None:
    path = file_of(household(*TWO), tmp_path)
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    assert run(path).exit_code == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "season-trial-forms.xlsx",
        "season-trial.xlsx",
        "season.xlsx",
    ]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before
    assert run(path).exit_code == 3
    assert run(path, "--replace").exit_code == 0
    for args in (("--out", path), ("--out", tmp_path / "x.xlsx", "--forms", tmp_path / "x.xlsx")):
        assert run(path, *args, "--replace").exit_code == 3
    assert run(path, "--from-day", "6 March").exit_code == 2
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


def test_the_copy_for_the_rest_of_a_trial_has_a_name_of_its_own(tmp_path: Path) -> None:
    """The README has it planned from the filled copy, and no run writes to what it reads."""
    path = file_of(household(*TWO, days=2), tmp_path)
    for name, following in (("season", "season-trial"), ("season-trial", "season-trial-2")):
        assert run(path.with_name(f"{name}.xlsx")).exit_code == 0
        assert path.with_name(f"{following}.xlsx").is_file()
    names = ("a-trial-2", "a-trial-9", "a-trials", "a-trial-2027", "-trial")
    assert [trial_paths(Path(f"{name}.xlsx"), None, None)[0].stem for name in names] == [
        *("a-trial-3", "a-trial-10", "a-trials-trial", "a-trial-2027-trial", "-trial-2")
    ]
    assert {one.name for one in input_files([tmp_path])} == {
        f"season{end}.xlsx" for end in ("", "-trial", "-trial-2")
    }


def texts_of(trial: Trial) -> str:
    book = load_workbook(BytesIO(trial.copy))
    rows = (row for title in ("Trial plan", "Who does what") for row in book[title].iter_rows())
    return "\n".join(str(cell.value) for row in rows for cell in row if cell.value is not None)


@pytest.mark.slow
def test_people_left_out_for_the_same_reason_share_a_row(tmp_path: Path) -> None:
    pupils = [adult(name, age=15) for name in ("Ava", "Ben", "Cal")]
    page = load_workbook(BytesIO(made(household(*TWO, *pupils), tmp_path).copy))["Trial plan"]
    rows = [[str(cell.value) for cell in row if cell.value] for row in page.iter_rows()]
    (under,) = [row for row in rows if row[:1] == ["Ava, Ben, Cal"] and CHAIN in row[1]]
    assert under[1] == f"{CHAIN}, {MAUL}, {ELECTRIC}"
    assert "Age of Ava, Ben, Cal" in under[2]


@pytest.mark.slow
def test_the_copy_lists_every_session_and_checks_clean(tmp_path: Path) -> None:
    trial = made(household(*TWO), tmp_path)
    path = tmp_path / "copy.xlsx"
    path.write_bytes(trial.copy)
    assert trial.plan is not None
    names = [one.name for one in trial.plan.sessions]
    book = load_workbook(path)
    listed = {
        title: [row[0].value for row in book[title].iter_rows(min_row=4) if row[0].value]
        for title in ("Sessions", "Tally", "Stacks")
    }
    assert listed["Sessions"] == names
    assert sorted([*listed["Tally"], *listed["Stacks"]]) == sorted(names)
    assert book.sheetnames[:3] == ["Start", "Trial plan", "Who does what"]
    first = [book["Sessions"].cell(4, number).value for number in (1, 2, 3, 4, 9)]
    assert (first[0], f"{first[1]:%Y-%m-%d}", *first[2:]) == ("S1", "2027-03-06", CHAIN, "Mara", "A")
    found = check_file(path).problems
    assert [one.code for one in found if one.level in (Level.FIX, Level.LOOK)] == []
    assert [one.code for one in found if one.level is Level.STOP] == ["season-no-sessions"]


@pytest.mark.slow
def test_the_time_limit_asks_nobody_to_leave_a_cut_half_done(tmp_path: Path) -> None:
    trial = made(household(*TWO), tmp_path)
    form = load_workbook(BytesIO(trial.forms))["S1"]
    on_form = "\n".join(str(cell.value) for row in form.iter_rows() for cell in row if cell.value is not None)
    for text in (texts_of(trial), on_form):
        assert "egin no cut or piece that you cannot finish in that time. Stop sooner, before you are tired." in text


def fill_in(data: bytes, path: Path, of: Callable[[str], bool]) -> None:
    """Type the forms of some sessions into a copy: an hour, and some wood."""
    book = load_workbook(BytesIO(data))
    names = {row[0].value for row in book["Sessions"].iter_rows(min_row=4) if row[0].value and of(row[0].value)}
    column = next(cell.column for cell in book["Sessions"][3] if str(cell.value).startswith("Elapsed"))
    for row in book["Sessions"].iter_rows(min_row=4):
        if row[0].value in names:
            book["Sessions"].cell(row[0].row, column).value = 60
    for title, values in (("Tally", {8: 20, 9: 12}), ("Stacks", {2: 40, 3: 60})):
        for row in book[title].iter_rows(min_row=4):
            for number, value in values.items() if row[0].value in names else ():
                book[title].cell(row[0].row, number).value = value
    book.save(path)


@pytest.mark.slow
def test_a_half_filled_trial_gets_its_remaining_sessions(tmp_path: Path) -> None:
    first = made(household(*TWO), tmp_path)
    half = tmp_path / "half.xlsx"
    fill_in(
        first.copy, half, lambda name: name in ("S1", "S2", "S3", "S5", "S6", "S7")
    )  # S4 and S8 did not come about
    rest = trial_file(half, TrialOptions(1), None)
    assert rest.plan is not None
    assert [(one.person, one.method, one.pile) for one in rest.plan.sessions if one.makes_up] == [
        ("Jon", BOW, "A"),
        ("Mara", MAUL, "A"),
    ]
    assert sorted({one.date for one in rest.plan.sessions}) == ["2027-03-13", "2027-03-14"]
    assert {one.name for one in rest.plan.sessions}.isdisjoint({f"S{n}" for n in range(1, 17)})
    assert [(task.done_n, task.pairs_n) for task in rest.plan.tasks] == [(1, 3), (1, 3)]
    chances = [chance for task in rest.plan.tasks for chance in task.chances]
    assert [chance.difference_frac for chance in chances] == [None, None]
    assert all(0 < (chance.chance or 0) < 1 for chance in chances)
    book = load_workbook(BytesIO(rest.copy))
    names = [row[0].value for row in book["Sessions"].iter_rows(min_row=4) if row[0].value]
    assert names == ["S1", "S2", "S3", "S5", "S6", "S7", *(one.name for one in rest.plan.sessions)]
    assert [book["Sessions"].cell(4 + at, 1).value for at in range(6)] == names[:6]  # no gaps
    assert [book.sheetnames.count(title) for title in ("Trial plan", "Who does what")] == [1, 1]


@pytest.mark.parametrize(
    ("name", "difference_frac"), few([("hill_farm_us", 0.0), ("hill_farm_us", 0.5), ("lake_cabin_metric", 0.1)])
)
def test_a_settled_pair_needs_no_more_days(name: str, difference_frac: float, tmp_path: Path) -> None:
    """Compare says of these seasons that engines and motors are quicker, settled, and two of the saws the same."""
    trial = made(demo_data(name), tmp_path, days_n=2, first_day="2027-03-06", difference_frac=difference_frac)
    assert trial.plan is not None
    assert [[chance.pairs_n for chance in task.chances] for task in trial.plan.tasks] == [[0], [0]]
    assert "settled already" in texts_of(trial)
    assert "pair more" not in texts_of(trial)


@pytest.mark.slow
def test_an_open_pair_is_shown_before_a_settled_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of the cabin's saws are the same within a margin alone; a chance is a sum that may come out as 1."""
    monkeypatch.setattr("wood_xl.trial.plan.further", lambda *_: Further((1.0,) * 12, 3))
    trial = made(demo_data("lake_cabin_metric"), tmp_path, days_n=2, first_day="2027-03-06", difference_frac=0.0)
    assert trial.plan is not None
    assert [[chance.pairs_n for chance in task.chances] for task in trial.plan.tasks] == [[3], [0]]


@pytest.mark.slow
def test_planned_rows_keep_the_blank_rows_below_them_on_paper(tmp_path: Path) -> None:
    data = household(*TWO, days=1)
    noted = {"session": "S1", "date": "2027-03-01", "method": BOW, "person": "Mara", "elapsed_time": 60}
    data["sessions"] = [noted | {"note": "wet wood " * 30}]
    before = load_workbook(file_of(data, tmp_path))["Sessions"]
    after = load_workbook(BytesIO(made(data, tmp_path).copy))["Sessions"]
    assert after["A5"].value == "S2"
    assert after.print_area == before.print_area


@pytest.mark.slow
def test_a_planned_row_is_as_high_as_a_long_name_in_it(tmp_path: Path) -> None:
    long = adult("Maximiliana Featherstonehaugh-Vandenberg")
    pages = [
        load_workbook(BytesIO(made(household(one, TWO[1]), tmp_path).copy))["Sessions"] for one in (TWO[0], long)
    ]
    heights = [{page.row_dimensions[row].height for row in range(4, 20)} for page in pages]
    assert len(heights[0]) == 1
    assert max(heights[1]) > 2 * min(heights[1]) == 2 * max(heights[0])


@pytest.mark.slow
def test_no_day_of_the_plan_on_the_wall_is_cut_by_the_edge_of_a_page(tmp_path: Path) -> None:
    page = load_workbook(BytesIO(made(household(*TWO, days=20), tmp_path).copy))["Who does what"]
    others = [one.id for one in page.row_breaks.brk]
    assert others, "more days than one page holds"
    assert all(page.cell(row + 1, 1).value for row in others), "a page begins with a day"
    head = page.row_dimensions[int(page.print_title_rows.split(":")[0].strip("$"))].height
    width = sum(page.column_dimensions[letter].width for letter in "ABCDEFGH")
    room = 702 * width * 5.25 / 540  # of a page that holds this width
    for number, (first, last) in enumerate(pairwise([0, *others, page.max_row])):
        height = sum(page.row_dimensions[row].height for row in range(first + 1, last + 1))
        assert height + (head if number else 0) < room


def edited(data: bytes, path: Path, cells: dict[tuple[str, int, str], Any], held: Sequence[str] = ()) -> Trial:
    """The trial planned again, after some sessions were held and cells were typed: by sheet, row and header."""
    fill_in(data, path, lambda name: name in held)
    book = load_workbook(path)
    for (title, row, header), value in cells.items():
        column = next(cell.column for cell in book[title][3] if str(cell.value).startswith(header))
        book[title].cell(row, column).value = value
    book.save(path)
    return trial_file(path, TrialOptions(1), None)


def listed(trial: Trial) -> list[tuple[str, str, str, str]]:
    """Session, method, person and note of each row of the copy."""
    page = load_workbook(BytesIO(trial.copy))["Sessions"]
    columns = [c.column - 1 for c in page[3] if c.value in ("Session", "Method", "Person", "Note")]
    return [tuple(row[at].value or "" for at in columns) for row in page.iter_rows(min_row=4) if row[0].value]


@pytest.mark.slow
def test_the_note_of_a_session_to_come_goes_to_the_one_that_stands_for_it(tmp_path: Path) -> None:
    """The session stayed for its note, and was planned a second time beside it."""
    first = made(household(*TWO), tmp_path)
    _, method, person, _ = listed(first)[1]
    again = edited(first.copy, tmp_path / "noted.xlsx", {("Sessions", 5, "Note"): "borrow the saw from Eva"})
    assert len(listed(again)) == len(listed(first))
    (noted,) = [row for row in listed(again) if row[3]]
    assert noted[1:] == (method, person, "borrow the saw from Eva")
    later = made(household(*TWO), tmp_path, first_day="2027-04-10")
    moved = edited(later.copy, tmp_path / "noted.xlsx", {("Sessions", 5, "Note"): "rained out"})
    assert [row[3] for row in listed(moved) if row[3]] == ["2027-04-10: rained out"]


@pytest.mark.slow
def test_a_day_whose_sessions_were_left_out_is_lost_and_not_one_of_those_given(tmp_path: Path) -> None:
    first = made(household(*TWO), tmp_path)
    rained = {("Sessions", row, "Leave out"): "rained out" for row in range(4, 8)}
    again = edited(first.copy, tmp_path / "rained.xlsx", rained)
    assert again.plan is not None
    assert sorted({one.date for one in again.plan.sessions}) == [
        "2027-03-07", "2027-03-13", "2027-03-14", "2027-03-20",
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(
    ("cells", "codes"),
    [
        ({("Sessions", 4, "Person"): "Marra"}, []),
        ({("Tally", 4, "10 in"): "a few"}, []),
        ({("Sessions", 4, "Method"): "chainsaw bucking"}, []),
        ({("Sessions", 4, "Method"): '"'}, ["trial-held-again"]),
        ({("Sessions", 4, "Person"): "same"}, ["trial-held-again"]),
    ],
)
def test_a_session_that_was_held_is_not_planned_again_for_a_cell_to_mend(
    cells: Any, codes: list[str], tmp_path: Path
) -> None:
    first, held = made(household(*TWO), tmp_path), [f"S{n}" for n in range(1, 9)]
    assert listed(first)[0][1:3] == (CHAIN, "Mara")
    as_held = edited(first.copy, tmp_path / "held.xlsx", {}, held)
    again = edited(first.copy, tmp_path / "held.xlsx", cells, held)
    assert [one.code for one in again.problems if one.code.startswith("trial-")] == codes
    assert (listed(again)[8:] == listed(as_held)[8:]) is not bool(codes)


def test_a_plan_that_begins_before_the_workbook_was_saved_is_told(tmp_path: Path) -> None:
    for first_day, is_told in (("2020-03-07", True), ("2127-03-07", False)):
        first = made(household(*TWO, first_day=first_day), tmp_path)
        found = edited(first.copy, tmp_path / "saved.xlsx", {}).problems
        assert [one.where for one in found if one.code == "trial-day-past"] == ["Start!B11"] * is_told


def test_used_up_days_are_reported(tmp_path: Path) -> None:
    path = tmp_path / "done.xlsx"
    fill_in(made(household(*TWO, days=1), tmp_path).copy, path, lambda _: True)
    result = run(path)
    assert result.exit_code == 3
    assert problem("trial-no-day").line() in result.output
    assert "trial-no-day" not in [one.code for one in trial_file(path, TrialOptions(1, days_n=2), None).problems]


def without(data: Data, sheet: str, item: str) -> Data:
    del data[sheet][item]
    return data


SAWS = [
    {"method": BOW, "task": "buck", "tool_1": "bow saw"},
    {"method": CHAIN, "task": "buck", "tool_1": "chain saw"},
]


@together(
    ("code", "named", "data"),
    [
        ("", "", household(*TWO)),
        ("trial-fill-first", "People", household()),
        ("trial-fill-first", "Work begins on Start", without(household(*TWO), "trial", "first_day")),
        ("trial-fill-first", "Days of work on Start", without(household(*TWO), "trial", "days")),
        ("trial-fill-first", "two ways of one task on Methods", household(*TWO, methods=SAWS[:1])),
        ("trial-nobody", "Ida: under 18", household(adult("Ida", age=15))),
        ("trial-nobody", "Ola: leaves it to others", household(adult("Ola", leaves=f"{BOW}; {MAUL}"))),
        ("", "", household(adult("Mara"), adult("Ola", leaves=MAUL))),
    ],
)
def test_what_stops_a_trial_is_named(code: str, named: str, data: Data, tmp_path: Path) -> None:
    trial = made(data, tmp_path)
    problems = [one for one in trial.problems if one.code.startswith("trial-")]
    assert [one.code for one in problems] == ([code] if code else [])
    assert (trial.plan is None) is bool(code)
    assert all(named in one.text for one in problems)


def test_the_plan_of_a_season_without_a_name_does_not_begin_with_a_colon(tmp_path: Path) -> None:
    book = load_workbook(BytesIO(made(without(household(*TWO), "season", "season_name"), tmp_path).copy))
    assert str(book["Trial plan"]["A2"].value).startswith("4 days, 2 people")


def test_whoever_waits_for_a_cell_gets_no_reason_that_the_cell_may_change(tmp_path: Path) -> None:
    """It said that nothing could be compared, for a kind of tool that was mistyped."""
    data = household(adult("Mara"), methods=SAWS)
    data["tools"][2]["kind"] = "gasoline chain saw"
    (stop,) = [one for one in made(data, tmp_path).problems if one.code == "trial-nobody"]
    assert f"Mara: {words(NotPlanned.CELL_WAITS)}; {CHAIN}: " in stop.text


def test_no_time_within_the_limits_of_heart_and_vibration_is_reported(tmp_path: Path) -> None:
    """It said that nobody may try two methods, with no reason, and sent to People."""
    data = household(*TWO, methods=SAWS)
    data["tools"][2]["vibration"] = 50
    data["units"]["tools"] = {"vibration": "m/s2"}
    (stop,) = [one for one in made(data, tmp_path).problems if one.level is Level.STOP]
    assert stop.code == "trial-nobody"
    assert f"{BOW} and {CHAIN}: the heart, or vibration, leaves less than" in stop.text
    assert "Tools" in stop.mend


def forms_of(data: Data, folder: Path) -> Workbook:
    return load_workbook(BytesIO(made(data, folder).forms))


@pytest.mark.slow
def test_one_form_a_session_filled_with_what_is_known(tmp_path: Path) -> None:
    book = forms_of(household(*TWO), tmp_path)
    assert book.sheetnames == [f"S{n}" for n in range(1, 17)]
    texts = {name: [str(c.value) for row in book[name].iter_rows() for c in row if c.value] for name in ("S1", "S5")}
    assert {"Bucking", "Day 1, turn 1 of 4", "S1", "Sat Mar 6", "Mara", "A", CHAIN} <= set(texts["S1"])
    assert {"Splitting", "S5", "Sun Mar 7", "Jon", MAUL} <= set(texts["S5"])
    assert any("cut-resistant legwear" in text for text in texts["S1"])
    assert any("Jon stands in sight" in text for text in texts["S1"])
    assert not any("in sight" in text or "legwear" in text for text in texts["S5"])
    for page in book.worksheets:
        assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (1, 1)
        sizes = [cell.font.size for row in page.iter_rows() for cell in row if cell.value]
        assert min(sizes) >= LEAST_ON_PAPER


FELLING = [
    {"method": name, "task": "fell", "tool_1": tool}
    for name, tool in (("felling by hand", "bow saw"), ("felling by motor", "chain saw"))
]


def test_felling_by_any_saw_is_watched_and_its_caution_stands_in_full(tmp_path: Path) -> None:
    trial = made(household(*TWO, days=1, methods=FELLING), tmp_path)
    assert trial.plan is not None
    assert short(trial.plan) == [
        "1.1 Jon felling by motor A / Mara",
        "1.2 Mara felling by motor A / Jon",
        "1.3 Jon felling by hand A / Mara",
        "1.4 Mara felling by hand A / Jon",
    ]
    books = [load_workbook(BytesIO(one)) for one in (trial.copy, trial.forms)]
    forms = [page for page in books[1].worksheets if page.title.startswith("S")]
    assert len(forms) == 4
    for page in [books[0]["Who does what"], *forms]:
        texts = [str(cell.value) for row in page.iter_rows() for cell in row if cell.value]
        assert any("Felling: Leave standing" in one and "makes felling fit for you" in one for one in texts)
        assert page.title == "Who does what" or (texts[0] == "Felling" and "stands in sight" in " ".join(texts))
    assert "powered saw put away" in " ".join(str(row[7].value) for row in books[0]["Who does what"].iter_rows())


def minutes_of(change: Callable[[Data], object]) -> set[float]:
    """Minutes of a trial of two saws; Ada bucked at half of her reserve, and no vibration is written."""
    data = trial_season()
    data["units"]["tools"]["vibration"] = "m/s2"
    change(data)
    season, found = records(data), tables(data)
    wanted = TrialWanted("2027-03-06", 4, frozenset(range(7)), 0.1, longest_min=240, seed=1)
    plan = trial_plan(season, found.rates.study.totals, found.household, wanted)
    assert {one.person for one in plan.sessions} <= {"Ada"}
    assert plan.sessions or {one.why.id for one in plan.not_tried if not one.person} == {LeftOutOfTrial.TOO_SHORT}
    return {one.minutes for one in plan.sessions}


@together(
    ("change", "minutes"),
    [
        (lambda data: data["sessions"][0].pop("mean_heart_rate"), {165}),  # two turns with a rest are six hours
        (lambda _: None, {140}),  # the modeled time is 141.4 min
        (lambda data: data["sessions"][0].update(mean_heart_rate=121), {120}),  # longer would be very high strain
        # the action value is reached in 46.9 min of running, which is half of a session
        (lambda data: data["tools"][1].update(vibration=8), {90}),
        # both tools shake on one day: 1 / (1 / 93.75 + 1 / 120) min of each
        (
            lambda data: (
                data["tools"][1].update(vibration=8),
                data["tools"][0].update(kind="battery", vibration=5),
                data["people"][0].update(may_use="Chain saw; Bow saw"),
            ),
            {50},
        ),
        (lambda data: data["tools"][1].update(vibration=50), set()),
    ],
)
def test_no_session_exceeds_the_limits_of_heart_and_vibration(
    change: Callable[[Data], object], minutes: set[float]
) -> None:
    assert minutes_of(change) == minutes


def test_nobody_fells_alone_by_hand() -> None:
    methods = [one | {"tool_1": tool} for one, tool in zip(FELLING, ("bow saw", "crosscut saw"), strict=True)]
    plan = plan_of(household(adult("Mara"), adult("Ida", age=17), methods=methods))
    assert plan.sessions == ()
    assert reasons(plan)["Mara", "felling by hand"] is NotPlanned.NO_ONE_IN_SIGHT


def test_a_long_name_is_made_to_fit_its_box() -> None:
    name = "bucking with the old two-stroke saw on the north side"
    methods = [{"method": name, "task": "stack"}, {"method": "other", "task": "stack"}]
    plan = plan_of(household(*TWO, methods=methods, days=1))
    pages = trial_forms(plan, system="us", currency="USD", paper="letter").worksheets
    sizes = {
        c.value: c.font.size for page in pages for row in page.iter_rows() for c in row if c.value in (name, "other")
    }
    assert 8 <= sizes[name] < sizes["other"] == 16


def test_forms_in_metric_units() -> None:
    plan = plan_of(household(*TWO, days=1))
    texts = [
        c.value
        for row in trial_forms(plan, system="metric", currency="EUR", paper="a4")["S1"].iter_rows()
        for c in row
    ]
    assert "Air [\N{DEGREE SIGN}C]" in texts


def test_very_high_strain_in_a_session_done_keeps_somebody_from_that_method() -> None:
    data = household(adult("Mara", resting_heart_rate=60), TWO[1])
    data["units"] |= {
        "sessions": {"elapsed_time": "min", "mean_heart_rate": "beats/min"},
        "stacks": {"height": "in", "length": "in"},
    }
    data["sessions"] = [
        {
            "session": "S1",
            "date": "2027-02-20",
            "method": MAUL,
            "person": "Mara",
            "elapsed_time": 60,
            "mean_heart_rate": 170,
        }
    ]
    data["stacks"] = [{"session": "S1", "height": 48, "length": 60}]
    notes = checked(data)
    season, _ = season_records(notes)
    tables, _ = computed_tables(notes)
    assert tables is not None
    wanted = trial_wanted(notes, season, TrialOptions(1))
    plan = trial_plan(season, tables.rates.study.totals, tables.household, wanted)
    assert reasons(plan)["Mara", MAUL] is NotPlanned.VERY_HIGH_STRAIN
    assert {one.person for one in plan.sessions if one.task == "split"} == {"Jon"}


def test_forms_are_not_read_as_notes_and_names_get_their_ending(tmp_path: Path) -> None:
    path = file_of(household(*TWO, days=1), tmp_path)
    assert run(path, "--out", tmp_path / "may").exit_code == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == ["may-trial-forms.xlsx", "may.xlsx", "season.xlsx"]
    assert [one.name for one in input_files([tmp_path])] == ["may.xlsx", "season.xlsx"]


@pytest.mark.slow
def test_the_sheet_for_the_wall_has_no_reasons_of_health(tmp_path: Path) -> None:
    book = load_workbook(BytesIO(made(household(*FIVE), tmp_path).copy))
    texts = {
        title: [str(c.value) for row in book[title].iter_rows() for c in row if c.value] for title in book.sheetnames
    }
    plan, wall = (" ".join(texts[title]) for title in ("Trial plan", "Who does what"))
    assert ("ask your doctor first" in plan, "ask your doctor first" in wall) == (True, False)
    assert ("cut-resistant legwear" in plan, "cut-resistant legwear" in wall) == (False, True)
    page = book["Who does what"]
    heads = page.print_title_rows.replace("$", "").split(":")[0]
    assert [cell.value for cell in page[int(heads)]][:3] == ["Day", "Turn", "Session"]
    assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight, page.page_setup.orientation) == (
        1,
        1,
        "portrait",
    )
    assert not page.row_breaks.brk
    assert min(cell.font.size for row in page.iter_rows() for cell in row if cell.value) >= 9


@pytest.mark.parametrize(
    ("limits", "minutes"),
    [
        ({"a": (60, LimitedBy.STRAIN)}, 30),  # he makes up for one on the first day
        ({"b": (45, LimitedBy.STRAIN)}, 45),
        ({"a": (80, LimitedBy.VIBRATION), "b": (80, LimitedBy.VIBRATION)}, 25),
    ],
)
def test_a_daily_limit_is_shared_by_the_sessions_of_the_day(limits: Any, minutes: float) -> None:
    done = [Done("split", *one, "2027-03-01", "A") for one in (("a", "Mara"), ("b", "Mara"), ("b", "Jon"))]
    trial = SPLITTING._replace(limits={("Jon", name): [limit] for name, limit in limits.items()})
    assert {one.minutes for one in schedule(WANTED, [trial], [], done)} == {minutes}


def test_an_order_that_cannot_be_balanced_is_reported() -> None:
    done = [Done("split", name, "Mara", f"2027-02-0{day}", "A") for day in range(1, 7) for name in ("a", "b")]
    sessions = schedule(WANTED, [SPLITTING], [], done)
    firsts = Counter(one.method for one in sessions if one.person == "Mara" and one.turn == 1)
    assert firsts == {"b": 4}  # six times a came first, and four days are too few to make up for it


def test_a_helper_is_another_person_who_may_do_the_method() -> None:
    methods = [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": "two-man saw", "task": "buck", "tool_1": "crosscut saw", "crew": 2},
    ]
    people = (*TWO, adult("Ola", leaves="two-man saw"), adult("Ruth"))
    both = [one for one in plan_of(household(*people, methods=methods)).sessions if one.method == "two-man saw"]
    assert {len({one.person, *one.helpers}) for one in both} == {2}
    assert {name for one in both for name in (one.person, *one.helpers)} == {"Mara", "Jon", "Ruth"}


def test_a_powered_saw_that_takes_two_needs_a_third_adult_in_sight() -> None:
    methods = [
        {"method": BOW, "task": "buck", "tool_1": "bow saw"},
        {"method": CHAIN, "task": "buck", "tool_1": "chain saw", "crew": 2},
    ]
    two, three = (plan_of(household(*people, methods=methods)) for people in (TWO, (*TWO, adult("Ola"))))
    why = reasons(two)
    assert {why[name, CHAIN] for name in ("Mara", "Jon")} == {NotPlanned.NO_ONE_IN_SIGHT}
    assert why["", CHAIN] is NotPlanned.NOBODY_MAY
    assert two.sessions == ()
    at_the_saw = [{one.person, *one.helpers, one.in_sight} for one in three.sessions if one.method == CHAIN]
    assert at_the_saw == [{"Mara", "Jon", "Ola"}] * len(at_the_saw)
    assert at_the_saw != []


def test_days_of_a_trial_are_workdays() -> None:
    wanted = TrialWanted("2027-03-01", 4, frozenset({5, 6}), 0.1, 60, 1)  # from a Monday, on Saturdays and Sundays
    assert days_of(wanted, []) == ["2027-03-06", "2027-03-07", "2027-03-13", "2027-03-14"]
