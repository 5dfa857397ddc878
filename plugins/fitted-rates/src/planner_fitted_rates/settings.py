"""What a scenario says of yard prices that follow a fitted metal price.

In: the block under ``settings:``. Out: frozen settings. Must not know: how files are read or prices drawn.
"""

from __future__ import annotations

from pydantic import Field

from planner.scenario.data import DataFile
from planner.scenario.section import Section
from planner.scenario.units import DurationDays, MoneyPerKg, Number, PerYear, Share


class Linked(Section):
    """A good's price: what the yard pays now, and how far it follows the metal."""

    paid_per_kg: MoneyPerKg = Field(
        ...,
        ge=0,
        description="What the yard pays when the metal stands at the last price of the file; 0: it does not take it.",
    )
    follows_share: Share = Field(
        1.0, description="Share of it that moves with the metal, in proportion; the rest stays."
    )


class Sudden(Section):
    """Shocks as you think they come, instead of those in the file."""

    number_per_year: PerYear = Field(..., ge=0, le=50, description="How many on average; 0: none.")
    mean_share: Number = Field(
        0.0,
        ge=-3,
        le=3,
        description="Mean size: change of the price's logarithm; -0.2 is a fall by a fifth, nearly.",
    )
    sd_share: Number = Field(
        0.0, ge=0, le=1, description="Standard deviation of the size, by which they differ."
    )


def _linked(paid_per_kg: float, follows_share: float = 1.0) -> Linked:
    return Linked.model_construct(paid_per_kg=paid_per_kg, follows_share=follows_share)


class FittedSettings(Section):
    """Each good's price follows one metal price, which wanders as it did in a file and comes back to its mean."""

    file: DataFile = Field(
        ...,
        description="CSV with the columns `date` and `price [EUR/t]` (any currency, any mass), "
        "a row a day, week, month or year.",
    )
    column: str = Field("price", min_length=1, description="Name of the price's column, without its unit.")
    weights: Linked = Field(
        _linked(0.46), description="Mixed weights as they came (common practice, no published source)."
    )
    lead: Linked = Field(
        _linked(1.34), description="Clean lead ingots (common practice, no published source)."
    )
    clips: Linked = Field(
        _linked(0.46), description="Skimmed steel clips (as mixed weights: common practice)."
    )
    zinc: Linked = Field(_linked(1.0, 0.5), description="Sorted zinc weights (assumed).")
    steel: Linked = Field(_linked(0.15, 0.0), description="Sorted steel weights (assumed).")
    dross: Linked = Field(_linked(0.2), description="Oxide and dirt from the pot (assumed).")
    half_life_days: DurationDays = Field(
        730.0,
        gt=0,
        description="Time in which half of a departure from the mean has gone, if the file does not tell it (assumed).",
    )
    shocks: Sudden | None = Field(
        None, description="Shocks instead of those that the file has. Left out: as in the file."
    )
    false_alarm_share: Share = Field(
        0.05,
        gt=0,
        le=0.5,
        description="Chance that a shock is seen in a file as long as this that has none (assumed).",
    )
    start_times: Number | None = Field(
        None,
        gt=0,
        le=20,
        description="Metal price on the first day, times the file's last. Left out: what has become of that by then.",
    )
    mean_times: Number | None = Field(
        None,
        gt=0,
        le=20,
        description="Mean metal price in the long run, times the file's last. Left out: as fitted.",
    )
    trend_a_year_share: Number = Field(
        0.0, gt=-1, le=1, description="Growth of the metal price a year on top; below 0 it falls."
    )
