"""Kinds of wood, stacks, other heating, and the sheet Woodshed: checks and records."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from operator import itemgetter

from wood_xl.data.load import Drying, near_species, species, species_named, value
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Problem, amount_text, number_text, quoted
from wood_xl.notes.relations import Notes, NotesRow, as_noted, mark_advice
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.reasons import Listing
from wood_xl.records import Broken, Burned, Reading, ShedStack, WoodKind
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase
from wood_xl.shed.dates import can_be, months_after
from wood_xl.units import convert
from wood_xl.warmth.other_heating import unit_fits
from wood_xl.wood.moisture import dry_from_wet_frac, seasoning_months, wet_from_dry_frac

UNIT_ITEMS = (("season", "displaced_fuel_price"), ("next_season", "last_winter_fuel"))


def wood_problems(notes: Notes) -> list[Problem]:
    """Everything about wood and heat that does not fit together."""
    of_kinds = (*_trees(notes), *moisture_problems(notes, "wood"), *_shares(notes))
    return [*of_kinds, *_stacks_twice(notes), *_other_heating(notes)]


def _stacks_twice(notes: Notes) -> Iterator[Problem]:
    """Stacks of a session that are alike in all that is written: most likely one, pasted twice."""
    met: dict[str, NotesRow] = {}
    for row in notes.rows("stacks"):
        first = met.setdefault(str(sorted(row.typed.items())), row)
        if first is not row and row["height"] is not None and row["length"] is not None:
            facts = {"found": row.quoted("session"), "row": str(first.place("session").row)}
            yield row.problem("table-stack-twice", "session", **facts)


def _trees(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("wood"):
        if row["species"] is not None and species_named(row.text("species")) is None:
            code = "table-unknown-tree" if row["basic_density"] is None else "table-tree-by-density"
            yield row.problem(code, "species", found=row.quoted("species"), near=near_trees(row.text("species")))


def near_trees(name: str) -> str:
    """Words for the trees that an unknown name may mean."""
    near = [quoted(tree) for tree in near_species(name)]
    return phrase(InMessage.NEAREST, trees=", ".join(near)) if near else ""


def moisture_problems(notes: Notes, sheet_id: str) -> Iterator[Problem]:
    """Moistures of a sheet that are impossible on their basis, or without one."""
    most_dry_pct = season_definition().column(f"{sheet_id}.moisture").maximum or math.inf
    most_wet_pct, high_wet_pct = _wet_pct(most_dry_pct), value("gross.wet_moisture")
    green_pct = max(_wet_pct(tree.green_moisture_dry_pct or 0.0) for tree in species())
    for row in notes.rows(sheet_id):
        moisture, basis = row["moisture"], row["moisture_basis"]
        if moisture is None or basis == "dry" or row.waits("moisture_basis"):
            continue
        if basis is None and moisture > high_wet_pct:
            code, expected_pct = "row-moisture-needs-basis", high_wet_pct
        elif basis is None:
            code, expected_pct = "row-moisture-without-basis", _wet_pct(moisture)
        elif moisture > most_wet_pct:
            code, expected_pct = "row-moisture-impossible", most_wet_pct
        elif moisture > high_wet_pct:
            code, expected_pct = "row-moisture-maybe-dry", green_pct
        else:
            continue
        yield row.problem(code, "moisture", found=amount_text(moisture, "%"), expected=f"{expected_pct:.0f}%")


def _wet_pct(dry_pct: float) -> float:
    return 100 * wet_from_dry_frac(moisture_dry_frac=dry_pct / 100)


def _shares(notes: Notes) -> Iterator[Problem]:
    rows = notes.rows("wood")
    if any(row.waits("share") for row in rows):
        return
    missing = [row for row in rows if row["share"] is None]
    if missing and len(rows) > 1:
        for row in missing:
            yield row.problem("row-share-missing", "share", count=str(len(rows)))
        return
    given = [float(row["share"]) for row in rows if row["share"] is not None]
    if given and abs(math.fsum(given) - 100) > value("gross.shares_off"):
        total, advice = amount_text(math.fsum(given), "%"), _share_advice(given)
        yield rows[-1].problem("table-shares-not-100", "share", found=total, rows=str(len(given)), advice=advice)


def _share_advice(given: list[float]) -> str:
    if abs(math.fsum(given) - 1) > value("gross.shares_off") / 100:
        return phrase(HowToMend.MEND_SHARES)
    meant = (number_text(100 * share, 12) for share in given)
    return phrase(HowToMend.PER_CENT, numbers=", ".join(meant))


def _other_heating(notes: Notes) -> Iterator[Problem]:
    heating = notes.document.items("season").get("displaced_fuel", "none")
    for sheet_id, item in () if notes.waits("season", None, "displaced_fuel") else UNIT_ITEMS:
        if notes.item(sheet_id, item) is None or notes.waits(sheet_id, None, item):
            continue
        if heating == "none":
            if sheet_id == "next_season":
                yield notes.problem("item-fuel-not-named", sheet_id, item)
            continue
        unit, units = notes.document.unit(sheet_id, item), season_definition().column(f"{sheet_id}.{item}").units
        fitting = tuple(one for one in units if unit_fits(heating, one.removeprefix("per ")))  # type: ignore[arg-type]
        if unit not in fitting:
            facts = {"found": quoted(unit), "fuel": heating, "expected": phrase(Listing.OR, parts=fitting)}
            yield notes.problem("item-fuel-unit", sheet_id, item, **facts)
    percent = notes.item("season", "displaced_efficiency")
    if percent is not None and percent > 100 and heating not in ("none", "heat pump"):
        facts = {"found": amount_text(percent, "%"), "fuel": heating}
        yield notes.problem("item-efficiency-over-100", "season", "displaced_efficiency", **facts)


SLOWEST: Drying = "slow"
OF_THE_STACK = ("stacked_on", "kind", "volume")
PAIRS = (("moisture", "reading_date"), ("reading_date", "moisture"), ("burned", "burned_up_on"))
ROUNDING = 1e-6  # of a volume: parts of it that were typed in another unit


def woodshed_problems(notes: Notes) -> Iterator[Problem]:
    """Everything on the sheet Woodshed that does not fit together."""
    yield from moisture_problems(notes, "woodshed")
    dates = _dates_of_stacking(notes)
    column = season_definition().column("woodshed.stack")
    for name, rows in notes.by_name("woodshed").items():  # the first row of each is the stack itself
        if mark_advice(name, column):
            continue  # a name has been asked for
        yield from _lacks(rows[0], dates.get(name))
        yield from _kinds(rows[0])
        day = rows[0]["stacked_on"] or max(dates.get(name, ()), default="")
        stacked_on = day if day and can_be(day) else ""
        for row in rows:
            yield from _of_row(row, rows[0], stacked_on)
        if stacked_on:
            yield from _too_wet(rows, stacked_on)
        yield from _burned(rows)


def _dates_of_stacking(notes: Notes) -> dict[str, list[str]]:
    """Dates of the sessions that made this season's stacks, by the name of the stack."""
    dates: dict[str, list[str]] = {}
    for row in notes.rows("stacks"):
        session = row.referred("session", "sessions")
        if (name := row.name("stack")) is not None:
            day = None if session is None else session["date"]
            dates.setdefault(name, []).extend([day] if day else [])
    return dates


