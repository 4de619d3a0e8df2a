"""The record of use: which forms which groups sat, and when, kept in the bank with the forms as they were.

A bank keeps it in its folder `record`. Each sitting is a small file of its own in `record/sittings/`, that people read
and version control merges; each form that was sat is kept once, in `record/forms/`, whole: a table of its items, each
with a digest, and a package of the files that the build had left. So a form can be brought back byte for byte when
templates, or this program, have changed long since. Groups are named, pupils and results never are.

The room knows what builds leave, and nothing of how items are made, proved or written.
"""
