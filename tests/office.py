"""A real office program that opens, fills in and saves workbooks as a person does."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

SYSTEM_PYTHON = "/usr/bin/python3"  # it alone has the bridge to the office program
SCRIPT = Path(__file__).parent / "roundtrip" / "type_into_office.py"
LOCALE = (
    '<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">'
    '<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">'
    "<value>{}</value></prop></item></oor:items>"
)

Entry = tuple[str, int, int, str]  # sheet, row, column, what is typed


class Job(NamedTuple):
    """One workbook: what is opened, what is typed, where it is saved; the endings say the formats."""

    source: Path
    saved: Sequence[Path]
    entries: Sequence[Entry] = ()


def run_in_office(soffice: str, jobs: Sequence[Job], folder: Path, *, locale: str = "en-US") -> None:
    """Do the jobs in one session of the office program, in view: a hidden document loses frozen rows.

    It has its own profile, and the locale of a machine on which decimals and dates are typed in that way. A session
    that crashed is run once more, since nothing was learnt from it; one that ended with an error is not.
    """
    ended = _session(soffice, jobs, folder / f"{locale}-1", locale)
    if ended.returncode < 0:
        ended = _session(soffice, jobs, folder / f"{locale}-2", locale)
    assert ended.returncode == 0, f"ended with {ended.returncode}: {ended.stderr}"
    for job in jobs:
        assert all(path.is_file() for path in job.saved), "the program reports success when it fails"


def _session(soffice: str, jobs: Sequence[Job], folder: Path, locale: str) -> subprocess.CompletedProcess[str]:
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(LOCALE.format(locale), encoding="utf-8")
    listed = folder / "jobs.json"
    told: list[dict[str, Any]] = [
        {"open": str(job.source), "entries": list(job.entries), "save": [str(path) for path in job.saved]}
        for job in jobs
    ]
    listed.write_text(json.dumps(told), encoding="utf-8")
    pipe = f"wood_xl_{os.getpid()}_{folder.name}"
    office = subprocess.Popen(
        [soffice, "--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;",
         f"-env:UserInstallation={profile.as_uri()}"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        ended = subprocess.run(
            [SYSTEM_PYTHON, "-X", "faulthandler", str(SCRIPT), pipe, str(listed)],
            check=False, capture_output=True, text=True, timeout=300,
        )  # fmt: skip
        if ended.returncode == 0:
            office.wait(timeout=60)
        return ended
    finally:
        office.kill()
        office.wait()
