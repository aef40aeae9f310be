"""Types entries into a workbook in a running office program, as a person would, and saves it as .xlsx.

Run by the system's own Python, which alone has the bridge to the office program:

    python3 type_into_office.py PIPE BLANK.xlsx ENTRIES.json SAVED.xlsx
"""

import json
import sys
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

WAIT_S = 60


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


def main(pipe, blank, entries, saved):
    context = connected(pipe)
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    document = desktop.loadComponentFromURL(Path(blank).as_uri(), "_blank", 0, (setting("Hidden", False),))
    for title, row, column, typed in json.loads(Path(entries).read_text(encoding="utf-8")):
        cell = document.Sheets.getByName(title).getCellByPosition(column - 1, row - 1)
        cell.FormulaLocal = typed
    document.storeToURL(Path(saved).as_uri(), (setting("FilterName", "Calc MS Excel 2007 XML"),))
    document.close(True)
    desktop.terminate()


main(*sys.argv[1:])
