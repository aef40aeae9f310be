"""What the season's wood weighs and how warm it keeps: collects the factors for the formulas of heat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from wood_xl.data.load import Group, Species, species_named, value
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, Row, drawn, not_given
from wood_xl.draws.normal import Array
from wood_xl.hours.methods import NO_SESSION, MethodTotals, by_task, why_no_session
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Amount, Phrase, Told
from wood_xl.reasons import Basis, Reason, Remark, Said, said
from wood_xl.records import Season, WoodKind
from wood_xl.warmth import doubt
from wood_xl.warmth.doubt import Unsure
from wood_xl.warmth.heat import (
    Appliance,
    WoodFactors,
    WoodHeat,
    cord_heat,
    delivered_mj,
    density_with_bark_kg_per_m3,
    gross_heat_dry_mj_per_kg,
    net_heat_dry_mj_per_kg,
)
from wood_xl.wood.amounts import SolidFraction, usual_solid_fraction
from wood_xl.wood.geometry import cords, solid_fraction_standing


class SeasonWood(NamedTuple):
    """The wood that the season made: that of the task through which most of it went, in m3, with its methods."""

    stacked_m3: float
    solid_m3: float
    methods: tuple[MethodTotals, ...]


class KindHeat(NamedTuple):
    """One kind of wood with the factors of its heat."""

    name: str
    tree: Species | None  # none for one that is not on the list
    share_frac: float  # of the season's solid volume; all shares sum to 1
    factors: WoodFactors
    density_basis: Said
    moisture_basis: Said
    is_measured: bool
    density: Array

    @property
    def group(self) -> Group:
        """Of trees, by which its heat is taken."""
        return "hardwood" if self.tree is None else self.tree.group

    def drawn(self, fraction: Array, *, moisture_wet_frac: float | None = None) -> WoodHeat:
        """A cord of it by all members, as it is or at another moisture."""
        return cord_heat([(1.0, self.drawn_factors(fraction, moisture_wet_frac=moisture_wet_frac))])

    def drawn_factors(self, fraction: Array, *, moisture_wet_frac: float | None = None) -> WoodFactors:
        """What its heat depends on, by all members."""
        plain = self.factors
        moisture: Number = plain.moisture_wet_frac if moisture_wet_frac is None else moisture_wet_frac
        if moisture_wet_frac is None and not self.is_measured:
            moisture = moisture * doubt.ranged("wood.moisture")
        net = plain.net_heat_mj_per_kg * doubt.ranged(f"wood.net_heat.{self.group}")
        return WoodFactors(
            solid_fraction=plain.solid_fraction * fraction,
            basic_density_kg_per_m3=plain.basic_density_kg_per_m3 * self.density,
            moisture_wet_frac=moisture,
            net_heat_mj_per_kg=net,
            gross_heat_mj_per_kg=net + (plain.gross_heat_mj_per_kg - plain.net_heat_mj_per_kg),
        )


@dataclass(frozen=True)
class HeatStudy:
    """Wood, stove and quantity of a season."""

    kinds: tuple[KindHeat, ...] | Said  # the kinds of wood, or why there is no heat
    stove: Appliance | Said  # the stove, or why no delivered heat is given
    stove_basis: Said | None
    solid: SolidFraction  # of the season's stacks
    cords: Figure
    # fraction, amount, efficiency: draws of the solid fraction, of the season's cords and of the stove's efficiency,
    # relative
    fraction: Array
    amount: Array
    efficiency: Array

    def cord(self) -> WoodHeat | Said:
        """Mass and heat of a cord of the season's mix, or why there is none."""
        if isinstance(self.kinds, Said):
            return self.kinds
        return cord_heat([(kind.share_frac, kind.factors) for kind in self.kinds])

    def drawn(self) -> WoodHeat:
        """The same by all members."""
        kinds = () if isinstance(self.kinds, Said) else self.kinds
        return cord_heat([(kind.share_frac, kind.drawn_factors(self.fraction)) for kind in kinds])

    def from_a_cord(self) -> Unsure:
        """Heat that the stove gives to the house from a cord of the season's mix [MJ]."""
        heat = self.cord()
        return doubt.not_known(heat) if isinstance(heat, Said) else self.delivered(heat, self.drawn())

    def delivered(self, heat: WoodHeat, drawn: WoodHeat) -> Unsure:
        """Heat that the stove gives to the house [MJ]."""
        if isinstance(self.stove, Said):
            return doubt.not_known(self.stove)
        figure = Figure(nominal(delivered_mj(heat, self.stove)), self.stove_basis)
        if not figure.value:
            return Unsure(replace(figure, reason=said(Reason.NO_HEAT)), doubt.SURE)
        by_net = self.stove.basis == "net"
        share = drawn.net_mj / heat.net_mj if by_net else drawn.gross_mj / heat.gross_mj
        return Unsure(figure, share * self.efficiency)


