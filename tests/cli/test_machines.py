"""The command line elsewhere: code pages without a letter, full disks, no screen, an interrupt at any moment."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner

from wood_xl import batch, pipeline
from wood_xl.batch import core_count, parallel_map
from wood_xl.cli import main
from wood_xl.notes.problem import problem
from wood_xl.progress import is_watched

FULL = Path("/dev/full")
UNHEARD = f"STOP  {problem('output-unheard', found='No space left on device').line()}\n"


def outside(*arguments: str, page: str = "utf-8", out: int = subprocess.PIPE) -> subprocess.CompletedProcess[str]:
    """A run in a process of its own, whose prints have the letters of a code page."""
    command, environment = [sys.executable, "-m", "wood_xl", *arguments], {**os.environ, "PYTHONIOENCODING": page}
    return subprocess.run(
        command, stdout=out, stderr=subprocess.PIPE, encoding=page, env=environment, check=False, timeout=60
    )


def test_a_letter_that_the_code_page_lacks_ends_no_run() -> None:
    done = outside("check", "--json", "Zoë 🌲.xlsx", page="cp1252")
    assert list(json.loads(done.stdout)) == ["Zoë 🌲.xlsx"]
    done = outside("check", "Zoë 🌲.xlsx", page="cp1252")
    assert done.stderr.startswith("STOP  " + problem("file-missing", file="Zoë \\U0001f332.xlsx").line())
    done = outside("explain", "🌲", page="cp1252")
    assert done.returncode == 2
    assert 'nothing is called "\\U0001f332"' in done.stderr


@pytest.mark.skipif(not FULL.exists(), reason="no disk that is always full")
@pytest.mark.parametrize("arguments", ["--help", "explain cuts"])
def test_a_full_disk_for_output_is_one_line(arguments: str) -> None:
    with FULL.open("w") as full:
        done = outside(*arguments.split(), out=full.fileno())
    assert (done.returncode, done.stderr) == (3, UNHEARD)


def test_a_run_without_output_streams_prints_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(metric_workbook(small_season()))
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    assert not is_watched()
    with pytest.raises(SystemExit) as end:
        main(["score", str(path)])
    assert end.value.code == 0
    assert (tmp_path / "season-results.xlsx").exists()


STOPPED_WHILE_LOADING = """
import runpy, sys
class Stopping:
    def find_spec(self, name, *_):
        if name == "{library}":
            raise {fault}("no {library}")
sys.meta_path.insert(0, Stopping())
sys.argv = ["wood-xl", "template", "nowhere/x.xlsx"]
runpy.run_module("wood_xl", run_name="__main__")
"""


def stopped_while_loading(library: str, fault: str) -> tuple[int, str]:
    command = [sys.executable, "-c", STOPPED_WHILE_LOADING.format(library=library, fault=fault)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    return done.returncode, done.stderr


@pytest.mark.parametrize("fault", ["ImportError", "SyntaxError"])
def test_a_copy_that_cannot_start_says_what_it_needs(fault: str) -> None:
    told = "STOP  wood_xl cannot start: no click. It needs Python 3.11 or newer, and to be installed by pip."
    assert stopped_while_loading("click", fault) == (3, f"\n{told}\n")


def test_a_library_that_cannot_be_loaded_and_a_full_memory_are_lines() -> None:
    line = problem("library-not-loaded", found="no openpyxl").line()
    assert stopped_while_loading("openpyxl", "ImportError") == (3, f"STOP  nowhere/x.xlsx: {line}\n")
    code, told = stopped_while_loading("openpyxl", "MemoryError")
    assert (code, told) == (3, f"STOP  {problem('memory-full', file='nowhere/x.xlsx').line()}\n")


def test_an_interrupt_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    assert stopped_while_loading("click", "KeyboardInterrupt") == (3, "\nStopped. Nothing was written.\n")

    def interrupted(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(pipeline, "check_file", interrupted)
    done = CliRunner().invoke(main, ["check", "season.xlsx"])
    assert (done.exit_code, done.output) == (3, "\nStopped. What is written is whole.\n")


def deaf(_: int) -> bool:
    return signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])


@pytest.mark.skipif(sys.platform == "win32", reason="no such masks")
@pytest.mark.slow
def test_a_worker_ignores_interrupts_from_its_first_moment() -> None:
    """What it was started with is asked for: an interrupt while it loads its libraries was told at length."""
    with parallel_map(2) as each:
        assert list(each(deaf, range(2))) == [True, True]
    assert not deaf(0)


@pytest.mark.parametrize("fault", [OSError(errno.EROFS, "no place for locks"), NotImplementedError("no locks")])
def test_without_semaphores_a_single_process_does_all(fault: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr(batch, "ProcessPoolExecutor", refuse)
    with parallel_map(2) as each:
        assert list(each(abs, [-1, 2])) == [1, 2]


def test_windows_waits_for_61_processes_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(128)), raising=False)
    assert core_count() == 128
    monkeypatch.setattr(batch.sys, "platform", "win32")
    assert core_count() == 61
