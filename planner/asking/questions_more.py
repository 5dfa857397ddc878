"""The questions that are asked on request.

In: nothing. Out: tables of ``Question``, in groups that stand between those that everybody is asked. Must not know: how
they are asked.
"""

from __future__ import annotations

from typing import Final

from planner.asking.question import PRACTICE, Before, Question, orders

ANGLER_DAYS: Final = 150.0
"""From one need of an angler to the next (1 to 5 orders a month in season: common practice)."""


def _has_helper(before: Before) -> bool:
    return before.told.helper_wage_per_h is not None


def _made_up(before: Before) -> bool:
    return before.told.weather_file is None


def _has_anglers(before: Before) -> bool:
    return (before.told.anglers or 0) > 0


PLACE_AND_TIME: Final = (
    Question(
        "start", "From which day on shall a year be played?", "seasons and dates of what may happen", "calendar.start",
        lambda b: None, heading="Place and weather", unknown="the first of next month",
    ),
    Question(
        "time_zone", "Which time zone is your clock's? (such as CET or EST5EDT)", "when it is light by your clock",
        "calendar.time_zone", lambda b: None, unknown="the sun's own time, without summer time",
        more="A name of the IANA time zone database.",
    ),
    Question(
        "latitude", "How far north do you live, in degrees? (south below 0)", "daylight and the year's course",
        "calendar.latitude", lambda b: "45 deg",
    ),
    Question(
        "weather_file", "Is there a file of measured weather beside the scenario?",
        "which hours allow to melt, and how long it takes", "weather.settings.file", lambda b: None,
        unknown="none: the weather is made up",
        more="Hourly records of a year (.csv, or .epw), in the folder of the scenario or below it; "
        "plugins/measured-weather says how they are written.",
    ),
    Question(
        "coldest", "How cold is the coldest month, day and night on average?", "propane, and hours too cold to melt",
        "weather.settings.coldest", lambda b: "32 degF" if b.scale.us else "0 degC", when=_made_up, tells=("stove",),
    ),
    Question(
        "warmest", "And how warm the warmest?", "hours at the stove", "weather.settings.warmest",
        lambda b: "68 degF" if b.scale.us else "20 degC", when=_made_up, tells=("stove",),
    ),
)  # fmt: skip

BUYING_MORE: Final = (
    Question(
        "bucket", "What does a full bucket weigh?", "lifting, payload, ingots and hours a bucket",
        "supply.town.settings.typical.mass", lambda b: "130 lb" if b.scale.us else "59 kg", PRACTICE,
        tells=("lift", "payload"), more="A 20 litre bucket, brim-full, 59 kg. Buckets differ by some kilograms.",
    ),
    Question(
        "shops", "How many shops fill them?", "stops on a trip, and what is lost when one stops giving",
        "supply.town.settings.shops", lambda b: 3,
    ),
    Question(
        "shop_distance", "How far away are they, one way, on average?", "hours and cost of a trip",
        "supply.town.settings.shops", lambda b: "3 miles" if b.scale.us else "5 km", tells=("money",),
    ),
    Question(
        "fetch_every", "How many days lie between two trips?",
        "how many buckets a trip; those that wait too long go elsewhere",
        "fetching.every", lambda b: "14 days",
    ),
)  # fmt: skip

TRADE_MORE: Final = (
    Question(
        "drive_cost", "What does driving cost, all in?", "what is left of each bucket", "vehicle.cost",
        lambda b: b.scale.money_per_km(0.43), tells=("money",),
    ),
    Question(
        "helper_wage", "What is a helper paid by the hour, if you have one?", "two pairs of hands, and their wage",
        "helper.wage", lambda b: None, unknown="there is no helper",
    ),
    Question(
        "helper_days", "On which days does the helper come?", "two pairs of hands on these days", "helper.days",
        lambda b: ["sat"], when=_has_helper,
    ),
    Question(
        "sort", "Do you sort by hand before melting? (yes, no)",
        "hours of sorting; less steel to heat on a small burner, fewer spoiled pots", "sorting.on", lambda b: False,
        tells=("stove", "money"),
    ),
    Question(
        "holidays", "When are you away? (such as 2026-07-06 to 2026-07-19)", "days on which nothing is done",
        "owner.holidays", lambda b: None, unknown="never",
    ),
)  # fmt: skip

