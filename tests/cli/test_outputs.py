# ruff: noqa: E501 - a command line each
"""No run writes over what it reads, whatever its outputs are called, and each fault is one line about its file."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import build_bad
import build_ods
import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner, Result
from few import few
from openpyxl import load_workbook
from openpyxl.comments import Comment

from wood_xl import pipeline
from wood_xl.cli import main
from wood_xl.error_handling import guarded
from wood_xl.io.pack import write_atomically
from wood_xl.io.temporary import PREFIX, private_folder
from wood_xl.notes.problem import catalogue, problem
from wood_xl.pipeline import input_files

NO_PROCESS = 2**22 + 1  # above what systems number


@pytest.fixture(scope="module")
def notes() -> bytes:
    return metric_workbook(small_season())


@pytest.fixture
def folder(notes: bytes, tmp_path: Path) -> Path:
    for name in ("ash", "birch"):
        (tmp_path / f"{name}.xlsx").write_bytes(notes)
    return tmp_path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(one) for one in arguments])


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_corrected_workbook_is_scored_again_over_its_own_results(folder: Path) -> None:
    ash, results = folder / "ash.xlsx", folder / "ash-results.xlsx"
    run("score", ash)
    first = results.read_bytes()
    corrected = small_season()
    corrected["sessions"][0]["elapsed_time"] += 5
    ash.write_bytes(metric_workbook(corrected))
    again = run("score", ash)
    assert "Wrote" in again.output
    assert first != results.read_bytes()


def saved_elsewhere(results: Path) -> None:
    """As by a program that somebody has opened it with."""
    workbook = load_workbook(results)
    workbook["Answer"]["A1"].comment = Comment("Ask Ann about this.", "me")
    workbook.save(results)


def of_another_season(results: Path) -> None:
    other = small_season()
    other["season"]["season_name"] = "Another wood"
    notes = results.with_name("other.xlsx")
    notes.write_bytes(metric_workbook(other))
    assert "Wrote" in run("score", notes, "--out", results, "--replace").output


def of_another_year(results: Path) -> None:
    """In the workbook of last year, emptied and filled in anew under the same name."""
    later = small_season()
    for session in later["sessions"]:
        session["date"] = session["date"].replace("2026", "2027")
    notes = results.with_name("later.xlsx")
    notes.write_bytes(metric_workbook(later))
    assert "Wrote" in run("score", notes, "--out", results, "--replace").output


def saved_in_place(results: Path) -> None:
    """As by a program that leaves whatever it does not change as it is: its name is not put in."""
    with zipfile.ZipFile(results) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    with zipfile.ZipFile(results, "w") as package:
        for name, data in parts.items():
            package.writestr(name, data.replace(b"By bow saw", b"By old saw"))


def a_link(results: Path) -> None:
    results.symlink_to(results.rename(results.with_name("kept.xlsx")))


NOT_OWN: dict[str, Callable[[Path], object]] = {
    "of another year": of_another_year,
    "to share": lambda results: run("score", results.with_name("ash.xlsx"), "--share", "--replace", "--out", results),
    "saved in place": saved_in_place,
    "made read-only": lambda results: results.chmod(0o444),
    "a link": a_link,
    "saved by another program": saved_elsewhere,
    "of another season": of_another_season,
    "a template": lambda results: results.write_bytes(metric_workbook(small_season())),
    "no workbook": lambda results: results.write_bytes(b"mine"),
}


@pytest.mark.parametrize("kind", few(NOT_OWN, "saved by another program", "of another year", "to share", "a link"))
def test_what_is_not_the_season_s_own_results_is_not_written_over(kind: str, folder: Path) -> None:
    ash, results = folder / "ash.xlsx", folder / "ash-results.xlsx"
    run("score", ash)
    NOT_OWN[kind](results)
    before = results.read_bytes()
    again = run("score", ash)
    assert again.exit_code == 3
    assert "ash-results.xlsx already exists" in again.output
    assert results.read_bytes() == before


@pytest.mark.slow
def test_results_of_a_folder_that_were_made_read_only_are_left(folder: Path) -> None:
    run("score", folder)
    results = folder / "ash-results.xlsx"
    results.chmod(0o444)
    before = results.read_bytes()
    corrected = small_season()
    corrected["sessions"][0]["elapsed_time"] += 5
    (folder / "ash.xlsx").write_bytes(metric_workbook(corrected))
    assert "ash-results.xlsx already exists" in run("score", folder).output
    assert results.read_bytes() == before


def test_results_that_were_changed_while_others_were_computed_are_left(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ash, results = folder / "ash.xlsx", folder / "ash-results.xlsx"
    run("score", ash)
    score_file = pipeline.score_file

    def meanwhile(*given: Any) -> object:
        saved_elsewhere(results)
        return score_file(*given)

    monkeypatch.setattr(pipeline, "score_file", meanwhile)
    assert "ash-results.xlsx already exists" in run("score", ash).output
    assert load_workbook(results)["Answer"]["A1"].comment is not None


def test_other_earlier_files_are_replaced_only_on_request(folder: Path) -> None:
    """Nothing in JSON tells that nobody has changed it."""
    ash = folder / "ash.xlsx"
    run("score", ash, "--json", folder / "ash.json")
    before = contents(folder)
    again = run("score", ash, "--json", folder / "ash.json")
    assert "ash.json already exists" in again.output
    assert contents(folder) == before


def linked(kind: str, path: Path, source: Path) -> Path:
    path.parent.mkdir(exist_ok=True)
    if kind == "hard link":
        path.hardlink_to(source)
    else:
        path.symlink_to(source)
    return path


def written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def ods_notes() -> bytes:
    return build_ods.with_rows(build_ods.row(build_ods.text("Session")))


OVERWRITES: dict[str, Callable[[Path], list[object]]] = {
    "results": lambda f: ["score", f / "ash.xlsx", "--out", f / "ash.xlsx"],
    "results by another way": lambda f: ["score", f / "ash.xlsx", "--out", f / ".." / f.name / "ash.xlsx"],
    "results by a link": lambda f: ["score", f / "ash.xlsx", "--out", linked("link", f / "x.xlsx", f / "ash.xlsx")],
    "json": lambda f: ["score", f / "ash.xlsx", "--json", f / "ash.xlsx"],
    "json by a hard link": lambda f: ["score", f / "ash.xlsx", "--json", linked("hard link", f / "x.json", f / "ash.xlsx")],
    "a calendar": lambda f: ["score", f / "ash.xlsx", "--calendar", linked("link", f / "x.ics", f / "ash.xlsx")],
    "results and calendar": lambda f: ["score", f / "ash.xlsx", "--out", f / "x.xlsx", "--calendar", f / "x.xlsx"],
    "results and json": lambda f: ["score", f / "ash.xlsx", "--out", f / "x.xlsx", "--json", f / "x.xlsx"],
    "a table": lambda f: [
        "score", f / "ash.xlsx", "--csv", linked("hard link", f / "t" / "figures.csv", f / "ash.xlsx").parent
    ],
    "a table by a link": lambda f: [
        "score", f / "ash.xlsx", "--csv", linked("link", f / "t" / "sessions.csv", f / "ash.xlsx").parent
    ],
    "results of one that are another": lambda f: [
        "score", f / "ash.xlsx", linked("hard link", f / "ash-results.xlsx", f / "birch.xlsx")
    ],
    "a summary": lambda f: ["score", f, linked("hard link", f / "all-results.xlsx", f / "birch.xlsx")],
    "the record": lambda f: ["score", f, linked("hard link", f / ".wood_xl-scored.json", f / "birch.xlsx")],
    "a marked copy": lambda f: [
        "check", f / "ash.xlsx", linked("hard link", f / "ash-marked.xlsx", f / "birch.xlsx"), "--marked-copy"
    ],
    "two results": lambda f: ["score", f / "ash.xlsx", f / "t" / ".." / "ash.xlsx", "--out", f / "t"],
    "a marked copy of another ending": lambda f: [
        "check", written(f / "x.xlsx", ods_notes()), written(f / "x-marked.ods", ods_notes()), "--marked-copy"
    ],
    "two marked copies": lambda f: [
        "check", written(f / "x.xlsx", ods_notes()), written(f / "x.ods", ods_notes()), "--marked-copy"
    ],
    "a summary that are results": lambda f: ["score", f, written(f / "all.xlsx", (f / "ash.xlsx").read_bytes())],
    "tables and results": lambda f: ["score", f / "ash.xlsx", "--csv", f / "ash-results.xlsx"],
    "tables and json": lambda f: ["score", f / "ash.xlsx", "--json", f / "t.json", "--csv", f / "t" / ".." / "t.json"],
    "tables of a study and itself": lambda f: ["pool", f / "ash.xlsx", "--out", f / "x.xlsx", "--csv", f / "x.xlsx"],
    "a study": lambda f: ["pool", f / "ash.xlsx", f / "birch.xlsx", "--out", linked("link", f / "x.xlsx", f / "ash.xlsx")],
    "a draft": lambda f: ["mail", f / "ash.xlsx", "--to", "a@example.org", "--out", linked("link", f / "x.eml", f / "ash.xlsx")],
}  # fmt: skip


TWO_OF_ONE = {  # what is told where no input would be written over
    "output-twice": (
        *("results and json", "results and calendar", "two marked copies"),
        *("tables and results", "tables and json", "tables of a study and itself"),
    ),
    "output-wanted-twice": ("two results", "a summary that are results"),
}
QUICK = [kind for kind in OVERWRITES if kind != "results of one that are another"]


@pytest.mark.parametrize("kind", few(OVERWRITES, *QUICK))
def test_an_input_is_never_written_over(kind: str, folder: Path) -> None:
    (folder / "t").mkdir()
    arguments = OVERWRITES[kind](folder)
    before = contents(folder)
    done = run(*arguments, "--replace")
    assert done.exit_code in (2, 3), done.output
    codes = ("output-is-input", *TWO_OF_ONE)
    texts = {code: catalogue()[code]["template"].partition("{file}")[2] for code in codes}
    expected = [code for code, kinds in TWO_OF_ONE.items() if kind in kinds] or ["output-is-input"]
    assert [code for code, text in texts.items() if text in done.output] == expected
    after = contents(folder)  # of several workbooks the others may have been scored
    assert {name: after[name] for name in before} == before


def test_what_is_neither_file_nor_folder_is_no_output(folder: Path) -> None:
    pipe = folder / "results.json"
    os.mkfifo(pipe)
    done = run("score", folder / "ash.xlsx", "--json", pipe, "--replace")
    assert done.exit_code == 3
    assert f"{pipe} is a device or a pipe, not a file." in done.output
    assert pipe.is_fifo()
    assert not (folder / "ash-results.xlsx").exists()


@pytest.mark.parametrize("command", [("score",), ("pool", "--out", "study.xlsx")])
def test_a_file_where_tables_should_go_is_told_before_anything_is_written(
    command: tuple[str, ...], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    before = contents(folder)
    done = run(*command, "ash.xlsx", "--replace", "--csv", "birch.xlsx")
    assert done.exit_code == 3
    assert problem("output-is-file", file="birch.xlsx").line() in done.output
    assert contents(folder) == before


@pytest.mark.parametrize(
    "arguments",
    [["check", ""], ["score", ""], ["verify", ""], ["pool", "", "--out", "x"], ["template", ""], ["demo", ""],
     ["score", "x.xlsx", "--out", ""], ["template", "x", "--from", ""], ["template", "x", "--next-year-from", ""],
     ["score", "x.xlsx", "--json", ""], ["mail", "", "--to", "a@example.org"]],
)  # fmt: skip
def test_an_empty_name_is_a_fault_of_usage(arguments: list[str], tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    done = run(*arguments)
    assert done.exit_code == 2
    assert "name is empty" in done.output
    assert contents(tmp_path) == {}


@pytest.mark.parametrize(
    "command",
    ["template .", "template ..", "template /", "trial .", "trial ash.xlsx --out .", "pool ash.xlsx --out ..",
     "mail . --to a@example.org", "mail ash.xlsx --to a@example.org --out ."],
)  # fmt: skip
def test_a_folder_where_a_file_belongs_is_one_line(
    command: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    before = contents(folder.parent)
    done = run(*command.split())
    assert done.exit_code == 3
    (line,) = done.output.splitlines()
    assert line.startswith("STOP  ")
    assert " is a folder" in line
    assert contents(folder.parent) == before


def test_what_is_written_has_an_ending_that_other_programs_open(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    names = [*("--out", "ash.27"), *("--json", "figures"), *("--csv", "tables.27")]
    done = run("score", "ash.xlsx", *names)
    assert [line.split()[-1] for line in done.output.splitlines() if line.startswith("Wrote ")] == [
        *("ash.27.xlsx", "figures.json", "tables.27")
    ]
    assert run("mail", "ash.27.xlsx", "--to", "a@example.org", "--out", "draft").exit_code == 0
    assert run("template", "Winter 2026.27").output == "Wrote Winter 2026.27.xlsx\n"
    assert all(Path(name).exists() for name in ("ash.27.xlsx", "figures.json", "draft.eml"))


def test_a_workbook_open_in_another_program_has_a_warning(folder: Path) -> None:
    ash, mark, other = folder / "ash.xlsx", folder / "~$ash.xlsx", folder / ".~lock.birch.xlsx#"
    mark.write_bytes(b"\x04Ann" + b" " * 161)
    other.write_text(",ann,hearth,30.11.2026 18:00,file:///;")
    done = run("check", ash, folder / "birch.xlsx", mark)  # as *.xlsx gives them
    assert done.exit_code == 0
    told = [problem("file-is-open", file=str(path)).line() for path in (ash, folder / "birch.xlsx")]
    assert done.stderr.splitlines() == [f"Not read: {mark}", *(f"NOTE  {line}" for line in told)]
    alone = run("verify", mark)
    assert (alone.exit_code, alone.output) == (3, f"STOP  {problem('file-open-mark', file=mark.name).line()}\n")


def test_outputs_beside_named_files_are_not_read(folder: Path) -> None:
    """As *.xlsx names them; and a file that somebody filled in is read, whatever it is called."""
    run("score", folder / "ash.xlsx")
    run("check", folder / "ash.xlsx", "--marked-copy")
    names = (
        "ash.xlsx",
        "ash-marked.xlsx",
        "ash-results.xlsx",
        "birch.xlsx",
        "birch-results.xlsx",
        "elm-results.xlsx",
    )
    paths = [folder / name for name in names]
    paths[4].hardlink_to(paths[3])
    paths[5].write_bytes(paths[2].read_bytes())
    assert [path.name for path in input_files(paths)] == ["ash.xlsx", *names[3:5]]
    pooled = input_files(paths, with_results=True)  # those without their workbook may be somebody else's
    assert [path.name for path in pooled] == ["ash.xlsx", *names[3:]]
    assert [path.name for path, _ in pipeline.passed_over(paths)] == [*names[1:3], names[5]]
    assert input_files([paths[2]]) == [paths[2]]  # alone it is meant
    assert run("score", *paths[:3]).exit_code == 0
    summary = folder / "all-results.xlsx"
    summary.write_bytes(paths[2].read_bytes())
    assert input_files([paths[0], paths[3], summary]) == [paths[0], paths[3]]


def test_no_command_takes_what_another_wrote_for_notes(folder: Path) -> None:
    notes = [folder / name for name in ("ash.xlsx", "birch.xlsx")]
    assert run("score", notes[0], "--out", folder / "mine.xlsx").exit_code == 0
    assert run("score", notes[0]).exit_code == 0
    assert run("pool", *notes, "--both", "--out", folder / "study.xlsx").exit_code == 0
    every = sorted(folder.glob("*.xlsx"))
    assert input_files([folder]) == input_files(every) == notes
    for given in ([folder], every):  # results under another name may be anybody's
        assert input_files(given, with_results=True) == [*notes, folder / "mine.xlsx"]
        assert run("score", *given).exit_code == 0


@pytest.mark.parametrize("command", ["check ash", "score Asch.xlsx", "verify ashs.xlsx", "trial ash.xls"])
def test_of_a_file_that_is_not_there_the_nearest_is_named(
    command: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An ending may be hidden from sight, and the terminal may be in another folder."""
    monkeypatch.chdir(folder)
    name, file = command.split()
    line = problem("file-missing", file=file).line()
    assert run(name, file).output == f"STOP  {line} You are in {folder}. Near it: ash.xlsx.\n"
    line = problem("file-missing", file="oak.xlsx").line()
    assert run(name, folder / "oak.xlsx").output == f"STOP  {line}\n"


