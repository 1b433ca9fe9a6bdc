"""A listing as CSV: UTF-8, a header, CRLF and quotes as RFC 4180 says, a point for decimals."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO

import numpy as np

from kitbuild.base.document import Column, Listing
from kitbuild.base.units import round_half_up


def render_csv(listing: Listing) -> bytes:
    """The bytes of `listing`; ValueError when its columns differ in length or a float is not finite."""
    target = StringIO(newline="")
    writer = csv.writer(target, lineterminator="\r\n")
    writer.writerow(column.name for column in listing.columns)
    writer.writerows(zip(*map(_texts, listing.columns), strict=True))
    return target.getvalue().encode("utf-8")


def _texts(column: Column) -> list[str]:
    values = column.values.tolist() if isinstance(column.values, np.ndarray) else column.values
    if column.decimals is None:
        return ["" if value is None else str(value) for value in values]
    if any(value is None for value in values):
        return ["" if value is None else _fixed([value], column.decimals)[0] for value in values]
    return _fixed(values, column.decimals)


def _fixed(values: Sequence[object], decimals: int) -> list[str]:
    """Numbers with `decimals` digits after the point, halves away from zero, and no minus before a zero.

    Printing decides by the float's exact value; only those that stand at a half, as far as floats can tell,
    are decided by their shortest decimal form.
    """
    numbers = np.array(values, dtype=float)
    if not np.isfinite(numbers).all():
        raise ValueError("a listing cannot hold nan or infinity")
    scaled = np.abs(numbers) * 10.0**decimals
    at_half = np.abs(scaled % 1.0 - 0.5) <= 1e-9 + 8 * np.spacing(scaled)
    numbers[(scaled < 0.5) & ~at_half] = 0.0
    form = f"%.{decimals}f"
    texts = [form % number for number in numbers.tolist()]
    for index in np.flatnonzero(at_half).tolist():
        texts[index] = f"{round_half_up(numbers[index], decimals):f}"
    return texts
