"""Small gasoline engines by kind, age and power, as EPA's model of non-road engines has them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from wood_xl.data.load import Known, known_status, table_rows, was_read
from wood_xl.errors import DefinitionFault

ENDING = "_per_hp_h"
PER_HP_H = ("fuel_lb_per_hp_h", "thc_g_per_hp_h", "co_g_per_hp_h", "nox_g_per_hp_h", "pm_g_per_hp_h")
USES = ("by power", "default", "no")


@dataclass(frozen=True, slots=True)
class SmallEngine:
    """Fuel and pollutants of one kind of engine per horsepower-hour, new."""

    code: str
    engine: str
    made: str
    power_from_hp: float
    power_to_hp: float
    used: str  # ``by power``, ``default`` where no power is written, or ``no``: kept for comparison
    fuel_lb_per_hp_h: float
    thc_g_per_hp_h: float
    co_g_per_hp_h: float
    nox_g_per_hp_h: float
    pm_g_per_hp_h: float
    known: Known

    def figure_id(self, column: str) -> str:
        """What one of its figures goes by."""
        return f"small_engine.{self.code.lower()}.{column.removesuffix(ENDING)}"

    @property
    def title(self) -> str:
        """Kind, age and power in words."""
        return f"{self.engine}, {self.made}, {self.power_from_hp:g} to {self.power_to_hp:g} hp"


@cache
def small_engines() -> Mapping[str, SmallEngine]:
    """Every engine by its code."""
    rows = [_engine(row) for row in table_rows("small_engines.csv")]
    by_code = {row.code: row for row in rows}
    if len(by_code) < len(rows):
        raise DefinitionFault("small_engines.csv: a code stands twice")
    return MappingProxyType(by_code)


def engine_for(engine: str | None, power_hp: float | None) -> SmallEngine | None:
    """The row that stands for an engine; None for those that the source has none of, such as diesel."""
    rows = sorted((row for row in _of(engine) if row.used != "no"), key=lambda row: row.power_to_hp)
    if power_hp is None:
        found = next((row for row in rows if row.used == "default"), None)
    else:
        found = next((row for row in rows if power_hp <= row.power_to_hp), rows[-1] if rows else None)
    if found is not None:
        for column in PER_HP_H:
            was_read(found.figure_id(column))
    return found


def thirstiest_lb_per_hp_h(engine: str | None) -> float | None:
    """Most fuel per horsepower-hour among all engines of that name, old ones too; None if there is none."""
    return max((row.fuel_lb_per_hp_h for row in _of(engine)), default=None)


def strongest_hp(engine: str | None) -> float | None:
    """Rated power of the strongest engine of that name; None if there is none."""
    return max((row.power_to_hp for row in _of(engine)), default=None)


def _of(engine: str | None) -> list[SmallEngine]:
    rows = [row for row in small_engines().values() if row.engine == engine]
    if engine is not None and not rows:
        raise DefinitionFault(f"small_engines.csv has no row of {engine!r}, which tool_kinds.csv names")
    return rows


def _engine(row: dict[str, str]) -> SmallEngine:
    if row["used"] not in USES:
        raise DefinitionFault(f"small_engines.csv: use {row['used']!r} is not one of {USES}")
    numbers = {key: float(text) for key, text in row.items() if key.endswith(("_hp", "_hp_h"))}
    texts = {key: row[key] for key in ("code", "engine", "made", "used")}
    return SmallEngine(**texts, **numbers, known=known_status(f"engine {row['code']}", row["known"]))  # type: ignore[arg-type]
