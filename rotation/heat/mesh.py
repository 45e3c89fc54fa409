"""Bodies cut into pieces for conduction: a volume, a surface, and what a temperature drives from piece to piece.

All are linear finite elements with lumped volumes. `radial` is one-dimensional, its area growing as a power of the
radius: slab, cylinder, sphere and what lies between. `spheroid` is a section of a body of revolution. Lengths in m.
The core is piece 0, the surface comes last.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rotation.heat.crumb import Array


@dataclass(frozen=True)
class Mesh:
    """volumes in m3; surfaces in m2, 0 inside; flow: square, in m: W per W/m of the integral of k; band: its width."""

    volumes: Array
    surfaces: Array
    flow: Array
    band: int


def radial(power: float, radius: float, volume: float, shells: int = 40) -> Mesh:
    """Return a body whose area grows as radius to the power: 0 slab (radius: half its thickness), 1, 2 sphere."""
    edges = np.linspace(0, 1, shells + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    bounds = np.concatenate([[0.0], middle, [1.0]]) ** (power + 1)
    surface = volume * (power + 1) / radius
    through = surface * middle**power / (radius * np.diff(edges))
    flow = np.zeros((shells + 1, shells + 1))
    inner = np.arange(shells)
    flow[inner, inner + 1] = flow[inner + 1, inner] = through
    flow -= np.diag(flow.sum(axis=1))
    surfaces = np.zeros(shells + 1)
    surfaces[-1] = surface
    return Mesh(volume * np.diff(bounds), surfaces, flow, 1)


def spheroid(half_length: float, radius: float, shells: int = 20, rays: int = 8) -> Mesh:
    """Return an ellipsoid of revolution: half its length along the axis, and its radius. Long or flat."""
    scale, angle = np.linspace(0, 1, shells + 1)[1:], np.linspace(0, np.pi / 2, rays + 1)
    r = np.concatenate([[0.0], np.outer(scale, radius * np.sin(angle)).ravel()])
    z = np.concatenate([[0.0], np.outer(scale, half_length * np.cos(angle)).ravel()])
    nodes = 1 + np.arange(shells * (rays + 1)).reshape(shells, rays + 1)
    fan = np.stack([np.zeros(rays, dtype=np.intp), nodes[0, :-1], nodes[0, 1:]], axis=1)
    a, b, c, d = (part.ravel() for part in (nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]))
    shorter = np.hypot(r[a] - r[c], z[a] - z[c]) <= np.hypot(r[b] - r[d], z[b] - z[d])  # the cut that conducts truest
    inner = np.stack([a, d, np.where(shorter, c, b)], axis=1)
    outer = np.stack([np.where(shorter, a, d), c, b], axis=1)
    corners = np.concatenate([fan, inner, outer])
    volumes, flow = _triangles(r, z, corners)
    surfaces = np.zeros_like(r)
    ring = nodes[-1]
    length = np.hypot(np.diff(r[ring]), np.diff(z[ring]))
    np.add.at(surfaces, ring[:-1], 2 * np.pi * length * (2 * r[ring[:-1]] + r[ring[1:]]) / 6)
    np.add.at(surfaces, ring[1:], 2 * np.pi * length * (r[ring[:-1]] + 2 * r[ring[1:]]) / 6)
    whole = 4 / 3 * np.pi * half_length * radius**2
    cut = whole / (2 * volumes.sum())  # a polygon lies inside its curve
    return Mesh(2 * volumes * cut, 2 * surfaces * cut ** (2 / 3), 2 * flow * cut ** (1 / 3), rays + 2)


def _triangles(r: Array, z: Array, corners: NDArray[np.intp]) -> tuple[Array, Array]:
    """Return volumes and the flow matrix of triangles turned about the axis."""
    volumes, flow = np.zeros_like(r), np.zeros((len(r), len(r)))
    rc, zc = r[corners], z[corners]
    across = np.roll(zc, -1, axis=1) - np.roll(zc, 1, axis=1)
    along = np.roll(rc, 1, axis=1) - np.roll(rc, -1, axis=1)
    area = np.abs((rc * across).sum(axis=1)) / 2
    mean = rc.mean(axis=1)
    for one in range(3):
        np.add.at(volumes, corners[:, one], 2 * np.pi * area * (rc[:, one] + 3 * mean) / 12)
        for other in range(3):
            joined = across[:, one] * across[:, other] + along[:, one] * along[:, other]
            np.add.at(flow, (corners[:, one], corners[:, other]), -2 * np.pi * mean * joined / (4 * area))
    return volumes, flow
