"""What can be claimed of an item's mathematics: names and meanings, and the fast exact tests of the search.

The proofs of the same claims stand in `proof/claims.py` and share no code with `integer_tests`.
"""
