"""Records of a season: the checked notes as plain numbers, the input of every formula.

Names end in the unit: m, m2, m3, min, h, kg, l (liter), kcal, kwh, bpm; percentages are fractions. Money is in the
currency of the season. ``None`` means not known. ``broken`` maps a topic (``quantity``, ``time``, ``effort``,
``money``, ``emissions``, ``heat``, ``plan``) to the cell to mend before anything on that topic can be given for the
record; in the season and its next season, it maps the id of an item to its cell.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal, NamedTuple

from wood_xl.body.heart_cleaning import CleanTrace, clean_recordings
from wood_xl.data.trade import ToolKind, tasks, tool_kinds
from wood_xl.reasons import Basis, Named, Said, said

Sex = Literal["female", "male"]
StackForm = Literal["ranked split", "ranked round", "crossed", "loose"]
FoodCounted = Literal["off", "net of rest", "gross"]
HeatBasis = Literal["net", "gross"]
OtherHeating = Literal["heating oil", "natural gas", "propane", "electric heating", "heat pump"]
FuelUnit = Literal["gal", "L", "kWh", "therm"]
Held = Literal["own", "to buy", "shared", "rented", "borrowed"]
RentPer = Literal["hour", "day", "week"]
DoctorWord = Literal["not asked", "given", "still to ask"]
Broken = dict[str, str]

AS_WRITTEN = said(Basis.AS_WRITTEN)


def noted(column: str, unit: str | None = None, *, default: Any = None) -> Any:
    """A field filled directly from a column or item of the notes, in the given unit; a ``%`` becomes a fraction.

    default: value if nothing is written.
    """
    return field(default=default, metadata={"column": column, "unit": unit})


MOST_PERSONS = 60  # twice the rows of the sheet People; old results may hold more than a season that is scored


@dataclass(frozen=True)
class Person:
    """A person: body data, and what they may do and want to do."""

    name: str
    age_years: float | None = noted("age", "years")
    equation_sex: Sex | None = noted("equation_sex")
    mass_kg: float | None = noted("mass", "kg")
    height_cm: float | None = noted("height", "cm")
    resting_bpm: float | None = noted("resting_heart_rate", "beats/min")
    max_bpm: float | None = noted("max_heart_rate", "beats/min")
    vo2max_ml_kg_min: float | None = noted("vo2max", "mL/kg/min")
    heart_rate_limited: bool = False
    heart_rate_device: str | None = noted("heart_rate_device")
    doctor_word: DoctorWord = noted("doctor_word", default="not asked")
    may_use: tuple[str, ...] | None = None  # tools they are trained at; None if the template did not ask
    leaves: tuple[str, ...] = ()  # methods they leave to others
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class WoodKind:
    """One kind of wood of the season; moisture is water over total mass, on whatever basis it was written."""

    name: str
    share_frac: float | None = noted("share", "%")
    moisture_wet_frac: float | None = None
    basic_density_kg_per_m3: float | None = noted("basic_density", "kg/m3")
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class Heating:
    """The stove, and the heating that wood replaces; the price is per ``fuel_price_unit``."""

    appliance: str | None = noted("appliance")
    efficiency_frac: float | None = noted("appliance_efficiency", "%")
    efficiency_basis: HeatBasis = "net"
    other: OtherHeating | None = None
    other_efficiency_frac: float | None = noted("displaced_efficiency", "%")
    fuel_price: float | None = noted("displaced_fuel_price")
    fuel_price_unit: FuelUnit | None = None


@dataclass(frozen=True)
class Winter:
    """Data on the heat that the next winter needs; degree days are in K day on one base."""

    last_winter_volume_m3: float | None = noted("last_winter_volume", "stacked m3")
    last_winter_fuel: float | None = noted("last_winter_fuel")
    last_winter_fuel_unit: FuelUnit | None = None
    heat_loss_w_per_k: float | None = noted("heat_loss", "W/K")
    degree_days_next_k: float | None = noted("degree_days_next", "K day")
    degree_days_last_k: float | None = noted("degree_days_last", "K day")
    degree_day_base_c: float | None = noted("degree_day_base", "degC")


@dataclass(frozen=True)
class Tool:
    """A tool and what it costs to have it."""

    name: str
    kind: str
    number: int = 0  # identifies the tool, whatever its name
    price: float | None = noted("price", "money")
    resale: float | None = noted("resale", "money")
    life_h: float | None = noted("life_hours", "h")  # running hours; of a hand tool, hours at work
    life_years: float | None = noted("life_years", "years")
    held: Held | None = noted("held")  # None counts as still to buy
    share_frac: float | None = noted("share", "%")  # own part of a shared tool
    rent: float | None = noted("rent", "money")  # for each ``rent_per``
    rent_per: RentPer = noted("rent_per", default="day")
    hours_so_far: float | None = noted("hours_so_far", "h")
    worth_today: float | None = noted("worth_today", "money")
    years_left: float | None = noted("years_left", "years")
    mass_kg: float | None = noted("mass", "kg")
    rated_power_kw: float | None = noted("rated_power", "kW")
    vibration_m_s2: float | None = noted("vibration", "m/s2")
    sound_level_dba: float | None = noted("sound_level", "dB(A)")
    broken: Broken = field(default_factory=dict)

    @property
    def kind_row(self) -> ToolKind:
        """Its kind's row in the tables."""
        return tool_kinds()[self.kind]

    @property
    def is_owned(self) -> bool:
        """Whether it is one's own already."""
        return self.held == "own"

    @property
    def is_others(self) -> bool:
        """Whether it belongs to somebody else: it has no purchase price and no resale."""
        return self.held in ("rented", "borrowed")

    @property
    def is_to_pay(self) -> bool:
        """Whether its price, or a part, is still to pay."""
        return not (self.is_owned or self.is_others)

    @property
    def part_frac(self) -> float:
        """Own part of price, resale and use; all of it if no share is written."""
        return self.share_frac if self.held == "shared" and self.share_frac is not None else 1.0

    @property
    def outlay(self) -> float | None:
        """Money still to pay for it; None if its price is not known."""
        if not self.is_to_pay:
            return 0.0
        return None if self.price is None else self.price * self.part_frac

    @property
    def named(self) -> Named:
        """Its name, identified by its number."""
        return Named(f"tools.{self.number}", self.name)


