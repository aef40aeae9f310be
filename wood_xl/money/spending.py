"""What using a tool costs: upkeep for a cord and the price of the fuel in its tank.

Money is in the season's currency at the prices of one year.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import Number

Per = Literal["hours", "cords", "stacked m3", "years"]


def upkeep_per_cord(
    *, price: Number, every: float, per: Per, hours_per_cord: Number, cords_per_year: Number
) -> Number:
    """Cost for a cord of something bought again and again.

        price / every * use per cord,   where use is hours, cords, stacked m3 or years

    Source: cost_reference, wear parts: price over life.

    A chain of 25 that lasts 25 hours, at 1.25 hours a cord:

    >>> upkeep_per_cord(price=25, every=25, per="hours", hours_per_cord=1.25, cords_per_year=5)
    1.25
    """
    use_per_cord: dict[Per, Number] = {
        "hours": hours_per_cord,
        "cords": 1.0,
        "stacked m3": value("cord.volume_m3"),
        "years": 1 / cords_per_year,
    }
    return price / every * use_per_cord[per]


def premix_price_per_l(*, gasoline_price_per_l: float, oil_price_per_l: float, mix_ratio: float) -> float:
    """Price of two-stroke mix.

        price = (R * gasoline + oil) / (R + 1)

    Gasoline plus oil/R would be the cost per litre of gasoline, not per litre of mix.

    Source: cost_reference, price of premix.

    >>> round(premix_price_per_l(gasoline_price_per_l=1.10, oil_price_per_l=12.00, mix_ratio=50), 9)
    1.31372549
    """
    return (mix_ratio * gasoline_price_per_l + oil_price_per_l) / (mix_ratio + 1)


def fuel_price_per_l(*, kind: str, prices_per_l: Mapping[str, float | None], mix_ratio: float) -> float | None:
    """Price of the fuel in a tool's tank.

    prices_per_l: by id of the fuel; None where not given.

    Returns None if a price is missing, or the tool burns no fuel.

    Source: cost_reference, measured fuel times its price.

    >>> prices = {"gasoline": 1.1, "lubricant": None}
    >>> fuel_price_per_l(kind="gasoline four-stroke", prices_per_l=prices, mix_ratio=50)
    1.1
    """
    prices = [prices_per_l.get(fuel.id) for fuel in tool_kinds()[kind].bought]
    priced = [price for price in prices if price is not None]
    if not priced or len(priced) < len(prices):
        return None
    if len(priced) > 1:
        fuel_price, oil_price = priced
        return premix_price_per_l(gasoline_price_per_l=fuel_price, oil_price_per_l=oil_price, mix_ratio=mix_ratio)
    return priced[0]
