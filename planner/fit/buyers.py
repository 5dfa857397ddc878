"""How often buyers come back, what they would pay, how much they want: for each class.

In: ``sales``, ``asked``, the classes of ``core.returning``, ``core.bulk`` and ``core.post``. Out: a block a class.
Must not know: other tables.

Needs of each month are counted apart: those who took the price (served or not) and those who found it too dear. How
many know of the business is taken from the scenario, with friends as it says; whoever finds it too dear again and again
stays away, so that those who pay come to be seen more often than they are. A person counts once for what they would
pay, however often they ask: the covariance of the counts is that of persons, not of needs.
"""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from scipy import special

from planner.fit.asking import Asked, Pays, asked_of
from planner.fit.estimate import Block, Estimate, FloatArray, Picture, Untold
from planner.fit.means import estimate_of, picture_of, scaled
from planner.fit.pace import Days, days_of
from planner.fit.people import Person
from planner.fit.prior import NEEDS, ORDER, SEASON
from planner.fit.renewal import regressed
from planner.fit.shops import LEAST_TOLD_SHARE
from planner.fit.standing import entries
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.clock import MONTHS

if TYPE_CHECKING:
    pass

MODELS: Final = ("core.returning", "core.bulk", "core.post")
METHOD: Final = "regression of needs a month"
_GAP, _PAYS, _SEASON = 0, 1, 2
_LITTLE: Final = 1e-9