class UpkeepItem(NamedTuple):
    """Something bought again every so many hours, cords, stacked m3 or years of a tool's use."""

    tool: str
    item: str
    price: float
    every: float
    per: Literal["hours", "cords", "stacked m3", "years"]


@dataclass(frozen=True)
class Method:
    """One task done with certain tools by ``people_n`` people together."""

    name: str
    task: str
    tools: tuple[str, ...] = ()
    cost_group: str | None = None
    broken: Broken = field(default_factory=dict)
    number: int = 0  # identifies the method, whatever its name
    people_n: int = 1

    @property
    def named(self) -> Named:
        """Its name, identified by its number."""
        return Named(f"methods.{self.number}", self.name)

    @property
    def lacks_tool(self) -> bool:
        """Whether it names no tool for a task that needs one: its cost is not known."""
        return not self.tools and tasks()[self.task].needs_tool


@dataclass(frozen=True)
class Trace:
    """Recording of a heart-rate monitor for one person in one session; both sequences have the same length."""

    elapsed_s: Sequence[float]
    heart_rate_bpm: Sequence[float]

    @cached_property
    def cleaned(self) -> CleanTrace:
        """The cleaned trace."""
        return clean_recordings(self.elapsed_s, self.heart_rate_bpm)


@dataclass(frozen=True)
class Worker:
    """One person's part in one session."""

    person: str | None
    time_min: float
    number: int | None = None  # identifies the person, whatever the name
    is_helper: bool = False
    mean_heart_rate_bpm: float | None = noted("mean_heart_rate", "beats/min")
    monitor_kcal: float | None = noted("monitor_energy", "kcal")
    trace: Trace | None = None
    apart_min: float = 0.0  # in the other part of the same session of the notes, if its stacking was split off

    @property
    def whole_min(self) -> float:
        """Time in the whole session of the notes: an engine may run on while somebody stacks."""
        return self.time_min + self.apart_min


class Cut(NamedTuple):
    """One sawn end, or several alike; the time is that of one cut."""

    diameter_m: float
    second_diameter_m: float | None = None
    cuts_n: int = 1
    cut_time_s: float | None = None
    class_width_m: float = 0.0  # width of the size class they were counted in; 0 if measured


class Stack(NamedTuple):
    """One rectangular or sloping piece of a stack; its name links it to the woodshed."""

    height_m: float
    length_m: float
    top_length_m: float | None = None
    depth_m: float | None = None
    rows_n: int = 1
    form: StackForm | None = None
    name: str | None = None


class OtherUnit(NamedTuple):
    """Another unit than the one typed, and how many of that it is."""

    typed: str
    other: str
    ratio: float


