"""Seeded draws made from uniform numbers only.

The uniform stream of PCG64 is fixed; numpy may change its normal and gamma methods between versions.
Turning uniforms into the rest here keeps the folder the same, byte for byte.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np

_NORMAL = NormalDist()


class Draws:
    """One stream of seeded draws."""

    def __init__(self, seed: int) -> None:
        self._random = np.random.Generator(np.random.PCG64(seed))

    def uniform(self) -> float:
        """A number inside (0, 1)."""
        return min(max(float(self._random.random()), 1e-12), 1 - 1e-12)

    def normal(self) -> float:
        """A standard normal number."""
        return _NORMAL.inv_cdf(self.uniform())

    def half_gamma(self, mean: float) -> float:
        """A gamma number of shape 0.5 (half a squared normal), the skewed shape of daily rain."""
        return mean * self.normal() ** 2

    def poisson(self, rate: float) -> int:
        """A Poisson count, by adding up its probabilities."""
        left, count, share = self.uniform(), 0, math.exp(-rate)
        while left > share and count < 60:
            left -= share
            count += 1
            share *= rate / count
        return count
