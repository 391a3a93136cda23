"""Rate of a rubber bush across its axis by finite elements of linear elasticity, which know nothing of a bush's formulas.

Displacements go around the axis as U cos θ, V sin θ and W cos θ; the section is cut into elements of eight nodes with two points of integration each
way, which do not lock where rubber keeps its volume (O. C. Zienkiewicz and R. L. Taylor, The Finite Element Method, from memory).
"""

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve

CORNERS = [(-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0)]


def shapes(x, y):
    """Return the eight shape functions at a point of an element, and their slopes along x and y."""
    rows = []
    for p, q in CORNERS:
        if p and q:
            rows.append((
                0.25 * (1 + p * x) * (1 + q * y) * (p * x + q * y - 1),
                0.25 * p * (1 + q * y) * (2 * p * x + q * y), 0.25 * q * (1 + p * x) * (p * x + 2 * q * y),
            ))  # fmt: skip
        elif p == 0:
            rows.append((0.5 * (1 - x * x) * (1 + q * y), -x * (1 + q * y), 0.5 * (1 - x * x) * q))
        else:
            rows.append((0.5 * (1 + p * x) * (1 - y * y), 0.5 * p * (1 - y * y), -y * (1 + p * x)))
    return np.array(rows).T


def bush_rate(inner, outer, length, shear, across=10, along=16, poisson=0.4995):
    """Return the rate across its axis [N/m] of rubber that is bonded to a sleeve and an eye."""
    r, z = np.linspace(inner, outer, 2 * across + 1), np.linspace(0.0, 0.5 * length, 2 * along + 1)
    number, places = {}, []
    for i in range(2 * across + 1):
        for j in range(2 * along + 1):
            if not (i % 2 and j % 2):
                number[i, j] = len(places)
                places.append((r[i], z[j]))
    places = np.array(places)
    of_volume = 2.0 * shear * poisson / (1.0 - 2.0 * poisson)
    elastic = np.diag([2.0 * shear] * 3 + [shear] * 3)
    elastic[:3, :3] += of_volume
    wide, high = 0.5 * (r[2] - r[0]), 0.5 * (z[2] - z[0])
    rows, columns, values = [], [], []
    for i in range(1, 2 * across, 2):
        for j in range(1, 2 * along, 2):
            nodes = [number[i + p, j + q] for p, q in CORNERS]
            stiffness = np.zeros((24, 24))
            for x in (-1.0 / 3.0**0.5, 1.0 / 3.0**0.5):
                for y in (-1.0 / 3.0**0.5, 1.0 / 3.0**0.5):
                    n, dx, dy = shapes(x, y)
                    dr, dz, radius = dx / wide, dy / high, n @ places[nodes, 0]
                    strain = np.zeros((6, 24))  # rr, θθ, zz, rz, rθ, θz
                    strain[0, 0::3], strain[1, 0::3], strain[1, 1::3], strain[2, 2::3] = dr, n / radius, n / radius, dz
                    strain[3, 0::3], strain[3, 2::3] = dz, dr
                    strain[4, 0::3], strain[4, 1::3] = -n / radius, dr - n / radius
                    strain[5, 1::3], strain[5, 2::3] = dz, -n / radius
                    stiffness += strain.T @ elastic @ strain * radius * wide * high * np.pi
            own = np.array([(3 * node, 3 * node + 1, 3 * node + 2) for node in nodes]).ravel()
            rows.append(np.repeat(own, 24))
            columns.append(np.tile(own, 24))
            values.append(stiffness.ravel())
    size = 3 * len(places)
    whole = csr_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(size, size))
    moved, held = np.zeros(size), np.zeros((len(places), 3), bool)
    eye = np.isclose(places[:, 0], outer)
    held[np.isclose(places[:, 0], inner) | eye] = True
    held[np.isclose(places[:, 1], 0.0), 2] = True  # the middle of its length stays
    moved[0::3][eye], moved[1::3][eye] = 1.0, -1.0
    free = ~held.ravel()
    moved[free] = spsolve(whole[free][:, free].tocsc(), -(whole[free][:, ~free] @ moved[~free]))
    return 2.0 * float(moved @ (whole @ moved))
