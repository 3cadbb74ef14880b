"""Cautions for work at the bench: strippers, rags, dust, spray, waste."""

from typing import Final

from app.pieces.rules import LEAD, Caution
from app.recipes.rules.products import COMMON_PRACTICE

METHYLENE_CHLORIDE: Final = Caution(
    "methylene_chloride",
    "No stripper with methylene chloride",
    "It can kill within minutes in a closed room. US rules have barred it for paint removal by consumers since 2019,"
    " and a rule of 2024 prohibits most other uses, commercial ones included. Read the label before you buy or use a"
    " stripper.",
    "The product's label, the rule's current text and your state decide.",
    "84 FR 11420 (2019); 89 FR 39254 (2024), its summary",
)
NMP: Final = Caution(
    "nmp",
    "Stripper with NMP: choose another",
    "NMP (N-methylpyrrolidone) can harm an unborn child, and it goes in through the skin. If you use it all the same,"
    " keep it off your skin and air the room. Older pages that call it the safer choice are out of date.",
    "The product's label and your state decide.",
    "a US proposal of 14 June 2024 (document 2024-12643); what became of it was not found",
    is_confirmed=False,
)
CHEMICALS: Final = Caution(
    "chemicals",
    "Gloves, goggles, air",
    "Read the label and the data sheet. Wear gloves and eye protection, let air move through, and never mix products:"
    " bleach with ammonia or acid above all.",
    "The label and the data sheet decide.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
OILY_RAGS: Final = Caution(
    "oily_rags",
    "Oily rags can catch fire by themselves",
    "That goes for rags wet with oil finish, stain or varnish. Never heap or bin them. Spread them flat outdoors until"
    " they are dry and hard, or put them in a lidded metal can with water.",
    "Your fire department decides how they are thrown away.",
    "National Fire Protection Association, 2017: rags with oil-based products can ignite by themselves",
)
WOOD_DUST: Final = Caution(
    "wood_dust",
    "Keep the dust out of your lungs",
    "Wood dust harms the lungs. Use extraction at the tool and a mask with a particle filter; vacuum, do not blow.",
    "The mask's data sheet and a doctor decide what fits you.",
    "OSHA's page on wood dust: at most 15 mg/m3 in all, 5 mg/m3 of the fine dust; NIOSH advises 1 mg/m3",
)
MASKS: Final = Caution(
    "masks",
    "A dust mask stops no vapour",
    "Match the filter to the hazard: a particle filter for dust, an organic-vapour cartridge for solvent, both for"
    " spray. A half mask with an organic-vapour cartridge and a P100 filter is usual for solvent spray. It does not"
    " help against methylene chloride or two-part hardeners.",
    "The data sheet and a fit test decide.",
    f"NIOSH publication 96-101, its opening; which filter for what: {COMMON_PRACTICE}",
    is_confirmed=False,
)
HARDENERS: Final = Caution(
    "hardeners",
    "Two-part hardener can start lifelong asthma",
    "Do not spray two-part polyurethane without supplied air. Brushing it needs gloves and moving air too.",
    "The data sheet and licensed practice decide.",
    "OSHA's programme on isocyanates, as a trade paper reports it",
)
SPRAYING: Final = Caution(
    "spraying",
    "Spray mist burns",
    "Spray only with exhaust to the outside, and with no flame or spark within 20 feet (6 m). Ask before you build a"
    " booth: insurance and zoning may not allow spraying at home.",
    "The fire marshal, your insurer and local codes decide.",
    "29 CFR 1910.107(c)(2), as an official letter of 1976 reads it",
)
WASTE: Final = Caution(
    "waste",
    "Stripper sludge is no household rubbish",
    "Keep sludge, solvent and scrapings of leaded paint in lidded, labelled containers; pour nothing out and let"
    " nothing dry up on purpose. A service for hazardous waste takes them.",
    "Your state and your waste authority decide; some are stricter.",
    "an EPA guide for small businesses (EPA530-K-01-005), an older copy",
    is_confirmed=False,
)
INSECTS: Final = Caution(
    "insects",
    "Bring in no live insects, damp or mould",
    "Fresh pale powder at a hole means live borers; old holes are dark. Keep the piece apart, mark the holes with"
    " coloured wax and look for new ones.",
    "A pest controller decides on treatment.",
    f"a conservators' mailing list, 2000; {COMMON_PRACTICE}",
    is_confirmed=False,
)

WORKING_CAUTIONS: Final = (
    LEAD,
    METHYLENE_CHLORIDE,
    NMP,
    CHEMICALS,
    OILY_RAGS,
    WOOD_DUST,
    MASKS,
    HARDENERS,
    SPRAYING,
    WASTE,
    INSECTS,
)
