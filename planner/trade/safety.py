"""What can hurt people in this trade, said where the numbers touch it.

In: what a scenario does (lifts, melts, sorts, drives, employs, sells). Out: cautions as rows, in the order in which
they matter. Must not know: scenarios, runs, pages or terminals.

A caution names the published limit where there is one and says nothing in its place where there is none. None of them
replaces local codes or licensed practice (``DEFERENCE``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from planner.trade.exposure import Limit, limit, permissible_ug_m3, saturated_lead_ug_m3
from planner.trade.lifting import RAISED_RISK_INDEX, REFUSED_INDEX, SCOPE_C
from planner.trade.metals import ZINC

Work = Literal["lifts", "melts", "sorts", "drives", "helper", "sells"]

COMMON: Final = "common practice, no published source"
DEFERENCE: Final = (
    "These cautions and limits replace neither local codes nor licensed practice: ask the fire service, the "
    "environmental and the health authority, and a doctor, before you start and before you grow."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Parameters
    ----------
    key : str
        Short name.
    title : str
        In a few words.
    text : str
        What to do and what not, plainly.
    limit : str
        The published limit; empty where there is none.
    source : str
        Where limit or advice comes from.
    when : tuple of str
        The kinds of work that it belongs to; any of them is enough.
    first : str
        One sentence, where it can kill or maim at once: that is said before everything else. Empty elsewhere.
    figure : str
        The published limit as a bare figure; empty where there is none.
    """

    key: str
    title: str
    text: str
    limit: str
    source: str
    when: tuple[Work, ...]
    first: str = ""
    figure: str = ""


def _said(*keys: str) -> str:
    """Published limits in words, one after the other."""
    return "; ".join(f"{row.value:g} {row.unit} ({row.what})" for row in map(limit, keys))


def _figure(key: str) -> str:
    """A published limit as a bare figure."""
    row = limit(key)
    return f"{row.value:g} {row.unit}"


def _sources(*keys: str) -> str:
    """Where these limits come from, each source once."""
    rows: tuple[Limit, ...] = tuple(map(limit, keys))
    return "; ".join(dict.fromkeys(row.source for row in rows))


def _vapour(metal_c: float) -> str:
    """Lead vapour over metal of this temperature [degC], in words."""
    return f"{float(saturated_lead_ug_m3(metal_c)):.0f} ug/m3"


