"""Sheets, headers and units are found by their words, wherever they stand."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest
from builders import Cells, Data, at, checked, item_row, raw_book, season_cells, small_season, text_cell
from few import together

from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Level, Problem, column_letters, in_report_order
from wood_xl.notes.raw import Kind, RawBook, RawCell, RawSheet
from wood_xl.notes.season import check_season
from wood_xl.notes.sheets import sheets_and_faults
from wood_xl.notes.typed import split_header, unit_of
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.schema.layout import FORMER_PAPER_TITLES, HEADER_ROW, PAPER_TITLES
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.season import season_tables


def number_cell(value: float) -> RawCell:
    return RawCell(Kind.NUMBER, float(value))


def codes(book: RawBook) -> list[str]:
    return [found.code for found in check_season(book).problems]


@together(
    ("ref", "typed", "unit", "currency"),
    [
        ("cuts.diameter", "IN", "in", ""),
        ("cuts.diameter", " cm ", "cm", ""),
        ("cuts.diameter", "furlong", None, ""),
        ("cuts.diameter", None, None, ""),
        ("sessions.mean_heart_rate", None, "beats/min", ""),
        ("season.gasoline_price", "NOK per L", "per L", "NOK"),
        ("season.gasoline_price", "per gal", "per gal", ""),
        ("season.gasoline_price", "NOK", None, ""),
        ("tools.price", "usd", "money", "USD"),
        ("tools.price", None, "money", ""),
        ("tools.vibration", "m/s\u00b2", "m/s2", ""),
        ("sessions.air_temperature", "\u00b0C", "degC", ""),
        ("sessions.note", "anything", "", ""),
    ],
)
def test_unit_of_header(ref: str, typed: str | None, unit: str | None, currency: str) -> None:
    assert unit_of(season_definition().column(ref), typed) == (unit, currency)


def test_every_header_of_the_definition_is_read_back() -> None:
    for sheet in season_definition().sheets:
        for column in sheet.columns:
            for unit in column.units or ("",):
                title, typed = split_header(column.header(unit, "CHF"))
                assert title == column.title
                assert unit_of(column, typed)[0] == unit


def test_sheets_and_columns_may_move() -> None:
    book = raw_book(small_season())
    moved = []
    for sheet in reversed(book.sheets):
        cells = {(row + 4, 30 - column): cell for (row, column), cell in sheet.cells.items()}
        moved.append(RawSheet(f" {sheet.title.upper()} ", Cells(cells)))
    there = check_season(book)
    again = check_season(RawBook(tuple(moved), sha256="", template_version=season_definition().version))
    assert again.document.data == there.document.data
    assert [found.code for found in again.problems] == [found.code for found in there.problems]


def test_missing_compulsory_sheet_stops_and_names_a_near_one() -> None:
    book = raw_book(small_season())
    sheets = tuple(RawSheet("Sesions", sheet.cells) if sheet.title == "Sessions" else sheet for sheet in book.sheets)
    problems = sheets_and_faults(RawBook(sheets, sha256=""), season_definition())[1]
    assert told(problems) == [("header-missing-sheet", "Sesions")]
    assert words(InMessage.ITS_COLUMNS) in problems[0].text


@together(
    ("sheet_id", "title", "header", "code"),
    [
        ("cuts", "Diameter", "Diameter", "header-missing-unit"),
        ("cuts", "Diameter", "Diameter [hands]", "header-unknown-unit"),
        ("cuts", "Diameter", "Diametre [cm]", "header-near-column"),
        ("cuts", "Diameter", "Girth [cm]", "header-renamed"),
        ("cuts", "Diameter", "Girth [ell]", "header-missing-column"),
        ("cuts", "Cuts alike", "Diameter [cm]", "header-double-column"),
    ],
)
def test_header_faults_are_found(sheet_id: str, title: str, header: str, code: str) -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for (row, column), cell in list(cells[sheet_id].items()):
            if row == HEADER_ROW and split_header(str(cell.value))[0] == title:
                cells[sheet_id][row, column] = text_cell(header)

    found = [problem.code for problem in checked(small_season(), edit=edit).problems]
    assert code in found
    assert "row-missing-value" not in found  # one fault in a header is not told again for every row


def test_units_written_out_are_understood_and_a_wrong_one_is_mended_where_it_stands() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for sheet_id, old, new in (
            ("cuts", "Diameter [cm]", "Diameter [inches]"),
            ("season", "stacked m3", "armfuls"),
        ):
            key = next(key for key, cell in cells[sheet_id].items() if cell.value == old)
            cells[sheet_id][key] = text_cell(new)

    found = checked(small_season(), edit=edit)
    assert found.document.unit("cuts", "diameter") == "in"
    wrong = [problem for problem in found.problems if problem.code == "header-unknown-unit"]
    assert [problem.place.sheet for problem in wrong] == ["Season"]
    assert wrong[0].mend == phrase(HowToMend.UNIT_OF_ITEM)


def test_a_currency_sign_in_a_header_is_answered_with_permitted_units() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        (key,) = (key for key, cell in cells["tools"].items() if str(cell.value).startswith("Price ["))
        cells["tools"][key] = text_cell("Price [$]")

    (wrong,) = [one for one in checked(small_season(), edit=edit).problems if one.code == "header-unknown-unit"]
    assert words(InMessage.CURRENCY) in wrong.text
    assert '"Price"' in wrong.mend


def test_unknown_columns_and_stray_entries_are_reported() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        cells["cuts"][HEADER_ROW, 20] = text_cell("Mood")
        cells["cuts"][HEADER_ROW + 1, 20] = text_cell("good")
        cells["cuts"][HEADER_ROW + 1, 22] = text_cell("stray")

    found = [problem.code for problem in checked(small_season(), edit=edit).problems]
    assert "header-unknown-column" in found
    assert "header-no-title" in found


@together(("old", "new"), [("Value", "Value [number]"), ("Item", "Item:"), ("Unit", "Unit:")])
def test_words_over_items_may_have_more_behind_them(old: str, new: str) -> None:
    found = checked(small_season(), edit=renamed("season", old, new))
    assert found.document.data == checked(small_season()).document.data


def test_a_word_over_items_that_stands_twice_does_not_stand_in_for_the_other() -> None:
    found = checked(small_season(), edit=renamed("next_season", "Value", "Item"))
    assert ("header-missing-row-optional", "Next season") in told(found.problems)


def renamed(sheet_id: str, old: str, new: str) -> Callable[[dict[str, Cells]], None]:
    """Another text over a column, or for an item; an empty one clears the cell."""

    def edit(cells: dict[str, Cells]) -> None:
        key = next(key for key, cell in cells[sheet_id].items() if cell.value == old)
        if new:
            cells[sheet_id][key] = text_cell(new)
        else:
            del cells[sheet_id][key]

    return edit


def brought(data: Data, *, edit: Callable[[dict[str, Cells]], None]) -> list[Problem]:
    """What is told after an edit and not before it."""
    before = {found.line() for found in checked(data).problems}
    return [found for found in checked(data, edit=edit).problems if found.line() not in before]


def told(problems: Iterable[Problem]) -> list[tuple[str, str]]:
    """Code and cell of each."""
    return [(found.code, found.where) for found in problems]


@together(
    ("edit", "code", "where", "facts"),
    [
        (renamed("cuts", "Cuts alike", "Number"), "header-renamed", "Cuts!D3", ('"Number"', '"Cuts alike"')),
        (renamed("cuts", "Cuts alike", ""), "header-renamed", "Cuts!D3", ('"Cuts alike"',)),
        (
            renamed("season", "Price of gasoline", "Gas price"),
            "header-renamed",
            f"Season!A{item_row('season.gasoline_price')}",
            ('"Gas price"', '"Price of gasoline"'),
        ),
        (renamed("sessions", "Pile", "Heap"), "header-renamed", at("sessions.lot", 3), ('"Heap"', '"Pile"')),
        (renamed("sessions", "Date", "When"), "header-perhaps", "Sessions!B3", ('"When"', '"Date"')),
        (
            renamed("stacks", "Length [m]", "Lenght [m]"),
            "header-near-column",
            "Stacks!C3",
            ('"Lenght [m]"', '"Length"', '"Length [m]"'),
        ),
        (
            renamed("cuts", "Diameter [cm]", "Diametre"),
            "header-near-column",
            "Cuts!B3",
            ('"Diametre"', '"Diameter"', '"Diameter [unit]"'),
        ),
    ],
)
def test_a_filled_column_that_got_another_name_is_not_passed_over(
    edit: Callable[[dict[str, Cells]], None], code: str, where: str, facts: tuple[str, ...]
) -> None:
    found = brought(small_season(), edit=edit)
    assert told(found) == [(code, where)]
    assert [fact for fact in facts if fact not in found[0].line()] == []


def test_fuel_that_could_not_be_read_is_not_called_unrecorded() -> None:
    season = checked(small_season(), edit=renamed("sessions", "Fuel used [L]", "Gas [L]"))
    assert season.unread == {("sessions", "fuel_used"): at("sessions.fuel_used", 3)}
    assert [code for code, *_ in season_tables(season_records(season)[0]).remarks if "fuel" in code] == []


def test_no_default_is_reported_for_an_item_that_could_not_be_read() -> None:
    mix, horizon = map(item_row, ("season.two_stroke_mix", "season.horizon_years"))

    def edit(cells: dict[str, Cells]) -> None:
        renamed("season", "Two-stroke mix", "Mix")(cells)
        cells["season"][mix, 2] = number_cell(40)
        cells["season"][horizon, 2] = text_cell("ten")

    season = checked(small_season(), edit=edit)
    assert [one.where for one in season.problems if one.level is Level.FIX] == [
        f"Season!A{mix}",
        f"Season!B{horizon}",
    ]
    texts = " ".join(one.text for one in season_records(season)[1])
    assert "Real interest rate" in texts
    assert [title for title in ("Horizon", "Two-stroke mix") if title in texts] == []


def test_a_trace_of_nobody_is_reported_only_if_all_workers_could_be_read() -> None:
    data = small_season()
    data["heart_trace"] = [
        {"session": "B", "person": "Bo", "elapsed": s, "heart_rate": 100} for s in range(0, 600, 5)
    ]
    assert "table-trace-of-nobody" not in {one.code for one in checked(data).problems}
    data["helpers"].clear()
    assert "table-trace-of-nobody" in {one.code for one in checked(data).problems}
    not_read = checked(data, edit=renamed("sessions", "Person", "Who"))
    assert "table-trace-of-nobody" not in {one.code for one in not_read.problems}


def test_every_filled_column_or_item_under_another_name_is_reported() -> None:
    """Nor does anything that hangs on it become a fault of its own."""
    data = small_season()
    for sheet in season_definition().sheets:
        filled = data.get(sheet.id, {}) if sheet.kind == "items" else set().union(*data.get(sheet.id, []))
        for column in sheet.columns:
            if column.id not in filled:
                continue
            unit = data["units"].get(sheet.id, {}).get(column.id, column.metric)
            header = column.title if sheet.kind == "items" else column.header(unit, data["season"]["currency"])
            (found,) = brought(data, edit=renamed(sheet.id, header, header.replace(column.title, "Quux")))
            assert f'"{column.title}"' in found.line()
            assert found.code in ("header-renamed", "header-perhaps")


def test_what_a_renamed_column_feeds_waits_for_it() -> None:
    season = checked(small_season(), edit=renamed("cuts", "Cuts alike", "Number"))
    assert season.unread == {("cuts", "cuts"): "Cuts!D3"}
    states = [words(row["state"]) for row in season_cells(season_records(season)[0])["sessions"]]
    assert states == ["needs Cuts!D3"] * 3  # the stack by its pile


def test_a_column_that_fits_no_missing_one_is_not_called_renamed() -> None:
    """Words do not fit a column of numbers, nothing is missing, or nothing stands in it."""

    def in_place_of_numbers(cells: dict[str, Cells]) -> None:
        renamed("sessions", "Pauses and breakdowns [min]", "Mood")(cells)
        cells["sessions"][HEADER_ROW + 1, 8] = text_cell("good")

    def beside_all(cells: dict[str, Cells]) -> None:
        cells["cuts"][HEADER_ROW, 9] = text_cell("Number")
        cells["cuts"][HEADER_ROW + 1, 9] = number_cell(3)

    def item(cells: dict[str, Cells]) -> None:
        renamed("season", "Price of gasoline", "Filling station")(cells)
        cells["season"][HEADER_ROW + 10, 2] = text_cell("the one by the bridge")

    def empty(cells: dict[str, Cells]) -> None:
        renamed("sessions", "Note", "Notes")(cells)

    for edit, *expected in (
        (in_place_of_numbers, "header-unknown-column"),
        (beside_all, "header-unknown-column"),
        (item, "item-unknown", "item-no-price"),
        (empty, "header-unknown-column"),
    ):
        before = codes(raw_book(small_season()))
        after = [found.code for found in checked(small_season(), edit=edit).problems]
        assert [found for found in after if found not in before] == expected


def test_a_sheet_of_ones_own_making_may_have_columns_between() -> None:
    """What might be several of those that are not found is asked, and nothing is kept back."""

    def edit(cells: dict[str, Cells]) -> None:
        kept = {key: cell for key, cell in cells["sessions"].items() if key[1] not in (12, 13)}
        cells["sessions"].clear()
        cells["sessions"].update({(row, n if n < 12 else n - 1): cell for (row, n), cell in kept.items()})
        cells["sessions"][HEADER_ROW, 12] = text_cell("Can [mL]")
        cells["sessions"][HEADER_ROW + 1, 12] = number_cell(300)

    season = checked(small_season(), edit=edit)
    (found,) = [one for one in season.problems if one.code.startswith("header-")]
    assert (found.code, found.where) == ("header-perhaps", "Sessions!L3")
    assert '"Fuel used", "Bar oil used"' in found.text
    assert season.unread == {}


def as_sheet(old: str, *titles: str) -> RawBook:
    """The small season with copies of a sheet under other names instead of it."""
    sheets: list[RawSheet] = []
    for sheet in raw_book(small_season()).sheets:
        sheets += [replace(sheet, title=title) for title in titles] if sheet.title == old else [sheet]
    return RawBook(tuple(sheets), sha256="", template_version=season_definition().version)


def test_a_sheet_of_another_name_is_known_by_its_columns() -> None:
    season = check_season(as_sheet("Cuts", "Sawn in March"))
    always = {
        "table-person-without-data",
        "table-bar-oil-not-recorded",
        "row-blank-beside-others",
    }  # of the small season as it is
    found = [one for one in season.problems if one.level <= Level.LOOK and one.code not in always]
    assert told(found) == [("header-near-sheet", "Sawn in March")]
    assert capital(words(InMessage.ITS_COLUMNS)) in found[0].text
    assert '"Cuts"' in found[0].mend
    states = [words(row["state"]) for row in season_cells(season_records(season)[0])["sessions"]]
    assert states == ["needs Sawn in March"] * 3


@together("title", ["Season", "People", "Tools", "Upkeep", "Methods", "Sessions", "Cuts", "Stacks"])
def test_a_sheet_of_another_name_is_one_line(title: str) -> None:
    (one,) = [found for found in check_season(as_sheet(title, "Quux")).problems if found.level <= Level.FIX]
    assert one.where == "Quux"
    assert f'"{title}"' in one.text


def test_items_of_another_sheet_name_are_known_too() -> None:
    book = as_sheet("Season", "What it costs")
    found = check_season(book).problems
    assert told(found) == [("header-missing-sheet", "What it costs")]
    assert '"Season"' in found[0].mend


def test_references_to_an_unread_sheet_are_not_reported() -> None:
    """The one line about the sheet stands first, and what hangs on its rows waits for it."""
    season = check_season(as_sheet("Tools", "My tools"))
    order = [places.title for places in season.document.places.values()]
    found = [one for one in in_report_order(season.problems, order) if one.level <= Level.FIX]
    assert told(found) == [("header-near-sheet", "My tools")]
    assert '"Tools"' in found[0].mend
    computed = season_cells(season_records(season)[0])
    assert {words(row["cash"].reason) for row in computed["money_per_cord"]} == {"needs My tools"}
    assert all(row["worker_hours"].value is not None for row in computed["rates_per_cord"])


@pytest.mark.parametrize(
    ("title", "table", "figure"),
    [("Upkeep", "money_per_cord", "cash"), ("People", "rates_per_cord", "kcal_net")],
)
def test_figures_wait_for_an_unread_sheet(title: str, table: str, figure: str) -> None:
    rows = season_cells(season_records(check_season(as_sheet(title, "Mine")))[0])[table]
    assert "needs Mine" in {words(row[figure].reason) for row in rows}


def test_heat_waits_for_kinds_of_wood_that_were_not_read() -> None:
    data = small_season()
    data["wood"] = [{"species": "ash, white", "share": 100}]
    data["units"]["wood"] = {"share": "%"}
    sheets = tuple(replace(s, title="Trees") if s.title == "Wood" else s for s in raw_book(data).sheets)
    season = check_season(RawBook(sheets, sha256="", template_version=season_definition().version))
    tables = season_cells(season_records(season)[0])
    assert words(tables["energy_return"][0]["delivered_heat"].reason) == "needs Trees"


def test_a_second_sheet_of_one_kind_is_told() -> None:
    found = check_season(as_sheet("Cuts", "Cuts", "Cuts (2)")).problems
    assert ("header-second-sheet", "Cuts (2)") in told(found)
    both = [found.code for found in check_season(as_sheet("Cuts", "Cuts 1", "Cuts 2")).problems]
    assert [code for code in both if code.startswith("header-")] == ["header-second-sheet", "header-near-sheet"]


def doubled(same: float, *, header: str = "Diameter [cm]") -> Callable[[dict[str, Cells]], None]:
    """A second column of diameters far to the right, with an entry in its first row."""

    def edit(cells: dict[str, Cells]) -> None:
        cells["cuts"][HEADER_ROW, 12] = text_cell(header)
        cells["cuts"][HEADER_ROW + 1, 12] = number_cell(same)

    return edit


def test_columns_of_one_title_are_read_only_if_they_are_equal() -> None:
    """What stands in the first is checked, unless there is doubt which of them counts."""
    (found,) = brought(small_season(), edit=doubled(20))
    assert (found.code, found.where) == ("header-double-same", "Cuts!L3")
    assert "Columns B, L" in found.text
    for edit in (doubled(21), doubled(20, header="Diameter [in]")):
        (found,) = brought(small_season(), edit=edit)
        assert (found.code, found.where) == ("header-double-column", "Cuts!L3")
        assert "B, L" in found.text
        assert checked(small_season(), edit=edit).unread == {("cuts", "diameter"): "Cuts!L3"}


def test_of_two_columns_of_one_title_the_filled_one_is_read() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for row in range(HEADER_ROW + 1, HEADER_ROW + 4):
            cells["cuts"][row, 12] = cells["cuts"].pop((row, 2))
        cells["cuts"][HEADER_ROW, 12] = text_cell("Diameter [cm]")

    season = checked(small_season(), edit=edit)
    assert [row["diameter"] for row in season.document.rows("cuts")] == [20, 25.5, 30]
    assert brought(small_season(), edit=edit) == []


def test_items_of_one_title_are_read_only_if_they_are_equal() -> None:
    def again(value: str) -> Callable[[dict[str, Cells]], None]:
        def edit(cells: dict[str, Cells]) -> None:
            cells["season"][50, 1], cells["season"][50, 2] = text_cell("Currency"), text_cell(value)

        return edit

    for value, code in (("NOK", "header-double-same"), ("SEK", "item-double")):
        (found,) = brought(small_season(), edit=again(value))
        assert (found.code, found.where) == (code, "Season!B50")
        assert "ows 5, 50" in found.text


def test_an_entry_without_a_header_is_reported_at_its_cell() -> None:
    beyond = len(season_definition().sheet("sessions").columns) + 1
    letters = column_letters(beyond)

    def edit(cells: dict[str, Cells]) -> None:
        cells["sessions"][HEADER_ROW + 2, beyond] = text_cell("went well")
        cells["cuts"][HEADER_ROW + 1, 9] = number_cell(2.5)
        cells["cuts"][HEADER_ROW + 3, 9] = number_cell(7)
        cells["season"][HEADER_ROW + 5, 7] = text_cell("tax too")

    found = brought(small_season(), edit=edit)
    assert told(found) == [("header-no-title", place) for place in (f"Sessions!{letters}5", "Cuts!I4", "Season!G8")]
    facts = (('"went well"', f"{letters}3"), ("2.5 and 1 more below it", "I3"), ('"tax too"', "G3"))
    for one, (typed, header) in zip(found, facts, strict=True):
        assert typed in one.text
        assert header in one.mend


def test_other_currency_in_a_header_is_told() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for key, cell in list(cells["tools"].items()):
            if cell.value == "Price [NOK]":
                cells["tools"][key] = text_cell("Price [SEK]")

    assert "header-other-currency" in [problem.code for problem in checked(small_season(), edit=edit).problems]


def test_older_and_newer_templates() -> None:
    book = raw_book(small_season())
    told = {"0.9": ["header-older-template"], "9.0": ["header-newer-template"], "10.0": ["header-newer-template"]}
    for version in ("0.9", *season_definition().schema["properties"]["version"]["enum"], "9.0", "10.0"):
        season = check_season(RawBook(book.sheets, "", template_version=version))
        found = [one.code for one in season.problems if one.code.endswith("-template")]
        assert found == told.get(version, [])
        assert season.can_be_computed is (found != ["header-newer-template"])


@together("title", [*PAPER_TITLES, *FORMER_PAPER_TITLES])
def test_a_paper_form_is_reported_only_if_it_was_typed_into(title: str) -> None:
    """What is printed on it is text; of what is typed, numbers and times tell."""
    printed = {(1, 1): text_cell(title), (5, 2): text_cell("Who")}
    typed = {(5, 3): number_cell(12), (6, 3): RawCell(Kind.DURATION, 540.0)}
    book = raw_book(small_season())
    for cells, expected in ((printed, []), (printed | typed, [("header-tally-filled", title)])):
        found = check_season(replace(book, sheets=(*book.sheets, RawSheet(title, Cells(cells))))).problems
        assert [one for one in told(found) if one[1] == title] == expected
    assert "are in 2 of its cells" in next(one.text for one in found if one.where == title)
