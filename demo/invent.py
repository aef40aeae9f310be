"""Write the two invented seasons: ``python demo/invent.py``.

Every person, place, price and pace in them is made up. The recipe is fixed: its scatter comes from a short number
sequence with a stated start, so that the same files come out on every machine. Logs are cut into sticks first;
what is hauled, split and stacked later is the wood of those same sticks, so that cuts, stacks, times and fuel
belong together as they would in real notes. The people, prices and diaries stand in ``stories.py``.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from stories import STORIES, Entry, Row, Story, filled

PACKAGE = Path(__file__).resolve().parent.parent / "wood_xl"
FOLDER = PACKAGE / "data" / "demo"
STACK_UNITS = {"us": "ft", "metric": "m"}  # as these people typed them; the blank workbook has smaller ones

Round = tuple[int, int]  # largest and second diameter of a sawn end, in steps of the calliper


@dataclass
class Scatter:
    """Numbers that look random and never change: next = 48271 * last mod (2**31 - 1)."""

    state: int

    def between(self, low: float, high: float) -> float:
        """Next number of the sequence, spread over low to high."""
        self.state = 48271 * self.state % (2**31 - 1)
        return low + (high - low) * self.state / (2**31 - 1)


def number(value: float, step: float) -> float:
    """The value to the nearest step, as a person writes it: 4, 4.5 or 0.35."""
    rounded = round(round(value / step) * step, 6)
    return int(rounded) if rounded == int(rounded) else rounded


def area_m2(story: Story, rounds: list[Round]) -> float:
    """Sawn area of the rounds, in m2."""
    step_m = story.calliper_step * story.diameter_m
    return math.pi / 4 * step_m * step_m * sum(first * second for first, second in rounds)


def cut_logs(story: Story, scatter: Scatter, count: int) -> list[Round]:
    """Rounds of as many logs as give the count: each log tapers, and one end in six is oval."""
    rounds: list[Round] = []
    while len(rounds) < count:
        butt, taper = scatter.between(*story.butts), scatter.between(0.004, 0.016)
        for place in range(round(scatter.between(6, 12))):
            first = round(butt * (1 - taper * place))
            oval = scatter.between(0, 6) < 1
            rounds.append((first, first - round(scatter.between(1, 4)) if oval else first))
    return rounds[:count]


def cut_rows(story: Story, entry: Entry, rounds: list[Round]) -> list[Row]:
    """Rows of the sheet Cuts: as they came at the saw, by size at the splitting block."""
    if story.task(entry) != "buck":
        tally = sorted(Counter(rounds).items(), reverse=True)
    elif story.tally_all or story.paces[entry.method].fuel_ml:
        tally = [(ends, len(list(alike))) for ends, alike in groupby(rounds)]
    else:
        tally = [(ends, 1) for ends in rounds]
    step = story.calliper_step
    return [
        filled(
            session=entry.session,
            diameter=number(first * step, step),
            second_diameter=number(second * step, step) if second != first else None,
            cuts=count if count > 1 else None,
        )
        for (first, second), count in tally
    ]


def stack_rows(story: Story, scatter: Scatter, entry: Entry, solid_m3: float) -> list[Row]:
    """Rows of the sheet Stacks for this much wood, in the entry's shape."""
    ranked = scatter.between(0.63, 0.65)  # solid fractions that this wood happens to have
    if entry.shape == "loose":
        return loose_rows(story, entry, solid_m3 / 0.42)
    if entry.shape == "crossed":  # a crossed pillar at the end holds an eighth of the wood
        row = piece(story, entry, solid_m3 * 7 / 8 / ranked, scatter.between(1.15, 1.3))
        return [row, piece(story, entry, solid_m3 / 8 / 0.46, 1.1) | {"form": "crossed"}]
    return [piece(story, entry, solid_m3 / ranked, scatter.between(1.1, 1.35))]


def piece(story: Story, entry: Entry, bulk_m3: float, height_m: float) -> Row:
    """One piece of a stack of sticks: its height is read first, its length follows from the space it fills."""
    height = number(height_m / story.length_m, story.length_step)
    rows = 2 if entry.shape == "double row" else 1
    length_m = bulk_m3 / (height * story.length_m * story.stick_m * rows)
    slope_m = 0.09 * length_m if entry.shape == "sloping" else 0
    top = number((length_m - slope_m) / story.length_m, story.length_step) if slope_m else None
    length = number((length_m + slope_m) / story.length_m, story.length_step)
    return filled(
        session=entry.session, height=height, length=length, top_length=top, rows=rows if rows > 1 else None
    )


def loose_rows(story: Story, entry: Entry, bulk_m3: float) -> list[Row]:
    """Thrown wood: in boxes of pallets, as many as it takes, all filled to the same height."""
    length_m, depth_m, usual_height_m = 2.1, 1.25, 0.9
    boxes = max(1, round(bulk_m3 / (length_m * depth_m * usual_height_m)))
    height = number(bulk_m3 / (length_m * depth_m * boxes) / story.length_m, story.length_step / 5)
    length = number(length_m / story.length_m, story.length_step)
    depth = number(depth_m / story.diameter_m, 1)
    row = filled(session=entry.session, height=height, length=length, depth=depth, form="loose")
    return [dict(row) for _ in range(boxes)]


