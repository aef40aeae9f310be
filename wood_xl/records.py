"""Season records: the checked notes as plain numbers in one unit each, which every formula starts from.

Units stand in the names: m, m2, m3, min, h, kg, l (litre), kcal, kwh, bpm, per cent as a fraction. Money is in the
season's currency. ``None`` means not known. ``broken`` maps a topic (``quantity``, ``time``, ``effort``, ``money``,
``emissions``, ``heat``, ``plan``) to the cell that must be mended before anything on that topic can be given for this
record; for the season itself it maps the id of an item to its cell.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

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


@dataclass(frozen=True)
class Person:
    """A worker's body data, and what they may and will do.

    may_use: tools that they were trained at; None if the template did not ask for these.
    leaves: methods that they leave to others.
    """

    name: str
    age_years: float | None = None
    equation_sex: Sex | None = None
    mass_kg: float | None = None
    height_cm: float | None = None
    resting_bpm: float | None = None
    max_bpm: float | None = None
    vo2max_ml_kg_min: float | None = None
    heart_rate_limited: bool = False
    heart_rate_device: str | None = None
    doctor_word: DoctorWord = "not asked"
    may_use: tuple[str, ...] | None = None
    leaves: tuple[str, ...] = ()
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class WoodKind:
    """One kind of wood of the season; moisture is water over total mass, whatever basis it was written on."""

    name: str
    share_frac: float | None = None
    moisture_wet_frac: float | None = None
    basic_density_kg_per_m3: float | None = None
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class Heating:
    """The stove, and the heating that wood stands in for; the price is for one ``fuel_price_unit``."""

    appliance: str | None = None
    efficiency_frac: float | None = None
    efficiency_basis: HeatBasis = "net"
    other: OtherHeating | None = None
    other_efficiency_frac: float | None = None
    fuel_price: float | None = None
    fuel_price_unit: FuelUnit | None = None


@dataclass(frozen=True)
class Winter:
    """What is known of the heat that the next winter takes.

    Volumes are stacked. Degree days are in K day on one base.
    """

    last_winter_volume_m3: float | None = None
    last_winter_fuel: float | None = None
    last_winter_fuel_unit: FuelUnit | None = None
    heat_loss_w_per_k: float | None = None
    degree_days_next_k: float | None = None
    degree_days_last_k: float | None = None
    degree_day_base_c: float | None = None


@dataclass(frozen=True)
class Tool:
    """A tool and what having it costs; ``life_h`` counts running hours, of a hand tool hours at work.

    ``number`` stands for the tool whatever its name is. ``held`` is how one has it; what is not said counts as still
    to buy. ``share_frac`` is one's part of a shared tool, ``rent`` that of a rented one for each ``rent_per``.
    """

    name: str
    kind: str
    number: int = 0
    price: float | None = None
    resale: float | None = None
    life_h: float | None = None
    life_years: float | None = None
    held: Held | None = None
    share_frac: float | None = None
    rent: float | None = None
    rent_per: RentPer = "day"
    hours_so_far: float | None = None
    worth_today: float | None = None
    years_left: float | None = None
    mass_kg: float | None = None
    rated_power_kw: float | None = None
    vibration_m_s2: float | None = None
    sound_level_dba: float | None = None
    broken: Broken = field(default_factory=dict)

    @property
    def kind_row(self) -> ToolKind:
        """What the tables say of its kind."""
        return tool_kinds()[self.kind]

    @property
    def is_owned(self) -> bool:
        """Whether it was bought already, and by nobody else."""
        return self.held == "own"

    @property
    def is_others(self) -> bool:
        """Whether it belongs to somebody else: it has no price to pay, and no resale."""
        return self.held in ("rented", "borrowed")

    @property
    def is_to_pay(self) -> bool:
        """Whether its price, or a part of it, is still to pay."""
        return not (self.is_owned or self.is_others)

    @property
    def part_frac(self) -> float:
        """One's part of its price, its resale and its use; a share that is not written is all of it."""
        return self.share_frac if self.held == "shared" and self.share_frac is not None else 1.0

    @property
    def outlay(self) -> float | None:
        """What is still to pay for it; None if its price is not known."""
        if not self.is_to_pay:
            return 0.0
        return None if self.price is None else self.price * self.part_frac

    @property
    def named(self) -> Named:
        """Its name, told apart by its number."""
        return Named(f"tools.{self.number}", self.name)


@dataclass(frozen=True)
class UpkeepItem:
    """Something bought again every so many hours, cords, stacked m3 or years of a tool's use."""

    tool: str
    item: str
    price: float
    every: float
    per: Literal["hours", "cords", "stacked m3", "years"]


@dataclass(frozen=True)
class Method:
    """One task done with certain tools by so many people together; ``number`` stands for it whatever its name is."""

    name: str
    task: str
    tools: tuple[str, ...] = ()
    cost_group: str | None = None
    broken: Broken = field(default_factory=dict)
    number: int = 0
    people_n: int = 1

    @property
    def named(self) -> Named:
        """Its name, told apart by its number."""
        return Named(f"methods.{self.number}", self.name)

    @property
    def lacks_tool(self) -> bool:
        """Whether it names no tool for a task that nobody does with bare hands: what it costs is not known."""
        return not self.tools and tasks()[self.task].needs_tool


