"""Numbers worded with no more digits than they deserve."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

FEW_SESSIONS = 2  # up to so many, one digit of the half width is all that is known
MOST_DIGITS = 3  # of the value itself: nobody reads more


def rounded_texts(*, middle: float, low: float, high: float, sessions_n: int) -> tuple[str, str, str]:
    """A value and the ends of its interval, to the digits that its doubt leaves.

        two significant digits of the half width, one with one or two sessions, and no more than three of the value;
        ties to even, in decimal

    Parameters
    ----------
    middle : float
        Value.
    low : float
        Lower end.
    high : float
        Upper end, above the lower.
    sessions_n : int
        Sessions behind the value.

    Returns
    -------
    tuple of str
        Value, lower and upper end.

    References
    ----------
    jcgm_100, 7.2.6;
    how_sure_defaults, rounding in words.

    Examples
    --------
    >>> rounded_texts(middle=55.42725, low=44.03, high=69.775, sessions_n=4)
    ('55', '44', '70')
    >>> rounded_texts(middle=14.98973, low=11.03, high=20.37, sessions_n=3)
    ('15.0', '11.0', '20.4')
    >>> rounded_texts(middle=56.36, low=25.44, high=124.9, sessions_n=1)
    ('60', '30', '120')
    """
    digits = 1 if sessions_n <= FEW_SESSIONS else 2
    half_width = Decimal(repr((high - low) / 2))
    place = max(half_width.adjusted() - digits, Decimal(repr(middle)).adjusted() - MOST_DIGITS) + 1
    return _rounded(middle, place), _rounded(low, place), _rounded(high, place)


def _rounded(number: float, place: int) -> str:
    whole = Decimal(repr(number)).quantize(Decimal(1).scaleb(place), rounding=ROUND_HALF_EVEN)
    return f"{whole:,f}"
