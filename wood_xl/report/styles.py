"""How the reading sheets look: colors by role, chosen to stay apart in gray print, and letters by role."""

from __future__ import annotations

from wood_xl.io.looks import Look, varied

HAND, POWER, OPEN = "82AF90", "6E2A10", "D5D0C8"  # tools by hand, with engine or motor, and what is not settled
INK, SOFT, HEADING = "22201D", "5E5A54", "4A3524"
RULE, HEAD_FILL, LEAST, CAUTION = "B8B0A4", "EFEBE3", "E4ECE2", "8C1C13"
OUT_FILL = "F4F0EA"  # of a session that does not count
PART_FILLS = ("4A3524", "A9835D", "CDB28C", "EFE3CC")  # owning, upkeep, fuel and oil, electricity: dark to light
PERSON_FILLS = (HAND, HEADING, "EFE3CC", "CDB28C")
GRID = "DDD8D0"
LINK = "1F3F77"

THIN, MEDIUM = "thin", "medium"


def edges(*parts: tuple[str, str, str]) -> str:
    """A border by its sides (of ``tblr``), weight and color."""
    return ", ".join(" ".join(part) for part in parts)


TITLE = Look("page title", size=17.0, bold=True, ink=HEADING)
TITLES = (TITLE, varied(TITLE, size=15.0), varied(TITLE, size=13.0))  # of which the largest that fits on a line
SUBTITLE = Look("page subtitle", ink=SOFT)
INVENTED = Look("invented", size=9.0, bold=True, ink=CAUTION)
SECTION = Look(
    "page section", size=12.0, bold=True, ink=HEADING, vertical="bottom", border=edges(("b", THIN, HEADING))
)
PART_TITLE = Look("part title", size=10.0, bold=True, ink=HEADING, vertical="bottom")
TEXT = Look("page text", ink=INK)
STRONG = Look("strong text", bold=True, ink=CAUTION)
NOTE = Look("page note", size=9.0, ink=SOFT)
REMARK = Look("page remark", size=9.0, ink=INK)
ONE_CAUTION = Look("page caution", size=9.0, ink=INK)
HEAD = Look(
    "page head",
    size=9.0,
    bold=True,
    ink=HEADING,
    fill=HEAD_FILL,
    vertical="bottom",
    border=edges(("t", THIN, HEADING), ("b", THIN, HEADING)),
)
BAND = Look("page band", size=9.0, bold=True, ink=HEADING, fill=HEAD_FILL, vertical="center")
CELL = Look("page cell", size=9.0, ink=INK, vertical="center", border=edges(("b", THIN, RULE)))
NAME = Look("page name", size=9.0, bold=True, ink=INK, vertical="center", border=edges(("b", THIN, RULE)))
APART = varied(CELL, indent=1)  # clear of a long text in the cell before
WARNED = Look("page warned", size=9.0, bold=True, ink=CAUTION, vertical="center", border=edges(("b", THIN, RULE)))
LINKED = Look("page link", size=9.0, ink=LINK, vertical="center", border=edges(("b", THIN, RULE)))
LABEL = Look("statement label", bold=True, ink=HEADING)
KEY = Look("key", size=9.0, ink=INK, horizontal="center", vertical="center")
BOX_LABEL = Look("box label", bold=True, ink=HEADING, vertical="center", indent=1)
BOX_TEXT = Look("box text", ink=INK, vertical="center", indent=1)
SMALLER_BOX_TEXT = varied(BOX_TEXT, size=9.0)
CAUTION_LABEL = Look("caution label", size=9.0, bold=True, ink=CAUTION, vertical="center", indent=1)
CAUTION_TEXT = Look("caution text", size=9.0, ink=INK, vertical="center", indent=1)
