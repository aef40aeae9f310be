"""README and DEVELOPERS say what is true, and the house rules hold in every file."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import readme_tables
from click.testing import CliRunner
from few import together

from wood_xl.cli import main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_generated_part_is_fresh() -> None:
    assert readme_tables.with_tables(README) == README, "run: python tests/docs/readme_tables.py"


def test_job_stands_in_one_paragraph_at_the_top() -> None:
    first, second = README.split("\n\n")[:2]
    assert first == "# wood_xl"
    assert len(second.split()) > 100
    assert not second.startswith("#")


def test_two_set_up_commands() -> None:
    (block,) = re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)
    commands = block.strip().splitlines()
    assert len(commands) == 2
    assert commands[0].endswith("wood-xl demo demo-season")
    assert commands[1].endswith("python -m pytest")


def test_windows_is_told_the_first_of_them_by_its_own_names() -> None:
    (first, _) = re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)[0].strip().splitlines()
    theirs = first.replace("python3", "py", 1).replace(".venv/bin/", ".venv\\Scripts\\")
    assert f"`{theirs}`" in README
    assert "`wood-xl` is short for `.venv/bin/wood-xl` (on Windows, `.venv\\Scripts\\wood-xl`)" in README


def test_every_command_named_exists() -> None:
    named = set(re.findall(r"`wood-xl ([a-z]+)", README))
    assert named | {"demo"} == set(main.commands)
    for command in main.commands:
        assert CliRunner().invoke(main, [command, "--help"]).exit_code == 0


def test_options_named_exist() -> None:
    helps = "".join(CliRunner().invoke(main, [command, "--help"]).output for command in main.commands)
    for option in set(re.findall(r"`(--[a-z-]+)", README)):
        assert option in helps


def test_paths_named_exist() -> None:
    paths = re.findall(r"`((?:wood_xl|tests|demo|templates|\.ci)/[\w./-]*)`", DEVELOPERS)
    paths += re.findall(r"\]\(([\w./]+)\)", README)
    assert len(paths) > 10
    missing = [path for path in paths if not (ROOT / path).exists()]
    assert missing == []


TRACKED = subprocess.run(
    ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
).stdout.split() or [str(path.relative_to(ROOT)) for path in ROOT.rglob("*.py")]


@together("name", [name for name in TRACKED if name.endswith((".py", ".md", ".json", ".toml", ".csv"))])
def test_house_rules(name: str) -> None:
    if not (ROOT / name).exists():
        return  # deleted and not committed yet
    text = (ROOT / name).read_text(encoding="utf-8")
    machine = ["/wo" + "rk/", "/ro" + "ot/", "/ho" + "me/"]
    unfinished = ["TO" + "DO", "FIX" + "ME"]
    assert [word for word in (*machine, *unfinished) if word in text] == []
    if name.endswith(".py"):
        assert not re.search("[\u201c\u201d]", text)


def test_modules_named_exist() -> None:
    named = set(re.findall(r"`([\w./]+\.py)`", DEVELOPERS))
    assert named
    assert not [name for name in named if not any(f"/{path}".endswith(f"/{name}") for path in TRACKED)]


def test_top_level_holds_what_the_card_says() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "wood_xl", "templates", "tests", "demo"}
    assert {name.split("/")[0] for name in TRACKED if not name.startswith(".")} <= allowed
