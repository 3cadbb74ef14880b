"""Pages of recipes, of finishes as done, and of the sums that go with them."""

from app.recipes.routes import finish_steps, finishes, labels, recipes, steps, sums, sums_need, surfaces, working
from app.recipes.routes.blueprint import bp

__all__ = ["bp", "finish_steps", "finishes", "labels", "recipes", "steps", "sums", "sums_need", "surfaces", "working"]
