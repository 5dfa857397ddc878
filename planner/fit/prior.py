"""How far from a scenario's value the truth may lie before any record is read: the one home of prior deviations.

In: nothing. Out: ``Prior`` values. Must not know: records, how anything is estimated.

Every one is assumed: nobody has published how far such guesses are off. A deviation of ``times`` is that of the
logarithm of the factor: with 0.3 the truth lies between 0.61 and 1.64 times the guess nine times in ten.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Prior:
    """One deviation.

    Parameters
    ----------
    sd : float
        Of the logarithm of the factor where the estimate multiplies; otherwise in the unit of the value.
    why : str
        Why so much, for the reader.
    """

    sd: float
    why: str


FILLING: Final = Prior(
    0.4, "a shop's pace is guessed from its kind, and shops of one kind differ by half and more (assumed)"
)
SEASON: Final = Prior(
    0.2, "the months of tyre changes and of fishing are known, how strong they are is not (assumed)"
)
BUCKET_MASS: Final = Prior(0.1, "a bucket holds 20 litres wherever it stands (assumed)")
BUCKET_PRICE: Final = Prior(0.3, "what shops ask differs by half and more (assumed)")
MIX: Final = Prior(0.3, "what shops throw out differs, and changes over the years (assumed)")
NEEDS: Final = Prior(0.35, "how often buyers come back is a guess until they did (assumed)")
ORDER: Final = Prior(0.25, "buyers say what they want, but not before they ask (assumed)")
PAYS_SHARE: Final = Prior(
    0.15, "as a share of the price: what others ask is known, what these would pay is not (assumed)"
)
SALE_TIME: Final = Prior(0.3, "minutes with buyers are remembered badly (assumed)")
SORTING: Final = Prior(0.4, "by hand 25 to 80 kg an hour are told of (assumed)")
SET_UP: Final = Prior(0.4, "minutes before lighting are remembered badly (assumed)")
STOP: Final = Prior(0.4, "minutes at a shop hang on who serves there (assumed)")
YARD: Final = Prior(0.25, "yards tell their prices by telephone, and pay others (assumed)")

ROUNDED_SHARE: Final = 0.02
"""What is written down is rounded: as a share of it, so much is a single record off at least (assumed)."""
TIME_SCATTER: Final = 0.1
"""Times are rounded more coarsely, and no two sales take the same (assumed; as a share of the time)."""
RECORDS_WORTH: Final = 10.0
"""How widely single records scatter is known from the scenario as well as from so many records (assumed)."""
BURNER_EFFICIENCY: Final = Prior(
    0.18, "0.32 to 0.58 were measured with boiling water, and this pot and burner are others (assumed)"
)
BURNER_POWER: Final = Prior(
    0.12,
    "what a burner is sold as and what it burns with this hose and regulator differ by a fifth (assumed)",
)
WIND_HALF: Final = Prior(
    0.5, "nobody has measured it, 1 to 4 m/s, and how sheltered the place is is a guess too (assumed)"
)
CLEAN_UP: Final = Prior(0.4, "minutes after a melt are remembered badly (assumed)")
MOULDS: Final = Prior(0.3, "a round of the moulds can be timed, but who does (assumed)")
SKIMMING: Final = Prior(0.4, "minutes with the skimmer hang on what floats there (assumed)")

DROSS: Final = Prior(0.4, "1 to 3 % are told of, and it hangs on flux, stirring and heat (common practice)")
DROSS_SCATTER: Final = 0.2
"""Some lead clings to what is skimmed, more in one melt than in another (assumed; as a share of it)."""

MELT_SCATTER: Final = Prior(
    0.03, "hours are rounded to a quarter, and wind comes and goes within a melt (assumed)"
)
"""How far hours and propane of single melts lie off, as a logarithm."""
MELTS_WORTH: Final = 2.0
"""That scatter is known before as well as from so many melts (assumed)."""