@pytest.mark.parametrize("command", ["check", "score", "verify", "mail"])
def test_an_unreadable_file_is_one_line_that_names_it(command: str, tmp_path: Path) -> None:
    path = tmp_path / "sea\x1b[31mson.xlsx"
    path.write_bytes(b"")
    done = run(command, path, *(["--to", "a@example.org"] if command == "mail" else []))
    assert done.exit_code == 3
    (line,) = done.output.splitlines()
    assert r"sea\x1b[31mson.xlsx" in line
    assert "\x1b" not in done.output


@pytest.mark.parametrize("is_there", [False, True])
def test_a_refused_run_leaves_no_folder_that_it_made(is_there: bool, folder: Path) -> None:
    out = folder / "out"
    if is_there:
        out.mkdir()
    (folder / "ash.xlsx").write_bytes(b"no workbook")
    assert run("score", folder / "ash.xlsx", "--out", out).exit_code == 3
    assert out.is_dir() is is_there


def test_a_name_with_control_characters_is_printed_escaped(folder: Path, notes: bytes) -> None:
    path = folder / "a\nb\x07.xlsx"
    path.write_bytes(notes)
    done = run("score", path)
    assert done.exit_code == 0
    assert "\x07" not in done.output
    assert r"Wrote" in done.output
    assert r"a\nb\x07-results.xlsx" in done.output


