"""Finish recipes: how pieces are finished, and how they were."""
