"""Mass and heat of the season's wood: collects the factors for the formulas of heat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from wood_xl.data.load import Group, Species, species_named, value
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.hours.methods import NO_SESSION, MethodTotals, by_task, why_no_session
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Amount, Phrase, Told
from wood_xl.reasons import Basis, Reason, Remark, Said, said
from wood_xl.records import Season, WoodKind
from wood_xl.warmth import doubt
from wood_xl.warmth.heat import (
    Appliance,
    WoodFactors,
    WoodHeat,
    cord_heat,
    delivered_mj,
    density_with_bark_kg_per_m3,
    gross_heat_dry_mj_per_kg,
)
from wood_xl.wood.amounts import SolidFraction, usual_solid_fraction
from wood_xl.wood.geometry import cords, solid_fraction_standing


class SeasonWood(NamedTuple):
    """The wood that the season made [m3]: that of the task with the most of it, and that task's methods."""

    stacked_m3: float
    solid_m3: float
    methods: tuple[MethodTotals, ...]


class KindHeat(NamedTuple):
    """One kind of wood with the factors of its heat, by all members."""

    name: str
    tree: Species | None  # None for a kind that is not on the list
    share_frac: float  # of the season's solid volume; all shares sum to 1
    factors: WoodFactors
    density_basis: Said
    moisture_basis: Said
    is_measured: bool

    def cord(self, moisture_wet_frac: Number | None = None) -> WoodHeat:
        """A cord of this kind, as it is or at another moisture."""
        moisture = self.factors.moisture_wet_frac if moisture_wet_frac is None else moisture_wet_frac
        return cord_heat([(1.0, replace(self.factors, moisture_wet_frac=moisture))])


@dataclass(frozen=True)
class HeatStudy:
    """Wood, stove and quantity of a season."""

    kinds: tuple[KindHeat, ...] | Said  # or why there is no heat
    stove: Appliance | Said  # or why no delivered heat is given
    stove_basis: Said | None
    solid_fraction: Number  # of the season's stacks, by all members
    solid_basis: Said
    cords: Figure

    @cached_property
    def cord(self) -> WoodHeat | Said:
        """Mass and heat of a cord of the season's mix by all members, or why it is not known."""
        if isinstance(self.kinds, Said):
            return self.kinds
        return cord_heat([(kind.share_frac, kind.factors) for kind in self.kinds])

    @cached_property
    def from_a_cord(self) -> Figure:
        """Heat that the stove delivers from a cord of the season's mix [MJ]."""
        return not_given(self.cord) if isinstance(self.cord, Said) else self.delivered(self.cord)

    def delivered(self, heat: WoodHeat) -> Figure:
        """Heat that the stove delivers to the house [MJ]."""
        if isinstance(self.stove, Said):
            return not_given(self.stove)
        return doubt.figure_of(delivered_mj(heat, self.stove), self.stove_basis)


def season_wood(totals: Sequence[MethodTotals]) -> SeasonWood | Said:
    """Wood of the season, or why it is not known, as while a session has a broken cell.

    The same wood passes through several tasks, so only the task with the most wood counts.
    """
    why = why_no_session(totals)
    if why != NO_SESSION:
        return why
    volumes = [
        SeasonWood(
            math.fsum(t.quantity(lambda q: q.stacked_m3) for t in group),
            math.fsum(t.quantity(lambda q: q.solid_m3) for t in group),
            tuple(group),
        )
        for group in by_task(totals)
    ]
    fullest = max(volumes, key=lambda wood: wood.stacked_m3, default=None)
    return fullest if fullest is not None and fullest.stacked_m3 > 0 else why


