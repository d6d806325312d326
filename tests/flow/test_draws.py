"""Counter-based draws: published vectors, exact moments, and independence of order."""

from __future__ import annotations

from typing import Any

import numba
import numpy as np
import numpy.typing as npt
import pytest
from scipy import stats

from stockproof.flow import draws
from stockproof.flow.model import (
    Law,
    constant,
    empirical,
    erlang,
    exponential,
    gamma,
    lognormal,
    normal,
    uniform_between,
)
from stockproof.flow.tables import LAW
from stockproof.flow.translate import law_record

# the helpers of the kernel are compiled for compiled callers alone
_philox, _pair, _uniform, _draw, _normal = (
    draws.philox, draws.uniform_pair, draws.uniform, draws.draw, draws.normal_from
)  # fmt: skip


@numba.njit  # type: ignore[untyped-decorator]
def philox(c0: Any, c1: Any, c2: Any, c3: Any, k0: Any, k1: Any) -> Any:
    return _philox(c0, c1, c2, c3, k0, k1)


@numba.njit  # type: ignore[untyped-decorator]
def uniform(seed: int, replication: int, animal: int, purpose: int, ordinal: int) -> Any:
    return _uniform(seed, replication, animal, purpose, ordinal)


@numba.njit  # type: ignore[untyped-decorator]
def many_uniforms(count: int) -> Any:
    values = np.empty(2 * count)
    for i in range(count):
        values[2 * i], values[2 * i + 1] = _pair(5, 0, i, 0, 0)
    return values


@numba.njit  # type: ignore[untyped-decorator]
def normals(shares: Any) -> Any:
    return np.array([_normal(share) for share in shares])


@numba.njit  # type: ignore[untyped-decorator]
def sample(laws: Any, pool: Any, seed: int, purpose: int, count: int) -> Any:
    values = np.empty(count)
    for i in range(count):
        values[i] = _draw(laws[0], pool, seed, 0, i, purpose, 0)
    return values


def law_sample(law: Law, seed: int, count: int) -> npt.NDArray[np.float64]:
    pool: list[float] = [0.0]
    laws = np.array([law_record(law, "a test", [""], pool)], LAW)
    return np.asarray(sample(laws, np.array(pool), seed, int(laws["purpose"][0]), count))


@pytest.mark.parametrize(
    ("counter", "key", "words"),
    [
        ((0, 0, 0, 0), (0, 0), (0x6627E8D5, 0xE169C58D, 0xBC57AC4C, 0x9B00DBD8)),
        ((0xFFFFFFFF,) * 4, (0xFFFFFFFF,) * 2, (0x408F276D, 0x41C83B0E, 0xA20BC7C6, 0x6D5451FD)),
        (
            (0x243F6A88, 0x85A308D3, 0x13198A2E, 0x03707344),
            (0xA4093822, 0x299F31D0),
            (0xD16CFE09, 0x94FDCCEB, 0x5001E420, 0x24126EA1),
        ),
    ],
)
def test_philox_gives_the_published_words(
    counter: tuple[int, ...], key: tuple[int, ...], words: tuple[int, ...]
) -> None:
    # known-answer vectors published with Salmon, Moraes, Dror & Shaw, SC 2011 (philox 4x32, 10 rounds)
    got = philox(*[np.uint32(word) for word in (*counter, *key)])
    assert tuple(int(word) for word in got) == words


def test_normal_quantile_agrees_with_scipy() -> None:
    shares = np.concatenate([np.logspace(-300, -1, 400), np.linspace(0.001, 0.999, 999), 1 - np.logspace(-15, -1, 60)])
    ours = normals(shares)
    np.testing.assert_allclose(ours, stats.norm.ppf(shares), rtol=2e-14, atol=2e-15)


@pytest.mark.parametrize(
    ("law", "exact"),
    [
        (constant(3.0), stats.uniform(3.0, 0.0)),
        (exponential(4.0), stats.expon(scale=4.0)),
        (uniform_between(1.0, 3.0), stats.uniform(1.0, 2.0)),
        (lognormal(20.0, 0.5), stats.lognorm(np.sqrt(np.log(1.25)), scale=20.0 / np.sqrt(1.25))),
        (normal(10.0, 1.0), stats.norm(10.0, 1.0)),
        (gamma(6.0, 0.5), stats.gamma(4.0, scale=1.5)),
        (gamma(6.0, 2.0), stats.gamma(0.25, scale=24.0)),
        (erlang(6.0, 3), stats.gamma(3, scale=2.0)),
    ],
)
def test_laws_follow_their_distribution(law: Law, exact: stats.rv_continuous) -> None:
    values = law_sample(law, seed=20251125, count=20_000)
    if law.kind == draws.CONSTANT:
        assert np.all(values == 3.0)
        return
    assert stats.kstest(values, exact.cdf).pvalue > 1e-3
    assert law.mean == pytest.approx(exact.mean(), rel=1e-12)
    assert law.cv == pytest.approx(exact.std() / exact.mean(), rel=1e-12)


def test_an_empirical_law_gives_its_own_values_in_equal_shares() -> None:
    law = empirical((1.0, 5.0, 9.0))
    values = law_sample(law, seed=7, count=30_000)
    assert set(values) == {1.0, 5.0, 9.0}
    assert abs(np.mean(values == 5.0) - 1 / 3) < 0.01
    assert law.mean == 5.0


def test_a_draw_depends_on_who_and_what_only() -> None:
    walk, task = draws.purpose_number("walk"), draws.purpose_number("task: ear tag")
    alone = uniform(1, 2, 3, walk, 4)
    for animal in range(10):
        uniform(1, 2, animal, task, 0)
    assert uniform(1, 2, 3, walk, 4) == alone
    others = {
        uniform(s, r, a, p, o) for s in (1, 2) for r in (2, 9) for a in (3, 4) for p in (walk, task) for o in (4, 5)
    }
    assert len(others) == 32


def test_uniforms_lie_strictly_between_zero_and_one() -> None:
    values = many_uniforms(4000)
    assert 0.0 < values.min() < 0.001
    assert 0.999 < values.max() < 1.0