@dataclass(frozen=True)
class Session:
    """One stretch of one method on one day."""

    name: str
    method: str
    part_of: str = ""  # session of the notes whose stacking this is; empty for a session of the notes
    elapsed_min: float | None = None
    stacking_min: float = 0.0  # split off from the same session of the notes, not in ``elapsed_min``
    delay_min: float = noted("delay_time", "min", default=0.0)
    service_min: float = noted("service_time", "min", default=0.0)
    date: str | None = noted("date")
    workers: tuple[Worker, ...] = ()
    crew: tuple[str | None, ...] = ()  # workers, even if their time waits for a cell; None for an unnamed one
    fuel_l: float | None = None
    bar_oil_l: float | None = noted("bar_oil_used", "L")
    electricity_kwh: float | None = None
    running_min: float | None = noted("running_time", "min")
    air_temperature_c: float | None = noted("air_temperature", "degC")
    humidity_frac: float | None = noted("humidity", "%")
    wind_km_per_h: float | None = noted("wind_speed", "km/h")
    lot: str | None = noted("lot")
    lot_row: str = ""  # row of its lot
    leave_out: str | None = None
    cuts: tuple[Cut, ...] = ()
    stacks: tuple[Stack, ...] = ()
    has_cuts: bool = False  # whether any are written, or may be written in cells that wait
    has_stacks: bool = False  # likewise
    broken: Broken = field(default_factory=dict)


class Reading(NamedTuple):
    """A moisture reading of a stack: water over total mass, on a day as yyyy-mm-dd."""

    day: str
    moisture_wet_frac: float


class Burned(NamedTuple):
    """Wood burned of a stack by a day as yyyy-mm-dd [stacked m3]; None for all that was left."""

    day: str
    volume_m3: float | None = None


@dataclass(frozen=True)
class ShedStack:
    """A stack in the woodshed."""

    name: str  # a stack of this season with the same name fills what is not written here
    stacked_on: str | None = noted("stacked_on")
    kind: str | None = noted("kind")
    volume_m3: float | None = noted("volume", "stacked m3")
    readings: tuple[Reading, ...] = ()
    burned: tuple[Burned, ...] = ()
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class NextSeason:
    """What is wanted for next season, and the limits on it."""

    volume_wanted_m3: float | None = noted("volume_wanted", "stacked m3")
    volume_basis: Said = AS_WRITTEN  # how the volume was obtained
    standing_m3: float = 0.0  # dry wood left in the woodshed for the winter in which new wood is dry
    start: str | None = noted("start_date")  # yyyy-mm-dd, as ``ready_by``
    ready_by: str | None = noted("ready_by_date")
    hours_per_week: float | None = noted("hours_per_week", "h")
    longest_session_min: float | None = None
    people_n: int | None = None
    weekdays: tuple[int, ...] = ()  # that can be worked on, Monday is 0; empty for any
    cash_limit: float | None = noted("cash_limit", "money")
    carbon_limit_kg: float | None = noted("carbon_limit", "kg")
    winter: Winter = field(default_factory=Winter)
    filled_n: int = 0  # number of filled items of the sheet
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class Season:
    """All valid notes of a season; prices of fuels are by the ids of ``fuels.csv``."""

    name: str
    currency: str
    stick_length_m: float | None
    stack_form: StackForm
    horizon_years: float
    real_interest_rate_frac: float
    two_stroke_mix_ratio: float
    ethanol_frac: float
    practical_margin_frac: float
    emission_factor_set: str
    gwp_set: str
    grid_kg_per_kwh: float | None = noted("grid_intensity", "kg/kWh")
    food_counted: FoodCounted = "off"
    food_fossil_ratio: float = 0.0
    is_invented: bool = False
    place: str | None = noted("place")
    price_year: int | None = noted("price_year")
    solid_fraction: float | None = noted("solid_fraction", "")
    yearly_volume_m3: float | None = noted("yearly_volume", "stacked m3")
    value_of_time_per_h: float | None = noted("value_of_time", "per h")
    value_of_effort_per_1000_kcal: float | None = noted("value_of_effort", "money")
    carbon_price_per_t: float | None = noted("price_of_carbon", "money")
    bought_cord_price_per_cord: float | None = noted("bought_cord_price", "per cord")
    fuel_prices_per_l: Mapping[str, float | None] = field(default_factory=dict)
    bar_oil_price_per_l: float | None = noted("bar_oil_price", "per L")
    electricity_price_per_kwh: float | None = noted("electricity_price", "per kWh")
    heating: Heating = field(default_factory=Heating)
    wood: tuple[WoodKind, ...] = ()
    woodshed: tuple[ShedStack, ...] = ()
    people: tuple[Person, ...] = ()
    tools: tuple[Tool, ...] = ()
    upkeep: tuple[UpkeepItem, ...] = ()
    methods: tuple[Method, ...] = ()
    sessions: tuple[Session, ...] = ()
    other_units: tuple[OtherUnit, ...] = ()  # that the lengths of stacks may have been measured in
    next_season: NextSeason = field(default_factory=NextSeason)
    broken: Broken = field(default_factory=dict)
