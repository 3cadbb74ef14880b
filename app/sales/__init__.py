"""Sales, mistaken sales struck out, and returns."""