def test_tables_that_fail_after_the_workbook_are_told_with_it(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[Path] = []

    def fail_later(path: Path, data: bytes, **options: Any) -> None:
        if path.suffix == ".csv":
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        written.append(path)
        write_atomically(path, data, **options)

    monkeypatch.setattr("wood_xl.io.pack.write_atomically", fail_later)
    done = run("score", folder / "ash.xlsx", "--csv", folder / "tables")
    assert done.exit_code == 1
    assert f"Wrote {folder / 'ash-results.xlsx'}" in done.output
    assert "Input/output error" in done.output
    assert written == [folder / "ash-results.xlsx"]


@pytest.mark.parametrize("part", ["xl/drawings/drawing9.xml", "customXml/item1.xml", "docProps/thumbnail.svg"])
@pytest.mark.parametrize("before", ["", " ", "\ufeff \n"])
def test_an_entity_declared_in_any_part_is_refused(part: str, before: str, tmp_path: Path) -> None:
    parts = build_bad.sound_parts()
    parts[part] = f'{before}<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "b">]><x/>'
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.packed(parts))
    done = run("check", path)
    assert done.exit_code == 3
    assert f"Its part {part.lower()} declares" in done.output


def test_temporary_files_are_the_owner_s_alone_and_go_with_the_run() -> None:
    with private_folder() as folder:
        assert folder.stat().st_mode & 0o777 == 0o700
        with tempfile.NamedTemporaryFile(delete=False) as file:
            assert Path(file.name).parent == folder
        assert os.environ["TMPDIR"] == str(folder)
    assert not folder.exists()
    assert Path(tempfile.gettempdir()) != folder


