"""The command tackcloth."""
