"""What the person says an hour, effort spared and CO2e avoided are worth, if anything."""

from __future__ import annotations

from dataclasses import dataclass

from wood_xl.records import Season

ITEMS = ("value_of_time", "value_of_effort", "price_of_carbon")
FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e")


@dataclass(frozen=True, slots=True)
class Values:
    """Exchange values in the season's currency; what is not stated is not weighed.

    kcal_1000: of 1,000 kcal spared; below 0 if the exercise is wanted.
    waits: cell of a value to mend; empty if none waits.
    """

    hour: float | None = None
    kcal_1000: float | None = None
    co2e_tonne: float | None = None
    waits: str = ""

    @property
    def is_more_than_cash(self) -> bool:
        """Whether effort or CO2e is weighed beside cash."""
        return self.kcal_1000 is not None or self.co2e_tonne is not None

    @property
    def weights(self) -> dict[str, float]:
        """What a unit of each figure of a cord is worth, but for hours: 1 for cash, a kcal, a kg of CO2e."""
        priced = {"cash": 1.0}
        if self.kcal_1000 is not None:
            priced["kcal_net"] = self.kcal_1000 / 1000
        if self.co2e_tonne is not None:
            priced["co2e"] = self.co2e_tonne / 1000
        return priced


def stated_values(season: Season) -> Values:
    """The values that a season states."""
    return Values(
        hour=season.value_of_time_per_h,
        kcal_1000=season.value_of_effort_per_1000_kcal,
        co2e_tonne=season.carbon_price_per_t,
        waits=next((season.broken[item] for item in ITEMS if item in season.broken), ""),
    )
