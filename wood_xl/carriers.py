"""What drives a tool, what that takes, and which items of the Season sheet price it."""

from __future__ import annotations

from wood_xl.records import ToolKind

FUEL_PRICES: dict[ToolKind, tuple[str, ...]] = {
    "gasoline two-stroke": ("gasoline_price", "two_stroke_oil_price"),
    "gasoline four-stroke": ("gasoline_price",),
    "diesel": ("diesel_price",),
}
FUEL_KINDS = tuple(FUEL_PRICES)
ELECTRIC_KINDS: tuple[ToolKind, ...] = ("battery", "mains")
