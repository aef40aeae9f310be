"""The people, prices and diaries of the two invented seasons, which ``invent.py`` turns into notes.

All of it is made up. Prices are in the season's currency; the paces say how much work a unit of wood takes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from wood_xl.notes.convert import INVENTED_NAME

Row = dict[str, Any]


def filled(**cells: Any) -> Row:
    """A row without its empty cells."""
    return {key: value for key, value in cells.items() if value not in (None, "")}


def table(columns: str, *rows: tuple[Any, ...]) -> list[Row]:
    """Rows of a sheet from the names of its columns and the cells below them; None is an empty cell."""
    return [filled(**dict(zip(columns.split(), row, strict=False))) for row in rows]


@dataclass(frozen=True)
class Pace:
    """The truth of a method: what one unit of wood takes (m2 sawn for bucking, solid m3 for all else) and the pulse.

    It holds on an average day, for logs of the season's middle size, by hands of pace 1.
    """

    minutes: float
    pulse: float
    fuel_ml: float = 0
    bar_oil_ml: float = 0
    kwh: float = 0
    services: int = 0  # stops for fuel, filing and setting up
    slope: float = 0  # of the logarithm of the time on that of the diameter


@dataclass(frozen=True)
class Entry:
    """One line of the diary. ``cuts`` for bucking; otherwise the part of the pile, from and to.

    stacks: shapes of the stacks that were taped: row, sloping, double row, crossed, loose; else cuts were counted.
    within: whether a splitting session stacked its wood as well.
    one_by_one: whether the cuts stand on Cuts and not on Tally.
    tanks: whether full tanks or charges were counted and no amounts measured.
    """

    session: str
    date: str
    method: str
    person: str
    pile: str
    cuts: int = 0
    part: tuple[float, float] = (0, 1)
    stacks: tuple[str, ...] = ()
    within: bool = False
    one_by_one: bool = False
    helper: str = ""
    helped: float = 1  # of the session
    tanks: bool = False
    no_pulse: bool = False
    no_fuel: bool = False
    lost: int = 0  # minutes of a mishap
    note: str | None = None
    leave_out: str | None = None


@dataclass(frozen=True)
class Story:
    """What is decided by hand for one season."""

    name: str
    system: str  # us or metric: the units of the blank workbook
    start: int  # of its number sequences
    inch_m: float  # metres in the unit of diameters, sticks and stacks
    class_step: int  # between the sizes of the tally
    butts: tuple[float, float]  # butt diameters, in that unit
    calliper_step: float
    tape_step: float
    fuel_ml: float  # millilitres in the typed unit of fuel
    fuel_step: float
    stacking: float  # minutes for a solid m3 that is stacked within a splitting session
    begins: str  # first Start of a day
    sheets: Row
    paces: dict[str, Pace]
    hands: dict[str, float]  # person to time taken, as a multiple of the average
    pulses: dict[str, float]  # person to beats above the pace's; who is absent wears no monitor
    counts_energy: str  # person whose monitor shows energy
    weather: dict[str, float]
    diary: tuple[Entry, ...]
    traced: str = ""  # session with a heart trace
    sizes: dict[str, float] = field(default_factory=dict)  # tool to its tank or battery, in mL or Wh

    @property
    def stick_m(self) -> float:
        """Length of a stick, in m."""
        return float(self.sheets["season"]["stick_length"]) * self.inch_m

    def method(self, entry: Entry) -> Row:
        """Row of the entry's method."""
        return next(row for row in self.sheets["methods"] if row["method"] == entry.method)


