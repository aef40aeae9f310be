"""Laws that every plan keeps."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from types import SimpleNamespace

from few import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from wood_xl.choice.edge import Edge, Values, Way
from wood_xl.choice.verdicts import Verdict
from wood_xl.draws.figure import Figure
from wood_xl.plan.aims import Aim
from wood_xl.plan.calendar import Block, Crew, Rules, TrialDays, Visit
from wood_xl.plan.mix import Option, least_cost_mix, most_cords
from wood_xl.plan.spread import sessions
from wood_xl.reasons import said
from wood_xl.verdicts import Advised, Kind, Surety

NEAR = 1e-5
PEOPLE = ("Mara", "Jon", "Eli")
WEEKDAYS = (5, 2, 0, 4, 1, 3)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False).map(lambda n: round(n, 2))


@st.composite
def options(draw: st.DrawFn) -> tuple[Option, ...]:
    return tuple(
        Option(
            f"{task} {n}", task, draw(between(0.1, 9)), {"hours": draw(between(0.1, 9)), "cash": draw(between(0, 90))}
        )
        for task in ("buck", "split")
        for n in range(draw(st.integers(1, 3)))
    )


LIMITS = st.fixed_dictionaries({"hours": between(1, 200), "cash": between(1, 900)})


@settings(deadline=None)
@given(options(), LIMITS, between(0.1, 20))
def test_a_mix_keeps_every_limit_or_there_is_none_and_it_is_said_why(
    found: tuple[Option, ...], limits: dict[str, float], cords: float
) -> None:
    mix, most = (
        least_cost_mix(options=found, limits=limits, cords=cords),
        most_cords(options=found, limits=limits, cords=cords),
    )
    if mix is None:
        assert most.cords < cords
        assert most.binding
        cords = most.cords * (1 - NEAR)
        mix = least_cost_mix(options=found, limits=limits, cords=cords)
    else:
        assert most.cords == cords
        assert most.binding == ()
    assert mix is not None
    for task in ("buck", "split"):
        made = [n for n, option in zip(mix.cords, found, strict=True) if option.task == task]
        assert math.isclose(math.fsum(made), cords, rel_tol=NEAR)
    for name, limit in limits.items():
        taken = math.fsum(n * option.takes[name] for n, option in zip(mix.cords, found, strict=True))
        assert taken <= limit * (1 + NEAR) + NEAR


@settings(deadline=None)
@given(options(), LIMITS, between(0.1, 20), st.sampled_from(["hours", "cash"]))
def test_more_of_a_limit_never_hurts(
    found: tuple[Option, ...], limits: dict[str, float], cords: float, name: str
) -> None:
    doubled = {**limits, name: 2 * limits[name]}
    before, after = (most_cords(options=found, limits=some, cords=cords).cords for some in (limits, doubled))
    assert after >= before * (1 - NEAR)
    mix, other = (least_cost_mix(options=found, limits=some, cords=cords) for some in (limits, doubled))
    if mix is not None:
        assert other is not None
        assert other.cost <= mix.cost * (1 + NEAR)


@settings(deadline=None)
@given(options(), LIMITS, between(0.1, 20), st.lists(between(0, 5), min_size=6, max_size=6))
def test_a_least_of_options_is_kept_and_never_makes_a_mix_better(
    found: tuple[Option, ...], limits: dict[str, float], cords: float, least: list[float]
) -> None:
    held = [option._replace(least=amount) for option, amount in zip(found, least, strict=False)]
    mix, free = (least_cost_mix(options=some, limits=limits, cords=cords) for some in (held, found))
    most, most_free = (most_cords(options=some, limits=limits, cords=cords).cords for some in (held, found))
    assert most <= most_free * (1 + NEAR)
    if mix is None:
        assert most < cords or any(
            math.fsum(o.least for o in held if o.task == task) > cords * (1 - NEAR) for task in ("buck", "split")
        )
        return
    assert free is not None
    assert mix.cost >= free.cost * (1 - NEAR)
    for made, option in zip(mix.cords, held, strict=True):
        assert made >= option.least * (1 - NEAR) - NEAR


@st.composite
def crews_of_one_or_two(draw: st.DrawFn) -> Crew:
    """A crew; at a powered saw one person, with others who may stand in sight."""
    if not draw(st.booleans()):
        people = draw(st.sampled_from([PEOPLE[:1], PEOPLE[1:2], PEOPLE[:2], PEOPLE[2:]]))
        hard = draw(st.sampled_from([frozenset[str](), frozenset(people)]))
        return Crew(people, draw(st.integers(10, 300)), hard=hard)
    worker = draw(st.sampled_from(PEOPLE))
    others = [name for name in (*PEOPLE, "Olle") if name != worker]
    in_sight = draw(st.lists(st.sampled_from(others), min_size=1, unique=True))
    return Crew((worker,), draw(st.integers(10, 300)), tuple(in_sight), frozenset({worker}))


CREWS = crews_of_one_or_two()


@st.composite
def blocks(draw: st.DrawFn) -> list[Block]:
    crews = st.lists(CREWS, min_size=1, max_size=3).map(tuple)
    cords = draw(between(0.05, 6))
    return [
        Block(task, f"method {task}{n}", cords, draw(between(0.2, 12)), draw(crews), draw(st.booleans()))
        for task in range(draw(st.integers(1, 3)))
        for n in range(draw(st.integers(1, 2)))
    ]


@st.composite
def rules(draw: st.DrawFn) -> Rules:
    weekdays = tuple(draw(st.lists(st.sampled_from(WEEKDAYS), min_size=1, unique=True)))
    return Rules(draw(st.integers(0, 1500)), draw(st.integers(1, 3)), weekdays, 15, 5, draw(st.sampled_from([0, 60])))


@st.composite
def blocks_and_trials(draw: st.DrawFn) -> tuple[list[Block], list[TrialDays]]:
    """Trials of the tasks with two methods, each by those who do them, within the wood there is."""
    found = draw(blocks())
    trials = []
    for task in sorted({block.task for block in found}):
        two = [block for block in found if block.task == task]
        if len(two) < 2 or not draw(st.booleans()):
            continue
        pair = [(block.method, draw(st.sampled_from(block.crews))) for block in two]
        pair.sort(key=lambda one: not one[1].in_sight)
        if pair[1][1].in_sight:  # two powered saws are never tried on one day
            continue
        minutes, days_n = 5 * draw(st.integers(1, 12)), draw(st.integers(1, 4))
        (first, crew), (second, other) = pair
        trial = TrialDays((first, second), (crew, other), minutes, days_n, is_in_order=bool(crew.in_sight))
        two.sort(key=lambda block: block.method != first)
        made = [hours / b.worker_hours_per_cord for b, hours in zip(two, trial.worker_hours, strict=True)]
        if all(cords * trial.days_n <= b.cords for b, cords in zip(two, made, strict=True)):
            trials.append(trial)
    return found, trials


DAYS = st.tuples(st.integers(738000, 738010), st.integers(0, 120)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@settings(max_examples=examples(200), deadline=None)
@given(blocks(), rules(), DAYS)
def test_a_calendar_keeps_its_rules(found: list[Block], rule: Rules, days: tuple[int, int]) -> None:
    first, last = days
    visits = sessions(blocks=found, first_day=first, last_day=last, rules=rule)
    weeks: dict[int, float] = defaultdict(float)
    day_people: dict[int, list[str]] = defaultdict(list)
    for visit in visits:
        assert first <= visit.day <= last
        assert visit.day % 7 in rule.weekdays
        assert 0 < visit.minutes <= max(c.longest_min for c in visit.block.crews if c.people == visit.people)
        weeks[(visit.day - first) // 7] += visit.minutes * len(visit.people)
        day_people[visit.day] += visit.people
    assert all(minutes <= rule.week_min * (1 + NEAR) for minutes in weeks.values())
    for people in day_people.values():
        assert len(set(people)) == len(people) <= rule.people_n
    for block in found:
        own = [v for v in visits if v.block is block]
        made = math.fsum(v.cords for v in own)
        assert made <= block.cords * (1 + NEAR)
        hours = math.fsum(v.minutes * len(v.people) / 60 for v in own)
        assert made * block.worker_hours_per_cord <= hours * (1 + NEAR) + NEAR


@settings(max_examples=examples(200), deadline=None)
@given(blocks_and_trials(), rules(), DAYS)
def test_trial_days_count_in_a_week_and_come_before_the_other_work_of_their_task(
    found: tuple[list[Block], list[TrialDays]], rule: Rules, days: tuple[int, int]
) -> None:
    first, last = days
    visits = sessions(blocks=found[0], first_day=first, last_day=last, rules=rule, trials=found[1])
    weeks: dict[int, float] = defaultdict(float)
    day_people: dict[int, list[str]] = defaultdict(list)
    for visit in visits:
        assert first <= visit.day <= last
        weeks[(visit.day - first) // 7] += visit.minutes * len(visit.people)
        if not visit.turn:
            day_people[visit.day] += visit.people
    assert all(minutes <= rule.week_min * (1 + NEAR) for minutes in weeks.values())
    for trial in found[1]:
        task = next(block.task for block in found[0] if block.method in trial.methods)
        own = [v for v in visits if v.turn and v.block.task == task]
        others = [v.day for v in visits if not v.turn and v.block.task == task]
        held = [own[at : at + 2] for at in range(0, len(own), 2)]
        assert len(held) <= trial.days_n
        assert not others or (len(held) == trial.days_n and own[-1].day < min(others))
        assert len({day[0].day for day in held}) == len(held)
        for at, (one, other) in enumerate(held):
            assert one.day == other.day
            assert (one.turn, other.turn) == (1, 2)
            order = trial.methods if at % 2 == 0 or trial.is_in_order else trial.methods[::-1]
            assert (one.block.method, other.block.method) == order
            assert not {*one.people, *other.people} & set(day_people[one.day])
            for visit in (one, other):
                hours = visit.minutes * len(visit.people) / 60
                assert math.isclose(visit.cords * visit.block.worker_hours_per_cord, hours, rel_tol=NEAR)


@settings(max_examples=examples(200), deadline=None)
@given(blocks_and_trials(), rules(), DAYS)
def test_after_a_hard_day_comes_one_without_hard_work(
    found: tuple[list[Block], list[TrialDays]], rule: Rules, days: tuple[int, int]
) -> None:
    visits = sessions(blocks=found[0], first_day=days[0], last_day=days[1], rules=rule, trials=found[1])
    hard_days: dict[str, set[int]] = defaultdict(set)
    sessions_n: dict[tuple[str, int], int] = defaultdict(int)
    for visit in visits:
        for person in frozenset.intersection(*(c.hard for c in visit.block.crews if c.people == visit.people)):
            hard_days[person].add(visit.day)
            sessions_n[person, visit.day] += 1
            assert sessions_n[person, visit.day] == 1 or visit.turn == 2  # the two of a trial are one day's work
    for person, own in hard_days.items():
        assert not own & {day + 1 for day in own}, person


@settings(max_examples=examples(200), deadline=None)
@given(blocks(), rules(), DAYS)
def test_no_week_is_fuller_than_all_the_work_needs(found: list[Block], rule: Rules, days: tuple[int, int]) -> None:
    """No week is above the even share by more than a session, unless with less in a week not all comes to its end."""
    free = [block._replace(is_rented=False) for block in found]
    rule = rule._replace(least_week_min=0)
    visits = sessions(blocks=free, first_day=days[0], last_day=days[1], rules=rule)
    weeks: dict[int, float] = defaultdict(float)
    for visit in visits:
        weeks[(visit.day - days[0]) // 7] += visit.minutes * len(visit.people)
    share = math.fsum(block.worker_min for block in free) / math.ceil((days[1] - days[0] + 1) / 7)
    session = max((v.minutes * len(v.people) for v in visits), default=0.0)
    fullest = max(weeks.values(), default=0.0)
    if fullest > share + max(session, 2 * rule.shortest_min) + rule.step_min:
        less = rule._replace(week_min=fullest - rule.shortest_min - rule.step_min)
        others = sessions(blocks=free, first_day=days[0], last_day=days[1], rules=less)
        last = max(block.task for block in free)
        assert finished(others, last) < finished(visits, last) * (1 + NEAR)


@settings(max_examples=examples(200), deadline=None)
@given(blocks_and_trials(), rules(), DAYS)
def test_wood_is_never_split_before_it_is_bucked(
    found: tuple[list[Block], list[TrialDays]], rule: Rules, days: tuple[int, int]
) -> None:
    visits = sessions(blocks=found[0], first_day=days[0], last_day=days[1], rules=rule, trials=found[1])
    for day in {v.day for v in visits}:
        for task in {v.block.task for v in visits} - {0}:
            before = math.fsum(v.cords for v in visits if v.block.task == task - 1 and v.day < day)
            done = math.fsum(v.cords for v in visits if v.block.task == task and v.day <= day)
            assert done <= before * (1 + NEAR) + NEAR


@settings(max_examples=examples(200), deadline=None)
@given(blocks_and_trials(), rules(), DAYS)
def test_nobody_is_alone_at_a_saw_and_who_stands_in_sight_does_nothing_else(
    found: tuple[list[Block], list[TrialDays]], rule: Rules, days: tuple[int, int]
) -> None:
    visits = sessions(blocks=found[0], first_day=days[0], last_day=days[1], rules=rule, trials=found[1])
    by_day: dict[int, list[Visit]] = defaultdict(list)
    for visit in visits:
        by_day[visit.day].append(visit)
    for own in by_day.values():
        there = {name for visit in own for name in (*visit.people, visit.in_sight)} - {""}
        assert len(there) <= rule.people_n or any(visit.turn for visit in own)
        for at, visit in enumerate(own):
            crews = [c for c in visit.block.crews if c.people == visit.people]
            if all(crew.in_sight for crew in crews):
                assert any(visit.in_sight in crew.in_sight for crew in crews)
                worked_before = [v for v in own[:at] if visit.people[0] in v.people]
                assert not worked_before  # always rested
            if visit.in_sight:
                assert visit.in_sight not in visit.people
                elsewhere = [
                    v for v in own if visit.in_sight in (*v.people, v.in_sight) and v.block is not visit.block
                ]
                assert not elsewhere or visit.turn  # on trial days who does the other method afterwards may stand by


def finished(visits: list[Visit], last_task: int) -> float:
    return math.fsum(v.cords for v in visits if v.block.task == last_task)


@settings(max_examples=examples(200), deadline=None)
@given(blocks(), rules(), DAYS)
def test_double_the_hours_never_finish_less(found: list[Block], rule: Rules, days: tuple[int, int]) -> None:
    once, twice = (
        sessions(blocks=found, first_day=days[0], last_day=days[1], rules=rule._replace(week_min=rule.week_min * n))
        for n in (1, 2)
    )
    last_task = max(block.task for block in found)
    assert finished(twice, last_task) >= finished(once, last_task) * (1 - NEAR) - NEAR


Ways = dict[str, dict[str, tuple[float, float]]]  # hours and cash of each way of each task


@st.composite
def ways_of_tasks(draw: st.DrawFn) -> Ways:
    amounts = st.tuples(between(0.1, 9), between(0.1, 90))
    return {
        task: {f"{task} {n}": draw(amounts) for n in range(draw(st.integers(1, 3)))} for task in ("buck", "split")
    }


def aim(ways: dict[str, tuple[float, float]], hour: float | None, named: str | None = None) -> Aim:
    """What a verdict asks for that names a way, or none."""
    values = Values(hour)
    made = [
        Way(
            SimpleNamespace(method=SimpleNamespace(name=name)),
            {("worker_hours", 1.0): Figure(hours), ("cash", 1.0): Figure(cash)},
        )
        for name, (hours, cash) in ways.items()
    ]
    choice = SimpleNamespace(
        ways=made, edge=Edge(made, values), values=values, barred={}, waiting=(), to_buy=lambda _: []
    )
    way = next((way for way in made if way.name == named), None)
    kind = Kind.PAYS if way else Kind.DEPENDS
    return Aim(choice, Verdict(kind, said(Advised.METHOD, task="", method=""), (), Surety.NOT_KNOWN, way))


def by_verdicts(tasks: Ways, hour: float | None, named: dict[str, str] | None = None) -> tuple[Option, ...]:
    found = []
    for task, ways in tasks.items():
        costs = aim(ways, hour, (named or {}).get(task)).costs
        found += [Option(name, task, costs[name], {"hours": ways[name][0]}) for name in ways]
    return tuple(found)


def mixed(options: tuple[Option, ...], limits: dict[str, float], cords: float) -> dict[str, float] | None:
    mix = least_cost_mix(options=options, limits=limits, cords=cords)
    if mix is None:
        return None
    return {option.name: made for option, made in zip(options, mix.cords, strict=True)}


VALUES = st.one_of(st.none(), between(0, 60))


@settings(deadline=None)
@given(ways_of_tasks(), VALUES, between(0.1, 20), st.data())
def test_without_limits_a_mix_is_what_the_verdicts_name(
    tasks: Ways, hour: float | None, cords: float, data: st.DataObject
) -> None:
    named = {task: data.draw(st.sampled_from(sorted(ways))) for task, ways in tasks.items()}
    mix = mixed(by_verdicts(tasks, hour, named), {}, cords)
    assert mix is not None
    assert {name for name, made in mix.items() if made} == set(named.values())


@settings(deadline=None)
@given(ways_of_tasks(), VALUES, between(0.1, 20))
def test_without_limits_and_a_verdict_a_mix_is_the_cheapest(tasks: Ways, hour: float | None, cords: float) -> None:
    mix = mixed(by_verdicts(tasks, hour), {}, cords)
    assert mix is not None
    for ways in tasks.values():
        sums = {name: cash + (hour or 0.0) * hours for name, (hours, cash) in ways.items()}
        assert math.isclose(sums[next(name for name in ways if mix[name])], min(sums.values()), rel_tol=NEAR)


@settings(deadline=None)
@given(ways_of_tasks(), VALUES, between(0.1, 20), between(1, 200))
def test_a_way_that_takes_more_of_all_changes_no_mix(
    tasks: Ways, hour: float | None, cords: float, hours: float
) -> None:
    more = tuple(max(amounts) + 1 for amounts in zip(*tasks["buck"].values(), strict=True))
    wider = {**tasks, "buck": {**tasks["buck"], "buck worse": more}}
    mix, other = (mixed(by_verdicts(some, hour), {"hours": hours}, cords) for some in (tasks, wider))
    assert (mix is None) == (other is None)
    if mix is not None and other is not None:
        assert other.pop("buck worse") == 0
        costs = {option.name: option.cost for option in by_verdicts(tasks, hour)}
        one, two = (math.fsum(made * costs[name] for name, made in some.items()) for some in (mix, other))
        assert math.isclose(one, two, rel_tol=NEAR, abs_tol=NEAR)


@settings(deadline=None)
@given(ways_of_tasks(), VALUES, between(0.1, 20), between(1, 200))
def test_a_mix_costs_what_the_best_of_all_mixes_of_two_combinations_costs(
    tasks: Ways, hour: float | None, cords: float, limit: float
) -> None:
    """With one limit the least lies at a combination that keeps it, or where two of them meet it together."""
    mix = mixed(by_verdicts(tasks, hour), {"hours": limit}, cords)
    sums = {name: cash + (hour or 0.0) * h for ways in tasks.values() for name, (h, cash) in ways.items()}
    pure = [
        (cords * sum(h for _, (h, _) in some), cords * sum(sums[name] for name, _ in some))
        for some in itertools.product(*(ways.items() for ways in tasks.values()))
    ]
    costs = [cost for hours, cost in pure if hours <= limit]
    for (few, dear), (many, cheap) in itertools.product(pure, repeat=2):
        if few <= limit < many:
            share = (limit - few) / (many - few)
            costs.append(dear + share * (cheap - dear))
    assert (mix is None) == (not costs) or min(abs(hours - limit) for hours, _ in pure) < NEAR * limit
    if mix is not None and costs:
        found = math.fsum(made * sums[name] for name, made in mix.items())
        assert math.isclose(found, min(costs), rel_tol=1e-3)  # what is no choice costs a little at least


@settings(deadline=None)
@given(ways_of_tasks(), st.tuples(between(0, 60), between(0, 60)), between(0.1, 20), between(1, 200))
def test_a_dearer_hour_never_takes_more_hours(
    tasks: Ways, values: tuple[float, float], cords: float, limit: float
) -> None:
    hours = []
    for hour in sorted(values):
        mix = mixed(by_verdicts(tasks, hour), {"hours": limit}, cords)
        if mix is None:
            return
        hours.append(math.fsum(made * tasks[name.split()[0]][name][0] for name, made in mix.items()))
    assert hours[1] <= hours[0] * (1 + NEAR)


def test_a_way_costs_what_it_takes_more_than_that_of_the_verdict() -> None:
    ways = {"a": (2.0, 5.0), "b": (1.0, 40.0), "c": (3.0, 1.0)}  # at 10 an hour 25, 50 and 31
    costs = aim(ways, 10.0, "a").costs
    assert {name: round(cost, 2) for name, cost in costs.items()} == {"a": 0, "b": 25, "c": 6}
    assert aim(ways, 10.0, "b").costs["a"] > 0  # what is cheaper and not advised is no gain
