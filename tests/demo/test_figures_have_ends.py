"""Every figure of the invented seasons has an interval around it, or says why it has none."""

from __future__ import annotations

import pytest
from builders import demo_results
from few import few
from figures import figures_of, without_word

from wood_xl.demo import demo_names


@pytest.fixture(scope="module", params=few(demo_names(), "hill_farm_us"))
def results(request: pytest.FixtureRequest) -> dict[str, object]:
    return demo_results(request.param)


def test_every_figure_has_ends_or_a_reason(results: dict[str, object]) -> None:
    assert without_word(results) == []
    assert sum(figure["low"] is not None for _, figure in figures_of(results)) > 500
