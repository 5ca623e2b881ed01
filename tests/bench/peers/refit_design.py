# SPDX-License-Identifier: MIT
"""The even check whose refits refit_numpy.py and refit_scipy.py take, and sums of checks drawn like it."""
import numpy as np

strips, spots, repeats, span = 8, 6, 3, 384.0
position = np.arange(spots) * 80.0 - 200
sxx = float(np.sum(position**2))
counts = np.array([[1.0 if j <= c < j + 4 else 0.0 for c in range(strips + 3)] for j in range(strips)])
eigenvalue, basis = np.linalg.eigh(counts @ counts.T * 2 / span**2)
turned = basis.T @ np.full(strips, 4.0)
nu_line, nu_pure = strips * (spots - 2), strips * spots * (repeats - 1)
random = np.random.default_rng(1)


def drawn(many):
    """Sums of so many checks: tapers in the eigenbasis, squares about the lines, squares of repeats."""
    corners = random.standard_normal((many, strips + 3)) * 0.02 * np.sqrt(2) / span
    places = random.standard_normal((many, strips, spots)) * 0.007
    readings = random.standard_normal((many, strips, spots, repeats)) * 0.013
    width = -np.einsum("mj,i->mji", corners @ counts.T, position) + places
    read = np.round((width[..., None] + readings) / 0.01) * 0.01
    mean = read.mean(-1)
    pure = ((read - mean[..., None]) ** 2).sum((1, 2, 3))
    centred = mean - mean.mean(-1, keepdims=True)
    slope = centred @ position / sxx
    line = ((centred - slope[..., None] * position) ** 2).sum((1, 2))
    return -slope @ basis, line, pure
