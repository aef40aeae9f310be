"""Does a test of behavior notice each deliberate fault of ``faults.py``? Not run by pytest.

Each fault goes into a copy of the package, on which its own tests alone are run; no two at once in one copy.

    python tests/mutation/run.py                              # all, two at a time; goes on where it was broken off
    python tests/mutation/run.py --topic money --topic plan
    python tests/mutation/run.py --list                       # name them, and those whose text is stale

What a fault came to is kept until its file, its tests or the fault itself change. Ends with 1 if fewer than 95 % are
caught, or if the list is stale: an old text does not stand exactly once in its file.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from pathlib import Path
from queue import SimpleQueue

from faults import FAULTS, Fault

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("wood_xl", "tests", "demo", "templates", "pyproject.toml", "README.md", "DEVELOPERS.md")
SNAPSHOTS = ("tests/guard", "tests/demo", "tests/versions")  # compare with what was written before
KEPT = Path(tempfile.gettempdir()) / "wood_xl-mutation.json"
LEAST_FRAC = 0.95
LONGEST_S = 900
OPTIONS = (  # slow tests are run too; what fails is not explained, and no law seeks its smallest example
    *("-x", "-q", "--tb=no", "-n", "0", "-p", "no:cacheprovider"),
    *("-m", "not office and not simulation", "--hypothesis-profile=first"),
)
CAUGHT, MISSED, STALE, BROKEN = "caught", "missed", "stale", "broken"
_FAILED = re.compile(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", re.MULTILINE)
_MOMENTS = count(1_000_000_000)  # a time of its own for each writing, by which Python knows what to compile again


def path_of(test: str) -> Path:
    """File of a test."""
    return ROOT / test.partition("::")[0]


def is_stale(fault: Fault) -> bool:
    """Whether its old text does not stand exactly once in its file, or a test is gone or compares with a snapshot."""
    if any(name.startswith(SNAPSHOTS) or not path_of(name).is_file() for name in fault.tests):
        return True
    path = ROOT / "wood_xl" / fault.file
    return not path.is_file() or path.read_text(encoding="utf-8").count(fault.old) != 1


def key_of(fault: Fault) -> str:
    """What its outcome hangs on: the fault, its file and its tests."""
    digest = hashlib.sha256(repr(fault).encode())
    for path in (ROOT / "wood_xl" / fault.file, *map(path_of, fault.tests)):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")
    moment = next(_MOMENTS)
    os.utime(path, (moment, moment))


def copied(folder: Path) -> Path:
    """A copy of what tests need."""
    folder.mkdir()
    for name in COPIED:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
        copy(ROOT / name, folder / name)
    return folder


def pytest(copy: Path, tests: Sequence[str]) -> tuple[int, str]:
    """How pytest ends on a copy, and what it says."""
    environment = os.environ | {"PYTHONPATH": str(copy)}
    command = [sys.executable, "-m", "pytest", *OPTIONS, *tests]
    try:
        done = subprocess.run(
            command, cwd=copy, env=environment, capture_output=True, text=True, check=False, timeout=LONGEST_S
        )
    except subprocess.TimeoutExpired:
        return -1, f"not done after {LONGEST_S} s"
    return done.returncode, done.stdout + done.stderr


def tried(copy: Path, fault: Fault) -> tuple[str, str]:
    """What a fault comes to, and the test that caught it or why it is broken."""
    path = copy / "wood_xl" / fault.file
    whole = path.read_text(encoding="utf-8")
    write(path, whole.replace(fault.old, fault.new))
    code, told = pytest(copy, fault.tests)
    write(path, whole)
    by = _FAILED.search(told)
    if code == 1 and by is not None:
        return CAUGHT, by[1]
    return (MISSED, "") if code == 0 else (BROKEN, told.strip().rpartition("\n")[2])


def each_tried(faults: Sequence[Fault], folder: Path, jobs: int) -> Iterator[tuple[Fault, str, str]]:
    """Every fault with what it comes to, as they are done, so many at a time."""
    copies: SimpleQueue[Path] = SimpleQueue()
    for number in range(jobs):
        copies.put(copied(folder / str(number)))
    done: SimpleQueue[tuple[Fault, str, str]] = SimpleQueue()

    def one(fault: Fault) -> None:
        copy, begun = copies.get(), time.monotonic()
        try:
            outcome, by = tried(copy, fault)
        except OSError as error:
            outcome, by = BROKEN, str(error)
        copies.put(copy)
        say(f"{fault.topic:9} {outcome:7} {fault.id} [{time.monotonic() - begun:.0f} s] {by}")
        done.put((fault, outcome, by))

    with ThreadPoolExecutor(jobs) as pool:
        for fault in faults:
            pool.submit(one, fault)
        for _ in faults:
            yield done.get()


def failing_anyhow(folder: Path, tests: Sequence[str]) -> set[str]:
    """Those of the tests that fail without a fault too: they prove nothing."""
    if not tests:
        return set()
    _, told = pytest(copied(folder / "sound"), ["--maxfail=10000", *tests])
    return set(_FAILED.findall(told)) & set(tests)


def say(text: str) -> None:
    """Tell it at once: a run takes long."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def table(found: dict[Fault, str]) -> str:
    """Faults by topic, and what they came to."""
    lines = ["topic      faults  caught"]
    for topic in dict.fromkeys(fault.topic for fault in found):
        own = [outcome for fault, outcome in found.items() if fault.topic == topic]
        lines.append(f"{topic:9} {len(own):7} {own.count(CAUGHT):7}")
    lines.append(f"all       {len(found):7} {[*found.values()].count(CAUGHT):7}")
    return "\n".join(lines)