CAUTIONS: Final = (
    Caution(
        "water", "Water and molten metal",
        "A drop of water under molten lead turns to steam and throws the metal out. Dry the scrap; what may be damp or "
        "icy goes only into a cold, empty pot and is warmed slowly: wet or icy scrap never meets a heel or a melt. "
        "Warm moulds, ladle and skimmer first. Keep rain, snow, drinks and sweat away from the pot.",
        "", COMMON, ("melts",),
        "A drop of water under molten lead turns to steam and throws the metal at you: damp or icy scrap goes only "
        "into a cold, empty pot.",
    ),
    Caution(
        "pot", "Pot and stand",
        "Stand, pot and everything in it must be within the stand's rated load, on level ground that does not burn. "
        "Never move a pot with molten metal in it: let it freeze. Use a steel or cast-iron pot without cracks, never "
        "aluminium.",
        "", f"the rating is the maker's; the rest is {COMMON}", ("melts",),
        "A stand loaded beyond its rating, or a pot moved while its metal is molten, spills lead that burns to the "
        "bone: stay within the rating, and let the pot freeze where it stands.",
    ),
    Caution(
        "burns", "Burns",
        "Face shield over safety glasses, leather gloves with long cuffs, leather boots under trouser legs, cotton or "
        "wool, long sleeves. Lead that looks solid is still hot. Cool a burn with running water and see a doctor.",
        "", COMMON, ("melts",),
    ),
    Caution(
        "attend", "Never unattended",
        "Somebody stays with the pot from lighting until the metal is solid; children and animals stay away. Do not "
        "start tired or after drinking, nor a melt that you cannot finish. Keep dry sand or a dry-powder extinguisher "
        "at hand, never water.",
        "", COMMON, ("melts",),
    ),
    Caution(
        "air", "Ventilation and carbon monoxide",
        "Melt in the open or under an open-sided roof and stand upwind. Never in an enclosed room without extraction "
        "and a carbon monoxide alarm: a burner gives off gas that nobody can smell.",
        _said("carbon monoxide", "carbon monoxide recommended", "carbon monoxide ceiling"),
        _sources("carbon monoxide", "carbon monoxide recommended"), ("melts",),
        "A burner in a closed room kills with carbon monoxide, which nobody can smell "
        f"({_figure('carbon monoxide')} over 8 hours is the limit): melt in the open, indoors never without extraction "
        "and alarm.",
        _figure("carbon monoxide"),
    ),
    Caution(
        "cylinder", "Gas cylinders",
        "Cylinders stand upright, outdoors, away from the flame's heat and from cellar openings: propane sinks. Test "
        "joints with soapy water. Never warm an icy cylinder with a flame, never lay one down in use.",
        f"a propane cylinder kept in a dwelling holds at most {limit('cylinder indoors').value:g} lb of water",
        _sources("cylinder indoors"), ("melts",),
        figure=f"{limit('cylinder indoors').value:g} lb of water indoors",
    ),
    Caution(
        "thermometer", "Thermometer and zinc fume",
        f"Keep the metal below {ZINC.melting_c:.0f} degC, where zinc melts and spoils the pot; a thermometer is the "
        "only way to know. Overheated zinc smokes white: its fume gives a fever some hours later. Hotter lead gives "
        f"off more vapour: air over it can hold {_vapour(400.0)} of lead at 400 degC and {_vapour(500.0)} at 500.",
        _said("zinc oxide fume", "zinc oxide fume short"),
        _sources("zinc oxide fume", "zinc oxide fume short"), ("melts",),
        figure=f"zinc oxide: {_figure('zinc oxide fume')}",
    ),
    Caution(
        "respirator", "Respirator",
        "Wear a half mask with particulate filters of the highest class, fitted to a shaved face, when sorting, "
        "skimming, handling dross and cleaning up. A paper mask does not do. A respirator comes after open air and "
        "damp wiping, not instead of them. The longer the day, the less lead the air may hold: "
        f"{permissible_ug_m3(10.0):g} ug/m3 over 10 hours.",
        _said("permissible", "action"), _sources("permissible", "action"), ("melts", "sorts"),
        figure=f"lead in air: {_figure('permissible')}",
    ),
    Caution(
        "dust", "Dust when sorting",
        "Tip buckets slowly and outdoors. Sort damp, never wet, and let the scrap dry before it is melted. Never sweep "
        "dry, never blow with air: wipe damp, or use a vacuum cleaner with a high-efficiency filter.",
        _said("permissible"), _sources("permissible"), ("sorts",),
        figure=f"lead in air: {_figure('permissible')}",
    ),
    Caution(
        "hygiene", "Hygiene",
        "Lead goes from hands to mouth. No eating, drinking or smoking at work. Wash hands and face with soap "
        "before any break, shower after work, and keep work clothes and boots for this work alone.",
        "", f"29 CFR 1910.1025(g) and (i) for employers, from memory; {COMMON}", ("melts", "sorts", "lifts"),
    ),
    Caution(
        "family", "Family",
        "Lead harms children and the unborn most, at levels that an adult does not notice. Work away from the house, "
        "garden and kitchen; carry no dust, clothes or buckets home; wash work clothes apart. If children live with "
        "you, have their blood tested too.",
        _said("child"), _sources("child"), ("melts", "sorts", "lifts"),
        figure=f"a child's blood lead: {_figure('child')}",
    ),
    Caution(
        "blood", "Blood tests",
        "Have your blood lead tested before you start, after two or three months, and then twice a year; stop and see "
        "a doctor when it rises. The exposed hours shown beside the profit are the hours to bring down.",
        _said("elevated adult", "index of exposure", "removal", "removal mean"),
        f"{_sources('elevated adult', 'index of exposure', 'removal', 'removal mean')}; how often: {COMMON}",
        ("melts", "sorts"),
        figure=f"blood lead: {_figure('elevated adult')}",
    ),
    Caution(
        "lifting", "Lifting",
        "Half-fill buckets, lift them with two people, or use a plank, hand truck or hoist. The lifting equation "
        f"covers one person with a good footing at {SCOPE_C[0]:.0f} to {SCOPE_C[1]:.0f} degC; in the cold, in gloves, "
        "or with a load that shifts, lift less. A pot of molten metal is no load to be lifted.",
        f"lifting index {RAISED_RISK_INDEX:g}, above which the risk is raised (above {REFUSED_INDEX:g} is refused "
        "here: this project's rule)",
        "NIOSH 94-110 (rev. 2021), sections 1.2 and 1.4.3", ("lifts",),
        figure=f"lifting index {RAISED_RISK_INDEX:g}",
    ),
    Caution(
        "vehicle", "Vehicle load",
        "People and buckets together stay within the payload on the door's placard, each axle within its rating, the "
        "tyres at the pressure for it. Buckets stand low, near the axle, tied down and lidded; nobody sits in front of "
        "loose lead.",
        "gross vehicle weight rating and gross axle weight rating, as certified by the maker",
        "49 CFR 571.3; 49 CFR 567.4", ("drives",),
        figure="the maker's rating",
    ),
    Caution(
        "waste", "Waste",
        "Dross, ash, filters and wiping rags hold lead. Keep them dry, closed and labelled; sell dross to a yard that "
        "takes it or bring it to hazardous waste. Never into the bin, the drain or the ground.",
        _said("waste"), _sources("waste"), ("melts", "sorts"),
        figure=f"lead leached: {_figure('waste')}",
    ),
    Caution(
        "dealing", "Dealing rules",
        "Buying and selling scrap, melting it and running a business at home may each need a permit or a register of "
        "sellers; shops may be bound to a recycler. Lead weights, shot and sinkers are banned in some places. Tell "
        "every buyer what the metal is, zinc included, and that it is lead.",
        "", "local rules; Directive 2000/53/EC article 4(2)(a) and state laws for wheel weights", ("sells",),
    ),
    Caution(
        "helper", "Duties towards a helper",
        "Whoever works for you is owed the same protection by law: measured air, training, washing place, clothes, "
        "respirator and blood tests at your cost. No minors. Say what lead does to the unborn before work begins. "
        "Wages, insurance and liability are yours.",
        f"{_said('action')}; blood tests beyond {limit('surveillance days').value:g} days a year above it; "
        f"{_said('permissible')}",
        _sources("action", "surveillance days", "permissible"), ("helper",),
        figure=f"lead in air: {_figure('action')}",
    ),
)  # fmt: skip


def cautions_for(
    *, lifts: bool, melts: bool, sorts: bool, drives: bool, helper: bool, sells: bool
) -> tuple[Caution, ...]:
    """The cautions that belong to what is done, in the order of ``CAUTIONS``.

    Parameters
    ----------
    lifts, melts, sorts, drives, helper, sells : bool
        Whether buckets are lifted, metal is melted, scrap is sorted by hand, loads are driven, somebody else works
        here, goods are sold.

    Returns
    -------
    tuple of Caution
        Each once; empty when nothing is done.
    """
    done: dict[Work, bool] = {
        "lifts": lifts,
        "melts": melts,
        "sorts": sorts,
        "drives": drives,
        "helper": helper,
        "sells": sells,
    }
    return tuple(caution for caution in CAUTIONS if any(done[work] for work in caution.when))
