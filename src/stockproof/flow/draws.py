"""Counter-based random numbers: a draw is a pure function of who, what and which, never of what came before.

The key is the seed; the counter's four words are replication, animal, purpose and ordinal. Two builds that ask
for the same animal's same act therefore see the same number, whatever else differs between them (common random
numbers survive a change of build), and replications may run in any order on any number of cores.

References
----------
J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC 2011
(Philox-4x32-10). M. J. Wichura, "Algorithm AS 241: The percentage points of the normal distribution", Applied
Statistics 37 (1988) 477-484 (PPND16). G. Marsaglia, W. W. Tsang, "A simple method for generating gamma
variables", ACM Trans. Math. Software 26 (2000) 363-372.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from stockproof.flow.compiled import compiled

__all__ = ["draw", "normal_from", "philox", "purpose_number", "take", "uniform", "uniform_pair"]

# Round multipliers and key increments of Philox-4x32 (Salmon et al. 2011, section 3.3).
_M0 = np.uint64(0xD2511F53)
_M1 = np.uint64(0xCD9E8D57)
_W0 = np.uint32(0x9E3779B9)
_W1 = np.uint32(0xBB67AE85)
_LOW = np.uint64(0xFFFFFFFF)
_32 = np.uint64(32)

#: Kinds of law, as numbers in the model tables.
CONSTANT, UNIFORM, EXPONENTIAL, LOGNORMAL, NORMAL, GAMMA, ERLANG, EMPIRICAL = range(8)

#: For the kernel: a literal would compile every callee once for each value it is called with.
ZERO: Any = np.int64(0)
NOBODY: Any = np.int64(-1)

#: Inner draws of one ordinal (rejection, sums) take the ordinal's low byte.
INNER = 256


def purpose_number(name: str) -> np.int64:
    """Give the counter word of a purpose from its name, so that it does not depend on a table's order."""
    number = 0x811C9DC5
    for byte in name.encode():  # FNV-1a, 32 bits
        number = ((number ^ byte) * 0x01000193) & 0xFFFFFFFF
    return np.int64(number)


@compiled
def philox(c0: Any, c1: Any, c2: Any, c3: Any, k0: Any, k1: Any) -> Any:
    """Philox-4x32-10: four 32-bit words from a counter of four words and a key of two. [uint32 x4]"""
    x0, x1, x2, x3 = np.uint32(c0), np.uint32(c1), np.uint32(c2), np.uint32(c3)
    key0, key1 = np.uint32(k0), np.uint32(k1)
    for _ in range(10):
        product0 = _M0 * np.uint64(x0)
        product1 = _M1 * np.uint64(x2)
        x0 = np.uint32(product1 >> _32) ^ x1 ^ key0
        x1 = np.uint32(product1 & _LOW)
        x2 = np.uint32(product0 >> _32) ^ x3 ^ key1
        x3 = np.uint32(product0 & _LOW)
        key0 = np.uint32(key0 + _W0)
        key1 = np.uint32(key1 + _W1)
    return x0, x1, x2, x3


@compiled
def uniform_pair(seed: Any, replication: Any, animal: Any, purpose: Any, ordinal: Any) -> Any:
    """Two independent uniforms in the open interval (0, 1), 52 bits each."""
    x0, x1, x2, x3 = philox(
        np.uint32(replication),
        np.uint32(animal),
        np.uint32(purpose),
        np.uint32(ordinal),
        np.uint32(np.uint64(seed) & _LOW),
        np.uint32(np.uint64(seed) >> _32),
    )
    # 26 + 26 bits and half a step: never 0, never 1, and 2 ** -53 apart from both
    first = (float(x0 >> np.uint32(6)) * 67108864.0 + float(x1 >> np.uint32(6)) + 0.5) * 2.220446049250313e-16
    second = (float(x2 >> np.uint32(6)) * 67108864.0 + float(x3 >> np.uint32(6)) + 0.5) * 2.220446049250313e-16
    return first, second


@compiled
def uniform(seed: Any, replication: Any, animal: Any, purpose: Any, ordinal: Any) -> Any:
    """A uniform in the open interval (0, 1)."""
    return uniform_pair(seed, replication, animal, purpose, ordinal)[0]


