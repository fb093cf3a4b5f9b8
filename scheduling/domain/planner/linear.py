"""Sums of solver variables with one type, so that the type checker can follow them."""

from collections.abc import Iterable

from ortools.sat.python import cp_model

Linear = cp_model.LinearExpr | int


def total(parts: Iterable[Linear]) -> Linear:
    """Return the sum of expressions; the number 0 when there are none."""
    listed = list(parts)
    if not listed:
        return 0
    return cp_model.LinearExpr.sum(listed)


def weighed(parts: Iterable[tuple[cp_model.IntVar, int]]) -> Linear:
    """Return the sum of variables, each times its weight; the number 0 when there are none.

    The same as `total` of products, and several times as quick to build.
    """
    listed = list(parts)
    if not listed:
        return 0
    return cp_model.LinearExpr.weighted_sum([one for one, _ in listed], [by for _, by in listed])
