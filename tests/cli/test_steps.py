"""What a person at a terminal is told while a run goes on, and that a pipe is told nothing."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from builders import small_season

from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.page_texts import RunStep
from wood_xl.schema.words import phrase


def at_a_terminal(*arguments: str, columns: int = 0) -> tuple[bytes, str]:
    """What a run writes to its output, and to the terminal; 0 columns are those that no terminal tells."""
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, columns))
    command = [sys.executable, "-m", "wood_xl", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=theirs) as process:
        os.close(theirs)
        output, _ = process.communicate()
    told = b""
    while True:
        try:
            piece = os.read(ours, 4096)
        except OSError:  # as some systems say that nothing more comes
            break
        if not piece:
            break
        told += piece
    os.close(ours)
    return output, told.decode()


def steps_in(told: str) -> list[str]:
    """Lines in their order, without what wipes them; one that is told again once."""
    lines = [line.strip() for line in re.split(r"[\r\n]+", told) if line.strip()]
    return list(dict.fromkeys(lines))


def write_season(path: Path, name: str) -> Path:
    notes = small_season()
    notes["season"]["season_name"] = name
    path.write_bytes(packed(filled_workbook(notes, system="metric", currency="NOK", paper="a4")))
    return path


@pytest.fixture
def season(tmp_path: Path) -> Path:
    return write_season(tmp_path / "season.xlsx", "One")


def test_a_score_shows_its_steps_and_erases_them(season: Path) -> None:
    output, told = at_a_terminal("score", str(season))
    assert steps_in(told) == [
        phrase(RunStep.READING, file="season.xlsx"),
        phrase(RunStep.CHECKING),
        phrase(RunStep.COMPUTING),
        phrase(RunStep.WRITING, file="season-results.xlsx"),
    ]
    assert told.endswith("\r")
    assert told.rpartition("\r")[0].rpartition("\r")[2].strip() == ""
    assert b"Wrote" in output


def test_a_narrow_terminal_wraps_no_step(season: Path) -> None:
    """A wrapped line stays, and each step leaves one more."""
    path = season.rename(season.with_name(f"{'a long name of a season ' * 4}.xlsx"))
    _, told = at_a_terminal("check", str(path), columns=40)
    lines = re.split(r"[\r\n]+", told)
    assert phrase(RunStep.READING, file=path.name)[:36] + "..." in lines
    assert max(map(len, lines)) == 39


@pytest.mark.slow
def test_a_pipe_gets_no_steps(season: Path) -> None:
    output, _ = at_a_terminal("score", str(season))
    piped = subprocess.run(
        [sys.executable, "-m", "wood_xl", "score", str(season), "--replace"], capture_output=True, check=False
    )
    assert (piped.stdout, piped.stderr) == (output, b"")


@pytest.mark.slow
def test_a_study_counts_its_workbooks(season: Path, tmp_path: Path) -> None:
    second = write_season(tmp_path / "second.xlsx", "Two")
    _, told = at_a_terminal("pool", str(season), str(second), "--out", str(tmp_path / "study.xlsx"))
    found = steps_in(told)
    counted = [phrase(RunStep.COUNTED, number=number, all=2) for number in (1, 2)]
    assert [line for line in found if line in counted] == counted
    assert found[-1] == phrase(RunStep.WRITING, file="study.xlsx")