@compiled
def normal_from(share: float) -> float:
    """The standard normal quantile of a share in (0, 1), to about 1e-16 (Wichura's PPND16)."""
    q = share - 0.5
    if abs(q) <= 0.425:
        r = 0.180625 - q * q
        top = ((((((2.5090809287301226727e3 * r + 3.3430575583588128105e4) * r + 6.7265770927008700853e4) * r
                  + 4.5921953931549871457e4) * r + 1.3731693765509461125e4) * r + 1.9715909503065514427e3) * r
               + 1.3314166789178437745e2) * r + 3.3871328727963666080e0  # fmt: skip
        low = ((((((5.2264952788528545610e3 * r + 2.8729085735721942674e4) * r + 3.9307895800092710610e4) * r
                  + 2.1213794301586595867e4) * r + 5.3941960214247511077e3) * r + 6.8718700749205790830e2) * r
               + 4.2313330701600911252e1) * r + 1.0  # fmt: skip
        return q * top / low
    r = share if q < 0.0 else 1.0 - share
    r = math.sqrt(-math.log(r))
    if r <= 5.0:
        r -= 1.6
        top = ((((((7.74545014278341407640e-4 * r + 2.27238449892691845833e-2) * r + 2.41780725177450611770e-1) * r
                  + 1.27045825245236838258e0) * r + 3.64784832476320460504e0) * r + 5.76949722146069140550e0) * r
               + 4.63033784615654529590e0) * r + 1.42343711074968357734e0  # fmt: skip
        low = ((((((1.05075007164441684324e-9 * r + 5.47593808499534494600e-4) * r + 1.51986665636164571966e-2) * r
                  + 1.48103976427480074590e-1) * r + 6.89767334985100004550e-1) * r + 1.67638483018380384940e0) * r
               + 2.05319162663775882187e0) * r + 1.0  # fmt: skip
    else:
        r -= 5.0
        top = ((((((2.01033439929228813265e-7 * r + 2.71155556874348757815e-5) * r + 1.24266094738807843860e-3) * r
                  + 2.65321895265761230930e-2) * r + 2.96560571828504891230e-1) * r + 1.78482653991729133580e0) * r
               + 5.46378491116411436990e0) * r + 6.65790464350110377720e0  # fmt: skip
        low = ((((((2.04426310338993978564e-15 * r + 1.42151175831644588870e-7) * r + 1.84631831751005468180e-5) * r
                  + 7.86869131145613259100e-4) * r + 1.48753612908506148525e-2) * r + 1.36929880922735805310e-1) * r
               + 5.99832206555887937690e-1) * r + 1.0  # fmt: skip
    return -top / low if q < 0.0 else top / low


@compiled
def draw(law: Any, pool: Any, seed: Any, replication: Any, animal: Any, purpose: Any, ordinal: Any) -> float:
    """One value of a law, keyed by who, what and which.

    Parameters
    ----------
    law : record with kind, a, b, first, count
        CONSTANT a; UNIFORM a..b; EXPONENTIAL mean a; LOGNORMAL log-mean a, log-SD b; NORMAL mean a, SD b cut at
        0; GAMMA shape a, scale b; ERLANG of `count` phases with mean a; EMPIRICAL `count` values from `first`.
    pool : float array
        Values of the empirical laws.
    """
    kind = law.kind
    if kind == CONSTANT:
        return float(law.a)
    u = uniform(seed, replication, animal, purpose, ordinal * INNER)
    if kind == EXPONENTIAL:
        return float(-law.a * math.log(u))
    if kind == LOGNORMAL:
        return math.exp(law.a + law.b * normal_from(u))
    if kind == UNIFORM:
        return float(law.a + (law.b - law.a) * u)
    if kind == NORMAL:
        return float(max(0.0, law.a + law.b * normal_from(u)))
    if kind == EMPIRICAL:
        return float(pool[law.first + min(law.count - 1, int(u * law.count))])
    if kind == ERLANG:
        return float(law.a / law.count) * _sum_of_exponentials(law.count, seed, replication, animal, purpose, ordinal)
    return float(law.b) * _standard_gamma(law.a, seed, replication, animal, purpose, ordinal)


@compiled
def take(m: Any, w: Any, law: Any, animal: int, ordinal: int) -> float:
    """A value of a law for an animal (or for nobody: -1), scaled by the day's factor."""
    return float(w.factor[law.factor] * draw(law, m.pool, w.seed, w.replication, animal + 1, law.purpose, ordinal))


@compiled
def _sum_of_exponentials(phases: int, seed: Any, replication: Any, animal: Any, purpose: Any, ordinal: Any) -> float:
    total = 0.0
    for phase in range(phases):
        total -= math.log(uniform(seed, replication, animal, purpose, ordinal * INNER + phase))
    return total


@compiled
def _standard_gamma(shape: float, seed: Any, replication: Any, animal: Any, purpose: Any, ordinal: Any) -> float:
    """Marsaglia and Tsang's squeeze; a shape below 1 is lifted by one and brought back by a power of a uniform."""
    lifted = shape if shape >= 1.0 else shape + 1.0
    d = lifted - 1.0 / 3.0
    c = 1.0 / math.sqrt(9.0 * d)
    value = d
    for attempt in range(INNER - 1):
        u1, u2 = uniform_pair(seed, replication, animal, purpose, ordinal * INNER + attempt)
        x = normal_from(u1)
        v = (1.0 + c * x) ** 3
        if v > 0.0 and math.log(u2) < 0.5 * x * x + d - d * v + d * math.log(v):
            value = d * v
            break
    if shape < 1.0:
        value *= uniform(seed, replication, animal, purpose, ordinal * INNER + INNER - 1) ** (1.0 / shape)
    return value
