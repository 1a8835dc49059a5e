"""Measurements; nothing here is run by the tests."""