HILL_FARM = Story(
    name="hill_farm_us",
    system="us",
    start=9,
    inch_m=0.0254,
    class_step=1,
    butts=(7.5, 12),
    calliper_step=0.25,
    tape_step=1,
    fuel_ml=29.5735,
    fuel_step=1,
    stacking=24,
    begins="9:05",
    sheets={
        "trial": {"longest_session": 150},
        "season": {
            "season_name": f"{INVENTED_NAME}: hill farm, spring 2025",
            "place": "Foxglove Rise (an invented place)",
            "currency": "USD",
            "price_year": 2025,
            "stick_length": 16,
            "yearly_volume": 5,
            "horizon_years": 10,
            "real_interest_rate": 3,
            "value_of_time": 18,
            "bought_cord_price": 340,
            "gasoline_price": 3.4,
            "two_stroke_oil_price": 15,
            "bar_oil_price": 18,
            "electricity_price": 0.17,
            "two_stroke_mix": 50,
            "ethanol_share": 10,
            "grid_intensity": 780,
            "practical_margin": 10,
            "appliance": "certified stove",
            "appliance_efficiency": 71,
            "displaced_fuel": "heating oil",
            "displaced_fuel_price": 3.9,
        },
        "wood": table(
            "species share moisture moisture_basis",
            ("maple, sugar", 60, 27, "dry"),
            ("oak, northern red", 40, 34, "dry"),
        ),
        "people": table(
            "person age equation_sex mass height resting_heart_rate max_heart_rate vo2max heart_rate_device may_use",
            ("Mara", 42, "female", 148, 66, 61, 181, 38, "chest strap", "chain saw; electric splitter"),
            ("Jon", 57, "male", 192, None, 68, None, None, "wrist", "chain saw; electric splitter"),
            ("Eli", 16, "male", 151, 70),
        ),
        "tools": table(
            "tool kind price resale life_hours life_years mass rated_power vibration sound_level held"
            " worth_today years_left tank",
            ("bow saw", "hand", 34, 0, None, 8, 1.6, None, None, 72, "own", 15, 4),
            ("sawbuck", "hand", 60, 0, None, 10, 18, None, None, None, "own", 20, 6),
            ("chain saw", "gasoline two-stroke", 430, 60, 600, 10, 13, 3, 4.2, 103, "own", 210, 6, 12),
            ("protective clothing", "hand", 240, 0, None, 6, 5, None, None, None, "own", 60, 3),
            ("splitting maul", "hand", 62, 5, None, 15, 8, None, None, 85, "own", 30),
            ("electric splitter", "mains", 690, 90, 900, 12, 108, 2, 2.5, 84, "to buy"),
            ("wheelbarrow", "hand", 110, 10, None, 12, 33, None, None, None, "own", 40),
        ),
        "upkeep": table(
            "tool item price every per",
            ("bow saw", "new blade", 9, 3, "cords"),
            ("chain saw", "new chain", 28, 9, "cords"),
            ("chain saw", "round file", 4, 12, "hours"),
            ("chain saw", "air filter and plug", 17, 2, "years"),
            ("splitting maul", "new handle", 21, 14, "cords"),
            ("electric splitter", "hydraulic oil", 26, 3, "years"),
        ),
        "methods": table(
            "method task tool_1 tool_2 cost_group",
            ("bow saw bucking", "buck", "bow saw", "sawbuck", "hand"),
            ("chain saw bucking", "buck", "chain saw", "protective clothing", "power"),
            ("maul splitting", "split", "splitting maul", None, "hand"),
            ("electric splitting", "split", "electric splitter", None, "power"),
            ("hand stacking", "stack", "wheelbarrow", None, "hand"),
        ),
        "next_season": {
            "volume_wanted": 5,
            "start_date": "2026-02-14",
            "ready_by_date": "2026-05-31",
            "hours_per_week": 3,
            "people_available": 2,
            "cash_limit": 500,
            "carbon_limit": 220,
        },
    },
    paces={
        "bow saw bucking": Pace(minutes=60, pulse=124, slope=-0.7),
        "chain saw bucking": Pace(minutes=15, pulse=107, fuel_ml=150, bar_oil_ml=62, services=2, slope=-0.7),
        "maul splitting": Pace(minutes=78, pulse=127),
        "electric splitting": Pace(minutes=48, pulse=102, kwh=0.75, services=1),
        "hand stacking": Pace(minutes=26, pulse=109),
    },
    hands={"Mara": 1.06, "Jon": 0.94, "Eli": 1.1},
    pulses={"Mara": -8, "Jon": -3},
    counts_energy="Jon",
    weather={
        "2025-03-08": 38,
        "2025-03-15": 41,
        "2025-03-22": 46,
        "2025-03-29": 44,
        "2025-03-30": 52,
        "2025-04-05": 49,
        "2025-04-12": 55,
        "2025-04-26": 61,
        "2025-04-27": 58,
        "2025-05-03": 64,
    },
    diary=(
        Entry("S1", "2025-03-08", "chain saw bucking", "Jon", "A", cuts=60, note="Mara in sight"),
        Entry(
            "S2",
            "2025-03-08",
            "bow saw bucking",
            "Mara",
            "A",
            cuts=26,
            one_by_one=True,
            note="first time with this saw",
        ),
        Entry("S3", "2025-03-15", "chain saw bucking", "Mara", "A", cuts=56),
        Entry("S4", "2025-03-15", "bow saw bucking", "Jon", "A", cuts=32),
        Entry(
            "S5", "2025-03-22", "chain saw bucking", "Jon", "A", cuts=62, no_pulse=True, note="monitor left at home"
        ),
        Entry("S6", "2025-03-22", "bow saw bucking", "Mara", "A", cuts=33),
        Entry("S7", "2025-03-29", "electric splitting", "Jon", "A", part=(0, 0.27)),
        Entry("S8", "2025-03-29", "maul splitting", "Mara", "A", part=(0.27, 0.5), note="knotty, north side"),
        Entry("S9", "2025-03-30", "electric splitting", "Jon", "A", part=(0.5, 0.78)),
        Entry("S10", "2025-03-30", "maul splitting", "Mara", "A", part=(0.78, 1), stacks=("row",), within=True),
        Entry(
            "S11",
            "2025-03-30",
            "hand stacking",
            "Eli",
            "A",
            part=(0, 0.42),
            stacks=("row",),
            helper="Mara",
            helped=0.4,
        ),
        Entry("S12", "2025-04-05", "chain saw bucking", "Mara", "B", cuts=62, tanks=True, no_pulse=True),
        Entry("S13", "2025-04-05", "bow saw bucking", "Jon", "B", cuts=30),
        Entry(
            "S14", "2025-04-05", "hand stacking", "Mara", "A", part=(0.42, 0.78), stacks=("crossed",), helper="Jon"
        ),
        Entry(
            "S15",
            "2025-04-12",
            "chain saw bucking",
            "Jon",
            "C",
            cuts=18,
            no_fuel=True,
            lost=46,
            leave_out="chain came off, most of the time went into mending it",
        ),
        Entry("S16", "2025-04-12", "bow saw bucking", "Mara", "B", cuts=32),
        Entry("S17", "2025-04-26", "electric splitting", "Mara", "B", part=(0, 0.3)),
        Entry("S18", "2025-04-26", "maul splitting", "Jon", "B", part=(0.3, 0.54)),
        Entry("S19", "2025-04-27", "electric splitting", "Jon", "B", part=(0.54, 0.8)),
        Entry("S20", "2025-04-27", "maul splitting", "Mara", "B", part=(0.8, 1), stacks=("sloping",), within=True),
        Entry("S21", "2025-05-03", "hand stacking", "Eli", "B", part=(0, 0.42), stacks=("double row",)),
        Entry(
            "S22",
            "2025-05-03",
            "hand stacking",
            "Mara",
            "B",
            part=(0.42, 0.8),
            stacks=("row",),
            helper="Eli",
            helped=0.6,
        ),
    ),
    traced="S2",
    sizes={"chain saw": 12 * 29.5735},
)

