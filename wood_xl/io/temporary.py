"""Keeps the temporary files of a run in a private folder, which is removed however the run ends.

The files hold people's notes. If a run is killed, the next run removes its folder.
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
END_SIGNALS = ("SIGTERM", "SIGHUP", "SIGBREAK")
FOLDER_NAME = "TMPDIR"  # tells child processes the folder
_OWNER = re.compile(rf"\.?{PREFIX}([0-9]+)-\S*")


@contextmanager
def private_folder() -> Iterator[Path]:
    """A folder for all temporary files of this process and its child processes."""
    before = tempfile.tempdir, os.environ.get(FOLDER_NAME)
    try:
        sweep(Path(tempfile.gettempdir()), PREFIX)
        folder = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{os.getpid()}-"))  # only its owner may open it
    except OSError as fault:
        raise OutputNotWritable("temporary-none", found=fault.strerror or type(fault).__name__) from fault
    tempfile.tempdir = os.environ[FOLDER_NAME] = str(folder)
    handlers = {end: signal.signal(end, lambda number, _frame: sys.exit(128 + number)) for end in _end_signals()}
    try:
        yield folder
    finally:
        for end, handler in handlers.items():
            signal.signal(end, handler)
        tempfile.tempdir = before[0]
        os.environ.pop(FOLDER_NAME)
        if before[1] is not None:
            os.environ[FOLDER_NAME] = before[1]
        shutil.rmtree(folder, ignore_errors=True)


def all_temporary() -> Path:
    """The system's folder for temporary files, which holds the private one."""
    folder = Path(tempfile.gettempdir())
    return folder.parent if folder.name.startswith(PREFIX) else folder


def _end_signals() -> list[signal.Signals]:
    """Signals that ask the program to end and have their default handler; ignored ones stay ignored."""
    if threading.current_thread() is not threading.main_thread():  # only the main thread may set handlers
        return []
    existing = [signal.Signals[name] for name in END_SIGNALS if name in signal.Signals.__members__]
    return [end for end in existing if signal.getsignal(end) is signal.SIG_DFL]


def sweep(folder: Path, prefix: str) -> None:
    """Remove what killed runs of this user left in a folder: entries with that prefix whose process is gone."""
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
    if os.name == "nt":  # where ``os.kill`` with 0 would end the process
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        pass
    return True
