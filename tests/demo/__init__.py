"""Tests of the demo room."""
