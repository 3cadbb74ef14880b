"""Read the shelf: materials, their rows, what would change, what it is worth, and its proof."""

from app.shelf.queries.counting import (
    ChangeLine,
    Plan,
    change_lines,
    charge_of,
    counting_rows,
    left_on,
    plan_with,
    plan_without,
    shelf_value,
    stored_charges,
)
from app.shelf.queries.findings import ShelfFinding, shelf_findings
from app.shelf.queries.lines import (
    ShelfLine,
    counted_cost,
    line_by_id,
    material_lines,
    parts_of,
    uses_of,
)
from app.shelf.queries.materials import (
    Can,
    MaterialRow,
    facts_of,
    has_rows,
    last_can,
    low_materials,
    material_by_id,
    material_rows,
    places_bought_at,
)

__all__ = [
    "Can",
    "ChangeLine",
    "MaterialRow",
    "Plan",
    "ShelfFinding",
    "ShelfLine",
    "change_lines",
    "charge_of",
    "counted_cost",
    "counting_rows",
    "facts_of",
    "has_rows",
    "last_can",
    "left_on",
    "line_by_id",
    "low_materials",
    "material_by_id",
    "material_lines",
    "material_rows",
    "parts_of",
    "places_bought_at",
    "plan_with",
    "plan_without",
    "shelf_findings",
    "shelf_value",
    "stored_charges",
    "uses_of",
]