def session_row(story: Story, scatter: Scatter, entry: Entry, wood: float, turn: int) -> Row:
    """The entry's row of the sheet Sessions; ``turn`` counts the person's earlier goes at the method: hands learn."""
    pace = story.paces[entry.method]
    work = wood * pace.minutes * (1 - min(0.02 * turn, 0.1)) * scatter.between(0.93, 1.07)
    clock = work / (1 + (entry.helped if entry.helper else 0))
    delay = entry.lost + round(clock * scatter.between(0.04, 0.13))
    service = round(clock * pace.service + scatter.between(1, 4))
    elapsed = round(clock) + delay + service
    pulse = entry.person in story.pulses and not entry.no_pulse
    beats = round(pace.pulse + story.pulses.get(entry.person, 0) + scatter.between(-4, 4))
    energy = pulse and entry.person == story.counts_energy
    fuel = number(wood * pace.fuel_ml * scatter.between(0.9, 1.1) / story.fuel_ml, story.fuel_step)
    oil = number(wood * pace.bar_oil_ml * scatter.between(0.9, 1.1) / story.fuel_ml, story.fuel_step)
    return filled(
        session=entry.session,
        date=entry.date,
        method=entry.method,
        person=entry.person,
        elapsed_time=elapsed,
        delay_time=delay,
        service_time=service,
        running_time=round(0.7 * clock) if pace.fuel_ml else None,
        mean_heart_rate=beats if pulse else None,
        monitor_energy=number(elapsed * beats * 0.055, 1) if energy else None,
        fuel_used=fuel if pace.fuel_ml and not entry.no_fuel else None,
        bar_oil_used=oil if pace.bar_oil_ml and not entry.no_fuel else None,
        electricity_used=number(wood * pace.kwh, 0.05) if pace.kwh and not entry.no_fuel else None,
        lot=entry.lot,
        air_temperature=story.weather[entry.date],
        note=entry.note,
        leave_out=entry.leave_out,
    )


def helper_row(story: Story, entry: Entry, session: Row) -> Row:
    """The entry's row of the sheet Helpers."""
    beats = story.paces[entry.method].pulse + story.pulses.get(entry.helper, 0) - 6
    return filled(
        session=entry.session,
        person=entry.helper,
        time=round(entry.helped * session["elapsed_time"]),
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


def season_data(story: Story) -> Row:
    """The season document of a story, in the units as typed."""
    scatter, lots, turns = Scatter(story.start), dict[str, list[Round]](), Counter[tuple[str, str]]()
    tables: dict[str, list[Row]] = {"sessions": [], "helpers": [], "cuts": [], "stacks": [], "heart_trace": []}
    for entry in story.diary:
        if entry.cuts:
            rounds = cut_logs(story, scatter, entry.cuts)
            lots.setdefault(entry.lot, []).extend(rounds)
        else:
            start, end = (round(share * len(lots[entry.lot])) for share in entry.part)
            rounds = lots[entry.lot][start:end]
        area = area_m2(story, rounds)
        wood = area if entry.cuts else area * story.stick_m
        session = session_row(story, scatter, entry, wood, turns[entry.person, entry.method])
        turns[entry.person, entry.method] += 1
        tables["sessions"].append(session)
        if entry.helper:
            tables["helpers"].append(helper_row(story, entry, session))
        if entry.shape:
            tables["stacks"] += stack_rows(story, scatter, entry, area * story.stick_m)
        else:
            tables["cuts"] += cut_rows(story, entry, rounds)
        if entry.session == story.traced:
            tables["heart_trace"] = trace_rows(scatter, session)
    schema = json.loads((PACKAGE / "schema" / "season.schema.json").read_text(encoding="utf-8"))
    sheets = {name: part for name, part in schema["properties"].items() if "x-kind" in part}
    units = {name: typed_units(part, story.system) for name, part in sheets.items()}
    units["stacks"] |= dict.fromkeys(("height", "length", "top_length"), STACK_UNITS[story.system])
    content = {name: {} if part["x-kind"] == "items" else [] for name, part in sheets.items()} | story.sheets | tables
    return {"version": schema["x-version"], "units": {name: typed for name, typed in units.items() if typed}} | {
        name: content[name] for name in sheets
    }


def typed_units(sheet: Row, system: str) -> dict[str, str]:
    """Unit of each column or item that has one, as the blank workbook of that system shows it."""
    columns = sheet["properties"] if sheet["x-kind"] == "items" else sheet["items"]["properties"]
    gone = {"x-retired", "x-moved-to"}
    asked = {name: one for name, one in columns.items() if not one.keys() & gone and one["type"] != "array"}
    return {name: column[f"x-{system}"] for name, column in asked.items() if f"x-{system}" in column}


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
