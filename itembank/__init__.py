"""Algebra items from YAML templates, each proved right, as QTI packages and printed papers."""

__version__ = "0.1.0"
