"""An axis holds all that is drawn on it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.report.charts import axis_end


@given(st.floats(min_value=1e-8, max_value=1e9))
def test_an_axis_holds_the_largest_value_in_few_even_steps(largest: float) -> None:
    end, step = axis_end(largest)
    assert end >= largest * (1 - 1e-9)
    assert end - step < largest
    assert 1 <= round(end / step) <= 6
    assert end / step == pytest.approx(round(end / step))


def test_an_axis_of_nothing_is_still_an_axis() -> None:
    assert axis_end(0.0) == axis_end(9e-9) == (1.0, 0.2)
