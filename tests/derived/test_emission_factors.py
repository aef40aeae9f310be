"""Published emission factors against each other, and the traps they set."""

from __future__ import annotations

import pytest
from few import together

from wood_xl.air.factor_sets import co2e_kg, fuel_factor_kg_per_l, net_heat_mj_per_l
from wood_xl.air.gases import direct_co2, engine_gases, stove_gases
from wood_xl.data.load import small_engines, value
from wood_xl.hours.fuel import FuelParts, fuel_parts

GALLON = 3.785411784
G_PER_HP_H = 1 / 0.745699872  # g/kWh


@pytest.mark.parametrize(
    ("kind", "ch4", "n2o", "expected_kg_per_l"),
    [
        ("gasoline two-stroke", "ch4.ipcc.two_stroke", "n2o.ipcc.two_stroke", "2.44049"),
        ("gasoline four-stroke", "ch4.ipcc.four_stroke", "n2o.ipcc.four_stroke", "2.39931"),
        ("diesel", "ch4.ipcc.diesel", "n2o.ipcc.diesel", "2.95444"),
    ],
)
def test_litre_by_ipcc_defaults(kind: str, ch4: str, n2o: str, expected_kg_per_l: str) -> None:
    """IPCC 2006, Table 3.3.1, household and off-road, net heat 44.3 x 0.74 and 43.0 x 0.84 MJ/L, AR5."""
    parts = fuel_parts(kind=kind, fuel_l=2.0, mix_ratio=1e9, ethanol_frac=0.0)
    gases = engine_gases(kind=kind, engine_fuel_l=2.0, factor_set="IPCC 2006", gwp_set="AR5")
    total = direct_co2(parts, factor_set="IPCC 2006").fossil_kg + gases.beyond_kg
    assert total == pytest.approx(2 * float(expected_kg_per_l), abs=0.0001)
    heat = 2 * net_heat_mj_per_l("diesel" if kind == "diesel" else "gasoline")
    assert gases.ch4_g == pytest.approx(heat * value(ch4) / 1000)
    assert gases.n2o_g == pytest.approx(heat * value(n2o) / 1000)


@pytest.mark.parametrize(
    ("co2", "ch4_kg", "n2o_kg", "expected_t_per_tj"),
    [(69_300, 170, 0.4, "73.67"), (69_300, 50, 2, "71.15")],
    ids=["two-stroke in forestry", "four-stroke in industry"],
)
def test_ipcc_totals_by_ar4(co2: float, ch4_kg: float, n2o_kg: float, expected_t_per_tj: str) -> None:
    """Two-stroke rows stand on the defaults of the table, not on its lower bounds."""
    total = co2e_kg(co2_kg=co2, ch4_g=1000 * ch4_kg, n2o_g=1000 * n2o_kg, gwp_set="AR4")
    assert total / 1000 == pytest.approx(float(expected_t_per_tj), abs=0.005)


def test_lower_bound_of_methane_is_not_the_factor() -> None:
    """Trap: 72 kg/TJ is the lower bound of the table, not the factor of household two-strokes."""
    known = value("ch4.ipcc.two_stroke")
    assert known == 180
    gases = engine_gases(kind="gasoline two-stroke", engine_fuel_l=1.0, factor_set="IPCC 2006", gwp_set="AR5")
    assert gases.ch4_g > 2 * net_heat_mj_per_l("gasoline") * 72 / 1000


def test_net_factor_never_meets_gross_heat() -> None:
    """Trap: 69,300 kg/TJ net times 34.4 MJ/L gross makes 2.384 kg/L, 4.9 % too much."""
    trap = value("ipcc.co2.gasoline") * 34.4 / 1e6
    ours = fuel_factor_kg_per_l("gasoline", "IPCC 2006")
    assert trap == pytest.approx(2.384, abs=0.0005)
    assert trap / ours == pytest.approx(1.049, abs=0.0005)


def test_factor_of_industrial_boilers_is_not_for_a_stove() -> None:
    """Trap: 7.2 g CH4 and 3.6 g N2O per mmBtu dry make 34.02 kg CO2e for 1,500 kg; a stove makes six times that."""
    heat_mmbtu = 1500 / 907.18474 * 17.48
    trap = co2e_kg(ch4_g=7.2 * heat_mmbtu, n2o_g=3.6 * heat_mmbtu, gwp_set="AR6", origin="wood")
    residential = co2e_kg(ch4_g=316 * heat_mmbtu, n2o_g=4.2 * heat_mmbtu, gwp_set="AR6", origin="wood")
    assert trap == pytest.approx(34.02, abs=0.005)
    assert residential == pytest.approx(279.74, abs=0.05)
    assert stove_gases(net_heat_mj=1500 * 15.6, gwp_set="AR6").co2e_kg > 6 * trap


