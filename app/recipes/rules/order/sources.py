"""Where the order rules were read; what rests on a firm's page or on habit alone is common practice."""

from typing import Final

from app.recipes.rules.products import COMMON_PRACTICE, WOOD_HANDBOOK_16

SEVERAL_HOW_TOS: Final = "several how-to pages; common practice"
A_HOW_TO: Final = "a how-to page"
LADDER_PAGES: Final = "a how-to page: skip no more than one grade"
LEAD_SOURCES: Final = (
    "42 FR 41192 (the ban took effect on 28 February 1978); a federal building agency's procedure: test before old"
    " paint is taken off"
)
HANDBOOK_AND_PRACTICE: Final = f"{WOOD_HANDBOOK_16}; mahogany, cherry and walnut: {COMMON_PRACTICE}"
EXTENSION: Final = "university extension circular"
WOOD_SCIENCE: Final = f"{WOOD_HANDBOOK_16}; a forest service paper on iron stain"
A_TRADE_MAGAZINE: Final = "a woodworking magazine"
SHELLAC_TESTERS: Final = "a woodworkers' knowledge base; a published test says otherwise"
AN_OLD_HANDBOOK: Final = "an old furniture handbook and a how-to page"
A_NEWSPAPER: Final = "a newspaper's household column"
A_BUILDERS_MAGAZINE: Final = "a builders' magazine"
A_NAVAL_MANUAL: Final = f"a construction manual; the rinse: {COMMON_PRACTICE}"
HARDWARE_CIRCULAR: Final = f"university extension circular: take it off first; the day's wait: {COMMON_PRACTICE}"
