"""Writes the control program for controllers and for people: code, interchange, tables, charts and sheets."""
