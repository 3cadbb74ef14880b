"""The sums: what they are, mixes, thinning, shellac cuts, coverage from solids, the air. Nothing of them is kept."""

from typing import Final

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.quantities import format_percent
from app.recipes.forms.reading import LABEL_RULES
from app.recipes.forms.sums import AirForm, CoverageForm, PartsForm, ShellacForm, place_words
from app.recipes.forms.thinning import ThinForm
from app.recipes.routes.blueprint import bp
from app.recipes.rules import (
    BASE_WORDS,
    COMMON_PRACTICE,
    CUT_USES,
    DILUTION_WORDS,
    KEEPS_MONTHS,
    KEEPS_SOURCE,
    LEVEL_WORDS,
    MOST_WATER_HUNDREDTHS,
    STRETCH_SOURCE,
    Base,
)

SUMS: Final = (
    ("recipes.sum_need", "How much to mix", "for a piece or an area: paint, water, what it costs"),
    ("recipes.sum_parts", "Mix by parts", "a wash of 1:4, to fill a jar or from what is left in the can"),
    ("recipes.sum_thin", "Thin or dilute", "thinner for paint, water for a concentrate, a mix made to fill a jar"),
    ("recipes.sum_shellac", "Shellac cut", "flake and alcohol, and thinning what is dissolved"),
    ("recipes.sum_coverage", "Coverage", "how far a can goes, from its solids and the film you want"),
    ("recipes.sum_air", "The air", "too damp or too cold to coat? dew point, drying, moisture of wood"),
)


@bp.get("/sums")
def sums() -> ResponseReturnValue:
    return render_template("recipes/sums.html", sums=SUMS, label_rules=LABEL_RULES)


@bp.get("/sums/parts")
def sum_parts() -> ResponseReturnValue:
    form = PartsForm.from_address()
    answer = form.worked_out(form.answer)
    return render_template(
        "recipes/sums_parts.html",
        form=form,
        answer=answer,
        label_rules=LABEL_RULES,
        places=place_words(form.ratio.data),
    )


@bp.get("/sums/thin")
def sum_thin() -> ResponseReturnValue:
    form = ThinForm.from_address()
    return render_template(
        "recipes/sums_thin.html",
        form=form,
        answer=form.worked_out(form.answer),
        label_rules=LABEL_RULES,
        most_water=format_percent(MOST_WATER_HUNDREDTHS),
        common_practice=COMMON_PRACTICE,
    )


@bp.get("/sums/shellac")
def sum_shellac() -> ResponseReturnValue:
    form = ShellacForm.from_address()
    return render_template(
        "recipes/sums_shellac.html",
        form=form,
        answer=form.worked_out(form.answer),
        label_rules=LABEL_RULES,
        uses=CUT_USES,
        dilutions=DILUTION_WORDS,
        keeps=(KEEPS_MONTHS, KEEPS_SOURCE),
    )


@bp.get("/sums/coverage")
def sum_coverage() -> ResponseReturnValue:
    form = CoverageForm.from_address()
    answer = form.worked_out(form.answer)
    return render_template("recipes/sums_coverage.html", form=form, answer=answer, label_rules=LABEL_RULES)


@bp.get("/sums/air")
def sum_air() -> ResponseReturnValue:
    form = AirForm.from_address()
    return render_template(
        "recipes/sums_air.html",
        form=form,
        answer=form.worked_out(form.answer),
        label_rules=LABEL_RULES,
        levels=LEVEL_WORDS,
        base_words=BASE_WORDS[Base(form.base.data)] if form.base.data in set(Base) else "",
        stretch_source=STRETCH_SOURCE,
    )
