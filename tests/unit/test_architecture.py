"""The house: which room may import which, held file by file."""

from __future__ import annotations

import ast
from collections.abc import Set
from functools import cache
from pathlib import Path

from few import together

import wood_xl

PACKAGE = Path(wood_xl.__file__).parent
MODULES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
}
TOPICS = (
    "trial",
    "plan",
    "choice",
    "air",
    "body",
    "money",
    "shed",
    "warmth",
    "hours",
    "wood",
    "draws",
)
ROOMS = (
    *("cli", "commands", "trial_files", "demo", "next_year", "batch", "mail", "scoring", "pipeline"),
    *("report", "results", "error_handling", "io", "notes", "season", "incomplete"),
    *TOPICS,
    *("progress", "trial_records", "records", "verdicts", "ids", "page_texts"),
    *("units", "schema", "reasons", "data", "arguments", "errors"),
)  # from the top down; upper ones import lower
TOPIC_ROOMS = tuple(f"wood_xl.{topic}" for topic in TOPICS)
NO_SPREADSHEET = ("wood_xl.io", "wood_xl.units", "openpyxl", "pandas")
FORBIDDEN = {
    **dict.fromkeys(TOPICS, (*NO_SPREADSHEET, "wood_xl.notes", "wood_xl.results", "wood_xl.schema")),
    "notes": (
        "wood_xl.io",
        "wood_xl.results",
        *TOPIC_ROOMS,
        "openpyxl",
        "pandas",
    ),
    **dict.fromkeys(("io", "report"), ("wood_xl.notes.convert", *TOPIC_ROOMS, "pandas")),
    "schema": (
        "wood_xl.io",
        "wood_xl.notes",
        *TOPIC_ROOMS,
        "openpyxl",
        "pandas",
    ),
}
# What points up. All topics ask one place for a method's figures, and that place asks money and air for theirs. A
# room of its own would only turn the arrows round, since the tables of money and air ask it too. To verify, share or
# pool results is to compute and write them again, and a figure is worked out in the words of its page.
BACK = {
    *((f"results.{name}", "pipeline") for name in ("readings", "share", "verify", "verify_study")),
    *(("results.verify", "report.book"), ("results.verify_study", "report.study_book")),
    *(("results.explain_figure", "report.view"), ("results.worked", "report.figure_text")),
    ("io.summary_workbook", "scoring"),
    *(("data.cautions", "page_texts"), ("data.cautions", "schema.words")),
    *(("hours.season_rates", f"money.{other}") for other in ("cost_study", "cost")),
    *(("hours.season_rates", f"air.{other}") for other in ("drawn", "method")),
    ("hours.tables", "money.cost_study"),
    ("warmth.use", "air.method"),
}
GIVEN = tuple(f"wood_xl.{name}" for name in ("arguments", "records", "reasons", "ids", "verdicts", "errors"))
ONLY_HERE = {
    "pandas": {"csv_package.py"},
    "click": {"cli.py", "commands.py"},
}
NEVER = ("random", "scipy", "pint", "socket", "urllib", "requests", "subprocess", "time", "gc")


def imports(name: str) -> frozenset[str]:
    """Modules that a module imports, its own ones by their whole name."""
    return looked_through(name)[0]


def is_formula_file(name: str) -> bool:
    """Whether a file holds formulas: each public function of it names its source."""
    return looked_through(name)[1]


@cache
def looked_through(name: str) -> tuple[frozenset[str], bool]:
    """What a module imports, and whether it holds formulas: it is parsed once."""
    tree = ast.parse(MODULES[name].read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            own = {f"{node.module}.{alias.name}" for alias in node.names} & MODULES.keys()
            found |= own or {node.module}
    public = [part for part in tree.body if isinstance(part, ast.FunctionDef) and not part.name.startswith("_")]
    are_sourced = bool(public) and all("\nSource: " in (ast.get_docstring(part) or "") for part in public)
    return frozenset(found), room(name) in TOPICS and are_sourced


def room(name: str) -> str:
    return name.split(".")[1] if "." in name else ""


def is_known_formula_file(name: str) -> bool:
    return name in MODULES and is_formula_file(name)


def hits(found: Set[str], names: tuple[str, ...]) -> list[str]:
    return sorted(one for one in found if any(one == name or one.startswith(f"{name}.") for name in names))


@together("name", MODULES)
def test_a_room_keeps_to_itself(name: str) -> None:
    found = {one for one in imports(name) if not is_known_formula_file(one)}
    assert hits(found, FORBIDDEN.get(room(name), ())) == []
    assert hits(found, NEVER) == []
    for library, places in ONLY_HERE.items():
        if MODULES[name].name not in places:
            assert hits(found, (library,)) == []


@together("name", lambda: [name for name in MODULES if is_formula_file(name)])
def test_a_formula_file_knows_formulas_and_data_alone(name: str) -> None:
    own = {one for one in imports(name) if one.startswith("wood_xl.")}
    others = {one for one in own if one not in GIVEN and room(one) not in ("data", "draws")}
    assert [one for one in others if not is_formula_file(one)] == []


def test_upper_rooms_import_lower_ones() -> None:
    up = {
        (name.removeprefix("wood_xl."), other.removeprefix("wood_xl."))
        for name in MODULES
        for other in imports(name)
        if {name, other} <= MODULES.keys() and {room(name), room(other)} <= {*ROOMS} and not is_formula_file(other)
        if ROOMS.index(room(other)) < ROOMS.index(room(name))
    }
    assert up == BACK


def test_no_circle() -> None:
    left = {name: {one for one in imports(name) if one in MODULES and one != name} for name in MODULES}
    while True:
        free = {name for name, others in left.items() if not others & left.keys()}
        if not free:
            break
        left = {name: others for name, others in left.items() if name not in free}
    assert left == {}


@together("name", MODULES)
def test_files_stay_small(name: str) -> None:
    assert len(MODULES[name].read_text(encoding="utf-8").splitlines()) <= 450
