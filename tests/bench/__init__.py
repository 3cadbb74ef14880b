"""Tests of the bench room."""
