"""For each order rule lists of steps that break it, and the same put right."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.pieces.rules import Age
from app.recipes.rules import Aim, Label, LeadTest, OldFinish, Part, Product, StepFacts, Surface, Task
from tests.recipes.steps import (
    BLACK,
    PLAIN,
    WHITE,
    clean,
    clear,
    dust,
    glaze,
    hardware,
    paint,
    prime,
    ready,
    rinse,
    sand,
    seal,
    stain,
    step,
    strip,
    to_bare_wood,
    wash,
    wax,
)


@dataclass(frozen=True)
class Case:
    """Steps on a surface that break a rule, or keep it."""

    key: str
    breaks: bool
    steps: Sequence[StepFacts]
    surface: Surface = PLAIN
    labels: Mapping[int, Label] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.key}-{'breaks' if self.breaks else 'keeps'}"


def breaks(key: str, *steps: StepFacts, labels: Mapping[int, Label] | None = None, **known: Any) -> Case:
    """Steps that break a rule; `known` is what is known of the surface."""
    return Case(key, True, steps, surface(**known), labels or {})


def keeps(key: str, *steps: StepFacts, labels: Mapping[int, Label] | None = None, **known: Any) -> Case:
    """Steps that keep it."""
    return Case(key, False, steps, surface(**known), labels or {})


def surface(**known: Any) -> Surface:
    """A plain surface but for what is known."""
    return Surface(**{"age": Age.AFTER_1978, **known})


OLD: dict[str, Any] = {"age": Age.BEFORE_1978}
SAFE: dict[str, Any] = {"age": Age.BEFORE_1978, "lead_test": LeadTest.NEGATIVE}
STEEL = "with 0000 steel wool"
BARE: dict[str, Any] = {"old_finish": OldFinish.BARE}
OAK: dict[str, Any] = {"woods": "Oak, pine drawers"}
PADDED = 7
LABELLED = {PADDED: Label(Product.WATERBORNE_PAINT, recoat=240)}

DANGERS = (
    breaks("lead_untested", clean(), sand(), **OLD),
    breaks("lead_untested", clean(), sand(), age=Age.UNKNOWN),
    breaks("lead_untested", strip(), age=Age.UNKNOWN, old_finish=OldFinish.CLEAR),
    breaks("lead_untested", clean(), prime(), paint(), step(Task.DISTRESS), **OLD),
    breaks("lead_untested", clean(), sand(), step(Task.TEST), **OLD),
    keeps("lead_untested", clean(), sand(), **SAFE),
    keeps("lead_untested", clean(), sand()),
    keeps("lead_untested", clean(), sand(), age=Age.BEFORE_1978, **BARE),
    keeps("lead_untested", clean(), prime(), sand(220), dust(), paint(), **OLD),
    keeps("lead_untested", clean(), wax(), **OLD),
    keeps("lead_untested", step(Task.TEST), clean(), sand(), **OLD),
    breaks("lead_result", step(Task.TEST), clean(), sand(), **OLD),
    keeps("lead_result", step(Task.TEST), clean(), sand(), **SAFE),
    keeps("lead_result", clean(), sand(), **OLD),
    breaks("lead_found", clean(), sand(), lead_test=LeadTest.POSITIVE, **OLD),
    breaks("lead_found", clean(), sand(), lead_test=LeadTest.POSITIVE),
    breaks("lead_found", strip(), lead_test=LeadTest.POSITIVE, **OLD),
    keeps("lead_found", clean(), wax(), lead_test=LeadTest.POSITIVE, **OLD),
    keeps("lead_found", clean(), sand(), **SAFE),
    breaks("insects", *ready(), prime(), has_live_insects=True),
    keeps("insects", *ready(), has_live_insects=True),
    keeps("insects", *ready(), prime()),
    breaks("damp", clean(), wax(), is_damp=True),
    keeps("damp", clean(), wax()),
    keeps("damp", step(Task.PAINT, part=Part.HARDWARE), is_damp=True),
    breaks("bleach_unrinsed", *to_bare_wood(), clean(Aim.BLEACH), clear()),
    breaks("bleach_unrinsed", *to_bare_wood(), clean(Aim.BLEACH), sand(220)),
    keeps("bleach_unrinsed", *to_bare_wood(), clean(Aim.BLEACH), rinse(), clear()),
)

CLEANING = (
    breaks("sand_uncleaned", sand(), clean()),
    keeps("sand_uncleaned", clean(), sand()),
    keeps("sand_uncleaned", sand(), **BARE),
    keeps("sand_uncleaned", strip(), sand(80)),
    breaks("coat_uncleaned", paint()),
    breaks("coat_uncleaned", dust(), paint()),
    breaks("coat_uncleaned", clean(part=Part.TOP), paint(part=Part.BODY)),
    keeps("coat_uncleaned", clean(), paint()),
    keeps("coat_uncleaned", clean(), paint(part=Part.BODY)),
    keeps("coat_uncleaned", paint(), **BARE),
    breaks("old_wax", *ready(), paint(), old_finish=OldFinish.WAX),
    keeps("old_wax", clean(Aim.REMOVE_WAX), sand(), dust(), paint(), old_finish=OldFinish.WAX),
    keeps("old_wax", *to_bare_wood(), paint(), old_finish=OldFinish.WAX),
    keeps("old_wax", clean(), wax(), old_finish=OldFinish.WAX),
    breaks("over_wax", *ready(), paint(), wax(), clear()),
    breaks("over_wax", *ready(), wax(part=Part.TOP), paint()),
    breaks("over_wax", *ready(), wax(), clean(Aim.REMOVE_WAX, part=Part.TOP), paint()),
    keeps("over_wax", *ready(), paint(), wax(coats=2), wax()),
    keeps("over_wax", *ready(), wax(part=Part.TOP), paint(part=Part.BODY)),
    keeps("over_wax", *ready(), wax(), clean(Aim.REMOVE_WAX), paint()),
    keeps("over_wax", *ready(), paint(), wax(), step(Task.PAINT, part=Part.HARDWARE)),
    breaks("wax_not_last", *ready(), wax(), clean(Aim.REMOVE_WAX), paint()),
    keeps("wax_not_last", *ready(), paint(), wax(), wax()),
    keeps("wax_not_last", *ready(), wax(part=Part.LEGS), clean(Aim.REMOVE_WAX), paint(part=Part.TOP)),
    breaks("polish", *ready(), paint(), has_polish=True),
    breaks("polish", clean(Aim.WASH_OFF_POLISH), sand(), dust(), paint(), has_polish=True),
    keeps("polish", clean(Aim.WASH_OFF_POLISH), sand(), dust(), seal(), paint(), has_polish=True),
    breaks("strip_late", clean(), step(Task.FILL), strip()),
    keeps("strip_late", strip(), rinse(), step(Task.FILL)),
    keeps("strip_late", clean(), paint(part=Part.BODY), strip(part=Part.TOP)),
    breaks("strip_unrinsed", strip(), sand(100, Aim.LEVEL), dust(), stain()),
    breaks("strip_unrinsed", strip(), step(Task.FILL)),
    keeps("strip_unrinsed", strip(), rinse(), sand(100, Aim.LEVEL), dust(), stain()),
    keeps("strip_unrinsed", strip(part=Part.TOP), clean(part=Part.BODY), paint(part=Part.BODY)),
    breaks("strip_time", strip(dwell=None)),
    keeps("strip_time", strip(dwell=45)),
    keeps("strip_time", strip(dwell=None, material_id=PADDED), labels={PADDED: Label(dwell=30)}),
    breaks("dust_left", clean(), sand(), paint()),
    breaks("dust_left", *ready(), paint(coats=1), sand(320), paint(coats=1)),
    keeps("dust_left", clean(), sand(), dust(), paint()),
)

SANDING = (
    breaks("grit_jump", clean(), sand(80, Aim.LEVEL), sand(150, Aim.LEVEL)),
    breaks("grit_jump", clean(), sand(120), dust(), sand(220)),
    keeps("grit_jump", clean(), sand(80, Aim.LEVEL), sand(120, Aim.LEVEL), sand(180, Aim.LEVEL)),
    keeps("grit_jump", clean(), sand(120), dust(), paint(), sand(320)),
    keeps("grit_jump", clean(), sand(80, part=Part.TOP), sand(180, part=Part.LEGS)),
    breaks("grit_coarser", clean(), sand(180), sand(120)),
    keeps("grit_coarser", clean(), sand(180), sand(120, note="a scratch was left on the top")),
    keeps("grit_coarser", clean(), sand(180), step(Task.FILL), sand(120)),
    breaks("scuff_grit", clean(), sand(80)),
    breaks("scuff_grit", clean(), sand(400)),
    keeps("scuff_grit", clean(), sand(180)),
    keeps("scuff_grit", clean(), sand(80, Aim.LEVEL)),
    keeps("scuff_grit", clean(), sand(180), dust(), paint(), sand(400), dust(), paint()),
    breaks("between_grit", *ready(), paint(), sand(150), dust(), paint()),
    keeps("between_grit", *ready(), paint(), sand(220), dust(), paint()),
    keeps("between_grit", *ready(), paint(), step(Task.FILL), sand(150), dust(), paint()),
    breaks("level_grit", clean(), sand(180, Aim.LEVEL), old_finish=OldFinish.PAINT),
    keeps("level_grit", clean(), sand(80, Aim.LEVEL), old_finish=OldFinish.PAINT),
    keeps("level_grit", strip(), rinse(), sand(150, Aim.LEVEL), old_finish=OldFinish.PAINT),
    breaks("too_fine_for_stain", *to_bare_wood(), sand(320, None), dust(), stain()),
    keeps("too_fine_for_stain", *to_bare_wood(), sand(220, None), dust(), stain()),
    breaks("no_scuff", clean(), paint()),
    breaks("no_scuff", clean(), prime(), paint(), old_finish=OldFinish.CLEAR, is_glossy=True),
    keeps("no_scuff", *ready(), paint()),
    keeps("no_scuff", *to_bare_wood()[:2], paint()),
    keeps("no_scuff", clean(), seal(Product.SHELLAC), old_finish=OldFinish.CLEAR),
    keeps("no_scuff", clean(), paint(), **BARE),
    breaks("repair_late", *ready(), step(Task.REPAIR), paint()),
    breaks("repair_late", *ready(), paint(), step(Task.REPAIR)),
    keeps("repair_late", clean(), step(Task.REPAIR), sand(), dust(), paint()),
    keeps("repair_late", clean(), sand(80, None), step(Task.REPAIR), sand(), dust(), paint()),
    breaks("fill_unprimed", *ready(), prime(), step(Task.FILL), sand(220), dust(), paint()),
    keeps("fill_unprimed", *ready(), prime(), step(Task.FILL), sand(220), dust(), prime(), paint()),
    keeps("fill_unprimed", clean(), step(Task.FILL), sand(), dust(), prime(), paint()),
    breaks("fill_unsanded", *ready(), step(Task.FILL), paint()),
    keeps("fill_unsanded", clean(), step(Task.FILL), sand(), dust(), paint()),
    keeps("fill_unsanded", *to_bare_wood(), step(Task.FILL, Aim.GRAIN), clear()),
    breaks("grain_raised", *to_bare_wood(), clear(coats=3)),
    breaks("grain_raised", dust(), stain(), clear(), **BARE),
    keeps("grain_raised", *to_bare_wood(), clear(), sand(320), dust(), clear()),
    keeps("grain_raised", *to_bare_wood(), clear(Product.OIL_VARNISH, coats=3)),
    breaks("steel_wool", *to_bare_wood(), sand(None, None, note=STEEL), dust(), clear(), **OAK),
    keeps("steel_wool", *to_bare_wood(), sand(None, None, note=STEEL), dust(), clear(), woods="Beech"),
    keeps("steel_wool", *to_bare_wood(), sand(None, None, note=STEEL), dust(), clear(Product.OIL_VARNISH), **OAK),
)

SEALING = (
    breaks("bleed", *ready(), prime(), paint(colour=WHITE), **OAK),
    breaks("bleed", *to_bare_wood(), wash(colour=WHITE), clear(), **OAK),
    breaks("bleed", *ready(), paint(colour=WHITE), is_stained=True),
    keeps("bleed", *ready(), seal(), paint(colour=WHITE), **OAK),
    keeps("bleed", *ready(), prime(Product.BLOCKING_PRIMER), paint(colour=WHITE), **OAK),
    keeps("bleed", *ready(), prime(aim=Aim.BLOCK_STAINS), paint(colour=WHITE), **OAK),
    keeps("bleed", *ready(), prime(), paint(colour=BLACK), **OAK),
    keeps("bleed", *ready(), paint(colour=WHITE), woods="Beech"),
    keeps("bleed", *ready(), prime(), paint(colour=WHITE), old_finish=OldFinish.PAINT, **OAK),
    breaks("bleed_perhaps", *ready(), prime(), paint(), **OAK),
    breaks("bleed_perhaps", *ready(), prime(), paint(None, colour=WHITE), **OAK),
    keeps("bleed_perhaps", *ready(), prime(), paint(colour=BLACK), **OAK),
    keeps("bleed_perhaps", *ready(), seal(), paint(), **OAK),
    breaks("knots", *ready(), prime(), paint(), has_knots=True),
    keeps("knots", *ready(), seal(Product.SHELLAC, Aim.KNOTS), prime(), paint(), has_knots=True),
    keeps("knots", *to_bare_wood(), clear(), has_knots=True),
    breaks("knots_perhaps", *ready(), prime(), paint(), woods="Pine"),
    keeps("knots_perhaps", *ready(), seal(aim=Aim.KNOTS), prime(), paint(), woods="Pine"),
    keeps("knots_perhaps", *ready(), prime(), paint(), woods="Pineapple crate"),
    breaks("odour", *ready(), prime(), paint(), has_odour=True),
    keeps("odour", *ready(), seal(aim=Aim.ODOUR, part=Part.INSIDE), prime(), paint(part=Part.BODY), has_odour=True),
    breaks("water_marks", *ready(), prime(), paint(), has_water_marks=True),
    keeps("water_marks", *ready(), prime(Product.BLOCKING_PRIMER), paint(), has_water_marks=True),
    breaks("gloss", *ready(), paint(), is_glossy=True, old_finish=OldFinish.PAINT),
    breaks("gloss", *ready(), paint(Product.OIL_PAINT), sand(220), dust(), paint()),
    keeps("gloss", *ready(), prime(aim=Aim.BOND), paint(), is_glossy=True, old_finish=OldFinish.PAINT),
    keeps("gloss", *ready(), paint(), old_finish=OldFinish.PAINT),
    keeps("gloss", *ready(), paint(Product.OIL_PAINT), is_glossy=True),
    breaks("unprimed", *ready(), paint(colour=WHITE)),
    keeps("unprimed", *ready(), prime(), paint(colour=WHITE)),
    keeps("unprimed", *ready(), paint(colour=BLACK)),
)

COATS = (
    breaks("waxed_shellac", *to_bare_wood(), seal(Product.SHELLAC), clear(Product.OIL_VARNISH)),
    breaks("waxed_shellac", *ready(), seal(Product.SHELLAC), paint()),
    keeps("waxed_shellac", *to_bare_wood(), seal(), clear(Product.OIL_VARNISH)),
    keeps("waxed_shellac", *ready(), seal(Product.SHELLAC, Aim.KNOTS), prime(), paint()),
    keeps("waxed_shellac", *to_bare_wood(), seal(Product.SHELLAC), clear(Product.SHELLAC), wax()),
    breaks("sealer_under_varnish", *to_bare_wood(), seal(Product.SANDING_SEALER), clear(Product.OIL_VARNISH)),
    keeps("sealer_under_varnish", *to_bare_wood(), seal(Product.SANDING_SEALER), clear(Product.LACQUER)),
    breaks("glaze_on_bare", *to_bare_wood(), glaze(), clear()),
    breaks("glaze_on_bare", *ready(), glaze(), clear()),
    keeps("glaze_on_bare", *ready(), paint(), glaze(), clear()),
    keeps("glaze_on_bare", *ready(), glaze(), clear(), old_finish=OldFinish.CLEAR),
    breaks("glaze_open", *ready(), paint(), glaze()),
    keeps("glaze_open", *ready(), paint(), glaze(), clear()),
    breaks("stain_over_film", *to_bare_wood(), clear(), stain()),
    breaks("stain_over_film", *ready(), stain(), clear(), old_finish=OldFinish.CLEAR),
    keeps("stain_over_film", *to_bare_wood(), stain(), clear()),
    keeps("stain_over_film", *to_bare_wood(), seal(ratio="1:3"), stain(), clear()),
    keeps("stain_over_film", *to_bare_wood(), clear(), glaze(), clear()),
    keeps("stain_over_film", stain(), clear(), **BARE),
    breaks("filler_unsealed", *to_bare_wood(), step(Task.FILL, Aim.GRAIN, Product.GRAIN_FILLER), clear()),
    keeps("filler_unsealed", *to_bare_wood(), step(Task.FILL, Aim.GRAIN, Product.GRAIN_FILLER), seal(), clear()),
    breaks("distress_late", *ready(), paint(), clear(), step(Task.DISTRESS)),
    keeps("distress_late", *ready(), paint(), step(Task.DISTRESS), clear()),
    keeps("distress_late", *ready(), paint(), clear(), step(Task.DISTRESS), wax()),
    breaks("yellowing", *ready(), prime(), paint(colour=WHITE), clear(Product.OIL_VARNISH)),
    keeps("yellowing", *ready(), prime(), paint(colour=WHITE), clear()),
    keeps("yellowing", *ready(), prime(), paint(colour=BLACK), clear(Product.OIL_VARNISH)),
    keeps("yellowing", *ready(), paint(colour=WHITE, part=Part.BODY), clear(Product.OIL_VARNISH, part=Part.TOP)),
    breaks("drawer_sides", *ready(), paint(part=Part.DRAWER_SIDES)),
    keeps("drawer_sides", *ready(), wax(part=Part.DRAWER_SIDES)),
    breaks("one_coat", *ready(), prime(), paint(coats=1)),
    keeps("one_coat", *ready(), prime(), paint(coats=2)),
    keeps("one_coat", *ready(), prime(), paint(coats=1), sand(320), dust(), paint(coats=1)),
    breaks("unprotected", *ready(), paint(Product.MINERAL_PAINT)),
    keeps("unprotected", *ready(), paint(Product.MINERAL_PAINT), wax()),
    keeps("unprotected", *ready(), paint(Product.OIL_PAINT)),
    breaks("hardware_off_late", *ready(), prime(), hardware(Aim.TAKE_OFF), paint()),
    keeps("hardware_off_late", hardware(Aim.TAKE_OFF), *ready(), prime(), paint()),
    keeps("hardware_off_late", clean(), paint(part=Part.HARDWARE), hardware(Aim.TAKE_OFF)),
    breaks("hardware_on_early", *ready(), paint(), hardware(Aim.FIT), clear()),
    keeps("hardware_on_early", *ready(), paint(), clear(), hardware(Aim.FIT), wax()),
)

WAITS = (
    breaks("recoat_short", *ready(), paint(recoat=60, material_id=PADDED), clear(), labels=LABELLED),
    keeps("recoat_short", *ready(), paint(recoat=300, material_id=PADDED), clear(), labels=LABELLED),
    keeps("recoat_short", *ready(), paint(recoat=60, material_id=PADDED), labels=LABELLED),
    breaks("wet_wood", clean(recoat=120), dust(), paint()),
    breaks("wet_wood", strip(), rinse(recoat=300), stain()),
    keeps("wet_wood", *ready(), paint()),
    keeps("wet_wood", rinse(), paint()),
    keeps("wet_wood", clean(Aim.REMOVE_WAX, recoat=60), paint()),
    keeps("wet_wood", clean(recoat=720), step(Task.REPAIR, recoat=720), paint()),
    breaks("blocker_wait", *ready(), prime(Product.BLOCKING_PRIMER, recoat=240), paint(), **OAK),
    keeps("blocker_wait", *ready(), prime(Product.BLOCKING_PRIMER), paint(), **OAK),
    keeps("blocker_wait", *ready(), prime(Product.BLOCKING_PRIMER, recoat=240), paint(), woods="Beech"),
    breaks("oil_stain_wait", *to_bare_wood(), stain(Product.OIL_STAIN), clear()),
    keeps("oil_stain_wait", *to_bare_wood(), stain(Product.OIL_STAIN, recoat=72 * 60), clear()),
    keeps("oil_stain_wait", *to_bare_wood(), stain(Product.OIL_STAIN), seal(), clear()),
    keeps("oil_stain_wait", *to_bare_wood(), stain(Product.OIL_STAIN), clear(Product.OIL_VARNISH)),
    breaks("hard_over_soft", *ready(), paint(), paint(Product.OIL_PAINT)),
    keeps("hard_over_soft", *ready(), paint(Product.OIL_PAINT), paint(Product.OIL_PAINT)),
    keeps("hard_over_soft", *ready(), paint(recoat=30 * 24 * 60), paint(Product.OIL_PAINT)),
    breaks("lacquer_lifts", *ready(), paint(), clear(Product.LACQUER)),
    breaks("lacquer_lifts", *to_bare_wood(), clear(Product.OIL_VARNISH), clear(Product.LACQUER)),
    keeps("lacquer_lifts", *ready(), paint(), seal(), clear(Product.LACQUER)),
    keeps("lacquer_lifts", *ready(), paint(recoat=30 * 24 * 60), clear(Product.LACQUER)),
)

NOTHING = (breaks("no_steps"), keeps("no_steps", clean()))

CASES = (*DANGERS, *CLEANING, *SANDING, *SEALING, *COATS, *WAITS, *NOTHING)