def heat_study(season: Season, totals: Sequence[MethodTotals]) -> tuple[HeatStudy, list[Remark]]:
    """Wood, stove and quantity of a season, and remarks on the defaults used."""
    wood = season_wood(totals)
    made = None if isinstance(wood, Said) else wood
    solid = _solid_fraction(season, made)
    is_usual = made is None or solid == usual_solid_fraction(season)
    fraction = solid.value * doubt.fraction_draws(season, () if made is None or is_usual else made.methods)
    kinds = wood if isinstance(wood, Said) and wood != NO_SESSION else _kinds(season, fraction)
    stove, basis = _stove(season)
    if isinstance(wood, Said):
        cords_made = not_given(wood)
    else:
        cords_made = doubt.figure_of(cords(wood.stacked_m3) * doubt.amount_draws(season, wood.methods))
    study = HeatStudy(kinds, stove, basis, fraction, solid.basis, cords_made)
    remarks: list[Remark] = []
    if isinstance(kinds, Said):
        return study, remarks
    if isinstance(stove, Appliance) and basis is not None and _is_over_whole(study, stove, kinds):
        remarks.append(("season-efficiency-over-whole", "appliance_efficiency_basis", {"found": basis}))
        study = replace(study, stove=said(Reason.EFFICIENCY_OVER_WHOLE))
    unmeasured = [kind.name for kind in kinds if not kind.is_measured]
    if unmeasured:
        facts = {
            "title": said(Told.MOISTURE_OF, species=tuple(unmeasured)),
            "value": said(Told.PERCENT, percent=value("wood.moisture")),
            "source": said(Told.DRY_FIREWOOD),
        }
        remarks.append(("season-default-used", "", facts))
    return study, remarks


def _is_over_whole(study: HeatStudy, stove: Appliance, kinds: Sequence[KindHeat]) -> bool:
    """Whether an efficiency on gross heat delivers more than the net heat of one kind or of the mix."""
    heats = [study.cord, *(kind.cord() for kind in kinds)] if stove.basis == "gross" else []
    return any(
        nominal(stove.efficiency_frac * heat.gross_mj) > nominal(heat.net_mj)
        for heat in heats
        if isinstance(heat, WoodHeat)
    )


def _solid_fraction(season: Season, made: SeasonWood | None) -> SolidFraction:
    if made is not None:
        measured = made.solid_m3 / made.stacked_m3
        if solid_fraction_standing(measured) in ("usual", "unusual"):
            return SolidFraction(measured, said(Basis.FRACTION_OF_SESSIONS, fraction=measured))
    return usual_solid_fraction(season)


def _kinds(season: Season, solid_fraction: Number) -> tuple[KindHeat, ...] | Said:
    wait = next(filter(None, (waiting(kind.broken, "heat") for kind in season.wood)), None)
    wait = wait or waiting(season.broken, "wood", "stack_form", "solid_fraction")
    if wait is not None or not season.wood:
        return wait or said(Reason.NO_KIND_OF_WOOD)
    shares = [1.0 if kind.share_frac is None else kind.share_frac for kind in season.wood]
    whole = math.fsum(shares)
    return tuple(
        kind_heat(kind, share / whole, solid_fraction) for kind, share in zip(season.wood, shares, strict=True)
    )


def kind_heat(kind: WoodKind, share_frac: float, solid_fraction: Number) -> KindHeat:
    """A kind of wood with the factors of its heat."""
    tree = species_named(kind.name)
    density: Number
    if kind.basic_density_kg_per_m3 is not None:
        density, density_basis = kind.basic_density_kg_per_m3, Basis.DENSITY_WRITTEN
    elif tree is not None:
        plain = species_density(tree)
        density = plain * doubt.density_draws(species=tree.botanical, density_kg_per_m3=plain)
        density_basis = Basis.DENSITY_WITH_BARK
        if tree.bark_specific_gravity is None:
            density_basis = Basis.DENSITY_WITH_USUAL_BARK
    else:
        raise ValueError(f"{kind.name} has no density")  # cannot be: the checks ask for it
    moisture: Number | None = kind.moisture_wet_frac
    moisture_basis = Basis.AS_WRITTEN
    if moisture is None:
        moisture = value("wood.moisture") / 100 * doubt.range_draws("wood.moisture")
        moisture_basis = Basis.USUAL_MOISTURE
    group: Group = "hardwood" if tree is None else tree.group
    net_heat_id = f"wood.net_heat.{group}"
    net = value(net_heat_id) * doubt.range_draws(net_heat_id)
    factors = WoodFactors(
        solid_fraction=solid_fraction,
        basic_density_kg_per_m3=density,
        moisture_wet_frac=moisture,
        net_heat_mj_per_kg=net,
        gross_heat_mj_per_kg=gross_heat_dry_mj_per_kg(net_heat_mj_per_kg=net),
    )
    is_measured = kind.moisture_wet_frac is not None
    return KindHeat(kind.name, tree, share_frac, factors, said(density_basis), said(moisture_basis), is_measured)


