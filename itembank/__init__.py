"""Algebra items from YAML templates, each proved right, as QTI packages and printed papers.

Programs use `itembank.library`; who adds a property, a figure, a kind of response or a writer, `itembank.extending`.
"""

__version__ = "0.2.0"
