"""Tests of the timelog room."""
