"""Tests of the pieces room."""
