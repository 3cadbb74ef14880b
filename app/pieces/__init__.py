"""Pieces, hauls, sources, stages: what there is, where it came from and how far it has come."""
