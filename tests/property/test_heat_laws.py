"""Mass and heat of wood are the same by every path: wet or dry basis, by mass or by volume, in US or metric units."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from few import together
from hypothesis import given, settings
from hypothesis import strategies as st

from wood_xl.air.energy import energy_return
from wood_xl.data.load import Species, species
from wood_xl.units import convert
from wood_xl.warmth import heat, other_heating
from wood_xl.warmth.cord import species_density
from wood_xl.warmth.fire_losses import Fire, fire_losses
from wood_xl.warmth.heat import (
    Appliance,
    WoodFactors,
    cord_heat,
    delivered_mj,
    net_heat_as_received_mj_per_kg,
    stack_heat,
)
from wood_xl.wood import geometry, moisture

CORD_M3 = 128 * 0.3048**3


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


WET = between(0, 0.7)
FACTORS = st.builds(
    WoodFactors,
    solid_fraction=between(0.2, 0.95),
    basic_density_kg_per_m3=between(250, 900),
    moisture_wet_frac=WET,
    net_heat_mj_per_kg=between(17, 20),
    gross_heat_mj_per_kg=between(20, 22),
)
PARTS = st.lists(st.tuples(between(0.1, 100), FACTORS), min_size=1, max_size=6)
HEATING = st.sampled_from(("heating oil", "natural gas", "propane", "electric heating", "heat pump"))


@given(WET)
def test_moisture_bases_convert_back_and_forth(wet: float) -> None:
    dry = moisture.dry_from_wet_frac(moisture_wet_frac=wet)
    assert dry >= wet
    assert moisture.wet_from_dry_frac(moisture_dry_frac=dry) == pytest.approx(wet, abs=1e-14)


@given(between(1, 5000), WET)
def test_both_moisture_bases_give_the_same_mass_of_water(oven_dry: float, wet: float) -> None:
    mass = moisture.moist_mass_kg(oven_dry_kg=oven_dry, moisture_wet_frac=wet)
    dry = moisture.dry_from_wet_frac(moisture_wet_frac=wet)
    assert mass * wet == pytest.approx(oven_dry * dry, rel=1e-12, abs=1e-12)
    assert mass == pytest.approx(oven_dry * (1 + dry), rel=1e-12)


@given(FACTORS, between(0.1, 50))
def test_heat_by_volume_is_heat_by_mass(factors: WoodFactors, stacked: float) -> None:
    by_volume = stack_heat(factors, stacked_m3=stacked)
    as_received = net_heat_as_received_mj_per_kg(
        net_heat_mj_per_kg=factors.net_heat_mj_per_kg, moisture_wet_frac=factors.moisture_wet_frac
    )
    solid = geometry.solid_volume_m3(stacked_m3=stacked, solid_fraction=factors.solid_fraction)
    mass = solid * factors.basic_density_kg_per_m3 / (1 - factors.moisture_wet_frac)
    assert by_volume.mass_kg == pytest.approx(mass, rel=1e-12)
    assert by_volume.net_mj == pytest.approx(mass * as_received, rel=1e-9, abs=1e-6)
    assert by_volume.moisture_wet_frac == pytest.approx(factors.moisture_wet_frac, abs=1e-12)


@given(FACTORS, between(0, 0.65))
def test_gross_heat_and_dry_mass_do_not_depend_on_water(factors: WoodFactors, wet: float) -> None:
    here, there = (stack_heat(each, stacked_m3=1.0) for each in (factors, replace(factors, moisture_wet_frac=wet)))
    assert (here.gross_mj, here.oven_dry_kg) == (there.gross_mj, there.oven_dry_kg)
    wetter, drier = (here, there) if factors.moisture_wet_frac >= wet else (there, here)
    assert wetter.net_mj <= drier.net_mj
    assert wetter.mass_kg >= drier.mass_kg


@given(FACTORS, between(0.1, 10), between(1.1, 3))
def test_heat_grows_with_the_stack_in_proportion(factors: WoodFactors, stacked: float, times: float) -> None:
    one, more = (stack_heat(factors, stacked_m3=stacked * k) for k in (1, times))
    for part in ("oven_dry_kg", "mass_kg", "gross_mj", "net_mj"):
        assert getattr(more, part) == pytest.approx(times * getattr(one, part), rel=1e-12)


@given(PARTS)
def test_a_mixed_cord_is_its_parts(parts: list[tuple[float, WoodFactors]]) -> None:
    mix, whole = cord_heat(parts), math.fsum(share for share, _ in parts)
    for part in ("oven_dry_kg", "mass_kg", "gross_mj", "net_mj"):
        alone = [share / whole * getattr(cord_heat([(1, factors)]), part) for share, factors in parts]
        assert getattr(mix, part) == pytest.approx(math.fsum(alone), rel=1e-12)
    moistures = [factors.moisture_wet_frac for _, factors in parts]
    assert min(moistures) - 1e-12 <= mix.moisture_wet_frac <= max(moistures) + 1e-12


@given(PARTS, between(0.01, 0.85))
def test_an_efficiency_delivers_the_same_on_either_basis(parts: list[tuple[float, WoodFactors]], eta: float) -> None:
    wood = cord_heat(parts)
    gross = eta * wood.net_mj / wood.gross_mj
    delivered = delivered_mj(wood, Appliance(eta, "net"))
    assert delivered_mj(wood, Appliance(gross, "gross")) == pytest.approx(delivered, rel=1e-12)
    assert delivered <= wood.net_mj <= wood.gross_mj


@settings(deadline=None)  # the first conversion loads the units
@given(FACTORS)
def test_us_and_metric_units_give_one_heat(factors: WoodFactors) -> None:
    """By pounds to the cubic foot and Btu to the pound, in a cord of 128 cubic feet."""
    pounds = convert(factors.basic_density_kg_per_m3, "kg/m3", "lb/ft3") * factors.solid_fraction * 128
    btu_per_lb = factors.gross_heat_mj_per_kg / 0.002326
    metric = stack_heat(factors, stacked_m3=CORD_M3)
    assert convert(metric.oven_dry_kg, "kg", "lb") == pytest.approx(pounds, rel=1e-12)
    assert metric.gross_mj * 1e6 / 1055.05585262 == pytest.approx(pounds * btu_per_lb, rel=1e-12)


@together("tree", species(), ids=lambda tree: tree.name)
def test_every_tree_shrinks_as_it_dries_and_keeps_its_mass(tree: Species) -> None:
    basic, before = tree.basic_specific_gravity, tree.basic_specific_gravity
    for u in (0.30, 0.20, 0.12, 0.0):
        now = moisture.specific_gravity_at(basic_specific_gravity=basic, moisture_dry_frac=u)
        left = 1 - moisture.shrinkage_frac(basic_specific_gravity=basic, specific_gravity=now)
        assert now >= before
        assert now * left == pytest.approx(basic, rel=1e-12)  # oven-dry mass of what was one volume of green wood
        before = now
    assert 0.85 * 1000 * basic < species_density(tree) < 1.2 * 1000 * basic  # bark is a small part


@given(WET, between(18, 22), between(0, 40), between(100, 400), between(0, 3), between(0, 0.1))
def test_losses_and_recovered_heat_are_all_the_heat(
    wet: float, gross: float, room: float, flue: float, excess: float, other: float
) -> None:
    here = fire_losses(moisture_wet_frac=wet, gross_heat_mj_per_kg=gross, fire=Fire(room, flue, excess, other))
    parts = (here.water_mj_per_kg, here.hydrogen_mj_per_kg, here.flue_gas_mj_per_kg, here.other_mj_per_kg)
    assert math.fsum((*parts, here.recovered_mj_per_kg)) == pytest.approx(gross * (1 - wet), rel=1e-9)
    assert min(parts) >= 0
    wetter = fire_losses(
        moisture_wet_frac=min(0.75, wet + 0.05), gross_heat_mj_per_kg=gross, fire=Fire(room, flue, excess, other)
    )
    assert wetter.recovered_frac < here.recovered_frac


@given(HEATING, between(0, 1e5), between(0.3, 4))
def test_fuel_instead_holds_the_heat(heating: other_heating.OtherHeating, delivered: float, eta: float) -> None:
    heat = other_heating.replaced_heat_mj(delivered_mj=delivered, efficiency_frac=eta)
    assert heat * eta == pytest.approx(delivered)
    for unit in ("gal", "L", "kWh", "therm"):
        if not other_heating.unit_fits(heating, unit):
            with pytest.raises(ValueError, match="is not sold"):
                other_heating.fuel_heat_mj(heating=heating, unit=unit)
            continue
        units = other_heating.fuel_units(heat_mj=heat, heating=heating, unit=unit)
        assert units * other_heating.fuel_heat_mj(heating=heating, unit=unit) == pytest.approx(heat)


@given(between(20, 2000), between(100, 8000), st.sampled_from((0.7, 1.0)))
def test_heat_loss_and_need_convert_back_and_forth(loss: float, degree_days: float, gains: float) -> None:
    need = heat.need_by_degree_days_mj(heat_loss_w_per_k=loss, degree_days_k=degree_days, gains_frac=gains)
    back = heat.heat_loss_w_per_k(delivered_mj=need, degree_days_k=degree_days, gains_frac=gains)
    assert back == pytest.approx(loss)
    warmer = heat.to_next_winter(need, degree_days_last_k=degree_days, degree_days_next_k=degree_days * 0.9)
    assert warmer == pytest.approx(0.9 * need)


@given(between(0, 1e5), between(0.1, 1e4))
def test_energy_return_times_input_is_the_heat(heat: float, energy_in: float) -> None:
    assert energy_return(heat_mj=heat, energy_in_mj=energy_in) * energy_in == pytest.approx(heat)
