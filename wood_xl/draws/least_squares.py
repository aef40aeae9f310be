"""Least squares in exact fractions: neither the order of the rows nor their magnitude costs a digit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from wood_xl.data.load import value
from wood_xl.draws.normal import student_quantile
from wood_xl.reasons import Reason, Refused, said

Exact = list[Fraction]


@dataclass(frozen=True, slots=True)
class Fit:
    """Values fitted by a sum of columns, each times its coefficient.

    covariance: of the coefficients; all 0 without a degree of freedom.
    residual_ss: residual sum of squares.
    """

    coefficients: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    residual_ss: float
    df: int

    @property
    def residual_sd(self) -> float:
        """Standard deviation of a value about the fit; 0 without a degree of freedom."""
        return math.sqrt(self.residual_ss / self.df) if self.df else 0.0

    def combined(self, weights: Sequence[float]) -> tuple[float, float]:
        """Weighted sum of the coefficients, such as a prediction, and its standard error."""
        total = math.fsum(w * c for w, c in zip(weights, self.coefficients, strict=True))
        variance = math.fsum(
            weights[i] * weights[j] * cell for i, row in enumerate(self.covariance) for j, cell in enumerate(row)
        )
        return total, math.sqrt(max(variance, 0.0))

    def interval(self, weights: Sequence[float]) -> tuple[float, float]:
        """Interval of a weighted sum of the coefficients; needs a degree of freedom."""
        total, error = self.combined(weights)
        half = student_quantile((1 + value("interval.level") / 100) / 2, self.df) * error
        return total - half, total + half


def least_squares(*, columns: Sequence[Sequence[float]], values: Sequence[float]) -> Fit:
    """Fit values by columns; an intercept needs a column of ones.

        minimise the sum of (value - sum of coefficient * column)^2

    Errors: Refused if there are fewer rows than columns, or the columns are linearly dependent.
    Source: nist_strd, regression, analysis of variance and univariate data sets; jcgm_100, example H.3.

    >>> fit = least_squares(columns=[(1, 1, 1), (1, 2, 3)], values=(2.0, 4.0, 6.5))
    >>> [round(c, 4) for c in fit.coefficients], round(fit.residual_sd, 4)
    ([-0.3333, 2.25], 0.2041)
    """
    exact = [[Fraction(x) for x in column] for column in columns]
    target = [Fraction(y) for y in values]
    if len(target) < len(exact):
        raise Refused(said(Reason.NOT_TOLD_APART, rows=len(target), columns=len(exact)))
    normal = [[_dot(a, b) for b in exact] for a in exact]
    inverse = _inverse(normal)
    right = [_dot(column, target) for column in exact]
    solution = [_dot(row, right) for row in inverse]
    residual_ss = _dot(target, target) - _dot(solution, right)
    df = len(target) - len(exact)
    variance = residual_ss / df if df else Fraction(0)
    return Fit(
        tuple(map(float, solution)),
        tuple(tuple(float(variance * cell) for cell in row) for row in inverse),
        float(residual_ss),
        df,
    )


def condition_of_two(*, first: Sequence[float], second: Sequence[float]) -> float:
    """Condition number of two columns scaled to equal length: how hard they are to tell apart.

        c = cosine between the columns        condition = sqrt((1 + c) / (1 - c))

    Source: how_sure_defaults, log size.

    >>> condition_of_two(first=(1.0, 0.0), second=(0.0, 2.0))
    1.0
    """
    product = math.fsum(a * b for a, b in zip(first, second, strict=True))
    squares = [math.fsum(x * x for x in column) for column in (first, second)]
    cosine = abs(product) / math.sqrt(squares[0] * squares[1])
    return math.inf if cosine >= 1.0 else math.sqrt((1.0 + cosine) / (1.0 - cosine))


def _dot(a: Sequence[Fraction], b: Sequence[Fraction]) -> Fraction:
    return sum((x * y for x, y in zip(a, b, strict=True)), Fraction(0))


def _inverse(matrix: list[Exact]) -> list[Exact]:
    """Gauss-Jordan elimination; exact, so any pivot but 0 will do."""
    size = len(matrix)
    rows = [[*row, *(Fraction(int(i == j)) for j in range(size))] for i, row in enumerate(matrix)]
    for column in range(size):
        pivot = next((i for i in range(column, size) if rows[i][column] != 0), None)
        if pivot is None:
            raise Refused(said(Reason.COLUMN_FOLLOWS))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        lead = rows[column][column]
        rows[column] = [cell / lead for cell in rows[column]]
        for i in range(size):
            factor = rows[i][column]
            if i != column and factor:
                rows[i] = [cell - factor * top for cell, top in zip(rows[i], rows[column], strict=True)]
    return [row[size:] for row in rows]