def season_wood(totals: Sequence[MethodTotals]) -> SeasonWood | Said:
    """Wood of the season, or why it is not known: not while a session waits.

    The same wood passes through several tasks, so the fullest one counts.
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
    """Wood, stove and quantity of a season, and the defaults that stepped in."""
    found = season_wood(totals)
    made = None if isinstance(found, Said) else found
    solid = _solid_fraction(season, made)
    kinds = found if isinstance(found, Said) and found != NO_SESSION else _kinds(season, solid)
    stove, basis, efficiency = _stove(season)
    remarks: list[Remark] = []
    by_usual = solid == usual_solid_fraction(season)
    study = HeatStudy(
        kinds,
        stove,
        basis,
        solid,
        not_given(found) if isinstance(found, Said) else Figure(cords(found.stacked_m3)),
        fraction=doubt.fraction_draws(season, () if made is None or by_usual else made.methods),
        amount=doubt.SURE if made is None else doubt.amount_draws(season, made.methods),
        efficiency=efficiency,
    )
    heat = study.cord()
    if isinstance(heat, WoodHeat) and isinstance(stove, Appliance) and _is_over_whole(heat, stove, kinds):
        remarks.append(
            ("season-efficiency-over-whole", "appliance_efficiency_basis", {"found": basis or said(Reason.NO_STOVE)})
        )
        study = replace(study, stove=said(Reason.EFFICIENCY_OVER_WHOLE))
    if not isinstance(kinds, Said):
        unmeasured = [kind.name for kind in kinds if not kind.is_measured]
        if unmeasured:
            facts = {
                "title": said(Told.MOISTURE_OF, species=tuple(unmeasured)),
                "value": said(Told.PERCENT, percent=value("wood.moisture")),
                "source": said(Told.DRY_FIREWOOD),
            }
            remarks.append(("season-default-used", "", facts))
    return study, remarks


def _is_over_whole(heat: WoodHeat, stove: Appliance, kinds: tuple[KindHeat, ...] | Said) -> bool:
    """Whether an efficiency on gross heat is more than there is in the driest kind, or in all of them."""
    heats = [heat] if isinstance(kinds, Said) else [heat, *(cord_heat([(1.0, kind.factors)]) for kind in kinds)]
    return stove.basis == "gross" and any(stove.efficiency_frac * one.gross_mj > one.net_mj for one in heats)


def _solid_fraction(season: Season, made: SeasonWood | None) -> SolidFraction:
    if made is not None:
        measured = made.solid_m3 / made.stacked_m3
        if solid_fraction_standing(measured) in ("usual", "unusual"):
            return SolidFraction(measured, said(Basis.FRACTION_OF_SESSIONS, fraction=measured))
    return usual_solid_fraction(season)


def _kinds(season: Season, solid: SolidFraction) -> tuple[KindHeat, ...] | Said:
    wait = next(filter(None, (waiting(kind.broken, "heat") for kind in season.wood)), None)
    wait = wait or waiting(season.broken, "wood", "stack_form", "solid_fraction")
    if wait is not None or not season.wood:
        return wait or said(Reason.NO_KIND_OF_WOOD)
    shares = [1.0 if kind.share_frac is None else kind.share_frac for kind in season.wood]
    whole = math.fsum(shares)
    return tuple(kind_heat(kind, share / whole, solid) for kind, share in zip(season.wood, shares, strict=True))


def kind_heat(kind: WoodKind, share_frac: float, solid: SolidFraction) -> KindHeat:
    """A kind of wood with the factors of its heat."""
    tree = species_named(kind.name)
    if kind.basic_density_kg_per_m3 is not None:
        density, density_basis = kind.basic_density_kg_per_m3, Basis.DENSITY_WRITTEN
    elif tree is not None:
        density = species_density(tree)
        density_basis = Basis.DENSITY_WITH_BARK
        if tree.bark_specific_gravity is None:
            density_basis = Basis.DENSITY_WITH_USUAL_BARK
    else:
        raise ValueError(f"{kind.name} has no density")  # the checks ask for one
    moisture, moisture_basis = kind.moisture_wet_frac, Basis.AS_WRITTEN
    if moisture is None:
        moisture, moisture_basis = value("wood.moisture") / 100, Basis.USUAL_MOISTURE
    net = net_heat_dry_mj_per_kg("hardwood" if tree is None else tree.group)
    drawn = doubt.SURE
    if kind.basic_density_kg_per_m3 is None and tree is not None:
        drawn = doubt.density_draws(species=tree.botanical, density_kg_per_m3=density)
    factors = WoodFactors(
        solid_fraction=solid.value,
        basic_density_kg_per_m3=density,
        moisture_wet_frac=moisture,
        net_heat_mj_per_kg=net,
        gross_heat_mj_per_kg=gross_heat_dry_mj_per_kg(net_heat_mj_per_kg=net),
    )
    measured = kind.moisture_wet_frac is not None
    how = (said(density_basis), said(moisture_basis))
    return KindHeat(kind.name, tree, share_frac, factors, *how, measured, drawn)


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


def _stove(season: Season) -> tuple[Appliance | Said, Said | None, Array]:
    """The stove or why there is none, how its efficiency was come by, and the draws of that: of a usual one alone."""
    wait = waiting(season.broken, "appliance", "appliance_efficiency", "appliance_efficiency_basis")
    if wait is not None:
        return wait, None, doubt.SURE
    name = season.heating.appliance or Phrase.STOVE
    efficiency = season.heating.efficiency_frac
    if efficiency is not None:
        basis = season.heating.efficiency_basis
        how = said(Basis.STOVE_WRITTEN, stove=name, percent=100 * efficiency, basis=basis)
        return Appliance(efficiency, basis), how, doubt.SURE
    if season.heating.appliance is None:
        return said(Reason.NO_STOVE), None, doubt.SURE
    if season.heating.appliance == "boiler":
        return said(Reason.BOILER), None, doubt.SURE
    usual = f"efficiency.{season.heating.appliance.replace(' ', '_')}"
    percent = value(usual)
    how = said(Basis.STOVE_USUAL, stove=name, percent=percent)
    return Appliance(percent / 100, "net"), how, doubt.ranged(usual)


def heat_rows(study: HeatStudy) -> Iterator[Row]:
    """Mass and heat of a cord, for each kind of wood and for the season's mix."""
    if isinstance(study.kinds, Said):
        return
    for kind in study.kinds:
        heat, members = cord_heat([(1.0, kind.factors)]), kind.drawn(study.fraction)
        yield _row(study, kind.name, kind.share_frac, heat, members, kind.density_basis, kind.moisture_basis)
    if len(study.kinds) > 1:
        heat = cord_heat([(kind.share_frac, kind.factors) for kind in study.kinds])
        yield _row(study, Amount.MIX, 1.0, heat, study.drawn(), said(Basis.BY_VOLUME), said(Basis.BY_MASS))


