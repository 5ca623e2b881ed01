# SPDX-License-Identifier: MIT
"""Refits of an even check one by one with SciPy: restricted likelihood in the eigenbasis, L-BFGS-B with gradients left to it."""
import sys
import time

import numpy as np
from scipy.optimize import minimize

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


def minus(log_theta, z, line, pure):
    reading, saw, seating = np.exp(log_theta)
    spot = saw + reading / repeats
    w = 1 / (seating * eigenvalue + spot / sxx)
    a = turned**2 @ w
    r = z - turned * ((turned * z) @ w / a)
    return 0.5 * (nu_line * np.log(spot) + line / spot - np.log(w).sum() + np.log(a) + r**2 @ w + nu_pure * log_theta[0] + pure / reading)


many = int(sys.argv[1])
data = list(zip(*drawn(many)))
first = np.log([1.7e-4, 5e-5, 4e-4])
bounds = [(np.log(1e-9), 0)] * 3
start = time.perf_counter()
for z, line, pure in data:
    best = minimize(minus, first, (z, line, pure), method="L-BFGS-B", bounds=bounds)
print(f"last {np.sqrt(np.exp(best.x))}")
print(f"seconds {(time.perf_counter() - start) / many:.6g}")