def _lacks(row: NotesRow, dates: list[str] | None) -> Iterator[Problem]:
    missing = [] if dates is not None else ["volume"]
    for column_id in ["stacked_on", *missing] if not dates else missing:
        if row.is_empty(column_id):
            yield row.problem("row-stack-lacks", column_id, found=row.quoted("stack"))


def _kinds(row: NotesRow) -> Iterator[Problem]:
    """An unknown kind of wood, or none where the season has several."""
    written = [str(kind["species"]) for kind in row.notes.document.rows("wood") if "species" in kind]
    if row["kind"] is None:
        is_told = len(written) == 1 or row.notes.waits("wood", None, "species")
        if row.is_empty("kind") and not is_told:
            yield row.problem("row-stack-without-kind", "kind")
    elif species_named(row.text("kind")) is None and plain(row.text("kind")) not in map(plain, written):
        yield row.problem(
            "row-stack-unknown-kind", "kind", found=row.quoted("kind"), near=near_trees(row.text("kind"))
        )


DAYS_OF_A_STACK = ("stacked_on", "reading_date", "burned_up_on")


def _of_row(row: NotesRow, first: NotesRow, stacked_on: str) -> Iterator[Problem]:
    """Halves of a pair, odd days, and what contradicts the first row; ``stacked_on`` is empty if it is not known."""
    for column_id, other in PAIRS:
        if row[column_id] is not None and row.is_empty(other):
            yield row.problem("row-stack-half", other, found=row.place(column_id).where)
    for column_id in DAYS_OF_A_STACK:
        day = row[column_id]
        if day is not None and not can_be(day):
            yield row.problem("row-stack-far-off", column_id, found=day)
        if day is not None and day < stacked_on and column_id != "stacked_on":
            yield row.problem("row-stack-before", column_id, found=day, expected=stacked_on)
    for column_id in OF_THE_STACK:
        typed = row[column_id]
        if typed is not None and typed != first[column_id]:
            found = number_text(typed) if column_id == "volume" else quoted(str(typed))
            yield row.problem("row-stack-again", column_id, found=found, row=str(first.place(column_id).row))


