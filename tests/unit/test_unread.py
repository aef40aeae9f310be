"""Nothing that is filled in is left unread in silence: each is named once, at its cell."""

from __future__ import annotations

from collections.abc import Callable

from builders import Cells, checked, small_season, text_cell
from few import together

from wood_xl.notes.problem import Level
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.schema.layout import HEADER_ROW, HELP_HEADER
from wood_xl.schema.model import season_definition

Edit = Callable[[dict[str, Cells]], None]
VALUE, UNIT, HELP = 2, 3, 4
CODES = (
    *("row-above-header", "row-summary", "item-in-other-column", "item-number-beside"),
    *("item-label-gone", "item-stray-value", "cell-shown-otherwise", "cell-above-header"),
)


def number(value: float) -> RawCell:
    return RawCell(Kind.NUMBER, float(value))


def found(edit: Edit) -> list[tuple[str, str]]:
    return [(one.code, one.where) for one in checked(small_season(), edit=edit).problems if one.code in CODES]


def item_row(item: str) -> int:
    ids = [column.id for column in season_definition().sheet("season").columns]
    return HEADER_ROW + 1 + ids.index(item)


def with_help(cells: dict[str, Cells]) -> None:
    cells["season"][HEADER_ROW, HELP] = text_cell(HELP_HEADER)


def put(*entries: tuple[str, int, int, RawCell | None]) -> Edit:
    def edit(cells: dict[str, Cells]) -> None:
        with_help(cells)
        for sheet, row, column, cell in entries:
            if cell is None:
                del cells[sheet][row, column]
            else:
                cells[sheet][row, column] = cell

    return edit


STICK, VOLUME = item_row("stick_length"), item_row("yearly_volume")
LAST = item_row(season_definition().sheet("season").columns[-1].id)


@together(
    ("edit", "code", "cell"),
    [
        (put(("cuts", 2, 1, text_cell("A")), ("cuts", 2, 2, number(21))), "row-above-header", "Cuts!A2"),
        (put(("cuts", 2, 2, number(21))), "cell-above-header", "Cuts!B2"),
        (put(("season", HEADER_ROW - 1, HELP, number(21))), "cell-above-header", f"Season!D{HEADER_ROW - 1}"),
        (put(("season", STICK, VALUE, None), ("season", STICK, HELP, number(40))),
         "item-in-other-column", f"Season!D{STICK}"),
        (put(("season", STICK, VALUE, None), ("season", STICK, HELP, text_cell("40"))),
         "item-in-other-column", f"Season!D{STICK}"),
        (put(("season", STICK, VALUE, None), ("season", STICK, UNIT, number(40))),
         "item-in-other-column", f"Season!C{STICK}"),
        (put(("season", STICK, HELP, number(33))), "item-number-beside", f"Season!D{STICK}"),
        (put(("season", STICK, 1, None)), "item-label-gone", f"Season!B{STICK}"),
        (put(("season", LAST + 2, VALUE, number(7))), "item-stray-value", f"Season!B{LAST + 2}"),
        (put(("cuts", 4, 2, RawCell(Kind.NUMBER, 12.4, rounded="12"))), "cell-shown-otherwise", "Cuts!B4"),
        (put(("cuts", 4, 2, RawCell(Kind.NUMBER, 12.4, percent=True))), "cell-shown-otherwise", "Cuts!B4"),
        (put(("season", STICK, VALUE, RawCell(Kind.NUMBER, 40.5, rounded="41"))), "cell-shown-otherwise",
         f"Season!B{STICK}"),
        (put(("cuts", 8, 1, text_cell("Average")), ("cuts", 8, 2, number(25))), "row-summary", "Cuts!A8"),
        (put(("sessions", 8, 1, text_cell("Total:")), ("sessions", 8, 5, number(195))), "row-summary", "Sessions!A8"),
    ],
)  # fmt: skip
def test_each_unread_cell_is_reported_once(edit: Edit, code: str, cell: str) -> None:
    assert found(edit) == [(code, cell)]


def test_a_template_as_it_is_has_nothing_unread() -> None:
    assert found(with_help) == []


def test_a_number_rounded_by_a_hair_is_not_reported() -> None:
    assert found(put(("cuts", 4, 2, RawCell(Kind.NUMBER, 12.3333, rounded="12.3")))) == []


def test_a_title_and_its_help_above_the_header_are_no_row() -> None:
    assert found(put(("cuts", 1, 1, text_cell("Cuts")), ("cuts", 2, 1, text_cell("One row for each cut.")))) == []


def test_an_item_waits_for_a_value_that_may_be_its_own() -> None:
    gone = checked(small_season(), edit=put(("season", STICK, 1, None)))
    assert gone.unread["season", "stick_length"] == f"Season!B{STICK}"
    above = checked(small_season(), edit=put(("cuts", 2, 1, text_cell("A")), ("cuts", 2, 2, number(21))))
    assert above.unread["cuts", "diameter"] == "Cuts!A2"


def test_a_row_of_sums_counts_nowhere() -> None:
    edit = put(("cuts", 8, 1, text_cell("Average")), ("cuts", 8, 2, number(25)))
    assert checked(small_season(), edit=edit).document.data == checked(small_season()).document.data


def test_headers_that_were_sorted_far_down_are_found_and_told_once() -> None:
    """Whoever copied new headers over the third row, as was asked before, lost the session that stood there."""

    def sort_down(sheets: dict[str, Cells]) -> None:
        cells = sheets["cuts"]
        for row, column in [place for place in cells if place[0] == HEADER_ROW]:
            cells[HEADER_ROW + 40, column] = cells[row, column]
            del cells[row, column]

    season = checked(small_season(), edit=sort_down)
    (told,) = [one for one in season.problems if one.level <= Level.FIX]
    assert (told.code, told.where, told.count) == ("row-above-header", "Cuts!A4", 3)
    assert str(HEADER_ROW + 40) in told.text
    assert ("cuts", "diameter") in season.unread
