"""Tests of the shelf."""
