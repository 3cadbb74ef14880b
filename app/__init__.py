"""Tackcloth: a ledger for one person who buys worn furniture, refinishes it and sells it."""
