# SPDX-License-Identifier: MIT
"""Refits of an even check one by one with SciPy: restricted likelihood in the eigenbasis, L-BFGS-B with gradients left to it."""
import sys
import time

import numpy as np
from scipy.optimize import minimize

from refit_design import drawn, eigenvalue, nu_line, nu_pure, repeats, sxx, turned


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
