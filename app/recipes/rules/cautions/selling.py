"""Cautions for goods that are bought and sold: what tips, was recalled, or is meant for children."""

from typing import Final

from app.pieces.rules import Caution
from app.recipes.rules.products import COMMON_PRACTICE

OLD_PAINT_SOLD: Final = Caution(
    "old_paint_sold",
    "Old paint may hold lead",
    "Made before 1978 or of unknown age: old paint on it, or under the new coat, may hold lead. Tell the buyer so, do"
    " not offer it for a child's room, and do not call it free of lead unless a laboratory says it is.",
    "Your local health department or an accredited laboratory knows more.",
    "42 FR 41192: the US ban on lead paint, in effect since 28 February 1978",
)
TIP_OVER: Final = Caution(
    "tip_over",
    "It can tip over",
    "Drawers pulled open or a climbing child can bring tall furniture down. Supply a wall anchor with it, fit it where"
    " you deliver, and tell the buyer why. Plastic ties can go brittle.",
    "The anchor's own instructions and local codes decide.",
    "16 CFR 1261 (ASTM F2057-23) binds clothing storage of 27 in, 30 lb and 3.2 cubic feet or more made after"
    " 1 September 2023; for older and other pieces an anchor is usual advice",
)
RECALLS: Final = Caution(
    "recalls",
    "Check the recall list before you buy or list it",
    "Search the public recall list by maker and model. Testing is not asked of a reseller, but nobody may knowingly"
    " sell what does not comply. Leave wobbly nursery goods alone.",
    "The recall notice and the product safety agency decide.",
    "the CPSC's answers for resale and thrift stores",
)
RECALLED: Final = Caution(
    "recalled",
    "Recalled: do not sell it",
    "Your own words say it was recalled. Do not sell it or give it on, mended your own way neither. Look up the notice"
    " and do what it says.",
    "The recall notice and the product safety agency decide.",
    "the CPSC's answers for resale and thrift stores: nobody may knowingly sell what does not comply",
)
CRIBS: Final = Caution(
    "cribs",
    "No drop-side cribs, none from before 28 June 2011",
    "Do not buy, mend or sell one. The standard in effect since that day covers used cribs and whoever sells them.",
    "The product safety agency decides.",
    "75 FR 81766",
)
BUNK_BEDS: Final = Caution(
    "bunk_beds",
    "Check a bunk bed's rails, gaps and ladder",
    "For bunk beds made since 19 June 2000 with a base higher than 30 in the rule asks for rails on both sides, at"
    " least 5 in above the mattress, and small gaps. Take an older one as unsafe to list.",
    "The rule's text and the product safety agency decide.",
    "16 CFR 1213, from a copy",
)
CHILDREN: Final = Caution(
    "children",
    "For a child: paint, parts and stability",
    "Use only paint that states child-safe limits of lead, keep parts large and firmly fixed, and do not sell old"
    " painted nursery pieces.",
    "The paint's label and the product safety agency decide.",
    "16 CFR 1252.1, from a copy: 100 parts of lead in a million in the materials of children's products",
)
TOY_BOXES: Final = Caution(
    "toy_boxes",
    "A toy box needs a lid that stays up and air inside",
    "A lid that falls can hurt a child's head or neck, and a child who climbs in can be shut in. Fit a support that"
    " holds the lid wherever it is let go, take off locks and latches, and leave gaps or holes for air.",
    "The product safety agency decides.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
SMALL_PARTS: Final = Caution(
    "small_parts",
    "Loose knobs, caps and magnets",
    "A child can choke on them or be injured by swallowed magnets. Fix them firmly or take them off; leave no strong"
    " loose magnets.",
    "The product safety agency decides.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
GLASS: Final = Caution(
    "glass",
    "Old mirror and table glass may not be safety glass",
    "Say so to the buyer. Look for cracks and see that it is firmly held.",
    "A glazier and local codes decide.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
UPHOLSTERY: Final = Caution(
    "upholstery",
    "Re-covering a seat to sell it",
    "Cover and filling re-covered since 25 June 2021 must meet the federal smoulder rule, and since 25 June 2022 carry"
    " its permanent label. Selling an older piece as it is was not found to be covered.",
    "The rule's text and the product safety agency decide.",
    "16 CFR 1640, by the CPSC's guidance for businesses",
)
STATE_TAGS: Final = Caution(
    "state_tags",
    "Used upholstery: your state may ask for a tag",
    "Some states want used upholstered goods cleaned or sterilised and tagged, and the seller registered; rules of"
    " Connecticut, Ohio, Pennsylvania, Rhode Island and New York were seen. They vary, so look up yours.",
    "Your state decides.",
    "the texts of those states, some from copies",
)
PROTECTED: Final = Caution(
    "protected",
    "Ivory, tortoiseshell, rosewood: know the rules first",
    "Do not list it before you do; permits may be needed even to cross a border. Brazilian rosewood is protected since"
    " 1992, and ivory may be sold between states only within narrow limits. State laws may be stricter.",
    "The wildlife service, your state and the customs decide.",
    "CITES appendix I, from a copy; the US Fish and Wildlife Service's page on small amounts of ivory",
)
ELECTRICAL: Final = Caution(
    "electrical",
    "Old wiring",
    "Have old lamps and lit cabinets rewired by a licensed electrician.",
    "A licensed electrician decides.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
LIFTING: Final = Caution(
    "lifting",
    "Heavy: two people or a trolley",
    "Take the drawers out first, and lift from the legs.",
    "A mover knows more.",
    COMMON_PRACTICE,
    is_confirmed=False,
)
BUILT_IN: Final = Caution(
    "built_in",
    "Built-in work in an old home",
    "Work on a built-in cabinet in a home from before 1978 may fall under the renovation programme for old paint. Ask"
    " before you begin.",
    "Your state's programme decides.",
    "our own reading of 75 FR 24802; its text does not name built-in cabinets",
    is_confirmed=False,
)

SELLING_CAUTIONS: Final = (
    RECALLED,
    CRIBS,
    BUNK_BEDS,
    TOY_BOXES,
    CHILDREN,
    OLD_PAINT_SOLD,
    RECALLS,
    TIP_OVER,
    SMALL_PARTS,
    UPHOLSTERY,
    STATE_TAGS,
    GLASS,
    PROTECTED,
    ELECTRICAL,
    BUILT_IN,
    LIFTING,
)
