# SPDX-License-Identifier: MIT
"""A free network by SciPy: Gauss and Newton, inner constraints, the ± of every coordinate and of 320 angles.

    python3 survey.py dense|sparse near|far DATA
"""
import re
import sys
import time

import numpy as np

how, which, path = sys.argv[1:4]
columns, rows = map(int, re.search(r"(\d+)x(\d+)", path).groups())
data = np.loadtxt(path)
first, second = data[:, 0].astype(int), data[:, 1].astype(int)
value, sigma = data[:, 2], data[:, 3]
n = columns * rows
x = 96 * (np.arange(n) % columns - 0.5 * (columns - 1))
y = 96 * (np.arange(n) // columns - 0.5 * (rows - 1))
nominal = np.column_stack([x, y]).ravel()
datum = np.zeros((3, 2 * n))
datum[0, 0::2] = datum[1, 1::2] = 1
datum[2, 0::2], datum[2, 1::2] = -y / 96, x / 96
along, across = (columns // 2, rows // 2) if which == "far" else (1, 1)
wide, high = columns - along, rows - across
angles = np.zeros((2 * n, 320))
for i in range(320):
    k = i * wide * high // 320
    at = k // wide * columns + k % wide
    for leg, sign in ((at + along, -1), (at + across * columns, 1)):
        dx, dy = x[leg] - x[at], y[leg] - y[at]
        for hole, s in ((leg, sign), (at, -sign)):
            angles[2 * hole, i] += -s * dy / (dx * dx + dy * dy)
            angles[2 * hole + 1, i] += s * dx / (dx * dx + dy * dy)


def derivatives(at):
    dx = at[2 * second] - at[2 * first]
    dy = at[2 * second + 1] - at[2 * first + 1]
    length = np.hypot(dx, dy)
    return length, np.column_stack([-dx / length, -dy / length, dx / length, dy / length])


place = np.column_stack([2 * first, 2 * first + 1, 2 * second, 2 * second + 1])
line = np.repeat(np.arange(len(value)), 4)
start = time.perf_counter()
at = nominal.copy()
if how == "sparse":
    import scipy.sparse as sp
    import scipy.sparse.linalg as spl

for step in range(20):
    length, a = derivatives(at)
    weighted = ((value - length) / sigma)
    if how == "dense":
        normal = np.zeros((2 * n, 2 * n))
        block = a[:, :, None] * a[:, None, :] / sigma[:, None, None] ** 2
        np.add.at(normal, (place[:, :, None], place[:, None, :]), block)
        right = np.zeros(2 * n)
        np.add.at(right, place, a * (weighted / sigma)[:, None])
        # the datum's outer product makes it regular and leaves what the three conditions leave
        scaled = datum / np.linalg.norm(datum, axis=1)[:, None]
        inverse = np.linalg.inv(normal + scaled.T @ scaled * normal[0, 0])
        change = inverse @ right
    else:
        j = sp.csr_matrix(((a / sigma[:, None]).ravel(), (line, place.ravel())), shape=(len(value), 2 * n))
        bordered = sp.bmat([[j.T @ j, sp.csr_matrix(datum.T)], [sp.csr_matrix(datum), None]], format="csc")
        factor = spl.splu(bordered)  # with pivots: in symmetric mode the zeros of the datum cost all digits
        change = factor.solve(np.concatenate([j.T @ weighted, np.zeros(3)]))[:2 * n]
    at = at + change
    if np.max(np.abs(change)) < 1e-9:
        break
if how == "dense":
    # what the datum's weight adds to the inverse
    inverse -= scaled.T @ np.linalg.solve(scaled @ scaled.T @ scaled @ scaled.T, scaled) / normal[0, 0]
    errors = np.sqrt(np.diag(inverse))
    of_angles = np.sqrt(np.einsum("ij,ij->j", angles, inverse @ angles))
else:
    errors = np.empty(2 * n)
    for begin in range(0, 2 * n, 64):
        unit = np.zeros((2 * n + 3, min(64, 2 * n - begin)))
        unit[np.arange(begin, begin + unit.shape[1]), np.arange(unit.shape[1])] = 1
        solved = factor.solve(unit)
        errors[begin:begin + unit.shape[1]] = np.sqrt(solved[np.arange(begin, begin + unit.shape[1]),
                                                             np.arange(unit.shape[1])])
    solved = factor.solve(np.vstack([angles, np.zeros((3, 320))]))
    of_angles = np.sqrt(np.einsum("ij,ij->j", angles, solved[:2 * n]))
took = time.perf_counter() - start
length, a = derivatives(at)
print(f"squares {np.sum(((value - length) / sigma) ** 2):.9e}, sum of u {errors.sum():.9e}, "
      f"of the angles' u {of_angles.sum():.9e}")
print(f"seconds {took:.6f}")
