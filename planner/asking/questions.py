"""The questions, in the trade's order, as plain data.

In: nothing. Out: ``QUESTIONS``. Must not know: how they are asked, how a scenario is written.

What is usual is common practice without a published source, or assumed; each says which.
"""

from __future__ import annotations

from datetime import date
from math import pi
from typing import Final

from planner.asking.question import PRACTICE, Before, Question, orders
from planner.asking.questions_more import BUYING_MORE, GEAR, PLACE_AND_TIME, SELLING_MORE, TRADE_MORE
from planner.asking.scale import PAR

EVERY_DAYS: Final = 130.0
"""From one need of a caster to the next (one to four orders a month from 10 to 30 casters: common practice)."""


def _title(before: Before) -> str:
    del before
    return "My business"


FIRST: Final = (
    Question(
        "title", "What shall the scenario be called?", "the headings of reports, nothing else", "title", _title,
        heading="To begin with", first=True,
    ),
    Question(
        "currency", "Which currency do you count in? (three letters, such as EUR or USD)",
        "every amount in questions, scenario and reports", "currency", lambda b: "EUR", first=True,
        more="One currency for everything: no exchange rates are known here.",
    ),
    Question(
        "units", "Do you weigh in kg or in lb?",
        "units in reports, and what a number without unit means below: kg, km and cm, or lb, miles and inches",
        "units", lambda b: "kg", first=True,
        more="You can always write the unit: 12 lb, 5 kg, 3 miles, 9 kW, 35000 BTU/h.",
    ),
    Question(
        "euro_is", "What is one EUR worth in your currency, about?",
        "amounts that are usual, which are known in EUR only", "fetching", lambda b: 1.0, first=True,
        when=lambda b: b.scale.currency not in PAR,
        more="Only what you leave open below is converted with it.",
    ),
    Question(
        "buckets", "How many buckets a month do your shops fill, all together?",
        "how much there is to melt: more is of no use where hours or buyers bind", "supply.town.settings.shops",
        lambda b: "3 per month", PRACTICE, heading="Shops and buckets", first=True,
        more="A small shop fills less than one a month, a busy independent one one to three (common practice). Count "
        "what they fill, not what you take.",
    ),
    Question(
        "bucket_price", "What do you pay for a bucket?", "what is left of each sale",
        "supply.town.settings.typical.price",
        lambda b: b.scale.money(10.0), PRACTICE, first=True, tells=("money",),
        more="On average; prices go half as far up and down again from shop to shop. 0 if they are glad to get rid.",
    ),
    Question(
        "lift", "How does a bucket get into the vehicle? (by hand full, half, third; or two people, plank, hand truck, "
        "hoist)",
        "your back, the time at each stop, and whether a lift is refused", "lifting.method", lambda b: "half",
        heading="Lifting and driving", first=True, tells=("lift",),
        more="half: you split a full bucket in two and lift one half after the other. A lift with an index above 3 by "
        "the lifting equation is refused, one above 1 is told to be a raised risk.",
    ),
    Question(
        "payload", "How much may the vehicle carry, people included? (its plate says)",
        "buckets a trip; an overload is refused", "vehicle.payload", lambda b: "900 lb" if b.scale.us else "410 kg",
        first=True, tells=("payload",), more="A hatchback has about 400 to 450 kg, driver included (assumed).",
    ),
    Question(
        "hours", "When are you free for it? (such as wed 17:30-21:00, sat 8-17)",
        "what can be fetched, melted and sold at all: fixed time makes short evenings nearly useless", "owner.hours",
        lambda b: {"wed": "17:30-21:00", "sat": "08:00-17:00"}, heading="Your time", first=True, tells=("hours",),
        more="Days mon to sun, ranges such as mon-fri; several times on a day: sat 8-12 14-17. Shops are open on "
        "weekdays until 17:00 and on Saturdays until noon (assumed): without such an hour nothing is fetched.",
    ),
    Question(
        "hour_price", "What is an hour of yours worth to you?",
        "whether anything pays once your hours are counted", "owner.hour_price",
        lambda b: b.scale.money_per_h(10.0), first=True,
        more="What you would have to be paid to do something else instead. All results are shown before and after it.",
    ),
    Question(
        "place", "Where do you melt? (open air, roof, enclosed)",
        "which hours allow it: in the open no rain, little wind, daylight", "melting.place", lambda b: "open air",
        heading="Melting", first=True, tells=("stove",),
        more="A roof is open at the sides. An enclosed place is refused without fume extraction and a carbon monoxide "
        "alarm.",
    ),
    Question(
        "extraction", "Does it have both fume extraction and a carbon monoxide alarm?",
        "whether anything may be melted in an enclosed place", "melting.extraction", lambda b: False, first=True,
        when=lambda b: b.told.place == "enclosed", tells=("stove",),
    ),
    Question(
        "burner", "How strong is the burner? (its plate says)", "hours and propane a bucket", "melting.burner.power",
        lambda b: "14000 BTU/h" if b.scale.us else "4 kW", first=True, tells=("stove",),
        more="A camp stove has 3 to 4 kW, a ring burner about 10, a large one 16 (35,000 to 55,000 BTU/h).",
    ),
    Question(
        "bucket_hours", "How many hours at the stove does a bucket take, from lighting to solid, in ordinary weather?",
        "how well your burner heats your pot: reckoned so that `planner check` says your hours",
        "melting.burner.efficiency_share", lambda b: None, first=True, tells=("stove", "money"),
        unknown="not known: left to the heat balance",
        more="Without setting up and cleaning up, which count beside it. Leave it open if you never timed it.",
    ),
    Question(
        "casters", "How many people who cast bullets know that you sell?",
        "how much is sold at a good price: a local market is soon served", "demand.casters.settings.known", lambda b: 8,
        heading="Buyers and money", first=True,
        more="Everybody who would think of you when they need metal. In a town of 100,000 10 to 30 are in reach "
        "(common practice); others come by word of mouth.",
    ),
    Question(
        "orders", "How many orders a month do they give you, all together?",
        "how much is sold at a good price", "demand.casters.settings.gap", lambda b: orders(b.told.casters, EVERY_DAYS),
        PRACTICE, first=True, when=lambda b: (b.told.casters or 0) > 0, tells=("money",),
        more="On average over the year: one order every two months is 0.5.",
    ),
    Question(
        "asked", "What do you ask for ingots?", "what each sale brings, and who buys at all",
        "pricing.settings.private.hard", lambda b: "2 " + b.scale.currency + "/lb" if b.scale.us and not b.scale.foreign
        else b.scale.money_per_mass(4.4), PRACTICE, first=True, tells=("money",),
    ),
    Question(
        "yard_lead", "What does the scrap yard pay for clean lead?", "what metal brings that is not sold otherwise",
        "rates.settings.lead.mean", lambda b: b.scale.money_per_mass(1.34), PRACTICE, first=True, tells=("money",),
    ),
    Question(
        "cash", "How much cash is there for the business?",
        "what can be paid: without cash no bucket is bought and nothing new",
        "cash.opening", lambda b: b.scale.money(500.0), first=True,
    ),
)  # fmt: skip
"""Asked of everybody: three to begin with, and what the answer hangs on most."""


