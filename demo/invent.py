"""Write the two invented seasons: ``python demo/invent.py``.

Every person, place, price and pace in them is made up. The recipe is fixed: its scatter comes from short number
sequences, one for each day and each line of the diary, so that the same files come out on every machine and a line
that is changed moves no other. Logs are cut into sticks first;
what is hauled, split and stacked later is the wood of those same sticks, so that cuts, stacks, times and fuel
belong together as they would in real notes. Days and sessions differ by what they truly took, and all is rounded as
a person rounds it who writes with gloves on. The people, prices and diaries stand in ``stories.py``.
"""

from __future__ import annotations

import json
import math
import zlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stories import STORIES, Entry, Row, Story, filled

from wood_xl.schema.model import season_definition

FOLDER = Path(__file__).resolve().parent.parent / "wood_xl" / "data" / "demo"
DAY_SPREAD, SESSION_SPREAD = 0.16, 0.12  # of the logarithm of a time: together days differ by a fifth
MIN_PER_H = 60

Round = tuple[float, float]  # largest and second diameter of a sawn end, as the calliper shows them


@dataclass
class Scatter:
    """Numbers that look random and never change: next = 48271 * last mod (2**31 - 1)."""

    state: int

    @classmethod
    def of(cls, story: Story, name: str) -> Scatter:
        """The sequence of a day or of a line of the diary."""
        return cls(1 + zlib.crc32(f"{story.start} {name}".encode()) % (2**31 - 2))

    def between(self, low: float, high: float) -> float:
        """Next number of the sequence, spread over low to high."""
        self.state = 48271 * self.state % (2**31 - 1)
        return low + (high - low) * self.state / (2**31 - 1)

    def factor(self, spread: float) -> float:
        """A factor that goes up as often as down; ``spread`` is the standard deviation of its logarithm."""
        return math.exp(spread * sum(self.between(-0.5, 0.5) for _ in range(12)))

    def parts(self, whole: int, count: int) -> list[int]:
        """A whole number in so many parts of much the same size."""
        borders = [round(whole * (place + self.between(-0.2, 0.2)) / count) for place in range(1, count)]
        return [high - low for low, high in zip([0, *borders], [*borders, whole], strict=True)]


def number(value: float, step: float) -> float:
    """The value to the nearest step, as a person writes it: 4, 4.5 or 0.35."""
    rounded = round(round(value / step) * step, 6)
    return int(rounded) if rounded == int(rounded) else rounded


def several(numbers: Sequence[float], sign: str) -> float | str:
    """Numbers that stand in one cell."""
    return numbers[0] if len(numbers) == 1 else sign.join(map(str, numbers))


def clock(minutes: int) -> str:
    """A time of day: 9:05."""
    return f"{minutes // MIN_PER_H}:{minutes % MIN_PER_H:02d}"


def area_m2(story: Story, rounds: Sequence[Round]) -> float:
    """Sawn area of the rounds, in m2."""
    return math.pi / 4 * story.inch_m**2 * sum(first * second for first, second in rounds)


def log_size(story: Story, rounds: Sequence[Round]) -> float:
    """Diameter of the rounds, weighed by their wood, over that of the middle of the season's butts."""
    squares = [first * second for first, second in rounds]
    middle = sum(story.butts) / 2
    return math.sqrt(sum(square**2 for square in squares) / sum(squares)) / middle


def cut_logs(story: Story, scatter: Scatter, count: int) -> list[Round]:
    """Rounds of as many logs as give the count: each log tapers, and one end in six is oval."""
    rounds: list[Round] = []
    while len(rounds) < count:
        butt, taper = scatter.between(*story.butts), scatter.between(0.004, 0.016)
        for place in range(round(scatter.between(6, 12))):
            first = number(butt * (1 - taper * place), story.calliper_step)
            oval = scatter.between(0, 6) < 1
            less = story.calliper_step * round(scatter.between(1, 4)) if oval else 0
            rounds.append((first, number(first - less, story.calliper_step)))
    return rounds[:count]


def cut_rows(entry: Entry, rounds: Sequence[Round]) -> list[Row]:
    """Rows of the sheet Cuts, those alike together."""
    return [
        filled(
            session=entry.session,
            diameter=first,
            second_diameter=second if second != first else None,
            cuts=count if count > 1 else None,
        )
        for (first, second), count in sorted(Counter(rounds).items(), reverse=True)
    ]


def tally_row(story: Story, entry: Entry, rounds: Sequence[Round]) -> Row:
    """The entry's row of the sheet Tally; on a border the even class, as the form says. Long rows are added up."""
    step = story.class_step
    strokes = Counter(step * round(math.sqrt(first * second) / step) for first, second in rounds)
    unit = "in" if story.system == "us" else "cm"
    return filled(
        session=entry.session,
        classes=[{"class": f"{size} {unit}", "cuts": count} for size, count in sorted(strokes.items())],
        total=len(rounds) if len(strokes) > 4 and entry.cuts else None,
    )


