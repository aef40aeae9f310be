"""Temporary files of a run in a folder that nobody else may look into, removed however the run ends.

They hold what people wrote down. A run that was killed leaves its folder to the next one, which removes it.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from wood_xl.errors import OutputNotWritable

PREFIX = "wood_xl-"
OLD = timedelta(days=1)
ENDINGS = ("SIGTERM", "SIGHUP", "SIGBREAK")
FOLDER_NAME = "TMPDIR"  # by which processes that this one starts find the folder
_OWNER = re.compile(rf"\.?{PREFIX}([0-9]+)-\S*")


@contextmanager
def private_folder() -> Iterator[Path]:
    """A folder for all temporary files of this process and those that it starts."""
    before = tempfile.tempdir, os.environ.get(FOLDER_NAME)
    try:
        sweep(Path(tempfile.gettempdir()), PREFIX)
        folder = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{os.getpid()}-"))  # for its owner alone
    except OSError as fault:
        raise OutputNotWritable("temporary-none", found=fault.strerror or type(fault).__name__) from fault
    tempfile.tempdir = os.environ[FOLDER_NAME] = str(folder)
    handlers = {one: signal.signal(one, lambda number, _frame: sys.exit(128 + number)) for one in _endings()}
    try:
        yield folder
    finally:
        for one, handler in handlers.items():
            signal.signal(one, handler)
        tempfile.tempdir = before[0]
        os.environ.pop(FOLDER_NAME)
        if before[1] is not None:
            os.environ[FOLDER_NAME] = before[1]
        shutil.rmtree(folder, ignore_errors=True)


def all_temporary() -> Path:
    """The folder that holds the private one, and what other programs keep for a while."""
    folder = Path(tempfile.gettempdir())
    return folder.parent if folder.name.startswith(PREFIX) else folder


def _endings() -> list[signal.Signals]:
    """Signals that ask the program to end; those that somebody chose to ignore stay ignored."""
    if threading.current_thread() is not threading.main_thread():  # another program's, which has its own
        return []
    known = [signal.Signals[name] for name in ENDINGS if name in signal.Signals.__members__]
    return [one for one in known if signal.getsignal(one) is signal.SIG_DFL]


def sweep(folder: Path, prefix: str) -> None:
    """Remove what runs that were killed left in a folder: of this user, with that prefix, and of no process now."""
    try:
        entries = [entry for entry in os.scandir(folder) if entry.name.startswith(prefix)]
    except OSError:
        return
    for entry in entries:
        match = _OWNER.fullmatch(entry.name)
        try:
            state = entry.stat(follow_symlinks=False)
            is_own = not entry.is_symlink() and (not hasattr(os, "getuid") or state.st_uid == os.getuid())
            is_old = datetime.now(UTC) - datetime.fromtimestamp(state.st_mtime, UTC) > OLD
            if match is None or not is_own or not (is_old or not _is_running(int(match[1]))):
                continue
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path, ignore_errors=True)
            else:
                Path(entry.path).unlink(missing_ok=True)
        except (OSError, OverflowError, ValueError):
            continue


def _is_running(process: int) -> bool:
    if os.name == "nt":  # there the question would end it
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        pass
    return True