def _stand(before: Before) -> str:
    told = before.told
    litres = pi / 4 * ((told.pot_diameter_cm or 25.0) / 10) ** 2 * (told.pot_height_cm or 20.0) / 10
    return before.scale.mass(10.0 * (int((5.0 + 8.0 * litres) / 10.0) + 1))


STAND: Final = Question(
    "stand", "What may the pot's stand carry? (its plate says, or whoever made it)",
    "whether the pot is refused as too heavy when full", "melting.stand", _stand, tells=("stove",),
    more="Left open, it is taken to bear the full pot: go and look.",
)  # fmt: skip


def first_of_next_month(today: date) -> date:
    """The day from which a year is played if nobody says another."""
    return date(today.year + today.month // 12, today.month % 12 + 1, 1)


def _all() -> tuple[Question, ...]:
    at = {question.key: place for place, question in enumerate(FIRST)}
    return (
        *FIRST[: at["buckets"]],
        *PLACE_AND_TIME,
        *FIRST[at["buckets"] : at["lift"]],
        *BUYING_MORE,
        *FIRST[at["lift"] : at["hours"]],
        *TRADE_MORE,
        *FIRST[at["hours"] : at["burner"]],
        *GEAR,
        STAND,
        *FIRST[at["burner"] : at["yard_lead"]],
        *SELLING_MORE,
        *FIRST[at["yard_lead"] :],
    )


QUESTIONS: Final = _all()
"""All of them, in the trade's order: an answer is only asked for after those that what is usual hangs on."""
BY_KEY: Final = {question.key: question for question in QUESTIONS}
