"""Laws of numbers in words: what is printed holds what was computed, and tells its parts apart."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import assume, given
from hypothesis import strategies as st

from wood_xl.results.doubt_words import rounded_texts

amounts = st.floats(min_value=1e-6, max_value=1e9)
factors = st.floats(min_value=1.0, max_value=1e4)
sessions = st.integers(min_value=1, max_value=9)


def read(text: str) -> Decimal:
    return Decimal(text.replace(",", ""))


def digits(text: str) -> int:
    """Significant digits without zeros at the end of a whole number, which may only fill its places."""
    bare = text.replace(",", "").lstrip("0.").rstrip("0") if "." not in text else text.lstrip("0.").rstrip("0")
    return len(bare.replace(".", ""))


@given(amounts, factors, factors, sessions)
def test_what_is_printed_holds_the_whole_interval(value: float, below: float, above: float, n: int) -> None:
    low, high = value / below, value * above
    middle_text, low_text, high_text = rounded_texts(middle=value, low=low, high=high, sessions_n=n)
    assert 0 < read(low_text) <= Decimal(repr(low))
    assert read(high_text) >= Decimal(repr(high))
    assert read(low_text) <= read(middle_text) <= read(high_text)
    assert (read(low_text) < read(middle_text)) or low == value
    assert (read(high_text) > read(middle_text)) or high == value


@given(amounts, st.floats(min_value=1.12, max_value=1e4), st.floats(min_value=1.12, max_value=1e4), sessions)
def test_there_are_two_digits_and_three_only_from_three_sessions_on(
    value: float, below: float, above: float, n: int
) -> None:
    texts = rounded_texts(middle=value, low=value / below, high=value * above, sessions_n=n)
    apart = 1.22  # from here on two digits always tell an end from the value
    if n >= 3 or (below > apart and above > apart):
        assert max(digits(text) for text in texts) <= (3 if n >= 3 else 2)


@given(amounts, st.floats(min_value=1.12, max_value=1e4), st.floats(min_value=1.12, max_value=1e4))
def test_rounding_widens_neither_side_by_more_than_a_third_where_three_digits_may_stand(
    value: float, below: float, above: float
) -> None:
    low, high = value / below, value * above
    _, low_text, high_text = rounded_texts(middle=value, low=low, high=high, sessions_n=3)
    assert low - float(read(low_text)) <= (value - low) / 3
    assert float(read(high_text)) - high <= (high - value) / 3


@given(st.floats(min_value=-1e6, max_value=1e6), amounts, amounts, sessions)
def test_ends_on_both_sides_of_nothing_are_held_too(value: float, below: float, above: float, n: int) -> None:
    low, high = value - below, value + above
    assume(low < value < high)
    middle_text, low_text, high_text = rounded_texts(middle=value, low=low, high=high, sessions_n=n)
    assert read(low_text) <= Decimal(repr(low))
    assert read(high_text) >= Decimal(repr(high))
    assert read(low_text) <= read(middle_text) <= read(high_text)