@dataclass(frozen=True)
class Trace:
    """What a monitor recorded of one person in one session, row by row; the two are equally long."""

    elapsed_s: Sequence[float]
    heart_rate_bpm: Sequence[float]

    @cached_property
    def cleaned(self) -> CleanTrace:
        """The trace put in order, once for all that is asked of it."""
        return clean_recordings(self.elapsed_s, self.heart_rate_bpm)


@dataclass(frozen=True)
class Worker:
    """One person's part in one session; ``number`` stands for the person whatever the name is."""

    person: str | None
    time_min: float
    number: int | None = None
    is_helper: bool = False
    mean_heart_rate_bpm: float | None = None
    monitor_kcal: float | None = None
    trace: Trace | None = None


@dataclass(frozen=True)
class Cut:
    """One sawn end, or several alike; the time, if it was taken, is that of one cut.

    class_width_m: width of the size class that they were counted in; 0 if each was measured.
    """

    diameter_m: float
    second_diameter_m: float | None = None
    cuts_n: int = 1
    cut_time_s: float | None = None
    class_width_m: float = 0.0


@dataclass(frozen=True)
class Stack:
    """One rectangular or sloping piece of a stack; by its name it stands in the woodshed."""

    height_m: float
    length_m: float
    top_length_m: float | None = None
    depth_m: float | None = None
    rows_n: int = 1
    form: StackForm | None = None
    name: str | None = None


@dataclass(frozen=True)
class Session:
    """One stretch of one method on one day.

    part_of: the session of the notes that this is the stacking of; empty for a session of the notes.
    crew: who worked, also where their time waits; None for one who is not named.
    lot_row: row in which its lot stands.
    has_cuts, has_stacks: whether any are written, or may be, where something waits for a mend.
    """

    name: str
    method: str
    part_of: str = ""
    elapsed_min: float | None = None
    delay_min: float = 0.0
    service_min: float = 0.0
    date: str | None = None
    workers: tuple[Worker, ...] = ()
    crew: tuple[str | None, ...] = ()
    fuel_l: float | None = None
    bar_oil_l: float | None = None
    electricity_kwh: float | None = None
    running_min: float | None = None
    air_temperature_c: float | None = None
    humidity_frac: float | None = None
    wind_km_per_h: float | None = None
    lot: str | None = None
    lot_row: str = ""
    leave_out: str | None = None
    cuts: tuple[Cut, ...] = ()
    stacks: tuple[Stack, ...] = ()
    has_cuts: bool = False
    has_stacks: bool = False
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class Reading:
    """A moisture reading of a stack: water over total mass, on a day as yyyy-mm-dd."""

    day: str
    moisture_wet_frac: float


@dataclass(frozen=True)
class Burned:
    """What was burned of a stack by a day as yyyy-mm-dd [stacked m3]; None for all that was left."""

    day: str
    volume_m3: float | None = None


@dataclass(frozen=True)
class ShedStack:
    """A stack in the woodshed: when it was stacked, of what, how much, what a meter showed and what was burned.

    name: of the wood of this season's Stacks too, which fills what is not written here.
    """

    name: str
    stacked_on: str | None = None
    kind: str | None = None
    volume_m3: float | None = None
    readings: tuple[Reading, ...] = ()
    burned: tuple[Burned, ...] = ()
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class NextSeason:
    """What is wanted next, and what can be given for it.

    volume_basis: how the volume was come by.
    standing_m3: dry wood of the woodshed that is left for the winter in which new wood is dry.
    start, ready_by: days as yyyy-mm-dd.
    weekdays: days of the week that can be worked on, Monday is 0; empty if any can.
    winter: what is known of the heat that it must bring.
    filled_n: how many items of the sheet hold something.
    broken: id of an item to the cell to mend.
    """

    volume_wanted_m3: float | None = None
    volume_basis: Said = AS_WRITTEN
    standing_m3: float = 0.0
    start: str | None = None
    ready_by: str | None = None
    hours_per_week: float | None = None
    longest_session_min: float | None = None
    people_n: int | None = None
    weekdays: tuple[int, ...] = ()
    cash_limit: float | None = None
    carbon_limit_kg: float | None = None
    winter: Winter = field(default_factory=Winter)
    filled_n: int = 0
    broken: Broken = field(default_factory=dict)


@dataclass(frozen=True)
class Season:
    """Everything that was filled in and holds; prices of fuels by the ids of ``fuels.csv``."""

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
    grid_kg_per_kwh: float | None = None
    food_counted: FoodCounted = "off"
    food_fossil_ratio: float = 0.0
    is_invented: bool = False
    place: str | None = None
    price_year: int | None = None
    solid_fraction: float | None = None
    yearly_volume_m3: float | None = None
    value_of_time_per_h: float | None = None
    value_of_effort_per_1000_kcal: float | None = None
    carbon_price_per_t: float | None = None
    bought_cord_price_per_cord: float | None = None
    fuel_prices_per_l: Mapping[str, float | None] = field(default_factory=dict)
    bar_oil_price_per_l: float | None = None
    electricity_price_per_kwh: float | None = None
    heating: Heating = field(default_factory=Heating)
    wood: tuple[WoodKind, ...] = ()
    woodshed: tuple[ShedStack, ...] = ()
    people: tuple[Person, ...] = ()
    tools: tuple[Tool, ...] = ()
    upkeep: tuple[UpkeepItem, ...] = ()
    methods: tuple[Method, ...] = ()
    sessions: tuple[Session, ...] = ()
    next_season: NextSeason = field(default_factory=NextSeason)
    broken: Broken = field(default_factory=dict)
