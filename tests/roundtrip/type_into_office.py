"""Types entries into workbooks in a running office program, as a person would, and saves them.

Run by the system's own Python, which alone has the bridge to the office program:

    python3 type_into_office.py PIPE JOBS.json

Each job opens a file, types entries (sheet, row, column, text) and saves to one or more places; the ending of the
name says the format.
"""

import json
import os
import sys
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

WAIT_S = 60
FILTERS = {".xlsx": "Calc MS Excel 2007 XML", ".ods": "calc8"}


def connected(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(WAIT_S * 5):
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            time.sleep(0.2)
    raise SystemExit("the office program did not answer")


def setting(name, value):
    return PropertyValue(Name=name, Value=value)


def done(desktop, job):
    document = desktop.loadComponentFromURL(Path(job["open"]).as_uri(), "_blank", 0, (setting("Hidden", False),))
    for title, row, column, typed in job["entries"]:
        cell = document.Sheets.getByName(title).getCellByPosition(column - 1, row - 1)
        cell.FormulaLocal = typed
    for place in map(Path, job["save"]):
        document.storeToURL(place.as_uri(), (setting("FilterName", FILTERS[place.suffix]),))
    document.close(True)


def main(pipe, jobs):
    context = connected(pipe)
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    for job in json.loads(Path(jobs).read_text(encoding="utf-8")):
        done(desktop, job)
    desktop.terminate()


main(*sys.argv[1:])
# The bridge can crash while the interpreter takes it apart after the office program has gone; all is saved by now.
sys.stdout.flush()
sys.stderr.flush()
os._exit(0)
