"""Tests of the floor room."""
