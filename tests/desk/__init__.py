"""Tests of the desk room."""
