# SPDX-License-Identifier: MIT
"""Refits of an even check with NumPy, all replicates in one array: Fisher scoring in the eigenbasis until all stand still."""
import sys
import time

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
