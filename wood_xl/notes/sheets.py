"""Finds the sheets of a filled workbook by their names, and renamed ones by what stands in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from wood_xl.notes.header import FoundSheet, columns_and_faults, header_row_of, item_titles, known_titles, texts_in
from wood_xl.notes.names import nearest, plain
from wood_xl.notes.problem import Place, Problem, problem
from wood_xl.notes.raw import Kind, RawBook, RawSheet
from wood_xl.notes.typed import split_header
from wood_xl.pages import InMessage
from wood_xl.reasons import Word
from wood_xl.schema import layout
from wood_xl.schema.model import Definition, Sheet
from wood_xl.schema.words import phrase, words

PAPER = {plain(title) for title in (*layout.PAPER_TITLES, *layout.FORMER_PAPER_TITLES)}
START, SEASON = layout.START_ID, "season"
Renamed = tuple[RawSheet, Word]  # a sheet that is most likely a known one, and how that was told
LEAST_TITLES = 2  # one header that is known proves nothing: many lists of one's own have a column of persons


def sheets_and_faults(book: RawBook, definition: Definition) -> tuple[list[FoundSheet], list[Problem]]:
    """Known sheets of a workbook, in the order of the definition, and what is wrong with sheets and headers.

    A sheet that most likely is a known one under another name is not read, and stands among the found ones with none
    of its columns. A compulsory sheet that is missing or has no header row is a STOP among the problems.
    """
    by_name: dict[str, RawSheet] = {}
    for raw in book.sheets:
        by_name.setdefault(plain(raw.title), raw)
    known = [(sheet.id, by_name.get(plain(title))) for sheet in definition.sheets for title in reversed(sheet.titles)]
    named = {sheet_id: raw for sheet_id, raw in known if raw is not None}  # by its own title before a former one
    strangers = _strangers(by_name, definition)
    missing = [
        sheet
        for sheet in definition.sheets
        if sheet.id not in named and not sheet.is_newer_than(book.template_version) and sheet.id != START
    ]
    renamed = _renamed(strangers, missing)
    taken = {plain(raw.title) for raw, _ in renamed.values()}
    left = (raw for name, raw in strangers.items() if name not in taken)
    problems = [*_of_no_use(left, definition.sheets)]
    pages: list[FoundSheet] = []
    version = book.template_version
    if START in named and not _has_items(named[START], definition.sheet(START), version):
        del named[START]  # up to version 1 it had texts alone
    titles = {sheet_id: item_titles(named[sheet_id]) for sheet_id in (START, SEASON) if sheet_id in named}
    needed = {plain(column.title) for column in definition.sheet(SEASON).columns if column.required}
    has_needed = needed <= titles.get(START, frozenset())
    for sheet in definition.sheets:
        is_compulsory = sheet.id in compulsory_sheets(definition) and not (sheet.id == SEASON and has_needed)
        page, guests = _page(sheet, definition, titles)
        if sheet.id in named:
            raw = named[sheet.id]
            one, its_problems = columns_and_faults(
                page, raw, is_compulsory=is_compulsory, version=version, guests=guests
            )
            problems += its_problems
            if one is not None:
                pages.append(one)
        elif is_compulsory:
            problems.append(_missing(sheet, renamed.get(sheet.id)))  # a STOP, so that nothing waits for its columns
        elif sheet.id in renamed:
            raw, likeness = renamed[sheet.id]
            facts = {"found": raw.title, "likeness": words(likeness), "expected": sheet.title}
            problems.append(problem("header-near-sheet", Place(raw.title, about=sheet.id), **facts))
            waiting = (
                c for c in page.columns if c.sheet == sheet.id or plain(c.title) not in titles.get(c.sheet, ())
            )
            pages.append(FoundSheet.not_read(replace(page, columns=tuple(waiting)), raw, problems[-1]))
    return pages, problems


def _has_items(raw: RawSheet, sheet: Sheet, version: str | None) -> bool:
    """Whether a sheet called Start is the one that is filled in."""
    return header_row_of(sheet, raw) is not None or (version is not None and not sheet.is_newer_than(version))


def _page(sheet: Sheet, definition: Definition, titles: Mapping[str, frozenset[str]]) -> tuple[Sheet, frozenset[str]]:
    own = tuple(definition.column(column.moved_to) if column.moved_to else column for column in sheet.columns)
    if sheet.id == START:
        own = (*definition.items_on(START), *definition.items_on(SEASON))
    there = titles.get({START: SEASON, SEASON: START}.get(sheet.id, ""), frozenset())
    guests = {
        column.ref
        for column in own
        if column.sheet not in (sheet.id, SEASON)
        or not there.isdisjoint(map(plain, (column.title, *column.formerly)))
    }
    return replace(sheet, columns=own), frozenset(guests)


def compulsory_sheets(definition: Definition) -> list[str]:
    """Ids of the sheets without which nothing can be computed."""
    return [sheet.id for sheet in definition.sheets if sheet.id in definition.schema["required"]]


def _strangers(by_name: dict[str, RawSheet], definition: Definition) -> dict[str, RawSheet]:
    titles = {plain(title) for sheet in definition.sheets for title in sheet.titles}
    titles |= {
        plain(title)
        for title in (layout.CAUTIONS_TITLE, layout.CHOICES_TITLE, layout.TRIAL_PLAN_TITLE, layout.MARKS_TITLE)
    }
    return {name: raw for name, raw in by_name.items() if name not in titles and raw.cells}


def _renamed(strangers: dict[str, RawSheet], missing: list[Sheet]) -> dict[str, Renamed]:
    """For each missing sheet the stranger that is most likely it: by its columns, else by its name."""
    renamed: dict[str, Renamed] = {}
    others: list[RawSheet] = []
    for name, raw in strangers.items():
        sheet = _sheet_of_columns(raw, missing) if name not in PAPER else None
        if sheet is None or sheet.id in renamed:
            others.append(raw)
        else:
            renamed[sheet.id] = raw, InMessage.ITS_COLUMNS
    for raw in (raw for raw in others if plain(raw.title) not in PAPER):
        titles = {sheet.title: sheet.id for sheet in missing if sheet.id not in renamed}
        near = nearest(raw.title, titles)
        if near is not None:
            renamed[titles[near]] = raw, InMessage.ITS_NAME
    return renamed


def _sheet_of_columns(raw: RawSheet, sheets: Iterable[Sheet]) -> Sheet | None:
    """The sheet whose columns or items a filled stranger has: all that are compulsory, and few others."""
    titles_n = {sheet.id: known_n for sheet in sheets if (known_n := _known_n(raw, sheet)) >= LEAST_TITLES}
    best = max(titles_n, key=lambda sheet_id: titles_n[sheet_id], default=None)
    return next((sheet for sheet in sheets if sheet.id == best), None)


def _known_n(raw: RawSheet, sheet: Sheet) -> int:
    """How many of a sheet's titles a stranger has; 0 if it cannot be that sheet."""
    header_row = header_row_of(sheet, raw)
    if header_row is None or not any(row > header_row for row, _ in raw.cells):
        return 0
    if sheet.kind == "items":
        texts = [str(cell.value) for cell in raw.cells.values() if cell.kind is Kind.TEXT]
    else:
        texts = list(texts_in(raw, header_row).values())
    titles = known_titles(sheet)
    ids = {titles[title] for word in texts if (title := plain(split_header(word)[0])) in titles}
    has_all = all(column.id in ids for column in sheet.columns if column.required)
    return len(ids) if has_all and (sheet.kind == "items" or 2 * len(ids) >= len(texts)) else 0


def _of_no_use(strangers: Iterable[RawSheet], sheets: Iterable[Sheet]) -> Iterator[Problem]:
    for raw in strangers:
        place = Place(sheet=raw.title)
        if plain(raw.title) in PAPER:
            filled = [cell for cell in raw.cells.values() if cell.kind is not Kind.TEXT]
            if filled:
                yield problem("header-tally-filled", place, found=str(len(filled)))
        elif sheet := _sheet_of_columns(raw, sheets):
            yield problem(
                "header-second-sheet", Place(raw.title, about=sheet.id), found=raw.title, expected=sheet.title
            )
        else:
            yield problem("header-unknown-sheet", place, found=raw.title)


def _missing(sheet: Sheet, renamed: Renamed | None) -> Problem:
    if renamed is None:
        return problem("header-missing-sheet", Place(sheet.title, about=sheet.id), sheet=sheet.title, near="")
    raw, likeness = renamed
    near = phrase(InMessage.MAY_BE_IT, found=raw.title, likeness=likeness, sheet=sheet.title)
    return problem("header-missing-sheet", Place(raw.title, about=sheet.id), sheet=sheet.title, near=near)
