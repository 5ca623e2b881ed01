# SPDX-License-Identifier: MIT
"""Refits of an even check with NumPy, all replicates in one array: Fisher scoring in the eigenbasis until all stand still."""
import sys
import time

import numpy as np

from refit_design import drawn, eigenvalue, nu_line, nu_pure, repeats, sxx, turned


def scored(z, line, pure):
    reading = pure / nu_pure
    theta = np.stack([np.maximum(line / nu_line, reading / repeats), np.full(len(z), 4e-4)], 1)  # of a spot, of seating
    for step in range(100):
        spot, seating = theta[:, :1], theta[:, 1:]
        w = 1 / (seating * eigenvalue + spot / sxx)
        tw = turned * w
        a = (tw * turned).sum(1, keepdims=True)
        u = w * (z - turned * ((tw * z).sum(1, keepdims=True) / a))
        p = w - tw**2 / a  # the diagonal of the projection
        spot, seating = theta.T
        slope = np.stack([nu_line / spot - line / spot**2 + (p - u * u).sum(1) / sxx, (eigenvalue * (p - u * u)).sum(1)], 1)
        t2, lt2 = (tw * tw).sum(1), (eigenvalue * tw * tw).sum(1)
        a = a[:, 0]
        vv = nu_line / spot**2 + ((w * w).sum(1) - 2 * (tw * tw * w).sum(1) / a + (t2 / a) ** 2) / sxx**2
        vs = ((eigenvalue * w * w).sum(1) - 2 * (eigenvalue * tw * tw * w).sum(1) / a + lt2 * t2 / a**2) / sxx
        ss = (eigenvalue**2 * w * w).sum(1) - 2 * (eigenvalue**2 * tw * tw * w).sum(1) / a + (lt2 / a) ** 2
        det = vv * ss - vs * vs
        change = -np.stack([(ss * slope[:, 0] - vs * slope[:, 1]) / det, (vv * slope[:, 1] - vs * slope[:, 0]) / det], 1)
        new = np.maximum(theta + change, np.stack([reading / repeats, 1e-9 * np.ones(len(z))], 1))
        done = np.max(np.abs(new - theta) / theta) < 1e-8
        theta = new
        if done:
            break
    return theta


many = int(sys.argv[1])
data = drawn(many)
start = time.perf_counter()
theta = scored(*data)
print(f"last {np.sqrt(theta[-1])}")
print(f"seconds {(time.perf_counter() - start) / many:.6g}")
