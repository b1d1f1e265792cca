"""Putting several estimates of one roll's length together, or refusing to when they contradict each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from shopstock.calc.uncertainty import Estimate, covariance_mm2

# Largest chi-square at 5 % by the number of estimates beyond the first; printed in every table of the distribution.
GATES = {1: 3.841, 2: 5.991, 3: 7.815, 4: 9.488}


class FusingError(ValueError):
    """Estimates that cannot be put together."""


@dataclass(frozen=True)
class Fused:
    """The estimates put together; `weights` in their order, 0 for one left out because it adds nothing."""

    estimate: Estimate
    chi_square: float
    degrees: int
    weights: tuple[float, ...]

    @property
    def agree(self) -> bool:
        """False when the estimates contradict each other and must not be averaged."""
        return self.degrees == 0 or self.chi_square <= GATES[self.degrees]


def fuse(estimates: Sequence[Estimate]) -> Fused:
    """The best estimate from several of the same length (mm), by inverse variance, what they share counted once.

    An estimate whose weight would be negative is left out: it rests on the same evidence as a better one. Raises
    FusingError. Source: generalised least squares; JCGM 100:2008, 5.2. Worked: 35 ± 2 and 38 ± 1 → 37.4 ± 0.894,
    chi-square 1.8; 30 ± 1 and 36 ± 1 → chi-square 18, they do not agree.
    """
    if not 1 <= len(estimates) <= len(GATES) + 1:
        raise FusingError(f"Between 1 and {len(GATES) + 1} estimates can be put together, not {len(estimates)}.")
    if len(estimates) == 1:
        return Fused(estimates[0], 0.0, 0, (1.0,))
    covariances = _covariances(estimates)
    weights = _weights_not_negative(covariances)
    return Fused(_combined(estimates, weights), _chi_square(estimates, covariances), len(estimates) - 1, weights)


def _covariances(estimates: Sequence[Estimate]) -> np.ndarray:
    matrix = np.array([[covariance_mm2(one, other) for other in estimates] for one in estimates], dtype=float)
    matrix += np.diag([estimate.own_mm**2 for estimate in estimates])
    if np.linalg.eigvalsh(matrix)[0] <= 0:
        raise FusingError("Estimates without any uncertainty of their own cannot be weighed against each other.")
    return matrix


def _weights_not_negative(covariances: np.ndarray) -> tuple[float, ...]:
    kept = list(range(len(covariances)))
    while True:
        raw = np.linalg.solve(covariances[np.ix_(kept, kept)], np.ones(len(kept)))
        weights = raw / raw.sum()
        if weights.min() >= 0:
            return tuple(float(weights[kept.index(i)]) if i in kept else 0.0 for i in range(len(covariances)))
        del kept[int(weights.argmin())]


def _combined(estimates: Sequence[Estimate], weights: Sequence[float]) -> Estimate:
    pairs = list(zip(weights, estimates, strict=True))
    sources = {source for _, estimate in pairs for source in estimate.shared_mm}
    return Estimate(
        sum(weight * estimate.length_mm for weight, estimate in pairs),
        sqrt(sum((weight * estimate.own_mm) ** 2 for weight, estimate in pairs)),
        {source: sum(w * e.shared_mm.get(source, 0.0) for w, e in pairs) for source in sorted(sources)},
    )


def _chi_square(estimates: Sequence[Estimate], covariances: np.ndarray) -> float:
    """Against the unrestricted best value, so that leaving an estimate out cannot hide that it disagrees."""
    lengths = np.array([estimate.length_mm for estimate in estimates])
    inverse = np.linalg.inv(covariances)
    best = inverse.sum(axis=0) @ lengths / inverse.sum()
    return float((lengths - best) @ inverse @ (lengths - best))
