"""The books: what pieces, months and hours earned."""