def stack_rows(story: Story, scatter: Scatter, entry: Entry, solid_m3: float) -> list[Row]:
    """Rows of the sheet Stacks for this much wood, in the entry's shapes."""
    ranked = scatter.between(0.63, 0.65)  # solid fractions that this wood happens to have
    (shape,) = entry.stacks
    if shape == "loose":
        return loose_rows(story, entry, solid_m3 / 0.42)
    if shape == "crossed":  # a crossed pillar at the end holds an eighth of the wood
        row = piece(story, scatter, entry, solid_m3 * 7 / 8 / ranked)
        pillar = piece(story, scatter, entry, solid_m3 / 8 / 0.46)
        return [row, pillar | {"form": "crossed"}]
    return [piece(story, scatter, entry, solid_m3 / ranked, shape)]


def piece(story: Story, scatter: Scatter, entry: Entry, bulk_m3: float, shape: str = "row") -> Row:
    """One piece of a stack of sticks: its height is read along it, its length follows from the space it fills."""
    about = scatter.between(1.1, 1.35) / story.inch_m
    readings_n = 3 if bulk_m3 > 1 and shape == "row" else 1
    readings = [number(about * scatter.between(0.96, 1.04), 1) for _ in range(readings_n)]
    height_m = sum(readings) / readings_n * story.inch_m
    rows = 2 if shape == "double row" else 1
    length = bulk_m3 / (height_m * story.stick_m * rows) / story.inch_m
    slope = 0.09 * length if shape == "sloping" else 0
    return filled(
        session=entry.session,
        height=several(readings, "; "),
        length=tape(story, length + slope),
        top_length=tape(story, length - slope) if slope else None,
        rows=rows if rows > 1 else None,
    )


def tape(story: Story, length: float) -> float | str:
    """A length as it is read off the tape: US tapes show feet as well, and long stacks are read in both."""
    whole = number(length, story.tape_step)
    return f"{int(whole // 12)}'{int(whole % 12)}\"" if story.system == "us" and whole >= 144 else whole


def loose_rows(story: Story, entry: Entry, bulk_m3: float) -> list[Row]:
    """Thrown wood: in boxes of pallets, as many as it takes, all filled to the same height."""
    length_m, depth_m, usual_height_m = 2.1, 1.25, 0.9
    boxes = max(1, round(bulk_m3 / (length_m * depth_m * usual_height_m)))
    height = bulk_m3 / (length_m * depth_m * boxes)
    length, depth, height = (number(part_m / story.inch_m, 1) for part_m in (length_m, depth_m, height))
    rows = boxes if boxes > 1 else None
    return [filled(session=entry.session, height=height, length=length, rows=rows, depth=depth, form="loose")]


def working_min(story: Story, scatter: Scatter, entry: Entry, rounds: Sequence[Round], day: float) -> float:
    """Minutes of work that the entry truly takes: by its pace, logs, hands, day, and what no two sessions share."""
    pace, area = story.paces[entry.method], area_m2(story, rounds)
    wood = area if entry.cuts else area * story.stick_m
    truth = wood * pace.minutes * log_size(story, rounds) ** pace.slope * story.hands[entry.person] * day
    return truth * scatter.factor(SESSION_SPREAD)


def session_row(story: Story, scatter: Scatter, entry: Entry, rounds: list[Round], day: float, start: int) -> Row:
    """The entry's row of the sheet Sessions."""
    pace, area = story.paces[entry.method], area_m2(story, rounds)
    wood = area if entry.cuts else area * story.stick_m
    work = working_min(story, scatter, entry, rounds, day) / (1 + (entry.helped if entry.helper else 0))
    rests = max(2, round(work * scatter.between(0.05, 0.13)))
    pauses = [entry.lost] if entry.lost else []
    pauses += scatter.parts(rests, 1 + (rests > 7) + (rests > 11))
    services = [round(scatter.between(3, 6)) for _ in range(pace.services)]
    within = round(wood * story.stacking * day * scatter.factor(SESSION_SPREAD)) if entry.within else 0
    elapsed = round(work) + sum(pauses) + sum(services) + within
    pulse = entry.person in story.pulses and not entry.no_pulse
    beats = round(pace.pulse + story.pulses.get(entry.person, 0) + scatter.between(-4, 4))
    energy = pulse and entry.person == story.counts_energy
    return filled(
        session=entry.session,
        date=entry.date,
        method=entry.method,
        person=entry.person,
        start=clock(start),
        stop=clock(start + elapsed),
        delay_time=several(pauses, "+"),
        lot=entry.pile,
        mean_heart_rate=beats if pulse else None,
        monitor_energy=number(elapsed * beats * 0.055, 1) if energy else None,
        **({} if entry.no_fuel else used(story, scatter, entry, wood)),
        note=entry.note,
        service_time=several(services, "+") if services else None,
        running_time=round(0.7 * work) if pace.fuel_ml else None,
        stacking_time=within or None,
        air_temperature=story.weather[entry.date],
        leave_out=entry.leave_out,
    )


