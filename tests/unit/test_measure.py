"""Widths and heights of text err on the wide side, so that nothing is cut off."""

from __future__ import annotations

import pytest

from wood_xl.io import measure
from wood_xl.io.blocks import Block, Cell, Head, column_widths, columns_within, number_format


def test_a_digit_is_the_unit_of_width() -> None:
    assert measure.text_width("0123456789") == pytest.approx(10.0)
    assert measure.text_width("5", 20.0) == pytest.approx(2.0)
    assert measure.text_width("5", bold=True) == pytest.approx(1.08)


def test_letters_have_the_widths_of_the_font() -> None:
    # thousandths of the size: W 944, i 222, M 833, t 278, a digit 556
    assert measure.text_width("Wi") == pytest.approx((944 + 222) / 556)
    assert measure.text_width("Mt") == pytest.approx((833 + 278) / 556)


def test_letters_of_other_scripts_count_as_wide() -> None:
    assert measure.text_width("木") == 2.0
    assert measure.text_width("Ж") > measure.text_width("W") * 0.9
    assert measure.text_width("e\u0301") == measure.text_width("e")  # a combining accent has no width


def test_longest_word() -> None:
    assert measure.longest_word("a stack of elm") == measure.text_width("stack")
    assert measure.longest_word("") == 0.0


def test_lines_of_a_short_text_a_wrapped_one_and_a_broken_word() -> None:
    # a column of width 12 holds: (12 - 0.8) x 0.93 = 10.4 digits
    assert measure.line_count("0000 00000", 12.0) == 1
    assert measure.line_count("00000 00000 00000", 12.0) == 3
    assert measure.line_count("0" * 31, 12.0) == 3
    assert measure.line_count("0" * 32, 12.0) == 4


def test_line_ends_start_new_lines() -> None:
    assert measure.line_count("one\ntwo\n\nfour", 60.0) == 4


def test_more_room_never_takes_more_lines() -> None:
    text = "Elm butt, stringy and wet; the maul stuck in every other stroke."
    counts = [measure.line_count(text, width) for width in range(4, 80)]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 1


def test_row_height_grows_by_line_and_stops_at_the_highest_row() -> None:
    assert measure.row_height(1) == 15.0  # 10 points x 1.25 + 2.5
    assert measure.row_height(2) == 27.5
    assert measure.row_height(500) == measure.HIGHEST_ROW


def block(*rows: list[Cell], heads: tuple[Head, ...]) -> Block:
    return Block("Title", "", heads, list(rows))


def test_a_column_holds_its_widest_number_and_its_header_word() -> None:
    numbers = [[Cell(1234567.891, 2)], [Cell(1.0, 2)]]
    (width,) = column_widths([block(*numbers, heads=(Head("Cash", is_number=True),))])
    assert width > len("1,234,567.89") + measure.INDENT
    (width,) = column_widths([block([Cell(1)], heads=(Head("Extraordinarily"),))])
    assert measure.room(width) >= measure.longest_word("Extraordinarily", bold=True)


def test_a_text_column_is_no_wider_than_its_cap_or_its_longest_word() -> None:
    text = "a text of many short words that goes on and on and on for a while"
    (width,) = column_widths([block([Cell(text)], heads=(Head("Note", 30.0),))])
    assert width == 30.0
    (width,) = column_widths([block([Cell("x" * 64)], heads=(Head("Hash", 30.0),))])
    assert measure.line_count("x" * 64, width) == 1


def test_all_tables_of_a_sheet_share_widths() -> None:
    narrow = block([Cell(1)], heads=(Head("A", is_number=True),))
    wide = block([Cell("a much longer text"), Cell(2)], heads=(Head("B"), Head("C")))
    assert column_widths([narrow, wide])[0] == column_widths([wide])[0]
    assert len(column_widths([narrow, wide])) == 2


def test_columns_within_a_width() -> None:
    assert columns_within([10.0, 10.0, 10.0], 25.0) == 2
    assert columns_within([100.0], 25.0) == 1
    assert columns_within([10.0], 25.0) == 1


def test_number_formats() -> None:
    assert [number_format(decimals) for decimals in (None, 0, 3)] == ["General", "#,##0", "#,##0.000"]
