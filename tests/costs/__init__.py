"""Tests of the costs room."""
