"""The audit: proves an exported package again, from the file alone.

It reads with readers of its own and solves with mathematics of its own: of itembank it knows the errors only, so
that a mistake of the house cannot repeat itself here. `verify.py` is the door.
"""
