"""The two paper forms for outdoors, a page for each session: one for bucking, one for splitting and stacking.

All cells hold text, so that a number typed into a form by mistake is noticed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.data.cautions import cautions
from wood_xl.io import looks, measure
from wood_xl.io.entry_rules import Kit
from wood_xl.io.looks import Look
from wood_xl.io.page import (
    GREY_TAB,
    PAGE_POINTS,
    POINTS_PER_INCH,
    caution_text,
    join,
    set_up_page,
    set_widths,
    text_cell,
)
from wood_xl.page_texts import OnPaper
from wood_xl.schema.layout import PAPER_TITLES
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words

COLUMNS, COLUMN_WIDTH = 24, 3.9
TITLE_POINTS, LABEL_POINTS, SECTION_POINTS = 33.0, 18.5, 23.0
BOX_POINTS, CLOCK_POINTS, TALLY_POINTS, HEIGHT_POINTS, LENGTH_POINTS, GAP_POINTS = 28.0, 36.0, 34.5, 46.0, 23.5, 3.0
TOP_INCHES, FOOT_INCHES = 0.4, 0.45
MOST_REMARKS = 2  # lines for what was unusual
FILLED_INDENT = 2.0  # digits between the edges of a box and its text
TALLY_BLOCKS, OWN_SIZES, STACKS, READINGS = 3, {"us": 0, "metric": 2}, 3, 4
AT_SAWS, AT_SPLITTING = ("saw_gear", "hand_saw_gear"), ("axe_gear", "splitter_gear")
Boxes = tuple[str | OnPaper, Sequence[int]]  # a label, and the spans of the boxes below it
NAMES: tuple[tuple[Boxes, ...], ...] = (
    (("sessions.session", (4,)), ("sessions.date", (6,)), ("sessions.person", (7,)), ("sessions.lot", (7,))),
    (("sessions.method", (17,)), ("sessions.air_temperature", (7,))),
)
CLOCK: tuple[Boxes, ...] = (("sessions.start", (6,)), ("sessions.stop", (6,)), ("sessions.delay_time", (3, 3, 3, 3)))
OF_BUCKING: tuple[Boxes, ...] = (
    ("sessions.fuel_used", (3, 3)),
    ("sessions.bar_oil_used", (6,)),
    ("sessions.service_time", (7,)),
    ("sessions.mean_heart_rate", (5,)),
)
OF_SPLITTING: tuple[Boxes, ...] = (
    ("sessions.fuel_used", (4,)),
    (OnPaper.METER_BEFORE, (5,)),
    (OnPaper.METER_AFTER, (4,)),
    ("sessions.stacking_time", (6,)),
    ("sessions.mean_heart_rate", (5,)),
)
HELPERS: tuple[Boxes, ...] = tuple([("helpers.person", (7,)), ("helpers.time", (5,))] * 2)


@dataclass(frozen=True)
class Planned:
    """What a form says of its session beforehand."""

    filled: Mapping[str | OnPaper, Sequence[str]]  # texts in the boxes of each label, from left to right
    corner: str  # text beside the title
    safety: Sequence[str]  # cautions of its method in full; if none, those of all methods of the form
    task: str = ""  # title of the form, if the task is known


NOTHING_PLANNED = Planned({}, words(OnPaper.ONE_PAGE), ())


class _Form:
    """Writes a form from the top down; ``row`` is the row begun last."""

    def __init__(self, page: Any, kit: Kit, planned: Planned, title: OnPaper, of_task: Sequence[Boxes]) -> None:
        self.page, self.kit, self.row = page, kit, 0
        self.safety = planned.safety
        self.texts = {name: iter(texts) for name, texts in planned.filled.items()}  # one for each further box
        set_widths(page, [COLUMN_WIDTH] * COLUMNS)
        self.begin(TITLE_POINTS)
        self.text(1, 13, planned.task or words(title), looks.PAPER_TITLE)
        self.text(14, COLUMNS - 13, planned.corner, looks.LABEL_RIGHT)
        for boxes in NAMES:
            self.boxes(boxes, BOX_POINTS)
        self.boxes(CLOCK, CLOCK_POINTS)
        self.boxes(of_task, BOX_POINTS)
        self.boxes(HELPERS, BOX_POINTS)

    def label(self, name: str | OnPaper) -> str:
        if isinstance(name, OnPaper):
            return words(name)
        column = season_definition().column(name)
        return column.on_paper(column.unit_in(self.kit.system), self.kit.currency)

    def begin(self, points: float) -> None:
        self.row += 1
        self.page.row_dimensions[self.row].height = points

    def text(self, first: int, span: int, text: str, look: Look) -> None:
        text_cell(self.page, self.row, first, text, look)
        join(self.page, self.row, first, span)

    def box(self, first: int, span: int, look: Look = looks.HAND) -> None:
        for number in range(first, first + span):
            looks.dress(self.page.cell(self.row, number), look)
        join(self.page, self.row, first, span)

    def boxes(self, boxes: Sequence[Boxes], points: float) -> None:
        self.begin(LABEL_POINTS)
        first = 1
        for name, spans in boxes:
            text = self.label(name)
            text = phrase(OnPaper.EACH, title=text) if len(spans) >= READINGS else text
            self.text(first, sum(spans), text, looks.LABEL)
            first += sum(spans)
        self.begin(points)
        first = 1
        for name, spans in boxes:
            for span in spans:
                self.box(first, span, looks.HAND_FIRST)
                if text := next(self.texts.get(name, iter(())), ""):
                    text_cell(self.page, self.row, first, text, _fitted_look(text, span), indent=1)
                first += span

    def line(self, text: str, look: Look, points: float) -> None:
        self.begin(points)
        self.text(1, COLUMNS, text, look)

    def end(self, gear: Sequence[str], unusual: str) -> None:
        self.line(unusual, looks.LABEL, LABEL_POINTS)
        by_id = {caution.id: caution for caution in cautions()}
        width, size = COLUMNS * COLUMN_WIDTH, looks.SAFETY.size
        heights = {
            text: measure.row_height(measure.line_count(text, width, size, bold=True), size)
            for text in self.safety or [caution_text(by_id[name]) for name in gear]
        }
        used = sum(row.height for row in self.page.row_dimensions.values()) + GAP_POINTS + sum(heights.values())
        room = PAGE_POINTS[self.kit.paper][1] - POINTS_PER_INCH * (TOP_INCHES + FOOT_INCHES) - used
        for _ in range(max(1, min(MOST_REMARKS, int(room / BOX_POINTS)))):
            self.begin(BOX_POINTS)
            self.box(1, COLUMNS)
        self.begin(GAP_POINTS)
        for text, height in heights.items():
            self.line(text, looks.SAFETY, height)
        self.page.sheet_properties.tabColor = GREY_TAB
        self.page.print_options.horizontalCentered = True
        set_up_page(self.page, self.kit.paper, [COLUMN_WIDTH] * COLUMNS, down_to=self.row, one_page=True)
        self.page.page_margins.top, self.page.page_margins.bottom = TOP_INCHES, FOOT_INCHES


def write_bucking_form(page: Any, kit: Kit, planned: Planned = NOTHING_PLANNED) -> None:
    """Draw the form with a box for each size class of the sheet Tally."""
    form = _Form(page, kit, planned, OnPaper.BUCKING, OF_BUCKING)
    system, classes = kit.system, season_definition().sheet("tally").classes
    headers = classes.in_template(system) if classes else []
    sizes = [header.partition(" ")[0] for header in headers]
    form.line(words(OnPaper.TALLY_IN if system == "us" else OnPaper.TALLY_CM), looks.PAPER_SECTION, SECTION_POINTS)
    labels = [*sizes, *[""] * OWN_SIZES[system], words(OnPaper.MORE), words(OnPaper.SUM)]
    in_block, before = -(-len(labels) // TALLY_BLOCKS), form.row
    width = COLUMNS // TALLY_BLOCKS
    for index, label in enumerate(labels):
        block, step = divmod(index, in_block)
        form.row = before + step
        form.begin(TALLY_POINTS)
        form.box(1 + block * width, 2, looks.SIZE)
        look = looks.SIZE if label in sizes else looks.SIZE_WORD
        text_cell(page, form.row, 1 + block * width, label, look)
        form.box(3 + block * width, width - 2)
    form.row = before + in_block
    form.end(AT_SAWS, phrase(OnPaper.UNUSUAL_CUTS, largest=headers[-1]))


def write_splitting_form(page: Any, kit: Kit, planned: Planned = NOTHING_PLANNED) -> None:
    """Draw the form with room for the faces of three stacks."""
    form = _Form(page, kit, planned, OnPaper.SPLITTING, OF_SPLITTING)
    unit = season_definition().column("stacks.height").unit_in(kit.system)
    form.line(phrase(OnPaper.STACK_FACES, unit=unit, n=READINGS), looks.PAPER_SECTION, SECTION_POINTS)
    half = COLUMNS // 2
    for number in range(1, STACKS + 1):
        form.begin(LENGTH_POINTS)
        text_cell(page, form.row, 1, str(number), looks.SIZE_NUMBER)
        form.text(2, 4, words(OnPaper.TOP), looks.LABEL_RIGHT)
        form.box(6, half - 5)
        form.text(half + 2, 6, _title("stacks.rows"), looks.LABEL)
        form.box(half + 8, 5)
        form.begin(HEIGHT_POINTS)
        for reading in range(READINGS):
            form.box(1 + reading * half // READINGS, half // READINGS, looks.READING)
        text_cell(page, form.row, 1, _title("stacks.height"), looks.READING)
        forms = ", ".join(season_definition().column("stacks.form").choices)
        form.text(half + 2, half - 1, phrase(OnPaper.RING, forms=forms), looks.LABEL_WRAPPED)
        form.begin(LENGTH_POINTS)
        form.text(1, 5, words(OnPaper.BOTTOM), looks.LABEL_RIGHT)
        form.box(6, half - 5)
        form.text(half + 2, 6, words(OnPaper.DEPTH), looks.LABEL)
        form.box(half + 8, 5)
        form.begin(GAP_POINTS)
    form.end(AT_SPLITTING, words(OnPaper.UNUSUAL))


def _fitted_look(text: str, span: int) -> Look:
    """The look of a text in a box, in letters small enough for one line."""
    look = looks.FILLED_IN
    room = measure.room(span * COLUMN_WIDTH) - FILLED_INDENT
    size = int(look.size * room / measure.text_width(text, look.size, bold=True))
    return looks.varied(look, size=float(min(look.size, size)))


def _title(ref: str) -> str:
    return season_definition().column(ref).title


WRITERS = dict(zip(PAPER_TITLES, (write_bucking_form, write_splitting_form), strict=True))