def _too_wet(rows: list[NotesRow], stacked_on: str) -> Iterator[Problem]:
    kind = species_named(str(rows[0]["kind"] or ""))
    seasoned_on = months_after(stacked_on, seasoning_months(SLOWEST if kind is None else kind.drying))
    most_pct = value("seasoning.reading_most")
    for row in rows:
        moisture, day = row.number("moisture", "%"), row["reading_date"]
        if moisture is None or day is None or day < seasoned_on:
            continue
        if row["moisture_basis"] != "dry":
            if moisture >= most_pct:
                continue  # an impossible moisture has its own line
            moisture = 100 * float(dry_from_wet_frac(moisture_wet_frac=moisture / 100))
        if moisture > most_pct:
            facts = {"found": amount_text(round(moisture), "%"), "date": seasoned_on, "expected": f"{most_pct:g}%"}
            yield row.problem("row-stack-too-wet", "moisture", **facts)


def _burned(rows: list[NotesRow]) -> Iterator[Problem]:
    held, unit = rows[0].number("volume", "stacked m3"), rows[0].unit("burned")
    fires = [
        (row["burned_up_on"], row["burned"] is None, row.index, row)
        for row in rows
        if row["burned_up_on"] is not None and not row.waits("burned")
    ]
    burned, empty_since = 0.0, None
    for day, is_all, _, row in sorted(fires, key=itemgetter(0, 1, 2)):
        if empty_since is not None:
            yield row.problem("row-stack-burned-twice", "burned_up_on", found=day, expected=empty_since)
        empty_since = empty_since or (day if is_all else None)
        if is_all or held is None:
            continue
        burned += row.number("burned", "stacked m3") or 0.0
        if burned > held * (1 + ROUNDING):
            found, expected = (number_text(convert(volume, "stacked m3", unit), 3) for volume in (burned, held))
            yield row.problem("row-stack-burned-over", "burned", unit=unit, found=found, expected=expected)
            held = math.inf  # one line for each stack


def wood_kinds(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[WoodKind, ...]:
    """Record of every kind of wood."""
    return tuple(
        WoodKind(
            name=str(row["species"] or f"row {row.index + 1}"),
            moisture_wet_frac=moisture_wet_frac(row),
            **as_noted(WoodKind, row.read),
            broken=broken_of("wood", [row.index]),
        )
        for row in notes.rows("wood")
    )


def moisture_wet_frac(row: NotesRow) -> float | None:
    """Moisture on the wet basis; one without a basis counts as wet, and the checks say so."""
    percent = row.number("moisture", "%")
    if percent is None or row["moisture_basis"] != "dry":
        return None if percent is None else percent / 100
    return wet_from_dry_frac(moisture_dry_frac=percent / 100)


def woodshed(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[ShedStack, ...]:
    """Every stack of the sheet, and a broken one for each cell to mend that hides a stack.

    Such a cell is on a row without a name, or it hides the size or session of a named stack of this season.
    """
    stacks = [
        _stack(rows, broken_of("woodshed", [row.index for row in rows]))
        for rows in notes.by_name("woodshed").values()
    ]
    waiting: dict[str, Broken] = {}
    for row in notes.rows("woodshed"):
        if row.name("stack") is None:
            broken = broken_of("woodshed", [row.index])
            waiting |= dict.fromkeys(broken.values(), broken)
    for row in notes.rows("stacks"):
        if row.name("stack") is not None and (cell := broken_of("stacks", [row.index]).get("quantity")):
            waiting[cell] = {"quantity": cell}
    return (*stacks, *(ShedStack(where, broken=broken) for where, broken in waiting.items()))


def _stack(rows: list[NotesRow], broken: Broken) -> ShedStack:
    readings, burned = [], []
    for row in rows:
        moisture = moisture_wet_frac(row)
        if row["reading_date"] is not None and moisture is not None:
            readings.append(Reading(row.text("reading_date"), moisture))
        if row["burned_up_on"] is not None:
            burned.append(Burned(row.text("burned_up_on"), row.number("burned", "stacked m3")))
    row = rows[0]
    return ShedStack(
        name=row.text("stack"),
        **as_noted(ShedStack, row.read),
        readings=tuple(sorted(readings, key=lambda reading: reading.day)),
        burned=tuple(sorted(burned, key=lambda one: (one.day, one.volume_m3 is None))),
        broken=broken,
    )
