"""Prints what small files cost that ask for much: a table of attack, size, processor time and memory, by command.

    python tests/hostile/measure_attacks.py [WORD OF AN ATTACK]

Each command runs as a person runs it, in a process of its own; its start is counted, but not that Python compiles the
package, which it does once for all. Changes of a workbook are made to a filled season for check, score and the marked
copy, and to its results for verify and pool.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import build_ods
import forging
from build_bad import MAIN, RELATIONS
from builders import Data, small_season

from wood_xl.data.trade import tasks
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.schema.model import season_definition

Attack = Callable[[forging.Parts], None]
WAYS, SESSIONS_N, HELPERS_N = (
    season_definition().sheet(sheet).row_limit for sheet in ("methods", "sessions", "helpers")
)
BUILD, LISTED = "--build", "cases.json"
SHEETS = "xl/worksheets/sheet{}.xml"


def many_people(people: int, methods: int, sessions: int, *, misspelt: bool = False) -> Data:
    """A season of one task that many people tried in many ways."""
    data = small_season()
    ada = data["people"][0]
    data["people"] = [ada | {"person": f"Person {i}", "age": 20 + i % 40} for i in range(people)]
    data["methods"] = [{"method": f"Way {i}", "task": "buck", "tool_1": "Bow saw"} for i in range(methods)]
    data["helpers"], data["stacks"] = [], []
    data["sessions"] = [
        {
            "session": f"S{i}",
            "date": f"2026-03-{1 + i % 28:02}",
            "method": f"Way {i % methods}",
            "person": f"Persn {i % 50}" if misspelt else f"Person {i % people}",
            "elapsed_time": 40 + i % 30,
            "mean_heart_rate": 100 + i % 40,
        }
        for i in range(sessions)
    ]
    data["cuts"] = [{"session": f"S{i}", "diameter": 15 + i % 20, "cuts": 5 + i % 7} for i in range(sessions)]
    return data


def many_rows(sheet: str, rows: list[Data], **more: list[Data]) -> Data:
    """A small season with one sheet full of rows."""
    return small_season() | {sheet: rows, **more}


def misspelt_cuts() -> Data:
    data = many_people(4, 4, SESSIONS_N)
    return data | {"cuts": [{"session": f"Sesion {i}", "diameter": 20} for i in range(20_000)]}


def misspelt_upkeep() -> Data:
    tools = [{"tool": f"Axe number {i}", "kind": "hand", "price": 30} for i in range(1_000)]
    rows = [{"tool": f"Ax {i}", "item": "Oil", "price": 1, "every": 30, "per": "hours"} for i in range(1_000)]
    return many_rows("upkeep", rows, tools=tools)


def named_stacks(count: int) -> Data:
    rows = [{"session": "C", "height": 0.5, "length": 1, "stack": f"Stack {i}"} for i in range(count)]
    return many_rows("stacks", rows)


def strange_helpers() -> Data:
    rows = [{"session": f"S{i % SESSIONS_N}", "person": f"Stranger {i % 55}", "time": 3} for i in range(HELPERS_N)]
    return many_people(4, 4, SESSIONS_N) | {"helpers": rows}


def full_helpers(*, splitting: bool = False) -> Data:
    """As many sessions and helpers as the sheets hold, all with body data; ``splitting`` ones also stack."""
    data = many_people(30, 6, SESSIONS_N)
    of_one = [f"Person {i}" for i in range(30)]
    data["helpers"] = [
        {
            "session": f"S{i % SESSIONS_N}",
            "person": of_one[(i + 1 + i // SESSIONS_N) % 30],
            "time": 30,
            "mean_heart_rate": 95 + i % 50,
        }
        for i in range(HELPERS_N)
    ]
    if splitting:
        data["methods"] = [method | {"task": "split"} for method in data["methods"]]
        data["sessions"] = [row | {"elapsed_time": 90, "stacking_time": 20} for row in data["sessions"]]
        data["cuts"] = []
        data["stacks"] = [{"session": f"S{i}", "height": 1, "length": 1 + i % 3} for i in range(SESSIONS_N)]
    return data


def planned(people: int, methods: int, longest: int) -> Data:
    """A season of six tasks with a plan that its time does not hold."""
    data, names = many_people(people, methods, SESSIONS_N), list(tasks())
    data["methods"] = [row | {"task": names[i % len(names)]} for i, row in enumerate(data["methods"])]
    data["stacks"] = [{"session": f"S{i}", "height": 1, "length": 1 + i % 3} for i in range(SESSIONS_N)]
    days = {"start_date": "2027-01-01", "ready_by_date": "2027-10-01", "hours_per_week": 100}
    data["next_season"] = {"volume_wanted": 200, "people_available": people, "longest_session": longest, **days}
    return data


def left_out(methods: int) -> Data:
    """A season of one task of whose sessions all but one in six are left out."""
    data = many_people(4, methods, SESSIONS_N)
    for place, session in enumerate(data["sessions"]):
        if place // methods % 6:
            session["leave_out"] = "rain"
    return data


def written(data: Data) -> bytes:
    return packed(filled_workbook(data, system="metric", currency="NOK", paper="a4"))


def in_book(tag: str, text: str) -> Attack:
    return forging.once(forging.BOOK, f"</{tag}>", f"{text}</{tag}>")


def hidden_sheets(parts: forging.Parts) -> None:
    """980 sheets that hide all columns."""
    sheet = f'<worksheet xmlns="{MAIN}"><cols><col min="1" max="16384" hidden="1"/></cols><sheetData/></worksheet>'
    numbers = range(1000, 1980)
    parts.update({SHEETS.format(number): sheet for number in numbers})
    links = "".join(
        f'<Relationship Id="n{n}" Type="{RELATIONS}/worksheet" Target="worksheets/sheet{n}.xml"/>' for n in numbers
    )
    forging.once(forging.BOOK_LINKS, "</Relationships>", f"{links}</Relationships>")(parts)
    in_book("sheets", "".join(f'<sheet name="N{n}" sheetId="{n}" r:id="n{n}"/>' for n in numbers))(parts)


def very_many_sheets(parts: forging.Parts) -> None:
    in_book("sheets", "<sheet/>" * 14_000_000)(parts)


def very_many_relations(parts: forging.Parts) -> None:
    end = "</Relationships>"
    forging.once(forging.BOOK_LINKS, end, "<Relationship/>" * 5_000_000 + end)(parts)


FORMAT = '<numFmts><numFmt numFmtId="700" formatCode="{}"/>'
BOOK_ATTACKS: dict[str, Attack] = {
    "number format of 77 KB": forging.in_styles("<numFmts[^>]*>", FORMAT.format("[$" * 38_500)),
    "number format of 1 MB of quotes": forging.in_styles("<numFmts[^>]*>", FORMAT.format("&quot;0" * 160_000)),
    "defined name of 1 MB": in_book("definedNames", f'<definedName name="n">{"A1+" * 330_000}</definedName>'),
    "19,000 names beyond the basic plane": in_book(
        "definedNames", "".join(f'<definedName name="&#x1F332;{i}">1</definedName>' for i in range(19_000))
    ),
    "980 sheets that hide all columns": hidden_sheets,
    "14 million sheet entries": very_many_sheets,
    "5 million relations": very_many_relations,
}
SEASONS = {
    "12 ways of one task": (2, 12, 48),
    "100 ways of one task": (2, 100, 200),
    "30 people, 6 ways": (30, 6, 120),
    "30 people, 300 sessions": (30, 6, SESSIONS_N),
    "300 sessions of 50 misspelt names": (4, 4, SESSIONS_N),
}
FULL: dict[str, Callable[[], Data]] = {
    "20,000 cuts of misspelt sessions": misspelt_cuts,
    "1,000 tools, upkeep of 1,000 others": misspelt_upkeep,
    "2,000 stacks of the woodshed": partial(named_stacks, 2_000),
    "800 helpers of 55 names": strange_helpers,
    "plan whose longest session is 3 min": partial(planned, 4, 6, 3),
    "800 helpers with body data": full_helpers,
    "24 ways of six tasks": partial(planned, 4, WAYS, 3),
    "800 helpers, splitting and stacking": partial(full_helpers, splitting=True),
    "plan for 30 people and 24 ways": partial(planned, 30, WAYS, 180),
    "250 sessions left out": partial(left_out, 6),
    "250 sessions left out, 24 ways": partial(left_out, WAYS),
}
ODS = {
    ".ods with a million tabs": "<text:tab/>" * 1_000_000,
    ".ods with 300,000 paragraphs": "</text:p><text:p>" * 300_000,
}


def cases(folder: Path) -> dict[str, tuple[Path, Path]]:
    """For each attack the notes and the results that carry it."""
    notes, results = folder / "notes.xlsx", folder / "notes-results.xlsx"
    notes.write_bytes(written(small_season()))
    run("score", str(notes))
    found: dict[str, tuple[Path, Path]] = {}
    for name, attack in BOOK_ATTACKS.items():
        both = folder / f"{len(found)}.xlsx", folder / f"{len(found)}-results.xlsx"
        for path, source in zip(both, (notes, results), strict=True):
            path.write_bytes(forging.changed(source.read_bytes(), attack))
        found[name] = both
    for name, (people, methods, sessions) in SEASONS.items():
        path = folder / f"{len(found)}.xlsx"
        path.write_bytes(written(many_people(people, methods, sessions, misspelt="misspelt" in name)))
        found[name] = path, path.with_name(f"{path.stem}-results.xlsx")
    for name, make in FULL.items():
        path = folder / f"{len(found)}.xlsx"
        path.write_bytes(written(make()))
        found[name] = path, path.with_name(f"{path.stem}-results.xlsx")
    for name, text in ODS.items():
        path = folder / f"{len(found)}.ods"
        path.write_bytes(build_ods.with_rows(build_ods.row(build_ods.text(text))))
        found[name] = path, path
    return found


def run(*arguments: str) -> tuple[float, float]:
    """Seconds of processor time and MiB at most of one command."""
    command = [sys.executable, "-m", "wood_xl", *arguments]
    compiled = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "compiled")}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, env=os.environ | compiled, **quiet) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def main(word: str) -> None:
    commands = ("check", "score", "marked copy", "verify", "pool")
    told = [("Attack", "Size, MB", *commands), ("---",) * (2 + len(commands))]
    sys.stdout.writelines(f"| {' | '.join(row)} |\n" for row in told)
    with tempfile.TemporaryDirectory() as there:
        folder = Path(there)
        # Elsewhere: a process counts what the one that started it has held.
        subprocess.run([sys.executable, __file__, BUILD, there], check=True)
        for name, pair in json.loads((folder / LISTED).read_text(encoding="utf-8")).items():
            if word not in name:
                continue
            notes, results = map(Path, pair)
            cells = [
                run("check", str(notes)),
                run("score", "--replace", str(notes)),
                run("check", "--marked-copy", "--replace", str(notes)),
                run("verify", str(results)),
                run("pool", "--replace", "--out", str(folder / "study.xlsx"), str(results)),
            ]
            costs = " | ".join(f"{seconds:.1f} s, {mebibytes:.0f} MiB" for seconds, mebibytes in cells)
            sizes = "/".join(f"{path.stat().st_size / 1e6:.1f}" for path in dict.fromkeys((notes, results)))
            sys.stdout.write(f"| {name} | {sizes} | {costs} |\n")
            sys.stdout.flush()


def build(folder: Path) -> None:
    listed = {name: [str(path) for path in pair] for name, pair in cases(folder).items()}
    (folder / LISTED).write_text(json.dumps(listed), encoding="utf-8")


if __name__ == "__main__":
    if sys.argv[1:2] == [BUILD]:
        build(Path(sys.argv[2]))
    else:
        main(" ".join(sys.argv[1:]))