def _row(
    study: HeatStudy,
    species: str | Amount,
    share_frac: float,
    heat: WoodHeat,
    members: WoodHeat,
    density: Said,
    moisture: Said,
) -> Row:
    made = study.cords if study.cords.value is None else study.cords.times(share_frac)
    solid_m3 = value("cord.volume_m3") * study.solid.value
    delivered = study.delivered(heat, members).shown()

    def shown(number: Number, basis: Said | None = None) -> Figure:
        return drawn(number, basis, exact=doubt.AS_WRITTEN)

    net = shown(members.net_mj)
    return Row(
        species=species,
        share=Figure(100 * share_frac, reason=doubt.AS_WRITTEN),
        cords=doubt.with_ends(made, study.amount),
        density=shown(members.oven_dry_kg / (solid_m3 * study.fraction), density),
        moisture_wet=shown(100 * members.moisture_wet_frac, moisture),
        moisture_dry=shown(100 * members.moisture_dry_frac, moisture),
        dry_mass=shown(members.oven_dry_kg, study.solid.basis),
        mass=shown(members.mass_kg, study.solid.basis),
        gross_heat=shown(members.gross_mj),
        net_heat=net,
        net_heat_kwh=net,
        delivered_heat=delivered,
        delivered_kwh=delivered,
    )