LAKE_POWERED = "petrol chain saw; battery chain saw; petrol splitter"

LAKE_CABIN = Story(
    name="lake_cabin_metric",
    system="metric",
    start=3,
    inch_m=0.01,
    class_step=2,
    butts=(19, 30),
    calliper_step=1,
    tape_step=5,
    fuel_ml=1,
    fuel_step=10,
    stacking=24,
    begins="10:10",
    sheets={
        "trial": {"longest_session": 120, "work_days": "Sat Sun"},
        "season": {
            "season_name": f"{INVENTED_NAME}: lake cabin, autumn 2025",
            "place": "Tranvik (an invented place)",
            "currency": "SEK",
            "price_year": 2025,
            "stick_length": 33,
            "yearly_volume": 14,
            "horizon_years": 12,
            "real_interest_rate": 2.5,
            "value_of_time": 150,
            "gasoline_price": 16.5,
            "two_stroke_oil_price": 160,
            "bar_oil_price": 75,
            "electricity_price": 1.9,
            "two_stroke_mix": 50,
            "ethanol_share": 10,
            "grid_intensity": 0.04,
            "practical_margin": 10,
            "appliance": "masonry heater",
            "appliance_efficiency": 80,
            "displaced_fuel": "electric heating",
            "displaced_fuel_price": 1.9,
        },
        "wood": table(
            "species share moisture moisture_basis",
            ("birch, silver", 70, 20, "wet"),
            ("spruce, Norway", 30, 18, "wet"),
        ),
        "people": table(
            "person age equation_sex mass height resting_heart_rate max_heart_rate heart_rate_device"
            " rate_limiting_medicine doctor_word may_use",
            ("Ingrid", 45, "female", 66, None, 60, None, "arm band", "no", None, LAKE_POWERED),
            ("Mats", 49, "male", 84, 181, 64, 176, "chest strap", "no", None, LAKE_POWERED),
            ("Olle", 68, "male", 78, 174, None, None, None, "yes", "still to ask"),
        ),
        "tools": table(
            "tool kind price resale life_hours life_years mass rated_power vibration sound_level held"
            " worth_today years_left battery rent rent_per",
            ("bow saw", "hand", 390, 0, None, 8, 0.8, None, None, 72, "own", 150, 4),
            ("petrol chain saw", "gasoline two-stroke", 5200, 700, 700, 10, 5.9, 2.3, 4, 102, "own", 2400, 5),
            ("battery chain saw", "battery", 4900, 400, 500, 8, 4.6, 1.2, 3.1, 92, "to buy", None, None, 290),
            ("protective clothing", "hand", 2600, 0, None, 7, 2.2, None, None, None, "own", 700, 4),
            ("hand cart", "hand", 1400, 200, None, 15, 19, None, None, None, "own", 500, 8),
            ("splitting axe", "hand", 1490, 200, None, 20, 2.9, None, None, 84, "own", 700),
            (
                "petrol splitter",
                "gasoline four-stroke",
                None,
                None,
                None,
                None,
                190,
                4.1,
                3.5,
                94,
                "rented",
                None,
                None,
                None,
                650,
                "day",
            ),
        ),
        "upkeep": table(
            "tool item price every per",
            ("bow saw", "new blade", 95, 10, "stacked m3"),
            ("petrol chain saw", "new chain", 290, 30, "stacked m3"),
            ("petrol chain saw", "plug and filter", 180, 2, "years"),
            ("battery chain saw", "new chain", 260, 28, "stacked m3"),
            ("battery chain saw", "new battery", 2100, 250, "hours"),
            ("splitting axe", "new handle", 240, 60, "stacked m3"),
        ),
        "methods": table(
            "method task tool_1 tool_2 cost_group",
            ("bow saw bucking", "buck", "bow saw", None, "hand"),
            ("petrol saw bucking", "buck", "petrol chain saw", "protective clothing", "power"),
            ("battery saw bucking", "buck", "battery chain saw", "protective clothing", "power"),
            ("cart hauling", "haul", "hand cart", None, "hand"),
            ("axe splitting", "split", "splitting axe", None, "hand"),
            ("petrol splitting", "split", "petrol splitter", None, "power"),
        ),
        "woodshed": table(
            "stack stacked_on kind volume reading_date moisture moisture_basis",
            ("shed wall", "2024-05-11", "birch, silver", 8, "2025-10-12", 22, "dry"),
            ("boathouse", "2025-05-03", "spruce, Norway", 5),
        ),
        "next_season": {
            "last_winter_volume": 12,
            "degree_days_next": 4250,
            "degree_days_last": 4020,
            "degree_day_base": 17,
            "start_date": "2026-08-22",
            "ready_by_date": "2026-10-31",
            "hours_per_week": 10,
            "people_available": 3,
            "cash_limit": 4000,
            "carbon_limit": 60,
        },
    },
    paces={
        "bow saw bucking": Pace(minutes=48, pulse=122, slope=-0.7),
        "petrol saw bucking": Pace(minutes=12.5, pulse=106, fuel_ml=125, bar_oil_ml=52, services=2, slope=-0.7),
        "battery saw bucking": Pace(minutes=14.5, pulse=102, bar_oil_ml=48, kwh=0.17, services=1, slope=-0.7),
        "cart hauling": Pace(minutes=24, pulse=116),
        "axe splitting": Pace(minutes=92, pulse=123),
        "petrol splitting": Pace(minutes=42, pulse=104, fuel_ml=390, services=1),
    },
    hands={"Ingrid": 1.04, "Mats": 0.97, "Olle": 1.2},
    pulses={"Ingrid": 2, "Mats": -2},
    counts_energy="Ingrid",
    weather={
        "2025-09-06": 17,
        "2025-09-07": 15,
        "2025-09-13": 14,
        "2025-09-14": 16,
        "2025-09-20": 12,
        "2025-09-21": 11,
        "2025-09-27": 10,
        "2025-10-04": 8,
        "2025-10-11": 6,
    },
    diary=(
        Entry("L1", "2025-09-06", "petrol saw bucking", "Mats", "shore", cuts=70),
        Entry("L2", "2025-09-06", "bow saw bucking", "Ingrid", "shore", cuts=34, one_by_one=True),
        Entry("L3", "2025-09-07", "battery saw bucking", "Ingrid", "shore", cuts=50),
        Entry("L4", "2025-09-07", "cart hauling", "Mats", "shore", stacks=("loose",), helper="Olle", helped=0.7),
        Entry("L5", "2025-09-13", "petrol saw bucking", "Ingrid", "road", cuts=72),
        Entry(
            "L6", "2025-09-13", "battery saw bucking", "Mats", "road", cuts=52, no_pulse=True, note="strap was flat"
        ),
        Entry("L7", "2025-09-13", "bow saw bucking", "Mats", "road", cuts=34),
        Entry("L8", "2025-09-14", "cart hauling", "Ingrid", "road", stacks=("loose",), helper="Mats", note="uphill"),
        Entry("L9", "2025-09-20", "petrol saw bucking", "Mats", "ridge", cuts=74, no_pulse=True),
        Entry("L10", "2025-09-20", "battery saw bucking", "Ingrid", "ridge", cuts=50, tanks=True),
        Entry("L11", "2025-09-20", "bow saw bucking", "Ingrid", "ridge", cuts=32),
        Entry("L12", "2025-09-21", "cart hauling", "Mats", "ridge", stacks=("loose",), helper="Olle", helped=0.5),
        Entry("L13", "2025-09-27", "petrol splitting", "Mats", "shore", part=(0, 0.57), stacks=("sloping",)),
        Entry("L14", "2025-09-27", "axe splitting", "Ingrid", "shore", part=(0.57, 1), stacks=("row",)),
        Entry("L15", "2025-09-27", "petrol splitting", "Ingrid", "road", part=(0, 0.65), stacks=("double row",)),
        Entry("L16", "2025-09-27", "axe splitting", "Mats", "road", part=(0.65, 1), stacks=("row",)),
        Entry(
            "L17",
            "2025-10-04",
            "battery saw bucking",
            "Mats",
            "windfall",
            cuts=16,
            no_fuel=True,
            lost=25,
            leave_out="battery ran flat and the charges were not counted",
        ),
        Entry("L18", "2025-10-11", "petrol splitting", "Mats", "ridge", part=(0, 0.35), stacks=("row",)),
        Entry("L19", "2025-10-11", "axe splitting", "Ingrid", "ridge", part=(0.35, 0.65), stacks=("sloping",)),
        Entry("L20", "2025-10-11", "petrol splitting", "Ingrid", "ridge", part=(0.65, 1), stacks=("row",)),
    ),
    sizes={"battery chain saw": 290},
)

STORIES = (HILL_FARM, LAKE_CABIN)
