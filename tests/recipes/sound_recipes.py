"""Sensible recipes of the trade, and the mistakes made most often, one in each."""

from typing import Any

from app.pieces.rules import Age
from app.recipes.rules import Aim, LeadTest, OldFinish, Part, Product, Surface, Task, Way
from tests.recipes.steps import (
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

AFTER = Age.AFTER_1978
OAK = Surface(age=AFTER, woods="oak", old_finish=OldFinish.CLEAR)
PINE = Surface(age=AFTER, woods="pine", has_knots=True, old_finish=OldFinish.BARE)
WAXED = Surface(age=AFTER, old_finish=OldFinish.WAX)
TOP: dict[str, Any] = {"part": Part.TOP}
BODY: dict[str, Any] = {"part": Part.BODY}

SOUND = {
    "chest primed, painted and clear coated": (
        [hardware(Aim.TAKE_OFF), *ready(), prime(), paint(), clear(), hardware(Aim.FIT)],
        PLAIN,
    ),
    "chest painted and washed": (
        [*ready(), paint(Product.MINERAL_PAINT, colour=WHITE), wash(colour="#5b6b70"), clear(coats=2)],
        PLAIN,
    ),
    "table dewaxed and waxed again": (
        [clean(Aim.REMOVE_WAX), sand(220), dust(), wax(coats=2)],
        WAXED,
    ),
    "waxed chest painted": (
        [clean(Aim.REMOVE_WAX), sand(180), dust(), prime(), paint(), wax()],
        WAXED,
    ),
    "top stripped, stained and varnished": (
        [*to_bare_wood(**TOP), stain(Product.OIL_STAIN, **TOP), clear(Product.OIL_VARNISH, coats=3, **TOP)],
        OAK,
    ),
    "dresser in two tones": (
        [
            *ready(**BODY),
            seal(aim=Aim.BLOCK_STAINS, **BODY),
            paint(colour=WHITE, **BODY),
            clear(**BODY),
            *to_bare_wood(**TOP),
            stain(**TOP),
            clear(Product.OIL_VARNISH, coats=3, **TOP),
        ],
        OAK,
    ),
    "oak limed over a seal": (
        [*to_bare_wood(), seal(), sand(320), dust(), wash(colour=WHITE), clear(coats=2)],
        OAK,
    ),
    "oak painted light over a stain blocker": (
        [*ready(), prime(Product.BLOCKING_PRIMER), sand(220), dust(), paint(colour=WHITE), clear()],
        OAK,
    ),
    "chair in shellac": (
        [clean(), sand(220), dust(), clear(Product.SHELLAC, coats=3), wax()],
        Surface(age=AFTER, old_finish=OldFinish.CLEAR),
    ),
    "bench in milk paint, rubbed through": (
        [*ready(), paint(Product.CASEIN_PAINT), step(Task.DISTRESS), clear(Product.OIL_FINISH)],
        PLAIN,
    ),
    "table oiled": (
        [*to_bare_wood(), clear(Product.OIL_FINISH, coats=3)],
        Surface(age=AFTER, old_finish=OldFinish.CLEAR, woods="walnut"),
    ),
    "knotty pine primed and painted": (
        [sand(120, None), sand(150, None), dust(), seal(aim=Aim.KNOTS), prime(), sand(220), dust(), paint(), clear()],
        PINE,
    ),
    "wardrobe that smelt of smoke": (
        [*ready(), seal(aim=Aim.ODOUR), paint(), clear()],
        Surface(age=AFTER, has_odour=True, old_finish=OldFinish.PAINT),
    ),
    "sprayed lacquer on a water stain": (
        [
            *to_bare_wood(),
            stain(),
            seal(Product.SANDING_SEALER, way=Way.SPRAY),
            sand(320),
            dust(),
            clear(Product.LACQUER, coats=3, way=Way.SPRAY),
        ],
        PLAIN,
    ),
    "oil enamel over an oil primer": (
        [*ready(), prime(Product.OIL_PRIMER), sand(220), dust(), paint(Product.OIL_PAINT)],
        Surface(age=AFTER, is_glossy=True, old_finish=OldFinish.PAINT),
    ),
    "glazed over paint": ([*ready(), prime(), paint(), glaze(), clear()], PLAIN),
    "old piece tested first": (
        [*ready(), prime(), paint(), clear()],
        Surface(age=Age.BEFORE_1978, lead_test=LeadTest.NEGATIVE, old_finish=OldFinish.PAINT),
    ),
    "old piece only cleaned and waxed": ([clean(), wax()], Surface(age=Age.BEFORE_1978, old_finish=OldFinish.PAINT)),
    "mended and filled": (
        [clean(), step(Task.REPAIR), step(Task.FILL), sand(150), sand(180), dust(), prime(), paint(), clear()],
        PLAIN,
    ),
    "ring bleached out": ([*to_bare_wood(), clean(Aim.BLEACH), rinse(), sand(220), dust(), clear()], OAK),
}

MISTAKES = {
    "sanded untested": ("lead_untested", [*ready(), prime(), paint()], Surface(age=Age.BEFORE_1978)),
    "painted over old wax": ("old_wax", [*ready(), paint(), wax()], WAXED),
    "clear coat over wax": ("over_wax", [*ready(), paint(), wax(), clear()], PLAIN),
    "not degreased": ("sand_uncleaned", [sand(), dust(), paint(), wax()], PLAIN),
    "not scuffed": ("no_scuff", [clean(), paint(), wax()], PLAIN),
    "painted on dust": ("dust_left", [clean(), sand(), paint(), wax()], PLAIN),
    "stripper not rinsed": (
        "strip_unrinsed",
        [strip(), sand(100, Aim.LEVEL), sand(150, Aim.LEVEL), dust(), clear(Product.OIL_VARNISH)],
        PLAIN,
    ),
    "white paint on bare oak": ("bleed", [*ready(), prime(), paint(colour=WHITE), clear()], OAK),
    "oil varnish over white": (
        "yellowing",
        [*ready(), prime(), paint(colour=WHITE), clear(Product.OIL_VARNISH)],
        PLAIN,
    ),
    "stain over the old finish": (
        "stain_over_film",
        [*ready(), stain(), clear(Product.OIL_VARNISH)],
        Surface(age=AFTER, old_finish=OldFinish.CLEAR),
    ),
    "waterborne over fresh oil stain": ("oil_stain_wait", [*to_bare_wood(), stain(Product.OIL_STAIN), clear()], PLAIN),
    "lacquer over fresh paint": ("lacquer_lifts", [*ready(), paint(), clear(Product.LACQUER)], PLAIN),
    "from 80 straight to 180": (
        "grit_jump",
        [clean(), sand(80, Aim.LEVEL), sand(180, Aim.LEVEL), dust(), clear(Product.OIL_FINISH)],
        PLAIN,
    ),
    "glaze left open": ("glaze_open", [*ready(), prime(), paint(), glaze()], PLAIN),
    "hardware back too soon": (
        "hardware_on_early",
        [hardware(Aim.TAKE_OFF), *ready(), paint(), hardware(Aim.FIT), clear()],
        PLAIN,
    ),
}
