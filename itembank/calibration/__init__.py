"""Calibration: how hard items were, on one scale for all pupils and forms, from the results of sittings.

`sample.py` puts results together item by item; `linked.py` says which items can stand on one scale; `conditional.py`
estimates; `fit.py` and `ability.py` say how well the model fits and what marks are worth; `calibrated.py` is the whole
of it; `report.py`, `report_data.py` and `keeping.py` tell it. All is worked out in decimals of a fixed length, so that
it comes out the same everywhere.
"""
