"""Model of the sessions: what each method of a task takes for a unit of wood, and how sure that is.

    y = level + method + (b + c_method) (x - x*) + persons + day + session

``y`` is the log of an amount for a unit of wood, ``x`` the log of the diameter. The spread from day to day, the day's
share in it, and the spreads of persons and of each method are unknown: the model is solved for every combination on a
grid, and each combination counts by how well it explains the rows. ``rows`` makes its input; ``season`` solves it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.normal import Array
from wood_xl.draws.rows import EFFORT, Observed, Row

Numbers = npt.NDArray[np.intp]
PIECE_NUMBERS = 100_000  # held at once: they stay near the processor, and a large season fills no memory


class Grid(NamedTuple):
    """Values of the four unknown spreads, with the logs of their prior weights.

    s: SD of the log rate from day to day.
    day_share: share of that variance common to all rows of a day.
    person_sd: SD of the log rate between persons.
    k: spread of a method over that of its task; each method has its own, unless there are very many.
    """

    s: Array
    s_prior: Array
    day_share: Array
    day_share_prior: Array
    person_sd: Array
    person_sd_prior: Array
    k: Array
    k_prior: Array


@dataclass(frozen=True, eq=False, slots=True)
class Design:
    """Model of one amount: columns, priors, and sums by method and day that do not depend on the spreads.

    x: rows by columns: 1, methods, log of the diameter, the same by method, persons.
    y: log rates less their mean.
    beta_0: prior mean of each column.
    precision: prior precision of each column, for each value of the spread of persons.
    targets: methods by columns: a method on equal terms.
    slopes: methods by columns: 1 in the columns of a method's slope.
    evidence: timed cuts as rows in units of their standard error; the last column is observed less expected.
    factor: variance of each row over that of a row with average wood.
    days: days by rows: 1 where a row belongs to a day.
    squares, day_sums, day_counts: weighted squares by method, sums and weights by method and day; the last column is
        y.
    """

    observed: Observed
    grid: Grid
    methods: tuple[int, ...]
    x: Array
    y: Array
    mean_y: float
    beta_0: Array
    precision: Array
    targets: Array
    slopes: Array
    evidence: Array
    evidence_log_se: float
    factor: Array
    method_of: Numbers
    days: Array
    squares: Array
    day_sums: Array
    day_counts: Array

    @property
    def shared_days(self) -> bool:
        """Whether a day holds two rows."""
        return self.grid.day_share.size > 1

    @property
    def log_columns(self) -> slice:
        """Columns of log diameter."""
        many = len(self.methods)
        return slice(1 + many, 1 + many + (1 + many if self.observed.common.log_diameter is not None else 0))

    @property
    def person_columns(self) -> slice:
        """Columns of persons."""
        return slice(self.log_columns.stop, self.x.shape[1])


class Spreads(NamedTuple):
    """Places in the grid of the spreads of several points; ``k`` has a column for each method."""

    s: Numbers
    day_share: Numbers
    person_sd: Numbers
    k: Numbers

    def at(self, points: Numbers | npt.NDArray[np.bool_]) -> Spreads:
        """Spreads of some of the points."""
        return Spreads(*(axis[points] for axis in self))

    def log_prior(self, grid: Grid) -> Array:
        """Log of the prior of each point, without that of ``k``."""
        return grid.s_prior[self.s] + grid.day_share_prior[self.day_share] + grid.person_sd_prior[self.person_sd]


class Points(NamedTuple):
    """Sorted grid points, with the log of prior times likelihood."""

    spreads: Spreads
    log_weight: Array


def design(observed: Observed) -> Design:
    """Columns, priors and sums of one amount, which must have a row."""
    rows, common = observed.rows, observed.common
    methods = tuple(sorted({row.method for row in rows}))
    methods_n, persons_n = len(methods), len(common.persons)
    method_of = np.array([methods.index(row.method) for row in rows])
    indicator = np.eye(methods_n)
    slope, slope_sd = (value(f"model.log_slope.{_slope_kind(observed)}{end}") for end in ("", ".sd"))
    blocks, target_blocks = [np.ones((len(rows), 1)), indicator[method_of]], [np.ones((methods_n, 1)), indicator]
    prior_means = [0.0] * (1 + methods_n)
    prior_sds = [value("model.level_sd"), *[value("model.method_sd")] * methods_n]
    if common.log_diameter is not None:
        log_size = np.array([[(row.log_diameter or 0.0) - common.log_diameter] for row in rows])
        blocks += [log_size, log_size * indicator[method_of]]
        target_blocks += [np.zeros((methods_n, 1 + methods_n))]
        prior_means += [slope, *[0.0] * methods_n]
        prior_sds += [slope_sd, *[value("model.log_slope.method_sd")] * methods_n]
    slopes = np.zeros((methods_n, len(prior_sds) + persons_n))
    if common.log_diameter is not None:
        slopes[:, 1 + methods_n] = 1.0
        slopes[:, 2 + methods_n : 2 + 2 * methods_n] = indicator
    blocks += [np.array([row.shares for row in rows]).reshape(len(rows), persons_n)]
    target_blocks += [np.tile(np.array(common.hands), (methods_n, 1)).reshape(methods_n, persons_n)]
    beta_0 = np.array(prior_means + [0.0] * persons_n)
    cuts = [(slopes[methods.index(one.method)], one) for one in observed.slopes if one.method in methods]
    evidence = [np.append(where, one.slope - where @ beta_0) / one.se for where, one in cuts]
    wood = np.array([row.wood_m3 for row in rows])
    factor = np.minimum(value("model.wood_factor"), (1 + wood.mean() / wood) / 2)
    days = _days(rows)
    grid = grid_of(methods_n, persons_n, days.shape[0] < len(rows))
    x, y = np.hstack(blocks), np.array([row.log_rate for row in rows])
    augmented = np.column_stack([x, y - y.mean() - x @ beta_0])
    squares, day_sums, day_counts = _sums(augmented, 1 / factor, indicator[method_of].T, days)
    return Design(
        observed=observed,
        grid=grid,
        methods=methods,
        x=x,
        y=y - y.mean(),
        mean_y=float(y.mean()),
        beta_0=beta_0,
        precision=np.array(
            [[*(sd**-2 for sd in prior_sds), *[float(own) ** -2] * persons_n] for own in grid.person_sd]
        ),
        targets=np.hstack(target_blocks),
        slopes=slopes,
        evidence=np.array(evidence).reshape(len(evidence), beta_0.size + 1),
        evidence_log_se=math.fsum(math.log(one.se) for _, one in cuts),
        factor=factor,
        method_of=method_of,
        days=days,
        squares=squares,
        day_sums=day_sums,
        day_counts=day_counts,
    )


def _slope_kind(observed: Observed) -> str:
    if not observed.sawn:
        return "other"
    return "effort" if observed.amount in EFFORT else "supply"


def _days(rows: Sequence[Row]) -> Array:
    """Days by rows: 1 where a row belongs to a day; an undated row has a day of its own."""
    keys: list[object] = [("undated", i) if row.day is None else row.day for i, row in enumerate(rows)]
    names = list(dict.fromkeys(keys))
    return np.array([[float(key == name) for key in keys] for name in names])


def grid_of(methods_n: int, persons_n: int, shared_days: bool) -> Grid:
    """Grid of the spreads; one that the rows cannot determine has a single value."""
    s = np.exp(
        np.linspace(
            math.log(value("model.spread.lowest")),
            math.log(value("model.spread.highest")),
            int(value("model.spread.nodes")),
        )
    )
    score = (np.log(s) - math.log(value("model.spread.median"))) / value("model.spread.log_sd")
    own_days = (np.zeros(1), np.zeros(1))
    no_persons = (np.ones(1), np.zeros(1))
    # Gauss-Hermite: three points match a normal distribution up to its fifth moment.
    reach = value("model.method_spread.log_sd") * math.sqrt(3)
    has_own = 1 < methods_n <= value("model.own_spreads")
    k = (np.exp([-reach, 0.0, reach]), np.log([1 / 6, 2 / 3, 1 / 6])) if has_own else (np.ones(1), np.zeros(1))
    return Grid(
        s,
        scaled(-(score**2) / 2),
        *(prior_nodes("model.day_share", 4) if shared_days else own_days),
        *(prior_nodes("model.person_sd", 3) if persons_n else no_persons),
        *k,
    )


def prior_nodes(name: str, n: int) -> tuple[Array, Array]:
    """Values of a grid and the logs of their weights."""
    places = [f"{name}.{i}" for i in range(1, n + 1)]
    return np.array([value(one) for one in places]), np.log([value(f"{one}.weight") for one in places])


def log_sum(logs: Array, axis: int | None = None) -> Array:
    """Log of the sum of exponentials; the largest is factored out, or all might underflow."""
    top = logs.max(axis=axis, keepdims=True)
    total: Array = np.squeeze(top, axis=axis) + np.log(np.exp(logs - top).sum(axis=axis))
    return total


def scaled(logs: Array) -> Array:
    """Logs of weights that sum to 1."""
    return logs - log_sum(logs)


def _sums(augmented: Array, weight: Array, methods: Array, days: Array) -> tuple[Array, Array, Array]:
    """Sums over rows by method and by day and method, and weights by day and method; for k = 1, no day's share."""
    squares = np.array([(augmented * (weight * own)[:, None]).T @ augmented for own in methods])
    day_sums = np.array([[day @ (augmented * (weight * own)[:, None]) for day in days] for own in methods])
    return squares, day_sums, np.array([[day @ (weight * own) for day in days] for own in methods])


