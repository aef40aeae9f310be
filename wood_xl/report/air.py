"""The sheet Air and warmth: what the work and the stove emit, what heat the wood gives, and whether it is dry."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wood_xl.data.load import spoken_tree, value
from wood_xl.ids import Way
from wood_xl.page_texts import OnAir
from wood_xl.report import styles
from wood_xl.report.figure_text import figure_text, ranged
from wood_xl.report.layout import Cells, Page
from wood_xl.report.money import parts_chart, parts_table
from wood_xl.report.view import View
from wood_xl.report.woodshed import woodshed_section
from wood_xl.schema.words import phrase, words
from wood_xl.warmth.other_heating import ELECTRIC
from wood_xl.wood.moisture import dry_from_wet_frac

KEY_GAP = 3.0  # below the key of a chart
WIDTHS = (120, 99, 84, 99, 88, 104, 109)
COLUMNS = ("direct_co2", "engine_gases", "upstream", "electricity", "tools")
PARTS = (
    (OnAir.FUEL_BURNED, styles.PART_FILLS[0], ("direct_co2", "engine_gases"), 2),
    (OnAir.MAKING_FUEL, styles.PART_FILLS[1], ("upstream",), 2),
    (OnAir.ELECTRICITY, styles.PART_FILLS[3], ("electricity",), 1),
    (OnAir.MAKING_TOOLS, styles.PART_FILLS[2], ("tools",), 2),
)
SMALL_SHARE = 0.05  # of the stove's own gases; tools that emit less hardly matter


def air_page(view: View) -> Page:
    """The page."""
    page = Page(WIDTHS, view.facts)
    page.title(OnAir.TITLE, OnAir.SUBTITLE)
    _parts(page, view)
    for title, sentences in ((OnAir.HOW_LARGE, _how_large(view)), (OnAir.GIVES, _warmth(view))):
        if text := " ".join(sentences):
            page.section(title)
            page.text(text)
    _need(page, view)
    _dryness(page, view)
    woodshed_section(page, view)
    return page


def _parts(page: Page, view: View) -> None:
    rows = view.method_rows("emissions_per_cord")
    if any(row["co2e"]["value"] for row in rows):
        title = view.say(OnAir.CHART)
        parts_chart(page, view, title, (OnAir.CHART_ALT, OnAir.ALT_PART), rows, "co2e", PARTS)
        page.gap(KEY_GAP)
    heads = [OnAir.HEAD, OnAir.BURNED_HEAD, OnAir.GASES_HEAD, OnAir.FUEL_HEAD]
    heads += [OnAir.ELECTRICITY_HEAD, OnAir.TOOLS_HEAD, OnAir.ALL_HEAD]
    parts_table(page, view, heads, rows, COLUMNS, "co2e")
    exhausts = tuple(
        phrase(
            OnAir.EXHAUST_OF,
            method=row["method"],
            **{key: ranged(view.per_unit(row[key])) for key in ("co", "pm")},
        )
        for row in view.document["air_pollutants"]
        if row["co"]["value"] is not None and row["pm"]["value"] is not None
    )
    if exhausts:
        page.text(view.say(OnAir.EXHAUST, parts=exhausts), styles.NOTE)


def _how_large(view: View) -> Iterator[str]:
    combination = view.combination(view.suggested_job)
    burning = view.row("wood_burning")
    work = None if combination is None else view.per_unit(combination["co2e"])
    stove = None if burning is None else view.per_unit(burning["co2e"])
    units = {"wood": view.wood, "mass": view.mass}
    if work is not None and work["value"]:
        yield phrase(OnAir.WORK, work=ranged(work), **units)
    if work is not None and work["value"] and (stove is None or stove["value"] is None):
        yield words(OnAir.NO_STOVE)
    if stove is not None and stove["value"] is not None:
        yield phrase(OnAir.STOVE, stove=ranged(stove), **units)
        if work is not None and work["value"] is not None and work["value"] < SMALL_SHARE * stove["value"]:
            yield words(OnAir.HARDLY)


def _warmth(view: View) -> Iterator[str]:
    row = view.row("heat_use")
    if row is None or row["delivered_heat"]["value"] is None:
        return
    heat = view.per_unit(row["delivered_heat"])
    yield view.say(OnAir.HEAT, heat=ranged(heat), unit=heat["unit"], basis=heat["basis"])
    if row["instead_of"] and row["fuel_co2"]["value"] is not None:
        co2 = view.per_unit(row["fuel_co2"])
        gas = "CO2e" if row["instead_of"] in ELECTRIC else "CO2"
        facts = {"fuel": row["instead_of"], "co2": ranged(co2), "mass": view.mass, "basis": co2["basis"]}
        yield phrase(OnAir.INSTEAD, gas=gas, **facts)


def _need(page: Page, view: View) -> None:
    """The wood that a winter needs, by each way of estimating it; nothing where only the wood wanted is known."""
    rows = {way: view.row("figures", id=f"heat_need.cords {way.key}") for way in Way}
    cords = {way: ranged(view.wood_amount(row)) for way, row in rows.items() if row is not None and row["value"]}
    if cords.keys() - {Way.WANTED}:
        page.section(OnAir.NEEDS)
        page.text(" ".join(view.say(OnAir.NEED_WAY, way=way, cords=n) for way, n in cords.items()))
        if len(cords) > 1:
            page.text(_which_need(view, list(cords)), styles.NOTE)


def _which_need(view: View, ways: Sequence[Way]) -> str:
    """Which of several ways the plan takes, and which the woodshed."""
    has_shed = bool(view.document["stock"])
    if Way.WANTED in ways:
        plan = words(OnAir.NEED_WANTED)
    else:
        plan = words(OnAir.NEED_LESS if has_shed else OnAir.NEED_FIRST)
    way = next(one for one in ways if one is not Way.WANTED)
    return phrase(OnAir.NEED_OF_SHED, plan=plan, way=way) if has_shed else plan


def _dryness(page: Page, view: View) -> None:
    drying = {row["species"]: row for row in view.document["drying"]}
    rows = [row for row in view.document["heat"] if row["species"] in drying]
    if not rows:
        return
    page.section(OnAir.DRY)
    unit = rows[0]["net_heat"]["unit"]
    heads = ["", OnAir.SHARE_HEAD, OnAir.WATER_HEAD, OnAir.WEIGHT_HEAD]
    heads += [view.say(OnAir.HEAT_HEAD, unit=unit), OnAir.READY_HEAD, OnAir.SEASONING_HEAD]
    table: list[Cells] = []
    for row in rows:
        dry = drying[row["species"]]
        share, water, drying_time = map(figure_text, (row["share"], row["moisture_wet"], dry["seasoning"]))
        mass, heat = view.unit_text(row["mass"]), view.unit_text(row["net_heat"])
        table.append([spoken_tree(row["species"]), share, water, mass, heat, dry["ready"], drying_time])
    page.table(heads, table)
    percent = value("seasoning.target")
    dry_percent = 100 * dry_from_wet_frac(moisture_wet_frac=percent / 100)
    page.text(phrase(OnAir.DRY_NOTE, percent=percent, dry=dry_percent), styles.NOTE)