def main() -> int:
    """Run the faults; 1 if too few are caught or the list is stale."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--topic", action="append", choices=sorted({fault.topic for fault in FAULTS}))
    parser.add_argument("--list", action="store_true", help="name the faults and stop")
    parser.add_argument("--jobs", type=int, default=2, help="how many at a time; 2 if not given")
    parser.add_argument("--anew", action="store_true", help="forget what was found before")
    parser.add_argument("--kept", type=Path, default=KEPT, help="file in which the outcomes are kept")
    asked = parser.parse_args()
    chosen = [fault for fault in FAULTS if not asked.topic or fault.topic in asked.topic]
    if asked.list:
        say("\n".join(f"{fault.topic:9} {'STALE ' * is_stale(fault)}{fault.file}: {fault.id}" for fault in chosen))
        return int(any(map(is_stale, chosen)))
    kept = json.loads(asked.kept.read_text()) if asked.kept.is_file() and not asked.anew else {}
    whole = {fault: key_of(fault) for fault in chosen if not is_stale(fault)}
    with tempfile.TemporaryDirectory() as name:
        for fault, outcome, by in each_tried([f for f in whole if whole[f] not in kept], Path(name), asked.jobs):
            kept[whole[fault]] = outcome, by
            asked.kept.write_text(json.dumps(kept, indent=0))
        catching = {kept[key][1] for key in whole.values() if kept[key][0] == CAUGHT}
        unsound = failing_anyhow(Path(name), sorted(catching))
    found = dict.fromkeys(chosen, STALE)
    for fault, key in whole.items():
        outcome, by = kept[key]
        found[fault] = BROKEN if by in unsound else outcome
    say("\n" + table(found))
    for fault, outcome in found.items():
        if outcome == STALE:
            say(
                f"STALE: {fault.id}: in {fault.file} this does not stand exactly once, or a test is gone: {fault.old}"
            )
        elif outcome != CAUGHT:
            say(f"{outcome}: {fault.file}: {fault.id} {kept[whole[fault]][1]}")
    is_enough = [*found.values()].count(CAUGHT) >= LEAST_FRAC * len(found)
    return 0 if is_enough and STALE not in found.values() else 1


if __name__ == "__main__":
    sys.exit(main())
