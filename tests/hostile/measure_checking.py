"""Checks workbooks one after another, each in a process of its own, and prints what came of it as one line of JSON.

    python measure_checking.py SOUND < NAMES

For each file named on standard input: the outcome (the code that refuses it, or "read"), seconds of processor time,
and how far memory went up above that of a process that has everything loaded and has checked a sound file.
"""

import json
import os
import resource
import sys
from io import StringIO
from pathlib import Path

from wood_xl.errors import WoodXlError
from wood_xl.io.marked_copy import marked_copy
from wood_xl.notes.problem import problem
from wood_xl.pipeline import check_file

MOST_SECONDS, MOST_BYTES = 40, 4_000_000_000  # so that a file that gets past everything does not stop the machine


def peak_kib():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def seconds():
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def outcome(path):
    try:
        found = check_file(path).problems
        StringIO().writelines(one.line() for one in found)
        marked_copy(path, found)
    except WoodXlError as fault:
        problem(fault.code, **fault.facts).line()
        return fault.code
    return "read"


def measured(path):
    """Outcome, seconds and KiB of checking one file in a child."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
        before, start = peak_kib(), seconds()
        found = outcome(path)
        result = [found, round(seconds() - start, 3), peak_kib() - before]
        os.write(writing, json.dumps(result).encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as stream:
        text = stream.read()
    os.waitpid(child, 0)
    return json.loads(text) if text else ["died", 0, 0]


def main(sound):
    outcome(Path(sound))
    for line in sys.stdin:
        sys.stdout.write(json.dumps(measured(Path(line.rstrip("\n")))) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1])
