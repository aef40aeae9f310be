"""What the season's wood weighs and how warm it keeps: collects the factors, and lets ``calc.heat`` do the rest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.fire_losses import F_PER_C, Fire, fire_losses
from wood_xl.calc.geometry import cords
from wood_xl.calc.heat import (
    Appliance,
    WoodFactors,
    WoodHeat,
    cord_heat,
    delivered_mj,
    density_with_bark_kg_per_m3,
    gross_heat_dry_mj_per_kg,
    net_heat_dry_mj_per_kg,
)
from wood_xl.calc.moisture import (
    WATER_KG_PER_M3,
    dry_from_wet_frac,
    equilibrium_moisture_dry_frac,
    seasoning_months,
    shrinkage_frac,
    specific_gravity_at,
    wet_from_dry_frac,
)
from wood_xl.calc.quantity import solid_fraction_standing
from wood_xl.data.load import Species, value
from wood_xl.data.trees import species_named
from wood_xl.records import Season, WoodKind
from wood_xl.study.methods import NO_SESSION, MethodTotals
from wood_xl.study.quantity import SolidFraction, usual_solid_fraction
from wood_xl.study.sessions import needs

MIX = "All the season's wood"
NO_WOOD = "no kind of wood is written"
NO_STOVE = "no stove is named"

Row = dict[str, Any]
Remark = tuple[str, str, dict[str, str]]


@dataclass(frozen=True)
class SeasonWood:
    """The wood that the season made: that of the task through which most of it went, in m3."""

    stacked_m3: float
    solid_m3: float


@dataclass(frozen=True)
class KindHeat:
    """One kind of wood with the factors of its heat.

    Attributes
    ----------
    tree : Species or None
        None for one that is not on the list.
    share_frac : float
        Of the season's solid volume; all shares sum to 1.
    density_words, moisture_words : str
        How the two were come by.
    is_measured : bool
        Whether its moisture was written.
    """

    name: str
    tree: Species | None
    share_frac: float
    factors: WoodFactors
    density_words: str
    moisture_words: str
    is_measured: bool


@dataclass(frozen=True)
class HeatStudy:
    """Wood, stove and quantity of a season.

    Attributes
    ----------
    kinds : tuple of KindHeat or str
        The kinds of wood, or why there is no heat.
    stove : Appliance or str
        The stove, or why no delivered heat is given.
    stove_words : str
        The stove and its efficiency, for a basis.
    solid : SolidFraction
        Of the season's stacks.
    cords : float or None
        Wood of the season.
    """

    kinds: tuple[KindHeat, ...] | str
    stove: Appliance | str
    stove_words: str
    solid: SolidFraction
    cords: float | None

    def cord(self) -> WoodHeat | str:
        """Mass and heat of a cord of the season's mix, or why there is none."""
        if isinstance(self.kinds, str):
            return self.kinds
        return cord_heat([(kind.share_frac, kind.factors) for kind in self.kinds])

    def delivered(self, heat: WoodHeat | str) -> Figure:
        """Heat that the stove gives to the house [MJ]."""
        if isinstance(heat, str):
            return not_given(heat)
        if isinstance(self.stove, str):
            return not_given(self.stove)
        return Figure(delivered_mj(heat, self.stove), self.stove_words)


def season_wood(totals: Sequence[MethodTotals]) -> SeasonWood | None:
    """Wood of the season; the same wood passes through several tasks, so the fullest one counts."""
    by_task: dict[str, list[MethodTotals]] = {}
    for t in totals:
        by_task.setdefault(t.method.task, []).append(t)
    volumes = [
        SeasonWood(
            math.fsum(t.quantity(lambda q: q.stacked_m3) for t in group),
            math.fsum(t.quantity(lambda q: q.solid_m3) for t in group),
        )
        for group in by_task.values()
    ]
    fullest = max(volumes, key=lambda wood: wood.stacked_m3, default=None)
    return fullest if fullest is not None and fullest.stacked_m3 > 0 else None


def heat_study(season: Season, totals: Sequence[MethodTotals]) -> tuple[HeatStudy, list[Remark]]:
    """Wood, stove and quantity of a season, and the defaults that stepped in."""
    made = season_wood(totals)
    solid = _solid_fraction(season, made)
    kinds = _kinds(season, solid)
    stove, words = _stove(season)
    remarks: list[Remark] = []
    study = HeatStudy(kinds, stove, words, solid, None if made is None else cords(made.stacked_m3))
    heat = study.cord()
    if isinstance(heat, WoodHeat) and isinstance(stove, Appliance) and _is_over_whole(heat, stove, kinds):
        remarks.append(("season-efficiency-over-whole", "appliance_efficiency_basis", {"found": words}))
        study = replace(study, stove="the efficiency is more than the wood's net heat")
    if not isinstance(kinds, str):
        unmeasured = [kind.name for kind in kinds if not kind.is_measured]
        if unmeasured:
            facts = {"title": f"Moisture of {', '.join(unmeasured)}", "source": " of the total mass, dry firewood"}
            remarks.append(("season-default-used", "", {**facts, "value": f"{value('wood.moisture'):g} %"}))
    return study, remarks


