"""Cautions: what hurts people in this work, said shortly, with who says it.

Stands first in paint. Paraphrased, never instructions: the product's label, local rules and a
licensed person come first. Those that the job gives cause for come first; none is left out.
"""

from __future__ import annotations

from typing import NamedTuple

FIRST = (
    "Follow the product's label and your local rules first, and ask a licensed person where "
    "they ask for one. What follows are reminders, not instructions."
)


class Caution(NamedTuple):
    """One topic, what to mind, and where that comes from."""

    topic: str
    text: str
    source: str


CAUTIONS = (
    Caution(
        "Old paint",
        "Take any old finish to hold lead until a test says otherwise; paint on furniture made "
        "before 1978 often does. Do not sand it dry, scrape it dry, burn it or heat it hard. "
        "Contain the dust, keep children and food away, wash before you eat, and ask a "
        "certified person how to take it off and where to bring it.",
        "16 CFR 1303 (600 ppm lead from 1978, 90 ppm from August 2009, furniture included); good "
        "practice after 40 CFR 745 subpart E, which does not itself cover a loose cabinet",
    ),
    Caution(
        "Two-pack paint",
        "Leave two-pack (isocyanate) paint to a licensed shop. Its mist can't be seen, gives "
        "people asthma for life, by the skin too, and a filter mask does not stop it: it takes "
        "air-fed breathing gear, a booth and time for the booth to clear.",
        "HSE COSHH essentials sheet MR2 and HSE guidance for bodyshops",
    ),
    Caution(
        "Solvent and spray cans",
        "Spray outdoors or with air moving out, far from flames, pilot lights, heaters, switches "
        "and sparks. Wear the respirator that the label names; for solvent spray that is usually "
        "organic vapour cartridges with a particle filter, and a dust mask is none. Keep the "
        "cloud off skin and eyes.",
        "the label; for workplaces OSHA 29 CFR 1910.94(c), 1910.107 and 1910.134 (from memory)",
    ),
    Caution(
        "Blades",
        "Cut with a sharp blade, in several light passes, away from your body, along a guarded "
        "steel rule, with the other hand behind the line. Draw the blade in when you put the "
        "knife down, never catch one that falls, and put used blades in a hard closed box.",
        "workplace safety talks on knives, gloves after EN 388",
    ),
    Caution(
        "Lasers",
        "Never cut PVC, vinyl or board of unknown make-up or with old paint: the fumes hold acid "
        "or lead. Extract the fumes always. Never leave a laser alone; oiled board catches fire "
        "more easily than dry board.",
        "extraction engineers' guidance after HSE research report RR878",
    ),
    Caution(
        "Oily rags and oiled board",
        "Rags, board offcuts and masking soaked with drying oil or oil paint heat up by "
        "themselves and can catch fire hours later. Never pile them. Dry them flat or hung "
        "outdoors, away from buildings, then keep them under water with detergent in a metal "
        "can with a tight lid until they are collected.",
        "NFPA tip sheet on oily rags",
    ),
    Caution(
        "Electricity",
        "Unplug the cabinet before you open it. Picture-tube gear holds a charge after that: "
        "leave it to somebody trained.",
        "common sense, no source",
    ),
)
