"""Edges of the classes of work, and what is refused."""

from __future__ import annotations

import pytest

from wood_xl.body.workload import workload_class
from wood_xl.ids import Workload
from wood_xl.records import Sex


@pytest.mark.parametrize(
    ("sex", "starts"),
    [("male", (2.0, 5.0, 7.5, 10.0, 12.5)), ("female", (1.5, 3.5, 5.5, 7.5, 9.5))],
)
def test_each_class_begins_at_its_line(sex: Sex, starts: tuple[float, ...]) -> None:
    classes = list(Workload)
    for start, below, name in zip(starts, classes, classes[1:], strict=False):
        assert workload_class(kcal_per_min=start, sex=sex) == name
        assert workload_class(kcal_per_min=start - 0.01, sex=sex) == below


def test_negative_energy_is_refused() -> None:
    with pytest.raises(ValueError, match="kcal_per_min is -1"):
        workload_class(kcal_per_min=-1, sex="male")