def used(story: Story, scatter: Scatter, entry: Entry, wood: float) -> Row:
    """What the entry used: by measure, refill by refill, or in full tanks and charges."""
    pace = story.paces[entry.method]
    fuel, oil, kwh = (one * wood * scatter.between(0.9, 1.1) for one in (pace.fuel_ml, pace.bar_oil_ml, pace.kwh))
    steps = round(fuel / story.fuel_ml / story.fuel_step)
    refills = [number(part * story.fuel_step, story.fuel_step) for part in scatter.parts(steps, pace.services or 1)]
    found: Row = {"fuel_used": several(refills, "+") if fuel else None, "electricity_used": number(kwh, 0.05) or None}
    if entry.tanks:  # of a battery, what charges it is lost in part
        size = story.sizes[str(story.method(entry)["tool_1"])]
        found = {"refills": number((fuel or kwh * 1000 * 0.85) / size, 0.5)}
    return found | {"bar_oil_used": number(oil / story.fuel_ml, story.fuel_step) or None}


def helper_row(story: Story, entry: Entry, minutes: int) -> Row:
    """The entry's row of the sheet Helpers; whoever helped all the time has no time of their own."""
    beats = story.paces[entry.method].pulse + story.pulses.get(entry.helper, 0) - 6
    return filled(
        session=entry.session,
        person=entry.helper,
        time=round(entry.helped * minutes) if entry.helped < 1 else None,
        mean_heart_rate=round(beats) if entry.helper in story.pulses else None,
    )


def trace_rows(scatter: Scatter, session: Row) -> list[Row]:
    """Four minutes from the start of a session, one reading every five seconds."""
    rows, beats = [], session["mean_heart_rate"] - 34
    for second in range(0, 241, 5):
        rows.append(
            {
                "session": session["session"],
                "person": session["person"],
                "elapsed": second,
                "heart_rate": round(beats),
            }
        )
        beats += (session["mean_heart_rate"] + 2 - beats) * 0.08 + scatter.between(-1.2, 1.2)
    return rows


def minutes_of(text: str) -> int:
    """Minutes after midnight of a time of day."""
    hours, minutes = text.split(":")
    return MIN_PER_H * int(hours) + int(minutes)


def season_data(story: Story) -> Row:
    """The season document of a story, in the units as typed."""
    piles: dict[str, list[Round]] = {}
    by_day = {date: Scatter.of(story, date) for date in story.weather}
    days = {date: scatter.factor(DAY_SPREAD) for date, scatter in by_day.items()}
    begin = minutes_of(story.begins)
    free = {date: begin + round(scatter.between(0, 25)) for date, scatter in by_day.items()}  # one after the other
    sheets = ("sessions", "helpers", "cuts", "tally", "stacks", "heart_trace")
    tables: dict[str, list[Row]] = {name: [] for name in sheets}
    for entry in story.diary:
        scatter = Scatter.of(story, entry.session)
        if entry.cuts:
            rounds = cut_logs(story, scatter, entry.cuts)
            piles.setdefault(entry.pile, []).extend(rounds)
        else:
            start, end = (round(share * len(piles[entry.pile])) for share in entry.part)
            rounds = piles[entry.pile][start:end]
        session = session_row(story, scatter, entry, rounds, days[entry.date], free[entry.date])
        ended = minutes_of(session["stop"])
        tables["sessions"].append(session)
        if entry.helper:
            tables["helpers"].append(helper_row(story, entry, ended - free[entry.date]))
        free[entry.date] = ended + round(scatter.between(12, 40))
        if entry.stacks:
            tables["stacks"] += stack_rows(story, scatter, entry, area_m2(story, rounds) * story.stick_m)
        elif entry.one_by_one:
            tables["cuts"] += cut_rows(entry, rounds)
        else:
            tables["tally"].append(tally_row(story, entry, rounds))
        if entry.session == story.traced:
            tables["heart_trace"] = trace_rows(scatter, session)
    definition = season_definition()
    sheets_of = {name: part for name, part in definition.schema["properties"].items() if "x-kind" in part}
    units = {
        name: {column.id: unit for column in definition.sheet(name).asked if (unit := column.unit_in(story.system))}
        for name in sheets_of
    }
    content = {name: {} if part["x-kind"] == "items" else [] for name, part in sheets_of.items()}
    content |= story.sheets | tables
    return {"version": definition.version, "units": {name: typed for name, typed in units.items() if typed}} | {
        name: content[name] for name in sheets_of
    }


def text(data: Row) -> str:
    """The document as JSON with one row, or one item, a line."""
    parts = []
    for name, content in data.items():
        if isinstance(content, list):
            lines = [json.dumps(row) for row in content]
            body = "[\n" + ",\n".join(lines) + "\n]" if lines else "[]"
        elif isinstance(content, dict):
            body = (
                "{\n" + ",\n".join(f"{json.dumps(key)}: {json.dumps(item)}" for key, item in content.items()) + "\n}"
            )
        else:
            body = json.dumps(content)
        parts.append(f"{json.dumps(name)}: {body}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def files() -> dict[str, str]:
    """Name and text of every demo season."""
    return {f"{story.name}.json": text(season_data(story)) for story in STORIES}


def main() -> None:
    """Write every demo season into the package's data."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, content in files().items():
        (FOLDER / name).write_text(content, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
