"""Tests of the plain Python that every room stands on."""
