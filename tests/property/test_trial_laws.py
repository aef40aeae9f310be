"""Laws of a first trial, whoever tries whatever for however many days, from the beginning or half way."""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import combinations

from few import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wood_xl.body.exposure import daily_vibration_a8_m_s2
from wood_xl.hours.methods import method_totals
from wood_xl.plan.crews import household_of
from wood_xl.plan.who_may import Work, in_sight_of, is_adult, why_not, work_of
from wood_xl.records import Method, Person, Season, Tool
from wood_xl.trial.plan import trial_plan
from wood_xl.trial.schedule import Done, day_minutes, schedule
from wood_xl.trial.who import TaskTrial
from wood_xl.trial_records import TrialPlan, TrialSession, TrialWanted

TOOLS = (
    Tool("bow saw", "hand"),
    Tool("crosscut saw", "hand"),
    Tool("chain saw", "gasoline two-stroke", vibration_m_s2=6.0),
    Tool("battery saw", "battery", vibration_m_s2=4.0),
    Tool("maul", "hand"),
    Tool("splitter", "mains", vibration_m_s2=9.0),
)
POWERED = tuple(tool.name for tool in TOOLS if tool.kind != "hand")
BY_NAME = {tool.name: tool for tool in TOOLS}
NAMES = ("Mara", "Jon", "Ida", "Ruth", "Ola")
LAWS = settings(max_examples=examples(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def people(draw: st.DrawFn) -> tuple[Person, ...]:
    return tuple(
        Person(
            name,
            age_years=draw(st.sampled_from([40.0, 40.0, 40.0, 68.0, 15.0, None])),
            heart_rate_limited=draw(st.sampled_from([False, False, False, True])),
            doctor_word=draw(st.sampled_from(["not asked", "not asked", "given", "still to ask"])),
            may_use=tuple(draw(st.sets(st.sampled_from(POWERED), min_size=1))),
            leaves=tuple(draw(st.sets(st.just("split with maul")))),
        )
        for name in NAMES[: draw(st.integers(1, len(NAMES)))]
    )


@st.composite
def seasons(draw: st.DrawFn) -> Season:
    methods = [
        Method(f"{task} with {tool}", task, (tool,), people_n=draw(st.integers(1, 1 + ("cross" in tool))))
        for task, tools in (("fell", TOOLS[:4]), ("buck", TOOLS[:4]), ("split", TOOLS[4:]))
        for tool in draw(st.permutations([one.name for one in tools]))[: draw(st.integers(0, 4))]
    ]
    return Season(
        name="made up",
        currency="USD",
        stick_length_m=0.4,
        stack_form="ranked split",
        horizon_years=10,
        real_interest_rate_frac=0.03,
        two_stroke_mix_ratio=50,
        ethanol_frac=0.1,
        practical_margin_frac=0.1,
        emission_factor_set="EPA hub",
        gwp_set="AR5",
        people=draw(people()),
        tools=TOOLS,
        methods=tuple(methods),
    )


@st.composite
def wishes(draw: st.DrawFn) -> TrialWanted:
    return TrialWanted(
        first_day="2027-03-01",
        days_n=draw(st.integers(1, 8)),
        weekdays=frozenset(draw(st.sets(st.integers(0, 6), min_size=1))),
        difference_frac=0.1,
        longest_min=draw(st.sampled_from([30.0, 60.0, 90.0, 240.0])),
        seed=draw(st.integers(0, 50)),
    )


def planned(season: Season, wanted: TrialWanted) -> TrialPlan:
    totals = method_totals(season.methods, [])
    return trial_plan(season, totals, household_of(season, totals, []), wanted)


def works(one: TrialSession) -> tuple[str, ...]:
    return (one.person, *one.helpers)


def by_turn(plan: TrialPlan) -> list[list[TrialSession]]:
    turns: dict[tuple[int, int], list[TrialSession]] = defaultdict(list)
    for one in plan.sessions:
        turns[one.day, one.turn].append(one)
    return [*turns.values()]


def is_powered_saw(season: Season, one: TrialSession) -> bool:
    method = next(method for method in season.methods if method.name == one.method)
    return work_of(method, BY_NAME).is_powered_saw


@LAWS
@given(seasons(), wishes())
def test_nobody_is_in_two_places_and_no_tool_in_two_hands(season: Season, wanted: TrialWanted) -> None:
    tools = {method.name: set(method.tools) for method in season.methods}
    for turn in by_turn(planned(season, wanted)):
        at_work = [name for one in turn for name in works(one)]
        in_sight = [one.in_sight for one in turn if one.in_sight]
        assert len({*at_work, *in_sight}) == len(at_work) + len(in_sight)
        assert all(not tools[one.method] & tools[other.method] for one, other in combinations(turn, 2))


@LAWS
@given(seasons(), wishes())
def test_no_rule_about_people_is_broken(season: Season, wanted: TrialWanted) -> None:
    everybody = {person.name: person for person in season.people}
    methods = {method.name: method for method in season.methods}
    plan = planned(season, wanted)
    for one in plan.sessions:
        work = work_of(methods[one.method], BY_NAME)
        for name in works(one):
            person = everybody[name]
            assert why_not(person, work, trained=person.may_use or (), strain=()) is None
            assert one.method not in person.leaves
        assert 1 + len(one.helpers) == methods[one.method].people_n
        assert bool(one.in_sight) == work.is_watched
        if one.in_sight:
            assert one.in_sight in in_sight_of(one.person, season.people)
            assert is_adult(everybody[one.in_sight])
        if not is_adult(everybody[one.person]):
            assert not work.is_powered
            assert one.task not in ("split", "fell", "limb")


@LAWS
@given(seasons(), wishes())
def test_everybody_does_all_they_may_on_the_same_day_and_pile(season: Season, wanted: TrialWanted) -> None:
    plan = planned(season, wanted)
    out = {(one.person, method) for one in plan.not_tried for method in one.methods}
    nobody = {method for person, method in out if not person}
    for day in {one.day for one in plan.sessions}:
        own = [one for one in plan.sessions if one.day == day]
        assert len({(one.task, one.date, one.pile) for one in own}) == 1
        group = {method.name for method in season.methods if method.task == own[0].task} - nobody
        for name in {name for one in own for name in works(one)}:
            tried = Counter(one.method for one in own if name in works(one))
            wanted_n = {method for method in group if (name, method) not in out}
            leads = {one.method for one in own if one.person == name}
            assert set(tried) >= wanted_n or not leads
            assert len(tried) > 1 or not leads


@LAWS
@given(seasons(), wishes())
def test_a_powered_saw_comes_before_all_else_and_alone(season: Season, wanted: TrialWanted) -> None:
    plan = planned(season, wanted)
    for day in {one.day for one in plan.sessions}:
        saws = [one.turn for one in plan.sessions if one.day == day and is_powered_saw(season, one)]
        others = [one.turn for one in plan.sessions if one.day == day and not is_powered_saw(season, one)]
        assert max(saws, default=0) < min(others, default=99)
        assert len(set(saws)) == len(saws)


@LAWS
@given(seasons(), wishes())
def test_orders_and_sessions_are_balanced_within_one(season: Season, wanted: TrialWanted) -> None:
    """Within one, but for who helps others on a day without methods of their own: that is in the plan, and told."""
    plan = planned(season, wanted)
    for task in plan.tasks:
        own = [one for one in plan.sessions if one.task == task.task]
        leads = {(one.person, one.day) for one in own}
        helps_only = {name for one in own for name in one.helpers if (name, one.day) not in leads}
        assert set(task.uneven) <= helps_only
        assert task.unbalanced == () or helps_only
    for name in {name for one in plan.sessions for name in works(one)}:
        for task in ("buck", "split"):
            firsts: Counter[str] = Counter()
            methods: set[str] = set()
            for day in {one.day for one in plan.sessions if one.task == task}:
                own = [
                    one
                    for one in plan.sessions
                    if one.day == day and name in works(one) and not is_powered_saw(season, one)
                ]
                methods |= {one.method for one in own}
                if len({one.method for one in own}) > 1:
                    firsts[min(own, key=lambda one: one.turn).method] += 1
            if len(methods) > 1 and not any(one.helpers for one in plan.sessions if one.method in methods):
                counts = [firsts[method] for method in methods]
                assert max(counts) - min(counts) <= 1


@LAWS
@given(seasons(), wishes())
def test_days_are_those_given_and_none_is_too_long(season: Season, wanted: TrialWanted) -> None:
    plan = planned(season, wanted)
    dates = sorted({one.date for one in plan.sessions})
    assert len(dates) in ({wanted.days_n} if plan.tasks else {0})
    assert all(date >= wanted.first_day for date in dates)
    for day in {one.day for one in plan.sessions}:
        own = [one for one in plan.sessions if one.day == day]
        assert own[0].minutes <= wanted.longest_min
        if not any(one.helpers for one in own):  # who helps another may make a day longer
            assert day_minutes(own) <= 360


@LAWS
@given(seasons(), wishes())
def test_no_day_shakes_anybody_beyond_the_action_value(season: Season, wanted: TrialWanted) -> None:
    plan = planned(season, wanted)
    rates = {method.name: BY_NAME[method.tools[0]].vibration_m_s2 for method in season.methods}
    held: dict[tuple[str, int], list[tuple[float, float]]] = defaultdict(list)
    for one in plan.sessions:
        if rate := rates[one.method]:
            held[one.person, one.day].append((rate, one.minutes / 60))
    for parts in held.values():
        assert daily_vibration_a8_m_s2(vibration_m_s2_and_hours=parts) <= 2.5 + 1e-9


TRIED = ("a", "b", "c")


@LAWS
@given(
    st.lists(st.tuples(st.sampled_from(NAMES[:3]), st.sampled_from(TRIED), st.integers(1, 5)), max_size=14),
    st.integers(1, 3),
    st.integers(2, 3),
    st.integers(1, 8),
    st.integers(0, 9),
)
def test_what_was_done_counts_toward_the_balance(
    held: list[tuple[str, str, int]], people_n: int, methods_n: int, days_n: int, seed: int
) -> None:
    ways = tuple(Work(name, "split", 1, (name,)) for name in TRIED[:methods_n])
    trial = TaskTrial("split", ways, dict.fromkeys(NAMES[:people_n], ways))
    done = [
        Done("split", method, name, f"2027-03-0{day}", f"P{day}")
        for name, method, day in sorted(held, key=lambda h: h[2])
    ]
    done = [one for one in done if one.method in TRIED[:methods_n]]
    wanted = TrialWanted("2027-03-06", days_n, frozenset(range(7)), 0.1, 45, seed)
    sessions = schedule(wanted, [trial], [], done)
    assert len({one.date for one in sessions}) == days_n
    for name in NAMES[:people_n]:
        before = Counter(one.method for one in done if one.person == name)
        after = before + Counter(one.method for one in sessions if one.person == name)
        worked_n = len({one.day for one in sessions if one.person == name})
        was, now = ([counts[way.method] for way in ways] for counts in (before, after))
        spread = max(was) - min(was)
        assert max(now) - min(now) == max(spread - worked_n, 0)
        for way in ways:
            extra = next(
                (one for one in sessions if one.makes_up and (one.person, one.method) == (name, way.method)), None
            )
            had = {one.pile for one in done if (one.person, one.method) == (name, way.method)}
            lacking = [one.pile for one in done if one.person == name and one.pile not in had]
            if extra is not None and lacking:
                assert extra.pile in lacking