def buyers(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Each class of buyers."""
    classes = list(entries(scenario, "demand"))
    names = [path.partition(".")[2] for path, _, _ in classes]
    for (path, model, settings), name in zip(classes, names, strict=True):
        if model not in MODELS:
            yield Untold(f"what {name} want", f"they are drawn by {model}, and that is not estimated")
            continue
        if records.days is None or not len(records["sales"]):
            yield Untold(f"what {name} want", "no sale is written down; write one row for each")
            continue
        asked = asked_of(scenario, records, name, names)
        if not len(asked.sales) and not asked.lost.sum():
            yield Untold(
                f"what {name} want", f"no row of sales or asked is of {name}; write the class of each buyer"
            )
            continue
        yield from _sizes(path, name, model, settings, asked)
        yield from _needs(scenario, records, path, name, settings, asked)


def _sizes(path: str, name: str, model: str, settings: Any, asked: Asked) -> Iterator[Block | Untold]:
    """How much is wanted at a time."""
    if model == "core.post":
        yield Untold(f"how much {name} want", "they are served in whole parcels, which is not estimated")
        return
    if not len(asked.sales):
        yield Untold(f"how much {name} want", "nothing was sold to them")
        return
    wanted = asked.sales["wanted_kg"].fillna(asked.sales["sold_kg"]).to_numpy(float)
    found = scaled(wanted, settings.size_kg, settings.least_kg)
    one = estimate_of(
        f"how much {name} want",
        f"{path}.settings.size",
        "kg",
        settings.size_kg,
        found,
        ORDER,
        records=int(wanted.size),
        method="mean of the records",
        table="sales",
        note="orders that came to nothing for want of stock are in no table, and they are the larger ones"
        if asked.no_stock.sum() > 0.1 * wanted.size
        else "",
    )
    picture = picture_of(wanted, settings.size_kg, one.shift, f"wanted by {name} [kg]", "orders")
    yield Block.of(replace(one, picture=replace(picture, line=tuple(int(x) for x in asked.sales["line"]))))


@dataclass(frozen=True, eq=False)
class _Expected:
    """What is expected of a class in each month, with other gaps, prices and seasons than the scenario says."""

    settings: Any
    asked: Asked
    days: Days
    person: Person
    seasonal: list[int]
    month_ends: Any
    """Number of the last day of each month of the records."""
    wait_days: float
    pays: Any
    """Chance that somebody finds each month's price too dear, for what is added to what they would pay."""

    def __call__(self, x: FloatArray) -> FloatArray:
        """Those who took the price, then those who found it too dear, month by month."""
        took, dear = self.each(x)
        people = self.people
        too_dear = self.pays(x[_PAYS])
        first = np.concatenate([people * (1.0 - too_dear) * took, people * too_dear * dear])
        both: FloatArray = first + self._friends(x, too_dear)
        return np.maximum(both, _LITTLE)

    @property
    def people(self) -> float:
        """Those who know of the business at the start."""
        return float(self.settings.known)

    def gaps(self, x: FloatArray, wait_days: float) -> FloatArray:
        """Mean gaps that have gone by at the end of each day."""
        strength = np.ones(12)
        strength[self.seasonal] = np.exp(x[_SEASON:])
        factor = self.days.factor * strength[self.days.month]
        mean = self.settings.gap_days.mean * np.exp(x[_GAP]) + wait_days * float(factor.mean())
        gone: FloatArray = np.cumsum(factor) / mean
        return gone

    def each(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Needs of somebody who takes the price, and of somebody who finds it too dear, in each month."""
        took = self.person.needs(self.gaps(x, self.wait_days)[self.month_ends], True)
        dear = self.person.needs(self.gaps(x, 0.0)[self.month_ends], False)
        return np.diff(took, prepend=0.0), np.diff(dear, prepend=0.0)

    def _each_friend(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Needs of the friend that each sale may bring, taking the price or not, shape (sales, months)."""
        sold = self.asked.sold_on[self.asked.sold_on < self.days.factor.size]
        found = []
        for wait_days, served in ((self.wait_days, True), (0.0, False)):
            gaps = self.gaps(x, wait_days)
            until = self.person.needs(gaps[None, self.month_ends] - gaps[sold][:, None], served)
            ends = np.concatenate([np.zeros((sold.size, 1)), until], axis=1)
            found.append(np.diff(ends, axis=1))
        return found[0], found[1]

    @property
    def friend_share(self) -> float:
        """Chance that a sale brings a friend, as long as there is somebody who does not know yet."""
        sales, room = self.asked.sold_on.size, self.settings.people - self.settings.known
        return min(float(self.settings.friend_share), room / sales) if sales else 0.0

    def _friends(self, x: FloatArray, too_dear: FloatArray) -> FloatArray:
        """Needs of those whom good service brought, as far as the scenario says."""
        if self.friend_share <= 0.0:
            return np.zeros(2 * self.asked.months)
        took, dear = self._each_friend(x)
        return self.friend_share * np.concatenate(
            [(1.0 - too_dear) * took.sum(axis=0), too_dear * dear.sum(axis=0)]
        )

    def covariance(self, x: FloatArray) -> FloatArray:
        """Of the counts: people are drawn once each, and their needs come in gaps that are more or less alike."""
        took, dear = self.each(x)
        too_dear = float(np.average(self.pays(x[_PAYS]), weights=np.maximum(took, _LITTLE)))
        months = self.asked.months
        kind = np.concatenate([took, -dear])
        one = too_dear * (1.0 - too_dear) * np.outer(kind, kind)
        within = self.person.covariance(self.gaps(x, self.wait_days)[self.month_ends], True)
        one[:months, :months] += (1.0 - too_dear) * within
        within = self.person.covariance(self.gaps(x, 0.0)[self.month_ends], False)
        one[months:, months:] += too_dear * within
        found = self.people * one + _LITTLE * np.eye(2 * months)
        if self.friend_share > 0.0:
            for share, part, each in zip(
                (1.0 - too_dear, too_dear),
                (slice(0, months), slice(months, None)),
                self._each_friend(x),
                strict=True,
            ):
                found[part, part] += self.friend_share * share * (each.T @ each + np.diag(each.sum(axis=0)))
        return found


def _needs(
    scenario: Scenario, records: Records, path: str, name: str, settings: Any, asked: Asked
) -> Iterator[Block | Untold]:
    """Gaps, season and what is paid, together."""
    if settings.known == 0:
        yield Untold(
            f"how often {name} come back", "by the scenario nobody knows of the business; write how many do"
        )
        return
    days = days_of(settings, asked.first, asked.last, scenario.business().calendar.start)
    seasonal = [] if len(set(settings.season)) == 1 else [m for m in range(12) if settings.season[m] > 0.0]
    model = _Expected(
        settings,
        asked,
        days,
        Person(settings),
        seasonal,
        asked.month_ends,
        asked.wait_days,
        asked.too_dear_share,
    )
    months = asked.months
    kept = np.concatenate([np.diag(asked.seen_share), np.zeros((months, months))], axis=1)
    if asked.split:
        kept = np.concatenate(
            [kept, np.concatenate([np.zeros((months, months)), np.diag(asked.has_row)], axis=1)]
        )
        found = np.concatenate([asked.took, asked.dear])
    else:
        kept[:, months:] = np.diag(asked.has_row)
        found = asked.took + asked.dear
    kept, found = kept[kept.any(axis=1)], found[kept.any(axis=1)]
    prior = np.concatenate([[NEEDS.sd, asked.pays_sd], np.full(len(seasonal), SEASON.sd)])

    def covariance(x: FloatArray, _: FloatArray) -> FloatArray:
        lost = (kept @ model(x)) * (1.0 - kept.max(axis=1))
        whole: FloatArray = kept @ model.covariance(x) @ kept.T + np.diag(lost + _LITTLE)
        return whole

    mean, covariances = regressed(found, lambda x: kept @ model(x), prior, covariance)
    sds = np.sqrt(np.diag(covariances))
    picture = _asked_picture(name, asked, model(mean), model(np.zeros(prior.size)))
    estimates = [_gap(path, name, settings, asked, mean[_GAP], sds[_GAP], picture)]
    chosen = [_GAP]
    if asked.pays is not None and asked.split:
        estimates.append(_pays(scenario, path, name, asked, asked.pays, mean[_PAYS], sds[_PAYS]))
        chosen.append(_PAYS)
    else:
        yield Untold(f"what {name} would pay", asked.why_not)
    for number, month in enumerate(seasonal, _SEASON):
        one = _month(path, name, settings, month, mean[number], sds[number], asked, picture)
        if one.told_share >= LEAST_TOLD_SHARE:
            estimates.append(one)
            chosen.append(number)
    correlation = covariances / np.outer(sds, sds)
    yield Block(tuple(estimates), correlation[np.ix_(chosen, chosen)])


def _asked_picture(name: str, asked: Asked, fitted: FloatArray, before: FloatArray) -> Picture:
    """Who asked in each month, and how many were expected, now and before."""
    along = np.arange(1.0, asked.months + 1.0)
    both = (asked.took + asked.dear, *(one.reshape(2, -1).sum(axis=0) for one in (fitted, before)))
    return Picture(
        "month of the records", f"{name} who asked", along, both[0], along, both[1], both[2], kind="counts"
    )


def _gap(
    path: str, name: str, settings: Any, asked: Asked, shift: float, sd: float, picture: Picture
) -> Estimate:
    return Estimate(
        name=f"days until {name} come back",
        path=f"{path}.settings.gap",
        way="times",
        before=settings.gap_days.mean,
        unit="days",
        shift=float(shift),
        sd=float(sd),
        prior_sd=NEEDS.sd,
        records=int(asked.took.sum() + asked.dear.sum()),
        method=METHOD,
        table="sales and asked",
        picture=picture,
        note=f"if {settings.known} know of the business at the start, as the scenario says",
    )


def _pays(
    scenario: Scenario, path: str, name: str, asked: Asked, pays: Pays, shift: float, sd: float
) -> Estimate:
    low, high = pays.price * 0.7, pays.price * 1.3
    along = np.linspace(low, high, 60)
    total = float(asked.took.sum() + asked.dear.sum())

    def share(added: float) -> FloatArray:
        return 100.0 * np.asarray(special.ndtr((pays.mean + added - along) / pays.sd))

    return Estimate(
        name=f"what {name} would pay",
        path=f"{path}.settings.most.*.normal.mean",
        way="plus",
        before=pays.mean,
        unit=f"{scenario.currency}/kg",
        shift=float(shift),
        sd=float(sd),
        prior_sd=asked.pays_sd,
        records=int(total),
        method="probit of who found it too dear, a person once",
        table="sales and asked",
        picture=Picture(
            f"price asked [{scenario.currency}/kg]",
            "takers of 100 who ask",
            np.array([pays.price]),
            np.array([100.0 * float(asked.took.sum()) / max(total, 1.0)]),
            along,
            share(float(shift)),
            share(0.0),
            share(float(shift - 1.6448536 * sd)),
            share(float(shift + 1.6448536 * sd)),
        ),
        note=pays.note,
    )


def _month(
    path: str,
    name: str,
    settings: Any,
    month: int,
    shift: float,
    sd: float,
    asked: Asked,
    picture: Picture | None,
) -> Estimate:
    return Estimate(
        name=f"how often {name} ask in {month_name[month + 1]}",
        path=f"{path}.settings.season.{MONTHS[month]}",
        way="times",
        before=settings.season[month],
        unit="",
        shift=float(shift),
        sd=float(sd),
        prior_sd=SEASON.sd,
        records=int(asked.in_month(month)),
        method=METHOD,
        table="sales and asked",
        picture=picture,
    )
