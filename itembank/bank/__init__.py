"""A bank: a folder of templates with its slip file and settings, and the items drawn from it."""
