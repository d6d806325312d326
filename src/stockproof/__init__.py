"""Stockproof: proves a powered cattle-handling installation before steel is cut."""

__version__ = "0.1.0"
