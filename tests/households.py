"""Invented households with a known truth: what a cord takes by each saw, and how far households differ."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from builders import small_season

Data = dict[str, Any]

RATIO = 2.5  # hours by hand over hours by chain saw, of the average household
SPREAD, DAY_SD = 0.12, 0.15  # of the log, between households and from session to session
MINUTES = 40.0  # of a session by chain saw
SESSIONS_N = 6


def household(number: int, chance: np.random.Generator, *, currency: str = "NOK", ratio: float | None = None) -> Data:
    """One season of one household, whose own ratio is drawn unless it is given."""
    data = small_season()
    own = math.exp(SPREAD * chance.normal()) * RATIO if ratio is None else ratio
    data["season"] |= {"season_name": f"Invented example: household {number}", "currency": currency}
    data["people"][0]["person"] = f"Person of {number}"
    methods = [(f"saw by hand {number}", own), (f"chain saw of {number}", 1.0)]
    for row, (name, _) in zip(data["methods"], methods, strict=True):
        row["method"] = name
    data["sessions"], data["cuts"], data["helpers"], data["stacks"] = [], [], [], []
    for at in range(SESSIONS_N):
        for name, times in methods:
            session = f"{'H' if times > 1 else 'C'}{at}"
            minutes = round(MINUTES * times * math.exp(DAY_SD * chance.normal()), 1)
            row = {
                "session": session,
                "date": f"2025-{3 + number % 9:02}-{2 * at + 1:02}",
                "method": name,
                "person": f"Person of {number}",
                "elapsed_time": minutes,
            }
            data["sessions"].append(row if times > 1 else row | {"fuel_used": 0.3})
            data["cuts"].append({"session": session, "diameter": 20, "cuts": 20})
    return data
