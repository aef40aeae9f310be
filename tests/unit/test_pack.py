"""The same content gives the same bytes; files are written whole or not at all."""

from __future__ import annotations

import errno
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from few import together
from openpyxl import Workbook

from wood_xl.errors import OutputNotWritable
from wood_xl.io import limits, pack
from wood_xl.io.pack import packed, require_apart, require_writable, write_atomically
from wood_xl.notes.problem import problem


def small_workbook() -> Workbook:
    workbook = Workbook()
    workbook.active.append(["Ash", 12.5])
    return workbook


def read_part(data: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read(name)


def test_packed_workbook_opens_with_its_values() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(packed(small_workbook()))).active
    assert [cell.value for cell in sheet[1]] == ["Ash", 12.5]


def test_no_clock_host_or_library_in_the_file() -> None:
    data = packed(small_workbook())
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
    assert {entry.date_time for entry in entries} == {(1980, 1, 1, 0, 0, 0)}
    assert {(entry.create_system, entry.external_attr, entry.extra) for entry in entries} == {(3, 0o644 << 16, b"")}
    names = [entry.filename for entry in entries]
    assert names[:2] == ["[Content_Types].xml", "_rels/.rels"]
    assert names[2:] == sorted(names[2:])
    core = read_part(data, "docProps/core.xml")
    assert core.count(b">1980-01-01T00:00:00Z<") == 2
    assert b"<dc:creator>wood_xl</dc:creator>" in core
    assert b"openpyxl" not in data


MAKE = """
import hashlib, sys
from wood_xl.io.template import template_bytes
print(hashlib.sha256(template_bytes("us", "USD", "letter")).hexdigest())
"""


@pytest.mark.slow
def test_same_bytes_in_another_process(tmp_path: Path) -> None:
    hashes = set()
    for seed, zone in (("1", "UTC"), ("77", "Asia/Kolkata")):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        ran = subprocess.run(
            [sys.executable, "-c", MAKE], env=environment, cwd=tmp_path, capture_output=True, text=True, check=True
        )
        hashes.add(ran.stdout)
    assert len(hashes) == 1


def test_small_files_are_stored_and_large_ones_deflated(monkeypatch: pytest.MonkeyPatch) -> None:
    def methods() -> set[int]:
        with zipfile.ZipFile(io.BytesIO(packed(small_workbook()))) as archive:
            return {entry.compress_type for entry in archive.infolist()}

    assert methods() == {zipfile.ZIP_STORED}
    monkeypatch.setattr(pack, "STORED_BELOW_BYTES", 1)
    assert methods() == {zipfile.ZIP_DEFLATED}


def test_file_is_written_with_usual_permissions(tmp_path: Path) -> None:
    path, other = tmp_path / "out.xlsx", tmp_path / "other"
    write_atomically(path, b"new", replace=False)
    other.write_bytes(b"")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode == other.stat().st_mode
    assert {entry.name for entry in tmp_path.iterdir()} == {"out.xlsx", "other"}


def test_replaces_only_when_asked(tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    path.write_bytes(b"old")
    assert refusal(path, replace=False) == "output-exists"
    assert path.read_bytes() == b"old"
    write_atomically(path, b"new", replace=True)
    assert path.read_bytes() == b"new"


def refusal(path: Path, *, replace: bool = True, inputs: tuple[Path, ...] = ()) -> str:
    """The code of the refusal; its message can be worded, and nothing is left behind."""
    before = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    with pytest.raises(OutputNotWritable) as caught:
        write_atomically(path, b"new", replace=replace, inputs=inputs)
    line = problem(caught.value.code, **caught.value.facts).line()
    assert "!" not in line
    assert str(path) in line
    assert (sorted(path.parent.iterdir()) if path.parent.is_dir() else []) == before
    return caught.value.code


def test_dangling_link_counts_as_existing_file(tmp_path: Path) -> None:
    link = tmp_path / "out.xlsx"
    link.symlink_to(tmp_path / "nowhere")
    assert refusal(link, replace=False) == "output-exists"


def test_link_is_replaced_not_followed(tmp_path: Path) -> None:
    target, link = tmp_path / "target", tmp_path / "out.xlsx"
    target.write_bytes(b"old")
    link.symlink_to(target)
    write_atomically(link, b"new", replace=True)
    assert (target.read_bytes(), link.read_bytes(), link.is_symlink()) == (b"old", b"new", False)


@pytest.mark.parametrize("kind", ["same", "hard link", "symbolic link", "by another way"])
def test_input_is_never_overwritten(tmp_path: Path, kind: str) -> None:
    source, path = tmp_path / "season.xlsx", tmp_path / "out.xlsx"
    source.write_bytes(b"notes")
    if kind == "hard link":
        path.hardlink_to(source)
    elif kind == "symbolic link":
        path.symlink_to(source)
    else:
        path = source if kind == "same" else tmp_path / ".." / tmp_path.name / "season.xlsx"
    assert refusal(path, inputs=(tmp_path / "other.xlsx", source)) == "output-is-input"
    assert source.read_bytes() == b"notes"


def test_missing_folder_and_folder_as_file(tmp_path: Path) -> None:
    assert refusal(tmp_path / "no" / "out.xlsx") == "output-no-folder"
    (tmp_path / "file").write_bytes(b"")
    assert refusal(tmp_path / "file" / "out.xlsx") == "output-no-folder"
    assert refusal(tmp_path) == "output-is-folder"
    with pytest.raises(OutputNotWritable, match="output-is-folder"):
        require_writable(tmp_path, replace=True)


def fail_with(number: int) -> Any:
    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "output-disk-full"),
        (errno.EDQUOT, "output-disk-full"),
        (errno.EIO, "output-not-writable"),
        (errno.EACCES, "output-not-writable"),
    ],
)
@pytest.mark.parametrize("replace", [True, False])
def test_full_disk_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str, replace: bool
) -> None:
    monkeypatch.setattr(pack.os, "fsync", fail_with(number))
    assert refusal(tmp_path / "out.xlsx", replace=replace) == code