def species_density(tree: Species) -> float:
    """Oven-dry mass over green volume of a tree's wood with bark [kg/m3]; usual bark if its own is not known."""
    tree.as_read("basic_specific_gravity", "bark_pct", "bark_specific_gravity")
    bark_pct, bark_gravity = tree.bark_pct, tree.bark_specific_gravity
    if bark_pct is None or bark_gravity is None:
        bark_pct, bark_gravity = value("wood.bark_share"), value("wood.bark_specific_gravity")
    return density_with_bark_kg_per_m3(
        wood_specific_gravity=tree.basic_specific_gravity,
        bark_specific_gravity=bark_gravity,
        bark_frac=bark_pct / 100,
    )


def _stove(season: Season) -> tuple[Appliance | Said, Said | None]:
    """The stove, or why there is none, and the basis of its efficiency; only a usual efficiency is in doubt."""
    wait = waiting(season.broken, "appliance", "appliance_efficiency", "appliance_efficiency_basis")
    if wait is not None:
        return wait, None
    name = season.heating.appliance or Phrase.STOVE
    efficiency = season.heating.efficiency_frac
    if efficiency is not None:
        rated_on = season.heating.efficiency_basis
        basis = said(Basis.STOVE_WRITTEN, stove=name, percent=100 * efficiency, basis=rated_on)
        return Appliance(efficiency, rated_on), basis
    if season.heating.appliance is None:
        return said(Reason.NO_STOVE), None
    if season.heating.appliance == "boiler":
        return said(Reason.BOILER), None
    usual = f"efficiency.{season.heating.appliance.replace(' ', '_')}"
    percent = value(usual)
    basis = said(Basis.STOVE_USUAL, stove=name, percent=percent)
    return Appliance(percent / 100 * doubt.range_draws(usual), "net"), basis


def heat_rows(study: HeatStudy) -> Iterator[Row]:
    """Mass and heat of a cord, for each kind of wood and for the season's mix."""
    if isinstance(study.kinds, Said):
        return
    for kind in study.kinds:
        yield _row(study, kind.name, kind.share_frac, kind.cord(), kind.density_basis, kind.moisture_basis)
    if len(study.kinds) > 1 and isinstance(study.cord, WoodHeat):
        yield _row(study, Amount.MIX, 1.0, study.cord, said(Basis.BY_VOLUME), said(Basis.BY_MASS))


def _row(
    study: HeatStudy, species: str | Amount, share_frac: float, heat: WoodHeat, density: Said, moisture: Said
) -> Row:
    solid_m3 = value("cord.volume_m3") * study.solid_fraction
    net, delivered = doubt.figure_of(heat.net_mj), study.delivered(heat)
    return Row(
        species=species,
        share=Figure(100 * share_frac, reason=doubt.AS_WRITTEN),
        cords=study.cords.times(share_frac),
        density=doubt.figure_of(heat.oven_dry_kg / solid_m3, density),
        moisture_wet=doubt.figure_of(100 * heat.moisture_wet_frac, moisture),
        moisture_dry=doubt.figure_of(100 * heat.moisture_dry_frac, moisture),
        dry_mass=doubt.figure_of(heat.oven_dry_kg, study.solid_basis),
        mass=doubt.figure_of(heat.mass_kg, study.solid_basis),
        gross_heat=doubt.figure_of(heat.gross_mj),
        net_heat=net,
        net_heat_kwh=net,
        delivered_heat=delivered,
        delivered_kwh=delivered,
    )
