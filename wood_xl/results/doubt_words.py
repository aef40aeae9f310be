"""Numbers worded with no more digits than they deserve."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

FEW_SESSIONS = 2  # up to so many, a third digit says nothing
LEAST_DIGITS, MOST_DIGITS, ALL_DIGITS = 2, 3, 17
WIDER_FRAC = 1 / 3  # of the way from the value to an end: what two digits may add to it before a third is written


def rounded_texts(
    *, middle: float, low: float, high: float, sessions_n: int, clear_of: float | None = None
) -> tuple[str, str, str]:
    """A value and the ends of its interval, each with two or three significant digits of its own.

        lower end rounded down, upper end rounded up, so that what is printed holds the whole interval;
        the value to the nearest, ties to even, in decimal

    A third digit is written from three sessions on, where two would widen either side by more than a third. Still
    more are written only where an end would else be printed as the value itself, or would touch what it is clear of.

    middle: value.
    low: lower end, at most the value.
    high: upper end, at least the value.
    clear_of: a number that must not be printed within the interval if it lies outside, as 1 for a ratio.

    Returns value, lower and upper end.

    Source: jcgm_100, 7.2.6; how_sure_defaults, rounding in words.

    >>> rounded_texts(middle=12.37, low=5.58, high=27.41, sessions_n=1)
    ('12', '5.5', '28')
    """
    most = LEAST_DIGITS if sessions_n <= FEW_SESSIONS else MOST_DIGITS
    value, lowest, highest = (Decimal(repr(number)) for number in (middle, low, high))
    allowed = [WIDER_FRAC * abs(end - middle) for end in (low, high)]
    for digits in range(LEAST_DIGITS, ALL_DIGITS + 1):
        near = _rounded(value, digits, ROUND_HALF_EVEN)
        below, above = _rounded(lowest, digits, ROUND_FLOOR), _rounded(highest, digits, ROUND_CEILING)
        is_apart = (below < near or lowest >= value) and (near < above or value >= highest)
        is_clear = clear_of is None or lowest <= clear_of <= highest or not below <= clear_of <= above
        is_close = lowest - below <= allowed[0] and above - highest <= allowed[1]
        if is_apart and is_clear and (is_close or digits >= most):
            break
    return f"{near:,f}", f"{below:,f}", f"{above:,f}"


def _rounded(number: Decimal, digits: int, rounding: str) -> Decimal:
    """To so many significant digits, also where rounding brings one more before the point."""
    if not number:
        return Decimal(0)
    place = number.adjusted() - digits + 1
    rounded = number.quantize(Decimal(1).scaleb(place), rounding=rounding)
    if rounded.adjusted() > number.adjusted():
        rounded = rounded.quantize(Decimal(1).scaleb(place + 1))
    return rounded