def test_what_a_killed_run_left_is_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    dead, alive, other = (tmp_path / name for name in (f"{PREFIX}{NO_PROCESS}-x", f"{PREFIX}{os.getpid()}-x", "x"))
    old = tmp_path / f"{PREFIX}{os.getpid()}-old"
    for one in (dead, alive, other, old):
        one.mkdir()
        (one / "notes").write_text("private", encoding="utf-8")
    long_ago = time.time() - 2 * 86_400
    os.utime(old, (long_ago, long_ago))
    (tmp_path / f"{PREFIX}{NO_PROCESS}-link").symlink_to(other)
    with private_folder():
        assert not dead.exists()
        assert not old.exists()
        assert (alive / "notes").exists()
    assert (other / "notes").exists()


def test_a_kill_between_leaves_nothing_that_stops_the_next_run(tmp_path: Path) -> None:
    left = tmp_path / f".{PREFIX}{NO_PROCESS}-0.part"
    left.write_bytes(b"half")
    write_atomically(tmp_path / "out.xlsx", b"new", replace=False)
    assert contents(tmp_path) == {"out.xlsx": b"new"}


KILLED_AT_THE_MOVE = """
import errno, os, sys
from pathlib import Path
from wood_xl.io import pack
def die(*_, **__): os._exit(9)
def refuse(*_): raise OSError(errno.EPERM, "")
if "no links" in sys.argv: Path.hardlink_to = refuse
for name in ("replace", "unlink"):
    setattr(Path, name, die)
pack.write_atomically(Path(sys.argv[1]), b"new", replace=False)
"""


