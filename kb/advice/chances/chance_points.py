"""Points of a chance 0..1 at which likelihoods of any number of vehicles are taken, and how betas weigh them.

Integrals of p^(a-1) (1-p)^(b-1) L(p) by Gauss-Legendre panels (Davis & Rabinowitz, Methods of Numerical
Integration, 2nd ed., 2.7). In the middle the panels are even in the angle asin(sqrt(p)): there the likelihood
of n vehicles is about 1 / (2 sqrt(n)) wide wherever its top is. Towards 0 and 1 they are even in the log
odds: there a beta with a small parameter falls off evenly. What lies beyond is the integral of p^(a-1) alone,
taken exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln

Floats = NDArray[np.float64]

PANELS = 32
"""Panels of the angle on either side of a chance of 1/2."""
ORDER = 16
TAIL = (-80.0, -40.0, -20.0, -10.0)
"""Log odds at which the panels towards 0 begin and end."""
AT_ONCE = 256
LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class ChancePoints:
    """Logs of p and of 1 - p, and the weight of each point for an integral over the log odds.

    The first and the last point stand for all beyond `TAIL`; their weight depends on the beta. `edges` are
    the log odds between which a point stands for the chance: one more than points.
    """

    log_p: Floats
    log_q: Floats
    weight: Floats
    edges: Floats


@lru_cache(maxsize=1)
def points() -> ChancePoints:
    """The points, mirrored about a chance of 1/2."""
    at, share = np.polynomial.legendre.leggauss(ORDER)
    at, share = (at + 1.0) / 2.0, share / 2.0
    ends = np.array(TAIL)
    width = np.diff(ends)[:, None]
    odds, odds_weight = (ends[:-1, None] + width * at).ravel(), (width * share).ravel()
    odds_edges = (ends[:-1, None] + width * share.cumsum()).ravel()
    first = np.arctan(np.exp(TAIL[-1] / 2.0))
    size = (np.pi / 4.0 - first) / PANELS
    begin = first + size * np.arange(PANELS)[:, None]
    angle, angle_edges = (begin + size * at).ravel(), (begin + size * share.cumsum()).ravel()
    angle_weight = np.tile(size * share, PANELS) * 4.0 / np.sin(2.0 * angle)
    log_p = np.concatenate([[TAIL[0]], -np.log1p(np.exp(-odds)), 2.0 * np.log(np.sin(angle))])
    log_q = np.concatenate([[0.0], -np.log1p(np.exp(odds)), 2.0 * np.log(np.cos(angle))])
    weight = np.concatenate([[np.nan], odds_weight, angle_weight])
    edges = np.concatenate(
        [[TAIL[0] - 1.0, TAIL[0]], odds_edges, 2.0 * np.log(np.tan(angle_edges[:-1])), [0.0]]
    )
    return ChancePoints(
        np.concatenate([log_p, log_q[::-1]]),
        np.concatenate([log_q, log_p[::-1]]),
        np.concatenate([weight, weight[::-1]]),
        np.concatenate([edges, -edges[-2::-1]]),
    )


def mass(a: Floats, b: Floats) -> Floats:
    """What each point weighs under Beta(a, b): shape (betas, points); a row sums to 1. Kept by grid."""
    return _mass(a.tobytes(), b.tobytes())


@lru_cache(maxsize=4)
def _mass(a_bytes: bytes, b_bytes: bytes) -> Floats:
    at = points()
    a, b = (np.frombuffer(some)[:, None] for some in (a_bytes, b_bytes))
    weight = np.broadcast_to(at.weight, (a.size, at.weight.size)).copy()
    weight[:, 0], weight[:, -1] = 1.0 / a[:, 0], 1.0 / b[:, 0]
    found = np.exp(a * at.log_p + b * at.log_q - betaln(a, b)) * weight
    found.setflags(write=False)
    return found


def log_likelihoods(
    cured: Sequence[float], not_cured: Sequence[float], windows: Sequence[Sequence[tuple[float, int]]]
) -> Floats:
    """Log of p^cured (1-p)^not_cured prod(1 - (1-p) v)^vehicles at the points, a row per update.

    `windows` holds pairs of a share v and how many vehicles have it.
    """
    at = points()
    shown = np.array(sorted({v for some in windows for v, _vehicles in some}))
    column = {v: i for i, v in enumerate(shown.tolist())}
    vehicles = np.zeros((len(windows), shown.size))
    for row, some in enumerate(windows):
        for v, count in some:
            vehicles[row, column[v]] += count
    total = np.outer(cured, at.log_p) + np.outer(not_cured, at.log_q)
    p, q = np.exp(at.log_p), np.exp(at.log_q)
    for begin in range(0, shown.size, AT_ONCE):
        some_v = shown[begin : begin + AT_ONCE, None]
        total += vehicles[:, begin : begin + AT_ONCE] @ np.log(p + q * (1.0 - some_v))
    return np.asarray(total)


def log_marginals(a: Floats, b: Floats, log_likelihood: Floats) -> Floats:
    """Log of the mean likelihood under each Beta(a, b): (updates, points) to (updates, betas)."""
    top = log_likelihood.max(axis=1, keepdims=True)
    return np.asarray(np.log(np.maximum(np.exp(log_likelihood - top) @ mass(a, b).T, LEAST)) + top)


def log_odds(log_density: Floats) -> Floats:
    """Log of E[p] / E[1 - p] under densities at the points, known up to a factor. Last axis: points."""
    at = points()
    density = np.exp(log_density - log_density.max(axis=-1, keepdims=True))
    return np.asarray(np.log(density @ np.exp(at.log_p)) - np.log(density @ np.exp(at.log_q)))


def draws(log_density: Floats, count: int, random: np.random.Generator) -> Floats:
    """Draws of the chance under one density, even in the log odds between a point's edges."""
    share = np.exp(log_density - log_density.max()).cumsum()
    below = np.concatenate([[0.0], share / share[-1]])
    return np.asarray(1.0 / (1.0 + np.exp(-np.interp(random.random(count), below, points().edges))))
