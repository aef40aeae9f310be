"""How units and versions are written and compared."""

from __future__ import annotations


def version_parts(version: str) -> tuple[int, ...]:
    """A version as numbers, so that 1.10 comes after 1.9."""
    return tuple(int(part) for part in version.split(".") if part.isdecimal())


def unit_label(unit: str, *, is_money: bool, currency: str) -> str:
    """Unit with the currency in it: ``per gal`` becomes ``USD per gal``, ``money`` becomes ``USD`` or stays so."""
    if not is_money:
        return unit
    currency = currency or "money"
    return unit.replace("money", currency, 1) if unit.startswith("money") else f"{currency} {unit}"
