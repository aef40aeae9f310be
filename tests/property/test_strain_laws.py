"""Laws that strain and rest keep for all inputs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.body import strain
from wood_xl.ids import Modeled
from wood_xl.reasons import Reason


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


SHARE = between(0, 1)
MAYBE_SHARE = st.just(Reason.NO_HEART_RATE) | SHARE
REST, RISE, LEFT = between(30, 110), between(0.5, 120), between(0.5, 120)


@given(REST, RISE, LEFT)
def test_half_of_the_reserve_is_the_fifty_percent_level(rest: float, rise: float, left: float) -> None:
    rates = {"heart_rate_bpm": rest + rise, "resting_bpm": rest, "max_bpm": rest + rise + left}
    share = strain.heart_rate_reserve_frac(**rates)
    level = strain.ratio_to_fifty_percent_level(**rates)
    ratio = (rest + rise) / rest
    assert 0 < share < 1 < ratio
    assert level == pytest.approx(ratio / (1 + (ratio - 1) / (2 * share)), rel=1e-9)
    assert (level - 1) * (share - 0.5) >= -1e-12


@given(SHARE, SHARE)
def test_harder_work_is_never_modeled_for_longer(one: float, other: float) -> None:
    """Over the whole scale: a share that has a time has one at every higher share, strictly shorter beyond it."""
    low, high = sorted((one, other))
    by_reserve = [strain.acceptable_work_min(reserve_frac=share) for share in (low, high)]
    by_uptake = [strain.acceptable_work_by_uptake_min(uptake_frac=share) for share in (low, high)]
    for longer, shorter in (by_reserve, by_uptake):
        if longer.minutes is not None:
            assert shorter.minutes is not None
            assert longer.minutes >= shorter.minutes > 0
            assert longer.minutes > shorter.minutes or high - low < 1e-9
            assert longer.basis.id is not Modeled.EXTRAPOLATED or shorter.basis.id is Modeled.EXTRAPOLATED


@given(
    st.just(Reason.NO_HEART_RATE) | SHARE,
    between(0, 960),
    st.none() | between(0.3, 1.2),
    between(0, 600),
    between(0, 0.5),
)
def test_longer_or_harder_work_is_never_flagged_less(
    share: float | Reason, minutes: float, highest: float | None, more_minutes: float, more_share: float
) -> None:
    found = strain.judged_strain(reserve_frac=share, session_min=minutes, highest_of_max_frac=highest).strain
    harder = strain.judged_strain(
        reserve_frac=share if isinstance(share, Reason) else min(1.0, share + more_share),
        session_min=minutes + more_minutes,
        highest_of_max_frac=highest,
    ).strain
    assert strain.WORST_FIRST.index(harder) <= strain.WORST_FIRST.index(found)


@given(between(0, 960), between(0.5, 25), between(0.1, 8), between(0.1, 2))
def test_work_and_rest_balance_at_the_standard(total_min: float, above: float, gap: float, resting: float) -> None:
    standard = resting + gap
    work = standard + above
    rest = strain.rest_in_total_min(
        total_min=total_min, work_kcal_per_min=work, standard_kcal_per_min=standard, resting_kcal_per_min=resting
    )
    assert 0 <= rest <= total_min
    assert (total_min - rest) * work + rest * resting == pytest.approx(total_min * standard, rel=1e-9)