@pytest.mark.parametrize("disk", ["links", "no links"])
def test_a_run_killed_at_the_move_has_written_all_or_nothing(disk: str, tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    done = subprocess.run([sys.executable, "-c", KILLED_AT_THE_MOVE, str(path), disk], check=False)
    assert done.returncode == 9
    assert not path.exists() or path.read_bytes() == b"new"


ASKED_TO_END = """
import sys, tempfile, time
from wood_xl.io.temporary import private_folder
with private_folder() as folder:
    open(folder / "notes", "w").write("private")
    print(folder, flush=True)
    time.sleep(60)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_temporary_files_go_when_the_run_is_asked_to_end(number: signal.Signals) -> None:
    code = f"import signal; signal.signal({number.value}, signal.SIG_DFL)\n" if number != signal.SIGINT else (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
    )  # fmt: skip
    with subprocess.Popen(
        [sys.executable, "-c", code + ASKED_TO_END], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdout is not None
        folder = Path(process.stdout.readline().strip())
        assert (folder / "notes").exists()
        process.send_signal(number)
        process.wait(timeout=30)
    assert not folder.exists()


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EFBIG])
@pytest.mark.parametrize("name", ["", "tmp0"])
def test_a_full_temporary_folder_is_named(
    number: int, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with private_folder() as private:

        def work() -> None:
            raise OSError(number, os.strerror(number), str(private / name) if name else None)

        _, fault = guarded(Path("season.xlsx"), work)
    assert fault is not None
    assert fault == problem("temporary-full", folder=str(tmp_path))  # not its part that goes with the run


@pytest.mark.parametrize(("number", "name"), [(errno.ENOSPC, "out.xlsx"), (errno.EACCES, "")])
def test_no_temporary_folder_is_told_of_a_full_disk_elsewhere_or_another_fault(number: int, name: str) -> None:
    def work() -> None:
        raise OSError(number, os.strerror(number), name or None)

    _, fault = guarded(Path("season.xlsx"), work)
    assert fault == problem("file-system", file=name or "season.xlsx", found=os.strerror(number))


@pytest.mark.parametrize("raised", [KeyError("x"), DeprecationWarning("'x'")])
def test_a_fault_of_this_program_is_one_line_that_says_which(raised: Exception) -> None:
    def work() -> None:
        raise raised

    _, fault = guarded(Path("season.xlsx"), work)
    assert fault is not None
    assert fault.code == "ours-not-expected"
    assert f"{type(raised).__name__}: 'x'; {Path(__file__).name}, line" in fault.text


def test_a_fault_of_this_program_names_the_line_of_the_package(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Raised by a library; and what was written before is not denied."""

    def package(_: object) -> dict[str, bytes]:
        return {"a.csv": bytes(int("x"))}

    monkeypatch.setattr("wood_xl.results.csv_package.csv_package", package)
    told = run("score", folder / "ash.xlsx", "--csv", folder / "tables")
    assert "scoring.py, line" in told.output
    assert "Wrote" in told.output
    assert "Nothing was written" not in told.output


def test_without_any_temporary_folder_one_line_says_so(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(folder / "gone"))
    done = run("check", folder / "ash.xlsx")
    assert done.exit_code == 3
    assert done.output == f"STOP  {problem('temporary-none', found='No such file or directory').line()}\n"


def test_a_folder_that_cannot_be_made_is_named_and_not_the_results(folder: Path) -> None:
    place = folder / "birch.xlsx" / "tables"
    done = run("score", folder / "ash.xlsx", "--csv", place)
    assert done.exit_code == 1
    assert f"Wrote {folder / 'ash-results.xlsx'}" in done.output
    assert f"STOP  {folder / 'ash.xlsx'}: {place}: Not a directory." in done.output


def test_a_file_that_may_not_be_read_is_no_fault_of_usage(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "access", lambda *_, **__: False)  # whoever may read all is told otherwise
    monkeypatch.setattr(Path, "open", refuse)
    done = run("check", folder / "ash.xlsx")
    assert done.exit_code == 3
    assert "no right to read ash.xlsx" in done.output
