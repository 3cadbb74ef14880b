"""Tests of the trips room."""