def _is_over_whole(heat: WoodHeat, stove: Appliance, kinds: tuple[KindHeat, ...] | str) -> bool:
    """Whether an efficiency on gross heat is more than there is in the driest kind, or in all of them."""
    heats = [heat] if isinstance(kinds, str) else [heat, *(cord_heat([(1.0, kind.factors)]) for kind in kinds)]
    return stove.basis == "gross" and any(stove.efficiency_frac * one.gross_mj > one.net_mj for one in heats)


def _solid_fraction(season: Season, made: SeasonWood | None) -> SolidFraction:
    if made is not None:
        own = made.solid_m3 / made.stacked_m3
        if solid_fraction_standing(own) != "refused":
            return SolidFraction(own, f"solid fraction {own:.3f}, solid over stacked wood of the counted sessions")
    return usual_solid_fraction(season)


def _kinds(season: Season, solid: SolidFraction) -> tuple[KindHeat, ...] | str:
    broken = [kind.broken["heat"] for kind in season.wood if "heat" in kind.broken]
    broken += [season.broken[item] for item in ("stack_form", "solid_fraction") if item in season.broken]
    if broken:
        return needs(broken[0])
    if not season.wood:
        return NO_WOOD
    shares = [1.0 if kind.share_frac is None else kind.share_frac for kind in season.wood]
    whole = math.fsum(shares)
    return tuple(_kind(kind, share / whole, solid) for kind, share in zip(season.wood, shares, strict=True))


def _kind(kind: WoodKind, share_frac: float, solid: SolidFraction) -> KindHeat:
    tree = species_named(kind.name)
    if kind.basic_density_kg_per_m3 is not None:
        density, density_words = kind.basic_density_kg_per_m3, "density as written"
    elif tree is not None:
        density = species_density(tree)
        density_words = "density of the tree with its bark"
        if tree.bark_specific_gravity is None:
            density_words = "density of the tree with usual bark"
    else:
        raise ValueError(f"{kind.name} has no density")  # the checks ask for one
    moisture, moisture_words = kind.moisture_wet_frac, "as written"
    if moisture is None:
        moisture, moisture_words = value("wood.moisture") / 100, "not written: usual dry firewood"
    net = net_heat_dry_mj_per_kg("hardwood" if tree is None else tree.group)
    factors = WoodFactors(
        solid_fraction=solid.value,
        basic_density_kg_per_m3=density,
        moisture_wet_frac=moisture,
        net_heat_mj_per_kg=net,
        gross_heat_mj_per_kg=gross_heat_dry_mj_per_kg(net_heat_mj_per_kg=net),
    )
    measured = kind.moisture_wet_frac is not None
    return KindHeat(kind.name, tree, share_frac, factors, density_words, moisture_words, measured)


def species_density(tree: Species) -> float:
    """Oven-dry mass over green volume of a tree's wood in its bark [kg/m3]; usual bark where its own is not known."""
    bark_pct, bark_gravity = tree.bark_pct, tree.bark_specific_gravity
    if bark_pct is None or bark_gravity is None:
        bark_pct, bark_gravity = value("wood.bark_share"), value("wood.bark_specific_gravity")
    return density_with_bark_kg_per_m3(
        wood_specific_gravity=tree.basic_specific_gravity,
        bark_specific_gravity=bark_gravity,
        bark_frac=bark_pct / 100,
    )


def _stove(season: Season) -> tuple[Appliance | str, str]:
    for item in ("appliance", "appliance_efficiency", "appliance_efficiency_basis"):
        if item in season.broken:
            return needs(season.broken[item]), ""
    name = season.heating.appliance or "stove"
    efficiency = season.heating.efficiency_frac
    if efficiency is not None:
        basis = season.heating.efficiency_basis
        return Appliance(efficiency, basis), f"{name} at {100 * efficiency:g} % of the {basis} heat, as written"
    if season.heating.appliance is None:
        return NO_STOVE, ""
    if season.heating.appliance == "boiler":
        return "write the boiler's efficiency: it stands on its plate", ""
    percent = value(f"efficiency.{season.heating.appliance.replace(' ', '_')}")
    return Appliance(percent / 100, "net"), f"{name} at {percent:g} % of the net heat, a usual figure"


def heat_rows(study: HeatStudy) -> Iterator[Row]:
    """Mass and heat of a cord, for each kind of wood and for the season's mix."""
    if isinstance(study.kinds, str):
        return
    for kind in study.kinds:
        heat = cord_heat([(1.0, kind.factors)])
        yield _heat_row(study, kind.name, kind.share_frac, heat, kind.density_words, kind.moisture_words)
    if len(study.kinds) > 1:
        heat = cord_heat([(kind.share_frac, kind.factors) for kind in study.kinds])
        yield _heat_row(study, MIX, 1.0, heat, "by shares of volume", "by shares of mass")