@pytest.mark.parametrize("replace", [True, False])
def test_file_held_open_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, replace: bool) -> None:
    monkeypatch.setattr(Path, "replace", fail_with(errno.EACCES))
    monkeypatch.setattr(Path, "hardlink_to", fail_with(errno.EPERM))  # a file system without hard links
    assert refusal(tmp_path / "out.xlsx", replace=replace) == "output-not-writable"


def test_read_only_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    folder.chmod(0o500)
    if os.access(folder, os.W_OK):  # whoever may do anything is not stopped by the folder's rights
        monkeypatch.setattr(Path, "open", fail_with(errno.EACCES))
    assert refusal(folder / "out.xlsx") == "output-not-writable"
    folder.chmod(0o700)


@pytest.mark.parametrize("has_links", [True, False])
def test_file_created_meanwhile_is_kept(has_links: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if not has_links:
        monkeypatch.setattr(Path, "hardlink_to", fail_with(errno.EPERM))
    path = tmp_path / "out.xlsx"
    monkeypatch.setattr(pack, "require_writable", lambda *_, **__: path.write_bytes(b"theirs"))
    with pytest.raises(OutputNotWritable, match="output-exists"):
        write_atomically(path, b"new", replace=False)
    assert [entry.read_bytes() for entry in tmp_path.iterdir()] == [b"theirs"]


def test_leftovers_of_a_killed_run_do_not_matter(tmp_path: Path) -> None:
    (tmp_path / f".wood_xl-{os.getpid()}-0.part").write_bytes(b"remains")
    write_atomically(tmp_path / "out.xlsx", b"new", replace=False)
    assert (tmp_path / "out.xlsx").read_bytes() == b"new"


@together(
    ("text", "stored"),
    [
        ("knotty\x0bnorth", "knotty[character 11]north"),
        ("\x00", "[character 0]"),
        ("a\r\nb\rc\td", "a\nb\nc\td"),
        ("\ud800", "[character 55296]"),
        ("\ufffe", "[character 65534]"),
        ("Bjørk 🌲", "Bjørk 🌲"),
        ("", ""),
    ],
)
def test_storable_text(text: str, stored: str) -> None:
    assert limits.storable_text(text) == stored
    workbook = Workbook()
    workbook.active["A1"] = limits.storable_text(text)
    back = openpyxl.load_workbook(io.BytesIO(packed(workbook))).active["A1"].value
    assert (back or "") == stored


@together("letter", ["x", "🌲", "x🌲"])
@together("beyond", [0, 1, 2, 1000])
def test_long_text_says_how_much_was_cut(letter: str, beyond: int) -> None:
    units = limits.cell_length(letter)
    text = letter * (limits.CELL_TEXT // units) + "y" * (limits.CELL_TEXT % units) + "z" * beyond
    stored = limits.storable_text(text)
    assert limits.cell_length(stored) <= limits.CELL_TEXT
    if beyond == 0:
        assert stored == text
        return
    kept, _, told = stored.rpartition(" [")
    assert text.startswith(kept)
    assert told == f"{len(text) - len(kept)} more characters cut]"
    assert limits.cell_length(stored) > limits.CELL_TEXT - 8


def test_file_is_written_although_its_temporary_file_cannot_be_removed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Windows, while another program has the file open."""

    def held(path: Path, **_: bool) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    with monkeypatch.context() as patched:
        patched.setattr(Path, "unlink", held)
        write_atomically(tmp_path / "a.xlsx", b"whole", replace=False)
    assert (tmp_path / "a.xlsx").read_bytes() == b"whole"


def test_files_without_inode_numbers_are_compared_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [tmp_path / "a.xlsx", tmp_path / "b.xlsx"]
    for path in paths:
        path.touch()
    monkeypatch.setattr(Path, "stat", lambda _: os.stat_result((0o100644, 0, 7, 1, 0, 0, 0, 0, 0, 0)))
    require_apart(paths[:1], paths[1:])
    with pytest.raises(OutputNotWritable):
        require_apart(paths[:1], [tmp_path / "x" / ".." / "a.xlsx"])


def test_files_in_the_root_of_a_drive(tmp_path: Path) -> None:
    root = Path(tmp_path.anchor)
    require_apart([root / "a season.xlsx", root / "a season-results.xlsx"], [tmp_path / "a season.xlsx"])
    with pytest.raises(OutputNotWritable) as twice:
        require_apart([root / "a season.xlsx", root / "x" / ".." / "a season.xlsx"], [])
    assert twice.value.code == "output-twice"
