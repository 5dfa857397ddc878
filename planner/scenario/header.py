"""What stands in a scenario file beside the business itself: title, currency, options, outlooks, ranges, study.

In: the top keys of the file. Out: frozen values. Must not know what an option changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, Field, WithJsonSchema

from planner.scenario import toll
from planner.scenario.currencies import CODES
from planner.scenario.part import PartError
from planner.scenario.section import Named, Section, across
from planner.scenario.units import Count, DurationH, DurationMin, Money, Share
from planner.scenario.wording import listed, nearest, quoted

AS_TODAY: Final = "as today"
EXPECTED: Final = "expected"
MOST_OPTIONS: Final = 500
MOST_OUTLOOKS: Final = 100
"""Each is a business of its own, which is read and checked before anything is played (assumed)."""
PROBABILITY_TOLERANCE: Final = 1e-9
"""Probabilities may sum to so much more than 1, since decimals round."""


def checked_currency(code: str) -> str:
    """A currency by its code; refused where there is none of that code."""
    if code in CODES:
        return code
    near = nearest(code, CODES)
    guess = f"; did you mean {near}?" if near else ""
    raise ValueError(
        f"{quoted(code)} is not a currency's code of three letters (ISO 4217), such as EUR or USD{guess}"
    )


Range = Annotated[str, Field(min_length=1, max_length=400)]
"""A path and its two ends, as `planner.scenario.axis` reads them."""

Summary = Annotated[str, Field(max_length=400)]


class Option(Section):
    """Something the owner could do."""

    summary: Summary = Field("", description="In one sentence.")
    start_up_cost: Money = Field(0.0, ge=0, description="What it costs to start.")
    resale: Money = Field(0.0, ge=0, description="What the gear bought for it still brings at the end.")
    changes: dict[str, Any] = Field(
        default_factory=dict,
        examples=["{melting.pot.diameter: 40 cm}"],
        description=(
            "What is different: a path such as `melting.pot.diameter`, and the new value; or `{times: 0.7}`, "
            "`{plus: 5 kg}`, `{tilt: 1.2}`, `{append: {...}}`, `{remove: a name}`."
        ),
    )


class Outlook(Section):
    """Something that might happen."""

    summary: Summary = Field("", description="In one sentence.")
    probability: Share | None = Field(
        None,
        description=(
            "How likely it is, where somebody dares to say: of every outlook but the expected one, which has what is "
            "left of 1, or of none."
        ),
    )
    changes: dict[str, Any] = Field(
        default_factory=dict, description="What is different, written as for an option."
    )


class Estimate(Section):
    """How sure a value of the business is: each world draws it anew, around what stands at its path."""

    path: Annotated[str, Field(min_length=1, max_length=400)] = Field(
        ...,
        examples=["melting.burner.efficiency_share"],
        description="Where the value stands, as for the changes of an option; a `*` stands for any key.",
    )
    way: Literal["times", "plus", "tilt"] = Field(
        "times",
        description=(
            "times: what stands there is multiplied by a factor whose logarithm is normal; plus: a normal amount is "
            "added to it; tilt: as times, of one of several shares that sum to 1, which are then divided by their sum."
        ),
    )
    sd: Annotated[Any, WithJsonSchema({"type": ["number", "string"]})] = Field(
        ...,
        examples=["0.1"],
        description=(
            "Standard deviation: of the factor's logarithm (0.1 is about a tenth), or of what is added, with its unit. "
            "Draws are cut at four of them."
        ),
    )
    within: Annotated[str, Field(max_length=100)] | None = Field(
        None,
        examples=["0.8..1.25"],
        description="What is drawn beyond is cut to it: factors such as `0.8..1.25`, or amounts `-2 kg..2 kg`.",
    )
    records: Count = Field(0, description="How many records told it; 0: a guess.")
    method: Summary = Field("", description="How they told it, in words.")
    correlations: Named[Annotated[float, Field(ge=-1, le=1)]] = Field(
        default_factory=dict,
        alias="with",
        examples=["{wind at the pot: -0.6}"],
        description="Correlation with other estimates, by their names; each pair once.",
    )


class Study(Section):
    """How many years are played and how sure the answer must be."""

    seed: Count = Field(
        1, le=2**32 - 1, description="Start of all chance; the same seed gives the same numbers."
    )
    replicates: Annotated[Count, toll.WORLDS] = Field(
        50, ge=2, le=100_000, description="Worlds that every option meets, under every outlook."
    )
    budget: Annotated[Count | None, toll.RUNS] = Field(
        None,
        ge=100,
        le=100_000_000,
        description=(
            "Runs at most, all together, to find the best option; left out: 10 000 beyond the worlds that every option "
            "meets."
        ),
    )
    confidence: Share = Field(
        0.95, ge=0.5, lt=1, description="How sure a statement must be before it is made."
    )
    worth_caring_about: Money = Field(
        100.0, gt=0, description="Differences below this, a year, do not matter to the owner (assumed)."
    )
    may_take_h: DurationH | None = Field(
        None,
        gt=0,
        description=(
            "How long what a command surely plays may take by estimate; more is refused before it begins; left out: "
            "12 hours."
        ),
    )
    patience_min: DurationMin | None = Field(
        None,
        ge=0.01,
        le=1440,
        description=(
            "How long one run may take before it is given up and told as failed; left out: a minute, or twenty times "
            "the longest so far (assumed)."
        ),
    )


class Header(Section):
    """The top of a scenario file."""

    title: str = Field(
        ...,
        min_length=1,
        max_length=120,
        examples=["My business"],
        description="What the scenario is called.",
    )
    summary: Summary = Field("", description="What it is about, in a sentence or two.")
    currency: Annotated[str, AfterValidator(checked_currency)] = Field(
        ...,
        examples=["EUR"],
        description="The one currency of all amounts, by its code (ISO 4217), such as EUR.",
    )
    units: Literal["metric", "us"] = Field(
        "metric", description="Units in reports: kg, km and degC, or lb, miles and degF."
    )
    extends: str | None = Field(
        None,
        description="Another file, in the same folder or below it, whose keys this one takes over and overrides.",
    )
    options: Annotated[Named[Option], toll.OPTIONS] = Field(
        default_factory=dict,
        max_length=MOST_OPTIONS,
        description=(
            "What the owner could do, by name; `a name: none` leaves out one that the file extended offers, "
            "`options: none` all of them."
        ),
    )
    outlooks: Annotated[Named[Outlook], toll.OUTLOOKS] = Field(
        default_factory=dict,
        max_length=MOST_OUTLOOKS,
        description="What might happen, by name; `none` as for options.",
    )
    ranges: Named[Range] = Field(
        default_factory=dict,
        examples=["{price of your hour: 'owner.hour_price=4 EUR/h..14 EUR/h'}"],
        description=(
            "What might as well be otherwise, by names of yours: a path, `=` and two ends, such as "
            "`owner.hour_price=4 EUR/h..14 EUR/h`; `*=0.8..1.2` multiplies what is there, `+=` adds to it, `~=` "
            "tilts it, and a `*` in the path stands for any key. `planner hinges` looks at them, nothing else does; "
            "`none` as for options."
        ),
    )
    estimates: Named[Estimate] = Field(
        default_factory=dict,
        examples=["{hours of a melt: {path: melting.load, sd: 0.1}}"],
        description=(
            "Which values of the business are estimates, by names of yours, and how sure each is: every world draws "
            "them anew, the same for all options and outlooks; `none` as for options."
        ),
    )
    study: Study = Field(
        default_factory=lambda: Study.model_validate({}), description="How the question is studied."
    )

    @across("outlooks.*.probability")
    def _probabilities_of_all_or_none(self) -> None:
        further = [(name, one.probability) for name, one in self.outlooks.items() if name != EXPECTED]
        silent = [name for name, probability in further if probability is None]
        said = [(name, probability) for name, probability in further if probability is not None]
        if said and silent:
            have = "has" if len(silent) == 1 else "have"
            raise PartError(
                f"{listed(map(quoted, silent))} {have} no probability, but {quoted(said[0][0])} has one; "
                "give one to every outlook, or to none",
                ["outlooks", silent[0]],
                ["outlooks", said[0][0], "probability"],
            )
        total = fsum(probability for _, probability in said)
        if total > 1.0 + PROBABILITY_TOLERANCE:
            raise PartError(
                f"the probabilities of the outlooks sum to {total:.6g}; together they may be 1 at most, and what is "
                f"left is that of '{EXPECTED}'",
                ["outlooks", said[-1][0], "probability"],
            )


def probabilities(outlooks: Mapping[str, Outlook]) -> dict[str, float] | None:
    """How likely each outlook is, the expected one first; None where nobody dares to say.

    Parameters
    ----------
    outlooks : mapping of str to Outlook
        All outlooks of a scenario, by name.
    """
    likely = {
        name: one.probability
        for name, one in outlooks.items()
        if name != EXPECTED and one.probability is not None
    }
    return {EXPECTED: max(0.0, 1.0 - fsum(likely.values())), **likely} if likely else None


HEADER_KEYS: Final = tuple(field.alias or name for name, field in Header.model_fields.items())
