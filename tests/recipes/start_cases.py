"""Steps about to begin after others were done, by rule: what speaks against them and what does not."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from app.pieces.rules import Age
from app.recipes.rules import Aim, DoneStep, LeadTest, Part, Product, StepFacts, Surface, Task
from tests.recipes.steps import clean, clear, dust, hardware, paint, prime, ready, rinse, sand, seal, stain, step, strip

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


@dataclass(frozen=True)
class StartCase:
    """A step about to begin, and whether it breaks a rule."""

    key: str
    breaks: bool
    done: Sequence[DoneStep]
    step: StepFacts
    surface: Surface

    def __str__(self) -> str:
        return f"{self.key}-{'breaks' if self.breaks else 'keeps'}"


def ago(facts: StepFacts, hours: float, *, ready: float = 0, closes: float | None = None) -> DoneStep:
    """A step done so many hours ago, dry and closed so many hours after it was done."""
    done_at = NOW - timedelta(hours=hours)
    closes_at = None if closes is None else done_at + timedelta(hours=closes)
    return DoneStep(facts, done_at, done_at + timedelta(hours=ready), closes_at)


def breaks(key: str, *done: DoneStep, then: StepFacts, **known: Any) -> StartCase:
    """Beginning `then` now breaks the rule."""
    return StartCase(key, True, done, then, Surface(**{"age": Age.AFTER_1978, **known}))


def keeps(key: str, *done: DoneStep, then: StepFacts, **known: Any) -> StartCase:
    """Beginning it now keeps it."""
    return StartCase(key, False, done, then, Surface(**{"age": Age.AFTER_1978, **known}))


LONG_READY = [ago(each, 100) for each in ready()]

START_CASES = (
    breaks("not_dry", *LONG_READY, ago(paint(), 3, ready=4), then=clear()),
    breaks("not_dry", *LONG_READY, ago(paint(), 3, ready=4), then=sand(320)),
    keeps("not_dry", *LONG_READY, ago(paint(), 4, ready=4), then=clear()),
    keeps("not_dry", *LONG_READY, ago(paint(part=Part.TOP), 3, ready=4), then=paint(part=Part.LEGS)),
    keeps("not_dry", *LONG_READY, ago(paint(), 3, ready=4), then=step(Task.PHOTOGRAPH)),
    breaks("not_dry", *LONG_READY, ago(paint(), 3, ready=4), then=hardware(Aim.FIT)),
    breaks("not_dry", *LONG_READY, ago(step(Task.FILL), 1, ready=4), then=sand(220)),
    keeps("not_dry", *LONG_READY, ago(step(Task.FILL), 1, ready=4), then=hardware(Aim.FIT)),
    keeps("not_dry", ago(clean(), 1, ready=4), then=sand()),
    keeps("not_dry", ago(strip(), 1, ready=4), then=rinse()),
    keeps("not_dry", ago(clean(), 1, ready=4), then=hardware(Aim.FIT)),
    breaks("damp_under_coat", ago(clean(), 2, ready=4), ago(sand(), 1), then=paint()),
    breaks("damp_under_coat", ago(strip(), 2, ready=24), ago(rinse(), 1, ready=24), then=step(Task.FILL)),
    breaks("damp_under_coat", ago(clean(Aim.REMOVE_WAX), 1, ready=2), then=prime()),
    keeps("damp_under_coat", ago(clean(), 4, ready=4), then=paint()),
    keeps("damp_under_coat", ago(clean(), 2, ready=4), ago(prime(), 1), then=paint()),
    keeps("damp_under_coat", ago(clean(), 1, ready=4), then=dust()),
    keeps("damp_under_coat", ago(clean(part=Part.TOP), 1, ready=4), then=paint(part=Part.LEGS)),
    breaks("damp_under_sanding", ago(clean(), 1, ready=4), then=sand()),
    keeps("damp_under_sanding", ago(clean(), 4, ready=4), then=sand()),
    keeps("damp_under_sanding", ago(clean(), 1, ready=4), then=dust()),
    keeps("damp_under_sanding", ago(strip(), 1, ready=4), then=rinse()),
    keeps("damp_under_sanding", ago(clean(), 1, ready=4), then=hardware(Aim.FIT)),
    breaks("window_past", ago(paint(Product.OIL_PAINT), 200, ready=16, closes=168), then=paint(Product.OIL_PAINT)),
    keeps("window_past", ago(paint(Product.OIL_PAINT), 100, ready=16, closes=168), then=paint(Product.OIL_PAINT)),
    keeps(
        "window_past",
        ago(paint(Product.OIL_PAINT), 200, ready=16, closes=168),
        ago(sand(220), 2),
        ago(dust(), 1),
        then=paint(Product.OIL_PAINT),
    ),
    keeps("window_past", ago(paint(Product.OIL_PAINT), 200, closes=168), then=sand(220)),
    breaks("wet_wood", ago(clean(), 5), ago(sand(), 2), ago(dust(), 1), then=paint()),
    breaks("wet_wood", ago(strip(), 20), then=step(Task.FILL)),
    keeps("wet_wood", ago(clean(), 24), ago(sand(), 2), ago(dust(), 1), then=paint()),
    keeps("wet_wood", ago(clean(), 5), then=sand()),
    keeps("wet_wood", ago(clean(Aim.REMOVE_WAX), 5), ago(sand(), 2), ago(dust(), 1), then=paint()),
    breaks("blocker_wait", ago(prime(Product.BLOCKING_PRIMER), 23), then=paint(), woods="oak"),
    keeps("blocker_wait", ago(prime(Product.BLOCKING_PRIMER), 24), then=paint(), woods="oak"),
    keeps("blocker_wait", ago(prime(Product.BLOCKING_PRIMER), 23), then=paint(), woods="beech"),
    breaks("oil_stain_wait", ago(stain(Product.OIL_STAIN), 71), then=clear()),
    keeps("oil_stain_wait", ago(stain(Product.OIL_STAIN), 72), then=clear()),
    keeps("oil_stain_wait", ago(stain(Product.OIL_STAIN), 30), ago(seal(), 4), then=clear()),
    breaks("hard_over_soft", ago(paint(), 24 * 29), then=paint(Product.OIL_PAINT)),
    keeps("hard_over_soft", ago(paint(), 24 * 30), then=paint(Product.OIL_PAINT)),
    breaks("lacquer_lifts", ago(paint(), 24 * 29), then=clear(Product.LACQUER)),
    keeps("lacquer_lifts", ago(paint(), 24 * 30), then=clear(Product.LACQUER)),
    breaks("fitted_early", ago(clear(), 23), then=hardware(Aim.FIT)),
    keeps("fitted_early", ago(clear(), 24), then=hardware(Aim.FIT)),
    keeps("fitted_early", ago(clear(), 1), then=hardware(Aim.TAKE_OFF)),
    breaks("sticking", ago(seal(part=Part.INSIDE), 24 * 6), then=step(Task.LINE_DRAWERS)),
    keeps("sticking", ago(seal(part=Part.INSIDE), 24 * 7), then=step(Task.LINE_DRAWERS)),
    keeps("sticking", ago(clear(part=Part.TOP), 24), then=step(Task.LINE_DRAWERS)),
    breaks("lead_untested", ago(step(Task.TEST), 1), then=sand(), age=Age.UNKNOWN),
    keeps("lead_untested", ago(step(Task.TEST), 1), then=sand(), age=Age.UNKNOWN, lead_test=LeadTest.NEGATIVE),
    breaks("lead_found", then=sand(), lead_test=LeadTest.POSITIVE),
    keeps("lead_found", then=sand(), lead_test=LeadTest.NEGATIVE),
    breaks("dust_left", ago(clean(), 48), ago(sand(), 1), then=paint()),
    keeps("dust_left", ago(clean(), 48), ago(sand(), 1), ago(dust(), 1), then=paint()),
    breaks("insects", *LONG_READY, then=paint(), has_live_insects=True),
    keeps("insects", *LONG_READY, then=paint()),
)
