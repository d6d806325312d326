"""The one table of what the plant does: zones, parts, sensors and spaces."""