GEAR: Final = (
    Question(
        "sheltered", "Is the pot sheltered from the wind on most sides? (yes, no)",
        "hours and propane a bucket in wind",
        "melting.wind_at_pot_share", lambda b: False, tells=("stove",),
    ),
    Question(
        "light", "Is there light after dark? (yes, no)", "evenings from autumn to spring", "melting.light",
        lambda b: False, tells=("hours",),
    ),
    Question(
        "pot_diameter", "How wide is the pot inside?", "what fits in, and what the burner's heat reaches",
        "melting.pot.diameter", lambda b: "9.8 in" if b.scale.us else "25 cm", tells=("stove",),
    ),
    Question(
        "pot_height", "How high is it inside?", "what fits in, and what is lost at its sides", "melting.pot.height",
        lambda b: "7.9 in" if b.scale.us else "20 cm", tells=("stove",),
    ),
    Question(
        "heel", "Do you leave an inch of lead in the pot for the next melt? (yes, no)",
        "how soon the next load melts; wet scrap must be dried first, always", "melting.heel", lambda b: False,
        tells=("stove",),
    ),
    Question(
        "lid", "Is there a lid on it while it heats? (yes, no)", "heat lost from the top", "melting.lid",
        lambda b: False, tells=("stove",),
    ),
    Question(
        "windbreak", "Is there a skirt round the pot and a screen against wind? (yes, no)", "hours and propane in wind",
        "melting.skirt", lambda b: False, tells=("stove",),
    ),
    Question(
        "thermometer", "Is there a thermometer in the melt? (yes, no)", "pots spoiled by zinc", "melting.thermometer",
        lambda b: False,
    ),
    Question(
        "moulds", "How many moulds do you fill in a round?", "hours a bucket once the burner is strong",
        "melting.moulds.count", lambda b: 4, tells=("stove",),
    ),
    Question(
        "mould", "How much does one hold?", "hours a bucket once the burner is strong", "melting.moulds.holds",
        lambda b: "4 lb" if b.scale.us else "1.8 kg", tells=("stove",),
    ),
    Question(
        "fuel_price", "What does propane cost?", "what is left of each bucket", "melting.fuel_price",
        lambda b: b.scale.money_per_mass(2.5), tells=("money",),
    ),
)  # fmt: skip

SELLING_MORE: Final = (
    Question(
        "order", "How much does a caster usually take?", "hours of selling, and what must lie ready",
        "demand.casters.settings.size", lambda b: "22 lb" if b.scale.us else "10 kg",
        when=lambda b: (b.told.casters or 0) > 0, tells=("money",),
    ),
    Question(
        "buy_of_ten", "Of ten who ask your price, how many buy?", "what asking more or less would do",
        "demand.casters.settings.most", lambda b: 9,
        more="The only sign of what people would pay at most: if all buy, you could ask for more.",
    ),
    Question(
        "sale", "How long does a sale take you, messages and waiting included?", "money an hour",
        "demand.casters.settings.sale", lambda b: "30 min", PRACTICE, tells=("money",),
    ),
    Question(
        "anglers", "How many anglers who cast sinkers know that you sell?", "small orders in a season",
        "demand.anglers.settings.known", lambda b: 0,
    ),
    Question(
        "angler_orders", "How many orders a month do anglers give you, all together?", "small orders in a season",
        "demand.anglers.settings.gap",
        lambda b: orders(b.told.anglers, ANGLER_DAYS), when=_has_anglers,
    ),
    Question(
        "angler_order", "How much does an angler usually take?", "hours of selling", "demand.anglers.settings.size",
        lambda b: "7 lb" if b.scale.us else "3 kg", when=_has_anglers, tells=("money",),
    ),
    Question(
        "yard_weights", "What does the yard pay for mixed weights as they come?",
        "whether melting beats selling untouched",
        "rates.settings.weights.mean", lambda b: b.scale.money_per_mass(0.46), PRACTICE, tells=("money",),
    ),
    Question(
        "yard_distance", "How far away is the yard, one way?", "what the yard's price is worth", "yard.distance",
        lambda b: "6 miles" if b.scale.us else "10 km", tells=("money",),
    ),
    Question(
        "ingots", "How many ingots are in stock, by mass?", "first sales", "stock.mixed",
        lambda b: "0 lb" if b.scale.us else "0 kg",
    ),
    Question(
        "sundries", "What do flux, filters and gloves cost a month?", "what is left", "costs",
        lambda b: b.scale.money(8.0),
    ),
)  # fmt: skip
