"""Panels of the board: one room each, listed in registry.py."""
