"""Tests of the photos room."""