def _heat_row(
    study: HeatStudy, name: str, share_frac: float, heat: WoodHeat, density_words: str, moisture_words: str
) -> Row:
    solid_m3 = value("cord.volume_m3") * study.solid.value
    dry = dry_from_wet_frac(moisture_wet_frac=heat.moisture_wet_frac)
    delivered = study.delivered(heat)
    return {
        "species": name,
        "share": Figure(100 * share_frac),
        "cords": not_given(NO_SESSION) if study.cords is None else Figure(study.cords * share_frac),
        "density": Figure(heat.oven_dry_kg / solid_m3, density_words),
        "moisture_wet": Figure(100 * heat.moisture_wet_frac, moisture_words),
        "moisture_dry": Figure(100 * dry, moisture_words),
        "dry_mass": Figure(heat.oven_dry_kg, study.solid.basis),
        "mass": Figure(heat.mass_kg, study.solid.basis),
        "gross_heat": Figure(heat.gross_mj),
        "net_heat": Figure(heat.net_mj),
        "net_heat_kwh": Figure(heat.net_mj),
        "delivered_heat": delivered,
        "delivered_kwh": delivered,
    }


def drying_rows(study: HeatStudy) -> Iterator[Row]:
    """Each kind of wood green, as it is, and dry."""
    if isinstance(study.kinds, str):
        return
    for kind in study.kinds:
        yield {
            "species": kind.name,
            "ready": _ready(kind),
            **_green(kind),
            "mass_ready": Figure(_at(kind, value("seasoning.target") / 100).mass_kg),
            "recovered": Figure(100 * _recovered(kind.factors)),
            "shrinkage": Figure(100 * _shrinkage(kind)),
            "seasoning": _seasoning(kind),
            "driest": Figure(100 * _driest_wet_frac(), _climate_words()),
        }


def _green(kind: KindHeat) -> Row:
    green_pct = None if kind.tree is None else kind.tree.green_moisture_dry_pct
    if green_pct is None:
        why = not_given("not published")
        return dict.fromkeys(("green_moisture", "green_mass", "green_net_heat", "green_recovered", "water"), why)
    wet = wet_from_dry_frac(moisture_dry_frac=green_pct / 100)
    green = _at(kind, wet)
    ready = _at(kind, value("seasoning.target") / 100)
    return {
        "green_moisture": Figure(100 * wet),
        "green_mass": Figure(green.mass_kg),
        "green_net_heat": Figure(green.net_mj),
        "green_recovered": Figure(100 * _recovered(replace(kind.factors, moisture_wet_frac=wet))),
        "water": Figure(max(0.0, green.mass_kg - ready.mass_kg)),
    }


def _at(kind: KindHeat, moisture_wet_frac: float) -> WoodHeat:
    """A cord of the wood at another moisture."""
    return cord_heat([(1.0, replace(kind.factors, moisture_wet_frac=moisture_wet_frac))])


def _recovered(factors: WoodFactors) -> float:
    losses = fire_losses(
        moisture_wet_frac=factors.moisture_wet_frac,
        gross_heat_mj_per_kg=factors.gross_heat_mj_per_kg,
        fire=_stove_fire(),
    )
    return losses.recovered_frac


def _stove_fire() -> Fire:
    """Conditions of a usual stove: a warm room, hot gas in the flue, twice the air that is needed."""
    return Fire(
        room_c=(value("fire.room") - 32) / F_PER_C,
        flue_c=(value("fire.flue") - 32) / F_PER_C,
        excess_air_frac=value("fire.excess_air"),
        other_losses_frac=value("fire.other_losses"),
    )


def _shrinkage(kind: KindHeat) -> float:
    basic = kind.factors.basic_density_kg_per_m3 / WATER_KG_PER_M3
    dry = dry_from_wet_frac(moisture_wet_frac=kind.factors.moisture_wet_frac)
    now = specific_gravity_at(basic_specific_gravity=basic, moisture_dry_frac=dry)
    return shrinkage_frac(basic_specific_gravity=basic, specific_gravity=now)


def _seasoning(kind: KindHeat) -> Figure:
    if kind.tree is None:
        return not_given("not on the list of trees")
    return Figure(seasoning_months(kind.tree.drying))


def _ready(kind: KindHeat) -> str:
    target = value("seasoning.target")
    if not kind.is_measured:
        return "not measured"
    if 100 * kind.factors.moisture_wet_frac <= target * (1 + 1e-9):
        return "yes"
    return "not yet"


def _driest_wet_frac() -> float:
    dry = equilibrium_moisture_dry_frac(
        air_temperature_c=value("seasoning.air_temperature"), humidity_frac=value("seasoning.air_humidity") / 100
    )
    return wet_from_dry_frac(moisture_dry_frac=dry)


def _climate_words() -> str:
    return f"air of {value('seasoning.air_temperature'):g} degC and {value('seasoning.air_humidity'):g} % humidity"