def test_grid_figure_is_carbon_dioxide_before_its_other_gases() -> None:
    """eGRID 2023: 767.2 lb/MWh are CO2; 770.9 are CO2e. Factors in kg/kWh of four editions."""
    assert value("grid.co2.us") < 770.9
    for pounds, kg in ((884.2, 0.40107), (823.1, 0.37335), (767.2, 0.34800), (747.9, 0.33924)):
        assert pounds * value("unit.pound") / 1000 == pytest.approx(kg, abs=0.000005)


def test_blend_leaves_out_its_biofuel() -> None:
    """Trap: the United Kingdom's average blend is lower than mineral petrol: its biogenic CO2 stands elsewhere."""
    blend, mineral = value("uk.co2e.gasoline_blend"), value("uk.co2e.gasoline")
    assert blend * GALLON == pytest.approx(7.8903, abs=0.00005)
    assert fuel_factor_kg_per_l("gasoline", "UK 2024") == mineral
    assert blend < 0.9 * mineral


def test_small_engine_in_the_united_kingdoms_set_adds_only_its_surplus() -> None:
    """Trap: that set is CO2e already; only what a small engine leaves beyond a road vehicle may be added."""
    parts = FuelParts({"gasoline": 1.0})
    held = value("uk.road_ch4.gasoline") + value("uk.road_n2o.gasoline")
    hub = engine_gases(kind="gasoline two-stroke", engine_fuel_l=1.0, factor_set="EPA hub", gwp_set="AR5")
    ours = engine_gases(kind="gasoline two-stroke", engine_fuel_l=1.0, factor_set="UK 2024", gwp_set="AR5")
    assert (ours.ch4_g, ours.n2o_g) == (hub.ch4_g, hub.n2o_g)
    assert ours.beyond_kg == pytest.approx(hub.beyond_kg - held)
    assert direct_co2(parts, factor_set="UK 2024").fossil_kg == pytest.approx(2.35372)
    diesel = engine_gases(kind="diesel", engine_fuel_l=1.0, factor_set="UK 2024", gwp_set="AR5")
    assert diesel.beyond_kg == 0


def test_share_of_making_fuel() -> None:
    """UK factors 2011, kg CO2e/L: petrol 0.4110 over 2.3117 (total 2.7227), diesel 0.5085 over 2.6676."""
    assert value("upstream.gasoline") == pytest.approx(0.4110 / 2.3117, abs=0.005)
    assert value("upstream.diesel") == pytest.approx(0.5085 / 2.6676, abs=0.005)
    well_to_wheel = 2.3117 * (1 + value("upstream.gasoline")) * GALLON
    assert well_to_wheel == pytest.approx(10.3065, rel=0.002)  # 2.7227 kg/L; the share has two digits


def test_price_factors_are_industry_and_margins() -> None:
    """EPA supply chain factors v1.3.0: factor without margins, and the margins."""
    assert value("embodied.price.power_tool") == pytest.approx(0.083 + 0.053)
    assert value("embodied.price.machine") == pytest.approx(0.191 + 0.029)
    assert value("embodied.price.hand") == pytest.approx(0.174 + 0.049)


def test_engines_of_phase_1_meet_their_limits() -> None:
    """40 CFR 1054, appendix: 161 and 241 g/kWh of hydrocarbons for classes V and IV."""
    assert small_engines()["G2H51"].thc_g_per_hp_h * G_PER_HP_H == pytest.approx(161, abs=0.05)
    assert small_engines()["G2H41"].thc_g_per_hp_h * G_PER_HP_H == pytest.approx(241, abs=0.05)


@together(
    ("code", "percent"),
    [
        ("G2H4", "42.2"), ("G2H41", "33.5"), ("G2H42", "8.9"), ("G2H4C2", "7.2"), ("G2H5", "38.2"), ("G2H51", "30.4"),
        ("G2H52", "17.4"), ("G2H5C2", "14.6"), ("G4N1O", "3.0"), ("G4N1O2", "1.8"), ("G4N1O3", "1.1"),
        ("G4N1S3", "1.0"), ("G4N23a", "1.0"),
    ],
)  # fmt: skip
def test_fuel_that_is_lost_unburnt(code: str, percent: str) -> None:
    """NONROAD 2008a: hydrocarbons over fuel; two-strokes lose up to two fifths of theirs."""
    engine = small_engines()[code]
    lost = 100 * engine.thc_g_per_hp_h / (engine.fuel_lb_per_hp_h * 453.59237)
    assert lost == pytest.approx(float(percent), abs=0.05)


def test_carbon_of_hydrocarbons_and_monoxide_is_counted_once() -> None:
    """Trap: the factor of CO2 holds all carbon, so CO2 is the same for every engine that burns the same fuel."""
    parts = fuel_parts(kind="gasoline four-stroke", fuel_l=GALLON, mix_ratio=50, ethanol_frac=0.0)
    assert direct_co2(parts, factor_set="EPA hub").fossil_kg == pytest.approx(8.78)
    carbon_kg = 8.78 / value("co2.per_carbon")
    gallon_kg = value("nonroad.gasoline_mass") * value("unit.pound")
    assert 0.83 < carbon_kg / gallon_kg < 0.88  # no more carbon than gasoline holds
