"""Checks of the kinds of wood, of the stove and of the heating that the wood stands in for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wood_xl.data.load import species
from wood_xl.data.trees import near_species, species_named
from wood_xl.notes.names import list_text
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes
from wood_xl.pages import HowToMend, InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.model import Definition
from wood_xl.schema.words import phrase
from wood_xl.warmth.other_heating import unit_fits
from wood_xl.wood.moisture import wet_from_dry_frac

SHARES_SLACK = 1.0  # per cent: thirds may be written as 33
HIGH_WET_PCT = 60.0  # of the total mass; fresh wood seldom holds as much
UNIT_ITEMS = (("season", "displaced_fuel_price"), ("next_season", "last_winter_fuel"))


def wood_problems(notes: Notes, definition: Definition) -> list[Problem]:
    """Everything about wood and heat that does not go together."""
    return [
        *_trees(notes),
        *moisture_problems(notes, definition, "wood"),
        *_shares(notes),
        *_other_heating(notes, definition),
    ]


def _trees(notes: Notes) -> Iterator[Problem]:
    for index in range(len(notes.document.rows("wood"))):
        name = notes.value("wood", index, "species")
        if name is None or species_named(str(name)) is not None:
            continue
        facts = {"found": quoted(str(name)), "near": near_trees(str(name))}
        has_density = notes.value("wood", index, "basic_density") is not None
        code = "table-tree-by-density" if has_density else "table-unknown-tree"
        yield problem(code, notes.document.place("wood", index, "species"), **facts)


def near_trees(name: str) -> str:
    """Trees that a name on no list may mean, as a message tells them."""
    near = [quoted(tree) for tree in near_species(name)]
    return phrase(InMessage.NEAREST, trees=list_text(near)) if near else ""


def moisture_problems(notes: Notes, definition: Definition, sheet_id: str) -> Iterator[Problem]:
    """Moistures of a sheet that cannot be on their basis, or that say none."""
    most_dry_pct = definition.column(f"{sheet_id}.moisture").maximum or math.inf
    most_wet_pct = 100 * wet_from_dry_frac(moisture_dry_frac=most_dry_pct / 100)
    green_pct = max(
        100 * wet_from_dry_frac(moisture_dry_frac=(tree.green_moisture_dry_pct or 0.0) / 100) for tree in species()
    )
    for index in range(len(notes.document.rows(sheet_id))):
        moisture = notes.value(sheet_id, index, "moisture")
        basis = notes.value(sheet_id, index, "moisture_basis")
        if moisture is None or basis == "dry" or notes.waits(sheet_id, index, "moisture_basis"):
            continue
        place, share = notes.document.place(sheet_id, index, "moisture"), f"{number_text(moisture)} %"
        if basis is None and moisture > HIGH_WET_PCT:
            yield problem("row-moisture-needs-basis", place, found=share, expected=f"{HIGH_WET_PCT:.0f} %")
        elif basis is None:
            wet = f"{100 * wet_from_dry_frac(moisture_dry_frac=moisture / 100):.0f} %"
            yield problem("row-moisture-without-basis", place, found=share, expected=wet)
        elif moisture > most_wet_pct:
            yield problem("row-moisture-impossible", place, found=share, expected=f"{most_wet_pct:.0f} %")
        elif moisture > HIGH_WET_PCT:
            yield problem("row-moisture-maybe-dry", place, found=share, expected=f"{green_pct:.0f} %")


def _shares(notes: Notes) -> Iterator[Problem]:
    rows = range(len(notes.document.rows("wood")))
    if any(notes.waits("wood", index, "share") for index in rows):
        return
    shares = {index: notes.value("wood", index, "share") for index in rows}
    missing = [index for index, share in shares.items() if share is None]
    if missing and len(shares) > 1:
        for index in missing:
            yield problem("row-share-missing", notes.document.place("wood", index, "share"), count=str(len(shares)))
        return
    given = [float(share) for share in shares.values() if share is not None]
    if given and abs(math.fsum(given) - 100) > SHARES_SLACK:
        place = notes.document.place("wood", rows[-1], "share")
        total = f"{number_text(math.fsum(given))} %"
        yield problem("table-shares-not-100", place, found=total, rows=str(len(given)), advice=_share_advice(given))


def _share_advice(given: list[float]) -> str:
    if abs(math.fsum(given) - 1) > SHARES_SLACK / 100:
        return phrase(HowToMend.MEND_SHARES)
    meant = (number_text(float(f"{100 * share:.12g}")) for share in given)
    return phrase(HowToMend.PER_CENT, numbers=list_text(meant))


def _other_heating(notes: Notes, definition: Definition) -> Iterator[Problem]:
    document = notes.document
    heating = document.items("season").get("displaced_fuel", "none")
    for sheet_id, item in UNIT_ITEMS:
        if item not in document.items(sheet_id) or notes.waits(sheet_id, None, item):
            continue
        if notes.waits("season", None, "displaced_fuel"):
            continue
        place = document.place(sheet_id, None, item)
        if heating == "none":
            if sheet_id == "next_season":
                yield problem("item-fuel-not-named", place)
            continue
        units = {unit: unit.removeprefix("per ") for unit in definition.column(f"{sheet_id}.{item}").units}
        unit = document.unit(sheet_id, item)
        if not unit_fits(heating, units[unit]):  # type: ignore[arg-type]
            expected = tuple(label for label, plain in units.items() if unit_fits(heating, plain))  # type: ignore[arg-type]
            units_text = phrase(Listing.OR, parts=expected)
            yield problem("item-fuel-unit", place, found=quoted(unit), fuel=heating, expected=units_text)
    efficiency = document.items("season").get("displaced_efficiency")
    is_sound = ("season", None, "displaced_efficiency") not in notes.broken
    if efficiency is not None and is_sound and efficiency > 100 and heating not in ("none", "heat pump"):
        place = document.place("season", None, "displaced_efficiency")
        yield problem("item-efficiency-over-100", place, found=f"{number_text(efficiency)} %", fuel=heating)
