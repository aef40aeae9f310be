"""A computed number with what must be said beside it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the results.

    Attributes
    ----------
    value : float or None
        The number; None if it cannot be given.
    basis : str
        How it was come by, in plain words; empty where the column says it all.
    low, high : float or None
        Interval; None where none can be given.
    reason : str
        Why the value, or else the interval, is not given; empty if both are, or if no interval belongs to the figure:
        what was written, counted or chosen, and parts and sums that stand beside the figures with intervals.
    """

    value: float | None
    basis: str = ""
    low: float | None = None
    high: float | None = None
    reason: str = ""


def not_given(reason: str) -> Figure:
    """A figure that cannot be given.

    Parameters
    ----------
    reason : str
        Why, in plain words.

    Returns
    -------
    Figure
        Without a value.

    References
    ----------
    wood_xl_definitions, a figure that cannot be given carries its reason.

    Examples
    --------
    >>> not_given("no price for gasoline").value is None
    True
    """
    return Figure(value=None, reason=reason)


def exact(number: float) -> Figure:
    """A figure that is counted or chosen, so that no interval belongs to it.

    Parameters
    ----------
    number : float
        The number.

    Returns
    -------
    Figure
        Without an interval and without a reason for its absence.

    References
    ----------
    wood_xl_definitions, a figure that cannot be given carries its reason.

    Examples
    --------
    >>> exact(3.0).reason
    ''
    """
    return Figure(value=number, reason="")
