"""What adverts do in the course of time: a burst that decays, and adds up as far as there is anybody left.

In: times of adverts. Out: who is told when, and how much more often people ask. Must not know: chance, settings.

Each advert has a pull on whoever has not heard of the business: a hazard that decays with a half-life, as goodwill does
(Nerlove and Arrow 1962, Economica 29, 129-142; adstock, Broadbent 1979; both from memory). Hazards of several adverts
add up, people do not: of those who have not heard of it, one advert tells its reach, and two tell 1 - (1 - reach)^2.
"""

from __future__ import annotations

import math

import numpy as np

from planner.world.parts import FloatArray


def told_h(adverts_h: FloatArray, reach_share: float, half_life_h: float, hazard: FloatArray) -> FloatArray:
    """When each person is told [h]; inf for never.

    Parameters
    ----------
    adverts_h : FloatArray
        Times at which adverts appear [h], in order; whom those below 0 told by then is no concern here.
    reach_share : float
        Share of those who have not heard of it that one advert tells in the end, 0 <= reach < 1.
    half_life_h : float
        Of the hazard [h].
    hazard : FloatArray
        How much hazard it takes until each person is told: exponential with the mean 1, shape (people,).

    Notes
    -----
    The hazard so far is h (k - s 2^-((t - t_k) / half-life)) after the k-th advert at t_k, with h = -log(1 - reach) and
    the adstock s just after it. So it is solved for t in closed form.
    """
    each = -math.log1p(-reach_share)
    if adverts_h.size == 0 or each == 0.0:
        return np.full(hazard.shape, np.inf)
    stock = np.ones(adverts_h.size)
    for k in range(1, adverts_h.size):
        stock[k] += stock[k - 1] * 2.0 ** -((adverts_h[k] - adverts_h[k - 1]) / half_life_h)
    begun = np.arange(1, adverts_h.size + 1) - stock
    before = (1.0 - 2.0 ** (adverts_h[adverts_h < 0.0] / half_life_h)).sum()
    needed = hazard / each + before
    k = np.searchsorted(begun, needed, side="right") - 1
    left = (k + 1.0 - needed) / stock[k]
    after_h = np.where(left > 0.0, -np.log2(np.where(left > 0.0, left, 1.0)) * half_life_h, np.inf)
    found: FloatArray = np.maximum(adverts_h[k] + after_h, 0.0)
    return found


def reminded(adverts_h: FloatArray, half_life_h: float, days: int) -> FloatArray:
    """How fresh the last advert is in people's minds, on average over each day: 1 just after it; shape (days,).

    Adverts that follow each other closely do not add up: whoever is reminded is reminded.
    """
    fresh = np.zeros(days)
    starts_h = np.arange(days) * 24.0
    decay = math.log(2.0) / half_life_h
    last = np.searchsorted(adverts_h, starts_h, side="right") - 1
    since_h = starts_h - adverts_h[np.maximum(last, 0)] if adverts_h.size else starts_h
    there = last >= 0
    fresh[there] = np.exp(-decay * since_h[there]) * -math.expm1(-decay * 24.0) / (decay * 24.0)
    return fresh
