"""Standard setting: where the pass mark of a test lies, or the mark from which a grade is given.

`angoff.py` works from judges' ratings of questions, `by_pupils.py` from teachers' judgements of pupils with results,
`hofstee.py` from what judges would accept; `pass_mark.py` is the whole of it. `form.py` writes the form for judges,
`ratings_file.py` and `judged_file.py` read what came back, `reading.py` says which is which; `report.py` and
`report_data.py` tell it. All is exact until it is shown.
"""
