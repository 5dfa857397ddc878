"""A little more of everything but the pot: free hours, vehicle, back, trips, shops, cash, buyers.

In: a business, and every value of it as a file would hold it. Out: increments. Must not know: runs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final, TypeGuard

from planner.scenario import Input
from planner.scenario.business import Business
from planner.scenario.clock import DAY_H, DAYS, Window, written_windows
from planner.study.increments import MORE, Found, Increment, LeftOut
from planner.trade.ways import Method

DAY_NAMES: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
EVENING: Final[Window] = (18.0, 21.0)
"""An evening where none is free yet (assumed)."""
EVENING_FROM_H: Final = 16.0
"""Free hours that begin later than this are an evening (assumed)."""
OFTENER: Final = 0.8
"""The time between two trips, over what it is."""
NOTE: Final = 100
"""Cash comes in steps of this."""
HELPED: Final[Method] = "hand truck"
"""What takes load off the hands of one who lifts alone."""


def hours(business: Business, written: Mapping[str, Any]) -> Found:
    """An hour more on a day that has free hours, and an evening on a day that has none."""
    week = business.owner.hours
    alike = not isinstance(written["owner"]["hours"], Mapping)
    longer = [(_length_h(day[0]), -at) for at, day in enumerate(week) if len(day) == 1 and _longer(day[0])]
    if longer:
        at = -max(longer)[1]
        on, path = ("every day", "") if alike else (f"on {DAY_NAMES[at]}s", f".{DAYS[at]}")
        words = f"a free hour more {on}"
        name = "an hour every day" if alike else f"{DAY_NAMES[at]} hour"
        yield _free("hour", name, words, f"owner.hours{path}", _longer(week[at][0]))
    else:
        yield LeftOut("an hour more on a day with free hours", "no day has free hours that could last longer")
    if alike:
        yield LeftOut("one more evening", "every day has the same free hours")
        return
    none = [at for at in range(len(DAYS)) if not week[at]]
    if none:
        evenings = [day[0] for day in week if len(day) == 1 and day[0][0] >= EVENING_FROM_H]
        evening = min(evenings, key=_length_h, default=EVENING)
        words = f"{DAY_NAMES[none[0]]} evening free as well"
        yield _free(
            "evening", f"{DAY_NAMES[none[0]]} evening", words, f"owner.hours.{DAYS[none[0]]}", (evening,)
        )
    else:
        yield LeftOut("one more evening", "every day has free hours already")


def _length_h(window: Window) -> float:
    return window[1] - window[0]


def _longer(window: Window) -> tuple[Window, ...]:
    """An hour more behind the free hours, or before them; empty where the day has no room for it."""
    start_h, end_h = window
    if end_h <= DAY_H - 1.0:
        return ((start_h, end_h + 1.0),)
    return ((start_h - 1.0, end_h),) if start_h >= 1.0 and end_h <= DAY_H else ()


def _free(key: str, name: str, words: str, path: str, windows: tuple[Window, ...]) -> Increment:
    return Increment(
        key, "hours", name, words, "hour a week", (Input(path, written_windows(windows)),), _week_h
    )


def _week_h(business: Business) -> float:
    return float(sum(end - start for day in business.owner.hours for start, end in day))


def fetching(business: Business) -> Found:
    """Vehicle, back and trips; nothing where nothing is fetched."""
    if not business.fetching.on:
        yield LeftOut("payload, lifting, pickups, room for weights", "nothing is fetched")
        return
    yield from _load(business)
    yield Increment(
        "pickups",
        "pickups",
        "sooner pickups",
        "pickups a fifth sooner after each other",
        "day sooner",
        (Input("fetching.every", OFTENER, "times"),),
        lambda one: -float(one.fetching.every_days),
    )
    yield Increment(
        "stop",
        "pickups",
        "one more stop",
        "one more stop on a trip",
        "stop",
        (Input("fetching.stops", 1, "plus"),),
        lambda one: float(one.fetching.stops),
    )
    yield Increment(
        "room",
        "weights enough",
        "room for weights",
        "room for a tenth more weights at home",
        "kg",
        (Input("fetching.scrap_at_most", MORE, "times"),),
        lambda one: float(one.fetching.scrap_at_most_kg),
    )
    if business.fetching.most_price is None:
        yield LeftOut("a higher price for buckets", "whatever is asked is paid already")
    else:
        yield Increment(
            "price",
            "price",
            "dearer buckets",
            "paying up to a tenth more for a bucket",
            "money paid",
            (Input("fetching.most_price", MORE, "times"),),
            lambda one: float(one.fetching.most_price or 0.0),
        )


def _load(business: Business) -> Found:
    """What the vehicle carries and what the back lifts."""
    payload = [Input("vehicle.payload", MORE, "times")]
    if business.vehicle.rear_axle_spare_kg is not None:
        payload.append(Input("vehicle.rear_axle_spare", MORE, "times"))
    yield Increment(
        "payload",
        "payload",
        "more payload",
        "a vehicle that carries a tenth more",
        "kg payload",
        tuple(payload),
        lambda one: float(one.vehicle.payload_kg),
    )
    if business.lifting.portion_kg is None:
        yield LeftOut("lifting more at once", "buckets are not split already")
    else:
        yield Increment(
            "portion",
            "lifting",
            "heavier lifts",
            "lifting a tenth more at once",
            "kg at once",
            (Input("lifting.portion", MORE, "times"),),
            lambda one: float(one.lifting.portion_kg or 0.0),
        )
    if business.lifting.method == "by hand":
        yield Increment(
            "hand truck",
            "lifting",
            "hand truck",
            "a hand truck and a ramp",
            "hand truck",
            (Input("lifting.method", HELPED),),
            covers=("lifting.portion",),
        )
    else:
        yield LeftOut("a hand truck", f"lifting is helped already ({business.lifting.method})")


def shops(written: Mapping[str, Any]) -> Found:
    """One more shop, and more from each."""
    if not written["supply"]:
        yield LeftOut("shops", "the scenario has no supply")
    for path, name, settings in _entries(written, "supply"):
        places = settings.get("shops")
        unknown = [
            shop
            for shop, place in (places.items() if isinstance(places, Mapping) else ())
            if isinstance(place, Mapping) and place.get("known") is False and place.get("kind") != "chain"
        ]
        if unknown:
            yield Increment(
                f"shop: {name}",
                "supply",
                unknown[0],
                f"one more shop that gives: {unknown[0]} ({name})",
                "shop",
                (Input(f"{path}.shops.{unknown[0]}.known", True),),
            )
        else:
            why = (
                "all of its shops give already" if isinstance(places, Mapping) else "its model tells no shops"
            )
            yield LeftOut(f"one more shop ({name})", why)
        if "season" in settings:
            yield Increment(
                f"filling: {name}",
                "supply",
                "faster buckets" if len(written["supply"]) == 1 else f"faster {name}",
                f"buckets that fill a tenth faster ({name})",
                "tenth",
                (Input(f"{path}.season", MORE, "times"),),
            )
        else:
            yield LeftOut(f"buckets that fill faster ({name})", "its model has no setting called season")


def cash(currency: str) -> Found:
    """Money at hand."""
    yield Increment(
        "cash",
        "cash",
        f"{NOTE} {currency} of cash",
        f"{NOTE} {currency} more cash at the start",
        f"{currency} of cash",
        (Input("cash.opening", f"{NOTE} {currency}", "plus"),),
        lambda one: float(one.cash.opening),
    )


def buyers(written: Mapping[str, Any]) -> Found:
    """Of each class of buyers a tenth more that know of the business, at least one."""
    if not written["demand"]:
        yield LeftOut("buyers", "the scenario has no buyers")
    for path, name, settings in _entries(written, "demand"):
        known, people = settings.get("known"), settings.get("people")
        if _is_count(known) and _is_count(people):
            more = max(1, round(known * (MORE - 1.0)))
            inputs = [Input(f"{path}.known", more, "plus")]
            if known + more > people:
                inputs.append(Input(f"{path}.people", known + more - people, "plus"))
            yield Increment(
                f"buyers: {name}",
                "buyers",
                f"more {name}",
                f"{more} more of the {name} who know of you",
                "buyer",
                tuple(inputs),
                _known_of(path),
            )
        elif "season" in settings:
            yield Increment(
                f"buyers: {name}",
                "buyers",
                f"busier {name}",
                f"{name} who need metal a tenth oftener",
                "tenth",
                (Input(f"{path}.season", MORE, "times"),),
            )
        else:
            yield LeftOut(
                f"buyers ({name})", "their model has no settings called known and people, nor season"
            )


def _known_of(path: str) -> Any:
    """How many of a class know of the business: a function that finds them by the name of their entry."""
    word = path.split(".")[1]

    def known(business: Business) -> float:
        named = next((one for one in business.demand if one.name == word), None)
        one = named or business.demand[int(word) - 1]
        return float(one.settings.known)

    return known


def _entries(written: Mapping[str, Any], key: str) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
    """Path of the settings of each entry of a list of models, what it is called, and the settings."""
    for number, entry in enumerate(written[key], 1):
        settings = entry.get("settings")
        word = entry.get("name") or str(number)
        yield (
            f"{key}.{word}.settings",
            entry.get("name") or entry["model"],
            settings if isinstance(settings, Mapping) else {},
        )


def _is_count(value: Any) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool)
