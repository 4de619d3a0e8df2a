"""After the test: which items worked, and what to reteach.

Results come in (`response_files.py`: mark sheets, chosen options, result reports of the open standard), are matched to
the keys of a build (`keys.py`, from its `staff/` folder) and become one answer for each pupil and question
(`responses.py`). From these follow figures of questions (`item_statistics.py`), of options and slips
(`distractors.py`), of the whole (`reliability.py`), and findings (`findings.py`).

All of it is exact: marks are fractions, a correlation or deviation is the root of a fraction, and each is rounded to
decimals only when it is shown. What cannot be told says why, and is never 0. Templates, proofs and writers are unknown
here; so are terminals. No pupil's name leaves this room but in `Sitting.pupil`.
"""
