"""The flow room's draws in plain Python: the same numbers, from the published algorithms, by another hand.

Philox-4x32-10 after Salmon, Moraes, Dror & Shaw, SC 2011; the normal quantile is the standard library's (Wichura's
AS 241); gamma after Marsaglia & Tsang 2000. Nothing of the compiled code is used.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

from stockproof.flow import draws
from stockproof.flow.model import Law

__all__ = ["NOBODY", "Stream", "normal_quantile"]

NOBODY = -1
WORD = 0xFFFFFFFF
INNER = 256
_UNIT_NORMAL = NormalDist()


def normal_quantile(share: float) -> float:
    """The standard normal quantile of a share in (0, 1)."""
    return _UNIT_NORMAL.inv_cdf(share)


@cache
def purpose_word(name: str) -> int:
    """The counter word of a purpose: FNV-1a of its name, 32 bits."""
    word = 0x811C9DC5
    for byte in name.encode():
        word = (word ^ byte) * 0x01000193 & WORD
    return word


def philox(counter: tuple[int, int, int, int], key: tuple[int, int]) -> tuple[int, int, int, int]:
    """Ten rounds of Philox-4x32."""
    a, b, c, d = counter
    k, m = key
    for _ in range(10):
        left, right = 0xD2511F53 * a, 0xCD9E8D57 * c
        a, b, c, d = (right >> 32) ^ b ^ k, right & WORD, (left >> 32) ^ d ^ m, left & WORD
        k, m = (k + 0x9E3779B9) & WORD, (m + 0xBB67AE85) & WORD
    return a, b, c, d


@dataclass(frozen=True, slots=True)
class Stream:
    """All draws of one replication of one seed."""

    seed: int
    replication: int

    def pair(self, animal: int, purpose: int, ordinal: int) -> tuple[float, float]:
        """Two uniforms in (0, 1) for an animal's (or nobody's: -1) act; `ordinal` is the raw counter word."""
        counter = (self.replication & WORD, (animal + 1) & WORD, purpose & WORD, ordinal & WORD)
        a, b, c, d = philox(counter, (self.seed & WORD, self.seed >> 32 & WORD))
        scale = 2.0**-52
        return ((a >> 6) * 2.0**26 + (b >> 6) + 0.5) * scale, ((c >> 6) * 2.0**26 + (d >> 6) + 0.5) * scale

    def uniform(self, animal: int, purpose: str, ordinal: int = 0) -> float:
        """One uniform."""
        return self.pair(animal, purpose_word(purpose), ordinal)[0]

    def take(self, law: Law, purpose: str, animal: int, ordinal: int = 0) -> float:
        """One value of a law, without the day's factor."""
        word, start = purpose_word(purpose), ordinal * INNER

        def uniform(inner: int = 0) -> float:
            return self.pair(animal, word, start + inner)[0]

        if law.kind == draws.CONSTANT:
            return law.a
        if law.kind == draws.EXPONENTIAL:
            return -law.a * math.log(uniform())
        if law.kind == draws.LOGNORMAL:
            return math.exp(law.a + law.b * normal_quantile(uniform()))
        if law.kind == draws.UNIFORM:
            return law.a + (law.b - law.a) * uniform()
        if law.kind == draws.NORMAL:
            return max(0.0, law.a + law.b * normal_quantile(uniform()))
        if law.kind == draws.EMPIRICAL:
            return law.values[min(law.count - 1, int(uniform() * law.count))]
        if law.kind == draws.ERLANG:
            return -law.a / law.count * math.fsum(math.log(uniform(phase)) for phase in range(law.count))
        return law.b * self._standard_gamma(law.a, animal, word, start)

    def _standard_gamma(self, shape: float, animal: int, word: int, start: int) -> float:
        d = (shape if shape >= 1 else shape + 1) - 1 / 3
        for attempt in range(INNER - 1):
            first, second = self.pair(animal, word, start + attempt)
            x = normal_quantile(first)
            v = (1 + x / math.sqrt(9 * d)) ** 3
            if v > 0 and math.log(second) < x * x / 2 + d - d * v + d * math.log(v):
                break
        boost = self.pair(animal, word, start + INNER - 1)[0] ** (1 / shape) if shape < 1 else 1.0
        return d * v * boost
