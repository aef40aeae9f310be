"""How sure each figure of a method is: by its own sessions alone, and with the assumed day-to-day spread."""

from __future__ import annotations

from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.further_sessions import Trial, further_sessions
from wood_xl.calc.rates import Rate, dominating_session, linearised_se, quality_word
from wood_xl.data.load import value
from wood_xl.study.methods import MethodTotals
from wood_xl.study.rates import amounts_of, quantities_of, session_rate

Row = dict[str, Any]

FIGURES = ("worker_hours", "clock_hours", "kcal_net")
ONE_SESSION = "one session shows no spread"


def how_sure_rows(totals: list[MethodTotals]) -> list[Row]:
    """One row for each method and figure, per cord."""
    return [_row(t, figure_id) for t in totals if t.counted for figure_id in FIGURES]


def _row(totals: MethodTotals, figure_id: str) -> Row:
    rate = session_rate(totals, figure_id, lambda q: q.cords)
    n = len(totals.counted)
    row: Row = {
        "method": totals.method.name,
        "task": totals.method.task,
        "figure": figure_id,
        "sessions_n": n,
        "quality": quality_word(sessions_n=n),
    }
    if isinstance(rate, str):
        missing = not_given(rate)
        names = ("rate", "data_only", "next_session", "standard_error", "spread", "sessions_effective")
        return {**row, **dict.fromkeys(names, missing), "dominated_by": "", "further": rate}
    return {**row, **_doubt(totals, rate), "standard_error": _standard_error(totals, figure_id, rate)}


def _doubt(totals: MethodTotals, rate: Rate) -> Row:
    low, high = rate.interval
    next_low, next_high = rate.next_session
    data = rate.data_interval
    largest = dominating_session(quantities=quantities_of(totals, lambda q: q.cords))
    return {
        "rate": Figure(rate.value, "", low, high, ""),
        "data_only": not_given(ONE_SESSION) if data is None else Figure(rate.value, "", *data, ""),
        "next_session": Figure(rate.value, "", next_low, next_high, ""),
        "spread": Figure(100 * rate.spread, reason=""),
        "sessions_effective": Figure(rate.n_eff, reason=""),
        "dominated_by": "" if largest is None else totals.counted[largest].session.name,
        "further": further_words(trial_of(rate), None, ("",)),
    }


def _standard_error(totals: MethodTotals, figure_id: str, rate: Rate) -> Figure:
    amounts = amounts_of(totals, figure_id)
    if isinstance(amounts, str) or rate.n == 1:
        return not_given(ONE_SESSION)
    error = linearised_se(amounts=amounts, quantities=quantities_of(totals, lambda q: q.cords))
    return Figure(100 * error / rate.value, reason="")


def trial_of(rate: Rate) -> Trial:
    """Where a method stands, to see how many sessions are still needed."""
    return Trial(n=rate.n, spread=rate.spread, df=rate.df)


def further_words(first: Trial, second: Trial | None, names: tuple[str, ...]) -> str:
    """Sessions still needed, in words; the larger number if days differ more than they seem to.

    Parameters
    ----------
    first, second
        Where the methods stand; None for one alone.
    names
        Of the methods, or what is to be repeated; empty where the row itself names it.
    """
    factor = value("plan.half_width")
    likely = further_sessions(first=first, second=second, factor=factor)
    if likely is None:
        return f"out of reach: more than {value('plan.most_sessions'):.0f}"
    if not sum(likely):
        return "none"
    careful = further_sessions(
        first=first.pessimistic, second=None if second is None else second.pessimistic, factor=factor
    )
    parts = [f"{n} {name}".strip() for n, name in zip(likely, names, strict=False) if n]
    unlucky = "out of reach" if careful is None else str(sum(careful))
    return f"{', '.join(parts)} (if days differ more: {unlucky})"