def log_likelihood(design: Design, spreads: Spreads) -> Array:
    """Log likelihood of the rows at each grid point, without constants.

    With the right side as one more row and column, the diagonal of one Cholesky factor gives both the determinant and
    the residual sum of squares.
    """
    variance = design.grid.s[spreads.s] ** 2
    sums, logs, back = _normal_sums(design, spreads)
    logs = logs[back]
    size, points_n = sums.shape[1], spreads.s.size
    diagonal = np.empty((points_n, size))
    step = max(1, PIECE_NUMBERS // size**2)
    for part in (slice(at, at + step) for at in range(0, points_n, step)):
        matrix = _with_priors(design, sums[back[part]], spreads.s[part], spreads.person_sd[part])
        matrix[:, -1, -1] += 1.0  # with no residual, rounding could make the last square negative
        diagonal[part] = np.linalg.cholesky(matrix)[:, np.arange(size), np.arange(size)]
    left = diagonal[:, -1] ** 2 - 1.0
    determinant = 2 * np.log(diagonal[:, :-1]).sum(axis=1) - np.log(design.precision).sum(axis=1)[spreads.person_sd]
    rows_n = design.y.size
    log_density: Array = -(left + logs + rows_n * np.log(variance) + determinant + 2 * design.evidence_log_se) / 2
    return log_density


def posterior_matrix(design: Design, spreads: Spreads) -> Array:
    """Precision P of the coefficients, with right side and square as last row and column, at each point."""
    sums, _, back = _normal_sums(design, spreads)
    return _with_priors(design, sums[back], spreads.s, spreads.person_sd)


def _with_priors(design: Design, matrix: Array, s: Numbers, person_sd: Numbers) -> Array:
    """The array with prior precision added in place: a copy of the largest arrays costs as much as their sums."""
    matrix *= (design.grid.s[s] ** -2)[:, None, None]
    for place, prior in enumerate(_prior_matrices(design)):
        matrix[person_sd == place] += prior
    return matrix


def _normal_sums(design: Design, spreads: Spreads) -> tuple[Array, Array, Numbers]:
    """F, f and h as one symmetric matrix, and l; none depends on s, so equal settings are summed once.

    The last array gives the place of each point's sums.
    """
    many, base = len(design.methods), design.grid.k.size
    code = spreads.day_share.astype(np.int64)
    for own in spreads.k.T:
        code = code * base + own
    _, first, back = np.unique(code, return_index=True, return_inverse=True)
    rho = design.grid.day_share[spreads.day_share[first]]
    scale = 1 / ((1 - rho)[:, None] * design.grid.k[spreads.k[first]] ** 2)
    size = design.squares.shape[-1]
    matrix = (scale @ design.squares.reshape(many, -1)).reshape(-1, size, size)
    logs = np.bincount(design.method_of, minlength=many) @ (-np.log(scale)).T + np.log(design.factor).sum()
    if design.grid.day_share.size > 1:
        days_n = design.days.shape[0]
        weights = scale @ design.day_counts
        by_day = (scale @ design.day_sums.reshape(many, -1)).reshape(-1, days_n, size)
        shrunk = by_day * (rho[:, None] / (1 + rho[:, None] * weights))[:, :, None]
        matrix -= by_day.transpose(0, 2, 1) @ shrunk
        logs += np.log1p(rho[:, None] * weights).sum(axis=1)
    return matrix, logs, back


def _prior_matrices(design: Design) -> Array:
    """Prior precision plus the timed cuts, one matrix for each spread of persons."""
    size = design.precision.shape[1]
    matrices = np.zeros((design.precision.shape[0], size + 1, size + 1))
    matrices[:, np.arange(size), np.arange(size)] = design.precision
    return matrices + design.evidence.T @ design.evidence


def enumeration(design: Design) -> Points:
    """All grid points."""
    grid, many = design.grid, len(design.methods)
    own_spreads_n = many if grid.k.size > 1 else 0
    sizes = [axis.size for axis in (grid.s, grid.day_share, grid.person_sd, *[grid.k] * own_spreads_n)]
    s, day_share, person_sd, *ks = np.indices(sizes).reshape(len(sizes), -1)
    k = np.column_stack(ks) if ks else np.zeros((s.size, many), dtype=np.intp)
    spreads = Spreads(s, day_share, person_sd, k)
    log_prior = spreads.log_prior(grid) + grid.k_prior[k].sum(axis=1)
    return Points(spreads, log_prior + log_likelihood(design, spreads))
