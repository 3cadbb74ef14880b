"""Tests of the sales room."""
